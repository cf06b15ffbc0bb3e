"""The table of joints: every joint once, with its own figures."""

from __future__ import annotations

from speakerwright.cabinet.joint_shown import joint_blocks, joint_table
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Placement, plain
from speakerwright.words.blocks import Paragraph

ALONG = ((0.0, 0.0, 0.0), (0.0, 300.0, 0.0))
JOINTS = (
    Joint("dado", "left side", "shelf", *ALONG, 18.0, (-1, 0, 0), 6.0, 0.2),
    Joint("mitre", "left side", "top", *ALONG, 25.5, (-1, 0, 0), angle_deg=96.2),
    Joint("batten", "back", "lower batten", *ALONG, 20.0, (0, 1, 0), glued=False),
    Joint("butt", "baffle", "shelf", *ALONG, 18.0, (0, -1, 0)),
    Joint("butt", "baffle", "shelf", *ALONG, 18.0, (0, -1, 0)),
)


def rows(system):
    return [[cell.replace("\u202f", " ") for cell in row]
            for row in joint_table(JOINTS, system).rows]


def test_every_joint_has_kind_host_guest_depth_and_clearance():
    assert rows("metric") == [
        ["mitre", "left side", "top", "300.0 mm", "–", "–", "96.2°", "glue"],
        ["2 × butt", "baffle", "shelf", "300.0 mm", "–", "–", "90°", "glue"],
        ["dado", "left side", "shelf", "300.0 mm", "6.0 mm", "0.2 mm", "90°", "glue"],
        ["batten", "back", "lower batten", "300.0 mm", "–", "–", "90°", "screws"],
    ]


def test_a_clearance_is_not_lost_in_inches():
    dado = next(row for row in rows("inch") if row[0] == "dado")
    assert dado[4] == "1/4 in"
    assert dado[5] == "0.20 mm"


def test_no_joints_no_blocks_and_no_panels_a_sentence():
    assert joint_blocks((), (), "metric") == []
    side = plain("left side", 300, 600, 18.0, Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    *_, last = joint_blocks([side], JOINTS[:1], "metric")
    assert isinstance(last, Paragraph)
    assert "no panel is called shelf" in last.text

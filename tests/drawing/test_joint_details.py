"""Joints in section: what is cut really is the two panels, and one of every kind is drawn."""

from __future__ import annotations

import math

import pytest

from speakerwright.drawing.joint_details import joint_sheet, joint_text, kinds_of, regions_of
from speakerwright.drawing.sheets import svg
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel, Placement, plain, pocket
from speakerwright.solids.shapes import rectangle

from .reading import overlaps, words

T = 18.0


def dadoed():
    """A shelf of 18 mm let 6 mm into a side: the side's right face is at x = 0, inside at right."""
    side = Panel("side", rectangle(0, 0, 300, 600), T,
                 Placement((0, 300, 0), (0, -1, 0), (0, 0, 1)),
                 (pocket(rectangle(0, 290.9, 300, 309.1), 6, "inside", "dado"),))
    shelf = plain("shelf", 206, 300, T, Placement((12, 0, 309), (1, 0, 0), (0, 1, 0)))
    joint = Joint("dado", "side", "shelf", (18, 0, 300), (18, 300, 300), T, (-1, 0, 0), 6.0, 0.2)
    return [side, shelf], joint


def test_the_cut_shows_the_groove_with_its_depth_and_clearance():
    (side, shelf), joint = dadoed()
    (_, host), (_, guest) = regions_of(side, shelf, joint)
    reach = 2.3 * T + 6.0
    assert host.area == pytest.approx(2 * reach * T - 6.0 * 18.2, rel=1e-9)
    assert guest.area == pytest.approx((reach + 6.0) * T, rel=1e-9)
    assert host.intersection(guest).area == pytest.approx(0.0, abs=1e-6)
    x = [round(v, 6) for v in (guest.bounds[0], guest.bounds[2])]
    assert x in ([-6.0, reach], [-reach, 6.0])


def test_one_joint_of_every_kind_is_drawn_and_named():
    panels, joint = dadoed()
    again = Joint("dado", "side", "shelf", (18, 0, 300), (18, 250, 300), T, (-1, 0, 0), 6.0, 0.2)
    butt = Joint("butt", "side", "shelf", (18, 0, 300), (18, 300, 300), T, (-1, 0, 0))
    assert kinds_of([again, joint, butt]) == [butt, joint]
    text = svg(joint_sheet(panels, [joint, again, butt]))
    told = " ".join(word.replace("\u00a0", " ") for word, *_ in words(text))
    assert "Butt: shelf against side" in told
    assert told.count("Dado: shelf in side, 6 deep, 0.2 wider") == 1
    assert overlaps(text) == []


@pytest.mark.parametrize(("kind", "more", "words"), [
    ("mitre", {"angle_deg": 90.0}, "Mitre: a and b, each bevelled 45°"),
    ("mitre", {"angle_deg": 135.0}, "Mitre: a and b, each bevelled 22.5°"),
    ("butt", {"angle_deg": 82.0}, "Butt: b against a, at 82°"),
    ("half-lap", {"clearance": 0.2}, "Half-lap: a and b, 0.2 wider"),
    ("batten", {}, "Screwed: b to a"),
    ("rabbet", {"depth": 6.0}, "Rabbet: b in a, 6 deep"),
])
def test_a_joint_in_a_line(kind, more, words):
    joint = Joint(kind, "a", "b", (0, 0, 0), (0, math.pi, 0), T, (1, 0, 0), **more)
    assert joint_text(joint, "metric") == words


def test_what_cannot_be_drawn_is_refused():
    panels, joint = dadoed()
    with pytest.raises(ValueError, match="no joints"):
        joint_sheet(panels, [])
    with pytest.raises(ValueError, match="no panel is called shelf"):
        joint_sheet(panels[:1], [joint])

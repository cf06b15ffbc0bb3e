"""The joints of a cabinet as blocks of the plan: a table of all, and every kind in section."""

from __future__ import annotations

from collections.abc import Sequence

from speakerwright.drawing.joint_details import ORDER, joint_sheet
from speakerwright.drawing.sheets import svg
from speakerwright.solids.bevels import degrees_text
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel
from speakerwright.words.blocks import Block, Figure, Heading, Paragraph, Table
from speakerwright.words.units import show

HEADS = ("Joint", "Host", "Guest", "Length", "Depth", "Clearance", "Angle", "Held by")
SMALL = 1e-6  # mm; less is nothing


def joint_table(joints: Sequence[Joint], system: str) -> Table:
    """All joints: kind, host, guest, length, depth, clearance, angle, and what holds them.

    Parameters
    ----------
    joints : sequence of Joint
        Joints of two panels that differ in nothing but their place stand in one row.
    system : {"metric", "inch"}
    """
    alike: dict[tuple[str, ...], list[Joint]] = {}
    for joint in sorted(joints, key=lambda j: (ORDER.index(j.kind), j.host, j.guest)):
        row = (joint.kind, joint.host, joint.guest, _length(joint.length, system),
               _length(joint.depth, system), _fine(joint.clearance, system),
               degrees_text(joint.angle_deg), "glue" if joint.glued else "screws")
        alike.setdefault(row, []).append(joint)
    rows = tuple((f"{len(some)} × {row[0]}" if len(some) > 1 else row[0], *row[1:])
                 for row, some in alike.items())
    return Table(HEADS, rows,
                 "The host is cut, lies over or is there first; the guest is let in or stands "
                 "against it. In a mitre or a half-lap both are cut alike. Depth is how far the "
                 "guest goes in, clearance how much wider than the guest the cut is, the angle "
                 "that between both panels' insides.", numbers=(3, 4, 5, 6))


def joint_blocks(panels: Sequence[Panel], joints: Sequence[Joint], system: str) -> list[Block]:
    """Heading, table and sections; none where no panels meet."""
    if not joints:
        return []
    blocks: list[Block] = [Heading("Joints"), joint_table(joints, system)]
    try:
        blocks.append(Figure(svg(joint_sheet(panels, joints, system=system)), ""))
    except ValueError as error:
        blocks.append(Paragraph(f"No drawing of the joints: {error}."))
    return blocks


def _length(value: float, system: str) -> str:
    return "–" if value < SMALL else show(value / 1e3, "length", system)


def _fine(value: float, system: str) -> str:
    """A clearance: a tenth of a millimetre is lost in a 32nd of an inch."""
    kind = "excursion" if system == "inch" else "length"
    return "–" if value < SMALL else show(value / 1e3, kind)

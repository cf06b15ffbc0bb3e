"""Sections through a cabinet's joints, one of each kind, side by side: how the wood meets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from speakerwright.drawing.dimensions import length_text
from speakerwright.drawing.hidden import view_axes
from speakerwright.drawing.marks import Hatch, Path, Text, extent, moved, region_area
from speakerwright.drawing.sheets import FIELD_MM, LINE_MM, Drawing, fitted, folded
from speakerwright.drawing.views import cut_region
from speakerwright.solids.bevels import degrees_text

if TYPE_CHECKING:
    from speakerwright.solids.joints import Joint
    from speakerwright.solids.panels import Panel

ORDER = ("mitre", "rabbet", "butt", "dado", "half-lap", "batten")
MOST = 9
_COLUMN_MM, _GAP_MM = 52.0, 4.0
_REACH = 2.3  # of the thicker sheet, to each side of the joint's middle
_AT = 0.27  # of the joint's line, where it is cut: seldom where anything else is
_AT_LAP = 0.06  # of the crossing's, before a brace's window begins
_HATCHES = ((45.0, 1.4), (135.0, 1.4))


def kinds_of(joints: Sequence[Joint]) -> list[Joint]:
    """One joint of every kind, in the order of `ORDER`, the longest of each.

    Joints are of one kind when kind, depth, clearance and angle are.
    """
    found: dict[Any, Joint] = {}
    for joint in joints:
        key = (joint.kind, round(joint.depth, 2), round(joint.clearance, 2),
               round(joint.angle_deg, 1))
        if key not in found or joint.length > found[key].length + 1e-6:
            found[key] = joint
    return sorted(found.values(), key=lambda j: (ORDER.index(j.kind), j.host, j.guest))[:MOST]


def joint_sheet(panels: Sequence[Panel], joints: Sequence[Joint], *,
                field_mm: tuple[float, float] = FIELD_MM, system: str = "metric") -> Drawing:
    """Every kind of joint in section.

    Parameters
    ----------
    panels : sequence of Panel
    joints : sequence of Joint
        Between these panels, at least one.
    field_mm : tuple of float
        Room on the paper.
    system : {"metric", "inch"}

    Raises
    ------
    ValueError
        Without joints, or where a joint names a panel that is not there.
    """
    if not joints:
        raise ValueError("there are no joints to draw")
    named = {panel.name: panel for panel in panels}
    missing = {n for j in joints for n in (j.host, j.guest)} - set(named)
    if missing:
        raise ValueError(f"no panel is called {min(missing)}")
    shown = kinds_of(joints)

    def paint(scale: int) -> list[Any]:
        made: list[Any] = []
        columns = max(1, int((field_mm[0] + _GAP_MM) // (_COLUMN_MM + _GAP_MM)))
        top = 0.0
        for start in range(0, len(shown), columns):
            row = [_detail(named[j.host], named[j.guest], j, scale, system)
                   for j in shown[start:start + columns]]
            high = max(extent(one)[3] for one in row)
            for k, one in enumerate(row):
                made += moved(one, k * (_COLUMN_MM + _GAP_MM), top - high)
            top = extent(made)[1] - 2.0 * _GAP_MM
        return made

    return fitted("joints", "Joints in section", paint, field_mm, system=system, projected=False,
                  note="Each square to its line; one of every kind. What is let in goes as deep "
                  "as it says, and has the clearance that it says across its thickness.")


def regions_of(host: Panel, guest: Panel, joint: Joint) -> list[tuple[str, Any]]:
    """What a cut square to a joint goes through, near it: names and regions about the joint, mm.

    To the right and upwards as seen along the joint's line.
    """
    from shapely import box, intersection
    from shapely.affinity import translate

    along = np.array(joint.along)
    up = (0.0, 0.0, 1.0) if abs(along[2]) < 0.9 else (0.0, 1.0, 0.0)
    axes = view_axes(along.tolist(), up)
    share = _AT_LAP if joint.kind == "half-lap" else _AT
    middle = np.array(joint.start) + share * (np.array(joint.end) - joint.start)
    x, y, plane = axes @ middle
    reach = _REACH * max(host.thickness, guest.thickness) + joint.depth
    window = box(-reach, -reach, reach, reach)
    found = []
    for panel in (host, guest):
        region = translate(cut_region(panel.solid(), axes, float(plane)), -float(x), -float(y))
        found.append((panel.name, intersection(region, window)))
    return found


def _detail(host: Panel, guest: Panel, joint: Joint, scale: int, system: str) -> list[Any]:
    """One joint at a scale in a column, its words below."""
    from shapely.affinity import scale as scaled

    reach = (_REACH * max(host.thickness, guest.thickness) + joint.depth) / scale
    made: list[Any] = []
    for (_, region), hatch in zip(regions_of(host, guest, joint), _HATCHES, strict=True):
        small = scaled(region, 1.0 / scale, 1.0 / scale, origin=(0.0, 0.0))
        if small.is_empty:
            continue
        made += [region_area(small), Hatch(small, *hatch), *_edges(small, reach)]
    low = -reach - 4.6
    words = folded(joint_text(joint, system), _COLUMN_MM)
    made += [Text((0.0, low - k * LINE_MM), line, anchor="middle") for k, line in enumerate(words)]
    return moved(made, _COLUMN_MM / 2.0, 0.0)


def _edges(region: Any, reach: float) -> list[Any]:
    """The edges of a cut face; where the sheet goes on beyond the detail a thin line."""
    from shapely import box, line_merge

    frame = box(-reach, -reach, reach, reach).exterior.buffer(1e-4)
    found: list[Any] = []
    for kind, lines in (("outline", region.boundary.difference(frame)),
                        ("dimension", region.boundary.intersection(frame))):
        if kind == "outline" and lines.geom_type == "MultiLineString":
            lines = line_merge(lines)
        found += [Path(np.asarray(line.coords)[:, :2], kind)
                  for line in getattr(lines, "geoms", [lines]) if line.length > 0.02
                  and line.geom_type == "LineString"]
    return found


def joint_text(joint: Joint, system: str, *, units: bool = False) -> str:
    """What a joint is, in a line: kind, panels, depth, clearance, and its angle if not square.

    On a drawing lengths have no unit; `units` gives them theirs.
    """
    unit = ("\u202fin" if system == "inch" else "\u202fmm") if units else ""
    both = f"{joint.host} and {joint.guest}"
    said = {
        "mitre": f"Mitre: {both}, each bevelled {degrees_text(90.0 - joint.angle_deg / 2.0)}",
        "half-lap": f"Half-lap: {both}",
        "batten": f"Screwed: {joint.guest} to {joint.host}",
        "butt": f"Butt: {joint.guest} against {joint.host}",
    }.get(joint.kind, f"{joint.kind.capitalize()}: {joint.guest} in {joint.host}")
    if joint.depth:
        said += f", {length_text(joint.depth, system)}{unit} deep"
    if joint.clearance:
        wider = length_text(joint.clearance, system) if system == "metric" else (
            f"{joint.clearance / 25.4:.3f}")
        said += f", {wider}{unit} wider"
    if abs(joint.angle_deg - 90.0) > 0.05 and joint.kind != "mitre":
        said += f", at {degrees_text(joint.angle_deg)}"
    return said

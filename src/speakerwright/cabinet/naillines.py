"""Where nails go: lines on a panel's outside face over the middle of what stands hidden behind it.

Millimetres, in the panel's own axes as seen from outside, as the panels are.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel
from speakerwright.solids.shapes import FloatArray, Polygon

WALLS = ("baffle", "back", "side", "shoulder", "top", "bottom")
SPACING_MM = 150.0  # between two nails, at most: rule of thumb
FROM_END = 2.0  # host's thicknesses between a nail and the end of its joint: rule of thumb
FROM_HOLE_MM = 10.0  # of wood between a nail and a hole or pocket: rule of thumb
INTO = 2.0  # length in the guest over the wood that is nailed on: rule of thumb
LENGTHS_MM = 5.0  # nails come in steps of this: common practice, no source
SHORT_OF_MM = 5.0  # of the guest's far side a nail ends: rule of thumb
STEEPEST_DEG = 30.0  # off square; a nail driven square misses what leans more: rule of thumb
_SLANT = 1e-3
_NAILED = ("butt", "rabbet", "dado")


@dataclass(frozen=True)
class NailLine:
    """A line of nails on a panel's outside face.

    Attributes
    ----------
    panel, guest : str
        The panel that is nailed through, and what the nails hold behind it.
    start_uv, end_uv : tuple of float
        First and last nail, mm, in the panel's axes.
    edge : str
        The edge that the line is parallel to and nearest to (left, right, bottom, top, seen from
        outside); empty where it runs aslant.
    offset_mm : float
        From that edge to the line; from the left edge to the first nail where it runs aslant.
    along_mm : tuple of float
        First and last nail from the other edge: from the bottom for a line beside the left or
        right edge, from the left for one beside the bottom or top; aslant, both from the bottom.
    nails : int
    spacing_mm : float
        From nail to nail; 0 for a single one.
    length_mm : float
        Of a nail.
    """

    panel: str
    guest: str
    start_uv: tuple[float, float]
    end_uv: tuple[float, float]
    edge: str
    offset_mm: float
    along_mm: tuple[float, float]
    nails: int
    spacing_mm: float
    length_mm: float


def nail_lines(panels: Sequence[Panel], joints: Sequence[Joint]) -> tuple[NailLine, ...]:
    """Nail lines of all glued butt, rabbet and dado joints in walls.

    Parameters
    ----------
    panels : sequence of Panel
        World mm.
    joints : sequence of Joint
        Those of panels that are not there are passed over.

    Returns
    -------
    tuple of NailLine
        In the order of the joints. A line keeps off the joint's ends, off holes and pockets of
        the wall, and off windows and notches of the guest; where these part it, it is several.
    """
    named = {panel.name: panel for panel in panels}
    return tuple(line for joint in joints for line in _lines(joint, named))


def _lines(joint: Joint, named: Mapping[str, Panel]) -> Iterator[NailLine]:
    host, guest = named.get(joint.host), named.get(joint.guest)
    if host is None or guest is None or host.role not in WALLS:
        return
    if joint.kind not in _NAILED or not joint.glued:
        return
    if abs(joint.angle_deg - 90.0) > STEEPEST_DEG:
        return
    ends = host.placement.to_local([joint.start, joint.end])[:, :2]
    size = math.dist(ends[0], ends[1])
    if size < 1e-6:
        return
    way = (ends[1] - ends[0]) / size
    length = _nail(host, guest, joint)
    for low, high in _free(host, guest, joint, ends):
        count = _count(high - low)
        middle = 0.5 * (low + high)
        first, last = (middle, middle) if count == 1 else (low, high)
        yield _line(host, guest.name, ends[0] + first * way, ends[0] + last * way, count, length)


def _count(span: float) -> int:
    """How many nails stand on a span, one at each end."""
    if span < 2.0 * FROM_HOLE_MM:
        return 1
    return 1 + max(1, math.ceil(span / SPACING_MM - 1e-9))


def _free(host: Panel, guest: Panel, joint: Joint, ends: FloatArray
          ) -> list[tuple[float, float]]:
    """Spans along a joint's line (mm from its start) that nails may stand on."""
    size = math.dist(ends[0], ends[1])
    margin = FROM_END * host.thickness
    low, high = margin, size - margin
    if low > high:
        low = high = 0.5 * size
        if size < margin:
            return []  # too short for a nail
    way = (ends[1] - ends[0]) / size
    line = shapely.LineString(ends) if low == high else shapely.LineString(
        [ends[0] + low * way, ends[0] + high * way])
    names = {guest.name}
    gone = [f.shape for f in host.features if f.mate not in names and (
        f.kind != "pocket" or f.face == "outside" or f.mate is None)]
    left = shapely.intersection(line, host.outline)
    if gone:
        left = shapely.difference(left, shapely.union_all(gone).buffer(FROM_HOLE_MM))
    found = []
    for part in shapely.get_parts(left):
        if part.geom_type != "LineString" or part.is_empty:
            continue
        spots = sorted(float(np.dot(np.array(p) - ends[0], way)) for p in part.coords)
        found.append((spots[0], spots[-1]))
    both = [(max(a, c), min(b, d)) for a, b in found for c, d in _wood(guest, joint, size)]
    if low == high:
        return [(low, low)] if any(a <= low <= b for a, b in both) else []
    return sorted((a, b) for a, b in both if b - a > 1e-6)


def _wood(guest: Panel, joint: Joint, size: float) -> list[tuple[float, float]]:
    """Spans of a joint's line behind which the guest has wood, windows and notches left out."""
    inward = FROM_HOLE_MM * np.array(joint.into)
    ends = guest.placement.to_local(np.array((joint.start, joint.end)) - inward)[:, :2]
    length = math.dist(ends[0], ends[1])
    if length < 1e-6:
        return []
    gone = [f.shape for f in guest.features if f.kind != "pocket"]
    body = shapely.difference(guest.blank, shapely.union_all(gone)) if gone else guest.blank
    found = []
    for part in shapely.get_parts(shapely.intersection(shapely.LineString(ends), body)):
        if part.geom_type != "LineString" or part.is_empty:
            continue
        spots = [math.dist(ends[0], p) / length * size for p in part.coords]
        pad = [0.0 if end < 1e-6 or end > size - 1e-6 else FROM_HOLE_MM
               for end in (min(spots), max(spots))]
        found.append((min(spots) + pad[0], max(spots) - pad[1]))
    return found


def _nail(host: Panel, guest: Panel, joint: Joint) -> float:
    """Length of a nail through a host into a guest, mm, in whole steps."""
    over = host.thickness - joint.depth
    corners = np.asarray(guest.outline.exterior.coords)
    world = guest.placement.to_world(np.column_stack((corners, np.zeros(len(corners)))))
    reach = float(((np.array(joint.start) - world) @ np.array(joint.into)).max()) + joint.depth
    deep = min(INTO * over, max(reach - SHORT_OF_MM, 0.0))
    steps = (over + deep) / LENGTHS_MM
    whole = math.floor(steps + 1e-9) if deep < INTO * over else math.ceil(steps - 1e-9)
    return LENGTHS_MM * whole


def _line(host: Panel, guest: str, first: FloatArray, last: FloatArray, count: int,
          length: float) -> NailLine:
    u0, v0, u1, v1 = host.outline.bounds
    run = last - first if count > 1 else np.zeros(2)
    edge, offset, along = "", float(first[0] - u0), (float(first[1] - v0), float(last[1] - v0))
    nearest = _nearest(first, host.outline)
    upright = abs(run[0]) <= _SLANT * abs(run[1]) if count > 1 else nearest in ("left", "right")
    level = abs(run[1]) <= _SLANT * abs(run[0]) if count > 1 else not upright
    if upright:
        left = float(first[0] - u0)
        edge, offset = ("left", left) if left <= u1 - u0 - left else ("right", u1 - u0 - left)
    elif level:
        low = float(first[1] - v0)
        edge, offset = ("bottom", low) if low <= v1 - v0 - low else ("top", v1 - v0 - low)
        along = float(first[0] - u0), float(last[0] - u0)
    if along[0] > along[1]:
        first, last, along = last, first, (along[1], along[0])
    spacing = math.dist(first, last) / (count - 1) if count > 1 else 0.0
    return NailLine(host.name, guest, _flat(first), _flat(last), edge, _clean(offset),
                    (_clean(along[0]), _clean(along[1])), count, _clean(spacing), length)


def _nearest(point: FloatArray, outline: Polygon) -> str:
    u0, v0, u1, v1 = outline.bounds
    gaps = {"left": point[0] - u0, "right": u1 - point[0], "bottom": point[1] - v0,
            "top": v1 - point[1]}
    return min(gaps, key=lambda name: gaps[name])


def _flat(point: FloatArray) -> tuple[float, float]:
    return _clean(float(point[0])), _clean(float(point[1]))


def _clean(value: float) -> float:
    return round(value, 6) + 0.0

"""Windows of a brace: rounded openings that take a share of its area, rims alike. mm."""

from __future__ import annotations

import shapely

from speakerwright.solids.features import Feature, cutout
from speakerwright.solids.shapes import Polygon, rounded_rectangle

CORNER = 30.0  # mm, most of a window's corner radius: rule of thumb
ROUND = 24  # segments of a quarter of a shaped window's corner


def with_windows(outline: Polygon, open_share: float, count: int = 1) -> tuple[Feature, ...]:
    """The windows of a brace of some outline.

    Parameters
    ----------
    outline : Polygon
        Of the brace between the walls, local mm; convex.
    open_share : float
        What the windows take of its area, 0 to 0.95.
    count : int
        How many, in a row along the longer side, with bars as wide as the rims between them.

    Returns
    -------
    tuple of Feature
        None for no share. Where rims would vanish, the largest windows there are.
    """
    if open_share <= 0.0:
        return ()
    wanted = open_share * float(outline.area)
    u0, v0, u1, v1 = outline.bounds
    low, high = 0.0, 0.5 * min(u1 - u0, v1 - v0) * 0.999
    found: list[Polygon] = []
    for _ in range(60):
        rim = 0.5 * (low + high)
        found = _windows(outline, rim, count)
        if sum(shape.area for shape in found) > wanted:
            low = rim
        else:
            high = rim
        if high - low < 1e-7 * (u1 - u0 + v1 - v0):
            break
    if len(found) == 1:
        return (cutout(found[0], "window"),)
    return tuple(cutout(shape, f"window {k + 1}") for k, shape in enumerate(found))


def _windows(outline: Polygon, rim: float, count: int) -> list[Polygon]:
    u0, v0, u1, v1 = outline.bounds
    wide = u1 - u0 >= v1 - v0
    low, high = (u0, u1) if wide else (v0, v1)
    size = (high - low - (count + 1) * rim) / count
    if size <= 0.0:
        return []
    plain = abs(outline.area - (u1 - u0) * (v1 - v0)) < 1e-6
    made = []
    for k in range(count):
        start = low + rim + k * (size + rim)
        box = (start, v0 + rim, start + size, v1 - rim) if wide else (
            u0 + rim, start, u1 - rim, start + size)
        shorter = min(box[2] - box[0], box[3] - box[1])
        if shorter <= 0.0:
            return []
        radius = min(CORNER, 0.45 * shorter)
        if plain:
            made.append(rounded_rectangle(*box, radius))
            continue
        inside = shapely.intersection(shapely.box(*box), shapely.buffer(
            outline, -rim, join_style="mitre"))
        shape = _rounded(inside, radius)
        if shape is None:
            return []
        made.append(shape)
    return made


def _rounded(inside: Polygon, radius: float) -> Polygon | None:
    """A shape with round corners of a radius, or of a smaller one where it is slim."""
    for _ in range(6):
        found = shapely.buffer(shapely.buffer(inside, -radius, join_style="mitre"), radius,
                               quad_segs=ROUND)
        if isinstance(found, Polygon) and not found.is_empty:
            return found
        radius *= 0.5
    return None

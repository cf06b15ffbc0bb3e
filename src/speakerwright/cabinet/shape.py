"""The shape of a cabinet: a front outline, and how front and back lean. SI.

The outside is a prism over the front outline, cut in front and behind by planes that may lean.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.words.errors import refuse

Pair = tuple[float, float]


@dataclass(frozen=True)
class Shape:
    """Outside: corners (x, z) in m, anticlockwise from the bottom's left end, and two leans.

    `front_lean_deg` and `back_lean_deg` are angles from upright, above zero where the depth grows
    less upward; `depth` is that at the height zero.
    """

    corners: tuple[Pair, ...]
    depth: float
    front_lean_deg: float = 0.0
    back_lean_deg: float = 0.0

    @property
    def upright(self) -> bool:
        """Whether neither front nor back leans."""
        return not (self.front_lean_deg or self.back_lean_deg)

    @property
    def plain(self) -> bool:
        """Whether it is a rectangular box."""
        return self.upright and len(self.corners) == 4 and all(
            min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1e-9
            for a, b in zip(self.corners, self.corners[1:], strict=False))

    def front(self, height: float, sheet: float = 0.0) -> float:
        """Place (m) of the front's face at a height, or of a sheet's inner face behind it."""
        lean = math.radians(self.front_lean_deg)
        return height * math.tan(lean) + sheet / math.cos(lean)

    def back(self, height: float, sheet: float = 0.0) -> float:
        """Place (m) of the back's face at a height, or of a sheet's inner face before it."""
        lean = math.radians(self.back_lean_deg)
        return self.depth - height * math.tan(lean) - sheet / math.cos(lean)

    def clear_depth(self, height: float, sheet: float) -> float:
        """Between the inner faces of baffle and back at a height, m."""
        return self.back(height, sheet) - self.front(height, sheet)

    def behind(self, up: float, sheet: float) -> float:
        """From the front's face, square to it, to the inner face of a back of some thickness, m.

        `up` is counted along the front from the bottom, m.
        """
        front, back = math.radians(self.front_lean_deg), math.radians(self.back_lean_deg)
        y, z = up * math.sin(front), up * math.cos(front)
        left = (self.depth - y) * math.cos(back) - z * math.sin(back) - sheet
        return left / math.cos(front + back)

    def inner(self, sheet: float) -> tuple[Pair, ...]:
        """Corners of the outline's inner faces: every wall moved in by its sheet; () for none."""
        lines = []
        for k, (x0, z0) in enumerate(self.corners):
            x1, z1 = self.corners[(k + 1) % len(self.corners)]
            size = math.hypot(x1 - x0, z1 - z0)
            nx, nz = (z1 - z0) / size, -(x1 - x0) / size
            lines.append((nx, nz, nx * x0 + nz * z0 - sheet))
        found = []
        for k, (a, b, c) in enumerate(lines):
            d, e, f = lines[k - 1]
            cross = d * b - e * a
            if abs(cross) < 1e-12:
                return ()
            found.append(((f * b - e * c) / cross, (d * c - f * a) / cross))
        for k, (x0, z0) in enumerate(found):  # an edge that has turned round is none
            x1, z1 = found[(k + 1) % len(found)]
            nx, nz, _ = lines[k]
            if (z1 - z0) * nx - (x1 - x0) * nz <= 0.0:
                return ()
        return tuple(found)

    def between(self, sheet: float, low: float, high: float) -> tuple[Pair, ...]:
        """The inner outline between two heights; () where there is nothing."""
        if high <= low:
            return ()
        return level_cut(level_cut(self.inner(sheet), low, above=True), high, above=False)


def level_cut(corners: tuple[Pair, ...], height: float, *, above: bool) -> tuple[Pair, ...]:
    """What of a convex outline lies above (or below) a height."""
    sign = 1.0 if above else -1.0
    kept: list[Pair] = []
    for k, one in enumerate(corners):
        other = corners[(k + 1) % len(corners)]
        a, b = sign * (one[1] - height), sign * (other[1] - height)
        if a >= 0.0:
            kept.append(one)
        if (a > 0.0 and b < 0.0) or (a < 0.0 and b > 0.0):
            kept.append((one[0] + a / (a - b) * (other[0] - one[0]), height))
    return tuple(kept) if len(kept) > 2 else ()


def area_and_middle(corners: tuple[Pair, ...]) -> tuple[float, float]:
    """Area (m²) of an outline and the height (m) of its middle; 0, 0 for none."""
    total = moment = 0.0
    for k, (x0, z0) in enumerate(corners):
        x1, z1 = corners[(k + 1) % len(corners)]
        cross = x0 * z1 - x1 * z0
        total += 0.5 * cross
        moment += cross * (z0 + z1) / 6.0
    return (total, moment / total) if total > 0.0 else (0.0, 0.0)


def shape_of(cabinet: Cabinet, width: float, height: float, depth: float) -> Shape:
    """The shape that the section decides, with its outside sizes (m) known."""
    outline, half = cabinet.outline, 0.5 * width
    if outline.points:
        corners = _in_order(outline.points)
    elif outline.top_width is None or outline.shoulder >= height:
        corners = ((-half, 0.0), (half, 0.0), (half, height), (-half, height))
    else:
        top = 0.5 * outline.top_width
        corners = ((half, 0.0), (half, outline.shoulder), (top, height),
                   (-top, height), (-half, outline.shoulder), (-half, 0.0))
        if not outline.shoulder:
            corners = ((half, 0.0), (top, height), (-top, height), (-half, 0.0))
        corners = (corners[-1], *corners[:-1])
    return Shape(tuple(corners), depth, outline.front_lean, outline.back_lean)


def _in_order(points: tuple[Pair, ...]) -> tuple[Pair, ...]:
    """Corners anticlockwise from the lowest left one; refuses what is not convex."""
    import shapely

    made = shapely.Polygon(points) if len(points) > 2 else None
    if made is None or not made.is_valid or made.convex_hull.area > made.area * (1.0 + 1e-9):
        raise refuse("cabinet.outline.points", "the outline is not convex.",
                     "Give three corners or more in order, bulging outward everywhere.")
    found = [(float(x), float(z)) for x, z in shapely.orient_polygons(made).exterior.coords[:-1]]
    start = min(range(len(found)), key=lambda k: (found[k][1], found[k][0]))
    return tuple(found[start:] + found[:start])


def level_span(corners: tuple[Pair, ...], height: float) -> tuple[Pair, ...]:
    """Where an outline's edges cross a height: its points (x, z) there, two in a convex one."""
    found = []
    for k, (x0, z0) in enumerate(corners):
        x1, z1 = corners[(k + 1) % len(corners)]
        if z0 != z1 and min(z0, z1) <= height <= max(z0, z1):
            found.append((x0 + (height - z0) / (z1 - z0) * (x1 - x0), height))
    return tuple(found)

"""Small sections through a panel's pockets and bevelled edges, with widths, depths and angles."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from shapely import LineString, Polygon, box, line_merge, union_all
from shapely.affinity import affine_transform, rotate

from speakerwright.drawing.dimensions import length_text
from speakerwright.drawing.marks import (
    Dimension,
    Hatch,
    Line,
    Path,
    Text,
    extent,
    moved,
    region_area,
)
from speakerwright.drawing.panel_features import Face, Seen, Tilted, size_and_slant
from speakerwright.drawing.sheets import SCALES, scale_text
from speakerwright.solids.bevels import degrees_text

if TYPE_CHECKING:
    from speakerwright.solids.panels import Panel

_MARGIN_MM = 12.0  # of wood shown beside a pocket
_MOST = 3
_MOST_BEVELS = 2
_WIDEST_MM = 46.0
_DRAWN_DEG = 0.5  # the least bevel that can be seen in a section


def details(panel: Panel, face: Face, width_mm: float, system: str) -> list[Any]:
    """Sections through bevelled edges and pockets of a panel, side by side; empty without any.

    Bevels of one angle and side are one kind, pockets of one width and depth too; the first two
    kinds of bevels and the first three of pockets are drawn, as far as they fit.
    """
    tilts: dict[tuple[float, bool], Tilted] = {}
    for edge in face.edges:
        if edge.angle_deg >= _DRAWN_DEG:
            tilts.setdefault((round(edge.angle_deg, 1), edge.near), edge)
    kinds: dict[tuple[float, float, bool, bool], tuple[Face, Seen]] = {}
    for seen in face.features:
        if seen.depth is None or seen.circle is not None:
            continue
        turned = levelled(face, seen)
        narrow = _narrow(turned[1])
        low, high = turned[1].shape.bounds[narrow], turned[1].shape.bounds[narrow + 2]
        edge_too = turned[0].outline.exterior.distance(turned[1].shape) < 0.01
        kinds.setdefault((round(high - low, 1), round(seen.depth, 2), seen.near, edge_too), turned)
    every = [_bevel_detail(panel.thickness, edge, system)
             for edge in list(tilts.values())[:_MOST_BEVELS]]
    every += [_detail(panel.thickness, *kind, system) for kind in list(kinds.values())[:_MOST]]
    made: list[Any] = []
    x = 0.0
    for detail in every:
        left, _, right, _ = extent(detail)
        if made and x + right - left > width_mm:
            break
        made += moved(detail, x - left, 0.0)
        x += right - left + 8.0
    return made


def levelled(face: Face, seen: Seen) -> tuple[Face, Seen]:
    """A face and a pocket in it turned so that the pocket lies along x or y."""
    _, slant_deg = size_and_slant(seen.shape)
    if not slant_deg:
        return face, seen
    about = seen.shape.centroid

    def turned(one: Seen) -> Seen:
        return replace(one, shape=rotate(one.shape, -slant_deg, about), circle=None)

    there = replace(face, outline=rotate(face.outline, -slant_deg, about),
                    features=tuple(turned(one) for one in face.features))
    return there, there.features[face.features.index(seen)]


def _narrow(seen: Seen) -> int:
    """The axis along which a pocket is narrow: 0 or 1."""
    left, low, right, high = seen.shape.bounds
    return 0 if right - left <= high - low else 1


def profile(thickness: float, face: Face, seen: Seen) -> Any:
    """The section of a panel across a pocket: along the sheet, and up with the seen face at 0."""
    axis = _narrow(seen)
    point = seen.shape.representative_point()
    at = (point.y, point.x)[axis]
    low, high = seen.shape.bounds[axis] - _MARGIN_MM, seen.shape.bounds[axis + 2] + _MARGIN_MM
    line = LineString([(low, at), (high, at)] if axis == 0 else [(at, low), (at, high)])

    def spans(shape: Any) -> list[tuple[float, float]]:
        cut = line.intersection(shape)
        return [(piece.bounds[axis], piece.bounds[axis + 2])
                for piece in getattr(cut, "geoms", [cut]) if piece.length > 1e-6]

    wood = union_all([box(a, -thickness, b, 0.0) for a, b in spans(face.outline)])
    for other in face.features:
        deep = other.depth if other.depth is not None else thickness
        top, bottom = (0.0, -deep) if other.near else (deep - thickness, -thickness)
        for a, b in spans(other.shape):
            wood = wood.difference(box(a, bottom, b, top))
    return wood


def _detail(thickness: float, face: Face, seen: Seen, system: str) -> list[Any]:
    wood = profile(thickness, face, seen)
    axis = _narrow(seen)
    start, end = seen.shape.bounds[axis], seen.shape.bounds[axis + 2]
    left, _, right, _ = wood.bounds
    scale = next((s for s in SCALES if (right - left) / s <= _WIDEST_MM), SCALES[-1])
    small = affine_transform(wood, (1 / scale, 0.0, 0.0, 1 / scale, -left / scale, 0.0))
    first, last, far = ((value - left) / scale for value in (start, end, right))
    deep, thick = seen_depth(seen) / scale, thickness / scale
    made: list[Any] = [region_area(small), Hatch(small)]
    ends = []  # where the panel goes on beyond the detail there is no edge
    if abs(left - (start - _MARGIN_MM)) < 1e-6:
        ends.append(0.0)
    if abs(right - (end + _MARGIN_MM)) < 1e-6:
        ends.append(far)
    edges = small.boundary
    for x in ends:
        edges = edges.difference(box(x - 1e-3, -thick - 1.0, x + 1e-3, 1.0))
        made.append(Line((x, -thick), (x, 0.0), "dimension"))
    merged = line_merge(edges) if edges.geom_type == "MultiLineString" else edges
    made += [Path(np.asarray(line.coords), "outline")
             for line in getattr(merged, "geoms", [merged])]
    top, floor = (0.0, -deep) if seen.near else (-thick + deep, -thick)
    level, row = (0.0, 5.0) if seen.near else (-thick, -thick - 6.0)
    made.append(Dimension((first, level), (last, level), row, length_text(end - start, system)))
    depth = length_text(seen_depth(seen), system)
    made.append(Dimension((far, floor), (far, top), far + 9.0, depth, True))
    made.append(Dimension((0.0, -thick), (0.0, 0.0), -6.0, length_text(thickness, system), True))
    title = f"{seen.label}, {scale_text(scale).removeprefix('scale ')}"
    middle = far / 2.0
    low = extent(made)[1] - 4.2
    made.append(Text((middle, low), title, anchor="middle"))
    return made


def bevel_profile(thickness: float, edge: Tilted, long: float) -> Any:
    """The section across a bevelled edge, mm: the edge at the left, the seen face at 0."""
    over, under = (edge.set_back, 0.0) if edge.near else (0.0, edge.set_back)
    return Polygon([(over, 0.0), (long, 0.0), (long, -thickness), (under, -thickness)])


def _bevel_detail(thickness: float, edge: Tilted, system: str) -> list[Any]:
    long = edge.set_back + thickness + _MARGIN_MM
    scale = next((s for s in SCALES if long / s <= _WIDEST_MM), SCALES[-1])
    wood = bevel_profile(thickness, edge, long)
    small = affine_transform(wood, (1 / scale, 0.0, 0.0, 1 / scale, 0.0, 0.0))
    thick, back, far = thickness / scale, edge.set_back / scale, long / scale
    made: list[Any] = [region_area(small), Hatch(small)]
    over, under = (back, 0.0) if edge.near else (0.0, back)
    made.append(Path(np.array([(far, 0.0), (over, 0.0), (under, -thick), (far, -thick)]),
                     "outline"))
    made.append(Line((far, -thick), (far, 0.0), "dimension"))
    level, row, foot = (0.0, 5.0, -thick) if edge.near else (-thick, -thick - 6.0, 0.0)
    made.append(Dimension((0.0, level), (back, level), row, length_text(edge.set_back, system)))
    # the angle from square, at the arris of the longer face
    made.append(Line((0.0, foot), (0.0, level), "dimension"))
    square, radius = 90.0 if edge.near else -90.0, 0.62 * thick
    ends = sorted((square, square + (-edge.angle_deg if edge.near else edge.angle_deg)))
    turns = np.radians(np.linspace(ends[0], ends[1], 13))
    made.append(Path(np.column_stack((radius * np.cos(turns), foot + radius * np.sin(turns))),
                     "dimension"))
    way = math.radians(sum(ends) / 2.0)
    tip = (radius * math.cos(way), foot + radius * math.sin(way))
    made.append(Line((-3.0, tip[1]), tip, "dimension"))
    made.append(Text((-3.6, tip[1] - 1.25), degrees_text(edge.angle_deg), anchor="end"))
    made.append(Dimension((far, -thick), (far, 0.0), far + 6.0, length_text(thickness, system),
                          True))
    low = extent(made)[1] - 4.2
    made.append(Text((far / 2.0, low), f"bevel, {scale_text(scale).removeprefix('scale ')}",
                     anchor="middle"))
    return made


def seen_depth(seen: Seen) -> float:
    """The depth of a pocket, mm; ValueError for what goes right through."""
    if seen.depth is None:
        raise ValueError(f"{seen.label} has no depth")
    return seen.depth

"""Small sections through a panel's pockets, with their widths and depths."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from shapely import LineString, box, line_merge, union_all
from shapely.affinity import affine_transform

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
from speakerwright.drawing.panel_features import Face, Seen
from speakerwright.drawing.sheets import SCALES, scale_text

if TYPE_CHECKING:
    from speakerwright.solids.panels import Panel

_MARGIN_MM = 12.0  # of wood shown beside a pocket
_MOST = 3
_WIDEST_MM = 46.0


def pocket_details(panel: Panel, face: Face, width_mm: float, system: str) -> list[Any]:
    """Sections through the kinds of pockets of a panel, side by side; empty without pockets.

    Pockets of one width and depth are one kind; the first three kinds are drawn.
    """
    kinds: dict[tuple[float, float, bool, bool], Seen] = {}
    for seen in face.features:
        if seen.depth is None or seen.circle is not None:
            continue
        narrow = _narrow(seen)
        low, high = seen.shape.bounds[narrow], seen.shape.bounds[narrow + 2]
        edge = low < 0.01 or high > face.size[narrow] - 0.01
        kinds.setdefault((round(high - low, 1), round(seen.depth, 2), seen.near, edge), seen)
    made: list[Any] = []
    x = 0.0
    for seen in list(kinds.values())[:_MOST]:
        detail = _detail(panel.thickness, face, seen, system)
        left, _, right, _ = extent(detail)
        if made and x + right - left > width_mm:
            break
        made += moved(detail, x - left, 0.0)
        x += right - left + 8.0
    return made


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
    if left > 0.01:
        ends.append(0.0)
    if right < face.size[axis] - 0.01:
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


def seen_depth(seen: Seen) -> float:
    """The depth of a pocket, mm; ValueError for what goes right through."""
    if seen.depth is None:
        raise ValueError(f"{seen.label} has no depth")
    return seen.depth

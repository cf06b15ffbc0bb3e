"""Views of panels and bodies: elevations, sections and pictorial views, hidden lines removed.

A view holds its lines in mm of the thing itself, x to the right and y upwards as on the paper;
`View.items` puts it on the paper at a scale.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from speakerwright.drawing.hidden import feature_edges, joined, merged, view_axes, visible_parts
from speakerwright.drawing.marks import Hatch, Path, region_area
from speakerwright.drawing.regions import best_spots

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]
Direction = Literal["front", "back", "left", "right", "top", "bottom"]
Axis = Literal["x", "y", "z"]
Offset = tuple[float, float, float]

_EYES: dict[str, tuple[Offset, Offset]] = {
    "front": ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
    "back": ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "left": ((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    "right": ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    "top": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "bottom": ((0.0, 0.0, -1.0), (0.0, -1.0, 0.0)),
}
_LOOKING = {"x": -1, "y": 1, "z": -1}
_HATCHES = ((45.0, 1.4), (135.0, 1.4), (45.0, 0.9), (135.0, 0.9), (30.0, 1.1), (120.0, 1.1))
_TINT = "#eceef0"
_UNSEEN = ("air plug",)
ISOMETRIC = (1.0, -1.0, 1.0)
"""Towards the eye for an isometric view from the front, the right and above."""


@dataclass(frozen=True, eq=False)
class Stroke:
    """A line of a view: points of shape (n, 2), its meaning, and whether it closes."""

    points: Floats
    kind: str
    closed: bool = False


@dataclass(frozen=True, eq=False)
class Cut:
    """A part's cut face: its region, and its hatching (None for a body that is no wood)."""

    name: str
    region: BaseGeometry
    hatch: tuple[float, float] | None
    fill: str = "#ffffff"


@dataclass(frozen=True, eq=False)
class View:
    """A view, in mm of the thing itself.

    Attributes
    ----------
    axes : ndarray, shape (3, 3)
        Rows to the right, upwards and towards the eye, in cabinet coordinates.
    strokes, cuts : tuple
        Lines, and cut faces in the order in which they are painted.
    bounds : tuple of float
        Left, bottom, right and top.
    spots : mapping
        For each part that is seen, the middle and half width of its largest visible region.
    """

    axes: Floats
    strokes: tuple[Stroke, ...]
    cuts: tuple[Cut, ...]
    bounds: tuple[float, float, float, float]
    spots: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        return self.bounds[2] - self.bounds[0], self.bounds[3] - self.bounds[1]

    def at(self, point: Sequence[float]) -> tuple[float, float]:
        """Where a point of the cabinet lies in the view."""
        x, y = self.axes[:2] @ np.asarray(point, dtype=float)
        return float(x), float(y)

    def items(self, scale: int, origin: tuple[float, float] = (0.0, 0.0)) -> list[Any]:
        """The view on paper at 1:`scale`, the view's (0, 0) at `origin`."""
        from shapely.affinity import affine_transform

        shift = np.array(origin)
        made: list[Any] = []
        regions = [affine_transform(cut.region, (1.0 / scale, 0.0, 0.0, 1.0 / scale, *origin))
                   for cut in self.cuts]
        for cut, region in zip(self.cuts, regions, strict=True):
            made.append(region_area(region, cut.fill))
            if cut.hatch is not None:
                made.append(Hatch(region, *cut.hatch))
            made.append(region_area(region, "", "outline"))
        for stroke in sorted(self.strokes, key=lambda stroke: stroke.kind):
            made.append(Path(stroke.points / scale + shift, stroke.kind, stroke.closed))
        return made


def solid_of(part: Any) -> Any:
    """The solid of a panel or a body as it is drawn, in cabinet coordinates."""
    drawn = getattr(part, "drawn", None)
    if drawn is not None:
        return drawn
    return part.solid() if callable(part.solid) else part.solid


def elevation(
    parts: Sequence[Any], direction: Direction = "front", *, hidden: bool = False
) -> View:
    """A view from one side.

    Parameters
    ----------
    parts : sequence of Panel or Body
    direction : {"front", "back", "left", "right", "top", "bottom"}
        Where the eye is. Seen from the right the front is at the left hand.
    hidden : bool
        Whether hidden edges are drawn, dashed.
    """
    return _view(parts, view_axes(*_EYES[direction]), hidden=hidden)


def pictorial(
    parts: Sequence[Any], *, toward: Sequence[float] = ISOMETRIC,
    explode: Mapping[str, Offset] | None = None,
) -> View:
    """A view from a corner; isometric by default, true to scale along the three axes.

    Parameters
    ----------
    parts : sequence of Panel or Body
    toward : sequence of float
        From the cabinet to the eye. Another direction than along a diagonal gives another
        parallel view, which is not true to scale along the axes.
    explode : mapping of name to (x, y, z)
        By how much parts are moved, mm; see `exploded`.
    """
    axes = view_axes(toward)
    if np.allclose(np.abs(np.asarray(toward) / np.linalg.norm(toward)), 3.0**-0.5):
        axes = axes * 1.5**0.5  # ISO 5456-3: isometric with the axes at full length
    return _view(parts, axes, explode=explode or {})


def section(
    parts: Sequence[Any], axis: Axis = "x", at: float = 0.0, *, looking: int | None = None
) -> View:
    """A section square to an axis, with what lies beyond it.

    Parameters
    ----------
    parts : sequence of Panel or Body
        Panels are hatched; bodies (drive units, horns, ports) are cut but left clear.
    axis : {"x", "y", "z"}
    at : float
        Where the plane cuts the axis, mm.
    looking : {1, -1}, optional
        Along the axis or against it. By default x and z sections are looked at against their
        axis (the front at the left; from above), y sections from the front.
    """
    sign = looking if looking is not None else _LOOKING[axis]
    toward, along = np.zeros(3), np.zeros(3)
    toward["xyz".index(axis)] = -sign
    along["xyz".index(axis)] = sign
    axes = view_axes(toward.tolist(), (0.0, -float(sign), 0.0) if axis == "z" else (0.0, 0.0, 1.0))
    plane = -sign * at
    shown = [part for part in parts if _drawn(part)]
    cuts = _cuts(shown, axes, plane)
    rest = [_Trimmed(part.name, solid_of(part).trim_by_plane(tuple(along), sign * at))
            for part in shown]
    view = _view([part for part in rest if not part.solid.is_empty()], axes, beyond=plane)
    bounds = [view.bounds, *(cut.region.bounds for cut in cuts)]
    low, high = np.min(bounds, axis=0), np.max(bounds, axis=0)
    box = (float(low[0]), float(low[1]), float(high[2]), float(high[3]))
    return View(axes, view.strokes, tuple(cuts), box)


def exploded(parts: Sequence[Any], gap: float | None = None) -> dict[str, Offset]:
    """How far to move each part so that an assembly opens like a drawer, mm.

    Every panel goes outwards from the middle of the cabinet along its own thinnest direction, a
    body to the front, or away from the wall that it is let into and after that; a rod stays.
    `gap` is how far an outer panel goes, mm; by default 0.4 of the cabinet's least dimension.
    """
    parts = [part for part in parts if not solid_of(part).is_empty()]
    boxes = {part.name: np.array(solid_of(part).bounding_box()) for part in parts}
    if not boxes:
        return {}
    low = np.min([box[:3] for box in boxes.values()], axis=0)
    high = np.max([box[3:] for box in boxes.values()], axis=0)
    middle = (low + high) / 2.0
    gap = 0.4 * float((high - low).min()) if gap is None else gap
    moves: dict[str, Offset] = {}
    for part in parts:
        box = boxes[part.name]
        centre, size = (box[:3] + box[3:]) / 2.0, box[3:] - box[:3]
        way = int(np.argmin(size)) if hasattr(part, "thickness") else 1
        off = (centre - middle)[way] / max(high[way] - low[way], 1e-9)
        offset = [0.0, 0.0, 0.0]
        if not hasattr(part, "thickness"):
            axis, sign = _way_out(part, parts)
            reach = 1.6 * gap if axis == 1 and sign < 0.0 else 1.25 * gap
            offset[axis] = sign * (reach + float(size[axis])) if sign else 0.0
        elif abs(off) > 0.02:
            offset[way] = float(np.sign(off)) * gap * (1.0 if abs(off) > 0.3 else 0.35)
        moves[part.name] = (offset[0], offset[1], offset[2])
    return moves


def _way_out(body: Any, parts: Sequence[Any]) -> tuple[int, float]:
    """The axis and direction in which a body leaves: those of the wall it is let into."""
    if getattr(body, "kind", "") == "rod":
        return 1, 0.0
    names = {body.name, getattr(body, "part_of", "")} - {""}
    for panel in parts:
        if any(f.mate in names for f in getattr(panel, "features", ())):
            normal = np.array(panel.placement.normal)
            axis = int(np.argmax(np.abs(normal)))
            return axis, float(np.sign(normal[axis]))
    return 1, -1.0


@dataclass(frozen=True, eq=False)
class _Trimmed:
    """What a section leaves of a part."""

    name: str
    solid: Any


def _drawn(part: Any) -> bool:
    return getattr(part, "kind", "") not in _UNSEEN and not solid_of(part).is_empty()


def _triangles(solid: Any) -> tuple[Floats, NDArray[np.int64]]:
    from speakerwright.solids.meshes import triangles

    return triangles(solid)


def _view(
    parts: Sequence[Any], axes: Floats, *, hidden: bool = False, beyond: float | None = None,
    explode: Mapping[str, Offset] | None = None,
) -> View:
    """Project parts; with `beyond` edges in that plane are left to the cut faces."""
    names: list[str] = []
    edges, faces, owner = [], [], []
    for part in parts:
        if not _drawn(part):
            continue
        points, corners = _triangles(solid_of(part))
        moved = points + np.array((explode or {}).get(part.name, (0.0, 0.0, 0.0)))
        seen = np.asarray(moved @ axes.T)
        found = feature_edges(seen, corners, far_too=hidden)
        if beyond is not None:
            found = found[~(np.abs(found[:, :, 2] - beyond) < 1e-6).all(axis=1)]
        edges.append(found)
        faces.append(seen[corners])
        owner.append(np.full(len(corners), len(names), dtype=np.int64))
        names.append(part.name)
    if not names:
        raise ValueError("a view needs at least one part")
    every = np.concatenate(faces)
    shown, behind = visible_parts(np.concatenate(edges), every)
    clear = merged(shown)
    kind = "outline" if beyond is None else "thin"
    strokes = [Stroke(points, kind, closed) for points, closed in joined(clear)]
    if hidden:
        strokes += [Stroke(points, "hidden", closed)
                    for points, closed in joined(merged(behind, less=clear))]
    spots = {}
    if explode is not None:
        best = best_spots(every, np.concatenate(owner), len(names))
        spots = {name: spot for name, spot in zip(names, best, strict=True) if spot is not None}
    low, high = every[:, :, :2].min(axis=(0, 1)), every[:, :, :2].max(axis=(0, 1))
    bounds = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return View(axes, tuple(strokes), (), bounds, spots)


def cut_region(solid: Any, axes: Floats, plane: float) -> BaseGeometry:
    """The cut face of a solid where z of the view equals `plane`, by the even-odd rule."""
    from shapely import Polygon

    turned = solid.transform(np.column_stack([axes, np.zeros(3)]))
    region: BaseGeometry = Polygon()
    for ring in sorted(turned.slice(plane).to_polygons(), key=lambda ring: len(ring)):
        if len(ring) >= 3:
            region = region.symmetric_difference(Polygon(ring))
    return region


def _cuts(parts: Sequence[Any], axes: Floats, plane: float) -> list[Cut]:
    """Cut faces: panels hatched, neighbours unlike each other; bodies over them."""
    wood: list[Cut] = []
    other: list[Cut] = []
    for part in parts:
        region = cut_region(solid_of(part), axes, plane)
        if region.area < 1e-6:
            continue
        if hasattr(part, "kind"):
            fill = "#ffffff" if part.kind == "port" else _TINT
            other.append(Cut(part.name, region, None, fill))
            continue
        taken = {cut.hatch for cut in wood if cut.region.distance(region) < 0.5}
        free = [hatch for hatch in _HATCHES if hatch not in taken]
        wood.append(Cut(part.name, region, (free or list(_HATCHES))[0]))
    return wood + other

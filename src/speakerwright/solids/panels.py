"""Panels: an outline, a thickness, features, and a place in the cabinet.

A panel's own axes lie in its outside face as seen from outside: u to the right, v up, and
w = u x v out of the face. Its body reaches from the face in the direction -w by its thickness.
Features on both faces are drawn in the same (u, v), as if seen through from outside.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise, product
from typing import Literal, Self, TypeAlias

import numpy as np
import shapely

from speakerwright.solids.meshes import Box, Manifold, Point, cut, prism
from speakerwright.solids.shapes import (
    FloatArray,
    Polygon,
    circle,
    rectangle,
    require_above_zero,
)

Kind = Literal["through", "pocket", "drill"]
Face = Literal["outside", "inside"]
Bounds: TypeAlias = tuple[float, float, float, float]  # u0 v0 u1 v1

BEYOND = 1.0  # how far cutting solids reach past the face, so that no faces coincide, mm
_AREA_NOISE = 1e-9  # mm²; less than this is rounding


@dataclass(frozen=True)
class Placement:
    """Where a panel stands: origin (mm) and the directions of its axes u and v.

    u and v are orthonormal; the normal w = u x v points out of the outside face.
    """

    origin: Point
    u: Point
    v: Point

    def __post_init__(self) -> None:
        u, v = np.array(self.u), np.array(self.v)
        if not np.allclose([u @ u, v @ v, u @ v], [1.0, 1.0, 0.0], rtol=0.0, atol=1e-9):
            raise ValueError("a panel's axes must be of length one and square to each other")
        if not np.isfinite(self.origin).all():
            raise ValueError("a panel's origin must be finite")

    @classmethod
    def facing(cls, origin: Point, normal: Point, u: Point) -> Self:
        """A placement by its outward normal and its axis u; both of any length, square."""
        w, along = (np.array(d) / np.linalg.norm(d) for d in (normal, u))
        across = np.cross(w, along)
        return cls(origin, _point(along), _point(across))

    @property
    def normal(self) -> Point:
        """The outward normal w = u x v."""
        return _point(np.cross(self.u, self.v))

    @property
    def matrix(self) -> FloatArray:
        """Local to world, shape (4, 4), for columns (u, v, w, 1)."""
        matrix = np.eye(4)
        matrix[:3] = np.column_stack((self.u, self.v, np.cross(self.u, self.v), self.origin))
        return matrix

    def to_world(self, points: FloatArray | Sequence[Sequence[float]]) -> FloatArray:
        """World coordinates (n, 3) of local points (n, 3), mm."""
        matrix = self.matrix
        return np.asarray(points, dtype=float) @ matrix[:3, :3].T + matrix[:3, 3]

    def to_local(self, points: FloatArray | Sequence[Sequence[float]]) -> FloatArray:
        """Local coordinates (n, 3) of world points (n, 3), mm."""
        matrix = self.matrix
        return (np.asarray(points, dtype=float) - matrix[:3, 3]) @ matrix[:3, :3]


def _point(values: FloatArray) -> Point:
    return float(values[0]), float(values[1]), float(values[2])


@dataclass(frozen=True, eq=False)
class Feature:
    """Something cut into a panel.

    Attributes
    ----------
    kind : {"through", "pocket", "drill"}
        Right through, a flat-bottomed pocket, or a blind round hole.
    shape : Polygon
        As cut, local mm, with its clearance; a panel clips it to its outline.
    face : {"outside", "inside"}
        The face it is cut from.
    depth : float or None
        Depth from that face, mm; None for "through".
    label : str
        What it is for.
    circle : tuple of float or None
        Exact centre and diameter (cx, cy, diameter) of a round one, mm.
    mate : str or None
        The part that goes into it.
    nominal : Polygon or None
        The mating shape without clearance, local mm.
    overrun : Polygon or None
        The shape before the panel clipped it: a cutter may run out over the edge.
    """

    kind: Kind
    shape: Polygon
    face: Face
    depth: float | None
    label: str
    circle: tuple[float, float, float] | None = None
    mate: str | None = None
    nominal: Polygon | None = None
    overrun: Polygon | None = None

    def __post_init__(self) -> None:
        _require_shape(self.shape, f"the shape of {self.label}")
        object.__setattr__(self, "shape", _without_dust(self.shape))
        if (self.kind == "through") != (self.depth is None):
            raise ValueError(f"{self.label}: a depth is for pockets and blind holes, all of them")
        if self.kind == "drill" and self.circle is None:
            raise ValueError(f"{self.label}: a drilled hole is round")
        if self.depth is not None and not self.depth > 0.0:
            raise ValueError(f"{self.label}: the depth must be above zero")


def _require_shape(shape: Polygon, what: str) -> None:
    if not isinstance(shape, Polygon) or shape.is_empty or not shape.is_valid:
        raise ValueError(f"{what} is no simple closed outline")
    if not (math.isfinite(shape.area) and shape.area > _AREA_NOISE):
        raise ValueError(f"{what} has no area")


def _without_dust(shape: Polygon) -> Polygon:
    """The shape with coordinates below 1e-12 mm set to zero.

    Differences of shapes silently come out wrong when products of coordinates underflow.
    """
    def swept(points: FloatArray) -> FloatArray:
        return np.where(np.abs(points) < 1e-12, 0.0, points)

    return shapely.transform(shape, swept)


def hole(cx: float, cy: float, diameter: float, label: str, *, face: Face = "outside",
         mate: str | None = None, nominal: Polygon | None = None) -> Feature:
    """A round hole right through; centre and diameter in local mm."""
    return Feature("through", circle(cx, cy, diameter), face, None, label, (cx, cy, diameter),
                   mate, nominal)


def drill(cx: float, cy: float, diameter: float, depth: float, face: Face, label: str, *,
          mate: str | None = None, nominal: Polygon | None = None) -> Feature:
    """A blind round hole of flat bottom; centre, diameter and depth in mm."""
    return Feature("drill", circle(cx, cy, diameter), face, depth, label, (cx, cy, diameter),
                   mate, nominal)


def cutout(polygon: Polygon, label: str, *, face: Face = "outside", mate: str | None = None,
           nominal: Polygon | None = None) -> Feature:
    """An opening of any shape right through, local mm."""
    return Feature("through", polygon, face, None, label, None, mate, nominal)


def pocket(polygon: Polygon, depth: float, face: Face, label: str, *,
           circle: tuple[float, float, float] | None = None, mate: str | None = None,
           nominal: Polygon | None = None) -> Feature:
    """A flat-bottomed pocket: a dado, a groove, a recess (name its `circle` when it is round)."""
    return Feature("pocket", polygon, face, depth, label, circle, mate, nominal)


def rebate(start: tuple[float, float], end: tuple[float, float], width: float, depth: float,
           face: Face, label: str, *, run_out: float = BEYOND, past_ends: float = 0.0,
           mate: str | None = None, nominal: Polygon | None = None) -> Feature:
    """A rebate along an edge of the outline.

    Parameters
    ----------
    start, end : tuple of float
        Ends of the edge, local mm, with the panel on the left hand (outlines run anticlockwise).
    width, depth : float
        Into the panel from the edge, and from the face, mm.
    face : {"outside", "inside"}
        The face it is cut from.
    label : str
        What it is for.
    run_out : float
        How far the cut reaches out over the edge, mm; the panel clips it.
    past_ends : float
        How far it runs on past both ends, mm; 0 for a stopped rebate.
    """
    require_above_zero(width=width, length=math.dist(start, end))
    along = (np.array(end) - start) / math.dist(start, end)
    left = np.array((-along[1], along[0]))
    first, last = start - past_ends * along, end + past_ends * along
    corners = (first - run_out * left, last - run_out * left, last + width * left,
               first + width * left)
    return pocket(Polygon(corners), depth, face, label, mate=mate, nominal=nominal)


@dataclass(frozen=True, eq=False)
class Panel:
    """A panel of the cabinet.

    Attributes
    ----------
    name : str
        Its name, unique in the cabinet.
    outline : Polygon
        Its outline at the outside face, local mm; holes in it count as openings.
    thickness : float
        mm, above zero.
    placement : Placement
        Where it stands.
    features : tuple of Feature
        What is cut into it; shapes that cross the outline are clipped to it.
    material : str
        A name in `densities.DENSITIES`, or of the caller's own.
    grain : {"u", "v"} or None
        The direction of the face grain.
    role : str
        What it does: baffle, side, brace.
    """

    name: str
    outline: Polygon
    thickness: float
    placement: Placement
    features: tuple[Feature, ...] = ()
    material: str = "birch plywood"
    grain: Literal["u", "v"] | None = None
    role: str = ""

    def __post_init__(self) -> None:
        _require_shape(self.outline, f"the outline of {self.name}")
        object.__setattr__(self, "outline", _without_dust(self.outline))
        if not (math.isfinite(self.thickness) and self.thickness > 0.0):
            raise ValueError(f"{self.name}: the thickness must be above zero")
        object.__setattr__(self, "features", tuple(self._fitted(f) for f in self.features))

    def _fitted(self, feature: Feature) -> Feature:
        """The feature, clipped to the outline; ValueError when it does not fit the panel."""
        where = f"{self.name}, {feature.label}"
        if feature.depth is not None and not feature.depth < self.thickness:
            raise ValueError(f"{where}: the depth must be below the thickness")
        if shapely.difference(feature.shape, self.outline).area <= _AREA_NOISE:
            return feature
        parts = [p for p in shapely.get_parts(shapely.intersection(feature.shape, self.outline))
                 if p.area > _AREA_NOISE]
        if not parts:
            raise ValueError(f"{where}: it lies beside the panel")
        if len(parts) > 1:
            raise ValueError(f"{where}: the outline cuts it apart; give each piece by itself")
        return replace(feature, shape=parts[0], overrun=feature.overrun or feature.shape)

    def solid(self) -> Manifold:
        """The panel as a solid in world coordinates, mm; built once."""
        return self._solid

    @cached_property
    def _solid(self) -> Manifold:
        body = prism(self.outline, -self.thickness, 0.0)
        if self.features:
            body = cut(body, [self._cutter(f) for f in self.features])
        return body.transform(self.placement.matrix[:3])

    def near(self, box: Box) -> Manifold:
        """The panel's solid in and around a world box, mm: at least all that lies in the box.

        What lies beyond may be left out, which makes it cheap to intersect with something small.
        """
        corners = self.placement.to_local(list(product(box[0::3], box[1::3], box[2::3])))
        u0, v0, _ = corners.min(axis=0) - BEYOND
        u1, v1, _ = corners.max(axis=0) + BEYOND
        low_u, low_v, high_u, high_v = self.outline.bounds
        if u0 <= low_u and v0 <= low_v and u1 >= high_u and v1 >= high_v:
            return self.solid()
        window = rectangle(float(u0), float(v0), float(u1), float(v1))
        pieces = [piece for piece in shapely.get_parts(shapely.intersection(self.outline, window))
                  if piece.area > _AREA_NOISE]
        if not pieces:
            return Manifold()
        body = prism(shapely.MultiPolygon(pieces), -self.thickness, 0.0)
        cutters = [self._cutter(f) for f in self.features
                   if shapely.intersects(f.overrun or f.shape, window)]
        if cutters:
            body = cut(body, cutters)
        return body.transform(self.placement.matrix[:3])

    def _cutter(self, feature: Feature) -> Manifold:
        shape, t = feature.overrun or feature.shape, self.thickness
        low, high = self._span(feature)
        return prism(shape, low if low > -t else -t - BEYOND, high if high < 0.0 else BEYOND)

    def _span(self, feature: Feature) -> tuple[float, float]:
        """Lowest and highest w of what a feature takes away."""
        if feature.depth is None:
            return -self.thickness, 0.0
        if feature.face == "outside":
            return -feature.depth, 0.0
        return -self.thickness, feature.depth - self.thickness

    @property
    def area(self) -> float:
        """Area of the outline, mm²."""
        return float(self.outline.area)

    @property
    def openings(self) -> Polygon:
        """All that is cut right through by single features, as one shape (it may be empty)."""
        return shapely.union_all([f.shape for f in self.features if f.kind == "through"])

    @cached_property
    def levels(self) -> tuple[float, ...]:
        """Heights w between which the panel is the same all through, upwards, mm."""
        spans = [self._span(f) for f in self.features]
        return tuple(sorted({-self.thickness, 0.0}.union(*spans)))

    def gone_between(self, low: float, high: float) -> list[tuple[Polygon, Bounds]]:
        """What is cut away between two levels: shapes with their bounds, local mm."""
        return [(f.shape, bounds) for f, span, bounds in self._spans
                if span[0] <= low and high <= span[1]]

    @cached_property
    def _spans(self) -> tuple[tuple[Feature, tuple[float, float], Bounds], ...]:
        return tuple((f, self._span(f), f.shape.bounds) for f in self.features)

    @cached_property
    def _slabs(self) -> tuple[tuple[float, float, float, float], ...]:
        """Volume and centre (u, v, w) of what is left between levels; overlaps count once."""
        found = []
        for low, high in pairwise(self.levels):
            gone = [shape for shape, _ in self.gone_between(low, high)]
            left = shapely.difference(self.outline, shapely.union_all(gone))
            if left.area > 0.0:
                middle = left.centroid
                found.append((float(left.area) * (high - low), float(middle.x), float(middle.y),
                              0.5 * (low + high)))
        return tuple(found)

    @property
    def net_volume(self) -> float:
        """Volume of the cut panel, mm³, slab by slab from flat areas."""
        return sum(volume for volume, *_ in self._slabs)

    @property
    def centre(self) -> Point:
        """Centre of volume of the cut panel, world mm, from the same slabs."""
        slabs = np.array(self._slabs)
        return _point(self.placement.to_world([slabs[:, 0] @ slabs[:, 1:] / slabs[:, 0].sum()])[0])

    @cached_property
    def bounding_box(self) -> Box:
        """World box around the uncut panel, mm; the least one for a panel square to the axes."""
        u0, v0, u1, v1 = self.outline.bounds
        corners = self.placement.to_world(
            list(product((u0, u1), (v0, v1), (-self.thickness, 0.0))))
        low, high = corners.min(axis=0), corners.max(axis=0)
        return (float(low[0]), float(low[1]), float(low[2]),
                float(high[0]), float(high[1]), float(high[2]))

    @property
    def bounding_size(self) -> tuple[float, float]:
        """Size of the outline along u and along v, mm."""
        u0, v0, u1, v1 = self.outline.bounds
        return float(u1 - u0), float(v1 - v0)

    def with_feature(self, *features: Feature) -> Panel:
        """The panel with more features."""
        return replace(self, features=self.features + features)


def plain(name: str, width: float, height: float, thickness: float, placement: Placement,
          *, material: str = "birch plywood", grain: Literal["u", "v"] | None = None,
          role: str = "") -> Panel:
    """A rectangular panel from (0, 0) to (width, height) in its own axes, mm."""
    return Panel(name, rectangle(0.0, 0.0, width, height), thickness, placement, (),
                 material, grain, role)

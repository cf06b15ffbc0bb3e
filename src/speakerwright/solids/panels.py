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

from speakerwright.solids.features import (
    AREA_NOISE,
    BEYOND,
    Face,
    Feature,
    Kind,
    cutout,
    drill,
    hole,
    pocket,
    rebate,
    require_shape,
    without_dust,
)
from speakerwright.solids.meshes import Box, Manifold, Point, centroid, cut, prism, stack
from speakerwright.solids.shapes import FloatArray, Polygon, rectangle

Bounds: TypeAlias = tuple[float, float, float, float]  # u0 v0 u1 v1

__all__ = ["Bounds", "Face", "Feature", "Kind", "Panel", "Placement", "cutout", "drill", "hole",
           "plain", "pocket", "rebate"]


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
    bevels : tuple of float
        Tangent of each edge's tilt, in the order of the exterior outline's corners (edge k runs
        from corner k to the next); empty when all are square. At a depth s below the outside face
        the edge lies s times this further out than the outline, below zero further in. Only a
        convex outline can have them.
    """

    name: str
    outline: Polygon
    thickness: float
    placement: Placement
    features: tuple[Feature, ...] = ()
    material: str = "birch plywood"
    grain: Literal["u", "v"] | None = None
    role: str = ""
    bevels: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        require_shape(self.outline, f"the outline of {self.name}")
        object.__setattr__(self, "outline", without_dust(self.outline))
        if not (math.isfinite(self.thickness) and self.thickness > 0.0):
            raise ValueError(f"{self.name}: the thickness must be above zero")
        if self.bevels:
            self._require_bevels()
        object.__setattr__(self, "features", tuple(self._fitted(f) for f in self.features))

    def _require_bevels(self) -> None:
        if len(self.bevels) != len(self.outline.exterior.coords) - 1:
            raise ValueError(f"{self.name}: one bevel for every edge of the outline, or none")
        if not all(math.isfinite(bevel) for bevel in self.bevels):
            raise ValueError(f"{self.name}: a bevel must be finite")
        if not any(self.bevels):
            object.__setattr__(self, "bevels", ())
            return
        if self.outline.convex_hull.area - self.outline.area > AREA_NOISE * self.outline.area:
            raise ValueError(f"{self.name}: only a convex outline can have bevelled edges")
        inside = self.section(self.thickness)
        if not (inside.is_valid and inside.area > AREA_NOISE):
            raise ValueError(f"{self.name}: its bevels leave nothing of the inside face")

    def section(self, depth: float) -> Polygon:
        """Its outline at a depth below the outside face, local mm; openings left out."""
        return Polygon(offset_corners(self.outline, self.bevels, depth))

    @cached_property
    def blank(self) -> Polygon:
        """The flat outline that holds both faces: what is cut square before it is bevelled."""
        if not self.bevels:
            return self.outline
        wider = [max(bevel, 0.0) for bevel in self.bevels]
        return Polygon(offset_corners(self.outline, wider, self.thickness),
                       [ring.coords for ring in self.outline.interiors])

    def _fitted(self, feature: Feature) -> Feature:
        """The feature, clipped to the outline; ValueError when it does not fit the panel."""
        where = f"{self.name}, {feature.label}"
        if feature.depth is not None and not feature.depth < self.thickness:
            raise ValueError(f"{where}: the depth must be below the thickness")
        if shapely.difference(feature.shape, self.blank).area <= AREA_NOISE:
            return feature
        parts = [p for p in shapely.get_parts(shapely.intersection(feature.shape, self.blank))
                 if p.area > AREA_NOISE]
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
        body = self._uncut
        if self.features:
            body = cut(body, [self._cutter(f) for f in self.features])
        return body.transform(self.placement.matrix[:3])

    @property
    def _uncut(self) -> Manifold:
        """The board without features in its own axes."""
        if not self.bevels:
            return prism(self.outline, -self.thickness, 0.0)
        faces = [np.column_stack((offset_corners(self.outline, self.bevels, depth),
                                  np.full(len(self.bevels), -depth)))
                 for depth in (self.thickness, 0.0)]
        body = stack(faces)
        holes = [Polygon(ring.coords) for ring in self.outline.interiors]
        return cut(body, [prism(h, -self.thickness - BEYOND, BEYOND) for h in holes])

    def near(self, box: Box) -> Manifold:
        """The panel's solid in and around a world box, mm: at least all that lies in the box.

        What lies beyond may be left out, which makes it cheap to intersect with something small.
        """
        corners = self.placement.to_local(list(product(box[0::3], box[1::3], box[2::3])))
        u0, v0, _ = corners.min(axis=0) - BEYOND
        u1, v1, _ = corners.max(axis=0) + BEYOND
        low_u, low_v, high_u, high_v = self.blank.bounds
        if self.bevels or (u0 <= low_u and v0 <= low_v and u1 >= high_u and v1 >= high_v):
            return self.solid()
        window = rectangle(float(u0), float(v0), float(u1), float(v1))
        pieces = [piece for piece in shapely.get_parts(shapely.intersection(self.outline, window))
                  if piece.area > AREA_NOISE]
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
        if self.bevels:
            return float(self._solid.volume())
        return sum(volume for volume, *_ in self._slabs)

    @property
    def centre(self) -> Point:
        """Centre of volume of the cut panel, world mm, from the same slabs."""
        if self.bevels:
            return centroid(self._solid)
        slabs = np.array(self._slabs)
        return _point(self.placement.to_world([slabs[:, 0] @ slabs[:, 1:] / slabs[:, 0].sum()])[0])

    @cached_property
    def bounding_box(self) -> Box:
        """World box around the uncut panel, mm; the least one for a panel square to the axes."""
        if self.bevels:
            x0, y0, z0, x1, y1, z1 = self._uncut.transform(self.placement.matrix[:3]).bounding_box()
            return x0, y0, z0, x1, y1, z1
        u0, v0, u1, v1 = self.outline.bounds
        corners = self.placement.to_world(
            list(product((u0, u1), (v0, v1), (-self.thickness, 0.0))))
        low, high = corners.min(axis=0), corners.max(axis=0)
        return (float(low[0]), float(low[1]), float(low[2]),
                float(high[0]), float(high[1]), float(high[2]))

    @property
    def bounding_size(self) -> tuple[float, float]:
        """Size of the blank along u and along v, mm."""
        u0, v0, u1, v1 = self.blank.bounds
        return float(u1 - u0), float(v1 - v0)

    def with_feature(self, *features: Feature) -> Panel:
        """The panel with more features."""
        return replace(self, features=self.features + features)


def offset_corners(outline: Polygon, bevels: Sequence[float], depth: float) -> FloatArray:
    """Corners (n, 2) of a convex outline with every edge moved out by its bevel times a depth.

    Edges stay straight and parallel; corners are where neighbours cross.
    """
    corners = np.asarray(outline.exterior.coords)[:-1, :2]
    if not any(bevels) or not depth:
        return corners
    turn = 1.0 if outline.exterior.is_ccw else -1.0
    along = np.roll(corners, -1, axis=0) - corners
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    out = turn * np.column_stack((along[:, 1], -along[:, 0]))
    reach = np.einsum("ij,ij->i", out, corners) + depth * np.asarray(bevels)
    before, reach_before = np.roll(out, 1, axis=0), np.roll(reach, 1)
    return np.asarray(np.linalg.solve(np.stack((before, out), axis=1),
                                      np.stack((reach_before, reach), axis=1)[..., None])[..., 0])


def plain(name: str, width: float, height: float, thickness: float, placement: Placement,
          *, material: str = "birch plywood", grain: Literal["u", "v"] | None = None,
          role: str = "") -> Panel:
    """A rectangular panel from (0, 0) to (width, height) in its own axes, mm."""
    return Panel(name, rectangle(0.0, 0.0, width, height), thickness, placement, (),
                 material, grain, role)

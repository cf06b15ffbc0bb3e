"""Parts as convex pieces, and which part lies in the way of which along a direction. mm.

Two convex pieces that do not overlap lie one behind the other along a direction, or miss each
other. So a part meets another on a straight way out, however far, exactly where the shadows of two
of their pieces overlap and the other's piece lies ahead: nothing is stepped, nothing is jumped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from speakerwright.solids.assembly import Part, room
from speakerwright.solids.features import Feature
from speakerwright.solids.meshes import Box, Point, prism, triangles
from speakerwright.solids.panels import Panel, Placement
from speakerwright.solids.shapes import FloatArray, Polygon

SLIDING = 1e-3  # mm; shadows that overlap less than this pass each other: half the least clearance
OVERLAP = 1e-2  # mm; pieces that share more than this along the way are in one place
_NEAR = 0.5  # mm around a feature in which another part counts as standing in it
_LEAST = 1e-9  # mm²
_FLAT = 1e-9  # of a plane's slope along the way
_HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Piece:
    """A convex piece: corners (n, 3), and planes (m, 4) with a . x <= b, rows (a, b); world mm."""

    corners: FloatArray
    planes: FloatArray


def box_of(part: Part) -> Box:
    """The bounding box of the room that a part needs, world mm."""
    return part.bounding_box if isinstance(part, Panel) else room(part).bounding_box()


def pieces_of(part: Part, others: Sequence[Box] | None = None) -> list[Piece]:
    """The convex pieces of a part.

    Parameters
    ----------
    part : Panel or Body
        A body counts by its convex hull, which holds for rods and battens but fills a basket.
    others : sequence of Box, optional
        Boxes of the other parts. Given, holes and pockets that none of them reaches into are
        counted as wood: quicker, and never less in the way.
    """
    if not isinstance(part, Panel):
        return [_hull(part)]
    if others is not None:
        kept = tuple(f for f in part.features if _reached(part, f, others))
        part = part if len(kept) == len(part.features) else replace(part, features=kept)
    if part.bevels:
        return _bevelled(part)
    return [_moved(part.placement, *_prism(flat, low, high))
            for low, high in pairwise(part.levels) for flat in _left(part, part.outline, low, high)]


def _hull(part: Part) -> Piece:
    points, faces = triangles(room(part).hull())
    corners = points[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normals, axis=1)
    sound = size > _LEAST
    normals = normals[sound] / size[sound, None]
    return Piece(points, np.column_stack(
        (normals, np.einsum("ij,ij->i", normals, corners[sound, 0]))))


def _reached(panel: Panel, feature: Feature, others: Sequence[Box]) -> bool:
    """Whether another part's box reaches into what a feature takes away."""
    shape, t = feature.overrun or feature.shape, panel.thickness
    low, high = -t, 0.0
    if feature.depth is not None:
        low, high = (-feature.depth, 0.0) if feature.face == "outside" else (-t, feature.depth - t)
    u0, v0, u1, v1 = shape.bounds
    corners = panel.placement.to_world(
        [(u, v, w) for u in (u0, u1) for v in (v0, v1) for w in (low, high)])
    least, most = corners.min(axis=0) - _NEAR, corners.max(axis=0) + _NEAR
    return any((least < box[3:]).all() and (most > box[:3]).all() for box in others)


def _left(panel: Panel, outline: Polygon, low: float, high: float) -> list[FloatArray]:
    """Corners (n, 2) of convex flats that make up what is left between two levels."""
    gone = [shape for shape, _ in panel.gone_between(low, high)]
    left = shapely.difference(outline, shapely.union_all(gone)) if gone else outline
    found = []
    for area in shapely.get_parts(left):
        if area.area <= _LEAST:
            continue
        convex = not area.interiors and area.convex_hull.area - area.area <= _LEAST * area.area
        flats = [area] if convex else shapely.get_parts(
            shapely.constrained_delaunay_triangles(area))
        found += [np.asarray(shapely.orient_polygons(flat).exterior.coords)[:-1]
                  for flat in flats if flat.area > _LEAST]
    return found


def _prism(flat: FloatArray, low: float, high: float) -> tuple[FloatArray, FloatArray]:
    """Corners and planes of an upright prism over a convex flat, local mm."""
    corners = np.vstack([np.column_stack((flat, np.full(len(flat), w))) for w in (low, high)])
    along = np.roll(flat, -1, axis=0) - flat
    size = np.linalg.norm(along, axis=1)
    flat, along = flat[size > 1e-9], along[size > 1e-9] / size[size > 1e-9, None]
    sides = np.column_stack((along[:, 1], -along[:, 0], np.zeros(len(along)),
                             along[:, 1] * flat[:, 0] - along[:, 0] * flat[:, 1]))
    return corners, np.vstack((sides, (0.0, 0.0, 1.0, high), (0.0, 0.0, -1.0, -low)))


def _bevelled(panel: Panel) -> list[Piece]:
    """Pieces of a panel with bevelled edges: prisms cut off by the planes of its edges."""
    edges = _edge_planes(panel)
    bare = replace(panel, features=(), placement=_HERE).solid()
    if not panel.features:
        _, caps = _prism(np.asarray(panel.outline.exterior.coords)[:-1], -panel.thickness, 0.0)
        return [_moved(panel.placement, triangles(bare)[0], np.vstack((edges, caps[-2:])))]
    found = []
    for low, high in pairwise(panel.levels):
        for flat in _left(panel, panel.blank, low, high):
            body = prism(Polygon(flat), low, high) ^ bare
            if body.volume() > _LEAST:
                planes = np.vstack((edges, _prism(flat, low, high)[1]))
                found.append(_moved(panel.placement, triangles(body)[0], planes))
    return found


def _edge_planes(panel: Panel) -> FloatArray:
    """Planes (n, 4) of a bevelled panel's edges, local mm."""
    corners = np.asarray(panel.outline.exterior.coords)[:-1]
    turn = 1.0 if panel.outline.exterior.is_ccw else -1.0
    along = np.roll(corners, -1, axis=0) - corners
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    normals = np.column_stack((turn * along[:, 1], -turn * along[:, 0], panel.bevels))
    reach = np.einsum("ij,ij->i", normals[:, :2], corners)
    size = np.linalg.norm(normals, axis=1)
    return np.column_stack((normals / size[:, None], reach / size))


def _moved(placement: Placement, corners: FloatArray, planes: FloatArray) -> Piece:
    """A piece given in a panel's own axes, in the world."""
    normals = planes[:, :3] @ placement.matrix[:3, :3].T
    offsets = planes[:, 3] + normals @ np.array(placement.origin)
    return Piece(placement.to_world(corners), np.column_stack((normals, offsets)))


@dataclass(frozen=True, eq=False)
class Pile:
    """The pieces of several parts side by side: whose each is, corners, planes filled up (k, m, 4).

    Planes that fill up have no normal and hold everywhere.
    """

    count: int
    owner: NDArray[np.int64]
    corners: tuple[FloatArray, ...]
    planes: FloatArray

    @classmethod
    def of(cls, parts: Sequence[Sequence[Piece]]) -> Pile:
        """From the pieces of each part."""
        every = [piece for some in parts for piece in some]
        owner = np.repeat(np.arange(len(parts)), [len(some) for some in parts])
        planes = np.zeros((len(every), max((len(p.planes) for p in every), default=1), 4))
        planes[:, :, 3] = 1.0
        for k, piece in enumerate(every):
            planes[k, :len(piece.planes)] = piece.planes
        return cls(len(parts), owner, tuple(piece.corners for piece in every), planes)

    def ahead(self, way: Point) -> tuple[BoolArray, BoolArray]:
        """What lies in the way along a direction of length one.

        Returns
        -------
        ahead : ndarray of bool, shape (parts, parts)
            [a, b]: b lies ahead of a, so that a cannot leave this way without b.
        overlap : ndarray of bool, shape (parts, parts)
            Pairs that are in one place to begin with; each is then ahead of the other.
        """
        d = np.array(way)
        first = np.eye(3)[int(np.argmin(np.abs(d)))]
        across = np.cross(d, first)
        across /= np.linalg.norm(across)
        flat = np.array((across, np.cross(d, across)))
        one, two, spots = self._shadows(flat)
        low1, high1 = self._span(one, spots @ flat, d)
        low2, high2 = self._span(two, spots @ flat, d)
        overlaps = np.minimum(high1, high2) - np.maximum(low1, low2) > OVERLAP
        after = low1 + high1 < low2 + high2
        ahead = np.zeros((self.count, self.count), dtype=bool)
        overlap = np.zeros_like(ahead)
        a, b = self.owner[one], self.owner[two]
        ahead[a[after | overlaps], b[after | overlaps]] = True
        ahead[b[~after | overlaps], a[~after | overlaps]] = True
        overlap[a[overlaps], b[overlaps]] = True
        return ahead, overlap | overlap.T

    def _shadows(self, flat: FloatArray) -> tuple[NDArray[np.int64], NDArray[np.int64], FloatArray]:
        """Pairs of pieces of unlike parts whose shadows overlap, and a point (n, 2) in each."""
        points = np.concatenate(self.corners) @ flat.T
        which = np.repeat(np.arange(len(self.corners)), [len(c) for c in self.corners])
        hulls = shapely.convex_hull(shapely.multipoints(shapely.points(points), indices=which))
        one, two = shapely.STRtree(hulls).query(hulls)
        keep = self.owner[one] < self.owner[two]
        one, two = one[keep], two[keep]
        common = shapely.intersection(hulls[one], hulls[two])
        thick = 2.0 * shapely.area(common) > SLIDING * shapely.length(common)
        thick &= shapely.area(common) > _LEAST
        middles = shapely.get_coordinates(shapely.centroid(common[thick])).reshape(-1, 2)
        return one[thick], two[thick], middles

    def _span(self, which: NDArray[np.int64], spots: FloatArray, way: FloatArray
              ) -> tuple[FloatArray, FloatArray]:
        """From where to where lines through points (n, 3) run in pieces, along their direction."""
        planes = self.planes[which]
        rate = planes[:, :, :3] @ way
        left = planes[:, :, 3] - np.einsum("nmk,nk->nm", planes[:, :, :3], spots)
        flat = np.abs(rate) < _FLAT
        reach = left / np.where(flat, 1.0, rate)
        high = np.where(~flat & (rate > 0.0), reach, np.inf).min(axis=1)
        low = np.where(~flat & (rate < 0.0), reach, -np.inf).max(axis=1)
        return low, high

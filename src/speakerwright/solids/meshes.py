"""Solids from rings and polygons, in double precision; growing, centroids, points inside.

Prisms are built from their own triangles and not through the library's flat sections, which round
coordinates to a fixed number of decimals.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TypeAlias

import numpy as np
import shapely
from manifold3d import Error, Manifold, Mesh64, OpType, triangulate
from numpy.typing import NDArray

from speakerwright.solids.shapes import FloatArray, MultiPolygon, Polygon

IntArray: TypeAlias = NDArray[np.int64]
Point: TypeAlias = tuple[float, float, float]
Box: TypeAlias = tuple[float, float, float, float, float, float]  # x0 y0 z0 x1 y1 z1

__all__ = ["Box", "IntArray", "Manifold", "Point", "bounds", "centroid", "contains", "cut", "grown",
           "joined", "prism", "solid_from", "stack", "triangles", "with_cavities"]


def solid_from(points: FloatArray, faces: IntArray) -> Manifold:
    """A solid from corners (n, 3) in mm and outward triangles (m, 3).

    Raises
    ------
    ValueError
        When the triangles do not close.
    """
    mesh = Mesh64(np.ascontiguousarray(points, dtype=np.float64),
                  np.ascontiguousarray(faces, dtype=np.uint64))
    solid = Manifold(mesh)
    if solid.status() != Error.NoError:
        raise ValueError(f"the surface of a solid does not close ({solid.status()})")
    return solid


def prism(shape: Polygon | MultiPolygon, low: float, high: float) -> Manifold:
    """A flat shape (holes allowed) as a solid from z = `low` to z = `high`, mm.

    Raises
    ------
    ValueError
        Unless high > low and the shape has area.
    """
    if not high > low:
        raise ValueError("a prism needs a height above zero")
    rings: list[FloatArray] = []
    for part in shapely.get_parts(shape):
        part = shapely.orient_polygons(part)
        rings += [np.asarray(r.coords)[:-1, :2] for r in (part.exterior, *part.interiors)]
    if not rings or not shape.area > 0.0:
        raise ValueError("a prism needs a shape with area")
    flat = np.concatenate(rings)
    n, caps = len(flat), np.asarray(triangulate(rings), dtype=np.int64)
    starts = np.cumsum([0] + [len(r) for r in rings])
    here = np.arange(n)
    after = here + 1
    after[starts[1:] - 1] = starts[:-1]
    points = np.vstack([np.column_stack((flat, np.full(n, z))) for z in (low, high)])
    sides = np.concatenate((np.column_stack((here, after, after + n)),
                            np.column_stack((here, after + n, here + n))))
    return solid_from(points, np.concatenate((caps[:, ::-1], caps + n, sides)))


def stack(rings: Sequence[FloatArray]) -> Manifold:
    """A solid through closed rings of equal length, capped flat at both ends.

    Parameters
    ----------
    rings : sequence of ndarray, shape (n, 3)
        Corners of each ring, mm, anticlockwise seen from the last ring's side; convex at the ends.

    Raises
    ------
    ValueError
        For fewer than two rings or rings of different lengths.
    """
    if len(rings) < 2 or len({len(r) for r in rings}) != 1:
        raise ValueError("a stack needs two rings or more, of equal length")
    n, last = len(rings[0]), (len(rings) - 1) * len(rings[0])
    here = (np.arange(len(rings) - 1)[:, None] * n + np.arange(n)).ravel()
    after = (np.arange(len(rings) - 1)[:, None] * n + (np.arange(n) + 1) % n).ravel()
    fan = np.column_stack((np.zeros(n - 2, int), np.arange(1, n - 1), np.arange(2, n)))
    faces = np.concatenate((
        fan[:, ::-1], fan + last, np.column_stack((here, after, after + n)),
        np.column_stack((here, after + n, here + n)),
    ))
    return solid_from(np.concatenate(rings), faces)


def triangles(solid: Manifold) -> tuple[FloatArray, IntArray]:
    """Corners (n, 3) in mm and triangles (m, 3) of a solid, each corner once per place."""
    mesh = solid.to_mesh64()
    points = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    faces = np.asarray(mesh.tri_verts).astype(np.int64)
    if len(mesh.merge_from_vert):
        same = np.arange(len(points))
        same[np.asarray(mesh.merge_from_vert, dtype=np.int64)] = mesh.merge_to_vert
        faces = same[faces]
    return points, faces


def bounds(solids: Iterable[Manifold]) -> Box:
    """The bounding box of solids that are not all empty: x0, y0, z0, x1, y1, z1 in mm."""
    boxes = np.array([s.bounding_box() for s in solids if not s.is_empty()])
    if not len(boxes):
        raise ValueError("there is nothing to bound")
    low, high = boxes[:, :3].min(axis=0), boxes[:, 3:].max(axis=0)
    return (float(low[0]), float(low[1]), float(low[2]),
            float(high[0]), float(high[1]), float(high[2]))


def joined(solids: Sequence[Manifold]) -> Manifold:
    """The union of solids."""
    return Manifold.batch_boolean(list(solids), OpType.Add)


def cut(solid: Manifold, tools: Sequence[Manifold]) -> Manifold:
    """A solid less all the others."""
    return Manifold.batch_boolean([solid, *tools], OpType.Subtract)


def with_cavities(shells: Sequence[Manifold]) -> Manifold:
    """One solid from an outer surface and the surfaces of its cavities (negative volumes).

    Surfaces are only put side by side: the library's own `compose` unites volumes and would fill
    the cavities.
    """
    if len(shells) == 1:
        return shells[0]
    meshes = [triangles(s) for s in shells]
    starts = np.cumsum([0] + [len(points) for points, _ in meshes])
    faces = [f + start for (_, f), start in zip(meshes, starts, strict=False)]
    return solid_from(np.concatenate([points for points, _ in meshes]), np.concatenate(faces))


def centroid(solid: Manifold) -> Point:
    """Centre of volume, mm, from signed tetrahedra about the bounding box's middle."""
    points, faces = triangles(solid)
    middle = 0.5 * (points.min(axis=0) + points.max(axis=0))
    a, b, c = ((points - middle)[faces[:, i]] for i in range(3))
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c))
    centre = middle + 0.25 * (volumes @ (a + b + c)) / volumes.sum()
    return float(centre[0]), float(centre[1]), float(centre[2])


def contains(solid: Manifold, point: Sequence[float]) -> bool:
    """Whether a point is inside a solid, by the solid angle of its surface seen from there.

    Each triangle's solid angle after van Oosterom and Strackee (1983), eq. 8 (from memory).
    """
    points, faces = triangles(solid)
    if not len(faces):
        return False
    a, b, c = ((points - np.asarray(point))[faces[:, i]] for i in range(3))
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    top = np.einsum("ij,ij->i", a, np.cross(b, c))
    under = (la * lb * lc + np.einsum("ij,ij->i", a, b) * lc
             + np.einsum("ij,ij->i", b, c) * la + np.einsum("ij,ij->i", c, a) * lb)
    return bool(np.arctan2(top, under).sum() > math.pi)  # half of 4 pi, of halved angles


def grown(solid: Manifold, by: float) -> Manifold:
    """A solid with every face moved outwards by a small distance (inwards when negative).

    Corners move so that all the faces that meet there move by `by`; where more than three planes
    meet, by least squares. Meant for distances far below the solid's own smallest feature.

    Parameters
    ----------
    solid : Manifold
        The solid, mm.
    by : float
        Distance, mm.
    """
    points, faces = triangles(solid)
    corners = points[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    doubled = np.linalg.norm(normals, axis=1)
    longest = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    sound = doubled > 1e-7 * np.maximum(longest, 1.0)  # a needle has no trustworthy normal
    normals, faces_used = normals[sound] / doubled[sound, None], faces[sound]
    at = faces_used.ravel()
    each = np.repeat(normals, 3, axis=0)
    sums = np.column_stack([np.bincount(at, each[:, i], len(points)) for i in range(3)])
    pairs = np.empty((len(points), 3, 3))
    for i, j in ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)):
        pairs[:, i, j] = pairs[:, j, i] = np.bincount(at, each[:, i] * each[:, j], len(points))
    values, vectors = np.linalg.eigh(pairs)
    keep = values > 1e-3 * np.maximum(values[:, -1:], 1e-9)
    inverse = np.where(keep, 1.0 / np.where(keep, values, 1.0), 0.0)
    moves = np.einsum("nij,nj,nkj,nk->ni", vectors, inverse, vectors, sums)
    lengths = np.linalg.norm(moves, axis=1, keepdims=True)
    moves *= np.minimum(1.0, 6.0 / np.maximum(lengths, 1e-12))  # at most 6 times, at sharp edges
    return solid_from(points + by * moves, faces)

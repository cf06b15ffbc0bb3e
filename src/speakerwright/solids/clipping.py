"""A board between planes: the outline and bevels that are left of a sheet cut on all sides.

A plane is a normal of length one that points out of what stays, and its offset: points with
normal . x <= offset stay. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from speakerwright.solids.meshes import Point
from speakerwright.solids.panels import Placement
from speakerwright.solids.shapes import FloatArray, Polygon

FAR = 1e12  # mm; no cabinet is larger
_SAME = 1e-7  # mm; corners nearer than this are one


@dataclass(frozen=True)
class Plane:
    """A plane by its outward normal (length one) and offset, mm."""

    normal: Point
    offset: float

    def moved(self, out: float) -> Plane:
        """The plane moved along its normal."""
        return Plane(self.normal, self.offset + out)

    def depth(self, point: Point) -> float:
        """How far a point lies below it, mm."""
        return self.offset - float(np.dot(self.normal, point))


def bisector(one: Plane, other: Plane) -> Plane:
    """The plane of a mitre: what lies nearer to `one` stays."""
    across = np.array(other.normal) - np.array(one.normal)
    size = float(np.linalg.norm(across))
    x, y, z = across / size
    return Plane((float(x), float(y), float(z)), (other.offset - one.offset) / size)


@dataclass(frozen=True, eq=False)
class Cut:
    """A board cut out: outline, bevels, and by which plane each edge was cut.

    `near` and `far` are the corners of the outside and of the inside face, (n, 2) each.
    """

    outline: Polygon
    bevels: tuple[float, ...]
    edges: tuple[str, ...]
    near: FloatArray
    far: FloatArray

    def footprint(self, name: str, placement: Placement, thickness: float) -> FloatArray | None:
        """Four corners (world) of the edge that a plane cut: two outside, two inside."""
        if name not in self.edges:
            return None
        k = self.edges.index(name)
        after = (k + 1) % len(self.edges)
        flat = [(*self.near[k], 0.0), (*self.near[after], 0.0),
                (*self.far[after], -thickness), (*self.far[k], -thickness)]
        return placement.to_world(flat)


def cut_out(placement: Placement, thickness: float, planes: Mapping[str, Plane], *,
            square: bool = False) -> Cut:
    """What is left of a sheet between planes.

    Parameters
    ----------
    placement : Placement
        Of the outside face.
    thickness : float
        mm.
    planes : mapping of str to Plane
        By names; one that cuts nothing off leaves no edge.
    square : bool
        Whether all edges are cut square, as far in as the nearer of both faces asks.

    Raises
    ------
    ValueError
        When nothing is left, or when its two faces do not have the same edges.
    """
    matrix = placement.matrix
    local = {}
    for name, plane in planes.items():
        a = np.array(plane.normal) @ matrix[:3, :3]
        size = float(np.hypot(a[0], a[1]))
        if size < 1e-9:
            continue  # parallel to the sheet
        offset = plane.offset - float(np.dot(plane.normal, placement.origin))
        tilt = float(a[2] / size)
        local[name] = (a[:2] / size, offset / size, tilt)
        if square:
            local[name] = (a[:2] / size, offset / size + min(tilt, 0.0) * thickness, 0.0)
    outside, names = _clipped({n: (a, b) for n, (a, b, _) in local.items()})
    inside, below = _clipped({n: (a, b + c * thickness) for n, (a, b, c) in local.items()})
    if "" in names or "" in below:
        raise ValueError("nothing bounds it on some side")
    first = int(np.lexsort((np.round(outside[:, 0], 6), np.round(outside[:, 1], 6)))[0])
    outside, names = np.roll(outside, -first, axis=0), names[first:] + names[:first]
    turned = _turned_to(names, below)
    if turned is None:
        raise ValueError("the edges of its two faces are not the same")
    inside = np.roll(inside, -turned, axis=0)
    bevels = tuple(_clean(float(local[name][2])) for name in names)
    shape = Polygon(outside)
    return Cut(shape, bevels if any(bevels) else (), names, outside, inside)


def _clean(bevel: float) -> float:
    return 0.0 if abs(bevel) < 1e-12 else bevel


def _turned_to(names: tuple[str, ...], others: tuple[str, ...]) -> int | None:
    if len(names) != len(others):
        return None
    for k in range(len(others)):
        if others[k:] + others[:k] == names:
            return k
    return None


def _clipped(planes: Mapping[str, tuple[FloatArray, float]]) -> tuple[FloatArray, tuple[str, ...]]:
    """Corners (n, 2), anticlockwise, and the plane of the edge that leaves each corner.

    Which edges stay is found by clipping a large square; each corner is then where its two lines
    cross, so that square corners come out exactly.
    """
    points = [(-FAR, -FAR), (FAR, -FAR), (FAR, FAR), (-FAR, FAR)]
    edges = [""] * 4
    for name, (a, b) in planes.items():
        over = [a[0] * p[0] + a[1] * p[1] - b for p in points]
        kept: list[tuple[float, float]] = []
        cut: list[str] = []
        for k, point in enumerate(points):
            after = (k + 1) % len(points)
            if over[k] <= _SAME:
                kept.append(point)
                cut.append(edges[k] if over[after] <= _SAME or over[k] < -_SAME else name)
            if (over[k] < -_SAME and over[after] > _SAME) or (
                    over[k] > _SAME and over[after] < -_SAME):
                cut.append(name if over[k] < 0.0 else edges[k])
                kept.append(_crossing(point, points[after], planes.get(edges[k]), (a, b), over[k]
                                      / (over[k] - over[after])))
        points, edges = kept, cut
        if len(points) < 3:
            raise ValueError("nothing is left of it")
    return np.array(points), tuple(edges)


def _crossing(
    one: tuple[float, float], other: tuple[float, float],
    edge: tuple[FloatArray, float] | None, line: tuple[FloatArray, float], share: float,
) -> tuple[float, float]:
    """Where an edge crosses a line: of its own line where it has one, else between its ends."""
    if edge is None:
        return (one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1]))
    (a, b), (c, d) = edge, line
    size = float(a[0] * c[1] - a[1] * c[0])
    return (float(b * c[1] - d * a[1]) / size, float(a[0] * d - c[0] * b) / size)

"""Which edges of solids show in a view, and which part of each is hidden behind what.

Edges are tested against every triangle nearer to the eye, in closed form: over a triangle an
edge is hidden where four linear inequalities hold (inside its three sides, behind its plane), so
there is no raster and no line is broken in the wrong place.

View coordinates: x to the right and y upwards on the paper, z towards the eye; all in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHARP_DEG = 20.0
"""Faces that meet at less than this count as one curved face; their edge is not drawn."""
_FAN_DEG = 60.0
_EDGE_ON = 1e-3  # a face whose normal's z is below this hides nothing
_OUT_MM = 1e-5  # a triangle hides this far beyond its sides, so that neighbours leave no gap
_BEHIND_MM = 0.01  # parts that touch do not hide each other's edges
_SHORT_MM = 0.05


def view_axes(toward: Sequence[float], up: Sequence[float] = (0.0, 0.0, 1.0)) -> Floats:
    """Axes of a view, shape (3, 3): rows to the right, upwards and towards the eye.

    `toward` points from the thing to the eye; ValueError where it is along `up`.
    """
    eye = np.asarray(toward, dtype=float)
    right = np.cross(np.asarray(up, dtype=float), eye)
    if not np.linalg.norm(right) > 1e-9 * np.linalg.norm(eye):
        raise ValueError("a view cannot look along its own upward direction")
    right /= np.linalg.norm(right)
    eye = eye / np.linalg.norm(eye)
    return np.array([right, np.cross(eye, right), eye])


def feature_edges(points: Floats, faces: Ints, *, far_too: bool = True) -> Floats:
    """The edges of a solid that a drawing shows, shape (n, 2, 3).

    Sharp edges, and outlines of curved faces against the eye; `points` (m, 3) in view
    coordinates, `faces` (k, 3) anticlockwise seen from outside. Without `far_too` the edges
    between two faces turned away, which are always hidden, are left out.
    """
    corners = points[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    doubled = np.linalg.norm(normals, axis=1)
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
    starts, ends = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    key = np.minimum(starts, ends) * (len(points) + 1) + np.maximum(starts, ends)
    order = np.argsort(key, kind="stable")
    first, second = order[0::2], order[1::2]
    if len(order) % 2 or (key[first] != key[second]).any():
        raise ValueError("the surface of a solid does not close")
    units = normals / np.maximum(doubled, 1e-300)[:, None]
    units = _with_needles(units, doubled < 1e-5 * sides.max(axis=1), sides, first, second)
    one, two = units[first // 3], units[second // 3]
    apex = points[np.roll(faces, -2, axis=1).ravel()[second]] - points[starts[second]]
    fold = np.degrees(np.arccos(np.clip(np.einsum("ij,ij->i", one, two), -1.0, 1.0)))
    fold[np.einsum("ij,ij->i", one, apex) > 0.0] *= -1.0  # hollow
    rim = (one[:, 2] > 1e-6) != (two[:, 2] > 1e-6)
    keep = (np.abs(fold) > SHARP_DEG) | rim
    keep &= ~_creased(fold, first, second)
    if not far_too:
        keep &= (one[:, 2] > -1e-6) | (two[:, 2] > -1e-6)
    found = np.stack([points[starts[first[keep]]], points[ends[first[keep]]]], axis=1)
    run = found[:, 1, :2] - found[:, 0, :2]
    return np.asarray(found[np.hypot(run[:, 0], run[:, 1]) > 1e-6])


def _creased(fold_deg: Floats, first: Ints, second: Ints) -> NDArray[np.bool_]:
    """Edges that only come of a twisted face laid out in flat triangles, like a folded fan.

    There ridges and valleys follow each other: both triangles beside the edge have another edge
    that folds the other way by half as much or more.
    """
    folds = np.empty(2 * len(first))
    folds[first] = folds[second] = fold_deg
    each = folds.reshape(-1, 3)
    beside = np.stack([each[first // 3], each[second // 3]])
    against = -np.sign(fold_deg)[None, :, None] * beside
    turned = (against >= 0.5 * np.abs(fold_deg)[None, :, None]) & (against < _FAN_DEG)
    return np.asarray((np.abs(fold_deg) < _FAN_DEG) & (np.abs(fold_deg) > 1.0)
                      & turned.any(axis=2).all(axis=0))


def _with_needles(
    units: Floats, needle: NDArray[np.bool_], sides: Floats, first: Ints, second: Ints
) -> Floats:
    """Normals in which a triangle without width takes that of its neighbour at its longest side."""
    if not needle.any():
        return units
    other = np.empty(len(first) * 2, dtype=np.int64)
    other[first], other[second] = second, first
    beside = other[np.arange(len(units)) * 3 + sides.argmax(axis=1)] // 3
    target = np.arange(len(units))
    target[needle] = beside[needle]
    for _ in range(4):
        target = np.where(needle[target], beside[target], target)
    return units[target]


def visible_parts(edges: Floats, triangles: Floats) -> tuple[Floats, Floats]:
    """The parts of edges that show and those that are hidden.

    Parameters
    ----------
    edges : ndarray, shape (n, 2, 3)
    triangles : ndarray, shape (m, 3, 3)
        Surface triangles of all solids; those that face away are left out here.

    Returns
    -------
    shown, hidden : ndarray, shape (k, 2, 2)
        Lines on the paper.
    """
    if not len(edges):
        return np.empty((0, 2, 2)), np.empty((0, 2, 2))
    which, low, high = _hidden_spans(edges, _facing(triangles))
    count = np.arange(len(edges))
    shown = _gaps(np.concatenate([count, which, count]),
                  np.concatenate([np.zeros(len(edges)), low, np.ones(len(edges))]),
                  np.concatenate([np.zeros(len(edges)), high, np.ones(len(edges))]))
    shown = _long_enough(edges, *shown)
    rest = _gaps(np.concatenate([count, shown[0], count]),
                 np.concatenate([np.zeros(len(edges)), shown[1], np.ones(len(edges))]),
                 np.concatenate([np.zeros(len(edges)), shown[2], np.ones(len(edges))]))
    return _cut(edges, *shown), _cut(edges, *_long_enough(edges, *rest))


def _facing(triangles: Floats) -> Floats:
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    size = np.linalg.norm(normals, axis=1)
    return np.asarray(triangles[normals[:, 2] > _EDGE_ON * np.maximum(size, 1e-12)])


def _hidden_spans(edges: Floats, triangles: Floats) -> tuple[Ints, Floats, Floats]:
    """Which edge is hidden from where to where (0 to 1 along it), one row for each triangle."""
    import shapely

    lows, highs = triangles.min(axis=1), triangles.max(axis=1)
    starts, ends = edges.min(axis=1), edges.max(axis=1)
    if not len(triangles):
        return np.empty(0, dtype=np.int64), np.empty(0), np.empty(0)
    tree = shapely.STRtree(shapely.box(*lows[:, :2].T, *highs[:, :2].T))
    which, over = tree.query(shapely.box(*starts[:, :2].T, *ends[:, :2].T))
    near = highs[over, 2] > starts[which, 2] + _BEHIND_MM
    which, over = which[near], over[near]
    low, high = np.zeros(len(which)), np.ones(len(which))
    at, run = edges[which, 0], edges[which, 1] - edges[which, 0]
    corner = triangles[over]
    for side in range(3):
        base, along = corner[:, side], corner[:, (side + 1) % 3] - corner[:, side]
        long = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-12)
        nx, ny = -along[:, 1] / long, along[:, 0] / long
        start = nx * (at[:, 0] - base[:, 0]) + ny * (at[:, 1] - base[:, 1]) + _OUT_MM
        _narrow(low, high, start, nx * run[:, 0] + ny * run[:, 1])
    normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    tilt_x, tilt_y = normal[:, 0] / normal[:, 2], normal[:, 1] / normal[:, 2]
    from_corner = at - corner[:, 0]
    start = -(tilt_x * from_corner[:, 0] + tilt_y * from_corner[:, 1] + from_corner[:, 2])
    start -= _BEHIND_MM + 2.0 * _OUT_MM * np.hypot(tilt_x, tilt_y)
    _narrow(low, high, start, -(tilt_x * run[:, 0] + tilt_y * run[:, 1] + run[:, 2]))
    real = high > low
    return which[real], low[real], high[real]


def _narrow(low: Floats, high: Floats, start: Floats, rate: Floats) -> None:
    """Keep of each span only where start + rate t is not below zero."""
    flat = np.abs(rate) < 1e-12
    cross = -start / np.where(flat, 1.0, rate)
    np.maximum(low, cross, out=low, where=~flat & (rate > 0.0))
    np.minimum(high, cross, out=high, where=~flat & (rate < 0.0))
    high[flat & (start < 0.0)] = -1.0


def _gaps(which: Ints, low: Floats, high: Floats) -> tuple[Ints, Floats, Floats]:
    """What the spans of each edge leave free; every edge has an empty span at 0 and at 1."""
    shift = 4.0 * which
    order = np.lexsort((high, low, which))
    which, begin = which[order], (low + shift)[order]
    reached = np.maximum.accumulate((high + shift)[order])
    free = (which[1:] == which[:-1]) & (begin[1:] > reached[:-1])
    edge = which[1:][free]
    return edge, reached[:-1][free] - 4.0 * edge, begin[1:][free] - 4.0 * edge


def _long_enough(
    edges: Floats, which: Ints, low: Floats, high: Floats
) -> tuple[Ints, Floats, Floats]:
    run = edges[which, 1, :2] - edges[which, 0, :2]
    long = np.hypot(run[:, 0], run[:, 1])
    keep = (high - low) * long > np.minimum(_SHORT_MM, 0.5 * long)
    return which[keep], low[keep], high[keep]


def _cut(edges: Floats, which: Ints, low: Floats, high: Floats) -> Floats:
    start, run = edges[which, 0, :2], edges[which, 1, :2] - edges[which, 0, :2]
    return np.stack([start + low[:, None] * run, start + high[:, None] * run], axis=1)


def merged(lines: Floats, less: Floats | None = None) -> Floats:
    """Lines that lie on one another joined, and what lies on `less` left out; shape (n, 2, 2)."""
    groups: dict[tuple[int, int], list[tuple[float, float, bool]]] = {}
    ways: dict[tuple[int, int], tuple[Floats, float]] = {}
    for cover, some in ((False, lines), (True, less)):
        if some is None or not len(some):
            continue
        run = some[:, 1] - some[:, 0]
        back = (run[:, 0] < -1e-9) | ((np.abs(run[:, 0]) <= 1e-9) & (run[:, 1] < 0.0))
        run[back] *= -1.0
        way = run / np.linalg.norm(run, axis=1)[:, None]
        offset = some[:, 0, 0] * -way[:, 1] + some[:, 0, 1] * way[:, 0]
        spans = np.sort(np.einsum("nij,nj->ni", some, way), axis=1)
        angles = np.round(np.arctan2(way[:, 1], way[:, 0]) * 5e3 + 0.137).astype(int)
        shelves = np.round(offset * 50.0 + 0.137).astype(int)
        for index, key in enumerate(zip(angles.tolist(), shelves.tolist(), strict=True)):
            groups.setdefault(key, []).append((spans[index, 0], spans[index, 1], cover))
            ways.setdefault(key, (way[index], float(offset[index])))
    found: list[tuple[Floats, Floats]] = []
    for key in sorted(groups):
        way, offset = ways[key]
        foot = offset * np.array([-way[1], way[0]])
        kept = _union([(a, b) for a, b, cover in groups[key] if not cover])
        for low, high in _without(kept, _union([(a, b) for a, b, c in groups[key] if c])):
            found.append((foot + low * way, foot + high * way))
    return np.array(found).reshape(-1, 2, 2)


def _union(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + _SHORT_MM:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return joined


def _without(
    spans: list[tuple[float, float]], covers: list[tuple[float, float]]
) -> list[tuple[float, float]]:
    left = spans
    for low, high in covers:
        left = [piece for a, b in left for piece in ((a, min(b, low)), (max(a, high), b))
                if piece[1] - piece[0] > (_SHORT_MM if low < b and high > a else 0.0)]
    return left


def joined(lines: Floats) -> list[tuple[Floats, bool]]:
    """Lines strung together at ends where just two meet: points of each, and whether it closes."""
    if not len(lines):
        return []
    keys = [tuple(row) for row in np.round(lines.reshape(-1, 2) * 50.0 + 0.137).astype(int)]
    meeting: dict[Any, list[int]] = {}
    for end, key in enumerate(keys):
        meeting.setdefault(key, []).append(end)
    used = np.zeros(len(lines), dtype=bool)

    def follow(end: int) -> list[int]:
        """The ends that come one after another from the far end of a line."""
        trail = []
        while True:
            far = end ^ 1
            trail.append(far)
            beyond = [other for other in meeting[keys[far]] if other != far]
            if len(meeting[keys[far]]) != 2 or used[beyond[0] // 2]:
                return trail
            end = beyond[0]
            used[end // 2] = True

    made: list[tuple[Floats, bool]] = []
    flat = lines.reshape(-1, 2)
    for index in range(len(lines)):
        if used[index]:
            continue
        used[index] = True
        onward = follow(2 * index)
        backward = follow(2 * index + 1)
        ends = [*reversed(backward), *onward]
        closed = keys[ends[0]] == keys[ends[-1]] and len(ends) > 3
        made.append((flat[ends[:-1] if closed else ends], closed))
    return made

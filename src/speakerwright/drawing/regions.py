"""Where a part is seen best: the middle of its largest region that nothing hides."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ACROSS = 140
"""Samples along the longer side of a view."""


def owners(triangles: Floats, part: Ints, across: int = ACROSS) -> tuple[Ints, Floats, float]:
    """Which part is seen at each point of a square grid over a view.

    Parameters
    ----------
    triangles : ndarray, shape (n, 3, 3)
        In view coordinates, z towards the eye.
    part : ndarray, shape (n,)
        The part each belongs to.
    across : int
        Points along the longer side.

    Returns
    -------
    owner : ndarray, shape (rows, columns)
        The part's number; -1 where there is none.
    corner : ndarray, shape (2,)
        Place of the first point.
    step : float
        Distance of the points, mm.
    """
    import shapely

    low, high = triangles[:, :, :2].min(axis=(0, 1)), triangles[:, :, :2].max(axis=(0, 1))
    step = float((high - low).max()) / across
    columns, rows = (np.floor((high - low) / step)).astype(int) + 1
    corner = low + 0.5 * step
    grid_x, grid_y = np.meshgrid(corner[0] + step * np.arange(columns),
                                 corner[1] + step * np.arange(rows))
    lows, highs = triangles.min(axis=1), triangles.max(axis=1)
    tree = shapely.STRtree(shapely.points(grid_x.ravel(), grid_y.ravel()))
    which, point = tree.query(shapely.box(*lows[:, :2].T, *highs[:, :2].T))
    x, y = grid_x.ravel()[point], grid_y.ravel()[point]
    (x0, y0, z0), (x1, y1, z1), (x2, y2, z2) = (triangles[which, i].T for i in range(3))
    double = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    flat = np.abs(double) < 1e-9
    double[flat] = 1.0
    second = ((x - x0) * (y2 - y0) - (x2 - x0) * (y - y0)) / double
    third = ((x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)) / double
    inside = ~flat & (second >= 0.0) & (third >= 0.0) & (second + third <= 1.0)
    depth = z0 + second * (z1 - z0) + third * (z2 - z0)
    order = np.argsort(depth[inside], kind="stable")
    owner = np.full(rows * columns, -1, dtype=np.int64)
    owner[point[inside][order]] = part[which[inside][order]]
    return owner.reshape(rows, columns), corner, step


def best_spots(
    triangles: Floats, part: Ints, count: int, across: int = ACROSS
) -> list[tuple[float, float, float] | None]:
    """For each of `count` parts the middle of its largest visible region, and its half width, mm.

    None for a part that is not seen at all. See `owners` for the arguments.
    """
    owner, corner, step = owners(triangles, part, across)
    found: list[tuple[float, float, float] | None] = []
    for number in range(count):
        mask = np.pad(owner == number, 1)
        if not mask.any():
            found.append(None)
            continue
        rounds = 0
        while True:
            inner = _eroded(mask)
            if not inner.any():
                break
            mask, rounds = inner, rounds + 1
        row, column = _nearest_middle(np.argwhere(mask))
        found.append((float(corner[0] + step * (column - 1)), float(corner[1] + step * (row - 1)),
                      step * (rounds + 0.5)))
    return found


def _eroded(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """A region less its border, by four neighbours."""
    inner = mask.copy()
    inner[1:] &= mask[:-1]
    inner[:-1] &= mask[1:]
    inner[:, 1:] &= mask[:, :-1]
    inner[:, :-1] &= mask[:, 1:]
    return inner


def _nearest_middle(cells: NDArray[np.int64]) -> Sequence[int]:
    """The cell nearest to the middle of those around the first of them."""
    near = cells[np.abs(cells - cells[0]).max(axis=1) <= 12]
    away = np.abs(near - near.mean(axis=0)).sum(axis=1)
    row, column = near[int(np.argmin(away))]
    return int(row), int(column)

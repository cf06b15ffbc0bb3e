"""Smooth curves and surfaces through short tables of computed figures."""

from __future__ import annotations

from bisect import bisect_left
from functools import lru_cache

import numpy as np

from speakerwright.acoustics.air import FloatArray


@lru_cache(maxsize=256)
def _slope_matrix(nodes: tuple[float, ...]) -> FloatArray:
    """Slopes at the nodes of the cubic spline through any values there, as a matrix on them.

    Second derivatives agree across the inner nodes, third ones across the first and last of them.
    """
    x = np.asarray(nodes)
    n, h = len(x), np.diff(x)
    if n < 4:
        powers = np.vander(x, n, increasing=True)
        slopes = np.vander(x, n, increasing=True)[:, :-1] * np.arange(1, n)
        return np.asarray(slopes @ np.linalg.inv(powers)[1:])
    left, right = np.zeros((n, n)), np.zeros((n, n))
    for i in range(1, n - 1):
        left[i, i - 1 : i + 2] = 1.0 / h[i - 1], 2.0 / h[i - 1] + 2.0 / h[i], 1.0 / h[i]
        a, b = 3.0 / h[i - 1] ** 2, 3.0 / h[i] ** 2
        right[i, i - 1 : i + 2] = -a, a - b, b
    for row, i in ((0, 0), (n - 1, n - 3)):  # the third derivatives of two neighbours alike
        a, b = 1.0 / h[i] ** 2, 1.0 / h[i + 1] ** 2
        left[row, i : i + 3] = a, a - b, -b
        c, d = 2.0 / h[i] ** 3, 2.0 / h[i + 1] ** 3
        right[row, i : i + 3] = -c, c + d, -d
    return np.asarray(np.linalg.solve(left, right))


def weights(x: float, nodes: tuple[float, ...]) -> FloatArray:
    """Weights of a table's values in the smooth curve through them, straight outside the table.

    Parameters
    ----------
    x : float
        Where.
    nodes : tuple of float
        The table's places, two or more, ascending.

    Returns
    -------
    ndarray
        One weight for each node; they add to one.
    """
    matrix = _slope_matrix(nodes)
    found = np.zeros(len(nodes))
    if x <= nodes[0]:
        found[0] = 1.0
        return np.asarray(found + (x - nodes[0]) * matrix[0])
    if x >= nodes[-1]:
        found[-1] = 1.0
        return np.asarray(found + (x - nodes[-1]) * matrix[-1])
    i = bisect_left(nodes, x) - 1
    h = nodes[i + 1] - nodes[i]
    u = (x - nodes[i]) / h
    found[i], found[i + 1] = (1.0 + 2.0 * u) * (1.0 - u) ** 2, u**2 * (3.0 - 2.0 * u)
    bend = h * (u * (1.0 - u) ** 2 * matrix[i] + u**2 * (u - 1.0) * matrix[i + 1])
    return np.asarray(found + bend)


def smooth(x: float, nodes: tuple[float, ...], values: tuple[float, ...]) -> float:
    """Smooth curve through a short table, continued straight outside it.

    A cubic spline; with three nodes a parabola, with two a line.

    Parameters
    ----------
    x : float
        Where.
    nodes, values : tuple of float
        The table, two points or more, nodes ascending.

    Returns
    -------
    float
        The value at `x`.
    """
    return float(weights(x, nodes) @ np.asarray(values))

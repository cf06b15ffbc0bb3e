"""Cubic Hermite elements along one side of a field: the factors of its tensor products.

Along a side a deflection is given by its value and its slope at each node. A field's deflection is
the product of one such line along each side (Bogner, Fox and Schmit 1965), so that its matrices are
Kronecker products of small ones.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray

Edge = Literal["clamped", "supported", "free"]
EDGES = ("clamped", "supported", "free")


@dataclass(frozen=True, eq=False)
class Line:
    """One side of a field in elements.

    Parameters
    ----------
    nodes : ndarray
        Their places in m, ascending from 0, shape (n + 1,).
    kept : ndarray
        Which of the 2 (n + 1) values and slopes are left free, shape (d,).
    mass, slope, bend : ndarray
        Integrals of products of shapes, of first and of second derivatives, shape (d, d).
    cross : ndarray
        Integrals of second derivatives times shapes, shape (d, d).
    """

    nodes: FloatArray
    kept: npt.NDArray[np.intp]
    mass: FloatArray
    slope: FloatArray
    bend: FloatArray
    cross: FloatArray

    def __post_init__(self) -> None:
        for name in ("nodes", "kept", "mass", "slope", "bend", "cross"):
            getattr(self, name).setflags(write=False)

    @property
    def length(self) -> float:
        """Of the side in m."""
        return float(self.nodes[-1])

    def shapes(self, at: npt.ArrayLike, derivative: int = 0) -> FloatArray:
        """Shapes or their derivatives at places.

        Parameters
        ----------
        at : array_like
            Places in m within the side, shape (p,).
        derivative : int
            0, 1 or 2.

        Returns
        -------
        ndarray
            Shape (p, d).
        """
        return _shapes(self.nodes, np.asarray(at, dtype=float), derivative)[:, self.kept]


def _cubic(t: FloatArray, derivative: int) -> tuple[FloatArray, ...]:
    """Hermite's cubics of t = 0 to 1 and their derivatives by t, values and slopes of both ends."""
    if derivative == 0:
        return ((1.0 - t) ** 2 * (1.0 + 2.0 * t), t * (1.0 - t) ** 2, t**2 * (3.0 - 2.0 * t),
                t**2 * (t - 1.0))
    if derivative == 1:
        return (6.0 * t * (t - 1.0), (1.0 - t) * (1.0 - 3.0 * t), 6.0 * t * (1.0 - t),
                t * (3.0 * t - 2.0))
    return 12.0 * t - 6.0, 6.0 * t - 4.0, 6.0 - 12.0 * t, 6.0 * t - 2.0


def _shapes(nodes: FloatArray, at: FloatArray, derivative: int) -> FloatArray:
    """All shapes at places, (p, 2 (n + 1)); slopes are counted per mean element, to keep scale."""
    count = len(nodes) - 1
    scale = nodes[-1] / count
    element = np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, count - 1)
    size = np.diff(nodes)[element]
    parts = _cubic((at - nodes[element]) / size, derivative)
    found = np.zeros((len(at), 2 * len(nodes)))
    rows = np.arange(len(at))
    for offset, part in enumerate(parts):
        turned = size / scale if offset % 2 else 1.0
        found[rows, 2 * element + offset] = part * turned / size**derivative
    return found


def line(
    nodes: npt.ArrayLike, first: Edge, last: Edge, supports: Sequence[float] = ()
) -> Line:
    """Elements along a side.

    Parameters
    ----------
    nodes : array_like
        Places in m, ascending from 0, shape (n + 1,), n at least 1.
    first, last : {"clamped", "supported", "free"}
        How the two ends are held.
    supports : sequence of float
        Places of rigid supports in m, each at a node.

    Returns
    -------
    Line
        Its matrices; integrals by Gauss's rule, exact for cubics.

    Raises
    ------
    ValueError
        For an unknown edge or a support that is not at a node.
    """
    places = np.array(nodes, dtype=float)
    gone: set[int] = set()
    for edge, end in ((first, 0), (last, 2 * len(places) - 2)):
        if edge not in EDGES:
            raise ValueError("an edge must be clamped, supported or free")
        gone |= {"clamped": {end, end + 1}, "supported": {end}}.get(edge, set())
    for support in supports:
        node = int(np.argmin(np.abs(places - support)))
        if not math.isclose(places[node], support, rel_tol=1e-9, abs_tol=1e-12):
            raise ValueError("a rigid support must stand at a node")
        gone.add(2 * node)
    kept = np.array([k for k in range(2 * len(places)) if k not in gone], dtype=np.intp)
    points, weights = np.polynomial.legendre.leggauss(4)
    size = np.diff(places)
    at = (places[:-1, None] + 0.5 * size[:, None] * (1.0 + points)).ravel()
    weight = (0.5 * size[:, None] * weights).ravel()[:, None]
    value, first_by, second_by = (_shapes(places, at, d)[:, kept] for d in (0, 1, 2))
    return Line(
        places, kept, value.T @ (weight * value), first_by.T @ (weight * first_by),
        second_by.T @ (weight * second_by), second_by.T @ (weight * value))


def nodes_between(length: float, breaks: Sequence[float], elements: int) -> FloatArray:
    """Nodes along a side, one at each break, the spans between evenly divided.

    Parameters
    ----------
    length : float
        Of the side in m.
    breaks : sequence of float
        Places in m that must be nodes, within the side.
    elements : int
        About how many elements; each span gets two at least.

    Returns
    -------
    ndarray
        Places in m, from 0 to `length`.
    """
    ends = [0.0, *sorted(set(breaks)), length]
    pieces = [np.zeros(1)]
    for start, stop in itertools.pairwise(ends):
        count = max(2 if breaks else 1, round(elements * (stop - start) / length))
        pieces.append(np.linspace(start, stop, count + 1)[1:])
    return np.asarray(np.concatenate(pieces), dtype=float)

"""Standing waves of a chamber with hard walls, linings left out and openings closed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.airmodes.elements import assembled
from speakerwright.acoustics.airmodes.grid import Grid
from speakerwright.acoustics.airmodes.patches import opening_weights, surface
from speakerwright.acoustics.limits import require_above_zero

if TYPE_CHECKING:
    from scipy.sparse import csc_array

Order = tuple[int, int, int]
LIKE = 0.7  # least likeness at which a mode is named after one of a rectangle; rule of thumb
MARGIN = 1.25  # modes asked for over those expected; rule of thumb


@dataclass(frozen=True, eq=False)
class Modes:
    """Standing waves in ascending order; the even pressure at 0 Hz is not among them.

    Attributes
    ----------
    frequency : ndarray
        In Hz, shape (m,).
    shape : ndarray
        Pressure at the nodes, its mean square over the air 1, shape (m, n).
    nodes : ndarray
        Places of the nodes, m, shape (n, 3).
    volume : float
        Of the air in m^3, that among linings' fibres included.
    orders : tuple
        Half waves along x, y, z of the rectangular mode that it is most like, or None.
    likeness : ndarray
        To that mode, 0 to 1, shape (m,): the share of its mean square.
    openings : tuple of str
        Names of the openings.
    coupling : ndarray
        Mean of the shape over each opening, shape (o, m). In a rectangular box a corner has
        sqrt 2 for an axial mode.
    """

    frequency: FloatArray
    shape: FloatArray
    nodes: FloatArray
    volume: float
    orders: tuple[Order | None, ...]
    likeness: FloatArray
    openings: tuple[str, ...]
    coupling: FloatArray

    def __post_init__(self) -> None:
        for each in (self.frequency, self.shape, self.nodes, self.likeness, self.coupling):
            each.setflags(write=False)

    def first(self, order: Order) -> float:
        """Frequency in Hz of the lowest mode that is called by an order.

        Raises
        ------
        KeyError
            When there is none.
        """
        for frequency, name in zip(self.frequency, self.orders, strict=True):
            if name == order:
                return float(frequency)
        raise KeyError(f"no mode is like {order}")


def expected_count(volume: float, surface_area: float, edges: float, frequency: float,
                   speed: float) -> float:
    """Modes of a room up to a frequency, in the mean.

    Source: Kuttruff, Room acoustics: 4 pi V f^3 / 3 c^3 + pi S f^2 / 4 c^2 + L f / 8 c (memory).

    Parameters
    ----------
    volume, surface_area, edges : float
        In m^3, m^2 and m, `edges` the length of all twelve.
    frequency : float
        In Hz.
    speed : float
        Of sound in m/s.

    Returns
    -------
    float
        The even pressure is among them.
    """
    require_above_zero(volume=volume, speed=speed)
    f = frequency / speed
    return 4.0 * math.pi / 3.0 * volume * f**3 + math.pi / 4.0 * surface_area * f**2 + edges * f / 8


def rigid_modes(grid: Grid, highest: float = 800.0, air: Medium | None = None) -> Modes:
    """All standing waves of a chamber up to a frequency.

    The speed of waves on the cells is right to fourth order: within 0.01 % of a rectangle's
    frequencies down to fourteen cells per wave, 0.1 % down to eight. At the edges of plates the
    flow is sharper than a cell, and a windowed brace comes out up to 1 % high: ask `refinement`.

    Parameters
    ----------
    grid : Grid
        Of the chamber.
    highest : float
        In Hz, above zero.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    Modes
        Up to `highest`, m may be 0.

    Raises
    ------
    ValueError
        For a frequency that the grid does not carry (fewer than four cells per wave).
    """
    gas = air if air is not None else Air()
    require_above_zero(highest=highest)
    if highest * 4.0 * grid.spacing > gas.speed:
        raise ValueError(f"a grid of {grid.spacing:g} m does not carry {highest:g} Hz")
    matrices = assembled(grid)
    stiffness, mass = _summed(matrices.stiffness), _summed(matrices.mass)
    square, shape = _lowest(grid, stiffness, mass, (2.0 * math.pi * highest / gas.speed) ** 2)
    volume = float(np.sum(matrices.volume))
    weight = np.asarray(mass.sum(axis=0), dtype=float).ravel()
    shape /= np.sqrt(shape**2 @ weight / volume)[:, None]
    within = surface(grid)
    weights = [opening_weights(grid, opening, within) for opening in grid.chamber.openings]
    coupling = np.array(weights).reshape(len(weights), len(grid.nodes)) @ shape.T
    signs = _signs(shape, coupling)
    orders, likeness = _named(grid, shape, weight, np.sqrt(square) / math.pi)
    return Modes(
        gas.speed * np.sqrt(square) / (2.0 * math.pi), shape * signs[:, None],
        grid.nodes, volume, orders, likeness,
        tuple(opening.name for opening in grid.chamber.openings), coupling * signs,
    )


def _summed(parts: tuple[csc_array, ...]) -> csc_array:
    total = parts[0]
    for part in parts[1:]:
        total = total + part
    return total


def solver(matrix: csc_array) -> Callable[[Any], Any]:
    """What solves with a symmetric matrix over a grid; its nodes are in a good order already.

    Parameters
    ----------
    matrix : csc_array
        Real or complex, (n, n).

    Returns
    -------
    callable
        From right sides to solutions.
    """
    from scipy.sparse.linalg import splu

    factors = splu(matrix, permc_spec="NATURAL", diag_pivot_thresh=0.0,
                   options={"SymmetricMode": True})
    return factors.solve


def _lowest(
    grid: Grid, stiffness: csc_array, mass: csc_array, limit: float
) -> tuple[FloatArray, FloatArray]:
    """Squared wave numbers (m,) up to a limit and their shapes (m, n), `mass` orthonormal."""
    from scipy.sparse.linalg import LinearOperator, eigsh

    size = len(grid.nodes)
    sides = np.array(grid.chamber.upper) - np.array(grid.chamber.lower)
    shift = (1.0 / float(np.max(sides))) ** 2
    solve = solver((stiffness + shift * mass).tocsc())
    inverse = LinearOperator((size, size), matvec=solve, dtype=np.dtype(float))
    w, d, h = (float(side) for side in sides)
    expected = expected_count(w * d * h, 2 * (w * d + d * h + h * w), 4 * (w + d + h),
                              math.sqrt(limit) / (2.0 * math.pi), 1.0)
    count = min(math.ceil(MARGIN * expected) + 4, size - 2)
    while True:
        start = np.random.default_rng(1).standard_normal(size)
        squares, vectors = eigsh(stiffness, count, mass, sigma=-shift, OPinv=inverse, v0=start)
        order = np.argsort(squares)
        squares, vectors = squares[order], vectors[:, order]
        if squares[-1] > limit or count == size - 2:
            kept = np.flatnonzero(squares <= limit)[1:]
            return squares[kept], np.ascontiguousarray(vectors[:, kept].T)
        count = min(2 * count, size - 2)


def _signs(shape: FloatArray, coupling: FloatArray) -> FloatArray:
    """Plus where the pressure at the first opening is, or where it is greatest."""
    peak = np.take_along_axis(shape, np.argmax(np.abs(shape), axis=1)[:, None], axis=1)[:, 0]
    deciding = peak
    if len(coupling):
        deciding = np.where(np.abs(coupling[0]) > 1e-3, coupling[0], peak)
    return np.where(deciding < 0.0, -1.0, 1.0)


def _named(
    grid: Grid, shape: FloatArray, weight: FloatArray, half_waves: FloatArray
) -> tuple[tuple[Order | None, ...], FloatArray]:
    """The likest rectangular mode of each and its likeness, by `half_waves` (m,) per m."""
    low, high = np.array(grid.chamber.lower), np.array(grid.chamber.upper)
    most = 1.5 * float(np.max(half_waves, initial=0.0))
    counts = [range(math.floor(most * side) + 1) for side in high - low]
    names = [n for n in itertools.product(*counts)
             if 0.0 < math.dist((0, 0, 0), np.array(n) / (high - low)) <= most]
    if not names or not len(shape):
        return (None,) * len(shape), np.zeros(len(shape))
    place = (grid.nodes - low) / (high - low)
    waves = np.array([np.prod(np.cos(math.pi * np.array(n) * place), axis=1) for n in names])
    weighed = weight * waves
    power = np.sum(weighed * waves, axis=1)
    likeness = (shape @ weighed.T) ** 2 / (float(np.sum(weight)) * power)
    best = np.argmax(likeness, axis=1)
    found = likeness[np.arange(len(shape)), best]
    return tuple(names[b] if like >= LIKE else None
                 for b, like in zip(best, found, strict=True)), np.minimum(found, 1.0)

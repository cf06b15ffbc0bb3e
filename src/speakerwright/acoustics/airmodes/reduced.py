"""A chamber with linings over frequency: a few solutions span all others."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray
from speakerwright.acoustics.airmodes.chambers import Chamber
from speakerwright.acoustics.airmodes.elements import Matrices, assembled
from speakerwright.acoustics.airmodes.fluids import LOSS, factors, fits
from speakerwright.acoustics.airmodes.grid import Grid
from speakerwright.acoustics.airmodes.modes import solver
from speakerwright.acoustics.airmodes.patches import opening_weights, surface
from speakerwright.acoustics.airmodes.responses import ChamberResponse, uniform_pressure
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray

if TYPE_CHECKING:
    from scipy.sparse import csc_array

SOLVES = 16
SAME = 1.0e-10  # directions weaker than this beside the strongest say nothing new
BATCH = 64  # frequencies solved at once


class Stopped(Exception):
    """It was cancelled before it had a result."""


@dataclass(frozen=True, eq=False)
class Problem:
    """A chamber's matrices and the weights of its openings (o, n)."""

    grid: Grid
    matrices: Matrices
    weights: FloatArray
    air: Air
    loss_factor: float

    def __post_init__(self) -> None:
        self.weights.setflags(write=False)

    @property
    def volume(self) -> float:
        """Of air and linings, m^3."""
        return float(np.sum(self.matrices.volume))


@dataclass(frozen=True, eq=False)
class ReducedBasis:
    """A chamber's matrices between the b shapes that its answers are made of.

    Attributes
    ----------
    stiffness, mass : ndarray
        Of each region, shape (r, b, b).
    weights : ndarray
        Of the openings, shape (o, b).
    averages : ndarray
        Of the whole chamber, shape (b,).
    solved : ndarray
        Frequencies at which it is exact, Hz; answers between the first and the last.
    chamber, air, loss_factor, volume
        As given; the volume in m^3.
    square_spacing : float
        As in `elements.Matrices`.
    """

    stiffness: FloatArray
    mass: FloatArray
    weights: FloatArray
    averages: FloatArray
    solved: FloatArray
    chamber: Chamber
    air: Air
    loss_factor: float
    volume: float
    square_spacing: float

    def __post_init__(self) -> None:
        for each in (self.stiffness, self.mass, self.weights, self.averages, self.solved):
            each.setflags(write=False)


def problem(grid: Grid, air: Air | None = None, loss_factor: float = LOSS) -> Problem:
    """What has to be solved for a chamber with openings.

    Parameters
    ----------
    grid : Grid
        Of the chamber.
    air : Air, optional
        The air; the default state when left out.
    loss_factor : float
        As in `fluids.factors`.

    Returns
    -------
    Problem
        For `direct` and `reduced_basis`.

    Raises
    ------
    ValueError
        When the chamber has no openings, or one lies on no wall.
    """
    if not grid.chamber.openings:
        raise ValueError("the chamber has no openings")
    within = surface(grid)
    weights = np.array([opening_weights(grid, each, within) for each in grid.chamber.openings])
    return Problem(grid, assembled(grid), weights, air if air is not None else Air(), loss_factor)


def _fields(given: Problem, frequency: float) -> ComplexArray:
    """Pressure at the nodes for a unit volume velocity at each opening, (n, o)."""
    scale = factors([frequency], given.grid.chamber, given.air, given.loss_factor)
    total: csc_array | None = None
    parts = zip(given.matrices.stiffness, given.matrices.mass, scale.stiffness[:, 0],
                scale.mass[:, 0], strict=True)
    for stiffness, mass, by_stiffness, by_mass in parts:
        part = stiffness * by_stiffness - mass * by_mass
        total = part if total is None else total + part
    assert total is not None
    load = 2j * math.pi * frequency * given.weights.T
    return np.asarray(solver(total.tocsc())(np.ascontiguousarray(load)), dtype=complex)


def _averages(given: Problem) -> FloatArray:
    """Weights of the nodes in the mean over the chamber, shape (n,)."""
    total = sum(np.asarray(mass.sum(axis=0)).ravel() for mass in given.matrices.mass)
    return np.asarray(total, dtype=float) / given.volume


def _held_back(frequency: FloatArray, square_spacing: float, air: Air) -> FloatArray:
    """What takes the cells' error out of a driven pressure: 1 - (k h)^2 / 12.

    Cells that carry waves at the right speed have a characteristic impedance too high by this, as
    the difference equation of their quadrature says; the mean pressure needs none.
    """
    wave = 2.0 * math.pi * frequency / air.speed
    return np.asarray(1.0 - wave**2 * square_spacing / 12.0, dtype=float)


def direct(
    given: Problem,
    frequency: npt.ArrayLike,
    progress: Callable[[float, str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ChamberResponse:
    """A chamber's answer, each frequency solved by itself.

    Parameters
    ----------
    given : Problem
        The chamber.
    frequency : array_like
        In Hz, shape (f,), above zero.
    progress : callable, optional
        Told the fraction done and a sentence after each frequency.
    cancelled : callable, optional
        Asked before each frequency.

    Returns
    -------
    ChamberResponse
        With all openings closed but the one that moves.

    Raises
    ------
    Stopped
        When it was cancelled.
    """
    f = np.array(frequency, dtype=float)
    means = _averages(given)
    transfer, mean = [], []
    for field in _each(given, f, progress, cancelled):
        transfer.append(given.weights @ field)
        mean.append(means @ field)
    names = tuple(opening.name for opening in given.grid.chamber.openings)
    held = _held_back(f, given.matrices.square_spacing, given.air)
    return ChamberResponse(f, names, np.stack(transfer, axis=-1) * held, np.stack(mean, axis=-1),
                           uniform_pressure(f, given.volume, given.air),
                           fits(f, given.grid.chamber))


def _each(
    given: Problem, frequency: FloatArray, progress: Callable[[float, str], None] | None,
    cancelled: Callable[[], bool] | None,
) -> list[ComplexArray]:
    found = []
    for k, each in enumerate(frequency):
        if cancelled is not None and cancelled():
            raise Stopped
        found.append(_fields(given, float(each)))
        if progress is not None:
            progress((k + 1) / frequency.size, f"Air in the chamber at {each:.0f} Hz worked out.")
    return found


def reduced_basis(
    given: Problem,
    lowest: float = 20.0,
    highest: float = 800.0,
    solves: int = SOLVES,
    progress: Callable[[float, str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ReducedBasis:
    """Shapes that span a chamber's answers over a range of frequencies.

    Real and imaginary parts of direct solutions at evenly spaced frequencies, made orthonormal,
    and the even pressure. Standing waves of the bare chamber would not do: a lining bends them.

    Parameters
    ----------
    given : Problem
        The chamber.
    lowest, highest : float
        Range in Hz; the grid must carry the highest.
    solves : int
        Direct solutions, 2 or more.
    progress, cancelled : callable, optional
        As in `direct`.

    Returns
    -------
    ReducedBasis
        For `swept`.

    Raises
    ------
    ValueError
        For a range that does not rise, fewer than 2 solves, or a grid too coarse.
    Stopped
        When it was cancelled.
    """
    require_above_zero(lowest=lowest)
    if not lowest < highest or solves < 2:
        raise ValueError("the range must rise and hold 2 solves or more")
    if highest * 4.0 * given.grid.spacing > given.air.speed:
        raise ValueError(f"a grid of {given.grid.spacing:g} m does not carry {highest:g} Hz")
    at = np.linspace(lowest, highest, solves)
    fields = np.concatenate(_each(given, at, progress, cancelled), axis=1)
    fields = fields / np.linalg.norm(fields, axis=0)
    shapes, strength, _ = np.linalg.svd(
        np.column_stack([np.ones(len(fields)) / math.sqrt(len(fields)), fields.real, fields.imag]),
        full_matrices=False)
    shapes = shapes[:, strength > SAME * strength[0]]
    return ReducedBasis(
        np.array([shapes.T @ (part @ shapes) for part in given.matrices.stiffness]),
        np.array([shapes.T @ (part @ shapes) for part in given.matrices.mass]),
        given.weights @ shapes, _averages(given) @ shapes, at, given.grid.chamber, given.air,
        given.loss_factor, given.volume, given.matrices.square_spacing,
    )


def swept(basis: ReducedBasis, frequency: npt.ArrayLike) -> ChamberResponse:
    """A chamber's answer over frequency from its reduced basis.

    Parameters
    ----------
    basis : ReducedBasis
        Of the chamber.
    frequency : array_like
        In Hz, shape (f,), within the range of the basis.

    Returns
    -------
    ChamberResponse
        As `direct`.

    Raises
    ------
    ValueError
        For a frequency outside the range of the basis.
    """
    f = np.array(frequency, dtype=float)
    low, high = basis.solved[0], basis.solved[-1]
    if np.any(f < low * (1.0 - 1e-9)) or np.any(f > high * (1.0 + 1e-9)):
        raise ValueError(f"the basis holds from {low:g} to {high:g} Hz")
    scale = factors(f, basis.chamber, basis.air, basis.loss_factor)
    count = len(basis.weights)
    transfer = np.empty((count, count, f.size), dtype=complex)
    mean = np.empty((count, f.size), dtype=complex)
    for start in range(0, f.size, BATCH):
        here = slice(start, start + BATCH)
        matrix = np.einsum("rf,rab->fab", scale.stiffness[:, here], basis.stiffness)
        matrix -= np.einsum("rf,rab->fab", scale.mass[:, here], basis.mass)
        load = 2j * math.pi * f[here, None, None] * basis.weights.T
        field = np.linalg.solve(matrix, load)
        transfer[:, :, here] = np.moveaxis(basis.weights @ field, 0, -1)
        mean[:, here] = (basis.averages @ field).T
    names = tuple(opening.name for opening in basis.chamber.openings)
    held = _held_back(f, basis.square_spacing, basis.air)
    transfer *= held
    return ChamberResponse(f, names, transfer, mean,
                           uniform_pressure(f, basis.volume, basis.air), fits(f, basis.chamber))

"""What a grid of half the spacing changes: the honest error of a chamber with edges in it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.airmodes.chambers import Chamber
from speakerwright.acoustics.airmodes.fineness import ACROSS
from speakerwright.acoustics.airmodes.fluids import LOSS
from speakerwright.acoustics.airmodes.grid import SPACING, Grid, made
from speakerwright.acoustics.airmodes.modes import rigid_modes
from speakerwright.acoustics.airmodes.reduced import direct, problem


@dataclass(frozen=True, eq=False)
class ModeShifts:
    """Standing waves on a grid and on one of half its spacing.

    Attributes
    ----------
    coarse, fine : ndarray
        Frequencies in Hz, shape (m,), in their order; modes found on one grid only are left out.
    unknowns : tuple of int
        Nodes of the two grids.
    """

    coarse: FloatArray
    fine: FloatArray
    unknowns: tuple[int, int]

    def __post_init__(self) -> None:
        for each in (self.coarse, self.fine):
            each.setflags(write=False)

    @property
    def shift_percent(self) -> FloatArray:
        """Of the coarse over the fine frequency, shape (m,)."""
        return np.asarray(100.0 * (self.coarse / self.fine - 1.0), dtype=float)

    @property
    def largest_percent(self) -> float:
        """Largest shift, without sign; 0 when there is no mode."""
        return float(np.max(np.abs(self.shift_percent), initial=0.0))


@dataclass(frozen=True, eq=False)
class LevelShifts:
    """Answers on a grid and on one of half its spacing.

    Attributes
    ----------
    frequency : ndarray
        In Hz, shape (f,).
    openings : tuple of str
        Names of the openings.
    shift_db : ndarray
        Level on the coarse over that on the fine grid, in dB, shape (o, o, f).
    unknowns : tuple of int
        Nodes of the two grids.
    """

    frequency: FloatArray
    openings: tuple[str, ...]
    shift_db: FloatArray
    unknowns: tuple[int, int]

    def __post_init__(self) -> None:
        for each in (self.frequency, self.shift_db):
            each.setflags(write=False)


def _grids(chamber: Chamber, spacing: float, across: int) -> tuple[Grid, Grid]:
    return made(chamber, spacing, across), made(chamber, 0.5 * spacing, 2 * across)


def mode_shifts(
    chamber: Chamber,
    highest: float = 400.0,
    spacing: float = SPACING,
    across: int = ACROSS,
    air: Medium | None = None,
) -> ModeShifts:
    """Standing waves under a halving of the grid.

    The fine grid has eight times the unknowns and takes some 10 to 30 s at 15 mm. For a quick
    figure begin at twice the spacing in use: its error is then below what is shown.

    Parameters
    ----------
    chamber : Chamber
        The chamber.
    highest : float
        In Hz.
    spacing, across
        Of the coarse grid, as in `grid.made`.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ModeShifts
        Mode by mode.

    Raises
    ------
    ValueError
        As `grid.made` and `modes.rigid_modes`.
    """
    grids = _grids(chamber, spacing, across)
    coarse, fine = (rigid_modes(grid, highest, air).frequency for grid in grids)
    count = min(coarse.size, fine.size)
    return ModeShifts(coarse[:count].copy(), fine[:count].copy(),
                      (len(grids[0].nodes), len(grids[1].nodes)))


def level_shifts(
    chamber: Chamber,
    frequency: npt.ArrayLike,
    spacing: float = SPACING,
    across: int = ACROSS,
    air: Air | None = None,
    loss_factor: float = LOSS,
    progress: Callable[[float, str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LevelShifts:
    """Answers of a chamber under a halving of the grid, each frequency solved by itself.

    Parameters
    ----------
    chamber : Chamber
        The chamber, with openings.
    frequency : array_like
        In Hz, shape (f,); a handful.
    spacing, across
        Of the coarse grid, as in `grid.made`.
    air : Air, optional
        The air; the default state when left out.
    loss_factor : float
        As in `fluids.factors`.
    progress, cancelled : callable, optional
        As in `reduced.direct`; progress is that of the fine grid.

    Returns
    -------
    LevelShifts
        Opening by opening.

    Raises
    ------
    ValueError
        As `grid.made` and `reduced.problem`.
    Stopped
        When it was cancelled.
    """
    grids = _grids(chamber, spacing, across)
    coarse = direct(problem(grids[0], air, loss_factor), frequency, None, cancelled)
    fine = direct(problem(grids[1], air, loss_factor), frequency, progress, cancelled)
    level = 20.0 * np.log10(np.abs(coarse.transfer / fine.transfer))
    return LevelShifts(fine.frequency, fine.openings, np.asarray(level, dtype=float),
                       (len(grids[0].nodes), len(grids[1].nodes)))

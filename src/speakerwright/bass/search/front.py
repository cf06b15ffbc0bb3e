"""The Pareto front: what no other candidate beats, and what might be on it.

One beats another when it is no worse in every score and better in one. Equal ones stand together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from speakerwright.circuits.parts import Real

Flags = NDArray[np.bool_]
BLOCK = 256


@dataclass(frozen=True)
class Band:
    """How far the screen may be from the full result, from what was measured (see the docs).

    Each pair is a part for every candidate, and one for the port's air as a share of the air that
    it tunes: for that is what a lumped port leaves out. `size` is a share; `level_db` is of the
    response, and becomes one of the extension by the response's slope there; `headroom_db` is what
    headroom may err; a box that passes a band errs `band_pass` times as much in both. `length` is
    a share of the port's length, `peak_db` of the response's highest point.
    """

    size: tuple[float, float] = (0.003, 0.4)
    level_db: tuple[float, float] = (0.2, 7.0)
    headroom_db: tuple[float, float] = (0.3, 8.0)
    band_pass: float = 2.2
    length: float = 0.25
    peak_db: float = 0.3

    def widths(self, air: Real, steepness: Real, *, band_pass: bool) -> Real:
        """Half the band of every score (n, 4).

        `air` (n,) is the port's share, `steepness` (n,) the change of the extension's logarithm
        for 1 dB.
        """
        more = self.band_pass if band_pass else 1.0
        return np.stack([
            np.zeros_like(air), np.log1p(_line(self.size, air)),
            more * steepness * _line(self.level_db, air), more * _line(self.headroom_db, air),
        ], axis=1)


def _line(pair: tuple[float, float], air: Real) -> Real:
    return np.asarray(pair[0] + pair[1] * air)


NO_BAND = Band((0.0, 0.0), (0.0, 0.0), (0.0, 0.0), 1.0, 0.0, 0.0)
"""For a screen that is taken at its word."""


def front(scores: Real) -> Flags:
    """Which rows are on the front.

    Parameters
    ----------
    scores : ndarray
        Shape (n, k), less is better; may be infinite, not NaN.

    Returns
    -------
    ndarray of bool
        Shape (n,). In the worst case all pairs are compared.

    Raises
    ------
    ValueError
        For NaN.
    """
    if np.isnan(scores).any():
        raise ValueError("a score is not a number")
    order = np.lexsort(scores.T[::-1])  # nobody is beaten by one that comes later
    kept = np.zeros(len(scores), dtype=bool)
    best = np.empty((0, scores.shape[1]))
    for start in range(0, len(order), BLOCK):
        block = order[start : start + BLOCK]
        block = block[~beaten(scores[block], best)]
        block = block[~beaten(scores[block], scores[block])]
        kept[block] = True
        best = np.concatenate([best, scores[block]])
    return kept


def beaten(scores: Real, by: Real) -> Flags:
    """Which rows (n,) of `scores` (n, k) some row of `by` (m, k) beats."""
    found = np.zeros(len(scores), dtype=bool)
    for start in range(0, len(by), BLOCK):
        left = np.flatnonzero(~found)
        some = by[start : start + BLOCK]
        no_worse = np.ones((left.size, len(some)), dtype=bool)
        better = np.zeros_like(no_worse)
        for k in range(scores.shape[1]):
            mine, theirs = scores[left, None, k], some[None, :, k]
            no_worse &= theirs <= mine
            better |= theirs < mine
        found[left] = np.any(no_worse & better, axis=1)
    return found


def may_stand(scores: Real, widths: Real, sure: Flags) -> Flags:
    """Which rows (n,) may be on the front, each score being known to plus or minus its width.

    Only rows that are `sure` to be possible at all can beat another, and only by their worst
    against its best.
    """
    worst = scores[sure] + widths[sure]
    return ~beaten(scores - widths, worst[front(worst)])

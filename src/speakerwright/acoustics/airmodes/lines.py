"""Grid lines along one axis: on given places, close together where something is small."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from speakerwright.acoustics.air import FloatArray

CLOSEST = 1.0e-4  # m; faces nearer to each other than this are one
_SAMPLES = 400


@dataclass(frozen=True)
class Fine:
    """From `start` to `end` (m) along an axis the spacing is at most `spacing` (m).

    Outside it grows by `growth` for each distance.
    """

    start: float
    end: float
    spacing: float
    growth: float = 1.0


def merged(places: Sequence[float], low: float, high: float) -> tuple[float, ...]:
    """Places strictly between two ends, ascending, those that all but coincide taken once.

    Parameters
    ----------
    places : sequence of float
        In m.
    low, high : float
        The ends in m.

    Returns
    -------
    tuple of float
        In m; the ends are not among them.
    """
    kept: list[float] = []
    for place in sorted(places):
        if low + CLOSEST < place < high - CLOSEST and (not kept or place > kept[-1] + CLOSEST):
            kept.append(place)
    return tuple(kept)


def spacing_at(place: FloatArray, spacing: float, fine: Sequence[Fine]) -> FloatArray:
    """Spacing wanted at places along an axis.

    Parameters
    ----------
    place : ndarray
        In m, shape (n,).
    spacing : float
        Far from everything small, in m.
    fine : sequence of Fine
        Where it must be finer; it grows from there.

    Returns
    -------
    ndarray
        In m, shape (n,).
    """
    wanted = np.full(place.shape, spacing)
    for each in fine:
        away = np.maximum(np.maximum(each.start - place, place - each.end), 0.0)
        wanted = np.minimum(wanted, each.spacing + each.growth * away)
    return wanted


def grid_lines(
    places: Sequence[float], spacing: float, fine: Sequence[Fine] = ()
) -> FloatArray:
    """Grid lines that pass through all given places.

    Parameters
    ----------
    places : sequence of float
        Ascending, in m, the ends included.
    spacing : float
        Largest distance between lines in m, above zero.
    fine : sequence of Fine
        Where lines must be closer.

    Returns
    -------
    ndarray
        In m, ascending, shape (n,).
    """
    found = [np.array([places[0]])]
    for start, end in pairwise(places):
        dense = np.linspace(start, end, _SAMPLES + 1)
        density = 1.0 / spacing_at(dense, spacing, fine)
        steps = 0.5 * (density[1:] + density[:-1]) * np.diff(dense)
        ladder = np.concatenate([[0.0], np.cumsum(steps)])
        count = max(1, math.ceil(float(ladder[-1]) - 1e-6))
        inner = np.interp(np.arange(1, count) * ladder[-1] / count, ladder, dense)
        found += [inner, np.array([end])]
    return np.concatenate(found)

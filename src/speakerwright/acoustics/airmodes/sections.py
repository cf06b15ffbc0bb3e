"""An outline as rows: between which two places it lies at each height."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.airmodes.chambers import Pair
from speakerwright.acoustics.airmodes.lines import CLOSEST


@dataclass(frozen=True, eq=False)
class Rows:
    """The edges `low` and `high` (m) of an outline at the heights `at` (m), straight in between.

    Attributes
    ----------
    at, low, high : ndarray
        Shape (n,), `at` ascending.
    """

    at: FloatArray
    low: FloatArray
    high: FloatArray

    def __post_init__(self) -> None:
        for each in (self.at, self.low, self.high):
            each.setflags(write=False)

    @property
    def narrowest(self) -> float:
        """Least over greatest width, 0 for an outline that comes to a point."""
        width = self.high - self.low
        return float(np.min(width) / np.max(width))

    def stretch(self, side: int) -> FloatArray:
        """Length along one edge (0 low, 1 high) over height, at each of `at`; shape (n,).

        At a corner the mean of both sides.
        """
        slope = np.diff(self.low if side == 0 else self.high) / np.diff(self.at)
        secant = np.sqrt(1.0 + slope**2)
        return np.asarray(
            0.5 * (np.concatenate([secant[:1], secant]) + np.concatenate([secant, secant[-1:]]))
        )


def rows(outline: tuple[Pair, ...], upward: int) -> Rows | None:
    """An outline's rows, counted along one of its axes.

    Parameters
    ----------
    outline : tuple of (float, float)
        Corners in order, m.
    upward : int
        The axis along which rows are counted, 0 or 1.

    Returns
    -------
    Rows or None
        None for an outline that a row crosses more than once, or that steps along a row.
    """
    corners = np.array(outline, dtype=float)[:, [1 - upward, upward]]
    starts, ends = corners, np.roll(corners, -1, axis=0)
    heights = corners[:, 1][np.argsort(corners[:, 1])]
    at = heights[np.concatenate([[True], np.diff(heights) > CLOSEST])]
    slabs = []
    for below, above in pairwise(at):
        middle = 0.5 * (below + above)
        crossed = (starts[:, 1] < middle) != (ends[:, 1] < middle)
        if np.count_nonzero(crossed) != 2:
            return None
        a, b = starts[crossed], ends[crossed]
        slope = (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
        low_high = np.sort([a[:, 0] + slope * (h - a[:, 1]) for h in (below, above)], axis=1)
        slabs.append(low_high)
    if not slabs:
        return None
    for below_slab, above_slab in pairwise(slabs):
        if np.max(np.abs(below_slab[1] - above_slab[0])) > CLOSEST:
            return None
    edges = np.array([slabs[0][0], *(slab[1] for slab in slabs)])
    return Rows(at, edges[:, 0].copy(), edges[:, 1].copy())

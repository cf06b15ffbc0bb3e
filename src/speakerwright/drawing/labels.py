"""Where words go on a chart: near what they name, clear of curves and of each other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_INSET_MM = 0.8


class Placer:
    """Keeps what is already drawn in a field and finds room for the next word; all in mm."""

    def __init__(self, left_mm: float, right_mm: float, bottom_mm: float, top_mm: float) -> None:
        self.left_mm, self.right_mm = left_mm, right_mm
        self.bottom_mm, self.top_mm = bottom_mm, top_mm
        self._lines: list[Floats] = []
        self._boxes: list[tuple[float, float, float, float]] = []

    def keep_clear(self, x_mm: Floats, y_mm: Floats) -> None:
        """Remember a line, given by points of shape (n,), that words should not cross."""
        good = np.isfinite(x_mm) & np.isfinite(y_mm)
        x, y = x_mm[good], y_mm[good]
        if x.size < 2:
            return
        lengths = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
        if lengths[-1] <= 0.0:
            return
        count = int(min(2000.0, max(2.0, lengths[-1] / 0.5)))
        steps = np.linspace(0.0, lengths[-1], count)
        self._lines.append(np.array([np.interp(steps, lengths, x), np.interp(steps, lengths, y)]))

    def best(
        self, spots: list[tuple[float, float]], width_mm: float, height_mm: float
    ) -> tuple[float, float]:
        """The best of `spots` (lower left corners, the most wanted first), moved into the field.

        The box of `width_mm` by `height_mm` that is put there is remembered.
        """
        placed = [self._inside(spot, width_mm, height_mm) for spot in spots]
        costs = [self._cost(spot, width_mm, height_mm) + 0.02 * rank
                 for rank, spot in enumerate(placed)]
        x, y = placed[int(np.argmin(costs))]
        self._boxes.append((x, y, x + width_mm, y + height_mm))
        return x, y

    def along(
        self, x_mm: Floats, y_mm: Floats, width_mm: float, height_mm: float
    ) -> list[tuple[float, float]]:
        """Spots above and below a line, the ones near its visible end first."""
        good = np.isfinite(x_mm) & np.isfinite(y_mm)
        good[good] = ((x_mm[good] >= self.left_mm) & (x_mm[good] <= self.right_mm)
                      & (y_mm[good] >= self.bottom_mm) & (y_mm[good] <= self.top_mm))
        where = np.flatnonzero(good)
        if where.size == 0:
            return [(self.right_mm - width_mm - 1.0, self.top_mm - height_mm - 1.0)]
        chosen = where[np.unique(np.linspace(0, where.size - 1, 40).round().astype(int))][::-1]
        spots = []
        for index in chosen:
            x, y = float(x_mm[index]), float(y_mm[index])
            spots += [(x - width_mm / 2.0, y + 0.6), (x - width_mm / 2.0, y - height_mm - 0.6),
                      (x + 0.8, y - height_mm / 2.0), (x - width_mm - 0.8, y - height_mm / 2.0)]
        return spots

    def _inside(
        self, spot: tuple[float, float], width_mm: float, height_mm: float
    ) -> tuple[float, float]:
        x = max(min(spot[0], self.right_mm - width_mm - 0.6), self.left_mm + 0.6)
        y = max(min(spot[1], self.top_mm - height_mm - 0.4), self.bottom_mm + 0.4)
        return x, y

    def _cost(self, spot: tuple[float, float], width_mm: float, height_mm: float) -> float:
        x, y = spot
        cost = 0.0
        for line in self._lines:
            inside = ((line[0] > x - 0.3) & (line[0] < x + width_mm + 0.3)
                      & (line[1] > y - 0.2) & (line[1] < y + height_mm + 0.2))
            cost += float(np.count_nonzero(inside))
        for left, low, right, high in self._boxes:
            over = min(right, x + width_mm) - max(left, x)
            tall = min(high, y + height_mm) - max(low, y)
            if over > 0.0 and tall > 0.0:
                cost += 50.0 + 5.0 * over * tall
        return cost


def fits_in_band(
    x_mm: Floats, low_mm: Floats, high_mm: Floats, width_mm: float, height_mm: float
) -> tuple[list[tuple[float, float]], bool]:
    """Spots for a word inside a band, the roomiest first.

    Parameters
    ----------
    x_mm, low_mm, high_mm : ndarray, shape (n,)
        The band's places and edges.
    width_mm, height_mm : float
        The word's box.

    Returns
    -------
    spots : list of (x, y)
        Lower left corners; where nothing fits, the middle of the tallest place.
    roomy : bool
        Whether the word fits there.
    """
    order = np.argsort(x_mm, kind="stable")
    x, low, high = x_mm[order], low_mm[order], high_mm[order]
    found: list[tuple[float, float, float]] = []
    first, last = float(x[0]) + _INSET_MM, float(x[-1]) - _INSET_MM
    for start in np.linspace(first, max(first, last - width_mm), 25):
        places = np.linspace(start, start + width_mm, 12)
        under = float(np.interp(places, x, low).max())
        over = float(np.interp(places, x, high).min())
        found.append((over - under, float(start), (under + over - height_mm) / 2.0))
    roomy = sorted((place for place in found if place[0] >= height_mm), key=lambda place: -place[0])
    fits = bool(roomy) and last - first >= width_mm
    spots = []
    for room, start, middle in roomy or [max(found)]:
        free = max(0.0, (room - height_mm) / 2.0 - 0.5)
        spots += [(start, middle), (start, middle + free), (start, middle - free)]
    return spots, fits


def spread(wanted: list[float], apart: float, low: float, high: float) -> list[float]:
    """Places at least `apart` from each other, near the wanted ones, between `low` and `high`.

    `wanted` is sorted upwards. When there is no room for all, they stay `apart` and run past `low`.
    """
    places = list(wanted)
    for index in range(1, len(places)):
        places[index] = max(places[index], places[index - 1] + apart)
    over = max(0.0, places[-1] - high) if places else 0.0
    if over:
        places[-1] -= over
        for index in range(len(places) - 2, -1, -1):
            places[index] = min(places[index], places[index + 1] - apart)
    return places

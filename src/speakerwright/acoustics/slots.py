"""End corrections of rectangular tubes and slots, free, flush and sharing a wall of the box.

Lengths in m, low frequency and small amplitude, as in `ends`.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.ends import facing_image_factor, flanged_end, unflanged_end
from speakerwright.acoustics.interpolation import smooth, weights
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.openings import rectangle_end
from speakerwright.acoustics.port_tables import (
    RECTANGLE_ASPECTS,
    RECTANGLE_FLUSH,
    RECTANGLE_FREE,
    RECTANGLE_GAPS,
    RECTANGLE_NEAR,
    RECTANGLE_WALLS,
)

_ASPECTS = tuple(math.log(aspect) for aspect in RECTANGLE_ASPECTS)
_GAPS = tuple(math.log(gap) for gap in RECTANGLE_GAPS)
SLOT_GAP_RANGE = (0.3, math.inf)  # gap over half the short side in which a slot is computed


def flush_rectangle_end(width: float, height: float) -> float:
    """End correction of a rectangular opening flush in an infinite baffle, with its true flow.

    Source: own potential-flow computation; some 3 % below the uniform velocity of
    `rectangle_end`, as the round one is. Sides of 1 to 20 to one, held in proportion to
    `rectangle_end` beyond.

    Parameters
    ----------
    width, height : float
        In m.

    Returns
    -------
    float
        Length in m.
    """
    require_above_zero(width=width, height=height)
    short, aspect = min(width, height), max(width, height) / min(width, height)
    within = min(aspect, RECTANGLE_ASPECTS[-1])
    flush = 0.5 * short * smooth(math.log(within), _ASPECTS, RECTANGLE_FLUSH)
    return flush * rectangle_end(width, height) / rectangle_end(within * short, short)


def _wall_weights(wall_ratio: float, ends: tuple[float, ...]) -> FloatArray:
    """Weights of rows by wall thickness, over t / (1 + t): an infinite wall stands at 1."""
    def place(t: float) -> float:
        return 1.0 if math.isinf(t) else t / (1.0 + t)

    return weights(place(wall_ratio), tuple(place(t) for t in ends))


def _of_its_area(width: float, height: float) -> float:
    return math.sqrt(width * height / math.pi)


def rectangular_tube_end(
    width: float, height: float, wall: float, gap: float = math.inf
) -> float:
    """End correction of a free rectangular tube, alone or before an infinite facing wall.

    Source: own potential-flow computation (finite elements across, exact along), as a factor on
    the round tube of the same area; within 1 %, no published value. Sides of 1 to 20 to one,
    walls of a tenth of half the short side and more, gaps from three tenths of it: beyond,
    the outermost factor is kept.

    Parameters
    ----------
    width, height : float
        Clear sides in m.
    wall : float
        Thickness in m, 0 or above.
    gap : float
        To a facing wall in m, above zero; infinite for none.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        For a dimension or gap not above zero or a negative wall.
    """
    require_above_zero(width=width, height=height, gap=gap)
    free = _free_rectangle(width, height, wall)
    return free + rectangle_image_factor(width, height, wall, gap) * width * height / (
        8.0 * math.pi * gap)


@lru_cache(maxsize=256)
def _free_rectangle(width: float, height: float, wall: float) -> float:
    """The same without a facing wall."""
    half, radius = 0.5 * min(width, height), _of_its_area(width, height)
    aspect = max(width, height) / min(width, height)
    within = min(aspect, RECTANGLE_ASPECTS[-1])
    like = math.sqrt(4.0 * within / math.pi)  # radius of that area over the half short side
    rows = weights(math.log(within), _ASPECTS) @ RECTANGLE_FREE
    factors = [row / unflanged_end(like, t) for row, t in zip(rows, RECTANGLE_WALLS, strict=True)]
    factors.append(flush_rectangle_end(2.0 * within, 2.0) / flanged_end(like))
    share = _wall_weights(max(wall / half, 0.0), (*RECTANGLE_WALLS, math.inf))
    stretch = flush_rectangle_end(width, height) / flanged_end(radius) / factors[-1]
    return float(unflanged_end(radius, wall) * float(share @ np.array(factors)) * stretch)


def rectangle_image_factor(width: float, height: float, wall: float, gap: float) -> float:
    """What a rectangular tube's end makes of the far limit area / (8 pi g) of a facing wall.

    Source and range: `rectangular_tube_end`.

    Parameters
    ----------
    width, height, wall, gap : float
        In m, as for `rectangular_tube_end`.

    Returns
    -------
    float
        Factor, near 1 far away.

    Raises
    ------
    ValueError
        As `facing_image_factor`.
    """
    if math.isinf(gap):
        return 1.0
    half = 0.5 * min(width, height)
    aspect = min(max(width, height) / min(width, height), RECTANGLE_ASPECTS[-1])
    g = min(max(gap / half, SLOT_GAP_RANGE[0]), RECTANGLE_GAPS[-1])
    wall_ratio = min(wall / half, RECTANGLE_WALLS[-1])
    across, along = weights(math.log(aspect), _ASPECTS), weights(math.log(g), _GAPS)
    by_wall = _wall_weights(wall_ratio, RECTANGLE_WALLS)
    share = float(by_wall @ (across @ _shares_of_round() @ along))
    share = 1.0 + (share - 1.0) * min(g * half / gap, 1.0)
    like = _of_its_area(width, height)
    return float(share * facing_image_factor(like, wall, max(gap, g * half)))


@lru_cache(maxsize=1)
def _shares_of_round() -> FloatArray:
    """Factors of rectangles over those of round tubes, by wall, aspect and gap."""
    likes = [math.sqrt(4.0 * aspect / math.pi) for aspect in RECTANGLE_ASPECTS]
    round_ones = [[[facing_image_factor(like, wall, gap) for gap in RECTANGLE_GAPS]
                   for wall in RECTANGLE_WALLS] for like in likes]
    return np.asarray(np.swapaxes(RECTANGLE_NEAR / np.array(round_ones), 0, 1))


def slot_one_wall_end(
    width: float, height: float, gap: float = math.inf, wall: float | None = None
) -> float:
    """Inner end correction of a slot whose long side lies on one wall of the box.

    Source: with its image in that wall it is one half of a free rectangular tube of twice the
    height, `rectangular_tube_end`: own potential-flow computation, no published value.

    Parameters
    ----------
    width : float
        Along the wall, in m; `height` or more.
    height : float
        In m.
    gap : float
        To a facing wall in m, above zero; infinite for none.
    wall : float, optional
        Thickness of its boards in m; a tenth of the height when left out.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        For a slot higher than wide, or a dimension or gap not above zero.
    """
    require_above_zero(width=width, height=height, gap=gap)
    if width < height:
        raise ValueError("the slot must be at least as wide as high")
    return rectangular_tube_end(width, 2.0 * height, 0.1 * height if wall is None else wall, gap)


def slot_valid(width: float, height: float, gap: float = math.inf) -> bool:
    """Whether `rectangular_tube_end` was computed for these sides and this gap.

    Parameters
    ----------
    width, height, gap : float
        In m.

    Returns
    -------
    bool
        False where the outermost computed factor is kept.
    """
    short, long = sorted((width, height))
    return long <= RECTANGLE_ASPECTS[-1] * short and gap >= SLOT_GAP_RANGE[0] * 0.5 * short

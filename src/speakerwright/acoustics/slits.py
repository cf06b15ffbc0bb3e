"""A slot that spans its box: two-dimensional potential flow, solved live by mode matching.

The slot shares the floor and both side walls with the box, so nothing varies across the width.
Its board ends at some gap before the facing wall; beside the board, above it, the box goes back
to the baffle. The flow that leaves the slot swells evenly into the whole box (low frequency), and
the pressure of the box is the mean over its air, as a box of one compliance has it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero

_EDGE = 1.0 / 6.0  # the velocity at the board's square corner goes as distance^(-1/3)
_TERMS = 6  # of the velocity in each opening
_FINEST = 90.0 * math.pi  # waves in half an opening up to which modes are summed


@dataclass(frozen=True, eq=False)
class _Modes:
    """One region: the rate (1/m) of each mode, and its share of each term of the velocity."""

    rate: FloatArray
    shares: FloatArray

    def impedance(self, depth: float, height: float) -> FloatArray:
        """What the modes across the region of this depth and height add to the flow's energy."""
        fall = self.rate if math.isinf(depth) else self.rate * np.tanh(self.rate * depth)
        return np.asarray(2.0 / height * (self.shares / fall[:, None]).T @ self.shares)


def _shares(waves: FloatArray) -> FloatArray:
    """Cosine transforms of the velocity's terms in an opening, by waves in it (radians).

    Source: Gradshteyn and Ryzhik, Table of Integrals, 7.321 (memory): Gegenbauer polynomials
    with the edge's own weight transform to Bessel functions.
    """
    from scipy.special import gamma, jv

    order = _EDGE + 2.0 * np.arange(_TERMS)
    sign = (-1.0) ** np.arange(_TERMS)
    scale = 2.0**_EDGE * gamma(_EDGE + 1.0)
    found = scale * sign * jv(order, waves[:, None]) / waves[:, None] ** _EDGE
    return np.asarray(found, dtype=float)


@lru_cache(maxsize=64)
def _regions(height: float, wall: float, box_height: float) -> tuple[_Modes, _Modes, _Modes]:
    """Ahead of the mouth, in the slot, behind beside the board (no modes without room there)."""
    beside = max(box_height - height - wall, 0.0)
    smallest = min(height, beside) if beside > 0.0 else height
    count = min(max(int(_FINEST / math.pi * box_height / smallest), 8), 6000)
    order = np.arange(1, count + 1, dtype=float)
    ahead = np.zeros((count, 2 * _TERMS))
    ahead[:, :_TERMS] = height * _shares(math.pi * height / box_height * order)
    if beside > 0.0:
        flip = beside * (-1.0) ** order[:, None]
        ahead[:, _TERMS:] = flip * _shares(math.pi * beside / box_height * order)
    few = order[: max(int(_FINEST / math.pi), 8)]
    slot = np.zeros((len(few), 2 * _TERMS))
    slot[:, :_TERMS] = height * _shares(math.pi * few)
    back = np.zeros((len(few), 2 * _TERMS))
    back[:, _TERMS:] = beside * (-1.0) ** few[:, None] * _shares(math.pi * few)
    return (
        _Modes(math.pi / box_height * order, ahead),
        _Modes(math.pi / height * few, slot),
        _Modes(math.pi / beside * few if beside > 0.0 else few, back),
    )


def slot_across_end(
    height: float, wall: float, box_height: float, gap: float, behind: float
) -> float:
    """Inner end correction of a slot that shares floor and both side walls with its box.

    Source: own potential-flow solution, mode matching in two dimensions (Galerkin with the edge's
    singularity), the flow swelling evenly into the box and the box's mean pressure for zero.
    Held to finite elements within 0.2 % by the tests. Potential flow says nothing of loss, so a
    gap below the slot's own height is doubtful.

    Parameters
    ----------
    height : float
        Of the slot in m.
    wall : float
        Thickness of its board in m, 0 or above.
    box_height : float
        Clear height of the box over the slot's floor in m, `height` or more.
    gap : float
        From the slot's inner end to the facing wall in m.
    behind : float
        From the inner end back to the inside of the baffle in m, 0 or above.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        For a slot higher than the box, a dimension not above zero or a negative wall.
    """
    require_above_zero(height=height, gap=gap)
    if height > box_height:
        raise ValueError("the slot must not be higher than the box")
    if wall < 0.0 or behind < 0.0:
        raise ValueError("wall and depth behind the mouth must not be negative")
    if height > box_height * (1.0 - 1e-6):  # nothing but a closed tube
        return gap / 3.0
    beside = max(box_height - height - wall, 0.0)
    if beside < 1e-3 * height or behind < 1e-6 * height:
        beside = 0.0
    swell = height / (box_height * gap + beside * behind)  # velocity over depth
    even = box_height * (swell * gap) ** 2 * gap / 3.0 + beside * (swell * behind) ** 2 * behind / 3
    around = _around(height, wall, box_height, gap, behind, beside, -swell * behind)
    return (around + even) / height


def _around(
    height: float, wall: float, box_height: float, gap: float, behind: float,
    beside: float, back_speed: float,
) -> float:
    """Least energy of the flow's modes with the mean velocity in both openings given."""
    ahead, slot, back = _regions(height, wall if beside else box_height, box_height)
    matrix = ahead.impedance(gap, box_height) + slot.impedance(math.inf, height)
    if not beside:
        return _least(matrix[:_TERMS, :_TERMS], [0], np.array([1.0]))
    matrix = matrix + back.impedance(behind, beside)
    return _least(matrix, [0, _TERMS], np.array([1.0, back_speed]))


def _least(matrix: FloatArray, fixed: list[int], given: FloatArray) -> float:
    """Least value of a quadratic form with some unknowns given."""
    free = [i for i in range(len(matrix)) if i not in fixed]
    across = matrix[np.ix_(free, fixed)] @ given
    rest = np.linalg.solve(matrix[np.ix_(free, free)], across)
    return float(given @ matrix[np.ix_(fixed, fixed)] @ given - across @ rest)


def step_in_duct_end(height: float, duct_height: float) -> float:
    """End correction of a step from a slot into a wider duct as wide as it, both long.

    Source: the conformal solution as Marcuvitz, Waveguide Handbook (1951), gives it for a change
    of height (memory), static limit; one wall in common.

    Parameters
    ----------
    height : float
        Of the slot in m.
    duct_height : float
        Of the duct in m, `height` or more.

    Returns
    -------
    float
        Length in m, to be added to the slot's.

    Raises
    ------
    ValueError
        When the slot is higher than the duct.
    """
    require_above_zero(height=height)
    if height > duct_height:
        raise ValueError("the slot must not be higher than the duct")
    a = height / duct_height
    if a > 1.0 - 1e-9:
        return 0.0
    turned = (1.0 + a * a) / a * math.log((1.0 + a) / (1.0 - a))
    return height / math.pi * (turned - 2.0 * math.log(4.0 * a / (1.0 - a * a)))

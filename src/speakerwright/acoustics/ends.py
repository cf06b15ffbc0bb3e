"""End corrections of round tubes: free, flanged, before a wall, into a wider duct.

Every end correction is a length in m to be added to the tube's own. All of them are the limit of
low frequency (ka well below 1) and of small amplitude; potential flow says nothing of loss.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.interpolation import smooth, weights
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.port_tables import TUBE_FREE, TUBE_GAPS, TUBE_NEAR, TUBE_WALLS

UNFLANGED = 0.6127  # Levine and Schwinger's integral; they print 0.6133
FLANGED = 0.82167  # Norris and Sheng 1989; Dalmont et al. 2001 print 0.8216
PISTON = 8.0 / (3.0 * math.pi)
FACING_WALL_RANGE = (0.25, math.inf)  # gap over radius in which `facing_wall_end` is computed
THICKEST_WALL = TUBE_WALLS[-1]  # over the radius, before a facing wall


def _free_place(wall_ratio: float) -> float:
    """Where a wall stands in the table of free ends: none at 0, an infinite one at 1."""
    return 1.0 if math.isinf(wall_ratio) else math.sqrt(wall_ratio / (1.0 + wall_ratio))


def _near_place(wall_ratio: float) -> float:
    """Where a wall stands in the table of facing walls: the rim's narrow gap goes as ln(1 + t)."""
    return math.log(wall_ratio + 0.05)


_FREE_PLACES = tuple(_free_place(wall) for wall in (*TUBE_WALLS, math.inf))
_FREE_ENDS = (UNFLANGED, *TUBE_FREE[1:], FLANGED)
_NEAR_PLACES = tuple(_near_place(wall) for wall in TUBE_WALLS)
_NEAR_GAPS = tuple(math.log(gap) for gap in TUBE_GAPS)


def unflanged_end(radius: float, wall: float = 0.0) -> float:
    """End correction of a free tube end, by the thickness of its wall.

    A wall many radii thick is a flange with a body as wide behind it.

    Source: Levine and Schwinger, Phys. Rev. 73, 383 (1948) for a thin wall; own potential-flow
    computation (finite elements) for every other, within 0.1 %.

    Parameters
    ----------
    radius : float
        Inner radius in m, above zero.
    wall : float
        Wall thickness in m, 0 or above; may be infinite.

    Returns
    -------
    float
        Length in m, 0.6127 to 0.8217 radii.

    Raises
    ------
    ValueError
        For a radius not above zero or a negative wall.
    """
    return radius * smooth(_free_place(_wall_ratio(radius, wall)), _FREE_PLACES, _FREE_ENDS)


def _wall_ratio(radius: float, wall: float) -> float:
    require_above_zero(radius=radius)
    if not wall >= 0.0:
        raise ValueError("wall must not be negative")
    return wall / radius


def flanged_end(radius: float) -> float:
    """End correction of a tube that ends flush in an infinite flange: 0.82167 radii.

    Source: Norris and Sheng, J. Sound Vib. 135, 85 (1989); Dalmont et al. 2001.

    Parameters
    ----------
    radius : float
        Inner radius in m.

    Returns
    -------
    float
        Length in m.
    """
    require_above_zero(radius=radius)
    return FLANGED * radius


def piston_end(radius: float) -> float:
    """End correction with uniform velocity in an infinite baffle: 8 a / 3 pi (Rayleigh).

    Parameters
    ----------
    radius : float
        Radius in m.

    Returns
    -------
    float
        Length in m.
    """
    require_above_zero(radius=radius)
    return PISTON * radius


def flange_end(radius: float, flange_radius: float) -> float:
    """End correction of a tube with a round flange of finite size.

    Source: Dalmont, Nederveen and Joly, J. Sound Vib. 244, 505 (2001), the fit from memory, with
    their own 0.6133 and 0.8216 as its limits; some 1 %.

    Parameters
    ----------
    radius : float
        Inner radius in m.
    flange_radius : float
        Outer radius in m, `radius` or above (may be infinite).

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        When the flange is smaller than the tube.
    """
    require_above_zero(radius=radius)
    if flange_radius < radius:
        raise ValueError("the flange must not be smaller than the tube")
    r = radius / flange_radius
    return radius * (0.8216 + r * (0.6133 - 0.8216) + 0.057 * r * (1.0 - r**5))


def facing_wall_end(radius: float, wall: float, gap: float) -> float:
    """End correction of a free tube end that faces an infinite rigid wall.

    Source: own potential-flow computation (finite elements), as a factor on the far limit
    a^2 / (8 g) (one image, elementary), by ln(t + a / 20) and ln(g). Held to fresh computations
    within 0.3 % by the tests for walls up to 12 radii and gaps from a quarter of the radius.
    Nearer the increment is only held to its 1 / gap, and potential flow says nothing of the loss
    in a space narrower than the port: ask `facing_wall_valid`. Walls beyond 32 radii are held to
    the logarithm of their own flow between rim and wall; an infinite one has no finite value.

    Parameters
    ----------
    radius : float
        Inner radius in m, above zero.
    wall : float
        Wall thickness in m, 0 or above.
    gap : float
        Distance from the end to the wall in m, above zero; may be infinite.

    Returns
    -------
    float
        Total correction of this end in m.

    Raises
    ------
    ValueError
        For a radius or gap not above zero, a negative wall, or an infinite wall at a finite gap.
    """
    free = unflanged_end(radius, wall)
    return free + facing_image_factor(radius, wall, gap) * radius**2 / (8.0 * gap)


def facing_image_factor(radius: float, wall: float, gap: float) -> float:
    """What a tube's end makes of the far limit a^2 / (8 g) of a wall facing it; 1 far away.

    Source and range: `facing_wall_end`.

    Parameters
    ----------
    radius, wall, gap : float
        In m, as for `facing_wall_end`.

    Returns
    -------
    float
        Factor, 1 or above.

    Raises
    ------
    ValueError
        As `facing_wall_end`.
    """
    ratio = _wall_ratio(radius, wall)
    require_above_zero(gap=gap)
    if math.isinf(gap):
        return 1.0
    if math.isinf(wall):
        raise ValueError("before a facing wall the wall or flange must not be infinite")
    g = min(max(gap / radius, FACING_WALL_RANGE[0]), TUBE_GAPS[-1])
    thick = weights(_near_place(ratio), _NEAR_PLACES)
    factor = float(thick @ TUBE_NEAR @ weights(math.log(g), _NEAR_GAPS))
    return 1.0 + (factor - 1.0) * min(TUBE_GAPS[-1] * radius / gap, 1.0)


def facing_wall_valid(radius: float, gap: float) -> bool:
    """Whether `facing_wall_end` was computed for this gap: a quarter of the radius or more.

    Parameters
    ----------
    radius, gap : float
        In m.

    Returns
    -------
    bool
        False where the value is only held to its law.
    """
    return FACING_WALL_RANGE[0] <= gap / radius <= FACING_WALL_RANGE[1]


@lru_cache(maxsize=1)
def _bessel_zeros() -> tuple[FloatArray, FloatArray]:
    from scipy.special import j0, jn_zeros

    zeros = np.asarray(jn_zeros(1, 400), dtype=float)
    return zeros, np.asarray(j0(zeros), dtype=float)


def step_end(radius: float, duct_radius: float) -> float:
    """End correction of a round step into a wider duct, uniform velocity in the opening.

    Source: Karal, JASA 25, 327 (1953), the series H, times 8 a / 3 pi. The true flow gives some
    3 to 20 % less (`step_end_fit`).

    Parameters
    ----------
    radius, duct_radius : float
        In m, the smaller first; their ratio from about 0.01.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        When the duct is narrower than the tube.
    """
    from scipy.special import j1

    ratio = _step_ratio(radius, duct_radius)
    zeros, at_zeros = _bessel_zeros()
    terms = j1(ratio * zeros) ** 2 / (zeros**3 * at_zeros**2)
    tail = 1.0 / (4.0 * math.pi * ratio * zeros[-1] ** 2)  # the rest, by the asymptotic terms
    return PISTON * radius * 1.5 * math.pi / ratio * (float(np.sum(terms)) + float(tail))


def step_end_ingard(radius: float, duct_radius: float) -> float:
    """End correction of a round step into a wider duct, straight-line law.

    Source: Ingard 1953 (memory): (8 a / 3 pi)(1 - 1.25 a / R) for a below 0.4 R.

    Parameters
    ----------
    radius, duct_radius : float
        In m, the smaller first.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        For a ratio above 0.4.
    """
    ratio = _step_ratio(radius, duct_radius)
    if ratio > 0.4:
        raise ValueError("the straight-line law holds up to a ratio of 0.4")
    return PISTON * radius * (1.0 - 1.25 * ratio)


def step_end_fit(radius: float, duct_radius: float) -> float:
    """End correction of a round step into a wider duct with the true flow in the opening.

    Source: Kergomard and Garcia, J. Sound Vib. 114, 465 (1987), the fit from memory:
    0.82 a (1 - 1.35 x + 0.31 x^3), x = a / R, with the flanged end for 0.82. Good up
    to x = 0.9; held at 0 where the fit would pass below.

    Parameters
    ----------
    radius, duct_radius : float
        In m, the smaller first.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        When the duct is narrower than the tube.
    """
    ratio = _step_ratio(radius, duct_radius)
    return FLANGED * radius * max(1.0 - 1.35 * ratio + 0.31 * ratio**3, 0.0)


def _step_ratio(radius: float, duct_radius: float) -> float:
    require_above_zero(radius=radius)
    if duct_radius < radius:
        raise ValueError("the duct must not be narrower than the tube")
    return radius / duct_radius

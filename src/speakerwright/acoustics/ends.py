"""End corrections of round tubes: free, flanged, before a wall, into a wider duct.

Every end correction is a length in m to be added to the tube's own. All of them are the limit of
low frequency (ka well below 1) and of small amplitude; potential flow says nothing of loss.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from functools import lru_cache

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero

UNFLANGED = 0.6127  # Levine and Schwinger's integral; they print 0.6133
FLANGED = 0.82167  # Norris and Sheng 1989; Dalmont et al. 2001 print 0.8216
PISTON = 8.0 / (3.0 * math.pi)
FACING_WALL_RANGE = (0.25, math.inf)  # gap over radius in which `facing_wall_end` is computed

# Free end by wall thickness over radius: own potential-flow computation.
_WALLS = ((0.02, 0.626), (0.05, 0.639), (0.1, 0.654), (0.2, 0.676))

# Total end correction over radius before an infinite wall, by gap over radius, for a wall thickness
# of 0.05 and of nothing: own potential-flow computation.
_GAPS_005 = ((0.25, 1.319), (0.3, 1.225), (0.4, 1.095), (0.5, 1.008), (0.7, 0.900), (1.0, 0.815),
             (1.5, 0.749), (2.0, 0.718), (3.0, 0.688), (4.0, 0.675))
_GAPS_000 = ((0.5, 0.953733807), (1.0, 0.780375243), (2.0, 0.689526422), (4.0, 0.648027255))


def smooth(x: float, nodes: tuple[float, ...], values: tuple[float, ...]) -> float:
    """Smooth curve through a short table, continued straight outside it.

    Piecewise cubic (Hermite) with slopes by central differences.

    Parameters
    ----------
    x : float
        Where.
    nodes, values : tuple of float
        The table, two points or more, nodes ascending.

    Returns
    -------
    float
        The value at `x`.
    """
    slopes = _slopes(nodes, values)
    if x <= nodes[0]:
        return values[0] + slopes[0] * (x - nodes[0])
    if x >= nodes[-1]:
        return values[-1] + slopes[-1] * (x - nodes[-1])
    i = bisect_left(nodes, x) - 1
    h = nodes[i + 1] - nodes[i]
    u = (x - nodes[i]) / h
    return (
        values[i] * (1 + 2 * u) * (1 - u) ** 2 + values[i + 1] * u**2 * (3 - 2 * u)
        + h * (slopes[i] * u * (1 - u) ** 2 + slopes[i + 1] * u**2 * (u - 1))
    )


@lru_cache(maxsize=256)
def _slopes(nodes: tuple[float, ...], values: tuple[float, ...]) -> tuple[float, ...]:
    """Slopes at the nodes by central differences, kept: a port is solved by many calls."""
    return tuple(np.gradient(np.asarray(values), np.asarray(nodes)).tolist())


def unflanged_end(radius: float, wall: float = 0.0) -> float:
    """End correction of a free tube end.

    Source: Levine and Schwinger, Phys. Rev. 73, 383 (1948) for a thin wall; own potential-flow
    computation for a wall up to 0.2 radii; Dalmont et al. 2001 (memory) for thicker ones.

    Parameters
    ----------
    radius : float
        Inner radius in m, above zero.
    wall : float
        Wall thickness in m, 0 or above.

    Returns
    -------
    float
        Length in m, 0.6127 to 0.8217 radii.

    Raises
    ------
    ValueError
        For a radius not above zero or a negative wall.
    """
    require_above_zero(radius=radius)
    if wall < 0.0:
        raise ValueError("wall must not be negative")
    t = wall / radius
    if t == 0.0:
        return UNFLANGED * radius
    last, end = _WALLS[-1]
    if t > last:  # a thick wall is a flange; the small step at the join fades with it
        step = end - flange_end(1.0, 1.0 + last)
        return radius * (flange_end(1.0, 1.0 + t) + step * (1.0 + last) / (1.0 + t))
    # The increment goes as (t / 2 pi) ln(1 / t) for a thin wall, so increment / t is drawn on ln t.
    logs = [math.log(thickness) for thickness, _ in _WALLS]
    steepness = [(value - UNFLANGED) / thickness for thickness, value in _WALLS]
    thin = max(logs[0] - math.log(t), 0.0) / (2.0 * math.pi)
    return radius * (UNFLANGED + t * (float(np.interp(math.log(t), logs, steepness)) + thin))


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


@lru_cache(maxsize=1)
def _gap_tables() -> tuple[tuple[float, ...], ...]:
    """Increment over its far limit a / (8 g) by ln(g / a): for 0.05, and ln of 0 over 0.05."""
    free = dict(_WALLS)[0.05]
    logs = tuple(math.log(g) for g, _ in _GAPS_005)
    factors = tuple((total - free) * 8.0 * g for g, total in _GAPS_005)
    thin_logs = tuple(math.log(g) for g, _ in _GAPS_000)
    ratios = tuple(
        math.log((total - UNFLANGED) * 8.0 * g / factors[logs.index(math.log(g))])
        for g, total in _GAPS_000
    )
    return logs, factors, thin_logs, ratios


def _wall_increments(gap_ratio: float) -> tuple[float, float]:
    """Increments over the radius for a thin wall and for one of 0.05 radii."""
    logs, factors, thin_logs, ratios = _gap_tables()
    place = math.log(min(max(gap_ratio, FACING_WALL_RANGE[0]), math.exp(logs[-1])))
    thick = smooth(place, logs, factors)
    thin = thick * math.exp(smooth(place, thin_logs, ratios))
    fade = min(math.exp(logs[-1]) / gap_ratio, 1.0)  # beyond the table towards one image
    scale = 8.0 * gap_ratio
    return (1.0 + (thin - 1.0) * fade) / scale, (1.0 + (thick - 1.0) * fade) / scale


def facing_wall_end(radius: float, wall: float, gap: float) -> float:
    """End correction of a free tube end that faces an infinite rigid wall.

    Source: own potential-flow computation at wall thicknesses of 0 and 0.05 radii, interpolated
    over the logarithm of the gap in the form that tends to the free end plus a^2 / (8 g) far away
    (one image, elementary). The increment is interpolated between the thicknesses in ln(1 + t/a),
    as the narrow gap before the rim asks for. Provisional: walls thicker than 0.05 radii
    (continued in the same law; a flange of three radii at one radius comes out 1 % low), a thin
    wall nearer than half a radius, and everything nearer than a quarter, where the increment is
    only held to its 1 / gap: ask `facing_wall_valid`.

    Parameters
    ----------
    radius : float
        Inner radius in m.
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
        For a radius or gap not above zero or a negative wall.
    """
    require_above_zero(radius=radius, gap=gap)
    free = unflanged_end(radius, wall)
    if math.isinf(gap):
        return free
    g = gap / radius
    thin, thick = _wall_increments(g)
    share = math.log1p(wall / radius) / math.log1p(0.05)
    return free + radius * (thin + share * (thick - thin))


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

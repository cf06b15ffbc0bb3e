"""Hanging points of a cabinet: arithmetic to bring to a qualified rigger, never an approval.

Static loads only. Shock, swing, wind, wear, the strength of the wood around an insert and the
building above are not in it. Before anything hangs over people ask a qualified rigger.
"""

from __future__ import annotations

import math

from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.safety.balance import GRAVITY

STEEPEST_DEG = 60.0  # from the vertical, where a leg bears twice its share; common practice
DESIGN_FACTOR = 10.0  # breaking load over load, over people; common practice, no source
ASK = "Ask a qualified rigger before it hangs over people."
QUESTIONS = (
    "Which code holds here, and which factor does it ask for?",
    "How far does the cabinet fall before the second, independent restraint holds it, and what "
    "load does that put on points and restraint?",
    "What does the structure above bear, and who says so in writing?",
)


def sling_tension(
    mass: float, points: int, angle_deg: float = 0.0, bearing: int | None = None
) -> float:
    """Pull in each leg of a sling that shares a load evenly.

    Elementary: F = m g / (n cos angle). More than three legs on a stiff load never share evenly:
    count two of four as bearing (common practice, no source).

    Parameters
    ----------
    mass : float
        In kg.
    points : int
        How many, 1 or more.
    angle_deg : float
        Of a leg from the vertical, 0 to 60 degrees.
    bearing : int, optional
        How many of them bear, 1 to `points`; all up to three, two beyond, when left out.

    Returns
    -------
    float
        In N, along the leg.

    Raises
    ------
    ValueError
        For an angle or a count out of range.
    """
    require_above_zero(mass=mass)
    if not 0.0 <= angle_deg <= STEEPEST_DEG:
        raise ValueError("a sling's leg must stand within 60 degrees of the vertical")
    if points < 1:
        raise ValueError("it must hang from one point or more")
    count = bearing if bearing is not None else points if points <= 3 else 2
    if not 1 <= count <= points:
        raise ValueError("the points that bear must be among the points there are")
    return mass * GRAVITY / (count * math.cos(math.radians(angle_deg)))


def two_point_loads(mass: float, centre: float, first: float, second: float) -> tuple[float, float]:
    """Load on each of two points with upright legs, from where the centre of gravity lies.

    Elementary: levers.

    Parameters
    ----------
    mass : float
        In kg.
    centre : float
        Of gravity along the line of the points in m.
    first, second : float
        Where the points are in m, on either side of the centre.

    Returns
    -------
    tuple of float
        In N.

    Raises
    ------
    ValueError
        When the centre does not lie between them: one leg would go slack.
    """
    require_above_zero(mass=mass)
    if first == second or not min(first, second) <= centre <= max(first, second):
        raise ValueError("the centre of gravity must lie between the two points")
    share = (centre - first) / (second - first)
    return mass * GRAVITY * (1.0 - share), mass * GRAVITY * share


def breaking_load(load: float, factor: float = DESIGN_FACTOR) -> float:
    """Least breaking load that a part must have.

    Arithmetic: load times factor. Factors of 4 to 12 are met; which one holds is a matter of the
    local code.

    Parameters
    ----------
    load : float
        In N.
    factor : float
        Design factor, 1 or above.

    Returns
    -------
    float
        In N.

    Raises
    ------
    ValueError
        For a factor below 1.
    """
    require_above_zero(load=load)
    if not factor >= 1.0:
        raise ValueError("a design factor must be 1 or above")
    return load * factor


def working_load_limit(breaking: float, factor: float = DESIGN_FACTOR) -> float:
    """Most that a part of a known breaking load may bear.

    Arithmetic: breaking load over factor. A part marked with its working load limit has a factor of
    its maker's in it already: it may be lower than the one wanted here.

    Parameters
    ----------
    breaking : float
        Breaking load in N.
    factor : float
        Design factor, 1 or above.

    Returns
    -------
    float
        In N.

    Raises
    ------
    ValueError
        For a factor below 1.
    """
    require_above_zero(breaking_load=breaking)
    if not factor >= 1.0:
        raise ValueError("a design factor must be 1 or above")
    return breaking / factor

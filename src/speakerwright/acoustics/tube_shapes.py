"""Ports that are not a plain straight tube: rounded mouths, grilles, tapers and bends.

Lengths in m, low frequency and small amplitude, as in `ends`.
"""

from __future__ import annotations

import math

from speakerwright.acoustics.ends import FLANGED, UNFLANGED, step_end_fit
from speakerwright.acoustics.interpolation import smooth
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.port_tables import FLARE_FLUSH, FLARE_FREE, FLARES

FLARE_RANGE = (0.0, FLARES[-1])  # radius of rounding over the tube's


def flared_end(radius: float, flare: float, flush: bool) -> float:
    """End correction of a round mouth whose edge is rounded to a quarter circle.

    The tube's length counts to the plane of the mouth, so a large rounding gives less than
    nothing: the air in the wide mouth moves slowly. Free, the lip is solid: outside it is a
    cylinder of the mouth's own radius.

    Source: own potential-flow computation (finite elements), within 0.2 %; a lip of thin sheet
    is not computed.

    Parameters
    ----------
    radius : float
        Of the tube behind the rounding, in m.
    flare : float
        Radius of the rounding in m, 0 to 3 tube radii (continued straight beyond).
    flush : bool
        Flush in an infinite baffle; else free.

    Returns
    -------
    float
        Length in m, over the tube's own area.

    Raises
    ------
    ValueError
        For a radius not above zero or a negative rounding.
    """
    require_above_zero(radius=radius)
    if not flare >= 0.0:
        raise ValueError("flare must not be negative")
    ends = (FLANGED, *FLARE_FLUSH[1:]) if flush else (UNFLANGED, *FLARE_FREE[1:])
    places = tuple(math.log(f + 0.1) for f in FLARES)
    return radius * smooth(math.log(flare / radius + 0.1), places, ends)


def mouth_area(radius: float, flare: float) -> float:
    """Area in the plane of a rounded mouth, pi (a + r)^2 (geometry), where the air is slowest.

    Parameters
    ----------
    radius, flare : float
        In m.

    Returns
    -------
    float
        Area in m^2. The narrowest area stays the tube's.
    """
    require_above_zero(radius=radius)
    return math.pi * (radius + flare) ** 2


def grille_end(open_share: float, hole_radius: float, thickness: float) -> float:
    """Length that a grille over a whole mouth adds to a port.

    Each hole has a cell of its own, as a round step on both sides (`step_end_fit`); the air in
    the holes moves faster by one over the open share.

    Source: the step's; that the holes are far smaller than the mouth is assumed.

    Parameters
    ----------
    open_share : float
        Open area over whole area, above 0 up to 1.
    hole_radius, thickness : float
        In m.

    Returns
    -------
    float
        Length in m, 0 for no grille.

    Raises
    ------
    ValueError
        For a share not above 0 or above 1, or a size not above zero.
    """
    require_above_zero(open_share=open_share, hole_radius=hole_radius, thickness=thickness)
    if open_share > 1.0:
        raise ValueError("open share must not be above 1")
    step = step_end_fit(hole_radius, hole_radius / math.sqrt(open_share))
    return (thickness + 2.0 * step) / open_share - thickness


def tapered_length(length: float, first_radius: float, last_radius: float) -> float:
    """Length of a straight tube of the first radius with the mass of a slow cone's air.

    Source: the integral of dl / A over the cone (elementary), a lower bound.

    Parameters
    ----------
    length : float
        Along the axis in m.
    first_radius, last_radius : float
        In m.

    Returns
    -------
    float
        Length in m.
    """
    require_above_zero(first_radius=first_radius, last_radius=last_radius)
    return length * first_radius / last_radius


def centre_line_length(straights: tuple[float, ...], bend_radius: float, bends: int) -> float:
    """Length of a bent port along the middle of its bore, right-angled bends.

    The air takes the inside of a bend, so its mass is a little less; no published value was
    found, and the centre line is a rule of thumb.

    Parameters
    ----------
    straights : tuple of float
        Lengths of the straight pieces in m.
    bend_radius : float
        Of the centre line in the bends, in m; 0 for mitred ones.
    bends : int
        How many right-angled bends.

    Returns
    -------
    float
        Length in m.
    """
    return sum(straights) + 0.5 * math.pi * bend_radius * bends

"""Open baffles: on-axis pressure of a small source that radiates from both sides in opposite phase.

All factors are against the same source in an infinite baffle: 1 where the edges count nothing.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray

ANGLES = 512  # directions around the driver: within 2e-3 up to 200 radians to the edge
# Edge wave of a round baffle, a rational law of j k a: 1 at low frequency, the square root of two
# at high frequency (a half plane's edge seen square to it, from both faces). Its first two
# derivatives at 0 are those of the exact law; BEND is fitted to the exact disc below ka = 4.
BEND = 0.409
DISC_FLOW = 2.0 / math.pi  # potential at the middle of a disc in a steady stream, over its radius


def _edge_wave(kr: npt.ArrayLike) -> ComplexArray:
    """Complex strength of the wave from the edge at a distance of `kr` in radians."""
    s = 1j * np.asarray(kr, dtype=float)
    root = math.sqrt(2.0)
    first = 1.0 - DISC_FLOW
    below = ((root - 1.0) * BEND + DISC_FLOW - 0.5) / first
    above = below + first
    law = (1.0 + above * s + root * BEND * s**2) / (1.0 + below * s + BEND * s**2)
    return np.asarray(law * np.exp(-s), dtype=complex)


def disc_factor(
    frequency: npt.ArrayLike, radius: float, air: Medium | None = None
) -> ComplexArray:
    """On-axis factor of a small source in the middle of a round open baffle.

    First order: the wave that leaves the rim once, 1 - W(k a) exp(-j k a). Exact at low frequency
    (2 k a / pi, the disc in a stream, Lamb), with the half plane's edge at high frequency. Against
    an own computation of the exact disc: within 1 dB up to ka = 5.5, 3 dB in the dips above, where
    waves cross the baffle again and again.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), 0 or above.
    radius : float
        Of the baffle in m, above zero.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        Shape (f,), its phase against the source's own in an infinite baffle.
    """
    require_above_zero(radius=radius)
    return 1.0 - _edge_wave(_wave_number(frequency, air) * radius)


def baffle_factor(
    frequency: npt.ArrayLike,
    width: float,
    height: float,
    across: float,
    up: float,
    air: Medium | None = None,
) -> ComplexArray:
    """On-axis factor of a small source in a rectangular open baffle, without a floor.

    First order: the disc's law, averaged over the directions in which the driver sees the edge. At
    low frequency a direction counts by the inverse of its distance (exact for an ellipse around
    its middle), at high frequency by its angle alone. Against an own computation of six thin
    rectangles: within 0.8 dB for k D up to 0.6 (D as `dipole_distance`), 2.8 dB up to k D = 5.
    In doubt: waves that cross the baffle again, a thick edge or wings, and the driver's own size,
    which smooths the ripple once its ka passes 1.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), 0 or above.
    width, height : float
        Of the baffle in m.
    across, up : float
        Place of the driver's middle from the left and the lower edge in m.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        Shape (f,).

    Raises
    ------
    ValueError
        For a driver outside the baffle.
    """
    k = _wave_number(frequency, air)
    distance = edge_distances(width, height, across, up)
    inverse = _harmonic(distance) / distance
    near = 1.0 / (1.0 + (k[..., None] * _harmonic(distance) / 2.0) ** 4)
    weight = near * inverse + (1.0 - near)
    waves = weight * _edge_wave(k[..., None] * distance)
    return np.asarray(1.0 - np.mean(waves, axis=-1), dtype=complex)


def edge_distances(
    width: float, height: float, across: float, up: float, count: int = ANGLES
) -> FloatArray:
    """Distance of a rectangle's edge from a place on it, by direction.

    Parameters
    ----------
    width, height : float
        In m.
    across, up : float
        Of the place, from the left and the lower edge, in m.
    count : int
        Directions, evenly around.

    Returns
    -------
    ndarray
        In m, shape (count,).

    Raises
    ------
    ValueError
        For a place that is not inside.
    """
    require_above_zero(width=width, height=height)
    if not (0.0 < across < width and 0.0 < up < height):
        raise ValueError("the driver must lie inside the baffle")
    angle = (np.arange(count) + 0.5) * (2.0 * math.pi / count)
    c, s = np.cos(angle), np.sin(angle)
    with np.errstate(divide="ignore"):
        sideways = np.where(c > 0.0, width - across, across) / np.abs(c)
        upright = np.where(s > 0.0, height - up, up) / np.abs(s)
    return np.asarray(np.minimum(sideways, upright), dtype=float)


def dipole_distance(width: float, height: float, across: float, up: float) -> float:
    """Distance D of an open baffle: at low frequency its factor is j k D, 6 dB per octave.

    2 / pi of the harmonic mean of the edge's distances: exact for an ellipse around its middle
    (Lamb, from memory, and own computation).

    Parameters
    ----------
    width, height, across, up : float
        As `baffle_factor`, in m.

    Returns
    -------
    float
        In m.
    """
    return DISC_FLOW * _harmonic(edge_distances(width, height, across, up))


def _harmonic(distance: FloatArray) -> float:
    return float(1.0 / np.mean(1.0 / distance))


def air_mass(radius: float, air: Medium | None = None, *, baffled: bool = True) -> float:
    """Mass of air that moves with a rigid disc at low frequency, both sides together.

    Source: Rayleigh, 8/3 rho a^3 on each side of a disc in an infinite baffle; Lamb,
    Hydrodynamics, art. 102 (memory), 8/3 rho a^3 altogether for a disc without any baffle, whose
    front and back flow into one another. A real open baffle lies between, near the first where its
    edge is more than two radii from the driver (rule of thumb).

    Parameters
    ----------
    radius : float
        Of the disc in m.
    air : Medium, optional
        The air; the default state when left out.
    baffled : bool
        In an infinite baffle, else in the open.

    Returns
    -------
    float
        In kg.
    """
    require_above_zero(radius=radius)
    density = (air if air is not None else Air()).density
    return (16.0 if baffled else 8.0) / 3.0 * density * radius**3


def _wave_number(frequency: npt.ArrayLike, air: Medium | None) -> FloatArray:
    f = np.asarray(frequency, dtype=float)
    if np.any(f < 0.0):
        raise ValueError("frequency must not be negative")
    speed = (air if air is not None else Air()).speed
    return np.asarray(2.0 * math.pi * f / speed, dtype=float)

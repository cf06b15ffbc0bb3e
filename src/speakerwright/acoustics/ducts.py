"""Uniform ducts as transmission lines with viscous and thermal loss at the wall."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray
from speakerwright.acoustics.pistons import ComplexArray


def layer_ratio(
    frequency: npt.ArrayLike, area: float, perimeter: float, air: Air | None = None
) -> FloatArray:
    """Hydraulic radius, twice the area over the perimeter, in thicknesses of the viscous layer.

    The laws of this module hold where it is large: 10 or more is a rule of thumb.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    area, perimeter : float
        Of the cross-section, in m^2 and m.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray
        Shape (f,), without unit.
    """
    gas = air if air is not None else Air()
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=float)
    return np.asarray(2.0 * area / perimeter / np.sqrt(2.0 * gas.kinematic_viscosity / omega))


def line(
    frequency: npt.ArrayLike, area: float, perimeter: float, air: Air | None = None
) -> tuple[ComplexArray, ComplexArray]:
    """Propagation constant and characteristic acoustic impedance of a uniform duct.

    Source: Kirchhoff's wide-duct law by its boundary layers, Pierce, Acoustics, chapter 10;
    Keefe, JASA 75, 58 (1984), large-radius limit (both from memory). It holds where the hydraulic
    radius is much larger than the viscous layer (`layer_ratio`) and the flow is small and laminar;
    below the first cross mode.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    area, perimeter : float
        Of the cross-section, in m^2 and m, above zero.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    tuple of ndarray of complex
        Propagation constant in 1/m and impedance in Pa s/m^3, each of shape (f,).

    Raises
    ------
    ValueError
        For a frequency, area or perimeter that is not above zero.
    """
    f = np.asarray(frequency, dtype=float)
    if np.any(f <= 0.0) or area <= 0.0 or perimeter <= 0.0:
        raise ValueError("frequency, area and perimeter must be above zero")
    gas = air if air is not None else Air()
    omega = 2.0 * math.pi * f
    viscous = (1.0 - 1.0j) / layer_ratio(f, area, perimeter, gas)
    thermal = (gas.heat_ratio - 1.0) * viscous / math.sqrt(gas.prandtl)
    series = 1.0j * omega * gas.density / area * (1.0 + viscous)
    shunt = 1.0j * omega * area / (gas.density * gas.speed**2) * (1.0 + thermal)
    return np.sqrt(series * shunt), np.sqrt(series / shunt)


def two_port(
    frequency: npt.ArrayLike,
    area: float,
    perimeter: float,
    length: float,
    air: Air | None = None,
) -> ComplexArray:
    """Chain matrix of a uniform duct between (pressure, volume velocity) of its ends.

    (p1, U1) = M (p2, U2), both volume velocities running from end 1 to end 2. The law and its
    range are those of `line`.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    area, perimeter : float
        Of the cross-section, in m^2 and m.
    length : float
        Length in m, end corrections included if wanted; 0 or above.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        Shape (f, 2, 2): [[1, Pa s/m^3], [m^3/(Pa s), 1]].

    Raises
    ------
    ValueError
        For a negative length, or as `line`.
    """
    if length < 0.0:
        raise ValueError("length must not be negative")
    propagation, impedance = line(frequency, area, perimeter, air)
    even, odd = np.cosh(propagation * length), np.sinh(propagation * length)
    rows = [np.stack([even, impedance * odd], axis=-1), np.stack([odd / impedance, even], axis=-1)]
    return np.stack(rows, axis=-2)

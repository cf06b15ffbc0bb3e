"""Pistons and small sources: radiation load, level from volume velocity and from excursion."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray, Medium

ComplexArray = npt.NDArray[np.complex128]

REFERENCE_PRESSURE = 20e-6
HALF_SPACE = 2.0 * math.pi
FULL_SPACE = 4.0 * math.pi


def radiation_impedance(ka: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Radiation impedance of a round piston in an infinite baffle over rho c times its area.

    Source: Rayleigh; Kinsler et al., chapter 7: R = 1 - J1(2ka)/ka, X = H1(2ka)/ka with Struve's
    function. Below ka = 0.05 the power series stands for R, which would cancel.

    Parameters
    ----------
    ka : array_like
        Wave number times radius, any shape, 0 or above.

    Returns
    -------
    tuple of ndarray
        Resistance and reactance, without unit, shape of `ka`.

    Raises
    ------
    ValueError
        For negative ka.
    """
    from scipy.special import j1, struve

    k = np.asarray(ka, dtype=float)
    if np.any(k < 0.0):
        raise ValueError("ka must not be negative")
    safe = np.where(k > 0.0, k, 1.0)
    series = k**2 / 2.0 - k**4 / 12.0 + k**6 / 144.0
    resistance = np.where(k < 0.05, series, 1.0 - j1(2.0 * safe) / safe)
    reactance = np.where(k > 0.0, struve(1, 2.0 * safe) / safe, 0.0)
    return np.asarray(resistance, dtype=float), np.asarray(reactance, dtype=float)


def level_db(pressure_rms: npt.ArrayLike) -> FloatArray:
    """Sound pressure level in dB re 20 uPa of an rms pressure (its magnitude) in Pa.

    Parameters
    ----------
    pressure_rms : array_like
        Real or complex rms pressure in Pa, any shape; zero gives minus infinity.

    Returns
    -------
    ndarray
        Level in dB, same shape.
    """
    with np.errstate(divide="ignore"):
        return np.asarray(20.0 * np.log10(np.abs(np.asarray(pressure_rms)) / REFERENCE_PRESSURE))


def pressure_from_volume_velocity(
    frequency: npt.ArrayLike,
    volume_velocity: npt.ArrayLike,
    distance: float = 1.0,
    air: Medium | None = None,
    solid_angle: float = HALF_SPACE,
) -> ComplexArray:
    """Pressure of a small source, without the delay of propagation.

    Elementary: p = j omega rho U / (Omega r). Holds where the source is small against the
    wavelength (ka below about 0.5) and the distance is large against the source.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,).
    volume_velocity : array_like
        Volume velocity in m^3/s, real or complex, shape (..., f); rms or peak as wanted back.
    distance : float
        Distance in m.
    air : Medium, optional
        The air; the default state when left out.
    solid_angle : float
        Angle radiated into in sr: 2 pi half space, 4 pi full space.

    Returns
    -------
    ndarray of complex
        Pressure in Pa, shape (..., f).
    """
    density = (air if air is not None else Air()).density
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=float)
    velocity = np.asarray(volume_velocity, dtype=complex)
    return np.asarray(1j * omega * density * velocity / (solid_angle * distance), dtype=complex)


def volume_velocity_for_level(
    frequency: npt.ArrayLike,
    level_db: npt.ArrayLike,
    distance: float = 1.0,
    air: Medium | None = None,
    solid_angle: float = HALF_SPACE,
) -> FloatArray:
    """Rms volume velocity in m^3/s that a small source needs for a level.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    level_db : array_like
        Level in dB re 20 uPa (rms), shape (..., f).
    distance : float
        Distance in m.
    air : Medium, optional
        The air; the default state when left out.
    solid_angle : float
        Angle radiated into in sr.

    Returns
    -------
    ndarray
        Rms volume velocity in m^3/s, shape (..., f).
    """
    density = (air if air is not None else Air()).density
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=float)
    pressure = REFERENCE_PRESSURE * 10.0 ** (np.asarray(level_db, dtype=float) / 20.0)
    return np.asarray(pressure * solid_angle * distance / (omega * density), dtype=float)


def displacement_limited_level_db(
    frequency: npt.ArrayLike,
    sd: float,
    excursion: float,
    distance: float = 1.0,
    air: Medium | None = None,
    solid_angle: float = HALF_SPACE,
) -> FloatArray:
    """Rms sine level of a piston at its peak excursion.

    Source: Small 1972, with the point source p = rho omega U / (Omega r).

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,).
    sd : float
        Radiating area in m^2.
    excursion : float
        Peak excursion in m.
    distance : float
        Distance in m.
    air : Medium, optional
        The air; the default state when left out.
    solid_angle : float
        Angle radiated into in sr.

    Returns
    -------
    ndarray
        Level in dB re 20 uPa, shape (f,).
    """
    f = np.asarray(frequency, dtype=float)
    velocity = 2.0 * math.pi * f * sd * excursion / math.sqrt(2.0)
    return level_db(pressure_from_volume_velocity(f, velocity, distance, air, solid_angle))


def displacement_for_level(
    frequency: npt.ArrayLike,
    level_db: npt.ArrayLike,
    distance: float = 1.0,
    air: Medium | None = None,
    solid_angle: float = HALF_SPACE,
) -> FloatArray:
    """Peak volume displacement in m^3 that an rms sine level needs.

    Source: Small 1972, with the point source p = rho omega U / (Omega r).

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    level_db : array_like
        Level in dB re 20 uPa, shape (..., f).
    distance : float
        Distance in m.
    air : Medium, optional
        The air; the default state when left out.
    solid_angle : float
        Angle radiated into in sr.

    Returns
    -------
    ndarray
        Peak volume displacement in m^3, shape (..., f).
    """
    f = np.asarray(frequency, dtype=float)
    velocity = volume_velocity_for_level(f, level_db, distance, air, solid_angle)
    return np.asarray(math.sqrt(2.0) * velocity / (2.0 * math.pi * f), dtype=float)


def radiated_power(
    frequency: npt.ArrayLike,
    volume_velocity: npt.ArrayLike,
    air: Medium | None = None,
    solid_angle: float = HALF_SPACE,
) -> FloatArray:
    """Acoustic power in W of a small source of an rms volume velocity.

    Elementary: P = rho omega^2 U^2 / (Omega c).

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,).
    volume_velocity : array_like
        Rms volume velocity in m^3/s, shape (..., f).
    air : Medium, optional
        The air; the default state when left out.
    solid_angle : float
        Angle radiated into in sr.

    Returns
    -------
    ndarray
        Power in W, shape (..., f).
    """
    medium = air if air is not None else Air()
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=float)
    flow = omega * np.abs(np.asarray(volume_velocity))
    return np.asarray(medium.density * flow**2 / (solid_angle * medium.speed), dtype=float)

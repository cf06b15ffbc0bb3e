"""Rooms: distance, solid angle, reverberation, direct and reverberant sound, modes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero

FULL_SPACE = 4.0 * math.pi


def level_at_db(
    level_db: npt.ArrayLike, distance: npt.ArrayLike, reference: float = 1.0
) -> FloatArray:
    """Free-field level at a distance from the level at a reference distance (inverse distance).

    Parameters
    ----------
    level_db : array_like
        At the reference distance, in dB.
    distance : array_like
        In m, above zero; broadcast with the level.
    reference : float
        In m.

    Returns
    -------
    ndarray
        In dB.
    """
    ratio = np.asarray(distance, dtype=float) / reference
    return np.asarray(np.asarray(level_db, dtype=float) - 20.0 * np.log10(ratio), dtype=float)


def power_gain_db(solid_angle: float) -> float:
    """Gain over full space of a source of the same power: 3.01 dB into half space (elementary).

    Parameters
    ----------
    solid_angle : float
        Angle radiated into in sr, above zero to 4 pi.

    Returns
    -------
    float
        In dB.
    """
    require_above_zero(solid_angle=solid_angle)
    return 10.0 * math.log10(FULL_SPACE / solid_angle)


def volume_velocity_gain_db(solid_angle: float) -> float:
    """Gain over full space at the same volume velocity: 6.02 dB into half space (elementary).

    Parameters
    ----------
    solid_angle : float
        Angle radiated into in sr, above zero to 4 pi.

    Returns
    -------
    float
        In dB.
    """
    return 2.0 * power_gain_db(solid_angle)


def sabine_time(volume: float, absorption: float, speed: float) -> float:
    """Reverberation time 24 ln 10 V / (c A).

    Source: Sabine; Kuttruff, Room Acoustics.

    Parameters
    ----------
    volume : float
        In m^3.
    absorption : float
        Absorption area in m^2.
    speed : float
        Of sound in m/s.

    Returns
    -------
    float
        In s.
    """
    require_above_zero(volume=volume, absorption=absorption, speed=speed)
    return 24.0 * math.log(10.0) * volume / (speed * absorption)


def eyring_time(volume: float, surface: float, mean_absorption: float, speed: float) -> float:
    """Reverberation time with -S ln(1 - a) for the absorption area.

    Source: Eyring 1930; Kuttruff, Room Acoustics.

    Parameters
    ----------
    volume : float
        In m^3.
    surface : float
        In m^2.
    mean_absorption : float
        Mean absorption coefficient, above 0 and below 1.
    speed : float
        Of sound in m/s.

    Returns
    -------
    float
        In s.

    Raises
    ------
    ValueError
        For a coefficient outside its range.
    """
    if not 0.0 < mean_absorption < 1.0:
        raise ValueError("the mean absorption must lie between 0 and 1")
    return sabine_time(volume, -surface * math.log1p(-mean_absorption), speed)


def absorption_area(volume: float, time: float, speed: float) -> float:
    """Absorption area in m^2 that belongs to a reverberation time (inverse of Sabine's law).

    Parameters
    ----------
    volume : float
        In m^3.
    time : float
        Reverberation time in s.
    speed : float
        Of sound in m/s.

    Returns
    -------
    float
        In m^2.
    """
    return sabine_time(volume, time, speed)


def room_constant(surface: float, mean_absorption: float) -> float:
    """Room constant S a / (1 - a) in m^2.

    Source: Hopkins and Stryker 1948; Beranek.

    Parameters
    ----------
    surface : float
        In m^2.
    mean_absorption : float
        Above 0 and below 1.

    Returns
    -------
    float
        In m^2.
    """
    if not 0.0 < mean_absorption < 1.0:
        raise ValueError("the mean absorption must lie between 0 and 1")
    return surface * mean_absorption / (1.0 - mean_absorption)


def critical_distance(directivity_factor: float, absorption: float) -> float:
    """Distance at which direct and reverberant sound are equal, sqrt(Q A / 16 pi).

    Source: Beranek; Kuttruff, Room Acoustics.

    Parameters
    ----------
    directivity_factor : float
        Of the source, 1 for an even one in full space.
    absorption : float
        Absorption area (or room constant) in m^2.

    Returns
    -------
    float
        In m.
    """
    require_above_zero(directivity_factor=directivity_factor, absorption=absorption)
    return math.sqrt(directivity_factor * absorption / (16.0 * math.pi))


@dataclass(frozen=True, eq=False)
class FieldLevels:
    """Levels in dB of the direct and the reverberant sound and of both together."""

    direct_db: FloatArray
    reverberant_db: FloatArray
    total_db: FloatArray


def direct_and_reverberant(
    power_level_db: npt.ArrayLike,
    directivity_factor: npt.ArrayLike,
    distance: npt.ArrayLike,
    absorption: npt.ArrayLike,
) -> FieldLevels:
    """Direct and reverberant level in a diffuse room.

    Source: Hopkins and Stryker 1948: Lw + 10 lg(Q / 4 pi r^2) and Lw + 10 lg(4 / R). All
    arguments are broadcast, so that frequency may be the last axis.

    Parameters
    ----------
    power_level_db : array_like
        Sound power level in dB re 1 pW.
    directivity_factor : array_like
        Towards the seat.
    distance : array_like
        In m.
    absorption : array_like
        Room constant in m^2 (`room_constant`, or the absorption area in a live room).

    Returns
    -------
    FieldLevels
        In dB, of the broadcast shape.
    """
    power, factor, r, area = np.broadcast_arrays(
        *(np.asarray(v, dtype=float)
          for v in (power_level_db, directivity_factor, distance, absorption))
    )
    direct = power + 10.0 * np.log10(factor / (4.0 * math.pi * r**2))
    reverberant = power + 10.0 * np.log10(4.0 / area)
    total = 10.0 * np.log10(10.0 ** (direct / 10.0) + 10.0 ** (reverberant / 10.0))
    return FieldLevels(*(np.asarray(level, dtype=float) for level in (direct, reverberant, total)))


def power_level_from_direct_db(
    level_db: npt.ArrayLike, directivity_factor: npt.ArrayLike, distance: float = 1.0
) -> FloatArray:
    """Sound power level in dB of a source from its free-field level on an axis.

    Elementary, with the same rounding of rho c to 400 Pa s/m as `direct_and_reverberant`.

    Parameters
    ----------
    level_db : array_like
        Free-field level in dB at `distance`.
    directivity_factor : array_like
        On the same axis.
    distance : float
        In m.

    Returns
    -------
    ndarray
        In dB re 1 pW.
    """
    factor = np.asarray(directivity_factor, dtype=float)
    spread = 10.0 * np.log10(factor / (4.0 * math.pi * distance**2))
    return np.asarray(np.asarray(level_db, dtype=float) - spread, dtype=float)


def statistics_limit(time: float, volume: float) -> float:
    """Frequency in Hz above which a room is told by its statistics: 2000 sqrt(T / V).

    Source: Schroeder 1962 (as revised by him in 1996; both from memory).

    Parameters
    ----------
    time : float
        Reverberation time in s.
    volume : float
        In m^3.

    Returns
    -------
    float
        In Hz.
    """
    require_above_zero(time=time, volume=volume)
    return 2000.0 * math.sqrt(time / volume)


def room_modes(size: tuple[float, float, float], count: int, speed: float) -> FloatArray:
    """Lowest modes of a rigid rectangular room or box.

    Source: Rayleigh: (c / 2) sqrt((l/Lx)^2 + (m/Ly)^2 + (n/Lz)^2).

    Parameters
    ----------
    size : tuple of float
        Three sides in m.
    count : int
        How many, 1 or more.
    speed : float
        Of sound in m/s.

    Returns
    -------
    ndarray
        Frequencies in Hz, ascending, shape (count,).
    """
    require_above_zero(length=min(size), count=count, speed=speed)
    # The first `count` modes along the longest side bound the search.
    highest = count / max(size)
    orders = [np.arange(math.floor(highest * side * (1.0 + 1e-9)) + 1) / side for side in size]
    grid = np.meshgrid(*orders, indexing="ij")
    frequencies = 0.5 * speed * np.sqrt(sum(axis**2 for axis in grid)).ravel()
    return np.asarray(np.sort(frequencies)[1 : count + 1], dtype=float)

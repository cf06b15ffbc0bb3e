"""Ports: tuning and flow; their end corrections, from `ends` and `openings`, are found here too."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray, Medium
from speakerwright.acoustics.ends import (
    FACING_WALL_RANGE,
    FLANGED,
    PISTON,
    UNFLANGED,
    facing_wall_end,
    facing_wall_valid,
    flange_end,
    flanged_end,
    piston_end,
    step_end,
    step_end_fit,
    step_end_ingard,
    unflanged_end,
)
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.neighbours import pair_inside_end, side_walls_end
from speakerwright.acoustics.openings import (
    like_rectangle_end,
    mutual_end,
    mutual_inside,
    mutual_outside,
    rectangle_end,
    slit_in_duct_end,
    twin_openings,
)
from speakerwright.acoustics.pistons import HALF_SPACE, volume_velocity_for_level
from speakerwright.acoustics.slits import slot_across_end, step_in_duct_end
from speakerwright.acoustics.slots import (
    flush_rectangle_end,
    rectangular_tube_end,
    slot_one_wall_end,
)
from speakerwright.acoustics.tube_shapes import (
    centre_line_length,
    flared_end,
    grille_end,
    mouth_area,
    tapered_length,
)

__all__ = [
    "FACING_WALL_RANGE", "FLANGED", "PISTON", "UNFLANGED", "centre_line_length",
    "facing_wall_end", "facing_wall_valid", "flange_end", "flanged_end", "flared_end",
    "flush_rectangle_end", "grille_end", "helmholtz", "like_rectangle_end", "mass_length",
    "mouth_area", "mutual_end", "mutual_inside", "mutual_outside", "pair_inside_end",
    "pipe_resonance", "piston_end", "rectangle_end", "rectangular_tube_end", "reynolds",
    "side_walls_end", "slit_in_duct_end", "slot_across_end", "slot_one_wall_end",
    "small_vent_area", "small_vent_diameter", "step_end", "step_end_fit", "step_end_ingard",
    "step_in_duct_end", "stokes_layer", "strouhal", "tapered_length", "twin_openings",
    "unflanged_end", "velocity_for_level",
]


def helmholtz(volume: float, area: float, length: float, speed: float) -> float:
    """Tuning of a box with a port, lumped.

    Source: Helmholtz; Rayleigh: f = c / 2 pi sqrt(S / (V L)).

    Parameters
    ----------
    volume : float
        Net volume in m^3.
    area : float
        Of the port in m^2.
    length : float
        Of the port with both end corrections in m.
    speed : float
        Of sound in m/s.

    Returns
    -------
    float
        Frequency in Hz.
    """
    require_above_zero(volume=volume, area=area, length=length, speed=speed)
    return speed / (2.0 * math.pi) * math.sqrt(area / (volume * length))


def mass_length(volume: float, area: float, tuning: float, speed: float) -> float:
    """Length with both end corrections that a port needs for a tuning, lumped.

    The inverse of `helmholtz`.

    Parameters
    ----------
    volume : float
        Net volume in m^3.
    area : float
        Of the port in m^2.
    tuning : float
        In Hz.
    speed : float
        Of sound in m/s.

    Returns
    -------
    float
        Length in m.
    """
    require_above_zero(volume=volume, area=area, tuning=tuning, speed=speed)
    return area / volume * (speed / (2.0 * math.pi * tuning)) ** 2


def pipe_resonance(length: float, correction: float, speed: float, order: int = 1) -> float:
    """Lengthwise resonance of a port open at both ends: n c / 2 (L + dL).

    Parameters
    ----------
    length : float
        In m.
    correction : float
        Both end corrections together in m.
    speed : float
        Of sound in m/s.
    order : int
        1 for the lowest.

    Returns
    -------
    float
        Frequency in Hz.
    """
    require_above_zero(length=length + correction, speed=speed, order=order)
    return order * speed / (2.0 * (length + correction))


def velocity_for_level(
    level_db: npt.ArrayLike,
    frequency: npt.ArrayLike,
    area: float,
    distance: float = 1.0,
    air: Medium | None = None,
    solid_angle: float = HALF_SPACE,
) -> FloatArray:
    """Peak velocity in a port that makes a whole rms sine level alone.

    Elementary: a point source into `solid_angle`.

    Parameters
    ----------
    level_db : array_like
        Level in dB re 20 uPa, shape (..., f).
    frequency : array_like
        In Hz, shape (f,).
    area : float
        Of all ports together at the narrowest section, in m^2.
    distance : float
        In m.
    air : Medium, optional
        The air; the default state when left out.
    solid_angle : float
        In sr.

    Returns
    -------
    ndarray
        Peak velocity in m/s, shape (..., f).
    """
    require_above_zero(area=area)
    flow = volume_velocity_for_level(frequency, level_db, distance, air, solid_angle)
    return np.asarray(math.sqrt(2.0) * flow / area, dtype=float)


def small_vent_area(tuning: float, displacement: float) -> float:
    """Least port area after Small.

    Source: Small, Vented-box loudspeaker systems II, JAES 21(6) 1973 (memory): S >= 0.8 fb Vd.

    Parameters
    ----------
    tuning : float
        In Hz.
    displacement : float
        Peak volume displacement of the driver in m^3.

    Returns
    -------
    float
        Area in m^2.
    """
    return 0.8 * tuning * displacement


def small_vent_diameter(tuning: float, displacement: float) -> float:
    """Least port diameter after Small.

    Source: Small, Vented-box loudspeaker systems II, JAES 21(6) 1973 (memory): d >= sqrt(fb Vd).

    Parameters
    ----------
    tuning : float
        In Hz.
    displacement : float
        Peak volume displacement of the driver in m^3.

    Returns
    -------
    float
        Diameter in m.
    """
    return math.sqrt(tuning * displacement)


def reynolds(velocity: float, length: float, kinematic_viscosity: float) -> float:
    """Reynolds number of a velocity in m/s over a length in m, viscosity in m^2/s (definition)."""
    return velocity * length / kinematic_viscosity


def strouhal(frequency: float, length: float, velocity: float) -> float:
    """Strouhal number of a frequency in Hz, a length in m and a velocity in m/s (definition)."""
    return frequency * length / velocity


def stokes_layer(frequency: float, kinematic_viscosity: float) -> float:
    """Thickness in m of the viscous layer, sqrt(2 nu / omega) (definition).

    Parameters
    ----------
    frequency : float
        In Hz, above zero.
    kinematic_viscosity : float
        In m^2/s.

    Returns
    -------
    float
        Thickness in m.
    """
    require_above_zero(frequency=frequency)
    return math.sqrt(kinematic_viscosity / (math.pi * frequency))

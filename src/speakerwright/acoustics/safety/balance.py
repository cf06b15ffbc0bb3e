"""Centre of gravity, tipping, and the wind that tips: rigid bodies at rest on firm ground."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero

GRAVITY = 9.80665  # m/s^2, standard
DRAG_OF_A_BOX = 1.3  # rule of thumb, wind square on; 1.05 for a cube to 2 for a long slab are met
TILT_DEG = 10.0  # slope of a usual test of stability for apparatus; from memory


@dataclass(frozen=True)
class Part:
    """A part of a cabinet: its mass in kg and its centre in m (x, y, z up)."""

    mass: float
    x: float
    y: float
    z: float

    def __post_init__(self) -> None:
        require_above_zero(mass=self.mass)
        if not all(math.isfinite(v) for v in (self.mass, self.x, self.y, self.z)):
            raise ValueError("mass and centre must be finite")


@dataclass(frozen=True)
class Tipping:
    """The edge over which a body tips first.

    `lever` is how far its centre of gravity stands within that edge, in m, below zero where it
    falls over by itself; `angle_deg` is the slope at which it tips, in the direction of the edge's
    outward normal `toward` (x, y), of length one.
    """

    lever: float
    angle_deg: float
    toward: tuple[float, float]


def centre_of_gravity(parts: Sequence[Part]) -> Part:
    """All parts as one: their mass and where it acts.

    Elementary: sum of m r over sum of m.

    Parameters
    ----------
    parts : sequence of Part
        One or more.

    Returns
    -------
    Part
        Mass in kg, centre in m.

    Raises
    ------
    ValueError
        For no parts.
    """
    if not parts:
        raise ValueError("a centre of gravity needs a part")
    masses = np.array([part.mass for part in parts])
    places = np.array([(part.x, part.y, part.z) for part in parts])
    x, y, z = (masses @ places / masses.sum()).tolist()
    return Part(float(masses.sum()), x, y, z)


def tipping_angle_deg(lever: float, height: float) -> float:
    """Slope at which a body tips: its centre of gravity stands over the edge.

    Elementary: atan(lever / height).

    Parameters
    ----------
    lever : float
        From the edge to the centre of gravity along the ground in m; below zero outside.
    height : float
        Of the centre of gravity in m, above zero.

    Returns
    -------
    float
        In degrees, below 90.
    """
    require_above_zero(height=height)
    return math.degrees(math.atan2(lever, height))


def tipping(feet: npt.ArrayLike, centre: Part) -> Tipping:
    """Which edge of its feet a body tips over first.

    Parameters
    ----------
    feet : array_like
        Corners of the ground it stands on in m, shape (n, 2), three or more, in order around,
        forming a convex outline; z counts from there.
    centre : Part
        Its mass and centre of gravity.

    Returns
    -------
    Tipping
        Lever, slope and direction.

    Raises
    ------
    ValueError
        For an outline that is not convex, or a centre that is not above the ground.
    """
    corners = np.asarray(feet, dtype=float)
    if corners.ndim != 2 or corners.shape[0] < 3 or corners.shape[1] != 2:
        raise ValueError("feet need three corners or more, x and y each")
    require_above_zero(height_of_the_centre=centre.z)
    sides = np.roll(corners, -1, axis=0) - corners
    turns = _cross(sides, np.roll(sides, -1, axis=0))
    sense = math.copysign(1.0, float(turns.sum()))
    if np.any(turns * sense <= 0.0):
        raise ValueError("feet must be given in order around a convex outline")
    length = np.hypot(sides[:, 0], sides[:, 1])
    levers = sense * _cross(sides, np.array([centre.x, centre.y]) - corners) / length
    k = int(np.argmin(levers))
    toward = sense * np.array([sides[k, 1], -sides[k, 0]]) / length[k]
    lever = float(levers[k])
    return Tipping(lever, tipping_angle_deg(lever, centre.z), (float(toward[0]), float(toward[1])))


def _cross(one: FloatArray, other: FloatArray) -> FloatArray:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], dtype=float)


def tipping_force(mass: float, lever: float, height: float) -> float:
    """Level push at a height that tips a body over an edge.

    Elementary: F = m g lever / height; where it does not slide first.

    Parameters
    ----------
    mass : float
        In kg.
    lever : float
        From the edge to the centre of gravity along the ground in m, 0 or above.
    height : float
        Of the push above the edge in m.

    Returns
    -------
    float
        In N.

    Raises
    ------
    ValueError
        For a lever below zero: it has fallen over already.
    """
    require_above_zero(mass=mass, height=height)
    if not lever >= 0.0:
        raise ValueError("the centre of gravity must stand within the feet")
    return mass * GRAVITY * lever / height


def sliding_force(mass: float, friction: float) -> float:
    """Level push that slides a body: friction times weight.

    Parameters
    ----------
    mass : float
        In kg.
    friction : float
        Of feet on ground, above zero; 0.3 to 0.6 for rubber or wood on a stage floor (rule of
        thumb).

    Returns
    -------
    float
        In N; where it lies below `tipping_force` the body slides first.
    """
    require_above_zero(mass=mass, friction=friction)
    return friction * mass * GRAVITY


def wind_force(
    speed: float, area: float, drag: float = DRAG_OF_A_BOX, air: Medium | None = None
) -> float:
    """Force of a steady wind square on a face, at the middle of the face.

    Elementary: F = rho v^2 / 2 Cd A. Take the gust, not the mean. Neighbours, ground and roofs
    change the drag: for anything over people ask an engineer.

    Parameters
    ----------
    speed : float
        Of the wind in m/s, 0 or above.
    area : float
        Of the face in m^2.
    drag : float
        Drag coefficient, above zero; a box's is a rule of thumb.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    float
        In N.
    """
    require_above_zero(area=area, drag=drag)
    if not speed >= 0.0:
        raise ValueError("the wind's speed must not be negative")
    return 0.5 * (air if air is not None else Air()).density * speed**2 * drag * area


def tipping_wind(
    mass: float, lever: float, height: float, area: float, drag: float = DRAG_OF_A_BOX,
    air: Medium | None = None,
) -> float:
    """Speed of the steady wind that tips a body, without any margin.

    Parameters
    ----------
    mass : float
        In kg.
    lever : float
        From the edge to the centre of gravity along the ground in m, 0 or above.
    height : float
        Of the middle of the face above the ground in m.
    area : float
        Of the face in m^2.
    drag : float
        Drag coefficient, as `wind_force`.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    float
        In m/s.
    """
    return math.sqrt(tipping_force(mass, lever, height) / wind_force(1.0, area, drag, air))

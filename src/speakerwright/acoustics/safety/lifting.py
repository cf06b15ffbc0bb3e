"""What people can lift: the revised NIOSH equation, and a load between two.

The equation holds for one person lifting with both hands, standing, a load that stays still, on a
floor that holds, at 19 to 26 degrees; not for one hand, sitting, kneeling, carrying, pushing,
stairs, or wheelbarrows. It is for nearly all healthy workers, not for everyone.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from speakerwright.acoustics.limits import require_above_zero

Coupling = Literal["good", "fair", "poor"]

LOAD_CONSTANT = 23.0  # kg
HIGH_HANDS = 0.75  # m, from which grip and frequent lifts count otherwise

# Lifts per minute, and multipliers for up to 1, 2 and 8 hours with hands below 0.75 m. Those up to
# an hour read second hand, the rest from memory.
_RATES = (0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0)
_LOW: Mapping[int, tuple[float, ...]] = {
    1: (1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.8, 0.75, 0.7, 0.6, 0.52, 0.45, 0.41, 0.37, 0.0, 0.0,
        0.0),
    2: (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.6, 0.5, 0.42, 0.35, 0.3, 0.26, 0.0, 0.0, 0.0, 0.0,
        0.0),
    8: (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
        0.0),
}
_HIGH_TAIL: Mapping[int, tuple[float, ...]] = {
    1: (0.34, 0.31, 0.28), 2: (0.23, 0.21, 0.0, 0.0, 0.0),
    8: (0.15, 0.13, 0.0, 0.0, 0.0, 0.0, 0.0)}
_GRIP: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.9, 0.9)})

TEAM_SHARE: Mapping[int, float] = MappingProxyType({1: 1.0, 2: 2.0 / 3.0, 3: 0.5})


@dataclass(frozen=True)
class Lift:
    """One lift.

    Parameters
    ----------
    reach : float
        From the middle between the ankles to the hands, level, in m; below 0.25 counts as 0.25.
    hands : float
        Height of the hands at the start in m, 0 or above.
    travel : float
        How far up or down in m, 0 or above; below 0.25 counts as 0.25.
    turn_deg : float
        Of the hands out of the body's middle plane in degrees, 0 or above.
    grip : {"good", "fair", "poor"}
        Good handles, poor ones or a box that can be held under its edge, or neither.
    per_minute : float
        Lifts per minute, 0 or above.
    hours : float
        How long it goes on, above 0 to 8, with rest as the manual asks.

    Raises
    ------
    ValueError
        For a number or grip out of range.
    """

    reach: float
    hands: float
    travel: float
    turn_deg: float = 0.0
    grip: Coupling = "fair"
    per_minute: float = 0.2
    hours: float = 1.0

    def __post_init__(self) -> None:
        require_above_zero(reach=self.reach, hours=self.hours)
        rest = (self.hands, self.travel, self.turn_deg, self.per_minute)
        if not all(value >= 0.0 for value in rest):
            raise ValueError("heights, travel, turn and lifts per minute must not be negative")
        if self.hours > 8.0:
            raise ValueError("lifting must not go on for more than 8 hours")
        if self.grip not in _GRIP:
            raise ValueError("the grip must be good, fair or poor")


def multipliers(lift: Lift) -> dict[str, float]:
    """The six multipliers of a lift, each 0 to 1; 0 where the equation says: not like this.

    Source: NIOSH 94-110 (revised 2021), section 1.3 and tables 5 and 7. Lifts per minute between
    two of its rows take the lower multiplier.

    Parameters
    ----------
    lift : Lift
        The lift.

    Returns
    -------
    dict
        By name: horizontal, vertical, distance, asymmetry, frequency, coupling.
    """
    reach, travel = 100.0 * max(lift.reach, 0.25), 100.0 * max(lift.travel, 0.25)
    height = 100.0 * lift.hands
    return {
        "horizontal": 25.0 / reach if reach <= 63.0 else 0.0,
        "vertical": 1.0 - 0.003 * abs(height - 75.0) if height <= 175.0 else 0.0,
        "distance": 0.82 + 4.5 / travel if travel <= 175.0 else 0.0,
        "asymmetry": 1.0 - 0.0032 * lift.turn_deg if lift.turn_deg <= 135.0 else 0.0,
        "frequency": frequency_multiplier(lift.per_minute, lift.hours, lift.hands),
        "coupling": _GRIP[lift.grip][lift.hands >= HIGH_HANDS],
    }


def frequency_multiplier(per_minute: float, hours: float, hands: float) -> float:
    """Multiplier for how often and how long: NIOSH 94-110, table 5.

    Parameters
    ----------
    per_minute : float
        Lifts per minute, 0 or above; above 15 nothing is left.
    hours : float
        Above 0 to 8; counts as up to 1, 2 or 8.
    hands : float
        Height at the start in m.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    ValueError
        For hours or lifts out of range.
    """
    if not (0.0 < hours <= 8.0 and per_minute >= 0.0):
        raise ValueError("hours must be up to 8 and lifts per minute not negative")
    row = bisect.bisect_left(_RATES, per_minute)
    if row == len(_RATES):
        return 0.0
    length = 1 if hours <= 1.0 else 2 if hours <= 2.0 else 8
    values = _LOW[length]
    if hands >= HIGH_HANDS:
        tail = _HIGH_TAIL[length]
        values = values[: -len(tail)] + tail
    return values[row]


def recommended_weight(lift: Lift) -> float:
    """Recommended weight limit of a lift, one person, both hands.

    Source: NIOSH 94-110 (revised 2021), eq. of section 1.1: 23 kg times six multipliers. Work it
    out at the start and, where the load is put down with care, at the end: the lower counts.

    Parameters
    ----------
    lift : Lift
        The lift.

    Returns
    -------
    float
        In kg; 0 where it must not be lifted like this.
    """
    return LOAD_CONSTANT * math.prod(multipliers(lift).values())


def lifting_index(mass: float, lift: Lift) -> float:
    """Mass over the recommended weight: above 1 the risk grows, above 3 for nearly everyone.

    Parameters
    ----------
    mass : float
        In kg.
    lift : Lift
        The lift.

    Returns
    -------
    float
        Without unit; infinite where it must not be lifted like this.
    """
    require_above_zero(mass=mass)
    limit = recommended_weight(lift)
    return mass / limit if limit > 0.0 else math.inf


def lift_share(mass: float, centre: float, first: float, second: float) -> tuple[float, float]:
    """What each of two people bears of a level load.

    Elementary: levers, both hands of each at one place along the load. On stairs the lower one
    bears more. The NIOSH equation is not made for two.

    Parameters
    ----------
    mass : float
        In kg.
    centre : float
        Of gravity along the load in m.
    first, second : float
        Where the two hold it in m, on either side of the centre.

    Returns
    -------
    tuple of float
        Of the first and the second, in kg.

    Raises
    ------
    ValueError
        When the centre does not lie between them.
    """
    require_above_zero(mass=mass)
    if first == second or not min(first, second) <= centre <= max(first, second):
        raise ValueError("the centre of gravity must lie between the two who lift")
    share = (centre - first) / (second - first)
    return mass * (1.0 - share), mass * share


def team_capability(each: float, people: int) -> float:
    """What a team can lift of which everyone alone can lift the same.

    Source: HSE guidance on the Manual Handling Operations Regulations 1992, read second hand: two
    thirds of the sum for two, half for three; larger teams are unlikely to work.

    Parameters
    ----------
    each : float
        What one alone can lift, in kg.
    people : int
        1 to 3.

    Returns
    -------
    float
        In kg.

    Raises
    ------
    ValueError
        For more people than the guidance covers.
    """
    require_above_zero(what_each_can_lift=each)
    if people not in TEAM_SHARE:
        raise ValueError("the guidance covers one to three people")
    return TEAM_SHARE[people] * people * each

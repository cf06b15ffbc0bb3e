"""What stands around a cabinet, from the brief: planes, neighbours, seats, screen."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from speakerwright.acoustics.air import Air, FloatArray
from speakerwright.acoustics.places import Boundary
from speakerwright.acoustics.screens import LossTable, Perforated
from speakerwright.bass.inputs import SOLID_ANGLE
from speakerwright.design.sections.brief import Brief, SeatPoint

FLOOR, BEHIND, SIDE = "floor", "wall behind", "side wall"
_AXES = {SIDE: 0, BEHIND: 1, FLOOR: 2}
_TOUCHED = {
    "free": (), "floor": (FLOOR,), "wall": (BEHIND,), "recess": (BEHIND,),
    "corner": (FLOOR, BEHIND, SIDE),
}


@dataclass(frozen=True)
class Sitting:
    """A seat: its name, its distance in m, and where it is from the acoustic centre, in m."""

    name: str
    distance: float
    at: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What stands around the cabinet, which is the origin; x to the right, y to the back, z up.

    `solid_angle` (sr) is the plain assumption of the brief's kind of place. `planes` are by name
    those that have a distance; `touched` counts those of the kind of place that have none, which
    mirror the cabinet into itself. `cabinets` are the places (n, 3) of one channel's, `spacing`
    apart (None: in one spot); `channel_gain_db` is what further channels add. `sheet` or `table`
    is the screen; `loss_db` stands where neither is described.
    """

    solid_angle: float
    planes: Mapping[str, Boundary]
    touched: int
    cabinets: FloatArray
    spacing: float | None
    channel_gain_db: float
    seats: tuple[Sitting, ...]
    sheet: Perforated | None
    table: LossTable | None
    loss_db: float
    air: Air


def surroundings(brief: Brief, depth: float | None = None) -> Surroundings:
    """Where everything stands, from the brief.

    With the cabinet's `depth` (m), the brief's `wall_distance` behind its back counts where no
    `to_wall_behind` is given; without it that distance is left out, as in the plain assumption.
    """
    place, system, climate = brief.place, brief.system, brief.air
    distances = {
        FLOOR: place.to_floor, BEHIND: _behind(brief, depth), SIDE: place.to_side_wall}
    planes = {
        name: Boundary(_AXES[name], -apart if name == FLOOR else apart, place.reflection)
        for name, apart in distances.items() if apart is not None
    }
    count = system.cabinets_per_channel
    cabinets = np.zeros((count, 3))
    cabinets[:, 0] = (np.arange(count) - 0.5 * (count - 1)) * (place.spacing or 0.0)
    cabinets.setflags(write=False)
    channels = 20.0 if system.adding == "pressure" else 10.0
    sheet, table = _screen(brief)
    return Surroundings(
        solid_angle=SOLID_ANGLE[place.kind],
        planes=planes,
        touched=sum(name not in planes for name in _TOUCHED[place.kind]),
        cabinets=cabinets,
        spacing=place.spacing if count > 1 else None,
        channel_gain_db=channels * math.log10(system.channels),
        seats=_sittings(brief, planes),
        sheet=sheet,
        table=table,
        loss_db=place.loss,
        air=Air(climate.temperature, climate.pressure, climate.humidity),
    )


def _behind(brief: Brief, depth: float | None) -> float | None:
    """The distance of the wall behind from the baffle, if it counts."""
    place = brief.place
    clear = place.wall_distance
    if place.to_wall_behind is not None or clear is None or depth is None:
        return place.to_wall_behind
    angles = (point.angle for point in brief.seats.points)
    if place.kind == "recess" or any(abs(angle) > 90.0 for angle in angles):
        return None
    return clear + depth


def _screen(brief: Brief) -> tuple[Perforated | None, LossTable | None]:
    screen = brief.screen
    if screen is None:
        return None, None
    if screen.table:
        rows = np.array(screen.table, dtype=float)
        return None, LossTable(rows[:, 0], rows[:, 1])
    assert screen.hole is not None
    assert screen.open is not None
    assert screen.thickness is not None
    return Perforated(screen.hole, screen.open / 100.0, screen.thickness), None


def _sittings(brief: Brief, planes: Mapping[str, Boundary]) -> tuple[Sitting, ...]:
    """The brief's seats: those given, or nearest and farthest, on the axis and at the widest.

    Of a range, the widest seats that would stand behind a wall are left out.
    """
    seats = brief.seats
    floor = brief.place.to_floor
    if floor is None and FLOOR in _TOUCHED[brief.place.kind]:
        floor = 0.0
    if seats.points:
        return tuple(_sitting(point, floor) for point in seats.points)
    assert seats.nearest is not None
    assert seats.farthest is not None
    ears = [height for height in (seats.lowest_ear, seats.highest_ear) if height is not None]
    height = sum(ears) / len(ears) if ears else None
    ends = {"nearest": seats.nearest}
    if seats.farthest > seats.nearest:
        ends["farthest"] = seats.farthest
    found = []
    for suffix, angle in (("", 0.0), (", widest", seats.widest or 0.0)):
        for name, distance in ends.items():
            made = _sitting(SeatPoint.model_construct(
                name=name + suffix, distance=distance, angle=angle, height=height), floor)
            walls = [plane for name, plane in planes.items() if name != FLOOR]
            if not suffix or (angle and all(made.at[wall.axis] < wall.at for wall in walls)):
                found.append(made)
    return tuple(found)


def _sitting(point: SeatPoint, floor: float | None) -> Sitting:
    """A seat in space; without its height or the floor's distance it is level with the cabinet.

    A seat nearer than its ears are high stands straight above.
    """
    up = 0.0 if point.height is None or floor is None else point.height - floor
    up = max(-point.distance, min(point.distance, up))
    along, angle = math.sqrt(point.distance**2 - up**2), math.radians(point.angle)
    return Sitting(point.name, point.distance,
                   (along * math.sin(angle), -along * math.cos(angle), up))

"""What the brief decides."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Annotated

from pydantic import model_validator

from speakerwright.design.values import (
    Angle,
    Choice,
    Count,
    Current,
    Decibel,
    DecibelOrZero,
    Distance,
    Duration,
    Frequency,
    Length,
    Mass,
    Money,
    Name,
    Percent,
    Power,
    Pressure,
    Quantity,
    Resistance,
    RoomVolume,
    Seconds,
    Section,
    Sentence,
    Temperature,
    Voltage,
    YesNo,
    problems,
)

Reflection = Annotated[float, Quantity("ratio", high=1.0, above=False)]
Gust = Annotated[float, Quantity("speed", high=80.0)]


class LevelWanted(Section):
    """Long-term average at the seats, its weighting, and how far peaks stand above it."""

    average: Decibel
    weighting: Annotated[str, Choice(("A", "C", "Z"))] = "A"
    crest: DecibelOrZero
    spectrum: Annotated[str, Choice(("programme", "pink"))] = "programme"
    at: Annotated[str, Choice(("farthest", "nearest"))] = "farthest"
    hours: Duration | None = None


class System(Section):
    """How many cabinets of this design play together, and how they add.

    `channels` carry unlike signals and add by power unless `adding` says "pressure"; the
    `cabinets_per_channel` stand together and add by pressure.
    """

    channels: Count = 1
    cabinets_per_channel: Count = 1
    adding: Annotated[str, Choice(("power", "pressure"))] = "power"
    companions: tuple[Name, ...] = ()

    @property
    def cabinets(self) -> int:
        """Cabinets in all."""
        return self.channels * self.cabinets_per_channel


class SeatPoint(Section):
    """One seat by its distance, its angle to the axis and the height of the ears."""

    name: Name
    distance: Distance
    angle: Angle = 0.0
    height: Distance | None = None


class Seats(Section):
    """Seats as points, or as a range from the nearest to the farthest."""

    nearest: Distance | None = None
    farthest: Distance | None = None
    widest: Angle | None = None
    lowest_ear: Distance | None = None
    highest_ear: Distance | None = None
    highest: Angle | None = None
    points: tuple[SeatPoint, ...] = ()

    @model_validator(mode="after")
    def _one_way(self) -> Seats:
        found = []
        if self.points and (self.nearest or self.farthest):
            found.append(("", "it gives points and a range.", "Give one of the two."))
        if not self.points and (self.nearest is None or self.farthest is None):
            found.append(("", "it has no seats.", "Give nearest and farthest, or points."))
        if self.nearest and self.farthest and self.nearest > self.farthest:
            found.append(("nearest", "the nearest seat is behind the farthest.", "Swap them."))
        if self.lowest_ear and self.highest_ear and self.lowest_ear > self.highest_ear:
            found.append(("lowest_ear", "it is above the highest ear.", "Swap them."))
        names = [point.name for point in self.points]
        if len(set(names)) != len(names):
            found.append(("points", "two seats have the same name.", "Give each its own."))
        if found:
            raise problems(found)
        return self


class Place(Section):
    """Where the cabinet stands, and what stands before it.

    `wall_distance` is clear behind the cabinet's back. `to_floor`, `to_wall_behind` and
    `to_side_wall` count from its acoustic centre, which is the middle of the baffle near enough,
    or from the middle of a row of cabinets; a plane that `kind` names and that has no distance
    stands so close that it only narrows the space. `reflection` is of the planes with a distance.
    `spacing` lies from centre to centre between the cabinets of one channel, side by side.
    `wind` is the gust that a cabinet out of doors must stand.
    """

    kind: Annotated[str, Choice(("free", "floor", "wall", "corner", "recess"))]
    wall_distance: Length | None = None
    to_floor: Length | None = None
    to_wall_behind: Length | None = None
    to_side_wall: Length | None = None
    reflection: Reflection = 1.0
    spacing: Length | None = None
    wind: Gust | None = None
    before: Annotated[str, Choice(("nothing", "grille", "screen"))] = "nothing"
    loss: DecibelOrZero = 0.0

    @model_validator(mode="after")
    def _stands(self) -> Place:
        found = []
        if self.kind == "recess" and self.to_wall_behind is not None:
            found.append(("to_wall_behind", "a baffle in a recess is flush with its wall.",
                          "Take it out, or choose another kind of place."))
        if self.kind == "corner" and self.spacing is not None and self.to_side_wall is None:
            found.append(("spacing", "a row of cabinets does not stand in one corner.",
                          "Give to_side_wall, from the middle of the row."))
        if found:
            raise problems(found)
        return self


class Screen(Section):
    """The grille or screen: its holes, or its maker's table of (frequency, loss), which wins."""

    hole: Length | None = None
    open: Percent | None = None
    thickness: Length | None = None
    table: tuple[tuple[Frequency, DecibelOrZero], ...] = ()

    @model_validator(mode="after")
    def _one_way(self) -> Screen:
        found = []
        sizes = (self.hole, self.open, self.thickness)
        if None in sizes and (not self.table or sizes != (None, None, None)):
            found.append(("", "it is not fully described.",
                          "Give hole, open and thickness, or a table."))
        if self.open is not None and self.open > 60.0:
            found.append(("open", "the holes would all but touch.", "Give 60 % at most."))
        rising = [frequency for frequency, _ in self.table]
        if any(later <= earlier for earlier, later in pairwise(rising)):
            found.append(("table", "its frequencies do not rise.", "Put them in order."))
        if found:
            raise problems(found)
        return self


class Room(Section):
    """The room by volume and reverberation time; its statistics count when `counts` is true."""

    volume: RoomVolume
    reverberation_time: Seconds
    size: tuple[Distance, Distance, Distance] | None = None
    occupied: Annotated[bool, YesNo()] = True
    directivity_index: Decibel | None = None
    noise: Decibel | None = None


class Amplifier(Section):
    """The amplifier: power into a load, peak volts and amps, gain, noise."""

    power: Power
    load: Resistance
    peak_voltage: Voltage | None = None
    peak_current: Current | None = None
    gain: Decibel | None = None
    noise: Voltage | None = None


class Target(Section):
    """The response wanted at the seat, as (frequency, level) points, and its tolerance."""

    tolerance: DecibelOrZero
    points: tuple[tuple[Frequency, Decibel], ...] = ()


class SizeLimits(Section):
    """The largest outside sizes and mass that will do."""

    width: Length | None = None
    height: Length | None = None
    depth: Length | None = None
    mass: Mass | None = None


class Budget(Section):
    """What it may cost, in the plan's currency, for a number of cabinets."""

    total: Money
    cabinets: Count = 1


class Alternative(Section):
    """An alternative of the user's own that the design must beat."""

    name: Name
    price: Money | None = None
    level: Decibel | None = None
    lowest: Frequency | None = None
    width: Length | None = None
    height: Length | None = None
    depth: Length | None = None
    mass: Mass | None = None


class Climate(Section):
    """The air everything is worked out in."""

    temperature: Temperature = 20.0
    pressure: Pressure = 101325.0
    humidity: Percent = 50.0


class Brief(Section):
    """What it must do, where, for whom, for how much."""

    use: Sentence
    lowest: Frequency
    lowest_drop: DecibelOrZero = 10.0
    highest: Frequency | None = None
    level: LevelWanted
    system: System = System()
    seats: Seats
    place: Place
    screen: Screen | None = None
    amplifier: Amplifier
    room: Room | None = None
    target: Target | None = None
    size: SizeLimits = SizeLimits()
    budget: Budget | None = None
    beat: tuple[Alternative, ...] = ()
    air: Climate = Climate()

    @model_validator(mode="after")
    def _order(self) -> Brief:
        found = [*self._walls()]
        if self.highest is not None and self.highest <= self.lowest:
            found.append(("highest", "it is not above the lowest frequency.", "Raise it."))
        if self.screen is not None and self.place.before == "nothing":
            found.append(("screen", "nothing stands before the cabinet.",
                          'Say before = "grille" or "screen" in the place.'))
        if found:
            raise problems(found)
        return self

    def _walls(self) -> Iterator[tuple[str, str, str]]:
        """Seats and cabinets that would stand behind a wall."""
        beside, behind = self.place.to_side_wall, self.place.to_wall_behind
        half = 0.5 * (self.system.cabinets_per_channel - 1) * (self.place.spacing or 0.0)
        if beside is not None and half >= beside:
            yield ("place.to_side_wall", "the row of cabinets is too wide for it.",
                   "Count from the middle of the row.")
        for k, seat in enumerate(self.seats.points):
            angle = math.radians(seat.angle)
            if beside is not None and seat.distance * math.sin(angle) >= beside:
                yield (f"seats.points.{k}", "it stands behind the side wall.",
                       "Angles on the side wall's side are positive.")
            if behind is not None and -seat.distance * math.cos(angle) >= behind:
                yield (f"seats.points.{k}", "it stands behind the wall behind.",
                       "Angles count from the axis.")

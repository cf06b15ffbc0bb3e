"""What the brief decides."""

from __future__ import annotations

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
    """Where the cabinet stands, and what stands before it."""

    kind: Annotated[str, Choice(("free", "floor", "wall", "corner", "recess"))]
    wall_distance: Length | None = None
    before: Annotated[str, Choice(("nothing", "grille", "screen"))] = "nothing"
    loss: DecibelOrZero = 0.0


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
    amplifier: Amplifier
    room: Room | None = None
    target: Target | None = None
    size: SizeLimits = SizeLimits()
    budget: Budget | None = None
    beat: tuple[Alternative, ...] = ()
    air: Climate = Climate()

    @model_validator(mode="after")
    def _order(self) -> Brief:
        if self.highest is not None and self.highest <= self.lowest:
            raise problems([("highest", "it is not above the lowest frequency.", "Raise it.")])
        return self

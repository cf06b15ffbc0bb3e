"""What walls, floor, neighbours and a screen make of a chamber's level at the seats."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.pistons import ComplexArray, level_db
from speakerwright.acoustics.places import Boundary, extra_path, pressure_gain, radiation_gain
from speakerwright.acoustics.response import Response
from speakerwright.acoustics.screens import screen_transmission
from speakerwright.acoustics.spectra import third_octaves
from speakerwright.bass.surroundings import Sitting, Surroundings
from speakerwright.words.findings import Finding, judge

Array = TypeVar("Array", FloatArray, ComplexArray)
Indices = npt.NDArray[np.intp]

FULL_SPACE = 4.0 * math.pi
HALF_BAND = 0.05 * math.log(10.0)  # half a third octave, IEC 61260-1
NOTCH_DB = -10.0  # rule of thumb, of a third octave at a seat
POWER_NOTCH_DB = -3.0  # rule of thumb
THUMB = "the limit is a rule of thumb"

SPACING = "row of cabinets"


@dataclass(frozen=True)
class Notch:
    """The deepest third octave: where, how deep against direct sound alone, and what causes it.

    `distance` (m) is that of the plane from the cabinet, or between cabinets; `extra` (m) the
    longer way of its reflection, None between cabinets.
    """

    seat: str
    frequency: float
    level_db: float
    cause: str
    distance: float
    extra: float | None


@dataclass(frozen=True, eq=False)
class OverSeats:
    """Third octaves (b,): smallest, mean (of power) and largest over the seats, in dB."""

    frequency: FloatArray
    smallest_db: FloatArray
    mean_db: FloatArray
    largest_db: FloatArray


@dataclass(frozen=True, eq=False)
class PlaceResult:
    """One chamber at the seats (s) over frequency (f), for the drive asked.

    `pressure` (s, f) is that of one cabinet in Pa, its time reference the direct path; `one_db`
    its level, `all_db` that of the whole system. `one_gain_db` and `all_gain_db` are what place
    and row make of the plain assumption: the space of the brief's kind of place, inverse distance,
    all cabinets of a channel in one spot. `power_gain_db` (f,) is the radiated power of one cabinet
    over the same; `screen_db` (f,) what the screen adds, below zero, and in both levels. Where the
    brief gives no distance and no spacing all gains are zero.
    """

    frequency: FloatArray
    seats: tuple[Sitting, ...]
    pressure: ComplexArray
    one_db: FloatArray
    all_db: FloatArray
    one_gain_db: FloatArray
    all_gain_db: FloatArray
    power_gain_db: FloatArray
    screen_db: FloatArray
    levels: OverSeats
    gains: OverSeats
    notch: Notch | None
    findings: tuple[Finding, ...]


def at_seats(
    response: Response,
    around: Surroundings,
    band: tuple[float, float],
    volts: float = 1.0,
    where: str = "brief.place",
) -> PlaceResult:
    """A chamber's level at every seat with walls, floor, neighbours and screen.

    Parameters
    ----------
    response : Response
        Of one cabinet at 1 m in the plain solid angle, pressure of shape (f,): the small-source
        law, so that its volume velocity is the same in any space.
    around : Surroundings
        What stands around it.
    band : tuple of float
        Lowest and highest frequency in Hz that are judged; the response's valid range bounds it.
    volts : float
        Rms voltage at the amplifier's terminals, above zero.
    where : str
        The place in the design that the findings name.

    Returns
    -------
    PlaceResult
        Image sources: rigid planes without end, no further planes, no modes of the room; the
        planes' load does not reach back to the cone, which a heavy cone hardly feels.
    """
    f, speed = response.frequency, around.air.speed
    planes, centre = tuple(around.planes.values()), np.zeros(3)
    # the same volume velocity into all directions, and images in the cabinet itself
    close = around.solid_angle / FULL_SPACE * 2.0**around.touched
    spots = np.array([seat.at for seat in around.seats])
    far = np.array([[seat.distance] for seat in around.seats])
    count = len(around.cabinets)
    one = close * pressure_gain(f, centre, spots, speed, planes)
    row = one
    if around.spacing is not None:
        row = close / count * pressure_gain(f, around.cabinets, spots, speed, planes, centre)
    screen = _through(around, f)
    plain = volts * response.pressure * screen / far
    together = 20.0 * math.log10(count) + around.channel_gain_db
    all_db = level_db(plain * row) + together
    gain_db = _db(row)
    power = close * radiation_gain(f, centre, speed, planes)[0]
    notch = _notch(around, f, row / close, _judged(response, band))
    return PlaceResult(
        frequency=f, seats=around.seats, pressure=_fixed(plain * one),
        one_db=_fixed(level_db(plain * one)), all_db=_fixed(all_db), one_gain_db=_fixed(_db(one)),
        all_gain_db=_fixed(gain_db), power_gain_db=_fixed(10.0 * np.log10(power)),
        screen_db=_fixed(_db(screen)),
        levels=_over_seats(f, all_db), gains=_over_seats(f, gain_db), notch=notch,
        findings=(
            *_seat_finding(notch, where),
            *_power_finding(around, f, _judged(response, band), where),
        ),
    )


def _db(ratio: ComplexArray) -> FloatArray:
    with np.errstate(divide="ignore"):
        return np.asarray(20.0 * np.log10(np.abs(ratio)), dtype=float)


def _fixed(values: Array) -> Array:
    values.setflags(write=False)
    return values


def _through(around: Surroundings, f: FloatArray) -> ComplexArray:
    if around.sheet is None and around.table is None:
        return np.full(f.shape, 10.0 ** (-around.loss_db / 20.0), dtype=complex)
    return screen_transmission(f, around.sheet, around.table, around.air)


def _judged(response: Response, band: tuple[float, float]) -> Indices:
    """Indices of the grid points that are judged."""
    f = response.frequency
    low, high = max(band[0], response.valid[0]), min(band[1], response.valid[1])
    return np.flatnonzero((f >= low * 0.999) & (f <= high * 1.001))


def third_octave_mean(f: FloatArray, power: FloatArray, centres: FloatArray) -> FloatArray:
    """Mean of power (s, f) over a third octave about each centre (b,), evenly in log f: (s, b)."""
    x = np.log(f)
    steps = 0.5 * (power[:, 1:] + power[:, :-1]) * np.diff(x)
    total = np.concatenate([np.zeros((len(power), 1)), np.cumsum(steps, axis=1)], axis=1)
    low = np.maximum(np.log(centres) - HALF_BAND, x[0])
    high = np.minimum(np.log(centres) + HALF_BAND, x[-1])
    found = [np.interp(high, x, row) - np.interp(low, x, row) for row in total]
    return np.asarray(np.array(found) / (high - low), dtype=float)


def _over_seats(f: FloatArray, seats_db: FloatArray) -> OverSeats:
    centres = third_octaves()
    edge = math.exp(HALF_BAND)
    centres = centres[(centres >= f[0] * edge) & (centres <= f[-1] / edge)]
    power = third_octave_mean(f, 10.0 ** (seats_db / 10.0), centres)
    rows = (power.min(axis=0), power.mean(axis=0), power.max(axis=0))
    return OverSeats(_fixed(centres), *(_fixed(10.0 * np.log10(row)) for row in rows))


def _notch(
    around: Surroundings, f: FloatArray, gain: ComplexArray, judged: Indices
) -> Notch | None:
    """The deepest third octave at any seat, against the direct sound of all cabinets alone."""
    if judged.size == 0 or not (around.planes or around.spacing):
        return None
    smooth = third_octave_mean(f, np.abs(gain) ** 2, f[judged])
    seat, k = np.unravel_index(int(np.argmin(smooth)), smooth.shape)
    frequency, sitting = float(f[judged[k]]), around.seats[int(seat)]
    cause, distance, extra = _cause(around, sitting, frequency)
    depth = float(10.0 * np.log10(smooth[seat, k]))
    return Notch(sitting.name, frequency, depth, cause, distance, extra)


def _cause(
    around: Surroundings, seat: Sitting, frequency: float
) -> tuple[str, float, float | None]:
    """The plane, or the row, that takes most at a seat by itself; its distance and extra path."""
    speed, spot = around.air.speed, np.array([seat.at])

    def level(*planes: Boundary) -> float:
        return float(np.abs(pressure_gain(
            [frequency], around.cabinets, spot, speed, planes, np.zeros(3)))[0, 0])

    direct = level()
    takes = {name: level(plane) / direct for name, plane in around.planes.items()}
    if around.spacing is not None:
        takes[SPACING] = direct / len(around.cabinets)
    cause = min(takes, key=takes.__getitem__)
    if cause == SPACING:
        assert around.spacing is not None
        return cause, around.spacing, None
    plane = around.planes[cause]
    return cause, abs(plane.at), float(extra_path(np.zeros(3), spot, plane)[0])


def _seat_finding(notch: Notch | None, where: str) -> Iterator[Finding]:
    if notch is None:
        return
    figures = {"at": (notch.frequency, "frequency"), "distance": (notch.distance, "distance"),
               "extra": (notch.extra or 0.0, "distance")}
    if notch.cause == SPACING:
        reason = "the cabinets, {distance} apart, reach it one after another"
        advice = "Set the cabinets closer together."
    else:
        reason = (f"by the {notch.cause}, {{distance}} from the cabinet, sound has {{extra}} "
                  "farther to go")
        advice = (f"Set the cabinet nearer to the {notch.cause}, which moves the notch up, or "
                  "farther away, which moves it down, and keep the distances to planes unlike.")
    yield judge(
        "seat_notch", where, notch.level_db, "level", at_least=NOTCH_DB, tight=4.0,
        says=f"At {{at}} the seat {notch.seat} has {{value}} against the direct sound alone: "
        f"{reason}.",
        try_this=advice, figures=figures,
        source=f"image sources in rigid planes, third octaves, no room modes; {THUMB}",
    )


def _power_finding(
    around: Surroundings, f: FloatArray, judged: Indices, where: str
) -> Iterator[Finding]:
    """The radiated power against that with only the planes that the cabinet touches."""
    if judged.size == 0 or not around.planes:
        return
    speed, centre, grid = around.air.speed, np.zeros(3), f[judged]
    ratio = radiation_gain(grid, centre, speed, tuple(around.planes.values()))[0]
    k = int(np.argmin(ratio))
    alone = {name: float(radiation_gain(grid[k : k + 1], centre, speed, (plane,))[0, 0])
             for name, plane in around.planes.items()}
    cause = min(alone, key=alone.__getitem__)
    yield judge(
        "boundary_notch", where, float(10.0 * np.log10(ratio[k])), "level",
        at_least=POWER_NOTCH_DB, tight=1.0,
        says="At {at} the cabinet radiates {value} against what it would with the planes around it "
        f"far away; the {cause}, {{distance}} off, takes most.",
        try_this="Give the distances to floor and walls unlike values, or stand the cabinet close "
        "to one of them.",
        figures={"at": (float(grid[k]), "frequency"),
                 "distance": (abs(around.planes[cause].at), "distance")},
        source=f"Waterhouse 1955, rigid planes; {THUMB}",
    )

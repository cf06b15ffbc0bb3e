"""A chamber played loud, as it is shown: levels for a moment and for long, what they cost.

All of it takes about a tenth of a second; the harmonics take longer and are in `harmonics_shown`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from speakerwright.bass.charts import HIGH, LOW, SIMULATED
from speakerwright.bass.judgement import band
from speakerwright.bass.loud import (
    Compression,
    LoudInput,
    LoudLimits,
    Programme,
    answer,
    compression,
    loud_limits,
)
from speakerwright.bass.result import ChamberResult, Need
from speakerwright.circuits.parts import Real
from speakerwright.drawing.charts import (
    Axis,
    Chart,
    Curve,
    Region,
    frequency_axis,
    level_axis,
    linear_axis,
)
from speakerwright.words.blocks import Block, Paragraph, Table
from speakerwright.words.units import show

GRID = np.geomspace(0.98 * LOW, 1.02 * HIGH, 41)
GRID.setflags(write=False)
LADDER = (0.25, 0.5, 1.0)
"""Shares of the voltage borne for long that are shown; the last is all of it."""

BANDS = (31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0)


@dataclass(frozen=True, eq=False)
class Loud:
    """A chamber's limits and its compression over `GRID` (f,), with what the brief asks of it.

    `peak_db` and `long_db` (f,) are levels at 1 m in the chamber's own space; no programme lasts
    above what the cone can do for a moment, so `long_db` is nowhere above `peak_db`.
    """

    chamber: ChamberResult
    need: Need
    limits: LoudLimits
    compression: Compression
    peak_db: Real
    long_db: Real

    def __post_init__(self) -> None:
        self.peak_db.setflags(write=False)
        self.long_db.setflags(write=False)


def programme_of(chamber: ChamberResult, need: Need) -> Programme:
    """The brief's programme in the band that reaches the chamber's drivers."""
    low = 20.0 if chamber.inputs.hand_over is None else min(max(need.lowest, 20.0), 10e3)
    return Programme(need.spectrum, low, max(min(need.highest, 20e3), 1.3 * low))


def played(loud: LoudInput, chamber: ChamberResult, need: Need) -> Loud:
    """Work out limits and compression of a chamber.

    Parameters
    ----------
    loud : LoudInput
        What is known or assumed of the chamber's drivers at large level.
    chamber : ChamberResult
        The same chamber.
    need : Need
        What the brief asks of it.

    Returns
    -------
    Loud
        Raises ArithmeticError where the coils find no temperature.
    """
    music = programme_of(chamber, need)
    limits = loud_limits(loud, GRID, music)
    volts = [share * limits.long_volts for share in LADDER]
    space = _own_space(loud, chamber)
    peak = limits.peak_db + space
    return Loud(chamber, need, limits, compression(loud, volts, GRID, music), peak,
                np.minimum(limits.long_db + space, peak))


def _own_space(loud: LoudInput, chamber: ChamberResult) -> Real:
    """What an open baffle radiates less than its cone in a large wall, dB (f,); else nothing."""
    if chamber.circuit.dipole is None:
        return np.zeros(GRID.shape)
    own = np.interp(np.log(GRID), np.log(chamber.curves.frequency), chamber.curves.unfiltered_db)
    return np.asarray(own - answer(loud, chamber.circuit, GRID).level_db(1.0))


# --- charts ---------------------------------------------------------------------------------------


def charts(found: Loud, space: str) -> tuple[Chart, ...]:
    """Level for a moment and for long, and where the level goes that is lost."""
    return _levels(found, space), _lost(found)


def _key(found: Loud, name: str) -> str:
    return f"bass-{found.chamber.inputs.name}-{name}"


def _levels(found: Loud, space: str) -> Chart:
    inside, shape = band(found.chamber, found.need)
    asked = found.chamber.curves.frequency
    peak, average = (np.where(inside, level + shape, np.nan)
                     for level in (found.need.peak_db, found.need.average_db))
    highest = max(float(found.peak_db.max()), found.need.peak_db)
    top = 10.0 * np.ceil((highest + 1.0) / 10.0)
    limits = found.limits
    return Chart(
        _key(found, "loud-levels"), "For a moment and for long", frequency_axis(LOW, HIGH),
        level_axis(top - 40.0, top),
        (Curve("for a moment", "limit", SIMULATED, GRID, found.peak_db),
         Curve("for long", "low", SIMULATED, GRID, found.long_db),
         Curve("asked at peak", "target", SIMULATED, asked, peak),
         Curve("asked on average", "target", SIMULATED, asked, average)),
        regions=(Region(GRID, found.peak_db, top, "excursion or amplifier"),
                 Region(GRID, found.long_db, found.peak_db, "for moments only")),
        caption=f"Sine (rms) at 1 m, {space}, one cabinet, without active filters: on a cold coil, "
        f"and on one that {limits.long_volts:.1f} V of programme have brought to "
        f"{limits.temperature_c:.0f} °C.",
    )


def _lost(found: Loud) -> Chart:
    whole, heat = found.compression.compression_db[-1], found.compression.heat_db[-1]
    curves = [Curve("coil's heat", "low", SIMULATED, GRID, heat)]
    if found.chamber.circuit.openings:
        curves += [Curve("turbulence", "port", SIMULATED, GRID, whole - heat),
                   Curve("both", "sum", SIMULATED, GRID, whole)]
    return Chart(
        _key(found, "loud-lost"), "Level that is lost", frequency_axis(LOW, HIGH),
        _lost_axis([curve.y for curve in curves]), tuple(curves),
        caption=f"Compression of a sine of {found.limits.long_volts:.1f} V (rms) against the cold "
        f"coil and quiet air, when programme of that voltage has heated the coil to "
        f"{found.limits.temperature_c:.0f} °C.",
    )


def _lost_axis(values: list[Real]) -> Axis:
    """At least one decibel tall; no level, so that the slant of response charts is not its own."""
    tall = [np.where(np.abs(each) < 0.1, 0.0, each) for each in values]
    return linear_axis("Compression, dB", "", [*tall, np.array([0.0, 1.0])])


# --- words ----------------------------------------------------------------------------------------


def blocks(found: Loud, system: str = "metric") -> tuple[Block, ...]:
    """The limits and the compression as two small tables, and what was assumed."""
    return (_limits_table(found), compression_table(found), *assumptions(found.limits.assumed))


def _at(values: Real, frequency: float) -> float:
    return float(np.interp(np.log(frequency), np.log(GRID), values))


def _limits_table(found: Loud) -> Table:
    limits, openings = found.limits, bool(found.chamber.circuit.openings)
    rows = []
    for frequency in BANDS:
        row = [show(frequency, "frequency"), show(_at(found.peak_db, frequency), "level"),
               show(_at(found.long_db, frequency), "level"),
               show(_at(limits.peak_volts, frequency), "voltage")]
        if openings:
            row.append(show(_at(limits.air_speed, frequency), "speed"))
        rows.append(tuple(row))
    heads = ("Frequency", "For a moment", "For long", "Volts for a moment")
    return Table(
        (*heads, *(("Air speed then",) if openings else ())), tuple(rows),
        "Sine (rms) of one cabinet at 1 m, without active filters. For a moment: cold coil, linear "
        "excursion and amplifier, turbulence counted. For long: the coil at "
        f"{limits.temperature_c:.0f} °C, which it settles at on {limits.long_volts:.1f} V of "
        "programme.",
        numbers=tuple(range(4 + openings)),
    )


def compression_table(found: Loud) -> Table:
    """What each voltage costs at three frequencies, and how hot the coil gets."""
    lowest = float(np.clip(found.need.lowest, GRID[0], GRID[-1] / 4.0))
    told = (lowest, 2.0 * lowest, 4.0 * lowest)
    lost = found.compression
    rows = tuple(
        (show(float(volts), "voltage"), show(float(temperature), "temperature"),
         *(show(_at(level, frequency), "level") for frequency in told))
        for volts, temperature, level in zip(
            lost.volts, lost.temperature_c, lost.compression_db, strict=True)
    )
    return Table(
        ("Programme, rms", "Coil settles at", *(f"Lost at {show(f, 'frequency')}" for f in told)),
        rows, "Heat of the coil and turbulence in the ports, for a sine of the same voltage.",
        numbers=(0, 1, 2, 3, 4),
    )


def assumptions(assumed: tuple[str, ...]) -> tuple[Paragraph, ...]:
    """What stands for figures that the record lacks, in one paragraph; none when it lacks none."""
    if not assumed:
        return ()
    return (Paragraph(f"For what the record lacks: {'; '.join(assumed)}."),)

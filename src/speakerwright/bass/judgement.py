"""The findings of one chamber: each with its margin, its reason and what to try."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from speakerwright.acoustics.ports import facing_wall_valid
from speakerwright.acoustics.spectra import third_octave_level_db
from speakerwright.bass.filters import hand_over
from speakerwright.bass.port import PortResult
from speakerwright.bass.result import ChamberResult, Need, drive_volts
from speakerwright.circuits.parts import Real
from speakerwright.words.findings import Finding, Verdict, judge, unknown

PRACTICE = "common practice, no source"
THUMB = "rule of thumb"
TIGHT_DB = 2.0
FORM = "a tone that carries the whole peak, shaped by the brief's spectrum"


def judged(result: ChamberResult, need: Need) -> tuple[Finding, ...]:
    """All findings of a chamber, in the order a maker asks."""
    return (
        *_reach(result, need),
        *_loudness(result, need),
        *_below_the_band(result, need),
        *_port_findings(result),
        *(() if result.place is None else result.place.findings),
    )


def _where(result: ChamberResult, part: str = "") -> str:
    return f"bass.{result.inputs.name}" + (f".{part}" if part else "")


def _at(result: ChamberResult, curve: Real, frequency: float) -> float:
    grid = result.curves.frequency
    return float(np.interp(math.log(frequency), np.log(grid), curve))


def _reach(result: ChamberResult, need: Need) -> Iterator[Finding]:
    curves = result.curves
    # the hand-over's own slope is asked for, so it is no shortcoming of the chamber
    slope = 20.0 * np.log10(np.abs(hand_over(result.inputs, curves.frequency)))
    drop = _at(result, curves.level_db - slope, need.lowest) - curves.asymptote_db
    yield judge(
        "bass_reaches_lowest", _where(result), drop, "level",
        at_least=-need.lowest_drop_db, tight=1.0,
        says="At {lowest} the level stands {value} against the pass band; the brief allows "
        "{limit}.",
        try_this="A larger box, a lower tuning or a driver with a lower resonance reaches deeper.",
        source="small-signal circuit, protective filter included"
        + ("" if result.inputs.hand_over is None else ", hand-over left out"),
        figures={"lowest": (need.lowest, "frequency")},
    )


def band(result: ChamberResult, need: Need) -> tuple[NDArray[np.bool_], Real]:
    """Which grid points lie in the band asked for, and the level needed there (f,) in dB."""
    grid = result.curves.frequency
    inside = np.asarray((grid >= need.lowest * 0.999) & (grid <= need.highest * 1.001))
    shape = third_octave_level_db(need.spectrum, grid)
    return inside, np.asarray(shape - shape.max(), dtype=np.float64)


_LOUD = {
    "excursion": (
        "level_excursion",
        "The cone's linear excursion allows {value} at {at}; the brief's peak asks {limit} there.",
        "More cone area, more excursion, a tuning nearer to {at}, or less peak level.",
    ),
    "port": (
        "level_port",
        "Air at 17 m/s in the port allows {value} at {at}; the brief's peak asks {limit} there.",
        "More port area, or flares and a lower crest.",
    ),
    "passive radiator": (
        "level_passive",
        "The passive radiator's linear excursion allows {value} at {at}; the brief's peak asks "
        "{limit} there.",
        "More or larger passive radiators, a tuning nearer to {at}, or less peak level.",
    ),
    "amplifier": (
        "level_amplifier",
        "The amplifier allows {value} at {at}; the brief's peak asks {limit} there.",
        "A stronger amplifier or a more sensitive driver.",
    ),
    "heat": (
        "level_heat",
        "The driver's rated power allows {value} for long at {at}; the brief's average asks "
        "{limit} there.",
        "A driver with more power handling or sensitivity, or more cabinets.",
    ),
}


def _loudness(result: ChamberResult, need: Need) -> Iterator[Finding]:
    """One finding per limit: the frequency in the band where it leaves least."""
    inside, shape = band(result, need)
    if not np.any(inside):
        return
    grid = result.curves.frequency
    for reason, (rule, says, advice) in _LOUD.items():
        if reason not in result.limits.volts:
            if reason in ("excursion", "heat"):
                yield _no_rating(result, rule, reason, result.inputs.driver_name)
            if reason == "passive radiator" and result.inputs.passive is not None:
                yield _no_rating(result, rule, reason, result.inputs.passive.name)
            continue
        allowed = result.curves.unfiltered_db + 20.0 * np.log10(result.limits.volts[reason])
        wanted = shape + (need.average_db if reason == "heat" else need.peak_db)
        room = np.where(inside, allowed - wanted, np.inf)
        k = int(np.argmin(room))
        source = {"port": PRACTICE, "heat": "rated noise power, taken as real power"}.get(
            reason, "linear circuit"
        )
        yield judge(
            rule, _where(result), float(allowed[k]), "level",
            at_least=float(wanted[k]), tight=TIGHT_DB, says=says, try_this=advice,
            source=f"{source}; {FORM}", figures={"at": (float(grid[k]), "frequency")},
        )


def _no_rating(result: ChamberResult, rule: str, reason: str, name: str) -> Finding:
    what = "power" if reason == "heat" else "xmax"
    return unknown(
        rule, _where(result), f"{name} states no {what}, so this limit is not known.",
        f"Type {what} into the record.", kind="level",
    )


def _below_the_band(result: ChamberResult, need: Need) -> Iterator[Finding]:
    """Excursion below the band at the brief's peak, as a tone of full level: not programme."""
    inputs, curves = result.inputs, result.curves
    if inputs.ratings.xmax is None:
        return
    below = curves.frequency < need.lowest
    if not np.any(below):
        return
    drive = drive_volts(curves, need)
    swing = np.where(below, curves.excursion * drive, 0.0)
    k = int(np.argmax(swing))
    yield judge(
        "protected_below", _where(result, "high_pass"), float(swing[k]), "excursion",
        at_most=inputs.ratings.xmax, tight=0.15,
        says="A tone at the brief's peak level at {at}, below the band, swings the cone {value}; "
        "it stays linear to {limit}.",
        try_this="Add or raise a protective high-pass: below the tuning nothing holds the cone.",
        source="linear circuit; the tone is not shaped by the spectrum, since wind, handling and "
        "switch-on thumps are not programme",
        figures={"at": (float(curves.frequency[k]), "frequency")},
    )


def _port_findings(result: ChamberResult) -> Iterator[Finding]:
    for path, port in result.ports.items():
        where = _where(result, path)
        if not port.tunes:
            yield Finding(
                "port_tunes", where, Verdict.FAILS, None, _asked(result, path), "frequency",
                "No port length of this area tunes the box to {limit}: even a bare hole tunes "
                "lower, or a port of 20 m higher.",
                "Change the port's area or the tuning.",
            )
            continue
        if path == "port" and not _bent(result):
            yield from _port_room(result, port, where)
        if port.doubt:
            yield unknown(
                "port_end_known", where, f"The port's end correction is in doubt: {port.doubt}",
                "Cut the port a little long, measure the tuning, and shorten it.", kind="length",
            )
        yield _pipe(result, port, path)


def _bent(result: ChamberResult) -> bool:
    """Whether the port turns in the box, so that nothing faces its end as drawn."""
    port = result.inputs.chamber.port
    return port is not None and port.bends > 0


def _asked(result: ChamberResult, path: str) -> float | None:
    chamber = result.inputs.chamber
    asked = chamber.port if path == "port" or chamber.front is None else chamber.front.port
    return None if asked is None else asked.tuning


def _port_room(result: ChamberResult, port: PortResult, where: str) -> Iterator[Finding]:
    seat = result.inputs.seat
    if port.gap is None or port.gap_ratio is None:
        yield unknown(
            "port_gap", where, "The cabinet's depth is not decided, so the port's room is unknown.",
            "Add [cabinet] with depth and sheet.", kind="length",
        )
        return
    half = port.gap / port.gap_ratio
    if not port.fits:
        yield judge(
            "port_gap", where, port.gap, "length", at_least=0.25 * half, tight=1.0,
            says="A straight port would be {length} long, and {behind} lie behind its mouth: it "
            "does not fit.",
            try_this="Bend it, make it smaller or shallower-tuned, or choose a slot.",
            source="length solved without the facing wall",
            figures={"length": (port.length, "length"),
                     "behind": (seat.behind_mouth or 0.0, "length")},
        )
        return
    valid = facing_wall_valid(half, port.gap)
    yield judge(
        "port_gap", where, port.gap, "length", at_least=half, tight=0.25,
        says="{value} are clear behind the port's inner end; below {limit} (its own "
        + ("radius" if result.inputs.chamber.port and result.inputs.chamber.port.shape == "round"
           else "height")
        + ") the flow turns in a space narrower than itself"
        + ("." if valid else ", and the end correction is no longer computed."),
        try_this="Move the wall away, shorten the port with a smaller area, or bend it.",
        source="end corrections by potential flow, which knows no loss; the limit is a " + THUMB,
    )


def _pipe(result: ChamberResult, port: PortResult, path: str) -> Finding:
    """How loud the port's own pipe resonance stands against the cone."""
    curves = result.curves
    opening = next(each for each in result.circuit.openings if each.path == path)
    near = np.abs(np.log(curves.frequency / port.resonance)) < math.log(1.15)
    omega = 2.0 * math.pi * curves.frequency
    cone = curves.excursion * omega * result.driver.sd
    flow = curves.speeds[opening.name] * opening.area
    ratio = 20.0 * np.log10(np.max(flow[near] / cone[near])) if np.any(near) else -60.0
    return judge(
        "port_pipe", _where(result, path), float(ratio), "level", at_most=0.0, tight=6.0,
        says="At its own pipe resonance near {at} the port's air moves {value} against the cone, "
        "with the box as one spring; air modes of the box can raise it.",
        try_this="Line the wall the port faces, keep the port away from the cone, or shorten it.",
        source=f"duct in the circuit, with wall loss and radiation; the limit is a {THUMB}",
        figures={"at": (port.resonance, "frequency")},
    )

"""The charts of one chamber, as plain data."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from speakerwright.bass.judgement import band
from speakerwright.bass.limits import PORT_SPEED_LIMIT
from speakerwright.bass.place import PlaceResult
from speakerwright.bass.result import ChamberResult, Need, drive_volts
from speakerwright.circuits.parts import Real
from speakerwright.drawing.charts import (
    Axis,
    Chart,
    Curve,
    Mark,
    Region,
    frequency_axis,
    level_axis,
)
from speakerwright.words.evidence import Evidence

SIMULATED = Evidence.SIMULATED
VOLTS = 2.83
LOW, HIGH = 15.0, 500.0


def charts(chamber: ChamberResult, need: Need, space: str, system: str) -> tuple[Chart, ...]:
    """Response, level limits, excursion, port speed, impedance, power, phase, group delay."""
    made = [_response(chamber, space), _level(chamber, need, space), _excursion(chamber, need)]
    if chamber.curves.speeds:
        made.append(_speed(chamber, need))
    made += [_impedance(chamber), _power(chamber, need), _phase(chamber), _delay(chamber)]
    if chamber.place is not None:
        made.append(_seats(chamber, chamber.place, need))
    return tuple(made)


def _shown(chamber: ChamberResult) -> NDArray[np.bool_]:
    grid = chamber.curves.frequency
    return np.asarray((grid >= 0.98 * LOW) & (grid <= 1.02 * HIGH))


def _curve(
    chamber: ChamberResult, name: str, part: str, y: Real, valid: tuple[float, float] | None = None
) -> Curve:
    shown = _shown(chamber)
    return Curve(name, part, SIMULATED, chamber.curves.frequency[shown], y[shown], valid)


def _key(chamber: ChamberResult, name: str) -> str:
    return f"bass-{chamber.inputs.name}-{name}"


def _response(chamber: ChamberResult, space: str) -> Chart:
    curves = chamber.curves
    level = 20.0 * np.log10(VOLTS)
    top = 10.0 * np.ceil((curves.asymptote_db + level + 3.0) / 10.0)
    valid = curves.response.valid
    filtered = bool(np.any(curves.filter_db < -0.01))
    lines = [_curve(chamber, "with filter" if filtered else "level", "low",
                    curves.level_db + level, valid)]
    if filtered:
        lines.append(_curve(chamber, "without filter", "sum", curves.unfiltered_db + level, valid))
    return Chart(
        _key(chamber, "response"), "Response", frequency_axis(LOW, HIGH),
        level_axis(top - 40.0, top), tuple(lines),
        marks=(Mark(chamber.resonance, None, chamber.circuit.called),),
        caption=f"Level for {VOLTS} V at 1 m, {space}, one cabinet. Simulated; grey where the cone "
        "is no longer small against the wavelength.",
    )


def _level(chamber: ChamberResult, need: Need, space: str) -> Chart:
    limits = chamber.limits
    inside, shape = band(chamber, need)
    x = limits.frequency
    wanted = np.where(inside, need.peak_db + shape, np.nan)
    shown = _shown(chamber)
    highest = float(np.nanmax(np.append(limits.level_db[shown], wanted)))
    top = 10.0 * np.ceil((highest + 1.0) / 10.0)
    regions = tuple(
        Region(x[part], limits.level_db[part], top, limits.reasons[which])
        for which, part in _runs(limits.binding, shown)
    )
    return Chart(
        _key(chamber, "limits"), "Level limit", frequency_axis(LOW, HIGH),
        level_axis(top - 40.0, top),
        (_curve(chamber, "limit", "limit", limits.level_db),
         _curve(chamber, "asked at peak", "target", wanted)),
        regions=regions,
        caption=f"Largest sine (rms) at 1 m, {space}, one cabinet, and what sets it, against the "
        "brief's peak shaped by its spectrum.",
    )


def _runs(binding: Real, shown: NDArray[np.bool_]) -> list[tuple[int, slice]]:
    """Stretches of the grid with one binding limit, each reaching to the next one's start."""
    index = np.nonzero(shown)[0]
    runs, start = [], int(index[0])
    for k in index[1:]:
        if binding[k] != binding[start]:
            runs.append((int(binding[start]), slice(start, int(k) + 1)))
            start = int(k)
    runs.append((int(binding[start]), slice(start, int(index[-1]) + 1)))
    return runs


def _excursion(chamber: ChamberResult, need: Need) -> Chart:
    curves, xmax = chamber.curves, chamber.inputs.ratings.xmax
    per_volt = drive_volts(chamber.curves, need) * 1e3
    mm = {"cone": curves.excursion * per_volt}
    mm.update({name: swing * per_volt for name, swing in curves.drones.items()})
    shown = _shown(chamber)
    most = max(float(swing[shown].max()) for swing in mm.values())
    linear = {"beyond linear excursion": xmax}
    linear.update({f"beyond the {each.name}'s": each.xmax for each in chamber.circuit.moving})
    top = _round_up(1.15 * max(most, *((travel or 0.0) * 1e3 for travel in linear.values())))
    x = curves.frequency[shown]
    regions = tuple(Region(x, travel * 1e3, top, reason)
                    for reason, travel in linear.items() if travel)
    return Chart(
        _key(chamber, "excursion"), "Cone excursion", frequency_axis(LOW, HIGH),
        Axis("Excursion, one way, peak", "mm", 0.0, top),
        tuple(_curve(chamber, name, "low" if name == "cone" else "port", swing)
              for name, swing in mm.items()),
        regions=regions,
        caption=f"A sine of {drive_volts(curves, need):.1f} V (rms), whose level in the pass "
        "band is the brief's peak, filter included.",
    )


def _speed(chamber: ChamberResult, need: Need) -> Chart:
    volts, shown = drive_volts(chamber.curves, need), _shown(chamber)
    speeds = {name: speed * volts for name, speed in chamber.curves.speeds.items()}
    most = max(float(speed[shown].max()) for speed in speeds.values())
    top = _round_up(1.15 * max(most, PORT_SPEED_LIMIT))
    x = chamber.curves.frequency[shown]
    return Chart(
        _key(chamber, "speed"), "Air speed in the port", frequency_axis(LOW, HIGH),
        Axis("Air speed, peak", "m/s", 0.0, top),
        tuple(_curve(chamber, name, "port", speed) for name, speed in speeds.items()),
        regions=(Region(x, PORT_SPEED_LIMIT, top, "17 m/s: common practice, no source"),),
        caption="The same sine, unshaped; at the busier end of the port.",
    )


def _impedance(chamber: ChamberResult) -> Chart:
    ohms = np.abs(chamber.curves.impedance)
    shown = _shown(chamber)
    top = _round_up(1.1 * float(ohms[shown].max()))
    return Chart(
        _key(chamber, "impedance"), "Impedance", frequency_axis(LOW, HIGH),
        Axis("Impedance, magnitude", "Ω", 0.0, top), (_curve(chamber, "impedance", "low", ohms),),
        marks=(Mark(chamber.resonance, None, chamber.circuit.called),),
        caption="At the amplifier's end of the cable, without the active filter.",
    )


def _power(chamber: ChamberResult, need: Need) -> Chart:
    watts = chamber.curves.power * drive_volts(chamber.curves, need) ** 2
    shown = _shown(chamber)
    rated = chamber.inputs.ratings.power
    most = float(watts[shown].max())
    top = _round_up(1.15 * most)
    regions: tuple[Region, ...] = ()
    if rated is not None and rated * chamber.inputs.count < 4.0 * most:
        top = _round_up(1.15 * max(most, rated * chamber.inputs.count))
        x = chamber.curves.frequency[shown]
        regions = (Region(x, rated * chamber.inputs.count, top, "beyond the rated noise power"),)
    return Chart(
        _key(chamber, "power"), "Electrical power", frequency_axis(LOW, HIGH),
        Axis("Real power taken", "W", 0.0, top), (_curve(chamber, "power", "low", watts),),
        regions=regions,
        caption="The same sine, unshaped, which lasts only for the programme's peaks"
        + (f"; the drivers are rated {rated * chamber.inputs.count:.0f} W for long." if rated
           else "."),
    )


def _phase(chamber: ChamberResult) -> Chart:
    turned = (chamber.curves.phase_deg + 180.0) % 360.0 - 180.0
    jumps = np.append(np.abs(np.diff(turned)) > 180.0, False)
    return Chart(
        _key(chamber, "phase"), "Phase", frequency_axis(LOW, HIGH),
        Axis("Phase of the sound pressure", "°", -180.0, 180.0, step=90.0),
        (_curve(chamber, "phase", "low", np.where(jumps, np.nan, turned)),),
        caption="Against the amplifier's voltage, without the delay of the distance; box and "
        "filter together.",
    )


def _delay(chamber: ChamberResult) -> Chart:
    ms = chamber.curves.group_delay * 1e3
    shown = _shown(chamber)
    top, least = _round_up(1.1 * float(ms[shown].max())), float(ms[shown].min())
    low = -_round_up(-1.1 * least) if least < -0.02 * top else 0.0
    return Chart(
        _key(chamber, "delay"), "Group delay", frequency_axis(LOW, HIGH),
        Axis("Group delay", "ms", low, top), (_curve(chamber, "group delay", "low", ms),),
        caption="Box and filter together.",
    )


def _seats(chamber: ChamberResult, place: PlaceResult, need: Need) -> Chart:
    shown = _shown(chamber)
    highest = float(place.all_db[:, shown].max())
    top = 10.0 * np.ceil((highest + 3.0) / 10.0)
    around = "" if np.any(place.all_gain_db) else (
        " The brief gives no distance to floor or wall, so they only narrow the space.")
    return Chart(
        _key(chamber, "seats"), "Level at the seats", frequency_axis(LOW, HIGH),
        level_axis(top - 40.0, top),
        tuple(_curve(chamber, seat.name, "low", level, chamber.curves.response.valid)
              for seat, level in zip(place.seats, place.all_db, strict=True)),
        caption="All cabinets, at the drive that the brief's peak asks in the pass band, filter "
        f"and screen included; direct sound and its reflections in rigid planes.{around}",
    )


def _round_up(value: float) -> float:
    """The next 1, 2, 2.5, 5 or 10 times a power of ten, in fifths of it where that is closer."""
    power = 10.0 ** np.floor(np.log10(max(value, 1e-9)))
    steps = (1.0, 1.2, 1.6, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
    return float(next(power * step for step in steps if power * step >= value * 0.9999))

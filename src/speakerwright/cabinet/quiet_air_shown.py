"""The air inside as it is shown: two charts, a table of modes, and what braces and lining did."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.acoustics.airmodes.modes import Order
from speakerwright.cabinet.quiet_air import HIGHEST, LOWEST, AirAnswer, ModeSet, Reach
from speakerwright.drawing.charts import Chart, Curve, frequency_axis, level_axis
from speakerwright.words.blocks import Block, Figure, Heading, Paragraph, Points, Table
from speakerwright.words.evidence import Evidence
from speakerwright.words.units import show

STATES = {"bare": "without braces", "braced": "with braces", "lined": "with lining"}
HARDLY = 0.005  # of a frequency; less is called no change: rule of thumb
TAKEN_DB = 3.0  # dB; a lining that takes less hardly touches a mode: rule of thumb
TOLD = 14  # modes in a table: rule of thumb
LOW_DB, HIGH_DB = -20.0, 45.0
_LEVELS = ("port_leak_db", "cone_leak_db", "port_db", "cone_db")


# --- as plain data --------------------------------------------------------------------------------


def kept(answer: AirAnswer) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """An answer as plain data and arrays, to be kept."""
    arrays: dict[str, NDArray[Any]] = {
        "shift_percent": answer.shift_percent, "frequency": answer.frequency,
        "modes": answer.modes.frequency, "modes_couples": answer.modes.couples,
        "without": answer.without.frequency, "without_couples": answer.without.couples,
    }
    for state, reach in answer.reach.items():
        arrays |= {f"{state}.{name}": getattr(reach, name) for name in _LEVELS}
    data = {
        "room": answer.room, "volume": answer.volume, "braces": answer.braces,
        "net": _number(answer.net), "open_share": _number(answer.open_share),
        "lined": answer.lined, "fits_from": _number(answer.fits_from),
        "states": list(answer.reach), "simplified": list(answer.simplified),
        **{name: {"orders": modes.orders, "strong": list(modes.strong)}
           for name, modes in (("modes", answer.modes), ("without", answer.without))},
    }
    return data, arrays


def read(data: Mapping[str, Any], arrays: Mapping[str, NDArray[Any]]) -> AirAnswer:
    """An answer from what was kept; KeyError where something is missing."""

    def modes(name: str) -> ModeSet:
        orders: list[Order | None] = [None if one is None else (one[0], one[1], one[2])
                                      for one in data[name]["orders"]]
        return ModeSet(arrays[name], tuple(orders), tuple(data[name]["strong"]),
                       arrays[f"{name}_couples"])

    reach = {state: Reach(*(arrays[f"{state}.{name}"] for name in _LEVELS))
             for state in data["states"]}
    return AirAnswer(
        data["room"], modes("modes"), modes("without"), arrays["shift_percent"], data["volume"],
        _float(data["net"]), data["braces"], _float(data["open_share"]), data["lined"],
        _float(data["fits_from"]), arrays["frequency"], reach, tuple(data["simplified"]),
    )


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _float(value: float | None) -> float:
    return math.nan if value is None else value


# --- charts ---------------------------------------------------------------------------------------


def charts(answer: AirAnswer) -> tuple[Chart, ...]:
    """Leakage to the port, where there is one, and to the cone; none for a room without a cone."""
    made = []
    if any(np.any(np.isfinite(reach.port_leak_db)) for reach in answer.reach.values()):
        made.append(_chart(
            answer, "port", "Leakage to the port", "port_leak_db", "port",
            "Air that the port moves, over what it would move if the pressure inside were even."))
    if answer.reach:
        made.append(_chart(
            answer, "cone", "Leakage to the cone", "cone_leak_db", "low",
            "Pressure on the cone, over what an even pressure would be, the mass of the air by the "
            "cone included."))
    return tuple(made)


def _chart(answer: AirAnswer, key: str, title: str, level: str, part: str, caption: str) -> Chart:
    curves, others = [], ["target", "sum"]
    for state, reach in answer.reach.items():
        name = STATES[state]
        if state == "braced" and not answer.braces:
            name = "without lining" if answer.lined else "as built"
        valid = ((answer.fits_from, HIGHEST) if state == "lined"
                 and math.isfinite(answer.fits_from) and answer.fits_from < HIGHEST else None)
        curves.append(Curve(name, part if state == answer.state else others.pop(0),
                            Evidence.SIMULATED, answer.frequency,
                            np.clip(getattr(reach, level), 2.0 * LOW_DB, None), valid))
    return Chart(f"cabinet-{answer.room}-air-{key}", title, frequency_axis(LOWEST, HIGHEST),
                 level_axis(LOW_DB, HIGH_DB, "Over an even pressure"), tuple(curves),
                 caption=f"Chamber {answer.room}. {caption} Walls of a bare box take little (Q of "
                 "about 100, rule of thumb), so bare peaks are as high as they can be.")


# --- words ----------------------------------------------------------------------------------------


def called(order: Order | None) -> str:
    """A mode's half waves in words: "1 up, 2 across"."""
    if order is None:
        return "mixed"
    names = zip((order[2], order[0], order[1]), ("up", "across", "deep"), strict=True)
    return ", ".join(f"{count} {word}" for count, word in names if count)


def mode_table(answer: AirAnswer) -> Table:
    """The lowest modes as built: half waves, where they are strong, how far they reach."""
    rows = []
    reaches = answer.reaches()
    for k, frequency in enumerate(answer.modes.frequency[:TOLD]):
        port, cone = reaches[k]
        rows.append((show(float(frequency), "frequency"), called(answer.modes.orders[k]),
                     answer.modes.strong[k], show(port, "level"), show(cone, "level"),
                     show(float(answer.shift_percent[k]), "percent")))
    lined = " with the lining" if answer.lined else ""
    more = answer.modes.frequency.size - len(rows)
    rest = f" {more} more lie below {show(HIGHEST, 'frequency')}." if more > 0 else ""
    return Table(
        ("Mode", "Half waves", "Strong at", "Through the port", "On the cone", "Grid's doubt"),
        tuple(rows),
        f"Hard walls, braces as built. Reach{lined}, over a cone held by its mass alone: what "
        "moves through the port, and what the air takes from the cone; a dash where the mode has "
        "no such way. The grid's doubt is what half the spacing lowers it by, told for the lower "
        "modes." + rest,
        numbers=(0, 3, 4, 5),
    )


def brace_sentence(answer: AirAnswer) -> str:
    """What the braces do to the lowest mode, with numbers; empty without braces or modes."""
    now, before = answer.modes.frequency, answer.without.frequency
    if not answer.braces or not now.size or not before.size:
        return ""
    change = float(now[0] / before[0] - 1.0)
    what = "The brace" if answer.braces == 1 else f"The {answer.braces} braces"
    verb = "s" if answer.braces == 1 else ""
    first, then = (show(float(each[0]), "frequency") for each in (before, now))
    if abs(change) < HARDLY:
        return f"{what} hardly move{verb} the lowest mode ({first} without, {then} with)."
    moves = "lower" if change < 0.0 else "raise"
    said = (f"{what} {moves}{verb} the lowest mode from {first} to {then} "
            f"({show(100.0 * change, 'percent')})")
    if change < 0.0:
        share = show(100.0 * answer.open_share, "percent")
        said += (f": air must squeeze through windows (the least is {share} open), and that is "
                 "more mass, no obstacle")
    return said + "."


def lining_sentence(answer: AirAnswer) -> str:
    """What the lining does to the lowest mode that has a way out; empty without a lining."""
    if not answer.lined or "braced" not in answer.reach:
        return ""
    bare, lined = answer.reaches("braced"), answer.reaches("lined")
    for k, (before, after) in enumerate(zip(bare, lined, strict=True)):
        told = [(way, old, new) for way, old, new in (
            ("through the port", before[0], after[0]), ("on the cone", before[1], after[1]))
            if math.isfinite(old) and math.isfinite(new)]
        if told:
            mode = show(float(answer.modes.frequency[k]), "frequency")
            figures = " and ".join(f"{way} {show(old, 'level')} without and {show(new, 'level')} "
                                   "with it" for way, old, new in told)
            taken = max(old - new for _, old, new in told)
            does = "takes down" if taken >= TAKEN_DB else "hardly touches"
            return f"The lining {does} the mode at {mode}: {figures}."
    return "No mode that port or cone sees is left to the lining."


def told_apart(answer: AirAnswer) -> tuple[str, ...]:
    """How good the picture is: volume, law of the lining, what was simplified."""
    said = []
    if math.isfinite(answer.net) and answer.net > 0.0:
        off = 100.0 * (answer.volume / answer.net - 1.0)
        said.append(f"The air that is worked out has {show(answer.volume, 'volume')}, "
                    f"{off:+.2f} % from the {show(answer.net, 'volume')} between the solids.")
    if answer.lined and math.isfinite(answer.fits_from) and answer.fits_from > LOWEST:
        said.append(f"The law of the lining stands on measurements from "
                    f"{show(answer.fits_from, 'frequency')} on; below it is carried on.")
    return (*said, *answer.simplified)


def air_blocks(answer: AirAnswer, system: str = "metric") -> tuple[Block, ...]:
    """A room's air as part of the plan's chapter or of what the terminal prints.

    Parameters
    ----------
    answer : AirAnswer
    system : str
        "metric" or "inch"; frequencies and levels are the same in both.

    Returns
    -------
    tuple of Block
        Heading, charts, modes, what braces and lining did, what was simplified.
    """
    del system  # nothing here has a length
    return (Heading(f"Air inside chamber {answer.room}"),
            *(Figure(chart, chart.caption) for chart in charts(answer)), *words(answer))


def words(answer: AirAnswer) -> tuple[Block, ...]:
    """All of it but the charts."""
    if not answer.modes.frequency.size:
        return (Paragraph(f"The air has no mode below {show(HIGHEST, 'frequency')}: the chamber "
                          "is small against the wave."), Points(told_apart(answer)))
    said = [one for one in (brace_sentence(answer), lining_sentence(answer)) if one]
    return (*(Paragraph(one) for one in said), mode_table(answer), Points(told_apart(answer)))


"""The bass as a chapter of the plan, and as what the terminal prints."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from speakerwright.acoustics.air import exact_midband
from speakerwright.bass import alignment, loud_shown, ports_shown
from speakerwright.bass.alignment import Proposal
from speakerwright.bass.charts import charts
from speakerwright.bass.filters import electrical_shape
from speakerwright.bass.loud_driver import LoudInput
from speakerwright.bass.place import third_octave_mean
from speakerwright.bass.port import PortResult
from speakerwright.bass.result import BassResult, ChamberResult, Need
from speakerwright.bass.sketch import figure
from speakerwright.design.sections.crossover import HandOver
from speakerwright.words.blocks import (
    Block,
    Chapter,
    Figure,
    Heading,
    Paragraph,
    Points,
    Table,
)
from speakerwright.words.units import show

SPACE = {"free": "full space", "corner": "an eighth of space"}
CALLED = {
    "band-pass-4": "band-pass, fourth order",
    "band-pass-6": "band-pass, sixth order",
    "passive-radiator": "passive radiator",
    "transmission-line": "transmission line",
    "front-horn": "front horn",
    "open-baffle": "open baffle",
}
BOXES = ("closed", "vented")  # what the named alignments are of
ALIGNMENTS = 8  # shown on paper; those that suit best
SEAT_BANDS = (31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0)
MOST_SEATS = 6


def chapter(
    result: BassResult, needs: dict[str, Need], place: str, system: str,
    loud: Mapping[str, LoudInput] | None = None,
) -> Chapter:
    """Every chamber: its box, tuning and port, its curves and its limits.

    With what its drivers do at large level also how it plays loud, the named alignments, and other
    ports that would fit: each takes some tenths of a second.
    """
    blocks: list[Block] = []
    for name, chamber in result.chambers.items():
        if len(result.chambers) > 1:
            blocks.append(Heading(f"Chamber {name}"))
        blocks += [figure(chamber, system), _figures(chamber, system), *_doubts(chamber)]
        for path, port in chamber.ports.items():
            title = "port" if path == "port" else "front port"
            blocks += [Heading(f"The {title} as it stands in the box"),
                       _port(chamber, path, port, system),
                       Paragraph(_port_story(port, system)), _steps(port, system)]
        blocks.append(Heading("Curves"))
        blocks += [Figure(chart, chart.caption) for chart in
                   charts(chamber, needs[name], SPACE.get(place, "half space"), system)]
        blocks += [Heading("What limits the level"), _limits(chamber), *_seats(chamber)]
        if loud is not None and name in loud:
            blocks += [*_loud(loud[name], chamber, needs[name], system),
                       *_alignments(chamber, system),
                       *ports_shown.others(chamber, needs[name], system)]
    return Chapter("bass", "Bass", tuple(blocks))


def _doubts(chamber: ChamberResult) -> list[Paragraph]:
    """Where the model of the loading ends, in one paragraph."""
    doubts = chamber.circuit.doubts
    return [Paragraph(f"Where the model ends: {' '.join(doubts)}")] if doubts else []


def _loud(
    loud: LoudInput, chamber: ChamberResult, need: Need, system: str
) -> tuple[Block, ...]:
    title = Heading("Played loud")
    try:
        found = loud_shown.played(loud, chamber, need)
    except ArithmeticError:
        return title, Paragraph("The coil finds no temperature at which it settles.")
    return title, *loud_shown.blocks(found, system)


def _alignments(chamber: ChamberResult, system: str) -> tuple[Block, ...]:
    """The named alignments that suit best, for a box that could have one."""
    if chamber.inputs.chamber.loading not in BOXES:
        return ()
    found = alignment.proposals(chamber.inputs)
    if not found:
        return ()
    return Heading("Named alignments"), alignments_table(found[:ALIGNMENTS], system)


def alignments_table(found: Sequence[Proposal], system: str) -> Table:
    """Alignments as a table that fits a page or a terminal."""
    rows = tuple(
        (each.name, each.loading, show(each.volume, "volume", system),
         show(each.tuning, "frequency"), _corner(each), show(each.f3, "frequency"),
         f"{each.ripple_db:.1f}",
         "" if each.distance is None else f"{100.0 * each.distance:+.0f}".replace("-", "−"))
        for each in found
    )
    return Table(
        ("Alignment", "Box", "Net", "Tuning", "High-pass", "−3 dB", "Ripple", "QT, %"), rows,
        "Named alignments for these drivers, their source and the box's losses; without the voice "
        "coil's inductance and the give of the air in the port. Ripple in dB; the last column says "
        "how far the drivers' QT lies from the one wanted. B Butterworth, QB quasi-Butterworth, C "
        "Chebyshev, SC sub-Chebyshev, BL Bessel.",
        numbers=(2, 3, 5, 6, 7),
    )


def _corner(each: Proposal) -> str:
    made = each.high_pass
    if made is None:
        return "none"
    if made.capacitor is not None:
        return f"{show(made.capacitor, 'capacitance')} in series"
    return f"{show(made.frequency, 'frequency')}" + ("" if made.q is None else f", Q {made.q:.2f}")


def alignments_chapter(chamber: ChamberResult, system: str) -> Chapter:
    """All named alignments of a chamber's drivers, and why others are not for them."""
    found, refused = alignment.proposals(chamber.inputs), alignment.refusals(chamber.inputs)
    blocks: list[Block] = [alignments_table(found, system)] if found else [
        Paragraph("These drivers give none.")]
    if refused:
        blocks += [Heading("Not for these drivers"),
                   Points(tuple(f"{one.name}: {one.reason}" for one in refused))]
    return Chapter("bass", f"Named alignments for {chamber.inputs.driver_name}", tuple(blocks))


def loud_chapter(
    loud: LoudInput, chamber: ChamberResult, need: Need, system: str, more: Sequence[Block] = (),
) -> Chapter:
    """How a chamber plays loud, and `more` that belongs there."""
    made = _loud(loud, chamber, need, system)[1:]
    return Chapter("bass", f"Played loud: chamber {chamber.inputs.name}", (*made, *more))


def _seats(chamber: ChamberResult) -> tuple[Block, ...]:
    """Level of the whole system at every seat in third octaves."""
    place = chamber.place
    if place is None:
        return ()
    seats = range(min(len(place.seats), MOST_SEATS))
    power = third_octave_mean(place.frequency, 10.0 ** (place.all_db / 10.0),
                              exact_midband(SEAT_BANDS))
    level_db = 10.0 * np.log10(power)
    rows = tuple(
        (show(band, "frequency"), *(show(float(level_db[k, b]), "level") for k in seats))
        for b, band in enumerate(SEAT_BANDS)
    )
    left_out = len(place.seats) - len(seats)
    return Heading("Level at the seats"), Table(
        ("Third octave", *(place.seats[k].name for k in seats)), rows,
        "All cabinets, direct sound and its reflections in rigid planes, at the drive that the "
        "brief's peak asks in the pass band, filters included."
        + (f" {left_out} more seats are left out." if left_out else ""),
        numbers=tuple(range(len(seats) + 1)),
    )


def _figures(chamber: ChamberResult, system: str) -> Table:
    asked, driver = chamber.inputs.chamber, chamber.driver
    losses = asked.losses
    rows = [
        ("Loading", CALLED.get(asked.loading, asked.loading)),
        ("Drivers", f"{chamber.inputs.count} × {chamber.inputs.driver_name}"),
    ]
    if chamber.alpha is not None:
        rows.insert(1, ("Net volume", show(asked.net_volume, "volume", system)))
        rows.append(("Compliance ratio Vas / Vb", f"{chamber.alpha:.3f}"))
    if chamber.qtc is not None:
        rows.append(("Resonance in the box", f"{show(chamber.resonance, 'frequency')}, "
                     f"Qtc {chamber.qtc:.3f}"))
    else:
        rows.append((chamber.circuit.called.capitalize(),
                     f"{show(chamber.resonance, 'frequency')}, "
                     f"{chamber.tuning_ratio:.3f} of the driver's resonance"))
    rows += [(fact.name, show(fact.value, fact.kind, system)) for fact in chamber.circuit.facts]
    bare = "the protective filter" if chamber.inputs.hand_over is None else "the filters"
    for name, label in (("f3", "−3 dB"), ("f6", "−6 dB"), ("f10", "−10 dB"),
                        ("f3 without filter", f"−3 dB without {bare}")):
        rows.append((f"Response at {label}", show(chamber.cutoffs[name], "frequency")))
    if asked.volume is not None:
        rows.append(("Losses (Q at the tuning)", ", ".join(
            f"{word} {q:g}" for word, q in (("leak", losses.leak_q),
                                            ("absorption", losses.absorption_q),
                                            ("port", losses.port_q))
            if q is not None and (word != "port" or "port" in chamber.ports)) or "none"))
    rows.append(("Protective high-pass", _filter(chamber)))
    if chamber.inputs.hand_over is not None:
        rows.append(("Hand-over high-pass", _hand_over(chamber.inputs.hand_over)))
    rows.append(("Lowest impedance", show(float(abs(chamber.curves.impedance).min()),
                                          "resistance")))
    rows.append(("Resistance of the drivers as wired", show(driver.re, "resistance")))
    if chamber.alignment is not None and asked.loading in BOXES:
        named = chamber.alignment
        tuned = f", tuned to {show(named.tuning, 'frequency')}" if named.tuning else ""
        rows.append(("Textbook alignment for this driver",
                     f"{named.name}: {show(named.volume, 'volume', system)}{tuned}"))
    return Table(("Box", ""), tuple(rows))


def _filter(chamber: ChamberResult) -> str:
    wanted = chamber.inputs.chamber.high_pass
    if wanted is None:
        return "none"
    parts = []
    if wanted.order is not None and wanted.frequency is not None:
        kind = f"Q {wanted.q:g}" if wanted.q is not None else wanted.shape.replace("-", "–")
        parts.append(f"{show(wanted.frequency, 'frequency')}, {6 * wanted.order} dB per octave, "
                     f"{kind.title() if wanted.q is None else kind}")
    if wanted.capacitor is not None:
        parts.append(f"series capacitor {show(wanted.capacitor, 'capacitance')}")
    return "; ".join(parts)


def _hand_over(over: HandOver) -> str:
    taken = electrical_shape(over)
    instead = f", {over.shape.title()} taken as {taken.title()}" if taken != over.shape else ""
    return (f"{show(over.frequency, 'frequency')}, {6 * over.order} dB per octave, acoustic slope "
            f"taken as electrical{instead}")


def _port(chamber: ChamberResult, path: str, port: PortResult, system: str) -> Table:
    section = chamber.inputs.chamber
    asked = section.port if path == "port" or section.front is None else section.front.port
    assert asked is not None
    size = (
        f"bore {show(asked.bore, 'length', system)}, wall {show(asked.wall, 'length', system)}"
        if asked.shape == "round"
        else f"{show(asked.width, 'length', system)} × {show(asked.height, 'length', system)}"
    )
    rows = [
        ("Port", f"{port.count} × {asked.shape}, {size}"),
        ("Length, front face to inner end", show(port.length, "length", system)),
        ("Tuning", show(port.tuning, "frequency")),
        ("End corrections, inner and outer",
         f"{show(port.inner_end, 'length', system)}, {show(port.outer_end, 'length', system)}"),
        ("Clear behind the inner end", show(port.gap, "length", system)),
        ("Area of all ports", show(port.area * port.count, "area", system)),
        ("First pipe resonance", show(port.resonance, "frequency")),
    ]
    if asked.centres is not None:
        rows.insert(1, ("Between centres", show(asked.centres, "length", system)))
    return Table(("Port", ""), tuple(rows))


def _port_story(port: PortResult, system: str) -> str:
    book = port.steps[0]
    if book.length is None or book.tuning_if_cut_so is None:
        return "The textbook's formula finds no length for this tuning."
    return (
        f"The textbook's formula gives {show(book.length, 'length', system)}; cut so, the port "
        f"would tune the box to {show(book.tuning_if_cut_so, 'frequency')}. The port to cut is "
        f"{show(port.length, 'length', system)} long. The ends' corrections come from a "
        "potential-flow computation of this mouth in this box, which knows no loss."
    )


def _steps(port: PortResult, system: str) -> Table:
    rows = tuple(
        (step.name, show(step.length, "length", system),
         show(step.tuning_if_cut_so, "frequency"))
        for step in port.steps
    )
    return Table(
        ("With this effect added", "Length", "Box tunes to, if cut so"), rows,
        "What each effect on the port is worth.", numbers=(1, 2),
    )


def _limits(chamber: ChamberResult) -> Table:
    grid, limits = chamber.limits.frequency, chamber.limits
    rows = []
    for frequency in (30.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0):
        k = int(np.argmin(np.abs(np.log(grid / frequency))))
        row = [show(float(grid[k]), "frequency"), show(float(limits.level_db[k]), "level"),
               limits.reasons[int(limits.binding[k])]]
        row += [show(float(chamber.curves.unfiltered_db[k] + 20 * np.log10(v[k])), "level")
                for v in limits.volts.values()]
        rows.append(tuple(row))
    return Table(
        ("Frequency", "Level limit", "Set by", *limits.reasons), tuple(rows),
        "Largest sine (rms) of one cabinet at 1 m, by each limit: linear excursion, rated power "
        "for long, 17 m/s peak in the port (common practice, no source), and the amplifier.",
        numbers=(0, 1, *range(3, 3 + len(limits.reasons))),
    )

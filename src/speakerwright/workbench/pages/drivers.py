"""Drivers: which record has which job, and whether a record's figures agree."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from nicegui import events, ui

from speakerwright.design.document import Design
from speakerwright.words.blocks import Table
from speakerwright.words.errors import DesignErrors
from speakerwright.words.units import MINUS, show
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import ChoiceField, Field, field_for
from speakerwright.workbench.newrecord import file_name
from speakerwright.workbench.pages.forms import Row, change, group, table_group
from speakerwright.workbench.parts import (
    Button,
    Html,
    Pick,
    Words,
    blocks_html,
    box,
    folded,
    table_html,
)
from speakerwright.workbench.session import written

WIRINGS = {"single": "one alone", "series": "in series", "parallel": "in parallel"}
SLOPES = {"linkwitz-riley": "Linkwitz–Riley", "butterworth": "Butterworth", "bessel": "Bessel"}
SAID = {"re": "Re", "fs": "fs", "qms": "Qms", "qes": "Qes", "qts": "Qts", "vas": "Vas", "sd": "Sd",
        "bl": "Bl", "mms": "Mms", "cms": "Cms", "rms": "Rms", "efficiency": "Efficiency",
        "sensitivity": "Sensitivity, 2.83 V, 1 m"}
LAWS = {"plain": ("le",), "l2r2": ("le", "l2", "r2"), "power": ("k", "n"),
        "wright": ("kr", "xr", "ki", "xi"), "semi": ("leb", "le", "ke", "rss")}
LIVE = {"typing": True}
LIMITS: list[Row] = [
    ("nominal_impedance", "Nominal impedance"), ("xmax", "xmax, one way"),
    ("xdamage", "Damaging excursion, one way"), ("power", "Power, long term"),
    ("coil", "Coil's diameter"),
    ("range", "Range of use", {"listed": True, "hint": "45 Hz, 2500 Hz"}),
    ("breakup", "Breakup"), ("minimum_crossover", "Lowest hand-over"),
    ("minimum_crossover_slope", "At a slope per octave of", {"hint": "like 12 dB"}),
    ("power_standard", "Power by which standard", {"wide": True}),
]
BODY: list[Row] = [
    ("frame", "Frame"), ("cutout", "Cut-out"), ("bolt_circle", "Bolt circle"), ("bolts", "Bolts"),
    ("bolt", "Bolt", {"hint": "like M5"}), ("flange", "Flange, thick"),
    ("depth", "Depth behind the flange"), ("magnet_diameter", "Magnet's diameter"),
    ("magnet_height", "Magnet's height"), ("volume", "Volume it displaces"),
]
THROAT: list[Row] = [
    ("diameter", "Diameter"), ("bolts", "Bolts"), ("bolt", "Bolt", {"hint": "like M6"}),
    ("bolt_circle", "Bolt circle"),
]


def page(bench: Bench) -> None:
    """Jobs, hand-overs, records."""
    Words("Which record has which job", "h2")
    for job in bench.session.design.decided.drivers:
        _job(bench, job)
    _add_job(bench)
    _hand_overs(bench)
    with box("sw-part sw-after"):
        Words("Worked out", "h2")
        tables = Html(classes="sw-blocks")
        with folded("The figures of each circuit, and where they come from"):
            circuits = Html(classes="sw-blocks")
    with box("sw-part"):
        Words("Records", "h2")
        named = _named(bench.session.design)
        for name in bench.session.design.records:
            _record(bench, name, opened=name in named[:1])
        _add_record(bench)

    seen: list[object] = [None]

    def show_tables() -> None:
        if bench.live is not None and bench.live is not seen[0]:
            seen[0] = bench.live
            blocks = bench.live.chapters["drivers"].blocks
            tables.show(blocks_html(blocks[:1]))
            circuits.show(blocks_html(blocks[1:]))

    bench.watch(show_tables)


def _named(design: Design) -> list[str]:
    return [name for choice in design.decided.drivers.values()
            for name in (choice.record, choice.horn) if name is not None]


def _records(design: Design, what: str) -> dict[str, str]:
    return {name: record.name for name, record in design.records.items() if record.what == what}


def _job(bench: Bench, job: str) -> None:
    design, where = bench.session.design, f"drivers.{job}"
    with box("sw-group"):
        Words(job.capitalize(), "h3")
        with box("sw-fields"):
            ChoiceField(bench, f"{where}.record", "Driver", _records(design, "driver"))
            ChoiceField(bench, f"{where}.horn", "Horn", _records(design, "horn"), none="none")
            Field(bench, f"{where}.count", "How many", hint="1")
            ChoiceField(bench, f"{where}.wiring", "Wired", WIRINGS, default="single")
        if len(design.decided.drivers) > 1:
            Button("Take this job out", lambda: change(bench, {where: None}), classes="sw-quiet")


def _add_job(bench: Bench) -> None:
    design = bench.session.design
    free = [job for job in ("low", "mid", "high") if job not in design.decided.drivers]
    records = list(_records(design, "driver"))
    if free and records:
        Button(f"Add a {free[0]} driver", lambda: change(bench, {
            f"drivers.{free[0]}": {"record": records[-1]}}), classes="sw-quiet")


def _hand_overs(bench: Bench) -> None:
    design = bench.session.design
    order = [job for job in ("low", "mid", "high") if job in design.decided.drivers]
    for low, high in pairwise(order):
        where = f"crossover.{low}_{high}"
        with box("sw-group"):
            Words(f"Hand-over from {low} to {high}", "h3")
            if written(design, where) is None:
                Button("Decide it", lambda w=where: change(bench, {  # type: ignore[misc]
                    w: {"frequency": "2000 Hz"}}), classes="sw-quiet")
                continue
            with box("sw-fields"):
                Field(bench, f"{where}.frequency", "Frequency")
                Field(bench, f"{where}.order", "Order", hint="4")
                ChoiceField(bench, f"{where}.shape", "Shape", SLOPES, default="linkwitz-riley")


# --- a record -------------------------------------------------------------------------------------


def _record(bench: Bench, name: str, *, opened: bool) -> None:
    record, where = bench.session.design.records[name], f"records.{name}"
    with folded(f"{record.name}: {record.about or record.type}", opened=opened,
                classes="sw-record"):
        group(bench, "What it is", where, [
            ("name", "Name"), ("revision", "Datasheet of"),
            ("price", "Price", {"hint": "a plain number"}), ("mass", "Mass"),
            ("about", "About", {"wide": True}),
        ])
        if record.what == "driver":
            _figures(bench, name, "datasheet", "The datasheet's figures")
            if written(bench.session.design, f"{where}.measured") is None:
                Button("Add measured figures beside them", lambda: change(bench, {
                    f"{where}.measured": {}}), classes="sw-quiet")
            else:
                _figures(bench, name, "measured", "Measured figures, taken before the datasheet's")
            _inductance(bench, f"{where}.datasheet.inductance")
            group(bench, "Limits and range", f"{where}.datasheet", LIMITS)
        else:
            group(bench, "Horn", where, [
                ("coverage", "Coverage, across and upright",
                 {"listed": True, "hint": "90 deg, 60 deg"}),
                ("mouth", "Mouth, width and height", {"listed": True, "hint": "300 mm, 200 mm"}),
                ("length", "Length"),
            ])
        for part, words in (("exit", "Exit"), ("throat", "Throat")):
            if written(bench.session.design, f"{where}.{part}") is not None:
                group(bench, words, f"{where}.{part}", THROAT)
        group(bench, "Body", f"{where}.body", BODY)


def _figures(bench: Bench, name: str, part: str, title: str) -> None:
    where = f"records.{name}.{part}"
    with box("sw-two sw-tight-two"):
        with box("sw-part"):
            group(bench, title, where, [(figure, said, LIVE) for figure, said in SAID.items()])
        if part == "datasheet":
            with box("sw-part sw-group"):
                Words("Do they agree?", "h3")
                told = Html(classes="sw-blocks")
            bench.watch(lambda: told.show(agreement(bench.session.design, name, bench.system)))


def agreement(design: Design, name: str, system: str) -> str:
    """Every relation between a record's figures, as HTML."""
    from speakerwright.acoustics.air import Air
    from speakerwright.drivers.agreement import relations
    from speakerwright.drivers.stage import AGREES, AGREES_DB

    climate = design.decided.brief.air
    air = Air(climate.temperature, climate.pressure, climate.humidity)
    rows = []
    for one in relations(design.records[name], air):
        level = one.kind == "level"
        off = show(one.off, "level") if level else _share(one.off)
        apart = abs(one.off) > (AGREES_DB if level else AGREES)
        rows.append((SAID[one.figure].split(",")[0], show(one.typed, one.kind, system),
                     ", ".join(SAID[other].split(",")[0] for other in one.from_figures),
                     show(one.implied, one.kind, system), off, "apart" if apart else "agrees"))
    if not rows:
        return "<p class=sw-quietly>Too few figures to compare any with the others.</p>"
    return table_html(Table(("Figure", "Typed", "From", "Implied", "Off", "So"), tuple(rows),
                            "Nothing is corrected for you.", numbers=(1, 3, 4)))


def _share(off: float) -> str:
    """A difference in percent with its sign; what rounds to nothing has none."""
    percent = round(100.0 * off, 1)
    return f"{percent:+.1f} %".replace("-", MINUS) if percent else "0.0 %"


def _inductance(bench: Bench, where: str) -> None:
    rows: Mapping[str, Any] | None = written(bench.session.design, where)
    law = "plain" if rows is None else str(rows.get("law", "plain"))
    if rows is None:
        table_group(bench, "Voice coil's inductance", where, [], {"law": "plain", "le": "0.5 mH"},
                    "Type it")
        return
    first = {"le": "0.5 mH", "l2": "0.3 mH", "r2": "4 ohm", "k": 0.01, "n": 0.7, "kr": 0.01,
             "xr": 0.7, "ki": 0.01, "xi": 0.7, "leb": "0.1 mH", "ke": 0.05, "rss": "20 ohm"}

    def picked(word: str) -> None:
        kept = {one: rows.get(one, first[one]) for one in LAWS[word]}
        change(bench, {where: {"law": word, **kept}})

    with box("sw-group"):
        Words("Voice coil's inductance", "h3")
        with box("sw-fields"):
            with box("sw-field"):
                Words("By the law", "span", "sw-label")
                Pick({one: one for one in LAWS}, law, picked, "Law of the inductance")
            for one in LAWS[law]:
                field_for(bench, f"{where}.{one}", f"{one[:1].upper()}{one[1:]}", typing=True)
        Button("Leave it out", lambda: change(bench, {where: None}), classes="sw-quiet")


# --- a new record ---------------------------------------------------------------------------------

BLANK = """format = 1
what = "driver"
type = "cone"
name = "{name}"

[datasheet]
"""


def _add_record(bench: Bench) -> None:
    with folded("Add a record", classes="sw-record"):
        Words("It becomes a file in the project's folder of records at once.", "p", "sw-quietly")
        with box("sw-field"):
            name = ui.input().props("dense borderless hide-bottom-space for=new-record")
            Words("Name", "label").props("for=new-record").move(target_index=0)
        name.props["placeholder"] = "like Marsh owl 10"
        name.mark("new-record-name")
        with box("sw-field"):
            text = ui.textarea().props("dense borderless hide-bottom-space for=new-text rows=8")
            Words("The text of its file, where you have one; empty: type the figures afterwards",
                  "label").props(
                "for=new-text").move(target_index=0)
        text.mark("new-record-text")
        wrong = box("sw-wrongs").props("role=alert")

        def add() -> None:
            wish = (name.value or "").strip()
            typed = text.value or ""
            if add_record(bench, file_name(wish), typed or BLANK.format(name=wish), wrong):
                bench.say(f"Added records/{file_name(wish)}.toml.")

        Button("Add it", add, classes="sw-strong")

        async def dropped(event: events.UploadEventArguments) -> None:
            data = await event.file.read()
            wish = file_name(event.file.name.removesuffix(".toml"))
            try:
                told = data.decode("utf-8")
            except UnicodeDecodeError:
                bench.say("It is not UTF-8 text.")
                return
            if add_record(bench, wish, told, wrong):
                bench.say(f"Added records/{wish}.toml.")

        drop = ui.upload(on_upload=dropped, auto_upload=True, max_file_size=1_000_000,
                         label="Or drop a .toml file here",
                         on_rejected=lambda: bench.say("Only a .toml file below 1 MB."))
        drop.props('accept=".toml" flat bordered').classes("sw-drop")


def add_record(bench: Bench, name: str, text: str, wrong: ui.element) -> bool:
    """Add a record's file; what is wrong with it is told in `wrong`. Whether it was added."""
    wrong.clear()
    try:
        bench.session.add_record(name, text)
    except DesignErrors as errors:
        with wrong:
            for error in errors.errors:
                Words(str(error), "p", "sw-wrong")
        return False
    return True

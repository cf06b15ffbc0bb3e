"""An edit works out again exactly what rests on it, and nothing stale is ever shown."""

from __future__ import annotations

import pytest

from speakerwright import chain
from speakerwright.design.file import read_project
from speakerwright.design.values import Quantity
from speakerwright.words.errors import DesignErrors

from .folders import HALL, THREE_WAY, leaves

DESIGNS = {"hall": read_project(HALL).design, "three-way": read_project(THREE_WAY).design}
WOOFER = "records.moorhoot-12"
HIGH = "records.saltpiper-25"
HORN = "records.saltpiper-bell-90x60"

# design, edit, and how often which stage is worked out again
EDITS = [
    ("hall", "plan.title", "Another title", {}),
    ("hall", "plan.units", "inch", {}),
    ("hall", "plan.notes", ["A note."], {}),
    ("hall", "cabinet.height", "700 mm", {}),
    ("hall", "cabinet.width", "460 mm", {"bass": 1}),
    ("hall", "cabinet.depth", "310 mm", {"bass": 1}),
    ("hall", "cabinet.sheet", "15 mm", {"bass": 1}),
    ("hall", "cabinet.chambers.main.braces", "2 L", {"bass": 1}),
    ("hall", "bass.main.volume", "64 L", {"bass": 1}),
    ("hall", "bass.main.high_pass.frequency", "42 Hz", {"bass": 1}),
    ("hall", "brief.use", "Another use.", {"brief": 1}),
    ("hall", "brief.budget.total", 1000, {"brief": 1}),
    ("hall", "brief.size.depth", "310 mm", {"brief": 1}),
    ("hall", "brief.level.average", "94 dB", {"brief": 1, "bass": 1}),
    ("hall", "brief.lowest", "52 Hz", {"brief": 1, "bass": 1}),
    ("hall", "brief.place.kind", "wall", {"brief": 1, "bass": 1}),
    ("hall", "brief.amplifier.peak_voltage", "80 V", {"brief": 1, "bass": 1}),
    ("hall", "brief.air.temperature", "25 degC", {"brief": 1, "drivers": 1, "bass": 1}),
    ("hall", "crossover.low_high.frequency", "1300 Hz", {"drivers": 1, "bass": 1}),
    ("hall", f"{WOOFER}.datasheet.fs", "51 Hz", {"drivers": 1, "bass": 1}),
    ("hall", f"{WOOFER}.measured", {"cms": "0.21 mm/N"}, {"drivers": 1, "bass": 1}),
    ("hall", f"{WOOFER}.price", 140, {"drivers": 1, "brief": 1, "bass": 1}),
    ("hall", f"{WOOFER}.datasheet.sensitivity", "98 dB", {"drivers": 1, "brief": 1, "bass": 1}),
    ("hall", f"{HIGH}.datasheet.xmax", "0.4 mm", {"drivers": 1}),
    ("hall", f"{HIGH}.price", 97, {"drivers": 1, "brief": 1}),
    ("hall", f"{HORN}.length", "210 mm", {"drivers": 1}),
    ("three-way", "bass.middle.volume", "25 L", {"bass": 1}),
    ("three-way", "cabinet.chambers.middle.height", "180 mm", {"bass": 1}),
    ("three-way", "cabinet.width", "410 mm", {"bass": 2}),
    ("three-way", "records.wren-6.datasheet.xmax", "3.2 mm", {"drivers": 1, "bass": 1}),
    ("three-way", "records.wren-horn-driver.price", 75, {"drivers": 1}),
    ("three-way", "records.wren-bell.price", 40, {"drivers": 1}),
]


def counted(memo, design):
    before = dict(memo.calls)
    workup = chain.work(design, memo)
    calls = {name: memo.calls[name] - before.get(name, 0) for name in memo.calls}
    return {name: count for name, count in calls.items() if count}, workup


@pytest.mark.parametrize(("name", "path", "value", "calls"), EDITS,
                         ids=[f"{name}-{path}" for name, path, *_ in EDITS])
def test_an_edit_runs_exactly_what_rests_on_it(name, path, value, calls):
    memo, design = chain.Memo(), DESIGNS[name]
    first, _ = counted(memo, design)
    assert first == {"drivers": 1, "brief": 1, "bass": len(design.decided.bass)}
    edited = design.with_value(path, value)
    assert edited.key != design.key
    assert counted(memo, edited)[0] == calls
    assert counted(memo, edited)[0] == {}  # and it is kept
    assert counted(memo, design)[0] == {}  # as is what was there before


def said(workup):
    return [(f.name, f.verdict, f.text(), f.text("inch"), f.margin, f.accepted)
            for f in workup.all_findings]


@pytest.mark.parametrize("name", DESIGNS)
def test_no_edit_leaves_a_stale_finding(name):
    """Each quantity in turn, worked out with what is kept and from nothing: the same findings."""
    memo, design = chain.Memo(), DESIGNS[name]
    chain.work(design, memo)
    paths = [".".join(path) for path in leaves(dict(design.raw))]
    paths += [f"records.{record}." + ".".join(path)
              for record, raw in design.raw_records.items() for path in leaves(raw)]
    tried = 0
    for path in paths:
        if not isinstance(design.marker(path), Quantity):
            continue
        model = design.marker(path)
        try:
            written = design.value(path)
            value = model.read(written)
            edited = design.with_quantity(path, 0.97 * value if value else 0.5)
        except DesignErrors:
            continue
        assert said(chain.work(edited, memo)) == said(chain.work(edited, chain.Memo())), path
        tried += 1
    assert tried > 55


def test_the_memo_is_bounded():
    memo, design = chain.Memo(most=4), DESIGNS["hall"]
    for litres in range(60, 70):
        chain.work(design.with_value("bass.main.volume", f"{litres} L"), memo)
    assert len(memo.kept) == 4
    assert memo.calls == {"drivers": 1, "brief": 1, "bass": 10}

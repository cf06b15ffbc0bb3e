"""An edit works out again exactly what rests on it, and nothing stale is ever shown."""

from __future__ import annotations

import pytest

from speakerwright import chain
from speakerwright.design.document import Design
from speakerwright.design.file import read_project
from speakerwright.design.values import Quantity
from speakerwright.report import as_plain
from speakerwright.words.errors import DesignErrors

from .folders import HALL, THREE_WAY, leaves

DESIGNS = {"hall": read_project(HALL).design, "three-way": read_project(THREE_WAY).design}
WOOFER = "records.moorhoot-12"
HIGH = "records.saltpiper-25"
HORN = "records.saltpiper-bell-90x60"

# what is worked out again from the cabinet on: with its panels as they were, and with other ones
BUILT = {"cabinet": 1}
CUT = {"cabinet": 1, "cutting": 1}
SETTLED = {"settle": 1, **BUILT}
RESIZED = {"settle": 1, **CUT}

# design, edit, and how often which stage is worked out again
EDITS = [
    ("hall", "plan.title", "Another title", {}),
    ("hall", "plan.units", "inch", {}),
    ("hall", "plan.notes", ["A note."], {}),
    ("hall", "cabinet.height", "938 mm", SETTLED),  # what its rooms add up to anyway
    ("hall", "cabinet.width", "460 mm", {"bass": 1, **RESIZED}),
    ("hall", "cabinet.depth", "310 mm", {"bass": 1, **RESIZED}),
    ("hall", "cabinet.sheet", "15 mm", {"bass": 1, **RESIZED}),
    ("hall", "cabinet.material", "oak plywood", RESIZED),
    ("hall", "cabinet.joint", "butt", RESIZED),
    ("hall", "cabinet.rabbet", "5 mm", RESIZED),
    ("hall", "cabinet.chambers.main.height", "640 mm", {"bass": 1, **RESIZED}),
    ("hall", "cabinet.chambers.top.height", "260 mm", RESIZED),
    ("hall", "cabinet.braces.0.at", "240 mm", RESIZED),
    ("hall", "cabinet.braces.0.open", 0.4, RESIZED),
    ("hall", "cabinet.ports.main.at", [["-80 mm", "98 mm"], ["80 mm", "98 mm"]],
     {"bass": 1, **RESIZED}),
    ("hall", "directivity.low.bolt_angle", "20 deg", RESIZED),
    ("hall", "directivity.high.at", [["0 mm", "795 mm"]], RESIZED),
    ("hall", "cutting.kerf", "5 mm", {"cutting": 1}),
    ("hall", "cutting.sheets.0.price", 90, {"cutting": 1}),
    ("hall", "bass.main.volume", "64 L", {"bass": 1, **SETTLED}),
    ("hall", "bass.main.port.tuning", "52 Hz", {"bass": 1, **SETTLED}),
    ("hall", "bass.main.high_pass.frequency", "42 Hz", {"bass": 1}),
    ("hall", "bass.main.losses.leak_q", 9, {"bass": 1}),
    ("hall", "brief.use", "Another use.", {"brief": 1}),
    ("hall", "brief.budget.total", 1000, {"brief": 1}),
    ("hall", "brief.size.depth", "310 mm", {"brief": 1, **BUILT}),
    ("hall", "brief.level.average", "94 dB", {"brief": 1, "bass": 1}),
    ("hall", "brief.lowest", "52 Hz", {"brief": 1, "bass": 1}),
    ("hall", "brief.place.kind", "wall", {"brief": 1, "bass": 1, **SETTLED}),
    ("hall", "brief.amplifier.peak_voltage", "80 V", {"brief": 1, "bass": 1}),
    ("hall", "brief.system.cabinets_per_channel", 2, {"brief": 1, "bass": 1, "cutting": 1}),
    ("hall", "brief.air.temperature", "25 degC",
     {"brief": 1, "drivers": 1, "bass": 1, **SETTLED}),
    ("hall", "crossover.low_high.frequency", "1300 Hz", {"drivers": 1, "bass": 1}),
    ("hall", f"{WOOFER}.datasheet.fs", "51 Hz", {"drivers": 1, "bass": 1, **BUILT}),
    ("hall", f"{WOOFER}.measured", {"cms": "0.21 mm/N"}, {"drivers": 1, "bass": 1, **BUILT}),
    ("hall", f"{WOOFER}.price", 140, {"drivers": 1, "brief": 1, "bass": 1, **BUILT}),
    ("hall", f"{WOOFER}.datasheet.sensitivity", "98 dB",
     {"drivers": 1, "brief": 1, "bass": 1, **BUILT}),
    ("hall", f"{WOOFER}.body.volume", "2.7 L", {"drivers": 1, "bass": 1, **SETTLED}),
    ("hall", f"{WOOFER}.body.cutout", "283 mm", {"drivers": 1, "bass": 1, **RESIZED}),
    ("hall", f"{HIGH}.datasheet.xmax", "0.4 mm", {"drivers": 1, **BUILT}),
    ("hall", f"{HIGH}.price", 97, {"drivers": 1, "brief": 1, **BUILT}),
    ("hall", f"{HORN}.length", "210 mm", {"drivers": 1, **SETTLED}),
    ("hall", f"{HORN}.mouth", ["300 mm", "222 mm"], {"drivers": 1, **SETTLED}),
    ("hall", f"{HORN}.throat.diameter", "26 mm", {"drivers": 1, **SETTLED}),
    ("three-way", "bass.main.volume", "121 L", {"bass": 1, **RESIZED}),
    ("three-way", "bass.middle.volume", "25 L", {"bass": 1, **SETTLED}),
    ("three-way", "cabinet.chambers.middle.height", "180 mm", {"bass": 1, **RESIZED}),
    ("three-way", "cabinet.chambers.top.height", "240 mm", RESIZED),
    ("three-way", "cabinet.width", "410 mm", {"bass": 2, **RESIZED}),
    ("three-way", "crossover.low_mid.frequency", "330 Hz", {"drivers": 1, "bass": 2}),
    ("three-way", "records.wren-6.datasheet.xmax", "3.2 mm",
     {"drivers": 1, "bass": 1, **BUILT}),
    ("three-way", "records.wren-horn-driver.price", 75, {"drivers": 1, **BUILT}),
    ("three-way", "records.wren-bell.price", 40, {"drivers": 1, **BUILT}),
]


@pytest.fixture
def quick_solids(monkeypatch):
    """Leaves collisions and the air between the solids out: what is asked here is who is called."""
    monkeypatch.setattr("speakerwright.cabinet.stage.collisions", lambda parts: ())
    monkeypatch.setattr("speakerwright.cabinet.stage.chambers", lambda *parts, seeds: ())
    monkeypatch.setattr("speakerwright.cabinet.judgement.clearance", lambda *pair, beyond: beyond)


def counted(memo, design):
    before = dict(memo.calls)
    workup = chain.work(design, memo)
    calls = {name: memo.calls[name] - before.get(name, 0) for name in memo.calls}
    return {name: count for name, count in calls.items() if count}, workup


@pytest.mark.parametrize(("name", "path", "value", "calls"), EDITS,
                         ids=[f"{name}-{path}" for name, path, *_ in EDITS])
def test_an_edit_runs_exactly_what_rests_on_it(name, path, value, calls, quick_solids):
    memo, design = chain.Memo(), DESIGNS[name]
    first, _ = counted(memo, design)
    assert first == {"drivers": 1, "brief": 1, "settle": 1, "bass": len(design.decided.bass),
                     "cabinet": 1, "cutting": 1}
    edited = design.with_value(path, value)
    assert edited.key != design.key
    assert counted(memo, edited)[0] == calls
    assert counted(memo, edited)[0] == {}  # and it is kept
    assert counted(memo, design)[0] == {}  # as is what was there before


@pytest.mark.parametrize(("last", "calls"), [("bass", {"cabinet": 1, "cutting": 1}),
                                             ("cabinet", {"cutting": 1}), ("cutting", {})])
def test_what_comes_later_is_left_until_asked_for(last, calls, quick_solids):
    memo = chain.Memo()
    workup = chain.work(DESIGNS["hall"], memo, last=last)
    assert (workup.cabinet is None, workup.cutting is None) == (
        "cabinet" in calls, "cutting" in calls)
    assert counted(memo, DESIGNS["hall"])[0] == calls


def test_a_record_that_the_design_does_not_name_is_nobodys(quick_solids):
    """It may be added, edited or taken away: nothing is worked out again."""
    memo, design = chain.Memo(), DESIGNS["hall"]
    chain.work(design, memo)
    spare = dict(design.raw_records["moorhoot-12"], name="Spare 12")
    added = Design.read(design.raw, {**design.raw_records, "spare-12": spare})
    assert added.key != design.key
    assert counted(memo, added)[0] == {}
    edited = added.with_value("records.spare-12.datasheet.fs", "44 Hz")
    assert counted(memo, edited)[0] == {}
    # and once it is named, it counts
    named = edited.with_value("drivers.low.record", "spare-12")
    assert counted(memo, named)[0] == {"drivers": 1, "bass": 1, **RESIZED}


def said(workup):
    return [(f.name, f.verdict, f.text(), f.text("inch"), f.margin, f.accepted)
            for f in workup.all_findings]


def quantities(design):
    """Every quantity that stands in the design or a record: its path, and the design with 0.97."""
    paths = [".".join(path) for path in leaves(dict(design.raw))]
    paths += [f"records.{record}." + ".".join(path)
              for record, raw in design.raw_records.items() for path in leaves(raw)]
    for path in paths:
        model = design.marker(path)
        if not isinstance(model, Quantity):
            continue
        try:
            value = model.read(design.value(path))
            yield path, design.with_quantity(path, 0.97 * value if value else 0.5)
        except DesignErrors:
            continue


@pytest.mark.parametrize("name", DESIGNS)
def test_no_edit_leaves_a_stale_finding(name, quick_solids):
    """Each quantity in turn, worked out with what is kept and from nothing: the same findings.

    The sizes are taken as kept; that they are not stale is asked below, with the cabinet's.
    """
    memo, design = chain.Memo(), DESIGNS[name]

    class Empty(chain.Memo):
        def get(self, function, key, make):
            return (memo if function == "settle" else super()).get(function, key, make)

    chain.work(design, memo, last="bass")
    tried = 0
    for path, edited in quantities(design):
        kept = chain.work(edited, memo, last="bass")
        fresh = chain.work(edited, Empty(), last="bass")
        assert said(kept) == said(fresh), path
        tried += 1
    assert tried > 55


@pytest.mark.parametrize("name", DESIGNS)
def test_no_edit_leaves_a_stale_cabinet_or_cutting(name, monkeypatch):
    """All edits that are held to change neither, made at once: neither changes from nothing."""
    memo, design = chain.Memo(), DESIGNS[name]
    before = chain.work(design, memo)
    alike, changes = [], {}
    with monkeypatch.context() as patched:
        # stand-ins: asked here is only who is called
        patched.setattr("speakerwright.cabinet.stage.work", lambda *_: before.cabinet)
        patched.setattr("speakerwright.cutting.stage.work", lambda *_: before.cutting)
        patched.setattr("speakerwright.cabinet.stage.net_volumes", lambda *_: {})
        for path, edited in quantities(design):
            if not {"settle", "cabinet", "cutting"} & set(counted(memo, edited)[0]):
                alike.append(path)
                changes[path] = edited.value(path)
    assert len(alike) > 12
    assert any(path.startswith("bass.") for path in alike)
    after = chain.work(design.with_values(changes), chain.Memo())
    assert after.settled == before.settled
    for stage in ("cabinet", "cutting"):
        assert as_plain(getattr(after, stage)) == as_plain(getattr(before, stage))
        assert [f.text() for f in after.findings[stage]] == [
            f.text() for f in before.findings[stage]]


def test_the_memo_is_bounded():
    memo, design = chain.Memo(most=4), DESIGNS["hall"]
    for litres in range(60, 70):
        chain.work(design.with_value("bass.main.volume", f"{litres} L"), memo, last="bass")
    assert len(memo.kept) == 4
    assert memo.calls == {"drivers": 1, "brief": 1, "settle": 10, "bass": 10}

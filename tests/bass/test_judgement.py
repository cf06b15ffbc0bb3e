"""The findings of a chamber: value, limit and margin of each by hand, and the turns they take."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bass.boxes import DEEP, NEED, TWO_PORTS, chamber, inputs, vented
from speakerwright import chain
from speakerwright.acoustics.spectra import third_octave_level_db
from speakerwright.bass.inputs import Ratings, Seat
from speakerwright.bass.stage import GRID
from speakerwright.bass.stage import chamber as work_out
from speakerwright.design.file import read_project
from speakerwright.design.sections.bass import HighPass, Port
from speakerwright.words.evidence import Evidence
from speakerwright.words.findings import Verdict

HALL = Path(__file__).parents[2] / "examples" / "harbour-hall"
GUARD = HighPass.model_construct(order=2, frequency=40.0, shape="butterworth")


def guarded(**changes):
    return vented(chamber=vented().chamber.model_copy(update={"high_pass": GUARD}), **changes)


def findings(given, need=NEED) -> dict:
    return {f.rule: f for f in work_out(given, need).findings}


def at(curve, frequency: float) -> float:
    return float(np.interp(math.log(frequency), np.log(GRID), curve))


@pytest.fixture(scope="module")
def hall():
    return read_project(HALL).design


def verdict(workup, rule: str) -> Verdict:
    return next(f.verdict for f in workup.all_findings if f.rule == rule)


def test_without_the_high_pass_it_needs_the_design_fails(hall):
    kept = chain.work(hall)
    assert verdict(kept, "protected_below") is Verdict.HOLDS
    bare = chain.work(hall.with_value("bass.main.high_pass", None))
    assert verdict(bare, "protected_below") is Verdict.FAILS
    assert bare.stops
    assert not kept.stops


def test_a_louder_brief_asks_more_of_every_limit(hall):
    kept, loud = chain.work(hall), chain.work(hall.with_value("brief.level.average", "101 dB"))
    for rule in ("level_excursion", "level_port", "level_amplifier", "level_heat"):
        one = next(f for f in kept.all_findings if f.rule == rule)
        other = next(f for f in loud.all_findings if f.rule == rule)
        assert one.margin - other.margin == pytest.approx(6.0, abs=1e-6)


def test_reach_is_the_drop_at_the_lowest_frequency():
    found = work_out(guarded(), NEED)
    rule = next(f for f in found.findings if f.rule == "bass_reaches_lowest")
    drop = at(found.curves.level_db, 50.0) - found.curves.asymptote_db
    assert rule.value == pytest.approx(drop, abs=1e-12)
    assert rule.limit == -10.0
    assert findings(guarded(), replace(NEED, lowest=30.0))["bass_reaches_lowest"].verdict is (
        Verdict.FAILS)


@pytest.mark.parametrize("reason", ["excursion", "heat", "port", "amplifier"])
def test_each_limit_where_it_leaves_least(reason):
    found = work_out(guarded(), NEED)
    rule = next(f for f in found.findings if f.rule == f"level_{reason}")
    inside = (GRID >= 0.999 * 50) & (GRID <= 1.001 * 1250)
    shape = third_octave_level_db("programme", GRID)
    asked = (106.0 if reason == "heat" else 116.0) + shape - shape.max()
    can = found.curves.unfiltered_db + 20 * np.log10(found.limits.volts[reason])
    k = int(np.argmin(np.where(inside, can - asked, np.inf)))
    assert rule.value == pytest.approx(can[k], abs=1e-12)
    assert rule.limit == pytest.approx(asked[k], abs=1e-12)
    assert rule.figures["at"] == (pytest.approx(GRID[k]), "frequency")


def test_what_no_record_states_is_unknown():
    given = guarded(ratings=Ratings(None, None, None, None, Evidence.DATASHEET))
    found = findings(given)
    assert found["level_excursion"].verdict is Verdict.UNKNOWN
    assert found["level_heat"].verdict is Verdict.UNKNOWN
    assert "protected_below" not in found


def test_excursion_below_the_band_is_that_of_a_tone_at_the_peak():
    found = work_out(guarded(), NEED)
    rule = next(f for f in found.findings if f.rule == "protected_below")
    volts = 10 ** ((116.0 - found.curves.asymptote_db) / 20)
    swing = (found.curves.excursion * volts)[GRID < 50.0]
    assert rule.value == pytest.approx(swing.max(), rel=1e-12)
    assert rule.limit == 0.0065


def test_room_behind_the_port():
    rule = findings(guarded())["port_gap"]
    assert rule.value == pytest.approx(0.0796, abs=2e-4)
    assert rule.limit == pytest.approx(0.05, rel=1e-9)
    assert rule.verdict is Verdict.HOLDS
    near = findings(guarded(seat=replace(DEEP, behind_mouth=0.245)))["port_gap"]
    assert near.verdict is Verdict.FAILS
    unknown = findings(guarded(seat=Seat()))["port_gap"]
    assert unknown.verdict is Verdict.UNKNOWN
    small = findings(guarded(seat=replace(DEEP, behind_mouth=0.18)))["port_gap"]
    assert small.verdict is Verdict.FAILS
    assert "does not" in small.text()
    assert small.limit == pytest.approx(0.0125, rel=1e-9)


def test_a_slot_is_judged_by_its_height():
    port = Port.model_construct(shape="slot", count=1, width=0.414, height=0.04, wall=0.018,
                                walls_shared=3, tuning=50.0)
    rule = findings(inputs(chamber(port=port), seat=DEEP))["port_gap"]
    assert rule.limit == pytest.approx(0.04, rel=1e-9)
    assert "height" in rule.text()


def test_a_port_that_cannot_tune():
    hole = Port.model_construct(shape="round", count=1, bore=0.02, wall=0.003, tuning=90.0)
    found = findings(inputs(chamber(port=hole), seat=DEEP))
    assert found["port_tunes"].verdict is Verdict.FAILS
    assert found["port_tunes"].limit == 90.0
    assert "port_gap" not in found


def test_the_ports_own_pipe_resonance():
    found = work_out(guarded(), NEED)
    rule = next(f for f in found.findings if f.rule == "port_pipe")
    near = np.abs(np.log(GRID / found.port.resonance)) < math.log(1.15)
    flow = found.curves.speeds["port"] * 2 * math.pi * 0.05**2
    cone = found.curves.excursion * 2 * math.pi * GRID * 0.0531
    expected = 20 * math.log10(np.max((flow / cone)[near]))
    assert rule.value == pytest.approx(expected, abs=1e-9)
    assert rule.limit == 0.0


def test_around_a_damped_pipe_resonance_15_percent_each_way_count():
    losses = vented().chamber.losses.model_copy(update={"port_q": 0.5})
    box = vented().chamber.model_copy(update={"losses": losses})
    found = work_out(vented(chamber=box), NEED)
    rule = next(f for f in found.findings if f.rule == "port_pipe")
    flow = found.curves.speeds["port"] * 2 * math.pi * 0.05**2
    ratio = 20 * np.log10(flow / (found.curves.excursion * 2 * math.pi * GRID * 0.0531))
    inside = (found.port.resonance / 1.15 < GRID) & (found.port.resonance * 1.15 > GRID)
    assert np.argmax(np.where(inside, ratio, -np.inf)) in np.nonzero(inside)[0][[0, -1]]
    assert rule.value == pytest.approx(ratio[inside].max(), abs=1e-9)


def test_limits_that_make_a_finding_tight():
    """Margins below which a finding is tight: 2 dB for a level limit, 1 dB for reach."""
    for spare, expected in ((2.01, Verdict.HOLDS), (1.99, Verdict.TIGHT), (-0.01, Verdict.FAILS)):
        base = findings(guarded())["level_port"].margin
        need = replace(NEED, peak_db=NEED.peak_db + base - spare)
        assert findings(guarded(), need)["level_port"].verdict is expected
    drop = findings(guarded())["bass_reaches_lowest"].value
    for spare, expected in ((1.01, Verdict.HOLDS), (0.99, Verdict.TIGHT)):
        need = replace(NEED, lowest_drop_db=spare - drop)
        assert findings(guarded(), need)["bass_reaches_lowest"].verdict is expected
    assert TWO_PORTS.tuning == 50.0

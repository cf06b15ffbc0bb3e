"""The drivers stage: agreement, throats, hand-overs, sensitivity as wired."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from speakerwright.design.document import Design
from speakerwright.design.file import read_project
from speakerwright.drivers.stage import DriversResult, work
from speakerwright.words.findings import Finding, Verdict

EXAMPLE = Path(__file__).parents[2] / "examples" / "harbour-hall"
LOW = "records.moorhoot-12.datasheet"


@pytest.fixture(scope="module")
def design() -> Design:
    return read_project(EXAMPLE).design


def named(result: DriversResult, rule: str, part: str = "") -> list[Finding]:
    return [f for f in result.findings if f.rule == rule and part in f.where]


def test_example_agrees_throughout(design: Design) -> None:
    result = work(design)
    assert all(f.verdict is Verdict.HOLDS for f in result.findings)
    worst = max(abs(r.off) for j in result.jobs.values() for r in j.relations
                if r.kind != "level")
    assert worst < 6e-4  # the records were rounded to four figures


@pytest.mark.parametrize(
    ("figure", "value", "hit"),
    [("fs", "54 Hz", "fs"), ("vas", "90 L", "vas"), ("qms", 6.5, "qms"), ("qes", 0.4, "qes"),
     ("qts", 0.37, "qts"), ("efficiency", "3.0 %", "efficiency"),
     ("sensitivity", "96.9 dB", "sensitivity"), ("bl", "16.2 T m", "qes"),
     ("mms", "55 g", "fs"), ("sd", "560 cm^2", "vas")],
)
def test_one_figure_out_of_step_is_found_with_its_size(
    design: Design, figure: str, value: object, hit: str
) -> None:
    result = work(design.with_value(f"{LOW}.{figure}", value))
    found = [f for f in named(result, "record_agrees", f"moorhoot-12.datasheet.{hit}")
             if f.verdict in (Verdict.FAILS, Verdict.TIGHT)]
    assert found
    assert found[0].value is not None
    assert found[0].value > 1.0


def test_the_size_of_a_disagreement_is_exact(design: Design) -> None:
    result = work(design.with_value(f"{LOW}.fs", "55.363 Hz"))  # typed 10 % over
    found = named(result, "record_agrees", "moorhoot-12.datasheet.fs")
    assert found[0].value == pytest.approx(100 * (1 - 50.33 / 55.363), abs=0.02)
    assert found[0].verdict is Verdict.FAILS


def test_nothing_is_corrected(design: Design) -> None:
    changed = design.with_value(f"{LOW}.qes", 0.5)
    result = work(changed)
    motor = result.jobs["low"].motor
    assert motor is not None
    assert motor.coil.bl == 15.2  # typed, and used as typed
    assert changed.record("moorhoot-12").datasheet.qes == 0.5


def test_exit_and_bolts_must_match_the_horn(design: Design) -> None:
    wide = work(design.with_value("records.saltpiper-bell-90x60.throat.diameter", "36 mm"))
    assert named(wide, "exit_matches_throat")[0].verdict is Verdict.FAILS
    two = work(design.with_value("records.saltpiper-bell-90x60.throat.bolts", 2))
    assert named(two, "exit_bolts_match")[0].verdict is Verdict.FAILS
    circle = work(design.with_value("records.saltpiper-bell-90x60.throat.bolt_circle", "76 mm"))
    assert named(circle, "exit_bolts_match")[0].verdict is Verdict.FAILS
    bolt = work(design.with_value("records.saltpiper-bell-90x60.throat.bolt", "M5"))
    assert named(bolt, "exit_bolts_match")[0].verdict is Verdict.FAILS
    unsaid = work(design.with_value("records.saltpiper-bell-90x60.throat.bolt", None))
    assert named(unsaid, "exit_bolts_match")[0].verdict is Verdict.UNKNOWN


def test_compression_driver_wants_a_horn_and_a_cone_does_not(design: Design) -> None:
    bare = work(design.with_value("drivers.high.horn", None))
    assert named(bare, "exit_matches_throat")[0].verdict is Verdict.FAILS
    odd = work(design.with_value("drivers.low.horn", "saltpiper-bell-90x60"))
    assert named(odd, "exit_matches_throat", "drivers.low")[0].verdict is Verdict.FAILS


def test_hand_over_inside_both_ranges(design: Design) -> None:
    low = work(design.with_value("crossover.low_high.frequency", "900 Hz"))
    assert named(low, "hand_over_above")[0].verdict is Verdict.FAILS
    high = work(design.with_value("crossover.low_high.frequency", "2600 Hz"))
    assert named(high, "hand_over_below")[0].verdict is Verdict.FAILS


@pytest.mark.parametrize(("wiring", "gain"), [("parallel", 20 * math.log10(2)), ("series", 0.0)])
def test_sensitivity_as_wired(design: Design, wiring: str, gain: float) -> None:
    two = design.with_values({"drivers.low.count": 2, "drivers.low.wiring": wiring,
                              "directivity.low.at": None})
    job = work(two).jobs["low"]
    assert job.sensitivity_db == pytest.approx(98.3 + gain)
    assert job.load == pytest.approx(5.3 * (2 if wiring == "series" else 0.5))


def test_sensitivity_is_worked_out_where_no_record_states_it(design: Design) -> None:
    untold = design.with_value(f"{LOW}.sensitivity", None)
    job = work(untold).jobs["low"]
    assert job.sensitivity_db == pytest.approx(98.3, abs=0.02)
    assert str(job.sensitivity_from) == "simulated"


def test_cost_and_mass_of_one_cabinet(design: Design) -> None:
    result = work(design)
    assert result.cost == pytest.approx(139 + 96 + 44)
    assert result.mass == pytest.approx(6.8 + 2.1 + 1.1)
    assert work(design.with_value("records.moorhoot-12.price", None)).cost is None


def test_passive_radiators_cost_and_weigh_too(design: Design) -> None:
    drone = {"format": 1, "what": "passive radiator", "name": "Drone", "price": 40,
             "mass": "2 kg", "datasheet": {"sd": "531 cm^2", "mms": "60 g", "fs": "24 Hz",
                                           "qms": 6.5}}
    both = Design.read(dict(design.raw), {**design.raw_records, "drone": drone})
    made = both.with_values({
        "bass.main.loading": "passive-radiator", "bass.main.port": None,
        "bass.main.passive": {"record": "drone", "count": 2}})
    assert work(made).cost == pytest.approx(139 + 96 + 44 + 80)
    assert work(made).mass == pytest.approx(6.8 + 2.1 + 1.1 + 4.0)

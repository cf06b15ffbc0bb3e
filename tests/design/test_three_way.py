"""Three ways in two chambers go through everything there is."""

from __future__ import annotations

import json
import math
import sys

import pytest

from speakerwright import chain, cli
from speakerwright.design.file import read_project
from speakerwright.words.findings import Verdict
from speakerwright.words.stages import built

from .folders import THREE_WAY, copied


@pytest.fixture(scope="module")
def workup():
    return chain.work(read_project(THREE_WAY).design)


def test_both_chambers_and_both_hand_overs_are_worked_out(workup):
    assert list(workup.bass.chambers) == ["main", "middle"]
    where = {finding.where for finding in workup.all_findings}
    assert {"bass.main", "bass.middle", "crossover.low_mid.frequency",
            "crossover.mid_high.frequency", "drivers.high.horn"} <= where
    assert not workup.stops
    assert workup.verdict("bass") is not Verdict.FAILS


def test_each_chamber_is_asked_for_its_own_band(workup):
    design = workup.design
    main = chain.need_of(design, workup.brief, "main")
    middle = chain.need_of(design, workup.brief, "middle")
    assert (main.lowest, main.highest) == (45.0, 320.0)
    assert (middle.lowest, middle.highest) == (320.0, 1800.0)


def test_two_woofers_in_series_double_what_adds(workup):
    main = workup.bass.chambers["main"]
    single = main.inputs.motor
    assert (main.inputs.count, main.inputs.wiring) == (2, "series")
    assert main.driver.re == pytest.approx(2 * single.re)
    assert main.driver.sd == pytest.approx(2 * single.sd)
    assert main.driver.fs == pytest.approx(32.0, rel=1e-9)
    assert workup.drivers.jobs["low"].load == pytest.approx(6.4)
    assert main.port is not None
    assert main.resonance == pytest.approx(38.0, rel=1e-6)
    # the closed chamber's resonance by hand: fs times the root of 1 + Vas / Vb
    middle = workup.bass.chambers["middle"]
    assert middle.port is None
    assert middle.resonance == pytest.approx(62.0 * math.sqrt(1.0 + middle.alpha), rel=0.01)


def test_seats_as_points_with_feet_are_all_answered(workup):
    assert len(workup.brief.seats) == 2


def test_chapters_and_plan_are_printed(workup):
    for system in ("metric", "inch"):
        chapters = chain.chapters(workup, system)
        assert [*chapters, "plan"] == [
            stage for stage in built() if stage in chapters or stage == "plan"]
    pdf = chain.plan_pdf(workup)
    assert pdf.startswith(b"%PDF")
    assert pdf == chain.plan_pdf(workup)


@pytest.mark.parametrize("command", ["check", "brief", "drivers", "bass"])
@pytest.mark.parametrize("option", [[], ["--json"], ["--inch"]], ids=["plain", "json", "inch"])
def test_every_command_takes_it(command, option, tmp_path, monkeypatch, capsys):
    folder = copied(THREE_WAY, tmp_path / "copy")
    monkeypatch.setattr(sys, "argv", ["speakerwright", command, str(folder), *option])
    with pytest.raises(SystemExit) as left:
        cli.main()
    out, err = capsys.readouterr()
    assert (left.value.code, err) == (0, "")
    assert "bass" in out or command != "check"
    if option == ["--json"]:
        json.loads(out)

"""Three ways in two chambers go through everything there is."""

from __future__ import annotations

import json
import math
import sys

import numpy as np
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


def test_the_mid_is_protected_by_its_hand_over(workup):
    middle, main = workup.bass.chambers["middle"], workup.bass.chambers["main"]
    assert middle.inputs.chamber.high_pass is None
    assert middle.inputs.hand_over == workup.design.decided.crossover["low_mid"]
    x = (middle.curves.frequency / 320.0) ** 4
    assert np.allclose(middle.curves.filter_db, 20.0 * np.log10(x / (1.0 + x)), atol=1e-9)
    assert main.inputs.hand_over is None
    guard = {f.where: f.verdict for f in workup.all_findings if f.rule == "protected_below"}
    assert guard["bass.middle.high_pass"] is Verdict.HOLDS


def test_the_free_height_closes_the_woofers_volume(workup):
    """By hand: the room's height is the volume and all that stands in it over its area."""
    settled, port = workup.settled, workup.bass.chambers["main"].port
    assert settled.closed
    assert settled.free == "height"
    inserts = 16 * math.pi / 4.0 * 0.010**2 * 0.006  # M5
    slot = 0.364 * (0.0381 + 0.018) * (port.length - 0.018)
    brace = 0.364 * 0.384 * 0.018 * (1.0 - 0.6)
    room = (0.120 + 2 * 0.0014 + inserts + slot + brace) / (0.364 * 0.384)
    assert settled.sizes.rooms[0].height == pytest.approx(room, rel=1e-6)
    assert settled.sizes.height == pytest.approx(room + 0.176 + 0.230 + 4 * 0.018, rel=1e-6)


def test_three_rooms_are_built_and_cut(workup):
    cabinet, cutting = workup.cabinet, workup.cutting
    assert [room.name for room in cabinet.rooms] == ["main", "middle", "top"]
    assert [room.wanted for room in cabinet.rooms] == [
        pytest.approx(0.120), pytest.approx(0.024), None]
    assert cabinet.rooms[0].net == pytest.approx(0.120, rel=3e-5)
    assert cabinet.rooms[1].net == pytest.approx(0.364 * 0.384 * 0.176 - 0.0005, rel=1e-3)
    assert (cabinet.leaks, cabinet.collisions, cabinet.troubles) == ((), (), ())
    assert [each.room for each in cabinet.placed] == ["main", "main", "middle", "top"]
    # six faces, two dividers, a brace and the slot's board
    assert len(cabinet.panels) == 10
    assert {chain_.name for chain_ in cabinet.chains} == {
        "Moorhoot 10 {long} 1", "Moorhoot 10 {long} 2", "Wren 6", "Wren horn driver",
        "port of main"}
    assert cutting.copies == 2
    (group,) = cutting.groups
    names = sorted(part.name for part in group.parts)
    assert len(names) == len(set(names)) == 20
    assert sorted(place.name for sheet in group.layout.sheets for place in sheet.placed) == names
    files = chain.cut_files(workup)
    assert any(name.endswith(".dxf") for name in files)


def test_what_the_cabinet_finds_by_hand(workup):
    found = {}
    for finding in workup.findings["cabinet"]:
        found.setdefault(finding.rule, []).append(finding)
    # behind the front face lie 402 mm; the woofers stand 118 deep, the mid 74 and flush by 5,
    # the horn 150 less its flange of 6 and the driver on it 55
    assert [round(f.value, 9) for f in found["driver_depth"]] == [0.284, 0.284, 0.323, 0.203]
    assert {f.limit for f in found["driver_depth"]} == {0.010}
    main, middle = found["volume_closes"]
    assert (main.limit, middle.limit) == (3.0, 3.0)
    assert main.value < 3e-3
    inserts = 6 * math.pi / 4.0 * 0.009**2 * 0.005  # M4
    closed_form = 0.364 * 0.384 * 0.176 - 0.0005 - inserts
    assert workup.cabinet.rooms[1].closed_form == pytest.approx(closed_form, rel=1e-9)
    assert middle.value == pytest.approx(100 * (closed_form / 0.024 - 1.0), abs=2e-3)
    assert workup.cabinet.rooms[0].closed_form == pytest.approx(0.120, rel=1e-5)


def test_seats_as_points_with_feet_are_all_answered(workup):
    assert len(workup.brief.seats) == 2


def test_chapters_and_plan_are_printed(workup):
    for system in ("metric", "inch"):
        chapters = chain.chapters(workup, system)
        assert (*chapters, "plan") == built()
    pdf = chain.plan_pdf(workup)
    assert pdf.startswith(b"%PDF")
    assert pdf == chain.plan_pdf(workup)


@pytest.mark.parametrize("command", ["check", *built()[:-1]])
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

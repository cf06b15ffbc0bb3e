"""The air inside of whole designs: asked for in another process, stopped, kept, judged, printed."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from speakerwright.chain import Memo, air, work
from speakerwright.chain.requests import Cancelled, Failed, recall, run, start
from speakerwright.chain.store import Store
from speakerwright.cli_cabinet import cabinet_app
from speakerwright.design.file import read_project
from speakerwright.words.errors import DesignErrors
from speakerwright.words.findings import Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def desk():
    return read_project(EXAMPLES / "desk-pair").design


@pytest.fixture(scope="module")
def kept(desk, tmp_path_factory):
    """A store in which the air of the desk pair is kept, as another process worked it out."""
    store = Store(tmp_path_factory.mktemp("kept"))
    running = start(air.air_request(desk, "main"), store)
    outcome = running.result(120.0)
    assert running.progress().fraction == 1.0
    return store, outcome


def test_it_is_kept_and_read_back_without_running(desk, kept, monkeypatch):
    store, outcome = kept
    monkeypatch.setattr(air, "air_answer", None)  # whatever runs now fails
    again = run(air.air_request(desk, "main"), store)
    one, two = air.air_in(outcome), air.air_in(again)
    assert np.array_equal(one.modes.frequency, two.modes.frequency)
    assert one.modes.frequency[0] == pytest.approx(518.0, rel=5e-3)
    assert one.volume == pytest.approx(14.5e-3, rel=1e-3)


def test_it_is_stopped_and_nothing_is_kept(desk, tmp_path):
    store, request = Store(tmp_path), air.air_request(desk, "main")
    running = start(request, store)
    running.cancel()
    with pytest.raises(Cancelled):
        running.result(20.0)
    assert recall(request, store) is None


def test_its_finding_is_unknown_until_it_is_kept(desk, kept, tmp_path):
    workup = work(desk, Memo(), last="cabinet")
    (missing,) = air.air_findings(workup, Store(tmp_path))
    assert (missing.rule, missing.verdict) == ("air_mode_in_band", Verdict.UNKNOWN)
    joined = air.with_air(workup, kept[0])
    (found,) = [f for f in joined.findings["cabinet"] if f.rule == "air_mode_in_band"]
    # bare, within what the bass is asked for, and the brief allows 2 dB
    assert found.verdict is Verdict.FAILS
    assert found.limit == 1000.0
    assert found.figures["tolerance"] == (2.0, "level")
    assert joined.stops
    reasoned = desk.accept(found.name, "It will be lined.", found.value)
    assert not air.with_air(work(reasoned, Memo(), last="cabinet"), kept[0]).stops


def test_the_key_holds_what_it_rests_on(desk):
    key = air.air_request(desk, "main").key
    for changes in ({"bass.main.volume": "14 L"}, {"cabinet.depth": "280 mm"},
                    {"records.fenlark-165.body.depth": "89 mm"},
                    {"brief.air.temperature": "25 degC"},
                    {"cabinet.chambers": {"main": {"lining": {"walls": ["back"]}}}}):
        assert air.air_request(desk.with_values(changes), "main").key != key, changes
    for changes in ({"plan.title": "Another"}, {"brief.target.tolerance": "3 dB"}):
        assert air.air_request(desk.with_values(changes), "main").key == key, changes


def test_lining_is_what_holds(desk, tmp_path):
    lined = desk.with_values({"cabinet.chambers": {"main": {"lining": {
        "walls": ["back", "top", "bottom", "left", "right"], "thickness": "30 mm"}}}})
    store = Store(tmp_path)
    run(air.air_request(lined, "main"), store)
    (found,) = air.air_findings(work(lined, Memo(), last="cabinet"), store)
    assert found.verdict is Verdict.HOLDS


def test_rooms_are_those_that_drivers_load_and_others_are_refused(desk):
    assert air.air_rooms(desk) == ("main",)
    assert air.air_rooms(read_project(EXAMPLES / "quay-stage").design) == ("main",)
    assert air.air_rooms(desk.with_values({"cabinet": None})) == ()
    with pytest.raises(DesignErrors, match="no such room"):
        air.air_worked(air.Question(desk, "attic"), tell=lambda *_: None)
    with pytest.raises(Failed, match="no such room"):
        start(air.air_request(desk, "attic")).result(60.0)


def test_the_command_prints_it_and_keeps_it(tmp_path):
    folder = tmp_path / "desk"
    shutil.copytree(EXAMPLES / "desk-pair", folder, ignore=shutil.ignore_patterns(".work", "out"))
    done = CliRunner().invoke(cabinet_app, ["air", str(folder)])
    assert done.exit_code == 1  # bare walls, and nothing accepted
    assert "1 up" in done.output
    assert "air_mode_in_band" in done.output
    assert len(list((folder / ".work" / "results").glob("cabinet_air-*"))) == 1
    shown = CliRunner().invoke(cabinet_app, [str(folder)])
    assert "Volume of chamber main" in shown.output

"""Walls and braces of whole designs: driven by the bass's circuit, asked for, kept, proposed."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
import typer
from typer.testing import CliRunner

from speakerwright.chain import Memo, panels, work
from speakerwright.chain.requests import run
from speakerwright.chain.store import Store
from speakerwright.cli_walls import add_wall_commands
from speakerwright.design.file import read_project
from speakerwright.words.errors import DesignErrors
from speakerwright.words.findings import Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"
HALL = EXAMPLES / "harbour-hall"


@pytest.fixture(scope="module")
def hall():
    return work(read_project(HALL).design, Memo(), last="cabinet")


@pytest.fixture(scope="module")
def found(hall):
    return panels.panels_found(hall)


@pytest.fixture(scope="module")
def offered(hall):
    return panels.offers(hall)


def test_the_drive_is_that_of_the_circuit(hall):
    (drive,) = panels.chamber_drives(hall)
    assert (drive.room, drive.drivers) == ("main", ("Moorhoot 12",))
    assert (drive.lowest, drive.highest) == (50.0, 1000.0)
    assert drive.area == pytest.approx(0.0531)
    assert drive.net_volume == pytest.approx(62.3e-3, rel=1e-3)
    assert drive.valid_to == pytest.approx(343.97 / (2.0 * 0.632), rel=2e-3)
    # far above the tuning the port stands still: pressure and sound are those of a closed box
    f, air = drive.frequency, hall.bass.chambers["main"].inputs.air
    closed = air.density * air.speed**2 * np.abs(drive.volume_velocity) / (
        2.0 * np.pi * f * hall.design.decided.bass["main"].volume)
    high = (f > 300.0) & (f < 450.0)  # below the first resonance along the tubes
    assert np.abs(drive.pressure[high]) == pytest.approx(closed[high], rel=0.05)
    assert np.abs(drive.radiated[high]) == pytest.approx(
        np.abs(drive.volume_velocity[high]), rel=0.05)


def test_the_hall_has_no_loud_wall_and_its_brace_is_why(hall, found):
    (room,) = found.now.rooms
    level, at = room.peak(room.loudest)
    assert found.now.fields[room.members[room.loudest]].name == (
        "back of main, between brace and ceiling")
    assert level < -20.0
    assert 50.0 <= at <= room.valid_to
    (gain,) = found.gains
    assert gain.gained_db > 20.0
    assert gain.volume == pytest.approx(0.98e-3, rel=0.01)
    (brace,) = (panel for panel in hall.cabinet.panels if panel.role == "brace")
    wide, high = brace.bounding_size
    assert gain.money == pytest.approx(84.0 * wide * high / (2440.0 * 1220.0), rel=1e-6)
    assert {field.name for field in found.bare.fields} >= {"back of main", "left side of main"}


def test_an_answer_is_kept_under_what_it_rests_on(hall, tmp_path):
    store, told = Store(tmp_path), []
    request = panels.panels_request(hall.design)
    outcome = run(request, store, lambda share, says: told.append((share, says)))
    assert told[0][0] == 0.0
    again = run(request, store, lambda *_: pytest.fail("it was worked out again"))
    assert again.data.keys() == outcome.data.keys()
    (judged,) = panels.panel_findings(hall, again)
    assert judged.rule == "panel_quiet"
    assert judged.verdict in (Verdict.HOLDS, Verdict.TIGHT)
    (before,) = panels.panel_findings(hall, None)
    assert (before.verdict, before.name) == (Verdict.UNKNOWN, judged.name)
    other = hall.design.with_value("plan.title", "Another")
    assert panels.panels_request(other).key == request.key
    thicker = hall.design.with_value("cabinet.sheet", "15 mm")
    assert panels.panels_request(thicker).key != request.key


def test_proposals_can_be_built_and_do_what_was_said(hall, offered):
    assert {(o.proposed.kind, len(o.proposed.at)) for o in offered} >= {
        ("shelf", 1), ("shelf", 2), ("upright", 1)}
    for offer in offered:
        if (offer.proposed.kind, len(offer.proposed.at)) not in (("shelf", 2), ("upright", 1)):
            continue
        written = panels.braces_written(hall.design, offer.proposed)
        changed = hall.design.with_values(written)
        kinds = [brace.kind for brace in changed.decided.cabinet.braces]
        assert kinds.count(offer.proposed.kind) == len(offer.proposed.at)
        built = work(changed, Memo(), last="cabinet")
        assert built.cabinet.collisions == ()
        (room,) = panels.panels_found(built).now.rooms
        assert room.peak(room.loudest)[0] == pytest.approx(offer.then_db, abs=0.3)


def test_proposals_keep_off_ports_and_start_behind_the_driver(offered):
    for offer in offered:
        for at, behind in zip(offer.proposed.at, offer.proposed.behind, strict=True):
            for kept in offer.proposed.kept:
                if kept.low < at < kept.high:
                    assert kept.name == "Moorhoot 12"
                    assert behind == kept.behind
    shelves = [o.proposed for o in offered if o.proposed.kind == "shelf"]
    assert any(start is not None for one in shelves for start in one.behind)
    assert all(one.at[0] > 0.098 + 0.053 - 0.018 for one in shelves)


def test_other_braces_stay_as_they_are_written(hall):
    two = hall.design.with_values({"cabinet.braces": [
        {"chamber": "main", "at": "232 mm", "open": 0.5},
        {"chamber": "main", "at": "0 mm", "kind": "upright", "behind": "200 mm", "open": 0.6},
    ]})
    offer = next(o for o in panels.offers(hall, kinds=("shelf",), counts=(1,)))
    (list_,) = panels.braces_written(two, offer.proposed).values()
    assert list_[0] == two.raw["cabinet"]["braces"][1]
    assert list_[1] == {"chamber": "main", "at": f"{1e3 * offer.proposed.at[0]:g} mm"}


def test_what_cannot_be_asked_is_refused(hall):
    with pytest.raises(DesignErrors, match="closed chamber"):
        panels.offers(hall, "cellar")
    with pytest.raises(DesignErrors, match="one to four"):
        panels.offers(hall, counts=(5,))


def test_both_commands_print_what_was_found(tmp_path):
    shutil.copytree(HALL, tmp_path / "hall", ignore=shutil.ignore_patterns("out", ".work"))
    group = typer.Typer()
    add_wall_commands(group)
    runner = CliRunner()
    result = runner.invoke(group, ["panels", str(tmp_path / "hall")])
    assert result.exit_code == 0, result.output
    assert "Walls and braces" in result.output
    assert len(list((tmp_path / "hall" / ".work" / "results").glob("cabinet_panels-*.npz"))) == 1
    shelves = runner.invoke(group, ["brace", str(tmp_path / "hall"), "--kind", "shelf",
                                    "--count", "1"])
    assert shelves.exit_code == 0, shelves.output
    assert "Nothing is written" in shelves.output
    assert "cabinet.braces" in shelves.output
    wrong = runner.invoke(group, ["brace", str(tmp_path / "hall"), "--kind", "ladder"])
    assert isinstance(wrong.exception, DesignErrors)

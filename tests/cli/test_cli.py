"""The command line: what each command does, and what it says when it cannot."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from speakerwright import chain, cli
from speakerwright.design.file import read_project
from speakerwright.words.stages import built

ROOT = Path(__file__).parents[2]
HALL = ROOT / "examples" / "harbour-hall"


@pytest.fixture
def hall(tmp_path):
    shutil.copytree(HALL, tmp_path / "hall", ignore=shutil.ignore_patterns("out"))
    return tmp_path / "hall"


@pytest.fixture
def run(monkeypatch, capfd):
    """Runs one command in this process: status, what was printed, lines of the error stream."""

    def command(*arguments):
        monkeypatch.setattr(sys, "argv", ["speakerwright", *map(str, arguments)])
        try:
            cli.main()
            status = 0
        except SystemExit as left:
            status = left.code or 0
        out, err = capfd.readouterr()
        return status, out, err.splitlines()

    return command


# --- folders --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("folder", "says"),
    [
        ("nowhere", "there is no such folder. Check the path."),
        ("nowhere/design.toml", "there is no such folder. Check the path."),
        ("file.txt", "it is not a project folder. Name the folder of design.toml."),
        ("file.txt/inside", "there is no such folder. Check the path."),
        ("x" * 300, "its name is too long. Check the path."),
        ("a\nb\x1b[31m", "there is no such folder. Check the path."),
        ("loop", "there is no such folder. Check the path."),
    ],
    ids=["nowhere", "no file", "a file", "inside a file", "long", "control", "loop"],
)
def test_a_folder_that_is_none(folder, says, run, tmp_path):
    (tmp_path / "file.txt").write_text("x", encoding="utf-8")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    status, out, lines = run("check", tmp_path / folder)
    assert (status, out, len(lines)) == (2, "", 1)
    assert lines[0].endswith(says)
    assert lines[0].isprintable()
    assert len(lines[0]) < 300


def test_the_design_file_may_be_named_itself(run, hall):
    status, out, _ = run("check", hall / "design.toml")
    assert status == 0
    assert "bass" in out


def test_without_a_folder_it_looks_here(run, hall, monkeypatch):
    monkeypatch.chdir(hall)
    assert run("check")[0] == 0


# --- new ------------------------------------------------------------------------------------------


def test_new_makes_a_project_that_can_be_worked_out(run, tmp_path):
    folder = tmp_path / "a" / "first"
    status, out, lines = run("new", folder)
    assert (status, lines) == (0, [])
    assert str(folder) in out
    assert run("check", folder)[0] == 0
    assert run("plan", folder)[0] == 0
    assert (folder / "out" / "plan.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("there", "says"),
    [("design.toml", "there is a design already. Choose another folder."),
     ("records/my-woofer.toml", "there is a record of this name already. Choose another folder."),
     ("records", "the folder cannot be made: file exists. Choose another place.")],
)
def test_new_overwrites_nothing(there, says, run, tmp_path):
    (tmp_path / there).parent.mkdir(exist_ok=True)
    (tmp_path / there).write_text("mine", encoding="utf-8")
    status, out, lines = run("new", tmp_path)
    assert (status, out) == (2, "")
    assert lines[0].endswith(says)
    assert (tmp_path / there).read_text(encoding="utf-8") == "mine"
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == [Path(there).name]


@pytest.mark.parametrize("name", ["file.txt/inside", "x" * 300])
def test_new_where_no_folder_can_be(name, run, tmp_path):
    (tmp_path / "file.txt").write_text("mine", encoding="utf-8")
    status, out, lines = run("new", tmp_path / name)
    assert (status, out, len(lines)) == (2, "", 1)
    assert "the folder cannot be made" in lines[0]


# --- set ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [("bass.main.volume", "64 L", 'volume = "64 L"'),
     ("bass.main.losses.leak_q", "10", "leak_q = 10"),
     ("plan.version", "0.2", 'version = "0.2"'),
     ("plan.title", '"In quotes"', 'title = "In quotes"'),
     ("plan.title", "true", 'title = "true"'),
     ("plan.date", "2026-04-01", "date = 2026-04-01"),
     ("brief.room.occupied", "false", "occupied = false"),
     ("cabinet.width", "17 3/4 in", 'width = "17 3/4 in"'),
     ("bass.main.loads", '["low"]', 'loads = ["low"]'),
     ("records.moorhoot-12.datasheet.fs", "51 Hz", 'fs = "51 Hz"'),
     ("brief.room.directivity_index", "-1 dB", 'directivity_index = "-1 dB"   # assumed for the '
      "whole programme until the directivity is worked out")],
)
def test_set_changes_one_line(path, value, line, run, hall):
    name = "records/moorhoot-12.toml" if path.startswith("records.") else "design.toml"
    before = (hall / name).read_text(encoding="utf-8").splitlines()
    status, out, lines = run("set", path, value, hall)
    assert (status, out, lines) == (0, f"{path} = {value}\n", [])
    after = (hall / name).read_text(encoding="utf-8").splitlines()
    changed = [new for old, new in zip(before, after, strict=True) if old != new]
    assert changed == ([line] if path != "bass.main.loads" else [])


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [("bass.main.volume", "64", "bass.main.volume: 64 is not a volume: it has no unit"),
     ("bass.main.volume", "64,5 L", "use a decimal point"),
     ("bass.main.volume", "-1 L", "out of range"),
     ("bass.mian.volume", "64 L", "Did you mean 'main'?"),
     ("bass.main.volumen", "64 L", "Did you mean 'volume'?"),
     ("records.nobody.datasheet.fs", "64 Hz", "there is no record 'nobody'"),
     ("records.moorhoot-12.datasheet.fs", "64 mm", "'mm' does not measure this"),
     ('bass."main', "64 L", "its quotes do not fit"),
     ("", "64 L", "not a known name"),
     ("bass.main.volume", "nan", "not"),
     ("bass.main.volume", "[" * 3000, "far too long"),
     ("brief.beat.7.price", "3", "there is no entry '7'"),
     ("plan", "3", "it is not a table"),
     ("drivers", "{}", "no drivers")],
)
def test_set_refuses_and_writes_nothing(path, value, says, run, hall):
    before = {file: file.read_bytes() for file in hall.rglob("*.toml")}
    status, out, lines = run("set", path, value, hall)
    assert (status, out) == (2, "")
    assert any(says in line for line in lines), lines
    assert {file: file.read_bytes() for file in hall.rglob("*.toml")} == before


# --- accept ---------------------------------------------------------------------------------------


def test_a_reason_lets_the_plan_go_out_until_the_value_gets_worse(run, hall):
    run("set", "cabinet.depth", "240 mm", hall)
    status, out, _ = run("check", hall, "--json")
    assert status == 1
    found = json.loads(out)["findings"]
    failing = [f"{f['rule']} at {f['where']}" for fs in found.values() for f in fs
               if f["verdict"] == "fails"]
    assert failing
    for name in failing:
        status, out, _ = run("accept", name, hall, "--reason", "A mock-up of card.")
        assert (status, out) == (0, f"Recorded for {name}: A mock-up of card.\n")
    assert run("check", hall)[0] == 0
    status, out, _ = run("bass", hall)
    assert status == 0
    assert "Accepted: A mock-up of card." in out
    assert run("plan", hall)[0] == 0
    run("set", "cabinet.depth", "230 mm", hall)  # worse: the reasons no longer stand
    assert run("check", hall)[0] == 1


@pytest.mark.parametrize("name", ["port_gap at bass.main.port", "nonsense", "", "{value}"])
def test_only_a_failing_finding_can_be_accepted(name, run, hall):
    before = (hall / "design.toml").read_bytes()
    status, out, lines = run("accept", name, hall, "--reason", "Because.")
    assert (status, out) == (2, "")
    assert lines == [f"accept: no failing finding is called '{name}'. Failing: none fails."]
    assert (hall / "design.toml").read_bytes() == before


@pytest.mark.parametrize("reason", ["", "  ", "a\x07b", "x" * 3000])
def test_a_reason_says_something(reason, run, hall):
    run("set", "cabinet.width", "300 mm", hall)
    before = (hall / "design.toml").read_bytes()
    status, _, lines = run("accept", "driver_width at directivity", hall, "--reason", reason)
    assert status == 2
    assert lines[0].startswith('accepted."driver_width at directivity".reason: it ')
    assert (hall / "design.toml").read_bytes() == before


# --- plan, rule, and the rest ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("out", "says"),
    [("folder", "it is a folder, not a file. Nothing was written."),
     ("file.txt/plan.pdf", "the folder cannot be made: "),
     ("x" * 300, "its name is too long. Nothing was written.")],
)
def test_a_plan_that_cannot_be_written(out, says, run, hall, tmp_path, monkeypatch):
    monkeypatch.setattr(chain, "plan_pdf", lambda workup, tell: b"%PDF")
    (tmp_path / "folder").mkdir()
    (tmp_path / "file.txt").write_text("mine", encoding="utf-8")
    status, printed, lines = run("plan", hall, "--out", tmp_path / out)
    assert (status, printed, len(lines)) == (2, "", 1)
    assert says in lines[0]
    assert (tmp_path / "file.txt").read_text(encoding="utf-8") == "mine"
    assert not list(tmp_path.glob(".*"))


@pytest.mark.parametrize(("word", "hint"), [("port_gab", "Did you mean 'port_gap'?"),
                                            ("zzz", "Known: amplifier_headroom")])
def test_a_rule_that_is_none(word, hint, run):
    status, out, lines = run("rule", word)
    assert (status, out) == (2, "")
    assert lines[0].startswith(f"rule: there is no rule '{word}'. {hint}")


def test_a_rule_is_explained(run):
    status, out, _ = run("rule", "port_gap")
    assert status == 0
    assert out.startswith("port_gap (bass)\nIs there room behind the port's inner end?\n")


@pytest.mark.parametrize("arguments", [["chekc"], ["check", "--jsno"], ["set", "a.b"],
                                       ["accept", "x"], ["check", "a", "b"]])
def test_a_command_that_is_none_says_how_to_ask(arguments, run):
    status, out, lines = run(*arguments)
    assert (status, out) == (2, "")
    assert any("--help" in line for line in lines)


def test_version_says_what_a_bug_report_needs(run):
    status, out, _ = run("--version")
    assert status == 0
    assert out.startswith("speakerwright ")
    assert "numpy" in out


def test_a_stage_waits_for_nothing_that_comes_later(run, hall, monkeypatch):
    """A command of a stage works the design out up to that stage; check and plan go to the end."""
    asked, real = [], chain.work

    def noted(design, memo=None, *, last="cutting"):
        asked.append(last)
        return real(design, memo, last=last)

    monkeypatch.setattr(chain, "work", noted)
    monkeypatch.setattr(chain, "plan_pdf", lambda workup, tell: b"%PDF")
    for command in (*built()[:-1], "check", "plan"):
        assert run(command, hall)[0] == 0
    assert asked == [*built()[:-1], "cutting", "cutting"]


def test_a_stage_that_the_design_decides_nothing_about(run, hall):
    path = hall / "design.toml"
    text = path.read_text(encoding="utf-8")
    start, end = text.index("[cutting]"), text.index("[plan]")
    path.write_text(text[:start] + text[end:], encoding="utf-8")
    status, out, lines = run("cutting", hall)
    assert (status, out) == (2, "")
    assert lines[0].startswith("cutting: the design decides nothing about cutting")


def test_cut_files_are_written_and_refused_while_something_fails(run, hall, tmp_path):
    status, out, lines = run("cutting", hall, "--out", tmp_path / "cut")
    assert (status, lines) == (0, [])
    assert f"Wrote the cut files into {tmp_path / 'cut'}" in out
    written = [path for path in (tmp_path / "cut").rglob("*") if path.is_file()]
    files = chain.cut_files(chain.work(read_project(hall).design))
    assert {str(path.relative_to(tmp_path / "cut")): path.read_bytes()
            for path in written} == files
    assert any(name.endswith(".dxf") for name in files)
    run("set", "cabinet.depth", "320 mm", hall)  # deeper than the recess
    status, out, lines = run("cutting", hall, "--out", tmp_path / "none")
    assert (status, out) == (2, "")
    assert lines[0].startswith("cutting: something fails, so no cut files are written.")
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("stage", built()[:-1])
def test_a_stage_is_printed_and_given_to_machines(stage, run, hall):
    status, out, lines = run(stage, hall)
    assert (status, lines) == (0, [])
    status, out, lines = run(stage, hall, "--json")
    assert (status, lines) == (0, [])
    assert json.loads(out)[stage]["findings"]


# --- what nobody foresaw --------------------------------------------------------------------------


def _broken(*_, **__):
    raise ZeroDivisionError("float division by zero")


def test_a_fault_of_the_program_is_called_one(run, hall, monkeypatch):
    monkeypatch.setattr(chain, "work", _broken)
    monkeypatch.delenv("SPEAKERWRIGHT_TRACE", raising=False)
    status, out, lines = run("check", hall)
    assert (status, out) == (3, "")
    assert lines[0].startswith(
        "Speakerwright met a fault of its own (ZeroDivisionError in test_cli.py, line ")
    assert "Traceback" not in "\n".join(lines)


def test_a_fault_is_shown_whole_on_request(hall, monkeypatch):
    monkeypatch.setattr(chain, "work", _broken)
    monkeypatch.setenv("SPEAKERWRIGHT_TRACE", "1")
    monkeypatch.setattr(sys, "argv", ["speakerwright", "check", str(hall)])
    with pytest.raises(ZeroDivisionError):
        cli.main()


def test_stopping_it_is_no_fault(run, hall, monkeypatch):
    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(chain, "work", stopped)
    status, _, lines = run("check", hall)
    assert status == 130
    assert lines == ["Stopped."]


def _outside(*arguments, **options):
    return subprocess.run([sys.executable, "-m", "speakerwright.cli", *map(str, arguments)],
                          capture_output=True, check=False, **options)


@pytest.mark.parametrize("encoding", ["ascii", "latin-1"])
def test_a_terminal_that_lacks_characters_gets_others(encoding, hall):
    done = _outside("bass", hall, env={**os.environ, "PYTHONIOENCODING": encoding})
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"Bass" in done.stdout


def test_a_reader_who_walks_away_causes_no_noise(hall):
    with subprocess.Popen(
        [sys.executable, "-m", "speakerwright.cli", "bass", str(hall), "--json"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    ) as process:
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode in (0, 1)


def test_an_edit_by_hand_between_reading_and_saving_is_kept(run, hall, monkeypatch):
    real = read_project

    def meddled(folder):
        project = real(folder)
        path = hall / "design.toml"
        path.write_text(path.read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
        return project

    monkeypatch.setattr("speakerwright.design.file.read_project", meddled)
    status, out, lines = run("set", "bass.main.volume", "64 L", hall)
    assert (status, out) == (2, "")
    assert lines == ["design.toml: it was changed by someone else since it was read. Nothing was "
                     "written; read it again and repeat your change."]
    text = (hall / "design.toml").read_text(encoding="utf-8")
    assert text.endswith("# by hand\n")
    assert 'volume = "62 L"' in text

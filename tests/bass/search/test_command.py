"""The command: it searches, is stopped, goes on, and refuses in plain sentences."""

from __future__ import annotations

import json
import shutil
import sys

import pytest

from bass.search.spaces import EXAMPLES, SMALL
from speakerwright import cli
from speakerwright.bass.search import gather
from speakerwright.bass.search import run as running

SEARCH = ("bass", "search")


@pytest.fixture
def desk(tmp_path, monkeypatch):
    monkeypatch.setattr(gather.Asked, "__init__", _small)
    monkeypatch.setenv("COLUMNS", "200")
    folder = tmp_path / "desk"
    shutil.copytree(EXAMPLES / "desk-pair", folder, ignore=shutil.ignore_patterns("out", ".work"))
    return folder


def _small(self, records=(), loadings=SMALL.loadings):
    for name, value in vars(SMALL).items():
        object.__setattr__(self, name, value)
    object.__setattr__(self, "records", records)
    object.__setattr__(self, "loadings", loadings)


@pytest.fixture
def run(monkeypatch, capfd):
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


def test_it_prints_the_front_and_writes_all_of_it(desk, run, tmp_path):
    target = tmp_path / "new" / "front.csv"
    status, out, lines = run(*SEARCH, desk, "--workers", 1, "--top", 2, "--csv", target)
    assert status == 0
    assert "Search for chamber main" in out
    assert "meet the brief" in out
    assert lines == [f"Wrote {target}"]
    head, *rows = target.read_text(encoding="utf-8").splitlines()
    assert head.startswith("stands,meets,record,")
    assert len(rows) > 2
    status, out, _ = run(*SEARCH, desk, "--workers", 1, "--json")
    assert len(json.loads(out)["members"]) == sum(row.startswith("yes") for row in rows)


def test_the_stage_is_shown_as_before(desk, run):
    plain = run("bass", desk)
    assert plain[0] in (0, 1)
    assert plain[1].startswith("Bass")
    assert run("bass", "show", desk) == plain
    assert json.loads(run("bass", "--json", desk)[1])
    status, out, _ = run("bass", "--help")
    assert (status, "search" in out) == (0, True)
    status, _, lines = run("bass", desk / "nowhere")
    assert status == 2
    assert lines[-1].endswith("there is no such folder. Check the path.")


@pytest.mark.parametrize(("options", "says"), [
    (("--records", "fenlark"), "there is no record of a cone driver 'fenlark'. "
                               "Did you mean 'fenlark-165'?"),
    (("--loadings", "closed,horn"), "there is no loading 'horn' to search."),
    (("--chamber", "mian"), "there is no chamber 'mian'. Known: main."),
])
def test_it_refuses_in_plain_sentences(options, says, desk, run):
    status, out, lines = run(*SEARCH, desk, "--workers", 1, *options)
    assert (status, out) == (2, "")
    assert says in lines[0]


def test_only_what_is_asked_is_searched(desk, run):
    _, out, _ = run(*SEARCH, desk, "--workers", 1, "--json", "--loadings", "closed")
    found = json.loads(out)
    every = found["members"] + found["fallen"] + [found["nearest"]]
    assert {each["candidate"]["loading"] for each in every if each} == {"closed"}


def test_an_interrupt_stops_it_and_the_same_command_goes_on(desk, run, monkeypatch):
    worked, calls = running.worked, []

    def interrupted(*given):
        calls.append(len(given[0]))
        if len(calls) == 2:
            raise KeyboardInterrupt
        return worked(*given)

    monkeypatch.setattr(running, "worked", interrupted)
    status, out, lines = run(*SEARCH, desk, "--workers", 1)
    assert (status, out) == (130, "")
    assert lines[-1] == "Stopped."
    (part,) = (desk / ".work" / "results").iterdir()
    assert part.name.startswith("bass_search_part-")
    status, out, _ = run(*SEARCH, desk, "--workers", 1, "--json")
    assert status == 0
    assert sum(calls) - calls[1] == json.loads(out)["worked_out"]  # the first batch not again

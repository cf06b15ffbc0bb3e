"""`speakerwright bass`: alignments, a chamber played loud, and what its chapter tells."""

from __future__ import annotations

import re
import shutil
import sys
from pathlib import Path

import pytest

from speakerwright import chain, cli
from speakerwright.bass.chapter import alignments_chapter
from speakerwright.design.file import read_project
from speakerwright.words.blocks import Heading, Table

HALL = Path(__file__).parents[2] / "examples" / "harbour-hall"


@pytest.fixture
def hall(tmp_path):
    shutil.copytree(HALL, tmp_path / "hall", ignore=shutil.ignore_patterns("out", ".work"))
    return tmp_path / "hall"


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
        return status, out.replace("\u202f", " "), err

    return command


def test_align_prints_every_alignment_and_why_others_are_not(run, hall):
    status, out, err = run("bass", "align", hall)
    assert (status, err) == (0, "")
    assert re.search(r"^QB3 +vented +41\.27 L +59\.2 Hz +none +67\.1 Hz", out, re.MULTILINE)
    assert re.search(r"^B2 +closed +19\.52 L", out, re.MULTILINE)
    assert "Not for these drivers" in out
    assert "1.12 Ω in series" in out
    assert max(map(len, out.splitlines())) <= 80
    assert "ft³" in run("bass", "align", hall, "--inch")[1]


def test_loud_prints_limits_compression_and_harmonics(run, hall):
    status, out, err = run("bass", "loud", hall, "--volts", "25")
    assert (status, err) == (0, "")
    for words in ("For a moment", "Coil settles", "200.0 °C", "Harmonics at 25 V",
                  "assumed to fall to 82 % at xmax"):
        assert words in out
    kept = list((hall / ".work" / "results").glob("bass_harmonics-*.npz"))
    assert len(kept) == 1
    assert run("bass", "loud", hall, "--volts", "25")[1] == out  # read back, not worked out again
    assert list((hall / ".work" / "results").iterdir()) == kept


def test_loud_without_harmonics_says_so(run, hall):
    text = (hall / "design.toml").read_text(encoding="utf-8")
    vented = r'loading = "vented"\nvolume = "62 L"\n\n\[bass\.main\.port\]\n.*?\n\n'
    flat = 'loading = "open-baffle"\nbaffle = {width = "600 mm", height = "900 mm"}\n\n'
    text, made = re.compile(vented, re.DOTALL).subn(flat, text)
    assert made == 1
    (hall / "design.toml").write_text(text, encoding="utf-8")
    status, out, _ = run("bass", "loud", hall)
    assert status == 0
    assert "Harmonics are worked out for closed and vented chambers" in out
    assert "For a moment" in out


@pytest.mark.parametrize("command", ["align", "loud"])
def test_an_unknown_chamber_is_refused(run, hall, command):
    status, out, err = run("bass", command, hall, "--chamber", "attic")
    assert (status, out) == (2, "")
    assert err == "bass: there is no chamber 'attic'. Known: main.\n"


@pytest.mark.parametrize("volts", ["0", "-3", "2000", "much"])
def test_a_voltage_out_of_range_is_refused(run, hall, volts):
    assert run("bass", "loud", hall, f"--volts={volts}")[0] == 2


def heads(blocks):
    return [block.text for block in blocks if isinstance(block, Heading)]


def test_the_chapter_tells_seats_and_loud_and_alignments_and_the_quick_one_less():
    workup = chain.work(read_project(HALL).design, last="bass")
    whole = chain.chapters(workup)["bass"].blocks
    quick = chain.chapters(workup, quick=True)["bass"].blocks
    assert heads(whole)[-4:] == ["Level at the seats", "Played loud", "Named alignments",
                                 "Other ports that would fit"]
    assert heads(quick) == heads(whole)[:-3]


def test_seats_are_told_in_third_octaves_as_they_were_worked_out():
    workup = chain.work(read_project(HALL).design, last="bass")
    blocks = chain.chapters(workup, quick=True)["bass"].blocks
    table = next(block for block in blocks if isinstance(block, Table)
                 and block.heads[0] == "Third octave")
    levels = workup.bass.chambers["main"].place.levels
    for row in table.rows:
        k = abs(levels.frequency - float(row[0].split("\u202f")[0])).argmin()
        told = [float(cell.split("\u202f")[0]) for cell in row[1:]]
        assert min(told) == pytest.approx(levels.smallest_db[k], abs=0.0501)
        assert max(told) == pytest.approx(levels.largest_db[k], abs=0.0501)


def test_no_alignments_where_there_is_no_such_box():
    design = read_project(HALL).design.with_values({
        "bass.main.loading": "open-baffle", "bass.main.port": None, "bass.main.volume": None,
        "bass.main.baffle": {"width": "600 mm", "height": "900 mm"}})
    workup = chain.work(design, last="bass")
    blocks = chain.chapters(workup)["bass"].blocks
    assert "Named alignments" not in heads(blocks)
    assert "Level at the seats" not in heads(blocks)
    assert "Textbook alignment for this driver" not in str(blocks)
    assert any("Where the model ends: The edges are taken in first order" in str(block)
               for block in blocks)
    assert alignments_chapter(workup.bass.chambers["main"], "metric").blocks

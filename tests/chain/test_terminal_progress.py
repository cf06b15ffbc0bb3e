"""The same progress on the command line: a bar for who watches, nothing for a file."""

from __future__ import annotations

import signal
import subprocess
import sys
import time

from speakerwright.chain.requests import Request, run
from speakerwright.design.starter import start
from speakerwright.terminal import progress

from . import slow_work


def test_nothing_is_printed_where_nobody_watches(capsys):
    with progress("Squaring.") as tell:
        made = run(Request("squares", 1, slow_work.squares, (3,)), None, tell)
    assert made.data["count"] == 3
    assert capsys.readouterr() == ("", "")


def test_who_watches_sees_what_is_being_done(capsys, monkeypatch):
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TTY_COMPATIBLE", "1")
    with progress("Squaring.") as tell:
        tell(0.5, "Half of it [red].")
        time.sleep(0.2)
    out, error = capsys.readouterr()
    assert out == ""
    assert "Half of it [red]." in error


def test_an_interrupt_ends_the_making_of_a_plan_and_writes_nothing(tmp_path):
    start(tmp_path / "first")
    code = ("import sys, time; from speakerwright import chain, cli\n"
            "def endless(workup, tell):\n"
            "    print('at it', flush=True)\n"
            "    while True: tell(0.5, 'Endless.'); time.sleep(0.01)\n"
            "chain.plan_pdf = endless\n"
            "cli.main()")
    process = subprocess.Popen(
        [sys.executable, "-c", code, "plan", str(tmp_path / "first"), "--draft"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout.readline() == "at it\n"
    process.send_signal(signal.SIGINT)
    out, error = process.communicate(timeout=30)
    assert process.returncode == 130
    assert (out, error) == ("", "Stopped.\n")
    assert not list((tmp_path / "first").glob("out/*.pdf"))

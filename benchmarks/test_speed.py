"""How long one edit, one port, one network and one command take; see docs/speed.md.

Goals: an edit of the volume worked out in 20 ms (median), `check` in 3 s and `plan` in 10 s, each
in a new process, on two cores.
"""

from __future__ import annotations

import itertools
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from speakerwright import chain
from speakerwright.bass.inputs import chamber_input
from speakerwright.bass.loadings import circuit
from speakerwright.bass.port import work_out
from speakerwright.bass.stage import GRID, port_case
from speakerwright.design.document import Design
from speakerwright.design.file import read_project

HALL = Path(__file__).parents[1] / "examples" / "harbour-hall"


@pytest.fixture(scope="module")
def design() -> Design:
    return read_project(HALL).design


@pytest.fixture(scope="module")
def inputs(design):
    return chamber_input(design, "main", chain.seat_of(chain.settle(design), "main"))


def test_brief_drivers_and_bass_after_an_edit(benchmark, design):
    memo = chain.Memo()
    chain.work(design, memo, last="bass")
    volumes = itertools.count(60_000)

    def edit():
        return chain.work(design.with_value("bass.main.volume", f"{next(volumes)} cm^3"), memo,
                          last="bass")

    workup = benchmark.pedantic(edit, rounds=100, warmup_rounds=3)
    assert memo.calls["bass"] == 1 + next(volumes) - 60_000  # no bass was taken from the memo
    assert memo.calls["drivers"] == 1
    assert workup.bass.chambers["main"].port.tunes
    if not benchmark.disabled:
        assert benchmark.stats.stats.median < 0.020


def test_brief_drivers_and_bass_from_nothing(benchmark, design):
    benchmark.pedantic(
        lambda: chain.work(design, chain.Memo(), last="bass"), rounds=50, warmup_rounds=2)


def test_port(benchmark, inputs):
    case = port_case(inputs)
    assert benchmark(work_out, case).fits


def test_network(benchmark, inputs):
    network = circuit(inputs, work_out(port_case(inputs))).network
    solution = benchmark(network.solve, GRID)
    assert np.all(np.isfinite(solution.current("cone")))


def command(*words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", "from speakerwright.cli import main; main()", *words],
        capture_output=True, text=True, check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_check_in_a_new_process(benchmark):
    text = benchmark.pedantic(lambda: command("check", str(HALL)), rounds=5, warmup_rounds=1)
    assert "holds" in text
    if not benchmark.disabled:
        assert benchmark.stats.stats.median < 3.0


def test_plan_in_a_new_process(benchmark, tmp_path):
    out = tmp_path / "plan.pdf"
    benchmark.pedantic(
        lambda: command("plan", str(HALL), "--out", str(out)), rounds=3, warmup_rounds=1)
    assert out.read_bytes().startswith(b"%PDF")
    if not benchmark.disabled:
        assert benchmark.stats.stats.median < 10.0

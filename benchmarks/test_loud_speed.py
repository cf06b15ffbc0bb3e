"""How long the motion in time, the harmonics and the hot levels of one chamber take.

Goals: one second of audio in 100 ms, and harmonics at 24 frequencies in 3 s, both warm; levels of
five voltages with hot coils and turbulent ports in 1 s.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from speakerwright import chain
from speakerwright.acoustics.largesignal.motion import simulate
from speakerwright.bass.distortion import distortion, in_time
from speakerwright.bass.inputs import chamber_input
from speakerwright.bass.loud import SHARES, compression, long_volts, loud_input, loud_limits
from speakerwright.bass.loud import Programme as Music
from speakerwright.bass.stage import GRID
from speakerwright.design.file import read_project

HALL = Path(__file__).parents[1] / "examples" / "harbour-hall"


@pytest.fixture(scope="module")
def loud():
    design = read_project(HALL).design
    seat = chain.seat_of(chain.settle(design), "main")
    return loud_input(chamber_input(design, "main", seat))


def median(benchmark) -> float:
    return 0.0 if benchmark.disabled else benchmark.stats.stats.median


def test_one_second_of_audio(benchmark, loud):
    model = in_time(loud)
    volts = 20.0 * np.random.default_rng(1).normal(size=48000)
    motion = benchmark(simulate, model, volts)
    assert motion.states.shape[1] == 48000
    assert median(benchmark) < 0.1


def test_harmonics_at_24_frequencies(benchmark, loud):
    found = benchmark.pedantic(lambda: distortion(loud, 20.0), rounds=5, warmup_rounds=1)
    assert found.frequency.size == 24
    assert np.all(found.settled)
    assert median(benchmark) < 3.0


def test_levels_of_five_voltages(benchmark, loud):
    music = Music()
    most = long_volts(loud, music)
    found = benchmark.pedantic(
        lambda: compression(loud, [share * most for share in SHARES], GRID, music),
        rounds=5, warmup_rounds=1)
    assert found.level_db.shape == (5, GRID.size)
    assert median(benchmark) < 1.0


def test_limits_for_short_and_for_long(benchmark, loud):
    found = benchmark.pedantic(lambda: loud_limits(loud, GRID), rounds=5, warmup_rounds=1)
    assert np.all(np.isfinite(found.peak_db))

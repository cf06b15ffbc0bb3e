"""Extension, headroom and room below the band, by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bass.boxes import NEED
from speakerwright.acoustics.spectra import third_octave_level_db
from speakerwright.bass.search.figures import band_headroom_db, extension, room_below_db
from speakerwright.bass.stage import GRID


def test_the_extension_of_a_second_order_high_pass():
    """|H| of a Butterworth high-pass at fc falls to d dB where (fc/f)^4 = 10^(d/10) - 1."""
    ratio = GRID / 40.0
    level = -10.0 * np.log10(1.0 + ratio**-4)
    for drop, tolerance in ((3.0103, 1e-4), (6.0, 1e-4), (10.0, 1e-4)):
        expected = 40.0 * (10.0 ** (drop / 10.0) - 1.0) ** -0.25
        assert extension(GRID, level, drop) == pytest.approx(expected, rel=tolerance)


def test_the_first_rise_counts_and_a_level_that_never_rises_has_none():
    f = np.array([10.0, 20.0, 40.0, 80.0])
    rows = np.array([[-20.0, -4.0, -20.0, 0.0], [-20.0, -15.0, -12.0, -11.0], [0.0] * 4])
    assert extension(f, rows, 12.0).tolist() == pytest.approx([20.0 * 2**-0.5, 40.0, math.inf])


def test_headroom_is_that_of_the_worst_frequency_in_the_band():
    f = np.array([30.0, 50.0, 200.0, 2000.0])
    level = np.array([0.0, 60.0, 70.0, 0.0])
    shape = third_octave_level_db("programme", np.array([50.0, 200.0]))
    shape = shape - shape.max()
    volts = {"amplifier": np.full(4, 100.0), "heat": np.array([1.0, 40.0, 1000.0, 1.0])}
    found = band_headroom_db(f, level, volts, NEED)
    assert found["amplifier"] == pytest.approx(min(100 - shape[0], 110 - shape[1]) - 116.0)
    expected = min(60 + 20 * math.log10(40) - shape[0], 70 + 60 - shape[1]) - 106.0
    assert found["heat"] == pytest.approx(expected)


def test_room_below_the_band_is_for_the_whole_peak():
    f = np.array([20.0, 40.0, 60.0])
    excursion = np.array([[1e-4, 2e-4, 9e-4]])  # 60 Hz lies in the band
    room = room_below_db(f, excursion, 96.0, 0.006, NEED)  # 116 dB is 10 V
    assert room == pytest.approx(20 * math.log10(0.006 / 2e-3))
    assert room_below_db(f + 40.0, excursion, 96.0, 0.006, NEED).tolist() == [math.inf]

"""Closed boxes: volume, half power, peak, and the Q of a wanted peak."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import alignments
from speakerwright.acoustics.air import Air


@given(st.floats(15.0, 120.0), st.floats(0.15, 0.7), st.floats(0.001, 0.5), st.floats(1.05, 4.0))
def test_closed_volume_and_q_are_inverse(fs, qts, vas, rise):
    volume = alignments.closed_volume(qts, vas, qts * rise)
    found = alignments.closed_system(fs, qts, vas, volume)
    assert found.qtc == pytest.approx(qts * rise, rel=1e-9)
    assert found.fc == pytest.approx(fs * rise, rel=1e-9)


@given(st.floats(0.3, 3.0))
def test_closed_half_power_point_is_at_half_power(qtc):
    level = alignments.closed_response_db(alignments.closed_f3_over_fc(qtc) * 50.0, 50.0, qtc)
    assert float(level) == pytest.approx(-10 * math.log10(2.0), abs=1e-9)


@given(st.floats(0.3, 3.0))
def test_closed_peak_is_the_highest_level(qtc):
    peak, ratio = alignments.closed_peak(qtc)
    levels = alignments.closed_response_db(np.geomspace(1.0, 1e4, 2001), 50.0, qtc)
    assert levels.max() <= peak + 1e-9
    if math.isfinite(ratio):
        at = alignments.closed_response_db(ratio * 50.0, 50.0, qtc)
        assert float(at) == pytest.approx(peak, abs=1e-9)


def test_closed_displacement_limit_by_the_greatest_excursion():
    # The excursion of a closed box follows the second-order low-pass of the same Q.
    air, fc, qtc, displacement = Air(), 50.0, 1.1, 3e-4
    x = np.geomspace(0.01, 10.0, 20001)
    greatest = np.max(1.0 / np.hypot(1.0 - x**2, x / qtc))
    flow = (2 * math.pi * fc) ** 2 * displacement / greatest  # at high frequency, over omega
    expected = air.density * flow**2 / (2 * math.pi * air.speed) / 2.0
    found = alignments.closed_displacement_limited_power(
        qtc, fc * alignments.closed_f3_over_fc(qtc), displacement, air
    )
    assert found == pytest.approx(expected, rel=1e-5)




@given(st.floats(0.0, 6.0))
def test_a_wanted_peak_and_its_q_are_inverse(peak_db):
    found = alignments.closed_q_for_peak(peak_db)
    assert found >= alignments.BUTTERWORTH
    assert alignments.closed_peak(found)[0] == pytest.approx(peak_db, abs=1e-7)


def test_the_named_qs_by_what_they_are_named_for():
    # critically damped: two equal real poles
    x = np.geomspace(0.2, 5.0, 9)
    level = alignments.closed_response_db(x, 1.0, alignments.CRITICALLY_DAMPED)
    assert list(level) == pytest.approx(list(40 * np.log10(x / np.hypot(1.0, x))), abs=1e-9)
    # Butterworth: |G|^2 = x^4 / (1 + x^4)
    level = alignments.closed_response_db(x, 1.0, alignments.BUTTERWORTH)
    assert list(level) == pytest.approx(list(10 * np.log10(x**4 / (1 + x**4))), abs=1e-9)
    # Bessel: s^2 + 3 s + 3, mirrored
    level = alignments.closed_response_db(x, 1.0, alignments.BESSEL)
    s = 3**0.5 / (1j * x)
    bessel = 20 * np.log10(np.abs(3 / (s**2 + 3 * s + 3)))
    assert list(level) == pytest.approx(list(bessel), abs=1e-9)

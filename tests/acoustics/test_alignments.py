import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.acoustics import alignments
from speakerwright.acoustics.air import Air

leakages = st.one_of(st.just(math.inf), st.floats(4.0, 50.0))


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


@settings(max_examples=40)
@given(st.floats(0.12, 0.6), leakages)
def test_vented_alignment_has_its_qt_and_its_half_power_point(qt, ql):
    found = alignments.vented_for_driver(qt, ql)
    assert found.qt == pytest.approx(qt, rel=2e-6)
    level = alignments.vented_response_db(
        found.f3_over_fs * 40.0, 40.0, found.qt, found.alpha, found.h, ql
    )
    assert float(level) == pytest.approx(-10 * math.log10(2.0), abs=1e-6)


@settings(max_examples=40)
@given(st.floats(0.3, 0.95), leakages)  # nearer to 1 the ripple drowns in rounding
def test_chebyshev_ripple_is_equal_and_as_stated(k, ql):
    found = alignments.chebyshev4_by_k(k, ql)
    frequency = np.geomspace(0.3, 100.0, 20001) * 40.0
    levels = alignments.vented_response_db(frequency, 40.0, found.qt, found.alpha, found.h, ql)
    inside = levels[1:-1]
    peaks = inside[(inside > levels[:-2]) & (inside > levels[2:])]
    assert len(peaks) == 2
    assert list(peaks) == pytest.approx([found.ripple_db] * 2, rel=0.001, abs=1e-7)
    troughs = inside[(inside < levels[:-2]) & (inside < levels[2:])]
    assert list(troughs) == pytest.approx([0.0], abs=1e-5)


@given(st.floats(0.1, 0.38))
def test_quasi_butterworth_has_no_peak(qt):
    found = alignments.quasi_butterworth3(qt)
    frequency = np.geomspace(0.05, 100.0, 500) * 40.0
    levels = alignments.vented_response_db(frequency, 40.0, found.qt, found.alpha, found.h)
    assert np.all(np.diff(levels) > -1e-9)


def test_families_meet_at_the_flat_alignment():
    for ql in (math.inf, 7.0):
        flat = alignments.butterworth4(ql)
        for other in (
            alignments.quasi_butterworth3(flat.qt, ql),
            alignments.chebyshev4(flat.qt, ql),
            alignments.chebyshev4_by_k(1.0, ql),
        ):
            assert (other.alpha, other.h, other.f3_over_fs) == pytest.approx(
                (flat.alpha, flat.h, flat.f3_over_fs), rel=1e-6
            )


@given(st.floats(15.0, 90.0), st.floats(0.5, 2.0), st.floats(0.1, 8.0))
def test_impedance_peaks_and_alpha_are_inverse(fs, h, alpha):
    lower, upper = alignments.vented_peaks_lossless(fs, h * fs, alpha)
    assert lower < h * fs < upper
    assert lower < fs < upper
    assert alignments.alpha_from_peaks(lower, h * fs, upper) == pytest.approx(alpha, rel=1e-6)


def test_response_falls_as_the_fourth_power_and_leakage_costs_level():
    low, lower = alignments.vented_response_db([1.0, 0.5], 40.0, 0.38, 1.4, 1.0)
    assert low - lower == pytest.approx(80 * math.log10(2.0), abs=0.01)
    lossless = alignments.vented_response_db(40.0, 40.0, 0.38, 1.4, 1.0)
    assert alignments.vented_response_db(40.0, 40.0, 0.38, 1.4, 1.0, 7.0) < lossless


def test_what_no_box_gives_is_refused():
    for bad in (
        lambda: alignments.closed_volume(0.5, 0.05, 0.4),
        lambda: alignments.quasi_butterworth3(0.4),
        lambda: alignments.quasi_butterworth3(0.01),
        lambda: alignments.chebyshev4(0.3),
        lambda: alignments.chebyshev4(3.0, 5.0),
        lambda: alignments.chebyshev4_by_k(0.0),
        lambda: alignments.chebyshev4_by_k(1.1),
        lambda: alignments.closed_f3_over_fc(0.0),
        lambda: alignments.alpha_from_peaks(40.0, 30.0, 60.0),
    ):
        with pytest.raises(ValueError, match=r"."):
            bad()

"""Vented alignments against their own response, and what they must not do."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.acoustics import alignments

leakages = st.one_of(st.just(math.inf), st.floats(4.0, 50.0))


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
        lambda: alignments.chebyshev4_by_k(math.nan),
        lambda: alignments.sub_chebyshev4(0.42),
        lambda: alignments.sub_chebyshev4(0.2),
        lambda: alignments.bessel4(0.0),
        lambda: alignments.vented_from_coefficients("", (2.6, 3.4, 2.6), 0.3),
        lambda: alignments.closed_q_for_peak(-0.1),
        lambda: alignments.closed_f3_over_fc(0.0),
        lambda: alignments.alpha_from_peaks(40.0, 30.0, 60.0),
    ):
        with pytest.raises(ValueError, match=r"."):
            bad()


@given(leakages)
def test_bessel_by_its_polynomial(ql):
    """The mirror of 105 / (s^4 + 10 s^3 + 45 s^2 + 105 s + 105), whatever the leakage."""
    found = alignments.bessel4(ql)
    x = np.geomspace(0.2, 10.0, 40)
    s = 105**0.25 / (1j * x)
    expected = 20 * np.log10(np.abs(105 / (s**4 + 10 * s**3 + 45 * s**2 + 105 * s + 105)))
    level = alignments.vented_response_db(
        x * 40.0 * math.sqrt(found.h), 40.0, found.qt, found.alpha, found.h, ql)
    assert np.allclose(level, expected, atol=1e-9)


@given(st.floats(0.245, 0.38), leakages)
def test_sub_chebyshev_has_no_peak_and_falls_earlier_than_the_quasi_butterworth(qt, ql):
    found = alignments.sub_chebyshev4(qt, ql)
    other = alignments.quasi_butterworth3(qt, ql)
    assert found.qt == pytest.approx(qt, rel=1e-9)
    assert found.name == "SC4"
    assert found.shape > 1.0
    assert found.f3_over_fs > other.f3_over_fs
    x = np.geomspace(0.05, 100.0, 300) * 40.0
    level = alignments.vented_response_db(x, 40.0, qt, found.alpha, found.h, ql)
    assert np.all(np.diff(level) > -1e-9)


@given(st.floats(0.2, 0.7), st.floats(0.2, 5.0), st.floats(0.5, 2.0), leakages)
def test_coefficients_and_box_are_inverse(qt, alpha, h, ql):
    a = alignments.vented_coefficients(qt, alpha, h, ql)
    found = alignments.vented_from_coefficients("", a, ql)
    again = alignments.vented_coefficients(found.qt, found.alpha, found.h, ql)
    assert again == pytest.approx(a, rel=1e-9)  # with much leakage another box may have the same
    if math.isinf(ql):
        assert (found.qt, found.alpha, found.h) == pytest.approx((qt, alpha, h), rel=1e-9)

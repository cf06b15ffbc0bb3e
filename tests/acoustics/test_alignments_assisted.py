"""Boxes with a filter before them: both together are the polynomial they are named for."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.acoustics import alignments
from speakerwright.acoustics.alignments import polynomials

FS = 37.0
X = np.geomspace(0.2, 8.0, 50)
leakages = st.one_of(st.just(math.inf), st.floats(5.0, 50.0))


def unit(found):
    """Frequency (Hz) that is 1 in the polynomial: the geometric mean of all poles."""
    order = 4 + found.filter.order
    box = 2 * math.log(found.h)  # four poles, their product h^2
    return FS * math.exp((box + found.filter.order * math.log(found.filter.ratio)) / order)


@given(leakages)
def test_butterworth5_is_maximally_flat(ql):
    found = alignments.butterworth5(ql)
    level = alignments.assisted_response_db(X * unit(found), FS, found, ql)
    assert np.allclose(level, -10 * np.log10(1 + X**-10), atol=1e-9)
    assert found.f3_over_fs * FS == pytest.approx(unit(found), rel=1e-9)


@pytest.mark.parametrize("kind", [1, 2, 3])
@pytest.mark.parametrize("ql", [math.inf, 7.0])
def test_butterworth6_is_maximally_flat(kind, ql):
    found = alignments.butterworth6(kind, ql)
    level = alignments.assisted_response_db(X * unit(found), FS, found, ql)
    assert np.allclose(level, -10 * np.log10(1 + X**-12), atol=1e-9)
    assert found.name == f"B6 class {'I' * kind}"


@settings(max_examples=20)
@given(st.floats(0.3, 0.8), leakages)
def test_chebyshev5_has_its_qt_and_its_polynomial(qt, ql):
    found = alignments.chebyshev5(qt, ql)
    assert found.qt == pytest.approx(qt, rel=1e-9)
    poles = polynomials.coefficients(polynomials.chebyshev_poles(5, found.shape))
    level = alignments.assisted_response_db(X * unit(found), FS, found, ql)
    assert np.allclose(level, polynomials.high_pass_db(X, poles), atol=1e-8)
    assert found.name == ("C5" if qt > alignments.butterworth5(ql).qt else "SC5")


@pytest.mark.parametrize(("kind", "qt"), [(1, 0.26), (1, 0.38), (2, 0.33), (2, 0.5), (3, 0.4),
                                          (3, 0.7)])
@pytest.mark.parametrize("ql", [math.inf, 8.0])
def test_chebyshev6_has_its_qt_and_its_polynomial(kind, qt, ql):
    found = alignments.chebyshev6(qt, kind, ql)
    assert found.qt == pytest.approx(qt, rel=1e-9)
    poles = polynomials.coefficients(polynomials.chebyshev_poles(6, found.shape))
    level = alignments.assisted_response_db(X * unit(found), FS, found, ql)
    assert np.allclose(level, polynomials.high_pass_db(X, poles), atol=1e-8)
    assert found.ripple_db == pytest.approx(polynomials.ripple_db(6, found.shape), abs=1e-12)


@pytest.mark.parametrize(("kind", "qt"), [(1, 0.2), (1, 0.29), (2, 0.25), (2, 0.39), (3, 0.5)])
@pytest.mark.parametrize("ql", [math.inf, 20.0])
def test_quasi_butterworth5_has_its_qt_and_its_magnitude(kind, qt, ql):
    found = alignments.quasi_butterworth5(qt, kind, ql)
    assert found.qt == pytest.approx(qt, rel=1e-9)
    level = alignments.assisted_response_db(X * unit(found), FS, found, ql)
    power = X**12
    assert np.allclose(level, 10 * np.log10(power / (power + found.shape**2 * X**2 + 1)),
                       atol=1e-7)


def test_bessel5_by_its_polynomial():
    found = alignments.bessel5(9.0)
    s = 945**0.2 / (1j * X)
    expected = 945 / (s**5 + 15 * s**4 + 105 * s**3 + 420 * s**2 + 945 * s + 945)
    level = alignments.assisted_response_db(X * unit(found), FS, found, 9.0)
    assert np.allclose(level, 20 * np.log10(np.abs(expected)), atol=1e-9)


@pytest.mark.parametrize(("order", "kind", "k"), [(3, 1, 1.0), (4, 1, 1.0), (4, 2, 1.0),
                                                  (3, 1, 0.6), (4, 2, 0.5)])
def test_closed_box_and_filter_are_the_polynomial(order, kind, k):
    found = alignments.closed_assisted(order, kind, k)
    mean = found.filter.ratio ** (found.filter.order / order)
    level = alignments.closed_response_db(X * mean * FS, FS, found.qtc)
    level = level + alignments.filter_response_db(X * mean * FS, FS, found.filter)
    poles = polynomials.coefficients(polynomials.chebyshev_poles(order, k))
    assert np.allclose(level, polynomials.high_pass_db(X, poles), atol=1e-9)
    at = alignments.closed_response_db(found.f3_over_fc * FS, FS, found.qtc)
    at = at + alignments.filter_response_db(found.f3_over_fc * FS, FS, found.filter)
    assert float(at) == pytest.approx(-10 * math.log10(2.0), abs=1e-8)


@given(st.floats(0.72, 4.0))
def test_lift_is_the_highest_level_of_the_filter(q):
    made = alignments.HighPassFilter(2, 1.0, q)
    level = alignments.filter_response_db(np.geomspace(0.3, 100.0, 8001) * FS, FS, made)
    assert level.max() == pytest.approx(made.lift_db, abs=1e-4)
    assert alignments.HighPassFilter(1, 1.0).lift_db == 0.0


@pytest.mark.parametrize(
    "bad",
    [
        lambda: alignments.butterworth6(4),
        lambda: alignments.chebyshev6(0.4, 0),
        lambda: alignments.quasi_butterworth5(0.3, 5),
        lambda: alignments.quasi_butterworth5(0.35, 1),
        lambda: alignments.quasi_butterworth5(0.4, 3),
        lambda: alignments.chebyshev5(0.2),
        lambda: alignments.chebyshev5(5.0, 5.0),
        lambda: alignments.chebyshev6(0.24, 1),
        lambda: alignments.closed_assisted(2),
        lambda: alignments.closed_assisted(4, 3),
        lambda: alignments.filter_response_db(40.0, 0.0, alignments.HighPassFilter(1, 1.0)),
    ],
)
def test_what_no_box_gives_is_refused(bad):
    with pytest.raises(ValueError, match=r"."):
        bad()

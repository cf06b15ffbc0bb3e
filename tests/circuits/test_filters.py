"""Filters against scipy's analogue designs and against their corners."""

import numpy as np
import pytest
from scipy import signal

from speakerwright.circuits.filters import butterworth_qs, high_pass, low_pass, sections

GRID = np.geomspace(5.0, 5000.0, 61)
CORNER = 80.0


@pytest.mark.parametrize("order", range(1, 9))
@pytest.mark.parametrize(("kind", "law"), [("highpass", high_pass), ("lowpass", low_pass)])
def test_butterworth_against_scipy(order, kind, law):
    b, a = signal.butter(order, 2 * np.pi * CORNER, kind, analog=True)
    expected = signal.freqs(b, a, 2 * np.pi * GRID)[1]
    assert np.allclose(law(GRID, CORNER, order), expected, rtol=1e-10, atol=0.0)


@pytest.mark.parametrize("order", range(1, 9))
@pytest.mark.parametrize("law", [high_pass, low_pass])
def test_butterworth_is_3_db_down_at_its_corner(order, law):
    level = 20 * np.log10(abs(law(np.array([CORNER]), CORNER, order)[0]))
    assert level == pytest.approx(-3.0103, abs=5e-5)


@pytest.mark.parametrize("order", [2, 4, 6, 8])
def test_linkwitz_riley_is_6_db_down_and_its_halves_are_butterworth(order):
    high = high_pass(GRID, CORNER, order, "linkwitz-riley")
    low = low_pass(GRID, CORNER, order, "linkwitz-riley")
    at = high_pass(np.array([CORNER]), CORNER, order, "linkwitz-riley")[0]
    assert 20 * np.log10(abs(at)) == pytest.approx(-6.0206, abs=5e-5)
    assert np.allclose(high, high_pass(GRID, CORNER, order // 2) ** 2, rtol=1e-12)
    # an all-pass together; half the orders with the upper way reversed (Linkwitz 1976)
    together = low - high if order in (2, 6) else low + high
    assert np.allclose(abs(together), 1.0, rtol=1e-12)


def test_the_q_of_a_second_order_filter():
    found = high_pass(np.array([CORNER]), CORNER, 2, q=1.4)[0]
    assert found == pytest.approx(1.4j, rel=1e-12)  # Q at the corner, a quarter turn ahead
    found = low_pass(np.array([CORNER]), CORNER, 2, q=1.4)[0]
    assert found == pytest.approx(-1.4j, rel=1e-12)


def test_butterworth_qs():
    assert butterworth_qs(1) == ()
    assert butterworth_qs(2) == pytest.approx((0.70710678,), rel=1e-8)
    assert sorted(butterworth_qs(4)) == pytest.approx([0.54119610, 1.30656296], rel=1e-8)
    assert butterworth_qs(3) == pytest.approx((1.0,), rel=1e-12)


@pytest.mark.parametrize(
    ("order", "shape", "q"),
    [(0, "butterworth", None), (3, "butterworth", 0.7), (3, "linkwitz-riley", None),
     (2, "bessel", None)],
)
def test_what_is_no_filter(order, shape, q):
    with pytest.raises(ValueError, match=r"filter"):
        sections(order, shape, q)

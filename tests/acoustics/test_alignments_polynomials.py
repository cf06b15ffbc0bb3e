"""The polynomials by the magnitudes that define them, and what is read from them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics.alignments import polynomials

X = np.geomspace(0.2, 8.0, 60)
POWER = 10 * math.log10(2.0)


def level(poles):
    return polynomials.high_pass_db(X, polynomials.coefficients(poles))


@pytest.mark.parametrize("order", [1, 2, 3, 4, 5, 6])
def test_butterworth_by_its_magnitude(order):
    found = level(polynomials.chebyshev_poles(order, 1.0))
    assert np.allclose(found, -10 * np.log10(1 + X ** (-2 * order)), atol=1e-9)


@pytest.mark.parametrize("order", [2, 3, 4, 5, 6])
@pytest.mark.parametrize("k", [0.3, 0.6, 0.9])
def test_chebyshev_by_its_magnitude(order, k):
    """1 / |G|^2 = 1 + e^2 T_n(1 / (x edge))^2, over its value far up; T_n as in any book."""
    poles = polynomials.chebyshev_poles(order, k)
    e = 1 / math.sinh(order * math.atanh(k))
    # the low-pass poles of edge 1 are these over sqrt(1 - k^2)
    angles = math.pi * (2 * np.arange(order) + 1) / (2 * order)
    low_pass = 1j * np.cos(angles) - k * np.sin(angles)
    edge = math.sqrt(1 - k**2) / math.exp(np.mean(np.log(np.abs(low_pass))))
    t = np.polynomial.chebyshev.chebval(1 / (X * edge), [0] * order + [1])
    asymptote = 1 + (e**2 if order % 2 == 0 else 0.0)
    expected = -10 * np.log10((1 + e**2 * t**2) / asymptote)
    assert np.allclose(level(poles), expected, atol=1e-9)


@pytest.mark.parametrize("order", [4, 6])
@pytest.mark.parametrize("b", [0.0, 0.7, 3.0, 20.0])
def test_quasi_butterworth_by_its_magnitude(order, b):
    found = level(polynomials.quasi_butterworth_poles(order, b))
    power = X ** (2 * order)
    assert np.allclose(found, 10 * np.log10(power / (power + b**2 * X**2 + 1)), atol=1e-8)


@given(st.integers(2, 6), st.floats(0.2, 5.0))
def test_sections_make_the_polynomial_again(order, k):
    poles = polynomials.chebyshev_poles(order, k)
    pairs, real = polynomials.sections(poles)
    assert (real is None) == (order % 2 == 0)
    assert [q for _, q in pairs] == sorted((q for _, q in pairs), reverse=True)
    made = np.ones(1)
    for w, q in pairs:
        made = np.polymul(made, [1.0, w / q, w**2])
    if real is not None:
        made = np.polymul(made, [1.0, real])
    assert list(made) == pytest.approx(list(polynomials.coefficients(poles)), rel=1e-9)


def test_real_poles_go_two_by_two():
    ((w, q),), left = polynomials.sections([-1.0, -4.0, -2.5])
    assert (w, q, left) == pytest.approx((2.0, 0.4, 2.5), rel=1e-12)


def test_quartic_is_the_product_of_its_sections():
    (a1, a2, a3), mean = polynomials.quartic([(1.3, 2.0), (0.7, 0.6)])
    made = np.polymul([1.0, 1.3 / 2.0, 1.69], [1.0, 0.7 / 0.6, 0.49])
    scaled = made / mean ** np.arange(5)
    assert [1.0, a1, a2, a3, 1.0] == pytest.approx(list(scaled), rel=1e-12)


@given(st.integers(2, 6), st.floats(0.3, 5.0))
def test_half_power_and_ripple_are_those_of_the_response(order, k):
    polynomial = polynomials.coefficients(polynomials.chebyshev_poles(order, k))
    f3 = polynomials.half_power(polynomial)
    assert float(polynomials.high_pass_db(f3, polynomial)) == pytest.approx(-POWER, abs=1e-7)
    high, low = polynomials.extremes_db(polynomial)
    assert high - low == pytest.approx(polynomials.ripple_db(order, k), abs=1e-7)
    above = polynomials.high_pass_db(np.geomspace(f3, 300.0, 4001), polynomial)
    assert above.max() <= high + 1e-6
    assert above.min() >= -POWER - 1e-6


def test_a_crossing_is_found_between_its_ends():
    assert polynomials.crossing(lambda x: 2.0 - x**2, 1.0, 7.0) == pytest.approx(2**0.5, rel=1e-14)


@pytest.mark.parametrize(
    "bad",
    [
        lambda: polynomials.chebyshev_poles(0, 1.0),
        lambda: polynomials.chebyshev_poles(4, 0.0),
        lambda: polynomials.bessel_poles(0),
        lambda: polynomials.quasi_butterworth_poles(5, 1.0),
        lambda: polynomials.quasi_butterworth_poles(4, -1.0),
        lambda: polynomials.ripple_db(4, 0.0),
        lambda: polynomials.crossing(lambda x: x, 0.0, 1.0),
    ],
)
def test_what_is_no_polynomial_is_refused(bad):
    with pytest.raises(ValueError, match=r"."):
        bad()

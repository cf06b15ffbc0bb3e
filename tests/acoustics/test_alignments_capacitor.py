"""A series capacitor with the driver: the circuit's own response is the polynomial asked for."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.acoustics import alignments
from speakerwright.acoustics.alignments import polynomials

X = np.geomspace(0.2, 8.0, 50)


def circuit_db(x, qes, qms, alpha, h, time, ql=math.inf):
    """Level by impedances, in units of the driver: mass 1, fs 1, Re 1, Bl^2 = 1 / Qes."""
    s = 1j * x
    if h is None:
        box, share = alpha / s, np.ones_like(s)
    else:
        air, vent, leak = s / alpha, alpha * h**2 / s / alpha**2, h / ql / alpha
        box = 1.0 / (air + vent + leak)
        share = air * box  # of the cone's flow, what compresses the box radiates
    electrical = 1.0 + 1.0 / (s * time)
    speed = 1.0 / electrical / (s + 1.0 / qms + 1.0 / s + box + 1.0 / qes / electrical)
    return 20 * np.log10(np.abs(s * speed * share))


@given(st.floats(0.25, 0.8), st.floats(2.0, 20.0), st.sampled_from([0.7, 1.0, 1.5]))
def test_closed_box_is_the_polynomial(qes, qms, k):
    found = alignments.closed_capacitor3(qes, qms, k)
    mean = ((1 + found.alpha) / found.time) ** (1 / 3)
    level = circuit_db(X * mean, qes, qms, found.alpha, None, found.time)
    target = polynomials.coefficients(polynomials.chebyshev_poles(3, k))
    assert np.allclose(level, polynomials.high_pass_db(X, target), atol=1e-8)
    at = circuit_db(np.array([found.f3_over_fs]), qes, qms, found.alpha, None, found.time)
    assert at[0] == pytest.approx(-10 * math.log10(2.0), abs=1e-7)


def test_closed_box_without_mechanical_loss():
    # by hand: with Qms infinite p = w T = 2, T = 3 QT, w = 2 / (3 QT), 1 + alpha = 8 / (9 QT^2)
    found = alignments.closed_capacitor3(0.4, 1e12)
    assert (found.alpha, found.time, found.f3_over_fs) == pytest.approx(
        (8 / (9 * 0.16) - 1, 1.2, 2 / 1.2), rel=1e-9)


@settings(max_examples=20)
@given(st.floats(0.42, 0.62), st.floats(4.0, 20.0), st.sampled_from([math.inf, 15.0, 6.0]))
def test_vented_box_is_the_polynomial(qes, qms, ql):
    found = alignments.vented_capacitor5(qes, qms, ql)
    mean = (found.h**2 / found.time) ** 0.2
    level = circuit_db(X * mean, qes, qms, found.alpha, found.h, found.time, ql)
    target = polynomials.coefficients(polynomials.chebyshev_poles(5, found.shape))
    assert np.allclose(level, polynomials.high_pass_db(X, target), atol=1e-8)
    assert found.f3_over_fs == pytest.approx(mean * polynomials.half_power(target), rel=1e-9)


def test_the_butterworth_member():
    # by hand, no loss: QT^2 = c4 / ((c3 - c2 / c4) (c1 - 1 / c4)) of the B5 polynomial
    golden = (1 + 5**0.5) / 2
    c1, c2 = 2 * golden, 2 * golden + 2
    qt = math.sqrt(c1 / ((c2 - c2 / c1) * (c1 - 1 / c1)))
    assert qt == pytest.approx(0.5528, abs=5e-5)
    found = alignments.vented_capacitor5(qt, 1e12)
    assert found.shape == pytest.approx(1.0, abs=1e-6)
    w = 1 / qt / (c1 - 1 / c1)
    assert (found.time, found.h, found.f3_over_fs) == pytest.approx(
        (c1 / w, math.sqrt(c1) * w**2, w), rel=1e-6)


@pytest.mark.parametrize(
    "bad",
    [
        lambda: alignments.closed_capacitor3(1.2, 20.0),
        lambda: alignments.closed_capacitor3(0.0, 5.0),
        lambda: alignments.vented_capacitor5(0.2, 5.0),
        lambda: alignments.vented_capacitor5(0.2, 5.0, 3.0),
        lambda: alignments.vented_capacitor5(1.5, 5.0),
        lambda: alignments.vented_capacitor_polynomial(0.4, 5.0, 1.0, 0.0, 3.0),
    ],
)
def test_what_no_box_gives_is_refused(bad):
    with pytest.raises(ValueError, match=r"."):
        bad()

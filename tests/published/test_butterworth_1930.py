"""S. Butterworth, On the theory of filter amplifiers, Experimental Wireless 7 (1930).

The coefficients are those of any table of the polynomials, from memory, to the digits printed.
"""

import pytest

from speakerwright.acoustics import alignments
from speakerwright.acoustics.alignments import polynomials

SOURCE = "Butterworth, On the theory of filter amplifiers (1930), polynomials of any table"
CHECKS = [
    (polynomials.chebyshev_poles, SOURCE, "memory"),
    (polynomials.coefficients, SOURCE, "memory"),
    (polynomials.sections, SOURCE, "memory"),
    (polynomials.half_power, SOURCE, "memory"),
    (alignments.closed_assisted, SOURCE, "memory"),
]


@pytest.mark.parametrize(
    "expected",
    [
        (1, 1.4142, 1),
        (1, 2, 2, 1),
        (1, 2.6131, 3.4142, 2.6131, 1),
        (1, 3.2361, 5.2361, 5.2361, 3.2361, 1),
        (1, 3.8637, 7.4641, 9.1416, 7.4641, 3.8637, 1),
    ],
)
def test_polynomial(expected):
    found = polynomials.coefficients(polynomials.chebyshev_poles(len(expected) - 1, 1.0))
    assert list(found) == pytest.approx(expected, abs=5e-5)
    assert polynomials.half_power(found) == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(
    ("order", "qs"),
    [(2, (0.7071,)), (3, (1.0,)), (4, (1.3066, 0.5412)), (5, (1.6180, 0.6180)),
     (6, (1.9319, 0.7071, 0.5176))],
)
def test_sections(order, qs):
    pairs, real = polynomials.sections(polynomials.chebyshev_poles(order, 1.0))
    assert [q for _, q in pairs] == pytest.approx(qs, abs=5e-5)
    assert (real is None) == (order % 2 == 0)


@pytest.mark.parametrize(
    ("order", "kind", "qtc", "q"),
    [(3, 1, 1.0, None), (4, 1, 0.5412, 1.3066), (4, 2, 1.3066, 0.5412)],
)
def test_closed_box_with_a_filter(order, kind, qtc, q):
    found = alignments.closed_assisted(order, kind)
    assert found.qtc == pytest.approx(qtc, abs=5e-5)
    assert (found.filter.ratio, found.f3_over_fc) == pytest.approx((1.0, 1.0), rel=1e-12)
    assert found.filter.q is None if q is None else found.filter.q == pytest.approx(q, abs=5e-5)

"""W. E. Thomson, Delay networks having maximally flat frequency characteristics (1949).

Proc. IEE 96. The polynomials' coefficients are those of any book of filters, from memory. The
figures of a BL4 with a leakage Q of 7 were read second hand, in a table of vented alignments on a
public page ("Alignment tables", for QL 7), which names no source.
"""

import math

import pytest

from speakerwright.acoustics import alignments
from speakerwright.acoustics.alignments import polynomials

SOURCE = "Thomson, Delay networks having maximally flat frequency characteristics (1949)"
TABLE = "table of vented alignments for a QL of 7, no source named, second hand"
CHECKS = [
    (polynomials.bessel_poles, SOURCE, "memory"),
    (alignments.bessel4, SOURCE, "recomputed"),
    (alignments.bessel4, TABLE, "read"),
    (alignments.bessel5, SOURCE, "recomputed"),
]


@pytest.mark.parametrize(
    "low_pass",
    [(1, 3, 3), (1, 6, 15, 15), (1, 10, 45, 105, 105), (1, 15, 105, 420, 945, 945)],
)
def test_polynomial(low_pass):
    order, last = len(low_pass) - 1, low_pass[-1]
    mean = last ** (1 / order)
    found = polynomials.coefficients(polynomials.bessel_poles(order))
    mirrored = [c * mean**i / last for i, c in enumerate(reversed(low_pass))]
    assert list(found) == pytest.approx(mirrored, rel=1e-9)


def test_bl4_without_loss():
    # h = 10 / sqrt(105), QT = 1 / sqrt(10), alpha = 450 / 105 - 1 - 100 / 105: by hand
    found = alignments.bessel4()
    assert (found.qt, found.alpha, found.h) == pytest.approx(
        (10**-0.5, 7 / 3, 10 / 105**0.5), rel=1e-9)


def test_bl4_of_the_table():
    found = alignments.bessel4(7.0)
    assert found.qt == pytest.approx(0.3312, abs=5e-5)
    assert found.alpha == pytest.approx(1.9076, abs=5e-5)
    assert found.h == pytest.approx(0.97354, abs=5e-6)
    assert found.f3_over_fs == pytest.approx(1.4941, abs=5e-5)


def test_bl5_without_loss():
    # the real pole of s^5 + 15 s^4 + 105 s^3 + 420 s^2 + 945 s + 945 is 3.646738595 (recomputed)
    found = alignments.bessel5()
    rest = 945 / 3.646738595
    # mirrored and shared out, the box's four poles have the geometric mean fs sqrt(h)
    assert found.filter.ratio / math.sqrt(found.h) == pytest.approx(
        rest**0.25 / 3.646738595, rel=1e-8)

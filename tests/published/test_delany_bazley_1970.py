"""M. E. Delany and E. N. Bazley, Acoustical properties of fibrous absorbent materials (1970).

Applied Acoustics 3, 105. Their printed law and range, and the law as J.-F. Allard and Y. Champoux,
JASA 91, 3346 (1992), restate it by rho f / sigma (both read second hand): two fits to the same
measurements, 6 % apart.
"""

import numpy as np
import pytest

from speakerwright.acoustics import linings
from speakerwright.acoustics.air import Air

SOURCE = "Delany and Bazley, Applied Acoustics 3, 105 (1970)"
CHECKS = [(linings.delany_bazley, SOURCE, "read"), (linings.within_fit, SOURCE, "read"),
          (linings.delany_bazley, "Allard and Champoux, JASA 91, 3346 (1992)", "read")]
AIR = Air()


def over_air(frequency, sigma):
    propagation, impedance = linings.delany_bazley(frequency, sigma, AIR)
    k = 2 * np.pi * np.asarray(frequency) / AIR.speed
    return propagation / k / 1j, impedance / AIR.impedance


def test_printed_law():
    # At f = sigma / 1000 the powers are all one.
    index, impedance = over_air([10.0], 10000.0)
    assert index[0] == pytest.approx(1 + 10.8 - 10.3j, rel=1e-12)
    assert impedance[0] == pytest.approx(1 + 9.08 - 11.9j, rel=1e-12)
    index, impedance = over_air([1000.0], 10000.0)
    assert index[0] - 1 == pytest.approx(
        complex(10.8 * 100**-0.70, -10.3 * 100**-0.59), rel=1e-12)
    assert impedance[0] - 1 == pytest.approx(
        complex(9.08 * 100**-0.75, -11.9 * 100**-0.73), rel=1e-12)


@pytest.mark.parametrize("ratio", [0.01, 0.03, 0.1, 0.3, 1.0])
def test_restated_law(ratio):
    index, impedance = over_air([ratio * 8000.0], 8000.0)
    x = AIR.density * ratio
    assert (index[0] - 1).real == pytest.approx(0.0978 * x**-0.700, rel=0.06)
    assert index[0].imag == pytest.approx(-0.189 * x**-0.595, rel=0.06)
    assert (impedance[0] - 1).real == pytest.approx(0.0571 * x**-0.754, rel=0.06)
    assert impedance[0].imag == pytest.approx(-0.0870 * x**-0.732, rel=0.06)


def test_printed_range():
    found = linings.within_fit([79.0, 81.0, 7900.0, 8100.0], 8000.0)
    assert found.tolist() == [False, True, True, False]

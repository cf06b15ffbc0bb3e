"""Linkwitz 1976, Active crossover networks for noncoincident drivers, JAES 24(1); recomputed."""

import numpy as np
import pytest

from speakerwright.circuits.filters import high_pass, low_pass

SOURCE = "S. H. Linkwitz, JAES 24(1), 1976"
CHECKS = [(high_pass, SOURCE, "recomputed"), (low_pass, SOURCE, "recomputed")]

CASES = [  # order, f over fc, low-pass dB, high-pass dB
    pytest.param(2, 1.0, -6.02059991, -6.02059991, id="lr_resp.1"),
    pytest.param(4, 0.5, -0.526578774, -24.6089784, id="lr_resp.3"),
    pytest.param(6, 1.25, -13.6513797, -2.02217814, id="lr_resp.5"),
    pytest.param(4, 1.1, -7.83316657, -4.52175176, id="lr_resp.7"),
]


@pytest.mark.parametrize(("order", "ratio", "low", "high"), CASES)
def test_level(order, ratio, low, high):
    f = np.array([1000.0 * ratio])
    for found, expected in ((low_pass, low), (high_pass, high)):
        level = 20 * np.log10(np.abs(found(f, 1000.0, order, "linkwitz-riley")))
        assert level[0] == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("order", [2, 4, 6, 8])
def test_the_two_ways_add_up_to_an_all_pass(order):
    """With one way inverted where the order is 2 or 6."""
    f = np.geomspace(20.0, 20000.0, 200)
    sign = -1.0 if order % 4 == 2 else 1.0
    total = low_pass(f, 900.0, order, "linkwitz-riley") + sign * high_pass(
        f, 900.0, order, "linkwitz-riley"
    )
    assert np.abs(total) == pytest.approx(np.ones(200), abs=1e-12)

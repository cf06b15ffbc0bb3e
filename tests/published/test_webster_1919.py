"""Horns: A. G. Webster 1919; H. F. Olson, Elements of acoustical engineering; Beranek and Mellow.

The laws are theirs; the figures were worked out apart from this program (recomputed). Mouths are
pistons in a wall, areas count as planes.
"""

import numpy as np
import pytest

from speakerwright.acoustics import horns, profiles
from speakerwright.acoustics.air import StatedAir

SOURCE = "Webster 1919; Olson, Elements of acoustical engineering; Beranek and Mellow, ch. 9"
CHECKS = [
    (function, SOURCE, "recomputed")
    for function in (
        profiles.exponential_cutoff, profiles.Profile.cutoff, profiles.conical,
        profiles.exponential, horns.infinite_horn, horns.infinite_cone, horns.two_port,
        horns.section_two_port, horns.throat_impedance, horns.mouth_load,
    )
]
AIR = StatedAir(1.2041, 343.2)


@pytest.mark.parametrize(
    ("rate", "expected"),
    [pytest.param(4.0, 109.243953, id="horn_fc"), pytest.param(7.3, 199.370214, id="horn_fc2")],
)
def test_cutoff(rate, expected):
    assert profiles.exponential_cutoff(rate, 343.2) == pytest.approx(expected, rel=1e-8)
    horn = profiles.exponential(0.01, 0.01 * np.exp(rate * 0.8), 0.8)
    assert horn.cutoff(343.2) == pytest.approx(expected, rel=1e-8)


def test_endless_exponential_horn():
    # horn_exp_inf
    found = horns.infinite_horn([0.5, 1.0, 1.2, 2.0, 5.0])
    assert found.real == pytest.approx([0.0, 0.0, 0.552770798, 0.866025404, 0.979795897], abs=1e-8)
    assert found.imag == pytest.approx([0.267949192, 1.0, 0.833333333, 0.5, 0.2], abs=1e-8)


def test_endless_cone():
    # horn_con_inf
    found = horns.infinite_cone([0.2, 0.5, 1.0, 2.0, 5.0])
    assert found.real == pytest.approx([0.0384615385, 0.2, 0.5, 0.8, 0.961538462], abs=1e-8)
    assert found.imag == pytest.approx([0.192307692, 0.4, 0.5, 0.4, 0.192307692], abs=1e-8)


@pytest.mark.parametrize(
    ("shape", "resistance", "reactance"),
    [
        pytest.param(
            profiles.exponential,
            [0.00297407945, 0.065207484, 0.435047298, 1.23941556, 0.813345288, 1.04759773],
            [0.325452027, 0.886512451, 0.154948449, -0.117062989, 0.189280833, 0.0619431085],
            id="horn_exp_fin_1",
        ),
        pytest.param(
            profiles.conical,
            [0.00328072958, 0.136326151, 0.137452744, 1.00701541, 0.664396342, 0.994549666],
            [0.225234214, 0.693647269, 0.341764454, 0.145954865, 0.282874632, 0.162889914],
            id="horn_con_fin_1",
        ),
    ],
)
def test_finite_horn(shape, resistance, reactance):
    f = np.array([80.0, 150.0, 250.0, 400.0, 700.0, 1200.0])
    matrix = horns.two_port(f, shape(0.005, 0.12, 0.65), AIR)
    found = horns.throat_impedance(matrix, horns.mouth_load(f, 0.12, AIR))
    found = found * 0.005 / (AIR.density * AIR.speed)
    assert found.real == pytest.approx(resistance, rel=1e-7)
    assert found.imag == pytest.approx(reactance, rel=1e-7)

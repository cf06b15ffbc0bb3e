"""Heat of coil and magnet by two time constants, as parallel pairs and as a ladder; recomputed.

The textbook's differential equations, worked out apart from this program: the pairs in closed form,
the ladder by matrix exponential and by an equation solver, which agree.
"""

import pytest

from speakerwright.acoustics import heat

SOURCE = "two time-constant thermal model, textbook form"
CHECKS = [
    (heat.parallel_rise, SOURCE, "recomputed"),
    (heat.ladder_rise, SOURCE, "recomputed"),
    (heat.heat_in_time, SOURCE, "recomputed"),
]


@pytest.mark.parametrize(("power", "resistances", "times", "time", "rise"), [
    pytest.param(50, (0.8, 0.9), (12, 1800), 60, 41.2057576, id="foster2.1"),
    pytest.param(120, (0.5, 0.6), (8, 2400), 30, 59.4833336, id="foster2.3"),
    pytest.param(200, (0.4, 0.35), (20, 3600), 7200, 140.52653, id="foster2.5"),
])
def test_parallel_pairs(power, resistances, times, time, rise):
    assert heat.parallel_rise(power, resistances, times, time) == pytest.approx(rise, rel=1e-8)


@pytest.mark.parametrize(("power", "resistances", "capacities", "time", "coil", "magnet"), [
    pytest.param(50, (0.8, 0.9), (15, 2000), 60, 40.629065, 1.17853878, id="cauer2.1"),
    pytest.param(20, (2.2, 1.5), (2.5, 600), 30, 44.4413758, 0.80330121, id="cauer2.3"),
    pytest.param(30, (1.5, 1.0), (5, 1200), 5, 21.9029264, 0.0336885096, id="cauer2.5"),
])
def test_ladder(power, resistances, capacities, time, coil, magnet):
    ladder = heat.HeatLadder(resistances, capacities)
    assert heat.ladder_rise(ladder, power, time) == pytest.approx((coil, magnet), rel=1e-7)
    stepped = heat.heat_in_time(ladder, [power] * 5, time / 5, coefficient=0.0)
    assert stepped[:, -1] == pytest.approx((coil, magnet), rel=1e-7)

"""IEC 60028: annealed copper, 0.00393 per kelvin at 20 C (coefficient from memory).

Cases recomputed. A page read second hand says that copper from 20 to 200 C rises 72 % and loses
4.7 dB; the coefficient gives 70.7 % and 4.65 dB, the same within that page's rounding.
"""

import pytest

from speakerwright.acoustics import heat

SOURCE = "IEC 60028"
CHECKS = [
    (heat.hot_resistance, SOURCE, "memory"),
    (heat.coil_rise, SOURCE, "memory"),
    (heat.coil_temperature_c, SOURCE, "memory"),
    (heat.ratio_compression_db, SOURCE, "recomputed"),
    (heat.hot_resistance, "page on copper coils, 20 to 200 C", "read"),
    (heat.ratio_compression_db, "page on copper coils, 20 to 200 C", "read"),
]


@pytest.mark.parametrize(
    ("re", "temperature_c", "hot", "compression_db"),
    [
        pytest.param(5.6, 100.0, 7.36064, 2.37455101, id="re_hot.1"),
        pytest.param(6.1, 60.0, 7.05892, 1.2681685, id="re_hot.3"),
        pytest.param(11.5, 250.0, 21.89485, 5.59288268, id="re_hot.5"),
    ],
)
def test_hot_resistance(re, temperature_c, hot, compression_db):
    found = heat.hot_resistance(re, temperature_c - 20.0)
    assert found == pytest.approx(hot, rel=1e-9)
    assert heat.ratio_compression_db(re, found) == pytest.approx(compression_db, rel=1e-8)


@pytest.mark.parametrize(
    ("re", "hot", "temperature_c"),
    [
        pytest.param(5.6, 7.0, 83.6132316, id="coil_temp.1"),
        pytest.param(3.3, 4.9, 143.371116, id="coil_temp.2"),
    ],
)
def test_coil_temperature(re, hot, temperature_c):
    assert heat.coil_temperature_c(re, hot) == pytest.approx(temperature_c, rel=1e-8)


def test_page_on_copper_coils():
    # th.alpha
    ratio = heat.hot_resistance(1.0, 180.0)
    assert ratio == pytest.approx(1.72, abs=0.015)
    assert heat.ratio_compression_db(1.0, ratio) == pytest.approx(4.7, abs=0.055)

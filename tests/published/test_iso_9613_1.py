"""ISO 9613-1:1993: speed of sound and absorption of pure tones in air.

Formula read; rows and cells of table 1 read second hand (in the test data of open libraries). The
table prints three digits, so it is held to half a unit of the third. It stands at the exact midband
frequencies.
"""

import numpy as np
import pytest

from speakerwright.acoustics import air
from speakerwright.acoustics.air import Air

SOURCE = "ISO 9613-1:1993"
CHECKS = [
    (air.absorption_db_per_m, SOURCE + ", table 1", "read"),
    (air.absorption_db_per_m, SOURCE + ", eq. 3 to 5, B.3", "recomputed"),
    (air.speed_iso9613, SOURCE + ", annex A", "recomputed"),
    (air.exact_midband, SOURCE + ", table 1", "read"),
]
THIRDS = [50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000,
          2500, 3150, 4000, 5000, 6300, 8000, 10000]


@pytest.mark.parametrize(
    ("temperature_c", "expected"),
    [pytest.param(20.0, 343.2, id="c_iso_20"), pytest.param(0.0, 331.285885, id="c_iso_0")],
)
def test_speed(temperature_c, expected):
    assert air.speed_iso9613(temperature_c) == pytest.approx(expected, rel=1e-8)


def per_km(nominal, temperature_c, humidity_percent):
    state = Air(temperature_c, 101325.0, humidity_percent)
    return 1000.0 * air.absorption_db_per_m(air.exact_midband(nominal), state)


def test_absorption_recomputed():
    # iso_alpha_20_50
    found = per_km([63, 125, 250, 500, 1000, 2000, 4000, 8000], 20.0, 50.0)
    assert list(found) == pytest.approx(
        [0.122811063, 0.445346854, 1.31804813, 2.73346402, 4.66473187, 9.85524171, 29.4192478,
         103.912227],
        rel=1e-8,
    )


@pytest.mark.parametrize(
    ("nominal", "temperature_c", "humidity_percent", "printed"),
    [
        pytest.param(
            THIRDS, 25.0, 80.0,
            [0.0426, 0.0673, 0.106, 0.167, 0.262, 0.409, 0.631, 0.963, 1.44, 2.1, 2.95, 3.97, 5.12,
             6.35, 7.62, 9.01, 10.7, 12.9, 16.2, 21.1, 28.8, 40.8, 59.8, 89.6],
            id="iso_table_25_80",
        ),
        pytest.param(
            THIRDS, -20.0, 10.0,
            [0.589, 0.756, 0.924, 1.08, 1.2, 1.3, 1.37, 1.43, 1.46, 1.49, 1.52, 1.55, 1.59, 1.65,
             1.74, 1.88, 2.1, 2.44, 2.99, 3.86, 5.24, 7.42, 10.9, 16.4],
            id="iso_table_-20_10",
        ),
        pytest.param([1000], 20.0, 80.0, [5.15], id="iso_table_20_80_1000"),
        pytest.param([10000], 20.0, 80.0, [105.0], id="iso_table_20_80_10000"),
        pytest.param([6300], 20.0, 15.0, [175.0], id="iso_table_20_15_6300"),
    ],
)
def test_absorption_printed(nominal, temperature_c, humidity_percent, printed):
    found = per_km(nominal, temperature_c, humidity_percent)
    half_a_unit = 0.5 * 10.0 ** (np.floor(np.log10(printed)) - 2.0)
    assert np.all(np.abs(found - printed) <= half_a_unit * 1.001)


def test_nominal_midbands_are_not_the_tables():
    # The note of iso_alpha_20_50: nominal 2, 4 and 8 kHz give 9.89, 29.7 and 105.
    found = 1000.0 * air.absorption_db_per_m([2000.0, 4000.0, 8000.0], Air(20.0, 101325.0, 50.0))
    assert found[:2] == pytest.approx([9.89, 29.7], abs=0.05)
    assert found[2] == pytest.approx(105.0, abs=0.5)

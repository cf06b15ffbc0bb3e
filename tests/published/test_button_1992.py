"""D. Button, Heat dissipation and power compression in loudspeakers, JAES 40 (1992): the principle.

Recomputed: the quadratic of a coil on a voltage.
"""

import pytest

from speakerwright.acoustics import heat

CHECKS = [(heat.steady_voltage_drive, "Button, JAES 40 (1992)", "recomputed")]


@pytest.mark.parametrize(
    ("voltage", "re", "thermal_resistance", "rise", "hot", "compression_db"),
    [
        pytest.param(20, 5.6, 1.7, 89.7630026, 7.57550416, 2.62447028,
                     id="thermal_steady_vdrive.1"),
        pytest.param(28, 6.0, 1.2, 109.595816, 8.58426933, 3.1110417,
                     id="thermal_steady_vdrive.3"),
        pytest.param(40, 5.4, 0.75, 142.46163, 8.42332071, 3.86179154,
                     id="thermal_steady_vdrive.5"),
    ],
)
def test_steady_state(voltage, re, thermal_resistance, rise, hot, compression_db):
    found = heat.steady_voltage_drive(voltage, re, thermal_resistance)
    assert (found.rise, found.resistance, found.compression_db) == pytest.approx(
        (rise, hot, compression_db), rel=1e-8
    )

"""US Standard Atmosphere 1976 at sea level (15 C): viscosity 1.7894e-5 Pa s, from memory."""

import pytest

from speakerwright.acoustics.air import Air

SOURCE = "US Standard Atmosphere 1976, sea level"
CHECKS = [(Air.viscosity, SOURCE, "memory"), (Air.kinematic_viscosity, SOURCE, "memory")]
SEA_LEVEL = Air(15.0, 101325.0, 0.0)


def test_viscosity():
    assert SEA_LEVEL.viscosity == pytest.approx(1.7894e-5, abs=0.5e-9)


def test_kinematic_viscosity():
    # 1.4607e-5 printed; its density is that of an ideal gas, 0.04 % below CIPM-2007.
    assert SEA_LEVEL.kinematic_viscosity == pytest.approx(1.4607e-5, rel=6e-4)

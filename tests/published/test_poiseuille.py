"""Poiseuille's law and Crandall's limits for the air in a narrow hole; recomputed."""

import math

import pytest

from speakerwright.acoustics import screens
from speakerwright.acoustics.air import Air

SOURCE = "Poiseuille; Crandall 1926, limits for a narrow hole"
CHECKS = [
    (screens.sheet_impedance, SOURCE, "recomputed"),
    (screens.sheet_mass, SOURCE, "recomputed"),
]


def test_a_narrow_hole():
    """8 mu t / a^2, and 4/3 of the air's mass; what the ends have is taken off by a second sheet.

    The two sheets differ by 1 mm of thickness, so that only the channel is left.
    """
    air, hole, share = Air(), 0.1e-3, 0.02
    thick = screens.Perforated(hole, share, 2e-3)
    thin = screens.Perforated(hole, share, 1e-3)
    omega = 2.0 * math.pi * 20.0
    channel = share * (screens.sheet_impedance([20.0], thick, air)
                       - screens.sheet_impedance([20.0], thin, air))[0]
    assert channel.real == pytest.approx(8.0 * air.viscosity * 1e-3 / (0.05e-3) ** 2, rel=1e-5)
    assert channel.imag == pytest.approx(4.0 / 3.0 * omega * air.density * 1e-3, rel=1e-4)
    mass = share * (screens.sheet_mass(thick, air) - screens.sheet_mass(thin, air))
    assert mass == pytest.approx(air.density * 1e-3, rel=1e-9)

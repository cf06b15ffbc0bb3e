"""H. Lamb, Hydrodynamics, articles 102 and 108, from memory: discs in a stream.

A disc moving broadside carries 8/3 rho a^3 of the fluid; the potential at its middle is 2 U a / pi.
Rayleigh's piston carries 8/3 rho a^3 on each side (recomputed).
"""

import math

import numpy as np
import pytest

from speakerwright.acoustics import dipoles, passive, pistons
from speakerwright.acoustics.air import StatedAir

LAMB = "Lamb, Hydrodynamics, art. 102"
RAYLEIGH = "Rayleigh, The theory of sound, art. 302"
CHECKS = [(dipoles.air_mass, LAMB, "memory"), (dipoles.disc_factor, LAMB, "memory"),
          (dipoles.air_mass, RAYLEIGH, "recomputed"), (passive.air_load, RAYLEIGH, "recomputed")]
AIR = StatedAir(1.2, 343.0)


def test_mass_of_a_free_disc():
    assert dipoles.air_mass(0.1, AIR, baffled=False) == pytest.approx(8 / 3 * 1.2e-3, rel=1e-12)


def test_mass_of_a_baffled_piston():
    _, reactance = pistons.radiation_impedance(1e-3)
    one = AIR.density * AIR.speed * math.pi * 0.1**2 * float(reactance) / (1e-3 * 343.0 / 0.1)
    assert dipoles.air_mass(0.1, AIR) == pytest.approx(2 * one, rel=1e-6)
    assert passive.air_load(math.pi * 0.1**2, AIR) == pytest.approx(2 * one, rel=1e-6)


def test_factor_of_a_small_disc():
    frequency = 343.0 / (2 * math.pi) * 0.01 / 0.2
    found = dipoles.disc_factor(np.array([frequency]), 0.2, AIR)[0]
    assert found.imag == pytest.approx(2 / math.pi * 0.01, rel=1e-4)

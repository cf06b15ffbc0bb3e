"""R. H. Small, Passive-radiator loudspeaker systems, JAES 22(8, 9), 1974.

The laws are his; the figures were worked out from the circuit apart from this program, those of the
lossy system with ngspice (recomputed).
"""

import math

import numpy as np
import pytest

from speakerwright.acoustics import passive
from speakerwright.acoustics.air import StatedAir

SOURCE = "Small, JAES 22(8, 9), 1974"
CHECKS = [
    (function, SOURCE, "recomputed")
    for function in (
        passive.tuning, passive.moving_mass, passive.equivalent_volume, passive.resonance,
        passive.notch_frequency, passive.response,
    )
]
AIR = StatedAir(1.2041, 343.2)


def test_tuning_mass_and_equivalent_volume():
    # pr_tuning_1: fp 15 Hz, Vap / Vb = 3, Vb 0.04 m^3, Sp 0.0346 m^2
    mass, area, volume = 0.159289009, 0.0346, 0.04
    compliance = 1.0 / (mass * (2 * math.pi * 15.0) ** 2)
    assert passive.resonance(mass, compliance) == pytest.approx(15.0, rel=1e-8)
    assert passive.equivalent_volume(compliance, area, AIR) == pytest.approx(0.12, rel=1e-8)
    assert passive.tuning(volume, area, mass, compliance, AIR) == pytest.approx(30.0, rel=1e-8)
    found = passive.moving_mass(30.0, volume, area, compliance, AIR)
    assert found == pytest.approx(mass, rel=1e-8)
    assert passive.notch_frequency(30.0, volume, 0.12) == pytest.approx(15.0, rel=1e-12)


def test_response_without_losses():
    # pr_resp_lossless
    found = passive.response([10.0, 13.0, 20.0, 30.0, 45.0, 90.0], fs=31.0, qts=0.3777,
                             compliance_ratio=1.48, radiator_resonance=15.0, radiator_ratio=3.0)
    assert 20 * np.log10(np.abs(found)) == pytest.approx(
        [-38.7883445, -40.6575987, -21.3887667, -3.97485187, -1.58155749, -0.38373161], abs=1e-7)


def test_response_with_losses():
    # passive_A_response
    found = passive.response(
        [12.0, 18.0, 22.0, 26.0, 30.0, 36.0, 45.0, 60.0, 100.0, 300.0], fs=31.0,
        qts=0.37773512475, compliance_ratio=0.074 / 0.05, radiator_resonance=15.0,
        radiator_ratio=2.6, radiator_q=8.0, leak_q=10.0)
    assert 20 * np.log10(np.abs(found)) == pytest.approx(
        [-37.9798833, -27.5833124, -15.7015639, -9.37119227, -6.35560355, -4.27274189, -2.700682,
         -1.42382817, -0.430687755, -0.0400766184], abs=1e-6)

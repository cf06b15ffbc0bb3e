"""Passive radiators: the figures agree with each other and with the circuit."""

import math

import numpy as np
import pytest

from speakerwright.acoustics import passive, pistons
from speakerwright.acoustics.air import StatedAir
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import GROUND, Capacitor, Inductor, Series, VoltageSource

AIR = StatedAir(1.2, 343.0)
AREA, COMPLIANCE, VOLUME = 0.034, 6e-4, 0.045


def test_mass_for_a_tuning_and_back():
    mass = passive.moving_mass(28.0, VOLUME, AREA, COMPLIANCE, AIR)
    assert passive.tuning(VOLUME, AREA, mass, COMPLIANCE, AIR) == pytest.approx(28.0, rel=1e-12)
    vap = passive.equivalent_volume(COMPLIANCE, AREA, AIR)
    notch = passive.notch_frequency(28.0, VOLUME, vap)
    assert notch == pytest.approx(passive.resonance(mass, COMPLIANCE), rel=1e-12)


def test_a_limp_suspension_leaves_a_port():
    mass = passive.moving_mass(28.0, VOLUME, AREA, math.inf, AIR)
    acoustic = mass / AREA**2
    compliance = VOLUME / (AIR.density * AIR.speed**2)
    assert 1 / (2 * math.pi * math.sqrt(acoustic * compliance)) == pytest.approx(28.0, rel=1e-12)


def test_tuning_is_the_resonance_of_the_circuit():
    mass = 0.15
    acoustic = mass / AREA**2
    fb = passive.tuning(VOLUME, AREA, mass, COMPLIANCE, AIR)
    box = VOLUME / (AIR.density * AIR.speed**2)
    radiator = Series("p", "b", GROUND, (Inductor("m", "", "", acoustic),
                                         Capacitor("c", "", "", COMPLIANCE * AREA**2)))
    network = Network((VoltageSource("s", "b", GROUND), Capacitor("v", "b", GROUND, box), radiator))
    current = network.solve(np.array([fb])).current("s")[0]
    assert abs(current) < 1e-10 * 2 * math.pi * fb * box
    vap = passive.equivalent_volume(COMPLIANCE, AREA, AIR)
    fp = passive.resonance(mass, COMPLIANCE)
    assert fb == pytest.approx(fp * math.sqrt(1 + vap / VOLUME), rel=1e-12)


def test_a_notch_at_the_radiators_resonance_and_a_closed_box_when_it_is_held():
    figures = {"fs": 30.0, "qts": 0.4, "compliance_ratio": 1.5, "radiator_resonance": 14.0}
    notch = passive.response([14.0], **figures, radiator_ratio=2.0)
    assert abs(notch[0]) < 1e-14
    stiff = passive.response([20.0, 60.0], **figures, radiator_ratio=1e-9)
    s = 1j * np.array([20.0, 60.0]) / 30.0
    assert np.allclose(stiff, s**2 / (s**2 + s / 0.4 + 2.5), rtol=1e-8)


def test_air_on_both_sides_is_that_of_two_pistons():
    radius = math.sqrt(AREA / math.pi)
    k = 1e-3
    _, reactance = pistons.radiation_impedance(k * radius)
    one = AIR.density * AREA * float(reactance) / k
    assert passive.air_load(AREA, AIR) == pytest.approx(2 * one, rel=1e-6)

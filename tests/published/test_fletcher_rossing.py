"""N. H. Fletcher and T. D. Rossing, The physics of musical instruments, chapter 8, from memory.

Wide tube, near room temperature: attenuation 1.2e-5 sqrt(omega) / a per metre, phase speed
c (1 - 1.65e-3 / (a sqrt f)). Held to half a unit of the last digit and what 27 C and the last
digit of the air's constants make of it.
"""

import math

import pytest

from speakerwright.acoustics import ducts
from speakerwright.acoustics.air import Air

SOURCE = "Fletcher and Rossing, The physics of musical instruments, ch. 8"
CHECKS = [(ducts.line, SOURCE, "memory"), (ducts.two_port, SOURCE, "memory")]
WARM = Air(26.85, 101325.0, 0.0)


def wave(radius, frequency):
    propagation, _ = ducts.line([frequency], math.pi * radius**2, 2 * math.pi * radius, WARM)
    return propagation[0]


def test_attenuation():
    found = wave(0.05, 1000.0).real * 0.05 / math.sqrt(2 * math.pi * 1000.0)
    assert found == pytest.approx(1.2e-5, abs=0.05e-5)


def test_phase_speed():
    omega = 2 * math.pi * 1000.0
    slowing = 1.0 - omega / wave(0.05, 1000.0).imag / WARM.speed
    assert slowing * 0.05 * math.sqrt(1000.0) == pytest.approx(1.65e-3, rel=0.02)


def test_loss_of_a_whole_tube():
    # One metre, closed by its own impedance, loses exp(-alpha) of its pressure.
    matrix = ducts.two_port([1000.0], math.pi * 0.05**2, 2 * math.pi * 0.05, 1.0, WARM)[0]
    _, impedance = ducts.line([1000.0], math.pi * 0.05**2, 2 * math.pi * 0.05, WARM)
    passed = 1.0 / abs(matrix[0, 0] + matrix[0, 1] / impedance[0])
    expected = 1.2e-5 * math.sqrt(2 * math.pi * 1000.0) / 0.05
    assert -math.log(passed) == pytest.approx(expected, rel=0.042)

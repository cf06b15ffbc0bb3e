"""Rayleigh, The theory of sound: the air in rooms and resonators, by cells; recomputed."""

import math

import numpy as np
import pytest

from speakerwright.acoustics import enclosures, slots
from speakerwright.acoustics.air import Air, StatedAir
from speakerwright.acoustics.airmodes import chambers, grid, modes, responses

SOURCE = "Rayleigh, The theory of sound"
CHECKS = [
    (modes.rigid_modes, SOURCE, "recomputed"),
    (responses.uniform_pressure, SOURCE, "recomputed"),
    (responses.port_impedance, SOURCE, "recomputed"),
]
AIR = StatedAir(1.2041, 343.2)


def test_first_modes_of_a_room():
    # modes_1, on cells of 0.4 m
    room = chambers.box_chamber((0, 0, 0), (5.2, 4.1, 2.6))
    found = modes.rigid_modes(grid.made(room, 0.4), 80.0, AIR)
    expected = [33.0, 41.8536585, 53.2984872, 66.0, 66.0, 73.7902433, 78.1519592, 78.1519592]
    assert list(found.frequency[:8]) == pytest.approx(expected, rel=4e-4)


def test_two_chambers_and_a_window():
    # f = c / 2 pi sqrt(S / L (1 / V1 + 1 / V2)), L with both ends of the window.
    width, high, thick, depths = 0.08, 0.06, 0.018, (0.2, 0.28)
    window = chambers.Rectangle((0.11, 0.12), (0.11 + width, 0.12 + high))
    plate = chambers.Plate("z", depths[0], thick, windows=(window,))
    box = chambers.box_chamber((0, 0, 0), (0.3, 0.3, sum(depths) + thick), (plate,))
    found = modes.rigid_modes(grid.made(box, 0.03), 200.0, AIR).frequency
    area = width * high
    length = thick + sum(
        slots.flush_rectangle_end(width, high)
        + enclosures.enclosed_end(area, enclosures.Enclosure(0.3, 0.3, depth), (0.15, 0.15, 0.0))
        for depth in depths)
    softness = sum(1.0 / (0.09 * depth) for depth in depths)
    expected = 343.2 / (2.0 * math.pi) * math.sqrt(area / length * softness)
    # cells come out high at the window: 1.5 % here, 0.6 % at half the spacing and twice the cells
    assert found.size == 1
    assert 0.0 < found[0] / expected - 1.0 < 0.016


def test_resonance_of_even_pressure_and_a_port():
    # helmholtz_0.055
    air, total = Air(), 0.15 + 0.0584
    f = 36.1843855 * air.speed / 343.2
    loop = responses.uniform_pressure([f], 0.055) + responses.port_impedance([f], 0.00503, total)
    mass = responses.port_impedance([f], 0.00503, total)
    assert abs(loop[0] / mass[0]) < 1e-7
    assert np.real(mass[0]) == 0.0

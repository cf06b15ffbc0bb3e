"""Open baffles: limits, symmetry, and the constants of the edge's law."""

import cmath
import math

import numpy as np
import pytest

from speakerwright.acoustics import dipoles
from speakerwright.acoustics.air import StatedAir

AIR = StatedAir(1.2, 343.0)


def hertz(k):
    return np.asarray(k) * 343.0 / (2 * math.pi)


def test_nothing_at_all_at_zero_frequency():
    assert dipoles.baffle_factor([0.0], 0.5, 0.9, 0.2, 0.4, AIR)[0] == pytest.approx(0.0, abs=1e-14)


def test_low_frequency_falls_six_decibels_an_octave_by_its_distance():
    place = (0.5, 0.9, 0.2, 0.4)
    f = hertz([0.02, 0.04])
    factor = dipoles.baffle_factor(f, *place, AIR)
    assert 20 * math.log10(abs(factor[1] / factor[0])) == pytest.approx(6.0206, abs=0.01)
    distance = dipoles.dipole_distance(*place)
    assert factor[0] == pytest.approx(0.02j * distance, rel=1e-3)


def test_the_edge_law_worked_out_by_hand():
    # 1 + (1 - 2/pi) s - (2/pi - 1/2) s^2 at low frequency, sqrt 2 at high, BEND = 0.409
    bend, first = 0.409, 1.0 - 2.0 / math.pi
    lower = ((math.sqrt(2.0) - 1.0) * bend + 2.0 / math.pi - 0.5) / first
    s = 1.3j
    law = (1 + (lower + first) * s + math.sqrt(2) * bend * s * s) / (1 + lower * s + bend * s * s)
    found = dipoles.disc_factor(hertz([1.3 / 0.25]), 0.25, AIR)[0]
    assert found == pytest.approx(1 - law * cmath.exp(-s), rel=1e-12)


def test_the_law_has_no_even_term_of_second_order():
    # The exact disc's factor is j(2/pi)k a + O((k a)^3): its real part begins with (k a)^4.
    factor = dipoles.disc_factor(hertz([0.01 / 0.3]), 0.3, AIR)[0]
    assert abs(factor.real) < 1e-6
    assert factor.imag == pytest.approx(0.01 * 2 / math.pi, rel=1e-4)


def test_high_frequency_sees_the_edge_of_a_half_plane():
    k = np.linspace(2000.0, 2100.0, 4001)
    factor = dipoles.disc_factor(hertz(k), 0.3, AIR)
    assert np.max(np.abs(factor)) == pytest.approx(1.0 + math.sqrt(2.0), rel=1e-3)


def test_high_frequency_sees_four_straight_edges():
    # Stationary phase: a straight edge at d sends sqrt 2 exp(-j (k d + pi/4)) / sqrt(2 pi k d).
    k, edges = np.linspace(150.0, 250.0, 21), np.array([0.2, 0.3, 0.4, 0.5])
    kd = k[:, None] * edges
    sent = math.sqrt(2.0) * np.exp(-1j * (kd + math.pi / 4)) / np.sqrt(2 * math.pi * kd)
    found = 1.0 - dipoles.baffle_factor(hertz(k), 0.5, 0.9, 0.2, 0.4, AIR)
    strength = np.vdot(sent.sum(axis=-1), found) / np.vdot(sent.sum(axis=-1), sent.sum(axis=-1))
    assert strength.real == pytest.approx(1.0, abs=0.004)
    assert abs(strength.imag) < 0.03  # of the next order in 1 / k d


def test_the_mean_over_the_edge_worked_out_by_hand():
    # Weight of a direction: by 1 / distance below k h = 2, h the harmonic mean, evenly above.
    k, place = 6.0, (0.5, 0.9, 0.2, 0.4)
    distances = dipoles.edge_distances(*place)
    middle = len(distances) / sum(1.0 / each for each in distances)
    near, total = 1.0 / (1.0 + (k * middle / 2.0) ** 4), 0.0
    for each in distances:
        edge = 1.0 - dipoles.disc_factor(hertz([k]), float(each), AIR)[0]
        total += (near * middle / each + 1.0 - near) * edge
    found = dipoles.baffle_factor(hertz([k]), *place, AIR)[0]
    assert found == pytest.approx(1.0 - total / len(distances), rel=1e-10)


def test_mirrored_places_are_alike_and_size_scales():
    f = hertz([1.0, 4.0, 11.0])
    one = dipoles.baffle_factor(f, 0.5, 0.9, 0.2, 0.35, AIR)
    for place in ((0.5, 0.9, 0.3, 0.35), (0.5, 0.9, 0.2, 0.55), (0.9, 0.5, 0.35, 0.2)):
        assert np.allclose(dipoles.baffle_factor(f, *place, AIR), one, rtol=1e-9)
    assert np.allclose(dipoles.baffle_factor(f / 2, 1.0, 1.8, 0.4, 0.7, AIR), one, rtol=1e-9)


def test_a_place_off_the_middle_spreads_the_path():
    k = np.linspace(4.0, 14.0, 60)
    middle = np.abs(dipoles.baffle_factor(hertz(k), 0.6, 0.6, 0.3, 0.3, AIR))
    aside = np.abs(dipoles.baffle_factor(hertz(k), 0.6, 0.6, 0.17, 0.24, AIR))
    assert np.ptp(20 * np.log10(aside)) < np.ptp(20 * np.log10(middle))


def test_edge_distances_enclose_the_area():
    distance = dipoles.edge_distances(0.5, 0.9, 0.2, 0.4, 4000)
    assert np.sum(distance**2) * math.pi / 4000 == pytest.approx(0.45, rel=1e-5)


def test_what_cannot_be():
    with pytest.raises(ValueError, match="inside"):
        dipoles.baffle_factor([100.0], 0.5, 0.9, 0.5, 0.4)
    with pytest.raises(ValueError, match="radius"):
        dipoles.disc_factor([100.0], 0.0)
    with pytest.raises(ValueError, match="frequency"):
        dipoles.disc_factor([-1.0], 0.2)

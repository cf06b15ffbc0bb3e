"""Own computations of thin open baffles: not outside checks, and never counted as such.

The disc: Legendre functions and spherical Bessel functions, closed to 1e-8. The rectangles: panels
of constant jump in the exact integral equation, two meshes drawn out to none, closed to about
0.1 dB. Both made apart from this program; they measure the error of its first-order law.
"""

import math

import numpy as np
import pytest

from speakerwright.acoustics import dipoles
from speakerwright.acoustics.air import StatedAir

OWN = [
    (dipoles.disc_factor, "own computation of the disc (Legendre series)"),
    (dipoles.baffle_factor, "own computation of rectangles (integral equation)"),
    (dipoles.dipole_distance, "own computation of rectangles (integral equation)"),
]
AIR = StatedAir(1.2, 343.0)


def hertz(k):
    return np.asarray(k) * 343.0 / (2 * math.pi)


def decibels(values):
    return 20 * np.log10(np.abs(values))


DISC = {
    0.1: 5e-6 + 0.063804j, 0.5: 0.003079 + 0.336505j, 1.0: 0.06406 + 0.79116j,
    1.5: 0.463528 + 1.437581j, 2.0: 1.604415 + 1.641299j, 3.0: 2.31543 + 0.058253j,
    4.0: 1.960643 - 0.861832j, 5.0: 0.642332 - 1.566365j, 5.5: -0.164605 - 1.017436j,
    8.0: 1.116169 + 1.539806j, 12.0: -0.276005 - 0.695158j,
}


@pytest.mark.parametrize("ka", DISC)
def test_disc(ka):
    found = dipoles.disc_factor(hertz([ka / 0.3]), 0.3, AIR)[0]
    assert abs(decibels(found) - decibels(DISC[ka])) < (0.02 if ka < 0.6 else 1.0)


# width, height, across, up: levels at these k D, D the baffle's own distance, in dB
KD = np.array([0.0318, 0.1273, 0.2546, 0.6366, 1.1459, 1.7189, 2.5465, 3.1831, 3.8197])
RECTANGLES = {
    (1.0, 1.0, 0.5, 0.5): [-30.03, -17.92, -11.67, -2.13, 5.96, 7.70, 6.62, 4.12, -10.13],
    (1.0, 1.0, 0.5, 1 / 3): [-29.80, -17.68, -11.40, -1.66, 6.17, 6.48, 4.48, -1.39, -3.40],
    (0.6, 1.0, 0.3, 0.5): [-29.98, -17.86, -11.60, -1.98, 5.95, 7.44, 4.00, -0.66, -5.50],
    (0.5, 1.0, 0.25, 2 / 3): [-29.93, -17.81, -11.53, -1.83, 5.63, 6.10, 4.60, 4.36, -1.98],
    (0.4, 1.2, 0.2, 0.9): [-29.89, -17.76, -11.45, -1.75, 4.74, 6.28, 4.35, 3.21, -2.11],
    (0.5, 1.0, 1 / 6, 0.7): [-29.55, -17.41, -11.07, -1.07, 5.38, 4.30, 3.99, -0.45, -1.86],
}


@pytest.mark.parametrize("place", RECTANGLES)
def test_rectangle(place):
    distance = dipoles.dipole_distance(*place)
    found = decibels(dipoles.baffle_factor(hertz(KD / distance), *place, AIR))
    error = np.abs(found - RECTANGLES[place])
    assert np.max(error[:3]) < 0.4
    assert error[3] < 0.8
    assert np.max(error) < 2.8
    low = 10 ** (RECTANGLES[place][0] / 20) / KD[0]
    assert low == pytest.approx(1.0, rel=0.05)  # j k D at low frequency

"""Rayleigh, The theory of sound: pistons, rooms, Helmholtz resonators; recomputed."""

import math

import pytest

from speakerwright.acoustics import pistons, ports, rooms

SOURCE = "Rayleigh, The theory of sound"
CHECKS = [
    (ports.piston_end, SOURCE, "recomputed"),
    (ports.helmholtz, SOURCE, "recomputed"),
    (ports.mass_length, SOURCE, "recomputed"),
    (rooms.room_modes, SOURCE, "recomputed"),
    (pistons.radiation_impedance, SOURCE + "; Beranek and Mellow, ch. 13; Kinsler, ch. 7",
     "recomputed"),
]


def test_piston_end():
    # port_piston
    assert ports.piston_end(0.1) == pytest.approx(0.0848826363, rel=1e-8)


def test_radiation_impedance():
    # piston_Z_1
    resistance, reactance = pistons.radiation_impedance([0.1, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0])
    assert list(resistance) == pytest.approx(
        [0.00499167361, 0.0309261693, 0.119898829, 0.423275192, 1.03302166, 1.09222795,
         0.991305451],
        rel=1e-8,
    )
    assert list(reactance) == pytest.approx(
        [0.0846565411, 0.208694977, 0.396914672, 0.646763728, 0.534863331, 0.15939175,
         0.178366498],
        rel=1e-8,
    )


@pytest.mark.parametrize(
    ("volume", "area", "length", "correction", "expected"),
    [
        pytest.param(0.055, 0.00503, 0.15, 0.0584, 36.1843855, id="helmholtz_0.055"),
        pytest.param(0.02, 0.0019635, 0.1, 0.0359, 46.4256654, id="helmholtz_0.02"),
    ],
)
def test_helmholtz(volume, area, length, correction, expected):
    found = ports.helmholtz(volume, area, length + correction, 343.2)
    assert found == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize(
    ("radius", "count", "length", "effective"),
    [
        pytest.param(0.04, 1, 0.208886135, 0.266282135, id="portlen_0.055_1"),
        pytest.param(0.035, 2, 0.35752302, 0.40774452, id="portlen_0.055_2"),
    ],
)
def test_length_for_a_tuning(radius, count, length, effective):
    found = ports.mass_length(0.055, count * math.pi * radius**2, 32.0, 343.2)
    assert found == pytest.approx(effective, rel=1e-8)
    # The case takes 0.6133 and 0.8216 radii for its ends, as printed.
    assert found - (0.6133 + 0.8216) * radius == pytest.approx(length, rel=1e-8)


@pytest.mark.parametrize(
    ("size", "speed", "expected"),
    [
        pytest.param((5.2, 4.1, 2.6), 343.2,
                     [33.0, 41.8536585, 53.2984872, 66.0, 66.0, 73.7902433, 78.1519592,
                      78.1519592], id="modes_1"),
        pytest.param((0.3, 0.39, 0.55), 344.0,
                     [312.727273, 441.025641, 540.649575, 573.333333, 625.454545, 653.076916],
                     id="box_modes.1"),
        pytest.param((0.25, 0.4, 0.6), 344.0,
                     [286.666667, 430.0, 516.795683, 573.333333, 688.0, 716.666667],
                     id="box_modes.3"),
        pytest.param((0.28, 0.43, 0.62), 344.0,
                     [277.419355, 400.0, 486.786913, 554.83871, 614.285714, 674.024063],
                     id="box_modes.5"),
    ],
)
def test_room_modes(size, speed, expected):
    assert list(rooms.room_modes(size, len(expected), speed)) == pytest.approx(expected, rel=1e-8)

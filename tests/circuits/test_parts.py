"""Each part's impedance against its formula, worked out with cmath apart from the parts."""

import cmath
import math

import numpy as np
import pytest

from speakerwright.acoustics.air import Air
from speakerwright.circuits.parts import (
    Capacitor,
    Duct,
    Inductor,
    Parallel,
    PowerLawInductor,
    RadiationResistance,
    Resistor,
    SemiInductor,
    Series,
    WrightInductor,
)

AIR = Air()
OMEGAS = (2 * math.pi * 20.0, 2 * math.pi * 333.0, 2 * math.pi * 9000.0)


@pytest.mark.parametrize(
    ("part", "law"),
    [
        (Resistor("r", "a", "b", 5.3), lambda w: 5.3),
        (Inductor("l", "a", "b", 7e-4), lambda w: 7e-4j * w),
        (Capacitor("c", "a", "b", 3e-5), lambda w: -1j / (3e-5 * w)),
        # Leach 2002: K w^n at an angle of 90 n degrees
        (PowerLawInductor("p", "a", "b", 0.02, 0.68),
         lambda w: cmath.rect(0.02 * w**0.68, 0.68 * math.pi / 2)),
        # Wright 1990
        (WrightInductor("w", "a", "b", 0.003, 0.7, 0.011, 0.6),
         lambda w: complex(0.003 * w**0.7, 0.011 * w**0.6)),
        # Thorborg and Futtrup 2011: a semi-inductance stands at 45 degrees
        (SemiInductor("s", "a", "b", 0.05),
         lambda w: cmath.rect(0.05 * math.sqrt(w), math.pi / 4)),
    ],
    ids=lambda value: type(value).__name__,
)
def test_impedance_of_a_part(part, law):
    found = part.impedance(np.array(OMEGAS))
    assert found.dtype == np.complex128
    for omega, value in zip(OMEGAS, found, strict=True):
        assert complex(value) == pytest.approx(law(omega), rel=1e-12)


def test_series_and_parallel():
    r, coil = Resistor("r", "", "", 3.0), Inductor("l", "", "", 0.001)
    omega = np.array([2000.0])
    assert complex(Series("s", "a", "b", (r, coil)).impedance(omega)[0]) == pytest.approx(3 + 2j)
    together = complex(Parallel("p", "a", "b", (r, coil)).impedance(omega)[0])
    assert together == pytest.approx(3 * 2j / (3 + 2j), rel=1e-14)


def test_radiation_resistance_is_that_of_a_small_source_then_a_plane_wave():
    # Rayleigh: the power of a volume velocity U is U² times it; elementary
    area, angle = 0.01, 2 * math.pi
    omega = np.array([2 * math.pi * 50.0, 2 * math.pi * 50e3])
    low, high = RadiationResistance("r", "a", "b", area, angle, AIR).impedance(omega)
    k = omega[0] / AIR.speed
    assert low == pytest.approx(AIR.density * AIR.speed * k**2 / angle, rel=1e-12)
    assert high == pytest.approx(AIR.density * AIR.speed / area, rel=1e-12)


def test_ducts_side_by_side_share_the_flow():
    one = Duct("d", "a", "b", 0.002, 0.16, 0.3, AIR).matrix(np.array([90.0]))[0]
    three = Duct("d", "a", "b", 0.002, 0.16, 0.3, AIR, 3).matrix(np.array([90.0]))[0]
    assert three[0, 1] == pytest.approx(one[0, 1] / 3, rel=1e-14)
    assert three[1, 0] == pytest.approx(one[1, 0] * 3, rel=1e-14)
    assert three[0, 0] == one[0, 0]
    assert np.linalg.det(three) == pytest.approx(1.0, rel=1e-12)


def test_a_tube_loses_by_friction_and_by_heat_at_its_wall():
    """Kirchhoff's attenuation in a wide tube, first order in the layers (Rayleigh; Pierce).

    (1 / a c) sqrt(nu w / 2) (1 + (gamma - 1) / sqrt(Pr)) for a radius a; what is left out here is
    of second order, one part in a thousand at this radius and frequency.
    """
    radius, frequency, length = 0.05, 5000.0, 40.0
    tube = Duct("d", "a", "b", math.pi * radius**2, 2 * math.pi * radius, length, AIR)
    matrix = tube.matrix(np.array([frequency]))[0]
    grown = np.log(np.max(np.abs(np.linalg.eigvals(matrix))))
    omega = 2 * math.pi * frequency
    share = 1 + (AIR.heat_ratio - 1) / math.sqrt(AIR.prandtl)
    loss = math.sqrt(AIR.kinematic_viscosity * omega / 2) / (radius * AIR.speed) * share
    assert grown / length == pytest.approx(loss, rel=2e-3)
    heat = (grown / length / loss * share - 1) / (share - 1)
    assert heat == pytest.approx(1.0, abs=6e-3)

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import ducts
from speakerwright.acoustics.air import Air

AIR = Air()
radii = st.floats(0.01, 0.15)
lengths = st.floats(0.0, 3.0)
frequencies = st.floats(10.0, 1000.0)


def tube(frequency, radius, length):
    return ducts.two_port(
        [frequency], math.pi * radius**2, 2 * math.pi * radius, length, AIR
    )[0]


@given(frequencies, radii, lengths)
def test_reciprocity_and_symmetry(frequency, radius, length):
    matrix = tube(frequency, radius, length)
    assert np.linalg.det(matrix) == pytest.approx(1.0, rel=1e-9)
    assert matrix[0, 0] == matrix[1, 1]


@given(frequencies, radii, lengths, st.floats(0.0, 10.0), st.floats(-10.0, 10.0))
def test_passivity(frequency, radius, length, resistance, reactance):
    # What goes in at one end is at least what comes out at the other, whatever load is there.
    matrix = tube(frequency, radius, length)
    load = complex(resistance, reactance) * AIR.impedance / (math.pi * radius**2)
    p1, u1 = matrix @ np.array([load, 1.0])
    assert (p1 * np.conj(u1)).real >= load.real - 1e-9 * abs(load)


@given(frequencies, radii, st.floats(0.1, 1.0), st.floats(0.1, 1.0))
def test_two_lengths_are_one(frequency, radius, first, second):
    both = tube(frequency, radius, first) @ tube(frequency, radius, second)
    scale = np.array([[1.0, 1e6], [1e-6, 1.0]])
    assert both / scale == pytest.approx(tube(frequency, radius, first + second) / scale, abs=1e-7)


def test_short_open_duct_is_a_mass_and_short_closed_duct_a_compliance():
    area, perimeter, length, frequency = 0.02, 2 * math.sqrt(math.pi * 0.02), 0.1, 20.0
    omega = 2 * math.pi * frequency
    matrix = ducts.two_port([frequency], area, perimeter, length, AIR)[0]
    layer = 1.0 / ducts.layer_ratio([frequency], area, perimeter, AIR)[0]
    mass = AIR.density * length / area * (1.0 + layer)
    assert matrix[0, 1].imag == pytest.approx(omega * mass, rel=1e-3)
    compliance = area * length / (AIR.density * AIR.speed**2)
    thermal = (AIR.heat_ratio - 1.0) * layer / math.sqrt(AIR.prandtl)
    assert matrix[1, 0].imag == pytest.approx(omega * compliance * (1.0 + thermal), rel=1e-3)


def test_characteristic_impedance_tends_to_that_of_free_air():
    _, impedance = ducts.line([5000.0], 0.01, 2 * math.sqrt(math.pi * 0.01), AIR)
    assert abs(impedance[0]) == pytest.approx(AIR.impedance / 0.01, rel=2e-3)


def test_loss_grows_as_the_root_of_frequency_and_with_the_perimeter():
    propagation, _ = ducts.line([500.0, 2000.0], 0.01, 0.4, AIR)
    assert propagation[1].real / propagation[0].real == pytest.approx(2.0, rel=0.01)
    rough, _ = ducts.line([500.0], 0.01, 0.8, AIR)
    assert rough[0].real / propagation[0].real == pytest.approx(2.0, rel=0.02)


def test_layer_ratio_is_the_radius_over_the_layer():
    layer = math.sqrt(AIR.kinematic_viscosity / (math.pi * 50.0))
    found = ducts.layer_ratio(50.0, math.pi * 0.03**2, 2 * math.pi * 0.03)
    assert float(found) == pytest.approx(0.03 / layer)


def test_no_length_is_the_identity():
    assert tube(100.0, 0.05, 0.0) == pytest.approx(np.eye(2))


def test_shapes():
    assert ducts.two_port([10.0, 20.0, 30.0], 0.01, 0.4, 0.2).shape == (3, 2, 2)


@pytest.mark.parametrize("arguments", [([0.0], 0.01, 0.4), ([50.0], 0.0, 0.4), ([50.0], 0.01, 0.0)])
def test_bad_lines_are_refused(arguments):
    with pytest.raises(ValueError, match="above zero"):
        ducts.line(*arguments)


def test_negative_length_is_refused():
    with pytest.raises(ValueError, match="negative"):
        ducts.two_port([50.0], 0.01, 0.4, -0.1)

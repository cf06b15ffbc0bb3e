import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import pistons
from speakerwright.acoustics.air import Air


@given(st.floats(0.0, 60.0))
def test_a_piston_only_takes_power(ka):
    resistance, reactance = pistons.radiation_impedance(ka)
    assert resistance >= 0.0
    assert reactance >= 0.0


def test_limits_of_the_radiation_load():
    resistance, reactance = pistons.radiation_impedance([0.0, 1e-4, 400.0])
    assert list(resistance) == pytest.approx([0.0, 0.5e-8, 1.0], rel=1e-3)
    assert list(reactance) == pytest.approx([0.0, 8e-4 / (3 * math.pi), 0.0], rel=1e-6, abs=2e-3)


def test_series_and_closed_form_meet():
    below, above = pistons.radiation_impedance([0.05 - 1e-9, 0.05 + 1e-9])[0]
    assert above == pytest.approx(below, rel=1e-7)


def test_negative_ka_is_refused():
    with pytest.raises(ValueError, match="negative"):
        pistons.radiation_impedance(-0.1)


@given(st.floats(5.0, 500.0), st.floats(40.0, 130.0), st.floats(0.3, 30.0))
def test_volume_velocity_and_level_are_inverse(frequency, level, distance):
    flow = pistons.volume_velocity_for_level(frequency, level, distance)
    pressure = pistons.pressure_from_volume_velocity(frequency, flow, distance)
    assert float(pistons.level_db(pressure)) == pytest.approx(level, abs=1e-9)
    assert np.angle(pressure) == pytest.approx(math.pi / 2)


@given(st.floats(5.0, 500.0), st.floats(0.005, 0.2), st.floats(1e-4, 0.03))
def test_displacement_and_level_are_inverse(frequency, sd, excursion):
    level = pistons.displacement_limited_level_db(frequency, sd, excursion)
    found = pistons.displacement_for_level(frequency, level)
    assert float(found) == pytest.approx(sd * excursion, rel=1e-9)


def test_level_rises_twelve_decibels_an_octave_at_one_excursion():
    low, high = pistons.displacement_limited_level_db([30.0, 60.0], 0.05, 0.005)
    assert high - low == pytest.approx(40 * math.log10(2.0))


def test_pressure_takes_many_rows():
    flow = np.ones((3, 4), dtype=complex)
    found = pistons.pressure_from_volume_velocity([10, 20, 30, 40], flow, 2.0)
    assert found.shape == (3, 4)
    assert found[1] == pytest.approx(found[0])


def test_power_of_a_small_source_is_its_intensity_over_the_angle():
    air = Air()
    flow = pistons.volume_velocity_for_level(50.0, 100.0, air=air)
    pressure = 20e-6 * 10 ** (100.0 / 20.0)
    intensity = pressure**2 / air.impedance
    assert float(pistons.radiated_power(50.0, flow, air)) == pytest.approx(2 * math.pi * intensity)


def test_silence_is_minus_infinity():
    assert float(pistons.level_db(0.0)) == -math.inf

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import (
    ends,
    neighbours,
    openings,
    ports,
    slits,
    slots,
    tube_shapes,
)
from speakerwright.acoustics.air import Air

volumes = st.floats(0.002, 1.0)
areas = st.floats(5e-4, 0.05)


@given(volumes, areas, st.floats(15.0, 150.0))
def test_length_and_tuning_are_inverse(volume, area, tuning):
    length = ports.mass_length(volume, area, tuning, 343.99)
    assert ports.helmholtz(volume, area, length, 343.99) == pytest.approx(tuning, rel=1e-9)


@given(volumes, areas, st.floats(0.02, 1.0))
def test_a_longer_port_tunes_lower(volume, area, length):
    low = ports.helmholtz(volume, area, length * 1.01, 343.99)
    assert low < ports.helmholtz(volume, area, length, 343.99)


def test_end_corrections_are_found_here():
    for name in ports.__all__:
        found = getattr(ports, name)
        homes = (ends, openings, slots, slits, neighbours, tube_shapes)
        owner = getattr(found, "__module__", "").rsplit(".", 1)[-1]
        home = next((home for home in homes if home.__name__.endswith(f".{owner}")), None)
        if home is not None:
            assert getattr(home, name) is found


def test_pipe_resonances_are_harmonic():
    first = ports.pipe_resonance(0.2, 0.05, 343.99)
    assert ports.pipe_resonance(0.2, 0.05, 343.99, 3) == pytest.approx(3 * first)
    assert first == pytest.approx(343.99 / 0.5)


@given(st.floats(60.0, 120.0), st.floats(20.0, 80.0), areas)
def test_six_decibels_double_the_velocity(level, frequency, area):
    one = ports.velocity_for_level(level, frequency, area)
    two = ports.velocity_for_level(level + 20 * math.log10(2.0), frequency, area)
    assert float(two) == pytest.approx(2 * float(one))


def test_flow_numbers_agree_with_each_other():
    # Over one layer: Re = 2 / (omega layer / velocity), by the layer's definition.
    viscosity = Air().kinematic_viscosity
    layer = ports.stokes_layer(40.0, viscosity)
    turns = 2 * math.pi * ports.strouhal(40.0, layer, 5.0)
    assert ports.reynolds(5.0, layer, viscosity) == pytest.approx(2.0 / turns)


def test_least_vent_of_small_and_its_round_form():
    area, diameter = ports.small_vent_area(30.0, 3e-4), ports.small_vent_diameter(30.0, 3e-4)
    assert math.pi / 4 * diameter**2 == pytest.approx(area, rel=0.02)


def test_bad_figures_are_refused():
    for bad in (
        lambda: ports.helmholtz(0.0, 0.01, 0.1, 343.0),
        lambda: ports.mass_length(0.05, 0.01, 0.0, 343.0),
        lambda: ports.pipe_resonance(0.0, 0.0, 343.0),
        lambda: ports.velocity_for_level(100.0, 30.0, 0.0),
        lambda: ports.stokes_layer(0.0, 1.5e-5),
    ):
        with pytest.raises(ValueError, match="above zero"):
            bad()

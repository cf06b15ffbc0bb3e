import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import air
from speakerwright.acoustics.air import Air, StatedAir

states = st.builds(
    Air, st.floats(-10.0, 40.0), st.floats(7.0e4, 1.08e5), st.floats(0.0, 100.0)
)


def test_default_state_is_twenty_degrees_at_sea_level_and_fifty_per_cent():
    assert Air() == Air(temperature_c=20.0, pressure=101325.0, humidity_percent=50.0)


@given(states)
def test_figures_of_real_states_are_plausible(state):
    assert 0.7 < state.density < 1.5
    assert 320.0 < state.speed < 360.0
    assert state.impedance == pytest.approx(state.density * state.speed)
    assert state.kinematic_viscosity == pytest.approx(state.viscosity / state.density)
    assert 1.38 < state.heat_ratio < 1.41
    assert state.prandtl == 0.71


@given(states)
def test_moisture_makes_air_lighter_and_faster(state):
    dry = Air(state.temperature_c, state.pressure, 0.0)
    assert state.density <= dry.density
    assert state.speed >= dry.speed


@given(states, st.floats(20.0, 2.0e4))
def test_absorption_is_above_zero_and_rises_with_frequency(state, frequency):
    low, high = air.absorption_db_per_m([frequency, 1.1 * frequency], state)
    assert 0.0 < low < high


def test_absorption_of_the_default_state():
    assert np.array_equal(air.absorption_db_per_m(1000.0), air.absorption_db_per_m(1000.0, Air()))


@pytest.mark.parametrize(
    "state",
    [(-40.1, 101325.0, 50.0), (60.1, 101325.0, 50.0), (20.0, 2.99e4, 50.0), (20.0, 1.201e5, 50.0),
     (20.0, 101325.0, -1.0), (20.0, 101325.0, 101.0), (float("nan"), 101325.0, 50.0)],
)
def test_states_outside_the_laws_are_refused(state):
    with pytest.raises(ValueError, match="between"):
        Air(*state)


@pytest.mark.parametrize(
    "state", [(-40.0, 3e4, 0.0), (60.0, 1.2e5, 100.0)]
)
def test_states_at_the_limits_are_taken(state):
    assert Air(*state).density > 0.0


def test_exact_midbands():
    assert float(air.exact_midband(4000)) == pytest.approx(3981.0717)
    with pytest.raises(ValueError, match="above zero"):
        air.exact_midband([0.0, 100.0])


@pytest.mark.parametrize("figures", [(0.0, 343.0), (1.2, -1.0), (float("inf"), 343.0)])
def test_stated_air_is_checked(figures):
    with pytest.raises(ValueError, match="must be"):
        StatedAir(*figures)


def test_repeated_access_is_cheap():
    state = Air(17.0)
    state.density  # noqa: B018
    before = air._density.cache_info().hits
    state.density  # noqa: B018
    assert air._density.cache_info().hits == before + 1

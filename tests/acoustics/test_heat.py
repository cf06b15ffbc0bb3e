import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import heat

metals = st.sampled_from([heat.COPPER, heat.ALUMINIUM])


@given(st.floats(1.0, 16.0), st.floats(-40.0, 300.0), metals)
def test_resistance_and_temperature_are_inverse(re, rise, metal):
    hot = heat.hot_resistance(re, rise, metal)
    assert heat.coil_rise(re, hot, metal) == pytest.approx(rise, abs=1e-9)
    assert heat.coil_temperature_c(re, hot, metal) == pytest.approx(20.0 + rise, abs=1e-9)


@given(st.floats(0.0, 100.0), st.floats(1.0, 16.0), st.floats(0.1, 5.0), metals)
def test_a_settled_coil_gives_off_what_it_takes(voltage, re, thermal_resistance, metal):
    found = heat.steady_voltage_drive(voltage, re, thermal_resistance, metal)
    power = voltage**2 / found.resistance
    assert found.rise == pytest.approx(thermal_resistance * power, rel=1e-9, abs=1e-12)
    assert found.compression_db == pytest.approx(heat.ratio_compression_db(re, found.resistance))


def test_no_voltage_no_heat():
    found = heat.steady_voltage_drive(0.0, 5.0, 1.5)
    assert (found.rise, found.resistance, found.compression_db) == (0.0, 5.0, 0.0)


def test_metals_at_one_hundred_kelvin():
    assert heat.hot_resistance(1.0, 100.0) == pytest.approx(1.393)
    assert heat.hot_resistance(1.0, 100.0, heat.ALUMINIUM) == pytest.approx(1.403)


def test_bad_figures_are_refused():
    for bad in (
        lambda: heat.coil_rise(0.0, 5.0),
        lambda: heat.ratio_compression_db(5.0, 0.0),
        lambda: heat.steady_voltage_drive(10.0, 5.0, 0.0),
    ):
        with pytest.raises(ValueError, match="above zero"):
            bad()


ladders = st.builds(
    heat.coil_and_magnet, st.floats(0.1, 5.0), st.floats(1.0, 60.0), st.floats(0.1, 5.0),
    st.floats(600.0, 7200.0),
)


@given(ladders, st.floats(1.0, 500.0), st.floats(0.1, 2000.0))
def test_a_ladder_keeps_its_energy(ladder, power, time):
    # What was fed is stored in coil and magnet or gone to the room through the last resistance.
    times = np.linspace(0.0, time, 4001)
    coil, magnet = heat.ladder_rise(ladder, power, times)
    stored = ladder.capacities[0] * coil[-1] + ladder.capacities[1] * magnet[-1]
    gone = np.trapezoid(magnet, times) / ladder.resistances[1]
    assert stored + gone == pytest.approx(power * time, rel=2e-5)


@given(ladders, st.floats(1.0, 500.0))
def test_a_ladder_settles_at_its_resistances(ladder, power):
    coil, magnet = heat.ladder_rise(ladder, power, 1e7)
    assert magnet == pytest.approx(power * ladder.resistances[1], rel=1e-6)
    assert coil == pytest.approx(power * ladder.resistance(), rel=1e-6)
    slow, fast = ladder.time_constants()
    assert fast <= ladder.resistances[0] * ladder.capacities[0] * (1 + 1e-9)
    assert slow >= ladder.resistances[1] * ladder.capacities[1] * (1 - 1e-9)
    product = math.prod(ladder.resistances) * math.prod(ladder.capacities)
    assert slow * fast == pytest.approx(product, rel=1e-9)


@given(ladders, st.floats(1.0, 50.0), st.floats(1.0, 50.0))
def test_a_ladder_goes_on_from_where_it_stood(ladder, first, second):
    halfway = heat.ladder_rise(ladder, 80.0, first)
    whole = heat.ladder_rise(ladder, 80.0, first + second)
    assert heat.ladder_rise(ladder, 80.0, second, start=halfway) == pytest.approx(whole, rel=1e-8)


def test_one_body_is_the_textbooks_exponential():
    one = heat.HeatLadder((1.5,), (8.0,))
    time = np.array([0.0, 3.0, 12.0, 100.0])
    exact = heat.parallel_rise(40.0, [1.5], [12.0], time)
    assert np.allclose(heat.ladder_rise(one, 40.0, time)[0], exact, rtol=1e-12)
    assert exact[2] == pytest.approx(60.0 * (1.0 - math.exp(-1.0)), rel=1e-12)
    assert np.allclose(heat.heat_in_time(one, np.full(4, 40.0), 3.0, 0.0)[0],
                       heat.parallel_rise(40.0, [1.5], [12.0], 3.0 * np.arange(5)), rtol=1e-12)


def test_in_time_a_coil_settles_where_its_voltage_has_it():
    ladder = heat.coil_and_magnet(0.7, 8.0, 0.5, 300.0)
    rises = heat.heat_in_time(ladder, np.full(6000, 20.0**2 / 5.6), 1.0)
    settled = heat.steady_voltage_drive(20.0, 5.6, 1.2)
    assert rises[0, -1] == pytest.approx(settled.rise, rel=1e-6)
    assert rises[0, 30] < 0.8 * settled.rise  # the magnet still cold
    fine = heat.heat_in_time(ladder, np.full(600, 400.0 / 5.6), 0.05)
    assert rises[0, 30] == pytest.approx(fine[0, 600], rel=0.02)


def test_wind_cools_the_coil_only():
    blown = heat.coil_and_magnet(0.8, 10.0, 0.5, 1800.0, wind=0.6)
    assert blown.resistance(2.0) == pytest.approx(1.0 / (1.25 + 1.2) + 0.5, rel=1e-12)
    still = heat.heat_in_time(blown, np.full(60, 50.0), 1.0, 0.0)
    moving = heat.heat_in_time(blown, np.full(60, 50.0), 1.0, 0.0, 2.0)
    assert moving[0, -1] < 0.7 * still[0, -1]
    assert moving[1, -1] == pytest.approx(still[1, -1], rel=0.2)
    assert np.allclose(moving[:, -1], heat.ladder_rise(blown, 50.0, 60.0, 2.0), rtol=1e-9)


def test_assumed_ladder_reaches_its_rise_at_the_rated_power():
    made = heat.assumed_ladder(400.0)
    settled = heat.steady_voltage_drive(math.sqrt(400.0 * 5.0), 5.0, made.resistance())
    assert settled.rise == pytest.approx(180.0, rel=1e-9)
    assert made.resistances[0] / made.resistance() == pytest.approx(0.6, rel=1e-12)
    assert [r * c for r, c in zip(made.resistances, made.capacities, strict=True)] == (
        pytest.approx([10.0, 2400.0]))


def test_bad_ladders_are_refused():
    for bad, says in (
        (lambda: heat.HeatLadder((), ()), "as many"),
        (lambda: heat.HeatLadder((1.0,), (1.0, 2.0)), "as many"),
        (lambda: heat.HeatLadder((1.0, 0.0), (1.0, 2.0)), "thermal resistance"),
        (lambda: heat.HeatLadder((1.0, 1.0), (1.0, -2.0)), "heat capacity"),
        (lambda: heat.HeatLadder((1.0,), (1.0,), -1.0), "wind"),
        (lambda: heat.assumed_ladder(0.0), "rated power"),
        (lambda: heat.heat_in_time(heat.HeatLadder((1.0,), (1.0,)), [1.0], 0.0), "step"),
    ):
        with pytest.raises(ValueError, match=says):
            bad()

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

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import movingcoil
from speakerwright.acoustics.air import Air
from speakerwright.acoustics.movingcoil import MovingCoil

drivers = st.builds(
    MovingCoil,
    re=st.floats(1.0, 16.0),
    bl=st.floats(1.0, 40.0),
    mms=st.floats(1e-4, 0.5),
    cms=st.floats(1e-5, 5e-3),
    rms=st.floats(0.05, 20.0),
    sd=st.floats(5e-4, 0.2),
)


@given(drivers)
def test_parameters_and_back(driver):
    air = Air()
    found = movingcoil.from_thiele_small(
        fs=driver.fs, qms=driver.qms, qes=driver.qes, vas=driver.vas(air), re=driver.re,
        sd=driver.sd, air=air,
    )
    for name in ("re", "bl", "mms", "cms", "rms", "sd"):
        assert getattr(found, name) == pytest.approx(getattr(driver, name), rel=1e-9)


@given(drivers)
def test_total_q_lies_below_both(driver):
    assert driver.qts < min(driver.qms, driver.qes)


@given(drivers)
def test_efficiency_is_that_of_the_motor(driver):
    # Small 1972, second form: eta0 = rho Bl^2 Sd^2 / (2 pi c Re Mms^2).
    air = Air()
    motor = air.density * (driver.bl * driver.sd / driver.mms) ** 2
    motor /= 2 * math.pi * air.speed * driver.re
    assert driver.efficiency(air) == pytest.approx(motor, rel=1e-9)


@given(drivers)
def test_sensitivities_differ_by_the_power_of_the_voltage(driver):
    air = Air()
    difference = driver.sensitivity_2v83_db(air) - driver.sensitivity_1w_db(air)
    assert difference == pytest.approx(10 * math.log10(2.83**2 / driver.re), abs=1e-9)


@pytest.mark.parametrize("name", ["re", "bl", "mms", "cms", "rms", "sd"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_figures_must_be_above_zero(name, value):
    figures = {"re": 5.7, "bl": 9.1, "mms": 0.03, "cms": 8e-4, "rms": 1.3, "sd": 0.03}
    with pytest.raises(ValueError, match=name):
        MovingCoil(**(figures | {name: value}))


@pytest.mark.parametrize("name", ["fs", "qms", "qes", "vas", "re", "sd"])
def test_parameters_must_be_above_zero(name):
    figures = {"fs": 31.0, "qms": 4.8, "qes": 0.41, "vas": 0.074, "re": 5.7, "sd": 0.03}
    with pytest.raises(ValueError, match=name):
        movingcoil.from_thiele_small(**(figures | {name: 0.0}), air=Air())

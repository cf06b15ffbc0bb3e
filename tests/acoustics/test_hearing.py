import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import hearing

RULES = ("niosh", "osha")
permitted = {"niosh": hearing.permitted_seconds_niosh, "osha": hearing.permitted_seconds_osha}
exchange = {"niosh": 3.0, "osha": 5.0}


def test_weightings_are_zero_at_one_kilohertz():
    assert float(hearing.a_weighting_db(1000.0)) == 0.0
    assert float(hearing.c_weighting_db(1000.0)) == 0.0


@given(st.floats(10.0, 900.0))
def test_a_takes_more_than_c_below_one_kilohertz(frequency):
    assert hearing.a_weighting_db(frequency) < hearing.c_weighting_db(frequency)


def test_slopes_of_the_weightings():
    # 12 dB an octave for C far below its lowest pole, 24 dB for A.
    for law, slope in ((hearing.c_weighting_db, 40.0), (hearing.a_weighting_db, 80.0)):
        low, high = law([0.01, 0.02])
        assert high - low == pytest.approx(slope * math.log10(2.0), abs=1e-4)


@pytest.mark.parametrize("rule", RULES)
@given(st.floats(70.0, 130.0))
def test_permitted_time_is_halved_by_the_exchange_rate(rule, level):
    one, two = permitted[rule](level), permitted[rule](level + exchange[rule])
    assert two == pytest.approx(one / 2)


@pytest.mark.parametrize("rule", RULES)
@given(st.floats(80.0, 130.0))
def test_all_of_the_permitted_time_is_the_whole_dose(rule, level):
    assert hearing.dose_percent([(level, permitted[rule](level))], rule) == pytest.approx(100.0)


@pytest.mark.parametrize("rule", RULES)
@given(st.floats(80.0, 115.0))
def test_eight_even_hours_average_to_themselves(rule, level):
    dose = hearing.dose_percent([(level, 28800.0)], rule)
    # 16.61 and 10 stand for 5 / lg 2 and 3 / lg 2 (9.966): the rules' own rounding.
    assert hearing.time_weighted_average_db(dose, rule) == pytest.approx(level, abs=0.11)


@given(st.floats(60.0, 130.0), st.floats(1.0, 80000.0))
def test_halving_the_time_is_three_decibels(level, seconds):
    whole = hearing.daily_exposure_db(level, seconds)
    half = hearing.daily_exposure_db(level, seconds / 2)
    assert whole - half == pytest.approx(10 * math.log10(2.0))
    assert hearing.daily_exposure_db(level, 28800.0) == pytest.approx(level)


def test_bad_arguments_are_refused():
    for bad in (
        lambda: hearing.dose_percent([(90.0, 10.0)], "other"),
        lambda: hearing.dose_percent([(90.0, -10.0)]),
        lambda: hearing.time_weighted_average_db(50.0, "other"),
        lambda: hearing.time_weighted_average_db(0.0),
        lambda: hearing.daily_exposure_db(90.0, 0.0),
    ):
        with pytest.raises(ValueError, match="must"):
            bad()

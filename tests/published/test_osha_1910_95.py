"""29 CFR 1910.95 and its appendix A: table G-16a, permitted time and dose; read.

Table G-16 rounds its hours (6 h stands at 92 dBA for 6.06); its round rows are exact.
"""

import pytest

from speakerwright.acoustics import hearing

SOURCE = "29 CFR 1910.95, appendix A, table G-16a"
CHECKS = [
    (hearing.permitted_seconds_osha, SOURCE, "read"),
    (hearing.dose_percent, SOURCE, "read"),
    (hearing.time_weighted_average_db, SOURCE, "read"),
]
HOUR = 3600.0


@pytest.mark.parametrize(
    ("level_db", "hours"),
    [
        pytest.param(80.0, 32.0, id="osha_time.1"),
        pytest.param(92.0, 6.06286627, id="osha_time.3"),
        pytest.param(97.0, 3.03143313, id="osha_time.4"),
        pytest.param(88.0, 10.5560633, id="osha_time.6"),
        pytest.param(110.0, 0.5, id="osha_time.8"),
    ],
)
def test_permitted_time(level_db, hours):
    assert hearing.permitted_seconds_osha(level_db) / HOUR == pytest.approx(hours, rel=1e-8)


@pytest.mark.parametrize(
    ("level_db", "hours"), [(90, 8), (95, 4), (100, 2), (105, 1), (110, 0.5), (115, 0.25)]
)
def test_round_rows_of_the_table(level_db, hours):
    # exp.osha
    assert hearing.permitted_seconds_osha(level_db) == pytest.approx(hours * HOUR, rel=1e-12)


@pytest.mark.parametrize(("level_db", "hours"), [(92, 6), (97, 3), (102, 1.5)])
def test_rounded_rows_of_the_table(level_db, hours):
    # exp.osha: printed to the half or whole hour, 1 % from the formula
    assert hearing.permitted_seconds_osha(level_db) == pytest.approx(hours * HOUR, rel=0.011)


def test_a_day_at_the_criterion_and_the_action_level():
    full = hearing.dose_percent([(90.0, 8 * HOUR)], "osha")
    assert full == pytest.approx(100.0, rel=1e-12)
    assert hearing.time_weighted_average_db(full, "osha") == pytest.approx(90.0, rel=1e-12)
    # 85 dBA for eight hours is a dose of 50 %, the action level of paragraph (c).
    assert hearing.dose_percent([(hearing.OSHA_ACTION_DB, 8 * HOUR)], "osha") == pytest.approx(50.0)
    assert hearing.time_weighted_average_db(50.0, "osha") == pytest.approx(85.0, abs=0.005)
    assert hearing.OSHA_IMPULSE_PEAK_DB == 140.0

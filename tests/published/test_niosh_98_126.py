"""NIOSH 98-126, Criteria for a recommended standard: occupational noise exposure, eq. 1.1, 1.2.

Formula and time-weighted average read; cases recomputed from them. The ceiling is from memory.
"""

import pytest

from speakerwright.acoustics import hearing

SOURCE = "NIOSH 98-126, eq. 1.1 and 1.2"
CHECKS = [
    (hearing.permitted_seconds_niosh, SOURCE, "read"),
    (hearing.dose_percent, SOURCE, "read"),
    (hearing.time_weighted_average_db, SOURCE, "read"),
]
HOUR, MINUTE = 3600.0, 60.0


@pytest.mark.parametrize(
    ("level_db", "minutes"),
    [
        pytest.param(85.0, 480.0, id="niosh_time.1"),
        pytest.param(94.0, 60.0, id="niosh_time.3"),
        pytest.param(100.0, 15.0, id="niosh_time.4"),
        pytest.param(91.5, 106.907846, id="niosh_time.6"),
        pytest.param(112.0, 0.9375, id="niosh_time.8"),
    ],
)
def test_permitted_time(level_db, minutes):
    assert hearing.permitted_seconds_niosh(level_db) / MINUTE == pytest.approx(minutes, rel=1e-8)


@pytest.mark.parametrize(
    ("segments", "dose", "average"),
    [
        pytest.param([(85, 2), (97, 0.5), (80, 4)], 140.749013, 86.4844536, id="dose.1"),
        pytest.param([(100, 0.25), (88, 1)], 125.0, 85.9691001, id="dose.3"),
        pytest.param([(105, 0.1), (82, 7)], 170.742084, 87.3234058, id="dose.5"),
    ],
)
def test_dose(segments, dose, average):
    found = hearing.dose_percent([(level, hours * HOUR) for level, hours in segments], "niosh")
    assert found == pytest.approx(dose, rel=1e-8)
    assert hearing.time_weighted_average_db(found, "niosh") == pytest.approx(average, rel=1e-8)


def test_ceiling_from_memory():
    assert hearing.NIOSH_CEILING_DB == 140.0

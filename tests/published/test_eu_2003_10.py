"""Directive 2003/10/EC, article 3: limit and action values of daily exposure and peak; read."""

import pytest

from speakerwright.acoustics import hearing, pistons

SOURCE = "Directive 2003/10/EC, article 3"
CHECKS = [(pistons.level_db, SOURCE + " (200, 140, 112 Pa)", "read")]


@pytest.mark.parametrize(
    ("value", "daily_db", "peak", "printed_db", "exact_db"),
    [
        # exp.eu; the second and third are peak_pa.2 and peak_pa.1
        (hearing.EU_LIMIT, 87.0, 200.0, 140, 140.0),
        (hearing.EU_UPPER_ACTION, 85.0, 140.0, 137, 136.901961),
        (hearing.EU_LOWER_ACTION, 80.0, 112.0, 135, 134.963761),
    ],
)
def test_values(value, daily_db, peak, printed_db, exact_db):
    assert (value.daily_db, value.peak) == (daily_db, peak)
    level = float(pistons.level_db(value.peak))
    assert level == pytest.approx(exact_db, rel=1e-8)
    assert round(level) == printed_db

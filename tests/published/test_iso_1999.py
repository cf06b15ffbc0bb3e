"""ISO 1999 (and Directive 2003/10/EC): daily exposure level LEX,8h; recomputed."""

import pytest

from speakerwright.acoustics import hearing

CHECKS = [(hearing.daily_exposure_db, "ISO 1999", "recomputed")]


@pytest.mark.parametrize(
    ("level_db", "hours", "expected"),
    [
        pytest.param(95.0, 1.0, 85.9691001, id="lex8.1"),
        pytest.param(88.0, 3.0, 83.7403127, id="lex8.3"),
        pytest.param(90.0, 2.0, 83.9794001, id="lex8.5"),
    ],
)
def test_daily_exposure(level_db, hours, expected):
    found = hearing.daily_exposure_db(level_db, hours * 3600.0)
    assert found == pytest.approx(expected, rel=1e-8)

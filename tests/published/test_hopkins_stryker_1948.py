"""H. F. Hopkins and N. R. Stryker 1948; Beranek: direct and reverberant sound; recomputed."""

import pytest

from speakerwright.acoustics import rooms

SOURCE = "Hopkins and Stryker 1948; Beranek"
CHECKS = [
    (rooms.critical_distance, SOURCE, "recomputed"),
    (rooms.direct_and_reverberant, SOURCE, "recomputed"),
    (rooms.room_constant, SOURCE, "recomputed"),
    (rooms.power_level_from_direct_db, SOURCE, "recomputed"),
]


@pytest.mark.parametrize(
    ("factor", "absorption", "expected"),
    [
        pytest.param(2.0, 14.0, 0.746352665, id="rc_2"),
        pytest.param(8.0, 62.0, 3.14127466, id="rc_8"),
    ],
)
def test_critical_distance(factor, absorption, expected):
    assert rooms.critical_distance(factor, absorption) == pytest.approx(expected, rel=1e-8)


def test_direct_and_reverberant():
    # dirrev_95
    found = rooms.direct_and_reverberant(95.0, 2.0, 2.5, rooms.room_constant(112.0, 0.22))
    assert (
        float(found.direct_db), float(found.reverberant_db), float(found.total_db)
    ) == pytest.approx((79.0594011, 86.0251389, 86.8209543), rel=1e-8)
    assert float(rooms.power_level_from_direct_db(79.0594011, 2.0, 2.5)) == pytest.approx(
        95.0, rel=1e-8
    )

"""Statics of a sling: even sharing over n legs at an angle, times a design factor; recomputed."""

import pytest

from speakerwright.acoustics.safety import hanging

SOURCE = "statics of a sling"
CHECKS = [
    (hanging.sling_tension, SOURCE, "recomputed"),
    (hanging.breaking_load, SOURCE, "recomputed"),
    (hanging.working_load_limit, SOURCE, "recomputed"),
]


@pytest.mark.parametrize(
    ("mass", "points", "factor", "angle", "expected"),
    [
        pytest.param(12.0, 1, 10.0, 0.0, 1176.798, id="suspension_wll.1"),
        pytest.param(25.0, 2, 8.0, 45.0, 1386.86974, id="suspension_wll.3"),
        pytest.param(40.0, 3, 10.0, 25.0, 1442.72548, id="suspension_wll.5"),
    ],
)
def test_breaking_load(mass, points, factor, angle, expected):
    pull = hanging.sling_tension(mass, points, angle)
    assert hanging.breaking_load(pull, factor) == pytest.approx(expected, rel=1e-8)
    assert hanging.working_load_limit(expected, factor) == pytest.approx(pull, rel=1e-8)

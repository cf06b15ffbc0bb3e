"""Hanging points by hand, and what the arithmetic refuses."""

from __future__ import annotations

import math

import pytest

from speakerwright.acoustics.safety import hanging


def test_a_leg_at_60_degrees_bears_twice():
    upright = hanging.sling_tension(50.0, 2)
    assert upright == pytest.approx(245.16625, rel=1e-12)
    assert hanging.sling_tension(50.0, 2, 60.0) == pytest.approx(2.0 * upright, rel=1e-12)


def test_of_four_points_two_bear():
    assert hanging.sling_tension(50.0, 4) == hanging.sling_tension(50.0, 2)
    assert hanging.sling_tension(50.0, 4, bearing=3) == hanging.sling_tension(50.0, 3)


def test_levers_of_two_points():
    """50 kg, centre 0.1 m from the first of two 0.4 m apart: three quarters and one."""
    assert hanging.two_point_loads(50.0, 0.1, 0.0, 0.4) == pytest.approx(
        (367.749375, 122.583125), rel=1e-12)
    assert hanging.two_point_loads(50.0, 0.1, 0.4, 0.0) == pytest.approx(
        (122.583125, 367.749375), rel=1e-12)


def test_default_factor_is_ten_and_it_says_whom_to_ask():
    assert hanging.breaking_load(100.0) == 1000.0
    assert hanging.working_load_limit(1000.0) == 100.0
    assert "qualified rigger" in hanging.ASK
    assert any("fall" in question for question in hanging.QUESTIONS)
    assert all(question.endswith("?") for question in hanging.QUESTIONS)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: hanging.sling_tension(50.0, 2, 61.0), "within 60 degrees"),
        (lambda: hanging.sling_tension(50.0, 2, -1.0), "within 60 degrees"),
        (lambda: hanging.sling_tension(50.0, 0), "one point or more"),
        (lambda: hanging.sling_tension(50.0, 2, bearing=3), "among the points"),
        (lambda: hanging.sling_tension(math.nan, 2), "mass"),
        (lambda: hanging.two_point_loads(50.0, 0.5, 0.0, 0.4), "between the two"),
        (lambda: hanging.breaking_load(100.0, 0.9), "1 or above"),
        (lambda: hanging.working_load_limit(100.0, math.nan), "1 or above"),
        (lambda: hanging.working_load_limit(0.0), "breaking load"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()

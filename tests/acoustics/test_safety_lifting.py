"""Lifting: limits of the multipliers, steps of the tables, and a load between two."""

from __future__ import annotations

import math

import pytest

from speakerwright.acoustics.safety import lifting
from speakerwright.acoustics.safety.lifting import Lift

BEST = Lift(0.25, 0.75, 0.25, 0.0, "good")


def test_the_best_lift_is_the_load_constant():
    assert lifting.recommended_weight(BEST) == 23.0
    assert set(lifting.multipliers(BEST).values()) == {1.0}


@pytest.mark.parametrize(
    ("lift", "name", "value"),
    [
        (Lift(0.10, 0.75, 0.25), "horizontal", 1.0),
        (Lift(0.63, 0.75, 0.25), "horizontal", 25 / 63),
        (Lift(0.64, 0.75, 0.25), "horizontal", 0.0), (Lift(0.3, 0.75, 0.1), "distance", 1.0),
        (Lift(0.3, 0.2, 1.0), "distance", 0.865), (Lift(0.3, 0.0, 1.76), "distance", 0.0),
        (Lift(0.3, 1.0, 0.5), "vertical", 0.925), (Lift(0.3, 0.5, 0.5), "vertical", 0.925),
        (Lift(0.3, 0.74, 0.5, grip="fair"), "coupling", 0.95),
        (Lift(0.3, 0.75, 0.5, grip="fair"), "coupling", 1.0),
        (Lift(0.3, 1.0, 0.5, grip="poor"), "coupling", 0.9),
        (Lift(0.3, 0.5, 0.5, grip="good"), "coupling", 1.0),
        (Lift(0.3, 0.5, 0.5, turn_deg=50.0), "asymmetry", 0.84),
        (Lift(0.3, 0.5, 0.5, per_minute=0.0), "frequency", 1.0),
    ],
)
def test_multipliers(lift, name, value):
    assert lifting.multipliers(lift)[name] == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("rate", "hours", "value"),
    [(0.3, 1.0, 0.97), (1.5, 1.0, 0.91), (1.0, 1.1, 0.88), (1.0, 2.1, 0.75), (15.1, 0.1, 0.0)],
)
def test_between_two_rows_the_lower_counts(rate, hours, value):
    assert lifting.frequency_multiplier(rate, hours, 0.8) == value


def test_not_like_this():
    assert lifting.lifting_index(5.0, Lift(0.7, 0.75, 0.25)) == math.inf


def test_share_by_levers():
    """40 kg, heavy end 0.3 m from the first, 0.7 m from the second: 28 and 12 kg."""
    assert lifting.lift_share(40.0, 0.3, 0.0, 1.0) == pytest.approx((28.0, 12.0), rel=1e-12)
    assert lifting.lift_share(40.0, 0.3, 1.0, 0.0) == pytest.approx((12.0, 28.0), rel=1e-12)
    assert lifting.lift_share(40.0, 0.0, 0.0, 1.0) == pytest.approx((40.0, 0.0), abs=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Lift(0.0, 0.7, 0.2), "reach"),
        (lambda: Lift(0.3, -0.1, 0.2), "negative"),
        (lambda: Lift(0.3, 0.1, math.nan), "negative"),
        (lambda: Lift(0.3, 0.7, 0.2, hours=9.0), "8 hours"),
        (lambda: Lift(0.3, 0.7, 0.2, grip="firm"), "good, fair or poor"),
        (lambda: lifting.frequency_multiplier(1.0, 9.0, 0.7), "up to 8"),
        (lambda: lifting.frequency_multiplier(-1.0, 1.0, 0.7), "negative"),
        (lambda: lifting.lifting_index(0.0, BEST), "mass"),
        (lambda: lifting.lift_share(40.0, 1.1, 0.0, 1.0), "between the two"),
        (lambda: lifting.lift_share(40.0, 1.0, 1.0, 1.0), "between the two"),
        (lambda: lifting.team_capability(20.0, 4), "one to three"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()

"""Limits of the brief's findings, each by hand."""

from __future__ import annotations

from typing import Any

import pytest

from speakerwright.brief.stage import work
from speakerwright.design.sections.brief import Brief
from speakerwright.words.findings import Verdict


def brief(**room: Any) -> Brief:
    return Brief.model_validate({
        "use": "test", "lowest": "50 Hz",
        "level": {"average": "90 dB", "weighting": "Z", "crest": "12 dB", "spectrum": "pink"},
        "seats": {"nearest": "2 m", "farthest": "8 m"}, "place": {"kind": "free"},
        "amplifier": {"power": "100 W", "load": "8 ohm", "noise": "0.283 mV"},
        "room": {"volume": "500 m^3", "reverberation_time": "1 s", "directivity_index": "7 dB",
                 "noise": "35 dB", **room},
        "target": {"tolerance": "3 dB"},
    })


def rule(name: str, **room: Any):
    return next(f for f in work(brief(**room), 90.0, 105.0).findings if f.rule == name)


def test_the_amplifiers_noise_stands_6_db_under_the_rooms():
    found = rule("amplifier_noise")
    assert found.limit == pytest.approx(29.0, abs=1e-9)
    assert found.value == pytest.approx(105.0 - 80.0 - 6.0206, abs=1e-3)
    assert found.verdict is Verdict.HOLDS
    assert rule("amplifier_noise", noise="24 dB").verdict is Verdict.FAILS


def test_the_rooms_statistics_hold_above_schroeders_frequency():
    found = rule("room_statistics")
    assert found.limit == 500.0
    assert found.value == pytest.approx(2000 * (1 / 500) ** 0.5, rel=1e-9)
    small = rule("room_statistics", volume="15 m^3")
    assert small.verdict is Verdict.FAILS


def test_the_seats_spread_by_no_more_than_the_tolerance_up_and_down():
    found = rule("seat_spread")
    assert found.limit == pytest.approx(6.0)
    assert found.value == pytest.approx(work(brief(), 90.0).spread_db)


def test_a_headroom_is_at_least_nothing():
    found = rule("amplifier_headroom")
    assert found.limit == 0.0
    assert found.value == pytest.approx(work(brief(), 90.0).headroom_db)

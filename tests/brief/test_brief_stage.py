"""The brief by hand: every term of the level at 1 m, and what follows from it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.brief.stage import cabinet_gain_db, work
from speakerwright.design.sections.brief import Brief
from speakerwright.words.findings import Verdict


def brief(**changes: Any) -> Brief:
    raw: dict[str, Any] = {
        "use": "test", "lowest": "50 Hz",
        "level": {"average": "90 dB", "weighting": "Z", "crest": "12 dB", "spectrum": "pink"},
        "seats": {"nearest": "2 m", "farthest": "8 m"}, "place": {"kind": "free"},
        "amplifier": {"power": "100 W", "load": "8 ohm"},
    }
    for path, value in changes.items():
        node, parts = raw, path.split("__")
        for part in parts[:-1]:
            node = node.setdefault(part, {})
        node[parts[-1]] = value
    return Brief.model_validate(raw)


def test_free_field_is_the_inverse_distance_law() -> None:
    result = work(brief(), 90.0)
    far = result.governing
    assert far.distance == 8.0
    assert far.needed_average_db == pytest.approx(90.0 + 20 * math.log10(8.0), abs=1e-9)
    assert far.needed_peak_db == pytest.approx(far.needed_average_db + 12.0 - 3.0103, abs=1e-4)
    assert far.weighted_db == pytest.approx(90.0)
    assert result.spread_db == pytest.approx(20 * math.log10(4.0))
    near = result.seats[0]
    assert near.weighted_db == pytest.approx(90.0 + 20 * math.log10(4.0))


def test_drive_is_the_sensitivity_scaled() -> None:
    result = work(brief(), 90.0)
    seat = result.governing
    assert seat.drive_v == pytest.approx(2.83 * 10 ** ((seat.needed_peak_db - 90.0) / 20))
    assert seat.drive_w == pytest.approx(seat.drive_v**2 / 8.0)
    assert result.headroom_db == pytest.approx(20 * math.log10(math.sqrt(800.0) / seat.drive_v))


def test_peak_voltage_limits_the_headroom() -> None:
    limited = work(brief(amplifier__peak_voltage="20 V"), 90.0)
    seat = limited.governing
    assert limited.headroom_db == pytest.approx(20 * math.log10(20 / math.sqrt(2) / seat.drive_v))


@pytest.mark.parametrize(
    ("channels", "each", "adding", "gain"),
    [(1, 1, "power", 0.0), (2, 1, "power", 3.0103), (2, 1, "pressure", 6.0206),
     (1, 4, "power", 12.0412), (2, 2, "power", 9.0309), (3, 2, "pressure", 15.5630)],
)
def test_cabinets_of_a_channel_add_by_pressure_and_channels_as_said(
    channels: int, each: int, adding: str, gain: float
) -> None:
    made = brief(system={"channels": channels, "cabinets_per_channel": each, "adding": adding})
    assert cabinet_gain_db(made) == pytest.approx(gain, abs=1e-4)


def test_room_adds_the_reverberant_field() -> None:
    """Hopkins and Stryker: 1/r^2 + 16 pi/(A Q), A = 24 ln10 V/(c T)."""
    made = brief(room={"volume": "1000 m^3", "reverberation_time": "1.2 s",
                       "directivity_index": "6 dB"})
    result = work(made, 90.0)
    area = 24 * math.log(10) * 1000 / (343.987 * 1.2)
    assert result.room is not None
    assert result.room.absorption == pytest.approx(area, rel=2e-4)
    transfer = 10 * math.log10(1 / 64 + 16 * math.pi / (area * 10**0.6))
    assert result.governing.needed_average_db == pytest.approx(90.0 - transfer, abs=2e-3)
    assert result.room.critical_distance == pytest.approx(
        math.sqrt(10**0.6 * area / (16 * math.pi)), rel=2e-4
    )


def test_room_without_a_directivity_does_not_count_and_says_so() -> None:
    result = work(brief(room={"volume": "1000 m^3", "reverberation_time": "1.2 s"}), 90.0)
    assert result.governing.needed_average_db == pytest.approx(90.0 + 20 * math.log10(8.0))
    assert [f.verdict for f in result.findings if f.rule == "room_counts"] == [Verdict.UNKNOWN]


def test_weighting_and_screen_raise_what_is_owed() -> None:
    plain = work(brief(level__spectrum="programme"), 90.0).governing
    weighted = work(brief(level__spectrum="programme", level__weighting="A"), 90.0)
    assert weighted.weighting_offset_db == pytest.approx(2.61, abs=0.02)
    assert weighted.governing.needed_average_db - plain.needed_average_db == pytest.approx(
        weighted.weighting_offset_db
    )
    behind = work(brief(place__before="screen", place__loss="2 dB"), 90.0)
    assert behind.governing.needed_average_db == pytest.approx(
        work(brief(), 90.0).governing.needed_average_db + 2.0
    )
    assert behind.governing.weighted_db == pytest.approx(90.0)


def test_level_asked_at_the_nearest_seat() -> None:
    result = work(brief(level__at="nearest"), 90.0)
    assert result.governing.distance == 2.0
    assert result.governing.needed_average_db == pytest.approx(90.0 + 20 * math.log10(2.0))


def test_seats_as_points() -> None:
    made = brief()
    points = {"points": [{"name": "desk", "distance": "1 m"},
                         {"name": "sofa", "distance": "3 m", "angle": "20 deg"}]}
    made = Brief.model_validate({**_raw(made), "seats": points})
    result = work(made, 90.0)
    assert [seat.name for seat in result.seats] == ["desk", "sofa"]
    assert result.governing.name == "sofa"


def _raw(_: Brief) -> dict[str, Any]:
    return {
        "use": "test", "lowest": "50 Hz",
        "level": {"average": "90 dB", "weighting": "Z", "crest": "12 dB", "spectrum": "pink"},
        "place": {"kind": "free"}, "amplifier": {"power": "100 W", "load": "8 ohm"},
    }


def test_noise_of_all_cabinets_through_the_most_sensitive_driver() -> None:
    made = brief(amplifier__noise="0.283 mV", system={"channels": 2})
    result = work(made, 90.0, 110.0)
    assert result.noise_db == pytest.approx(110.0 - 80.0 + 3.0103 - 6.0206, abs=1e-3)


def test_exposure_at_the_loudest_seat() -> None:
    made = brief(level__average="94 dB", level__weighting="A", level__at="nearest",
                 level__hours="1 h")
    seen = work(made, 90.0).exposure
    assert seen is not None
    assert seen.level_db_a == pytest.approx(94.0)
    assert seen.niosh_seconds == pytest.approx(3600.0)
    assert seen.niosh_dose_percent == pytest.approx(100.0)
    assert seen.daily_db == pytest.approx(94.0 - 10 * math.log10(8.0))


def test_no_sensitivity_leaves_the_headroom_unknown() -> None:
    result = work(brief(), None)
    assert result.headroom_db is None
    assert result.findings[0].verdict is Verdict.UNKNOWN


def test_budget() -> None:
    made = brief(budget={"total": 100, "cabinets": 2})
    found = {f.rule: f for f in work(made, 90.0, cost=101.0).findings}
    assert found["drivers_in_budget"].verdict is Verdict.FAILS
    found = {f.rule: f for f in work(made, 90.0, cost=50.0).findings}
    assert found["drivers_in_budget"].verdict is Verdict.HOLDS


@given(st.floats(60, 120), st.floats(0, 24), st.floats(0.5, 3.0), st.floats(3.0, 60.0))
def test_every_seat_with_its_own_need_hears_what_is_asked(
    average: float, crest: float, near: float, far: float
) -> None:
    made = brief(level__average=f"{average} dB", level__crest=f"{crest} dB",
                 seats={"nearest": f"{near} m", "farthest": f"{far} m"},
                 room={"volume": "500 m^3", "reverberation_time": "1 s",
                       "directivity_index": "7 dB"})
    result = work(made, 90.0)
    governing = result.governing
    for seat in result.seats:
        short = governing.needed_average_db - seat.needed_average_db
        assert seat.weighted_db == pytest.approx(average + short, abs=1e-9)
    assert replace(governing) == governing

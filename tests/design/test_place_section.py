"""Distances of the place and what stands before the cabinet: read, and refused in sentences."""

from __future__ import annotations

import pytest

from speakerwright.design.file import read_project
from speakerwright.design.sections.brief import Place, Screen
from speakerwright.words.errors import DesignErrors

from .folders import HALL

DESIGN = read_project(HALL).design


def test_distances_are_read_in_si():
    place = DESIGN.with_values({
        "brief.place.kind": "free", "brief.place.to_floor": "40 in",
        "brief.place.to_wall_behind": "70 cm", "brief.place.to_side_wall": "2.5 m",
        "brief.place.reflection": 0.9, "brief.place.spacing": "600 mm",
    }).decided.brief.place
    assert (place.to_floor, place.to_wall_behind, place.to_side_wall, place.spacing) == (
        pytest.approx((1.016, 0.7, 2.5, 0.6)))
    assert place.reflection == 0.9


def test_without_them_nothing_is_said():
    place = Place.model_validate({"kind": "floor"})
    assert (place.to_floor, place.to_wall_behind, place.to_side_wall, place.spacing) == (None,) * 4
    assert place.reflection == 1.0
    assert DESIGN.decided.brief.screen is None


def test_a_screen_is_read():
    screen = DESIGN.with_values({
        "brief.place.before": "screen", "brief.screen.hole": "1.2 mm", "brief.screen.open": "5 %",
        "brief.screen.thickness": "0.3 mm",
        "brief.screen.table": [["1 kHz", "0 dB"], ["10 kHz", "6.5 dB"]],
    }).decided.brief.screen
    assert (screen.hole, screen.open, screen.thickness) == pytest.approx((1.2e-3, 5.0, 3e-4))
    assert screen.table == ((1000.0, 0.0), (10000.0, 6.5))
    assert Screen.model_validate({"table": [["1 kHz", "1 dB"]]}).hole is None


SEATS = [{"name": "one", "distance": "3 m", "angle": "60 deg"},
         {"name": "two", "distance": "2 m", "angle": "170 deg"}]
BEFORE = {"brief.place.before": "grille"}
WRONG = [
    ({"brief.place.to_wall_behind": "0.5 m"}, "brief.place.to_wall_behind", "flush with its wall"),
    ({"brief.place.kind": "corner", "brief.place.spacing": "0.6 m"}, "brief.place.spacing",
     "does not stand in one corner"),
    ({"brief.place.kind": "wall", "brief.place.to_side_wall": "0.3 m",
      "brief.place.spacing": "0.6 m", "brief.system.cabinets_per_channel": 2},
     "brief.place.to_side_wall", "too wide"),
    ({"brief.place.to_side_wall": "2.5 m", "brief.seats": {"points": SEATS}},
     "brief.seats.points.0", "behind the side wall"),
    ({"brief.place.kind": "free", "brief.place.to_wall_behind": "1 m",
      "brief.seats": {"points": SEATS}}, "brief.seats.points.1", "behind the wall behind"),
    ({"brief.place.reflection": 1.2}, "brief.place.reflection", "out of range"),
    ({"brief.place.to_floor": "0 m"}, "brief.place.to_floor", "out of range"),
    ({"brief.screen": {"table": [["1 kHz", "1 dB"]]}}, "brief.screen", "nothing stands before"),
    ({**BEFORE, "brief.screen": {"hole": "1 mm", "open": "20 %"}}, "brief.screen",
     "not fully described"),
    ({**BEFORE, "brief.screen": {"hole": "1 mm", "table": [["1 kHz", "1 dB"]]}}, "brief.screen",
     "not fully described"),
    ({**BEFORE, "brief.screen": {}}, "brief.screen", "not fully described"),
    ({**BEFORE, "brief.screen": {"hole": "1 mm", "open": "70 %", "thickness": "1 mm"}},
     "brief.screen.open", "all but touch"),
    ({**BEFORE, "brief.screen": {"table": [["1 kHz", "1 dB"], ["1 kHz", "2 dB"]]}},
     "brief.screen.table", "do not rise"),
]


@pytest.mark.parametrize(("changes", "where", "says"), WRONG)
def test_what_cannot_stand_is_refused(changes, where, says):
    with pytest.raises(DesignErrors) as refused:
        DESIGN.with_values(changes)
    assert [(error.where, says in error.says) for error in refused.value.errors] == [(where, True)]
    assert refused.value.errors[0].try_this

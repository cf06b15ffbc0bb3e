"""Sizes of the box: all given, one free, several rooms; and rooms that do not fit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.cabinet.sizes import closing_room, free_size, resolve, with_clear
from speakerwright.design.sections.cabinet import Cabinet

from .designs import cabinet, worked


def box(**changes):
    return Cabinet.model_validate(cabinet(**changes))


def rooms(**heights):
    return {name: {} if mm is None else {"height": f"{mm} mm"} for name, mm in heights.items()}


def test_all_sizes_given():
    sizes = resolve(box(), ("main",), None)
    assert (sizes.width, sizes.height, sizes.depth, sizes.sheet) == pytest.approx(
        (0.3, 0.5, 0.3, 0.018))
    (room,) = sizes.rooms
    assert (room.width, room.depth, room.height, room.floor) == pytest.approx(
        (0.264, 0.264, 0.464, 0.018))
    assert room.gross == pytest.approx(0.264 * 0.264 * 0.464)
    assert room.middle == pytest.approx(0.25)
    assert sizes.behind_front == pytest.approx(0.282)
    assert sizes.hollow
    assert sizes.room("main") is room
    assert sizes.room("other") is None


@pytest.mark.parametrize("name", ["width", "height", "depth"])
def test_the_free_size_is_clear_size_and_two_sheets(name):
    one = box(**{name: None})
    assert free_size(one, ("main",)) == name
    sizes = resolve(one, ("main",), 0.4)
    assert getattr(sizes, name) == pytest.approx(0.436)


def test_rooms_stand_one_above_the_other_with_a_sheet_between():
    sizes = resolve(box(height=None, chambers=rooms(a=200, b=100, c=50)), ("a",), None)
    assert [room.floor for room in sizes.rooms] == pytest.approx([0.018, 0.236, 0.354])
    assert sizes.height == pytest.approx(0.350 + 4 * 0.018)


def test_a_room_without_height_takes_what_is_left():
    sizes = resolve(box(chambers=rooms(a=200, b=None)), ("a",), None)
    assert sizes.room("b").height == pytest.approx(0.5 - 3 * 0.018 - 0.2)
    assert free_size(box(chambers=rooms(a=200, b=None)), ("a",)) is None


def test_a_free_height_goes_to_the_open_room():
    one = box(height=None, chambers=rooms(a=None, b=120))
    assert free_size(one, ("a",)) == "height"
    sizes = resolve(one, ("a",), 0.3)
    assert sizes.room("a").height == 0.3
    assert sizes.height == pytest.approx(0.3 + 0.12 + 3 * 0.018)


def test_the_bass_names_the_rooms_where_the_cabinet_names_none():
    sizes = resolve(box(), ("one", "two"), None)
    assert [room.name for room in sizes.rooms] == ["one", "two"]
    assert [room.height for room in sizes.rooms] == pytest.approx(2 * [(0.5 - 3 * 0.018) / 2])


def test_which_room_a_free_size_closes():
    named = rooms(top=100, main=None)
    assert closing_room(box(height=None, chambers=named), ("main",)) == "main"
    assert closing_room(box(height=None, chambers=named, closes="top"), ("main",)) == "top"
    assert closing_room(box(), ()) == "main"


SHAPES = ({}, {"outline": {"top_width": "200 mm"}}, {"outline": {"front_lean": "8 deg"}},
          {"outline": {"top_width": "180 mm", "shoulder": "200 mm", "back_lean": "-5 deg"}})


@given(st.sampled_from(SHAPES), st.sampled_from(("width", "height", "depth")),
       st.floats(0.022, 0.05))
def test_the_clear_size_has_the_gross_volume(shape, free, gross):
    made = box(**{free: None}, **shape)
    clear = with_clear(made, ("main",), free, "main", gross)
    (room,) = resolve(made, ("main",), clear).rooms
    assert room.gross == pytest.approx(gross, rel=1e-9)


def test_sheets_that_leave_nothing_are_a_finding():
    found = worked(cabinet=cabinet(height="40 mm"),
                   bass={name: {"loads": [job], "loading": "closed", "volume": "1 L"}
                         for name, job in (("one", "low"), ("two", "mid"))},
                   drivers={"low": {"record": "cone"}, "mid": {"record": "cone"}})
    (one,) = found.findings["cabinet"]
    assert one.rule == "sizes_settle"
    assert one.stops
    assert "leave no room" in one.text()
    assert found.cabinet is None


def test_a_free_height_is_that_of_every_open_room():
    """Two rooms without a height: the closing one gets the clear height that was asked for."""
    sizes = resolve(box(height=None), ("main", "top"), 0.4)
    assert [room.height for room in sizes.rooms] == pytest.approx([0.4, 0.4])

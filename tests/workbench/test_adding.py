"""Chambers, seats and points put in and taken out by pressing."""

from __future__ import annotations

import asyncio
import tomllib

import pytest

from speakerwright.design.file import read_project
from speakerwright.words.errors import DesignErrors
from speakerwright.workbench.pages.chambers import (
    chamber_added,
    chamber_removed,
    free_jobs,
    free_name,
    room_added,
    room_removed,
    rooms_of,
)
from speakerwright.workbench.session import written

from .pages import EXAMPLES, ROOT, Tabs, copied, put, until, user_at


@pytest.fixture
def tabs(monkeypatch):
    return Tabs(monkeypatch)


@pytest.fixture(scope="module")
def desk():
    return read_project(EXAMPLES / "desk-pair").design


@pytest.fixture(scope="module")
def hall():
    return read_project(EXAMPLES / "harbour-hall").design


def applied(design, change):
    return design.with_values(change[0])


def test_names_that_are_free():
    assert free_name([], "top") == "top"
    assert free_name(["top"], "mid", "top") == "mid"
    assert free_name(["top"], "top") == "top-2"
    assert free_name(["top", "top-2"], "top") == "top-3"


def test_a_second_chamber_gets_a_room_of_its_own_above(desk):
    assert free_jobs(desk) == ["high"]
    changes, told = chamber_added(desk, "high", "high")
    assert told == "The cabinet has a chamber for it on top: place its driver there."
    assert changes["bass.high"]["volume"] == "10 L"
    after = desk.with_values(changes)
    assert list(after.decided.bass) == ["main", "high"]
    assert after.decided.bass["high"].loads == ("high",)
    # the height stays free: it still closes the first chamber's volume
    assert rooms_of(after) == ["main", "high"]
    assert after.decided.cabinet.chambers["main"].height is None
    assert after.decided.cabinet.chambers["high"].height == 0.2
    assert free_jobs(after) == []


def test_a_chamber_that_the_cabinet_lists_already_takes_its_air(hall):
    from speakerwright.cabinet.sizes import resolve

    assert free_jobs(hall) == []  # the high driver stands on a horn
    sizes = resolve(hall.decided.cabinet, ("main",), None)
    changes, told = chamber_added(hall, "top", "high", sizes)
    assert list(changes) == ["bass.top"]
    assert told == ""
    # nine tenths of 414 x 264 x 252 mm
    assert changes["bass.top"]["volume"] == "24.8 L"


def test_a_new_rooms_own_air_is_its_first_volume(desk):
    from speakerwright.cabinet.sizes import resolve

    sizes = resolve(desk.decided.cabinet, ("main",), 0.3)
    changes, _ = chamber_added(desk, "high", "high", sizes)
    # 184 x 254 x 200 mm
    assert changes["bass.high"]["volume"] == "9.3 L"


@pytest.mark.parametrize(("name", "says"), [
    ("main", "there is a chamber 'main' already."), ("  ", "the chamber needs a name.")])
def test_a_chamber_needs_a_name_of_its_own(desk, name, says):
    with pytest.raises(DesignErrors) as refused:
        chamber_added(desk, name, "high")
    assert refused.value.errors[0].says == says


def test_a_room_on_a_fixed_height_lets_it_follow(hall):
    fixed = hall.with_values({"cabinet.height": "938 mm"})
    changes, told = room_added(fixed, "attic")
    assert told == "The height outside now follows from the chambers."
    after = fixed.with_values(changes)
    assert after.decided.cabinet.height is None
    assert rooms_of(after) == ["main", "top", "attic"]
    back = after.with_values(room_removed(after, "attic")[0])
    assert rooms_of(back) == ["main", "top"]


def test_rooms_that_share_the_height_keep_what_they_have(desk):
    from speakerwright.cabinet.sizes import resolve

    two = desk.with_values({
        "bass.high": {"loads": ["high"], "loading": "closed", "volume": "3 L"},
        "cabinet.height": "400 mm"})
    with pytest.raises(DesignErrors, match="still being worked out"):
        room_added(two, "top")
    sizes = resolve(two.decided.cabinet, ("main", "high"), None)
    after = applied(two, room_added(two, "top", sizes))
    heights = [room.height for room in after.decided.cabinet.chambers.values()]
    # each has (400 - 3 x 18) / 2, and the new one half of the first, less its divider
    assert heights == [None, pytest.approx(0.173, abs=1e-12), pytest.approx(0.068, abs=1e-12)]


def test_a_room_that_the_bass_needs_stays(hall):
    with pytest.raises(DesignErrors) as refused:
        room_removed(hall, "main")
    (error,) = refused.value.errors
    assert error.says == "the bass is worked out with chamber 'main'."
    assert error.try_this == "Take it out on the bass's page first."


def test_braces_go_with_their_room(hall):
    braced = hall.with_values({"cabinet.braces": [
        {"chamber": "top", "at": "80 mm"}, {"chamber": "main", "at": "232 mm"},
        {"chamber": "top", "at": "160 mm"}]})
    changes, told = room_removed(braced, "top")
    assert told == "Its 2 braces went with it."
    after = braced.with_values(changes)
    assert [brace.chamber for brace in after.decided.cabinet.braces] == ["main"]


def test_a_chamber_of_the_bass_goes_with_its_ports_and_leaves_the_room(hall):
    changes, told = chamber_removed(hall, "main")
    assert told == "The cabinet keeps its room: take that out on the cabinet's page."
    after = hall.with_values(changes)
    assert after.decided.bass == {}
    assert after.decided.cabinet.ports == {}
    assert len(after.decided.cabinet.braces) == 1
    assert rooms_of(after) == ["main", "top"]


def test_every_change_of_chambers_can_be_saved(tmp_path):
    from speakerwright.design.file import save

    project = read_project(copied("desk-pair", tmp_path / "desk"))
    design = applied(project.design, chamber_added(project.design, "high", "high"))
    project = save(project, design)
    assert read_project(project.folder).design.key == design.key
    text = (project.folder / "design.toml").read_text()
    assert list(tomllib.loads(text)["cabinet"]["chambers"]) == ["main", "high"]
    back = applied(design, chamber_removed(design, "high"))
    back = applied(back, room_removed(back, "high"))
    assert read_project(save(project, back).folder).design.key == back.key


# --- on the pages ---------------------------------------------------------------------------------


def test_a_chamber_is_added_by_pressing_and_undone(tabs, tmp_path):
    folder = copied("desk-pair", tmp_path / "desk")

    async def scenario():
        async with user_at(folder, "/bass") as user:
            user.find(marker="new-chamber").clear().type("main")
            user.find("Add a closed chamber").click()
            await user.should_see("There is a chamber 'main' already. Give it another name.")
            assert tabs.session.done == []
            user.find(marker="new-chamber").clear().type("two words")
            user.find("Add a closed chamber").click()
            await user.should_see("'two words' cannot serve as a name.")
            assert not tabs.session.wrong
            user.find(marker="new-chamber").clear().type("tweeter")
            user.find("Add a closed chamber").click()
            assert list(tabs.session.design.decided.bass) == ["main", "tweeter"]
            await user.should_see("Chamber tweeter")
            await user.should_see("Every driver that needs a chamber has one.")
            assert len(tabs.session.done) == 1
            await until(lambda: tabs.bench.current is not None)
            assert len(tabs.bench.current.cabinet.rooms) == 2
            user.find("Take chamber tweeter out").click()
            assert list(tabs.session.design.decided.bass) == ["main"]
            user.find("Undo").click()
            user.find("Undo").click()
            assert not tabs.session.unsaved

    asyncio.run(scenario())


def test_a_room_is_put_on_top_and_taken_out(tabs, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/cabinet") as user:
            user.find(marker="new-room").clear().type("attic")
            user.find("Put it on top, with a divider under it").click()
            assert rooms_of(tabs.session.design) == ["main", "top", "attic"]
            await user.should_see("Clear height of attic")
            user.find(marker="out:cabinet.chambers.main").click()
            await user.should_see("Take it out on the bass's page first.")
            user.find(marker="out:cabinet.chambers.attic").click()
            assert rooms_of(tabs.session.design) == ["main", "top"]
            user.find("Add a brace").click()
            # half of the chamber's 632 mm, when it is worked out; 150 mm before
            assert written(tabs.session.design, "cabinet.braces.1.at") in ("150 mm", "316 mm")
            assert len(tabs.session.done) == 3

    asyncio.run(scenario())


def test_points_of_the_target_are_added_an_octave_on(tabs, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/brief") as user:
            for _ in range(2):
                user.find("Add a point").click()
            path = "brief.target.points"
            assert written(tabs.session.design, path) == [["50 Hz", "0 dB"], ["100 Hz", "0 dB"]]
            await put(user, f"{path}.1.1", "-3 dB")
            await put(user, f"{path}.0.0", "fast")
            assert f"{path}.0.0" in tabs.session.wrong
            user.find("Add a point").click()
            assert tabs.session.design.decided.brief.target.points == (
                (50.0, 0.0), (100.0, -3.0), (200.0, -3.0))

    asyncio.run(scenario())


def test_seats_change_between_range_and_points_without_losing_them(tabs, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/brief") as user:
            path = "brief.seats"
            user.find("Name the seats one by one instead").click()
            assert written(tabs.session.design, path) == {"points": [
                {"name": "nearest", "distance": "2.5 m", "height": "1.2 m"},
                {"name": "farthest", "distance": "11 m", "height": "1.7 m", "angle": "40 deg"}]}
            user.find("Add a seat").click()
            user.find("Add a seat").click()
            names = [seat.name for seat in tabs.session.design.decided.brief.seats.points]
            assert names == ["nearest", "farthest", "seat 3", "seat 4"]
            tabs.session.edit(f"{path}.points.2.name", "seat 5")
            user.find("Add a seat").click()
            names = [seat.name for seat in tabs.session.design.decided.brief.seats.points]
            assert names == ["nearest", "farthest", "seat 5", "seat 4", "seat 6"]
            user.find("Give a range instead").click()
            assert written(tabs.session.design, path) == {
                "nearest": "2.5 m", "farthest": "11 m", "widest": "40 deg",
                "lowest_ear": "1.2 m", "highest_ear": "1.7 m"}
            user.find("Undo").click()
            assert len(tabs.session.design.decided.brief.seats.points) == 5

    asyncio.run(scenario())


def test_a_three_way_has_no_driver_left_without_a_chamber():
    assert free_jobs(read_project(ROOT / "tests/design/three-way").design) == []

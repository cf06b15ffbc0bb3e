"""The front: what stands on it, how far it may go, and what a move writes."""

from __future__ import annotations

import asyncio
import math

import pytest

from speakerwright import chain
from speakerwright.design.file import read_project
from speakerwright.solids.bodies import cylinder_body
from speakerwright.workbench.frontitems import front, layers
from speakerwright.workbench.frontmoves import moved, spots_now
from speakerwright.workbench.frontview import FrontView
from speakerwright.workbench.pages.cabinet import collided
from speakerwright.workbench.session import written

from .pages import EXAMPLES, ROOT, Tabs, copied, element, until, user_at

LOW, HIGH = "directivity.low.at.0", "directivity.high.at.0"


def made(name, changes=None):
    folder = EXAMPLES / name if (EXAMPLES / name).exists() else ROOT / name
    design = read_project(folder).design
    if changes:
        design = design.with_values(changes)
    cabinet = chain.work(design, chain.Memo(), last="cabinet").cabinet
    return design, cabinet, front(design, cabinet)


@pytest.fixture(scope="module")
def hall():
    return made("harbour-hall")


def test_everything_on_the_front_is_there_where_the_file_puts_it(hall):
    design, _, shown = hall
    assert (shown.width, shown.height) == (450.0, 938.0)
    assert dict(shown.at) == spots_now(shown, design) == {
        LOW: (0.0, 503.0), HIGH: (0.0, 794.0), "cabinet.ports.main.at.0": (-75.0, 98.0),
        "cabinet.ports.main.at.1": (75.0, 98.0),
        "cabinet.braces.0.at": (0.0, 250.0),  # 232 above a floor of one 18 mm sheet
        "divider.main": (0.0, 659.0),  # 18 + 632 + 9
    }
    assert {item.kind for item in shown.items} == {"driver", "horn", "port", "brace", "divider"}
    assert shown.item(LOW).part == "low"
    assert shown.item(LOW).face == (315.0,)
    assert shown.item("cabinet.ports.main.at.0").face == (106.0,)  # 100 and twice 3
    assert shown.fouls == ()


def test_centres_may_go_as_far_as_the_whole_face_stays_on_the_baffle(hall):
    _, _, shown = hall
    assert shown.item(LOW).bounds == (-67.5, 157.5, 67.5, 780.5)
    # a port stays before its own chamber: 18 + 53 up to 650 - 53
    assert shown.item("cabinet.ports.main.at.0").bounds == (-172.0, 71.0, 172.0, 597.0)
    assert shown.item("cabinet.braces.0.at").bounds == (0.0, 27.0, 0.0, 641.0)
    # 20 mm clear are left below and above the divider
    assert shown.item("divider.main").bounds == (0.0, 18.0 + 20 + 9, 0.0, 920.0 - 20 - 9)


def test_a_face_wider_than_the_baffle_may_stand_in_its_middle_only():
    _, _, shown = made("harbour-hall", {"cabinet.width": "310 mm"})
    low, _, high, _ = shown.item(LOW).bounds
    assert low == high == 0.0


@pytest.mark.parametrize(("key", "spot", "changes"), [
    (LOW, (12.0, 503.0), {f"{LOW}.0": "12 mm"}),
    (LOW, (0.0, 503.1), {f"{LOW}.1": "503.1 mm"}),
    (LOW, (0.0, 503.0), {}),
    ("cabinet.ports.main.at.1", (80.0, 99.0),
     {"cabinet.ports.main.at.1.0": "80 mm", "cabinet.ports.main.at.1.1": "99 mm"}),
    ("cabinet.braces.0.at", (0.0, 245.0), {"cabinet.braces.0.at": "227 mm"}),
    ("divider.main", (0.0, 663.0), {"cabinet.chambers.main.height": "636 mm",
                                    "cabinet.chambers.top.height": "248 mm"}),
])
def test_a_move_writes_only_what_it_changes(hall, key, spot, changes):
    design, _, shown = hall
    assert moved(shown, design, key, spot) == changes
    if changes:
        assert spots_now(shown, design.with_values(changes))[key] == spot


def test_a_place_keeps_the_unit_and_manner_of_the_file():
    design, _, shown = made("harbour-hall", {LOW: ["1/2 in", "19 13/16 in"]})
    assert shown.item(LOW).steps == (25.4 / 16, 25.4 / 32)
    assert shown.item(HIGH).steps == (1.0, 0.1)
    x, z = shown.at[LOW]
    assert moved(shown, design, LOW, (x - 25.4 / 16, z + 25.4 / 16)) == {
        f"{LOW}.0": "7/16 in", f"{LOW}.1": "19 7/8 in"}


def test_what_is_not_placed_yet_is_placed_with_all_of_its_kind():
    design, _, shown = made("harbour-hall", {"cabinet.ports": None, "directivity.low": None})
    low, port = shown.item(LOW), shown.item("cabinet.ports.main.at.1")
    assert not low.live
    assert not port.live
    # between the ports' centres lie 150 mm, their lowest edge 40 mm above the chamber's floor
    assert shown.at[port.key] == (75.0, 18.0 + 40 + 3 + 50)
    assert moved(shown, design, port.key, (90.0, 120.0)) == {
        "cabinet.ports.main.at": [["-75 mm", "111 mm"], ["90 mm", "120 mm"]]}
    assert moved(shown, design, LOW, (1.0, 334.0)) == {"directivity.low.at": [["1 mm", "334 mm"]]}


def test_a_slot_between_both_sides_stays_and_its_board_is_part_of_the_box():
    _, _, shown = made("barn-sub")
    slot = shown.item("cabinet.ports.main.at.0")
    assert (slot.kind, slot.ways, slot.face) == ("slot", "", (564.0, 95.0))
    assert [name for name, _ in shown.boards] == ["left side", "right side", "top", "bottom"]


def test_a_divider_over_the_chamber_that_closes_the_volume_stays():
    _, _, shown = made("tests/design/three-way")
    assert shown.item("divider.main").ways == ""
    assert shown.item("divider.middle").ways == "z"


def test_a_divider_over_a_height_that_is_left_open_moves_the_chamber_above():
    design, _, shown = made("harbour-hall", {
        "cabinet.height": "938 mm", "cabinet.chambers.main.height": None})
    assert moved(shown, design, "divider.main", (0.0, 654.0)) == {
        "cabinet.chambers.top.height": "257 mm"}


def test_chambers_without_heights_get_them_from_their_divider():
    changes = {"cabinet.chambers": None, "cabinet.height": "938 mm", "cabinet.braces": None,
               "bass.top": {"loads": ["high"], "loading": "closed", "volume": "20 L"}}
    design = read_project(EXAMPLES / "harbour-hall").design.with_values(changes)
    from speakerwright.cabinet.sizes import Settled, resolve
    from speakerwright.cabinet.stage import work

    sizes = resolve(design.decided.cabinet, ("main", "top"), None)
    cabinet = work(design, Settled(sizes, None, 0, 0.0, True), {})
    shown = front(design, cabinet)
    assert shown.at["divider.main"] == (0.0, 469.0)
    wanted = moved(shown, design, "divider.main", (0.0, 500.0))
    assert wanted == {"cabinet.chambers": {"main": {"height": "473 mm"}, "top": {}}}
    assert spots_now(shown, design.with_values(wanted))["divider.main"] == (0.0, 500.0)


def test_solids_that_collide_are_told_once_by_the_things_they_belong_to():
    _, cabinet, shown = made("harbour-hall", {f"{LOW}.1": "520 mm"})
    assert [set(foul.names) for foul in shown.fouls] == [{"Moorhoot 12", "divider"},
                                                         {"Moorhoot 12", "Saltpiper bell 90x60"}]
    assert {frozenset(pair) for pair in collided(cabinet)} == {
        frozenset(foul.names) for foul in shown.fouls}
    assert len(cabinet.collisions) > len(shown.fouls)
    assert 630.0 < shown.fouls[0].at[1] < 680.0


def test_layers_follow_a_body_and_merge_where_it_stays_the_same():
    tube = cylinder_body("tube", 100.0, 160.0, (20.0, 300.0))
    (layer,) = layers([tube.solid], (20.0, 300.0))
    near, far, shape = layer
    assert (near, far) == (0.0, 160.0)
    assert len(shape) == 48
    assert max(math.hypot(x, z) for x, z in shape) == pytest.approx(50.0, rel=2e-3)
    assert sum(x for x, _ in shape) == pytest.approx(0.0, abs=0.5)


def test_layers_of_a_driver_are_wide_at_the_frame_and_narrow_at_the_magnet(hall):
    _, _, shown = hall
    width = {}
    for near, far, shape in shown.item(LOW).layers:
        span = max(x for x, _ in shape) - min(x for x, _ in shape)
        if span > 20.0:  # no insert
            width[0.5 * (near + far)] = span
    assert max(width.values()) == pytest.approx(315.0, rel=2e-3)
    assert min(width) < 0.0  # the flange lies before the baffle
    assert width[max(width)] == min(width.values())


# --- shaped cabinets and standing braces ----------------------------------------------------------

STANDING = [{"chamber": "main", "at": "170 mm"},
            {"chamber": "main", "kind": "upright", "at": "60 mm", "behind": "220 mm",
             "from_floor": "200 mm"},
            {"chamber": "main", "kind": "partition", "at": "270 mm"}]


def test_a_shouldered_front_has_its_outline_and_boards_as_wide_as_they_are():
    _, _, shown = made("quay-stage")
    assert shown.outline == ((-225, 0), (225, 0), (225, 570), (195, 846), (-195, 846), (-225, 570))
    assert shown.item("cabinet.braces.0.at").face == (414.0, 18.0)  # 450 less two sheets
    assert (shown.item("cabinet.braces.0.at").kind, shown.item("cabinet.braces.1.at").kind) == (
        "brace", "upright")


def test_an_upright_moves_sideways_and_a_partition_stays():
    design, _, shown = made("quay-stage", {"cabinet.braces": STANDING})
    upright, wall = (shown.item(f"cabinet.braces.{k}.at") for k in (1, 2))
    # from 18 + 200 to 18 + 530 above the bottom: 330 high, its middle 383 up
    assert (upright.ways, upright.face) == ("x", (18.0, 330.0))
    assert shown.at[upright.key] == (60.0, 383.0)
    assert upright.bounds == (-198.0, 383.0, 198.0, 383.0)  # 207 less half of 18
    assert moved(shown, design, upright.key, (-40.0, 383.0)) == {upright.key: "-40 mm"}
    assert (wall.ways, wall.face, shown.at[wall.key]) == ("", (414.0, 530.0), (0.0, 283.0))
    assert "270.0\u202fmm behind the front face" in wall.says


def test_heights_behind_a_leaning_front_are_counted_along_it():
    lean = {"cabinet.outline.front_lean": "10 deg", "cabinet.braces": STANDING[:1]}
    design, _, shown = made("quay-stage", lean)
    up = 1.0 / math.cos(math.radians(10.0))
    assert shown.height == pytest.approx(846.0 * up, abs=1e-5)
    brace = shown.item("cabinet.braces.0.at")
    assert shown.at[brace.key][1] == pytest.approx(188.0 * up, abs=1e-5)
    assert shown.at[LOW] == (0.0, 372.0)  # a driver's place is along the baffle already
    assert brace.steps[0] == pytest.approx(up)
    there = (0.0, shown.at[brace.key][1] + 5.0 * up)
    assert moved(shown, design, brace.key, there) == {brace.key: "175 mm"}
    divider = shown.item("divider.main")
    changes = moved(shown, design, divider.key, (0.0, shown.at[divider.key][1] - 4.0 * up))
    assert changes == {"cabinet.chambers.main.height": "526 mm",
                       "cabinet.chambers.bay.height": "266 mm"}
    # the woofer's flange lies flat on the front that is turned upright
    near = min(a for a, _, shape in shown.item(LOW).layers if len(shape) > 8)
    assert near == pytest.approx(-11.0, abs=1.0)


# --- on the page ----------------------------------------------------------------------------------


@pytest.fixture
def tabs(monkeypatch):
    return Tabs(monkeypatch)


def view_of(user):
    (found,) = user.find(FrontView).elements
    return found


def move(user, key, at, *, done, seq=1):
    user.find(FrontView).trigger("moved", {"key": key, "at": list(at), "done": done, "seq": seq})


def test_a_move_edits_live_and_its_end_is_one_step_back(tabs, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/cabinet") as user:
            await until(lambda: user.find(FrontView).elements and view_of(user).front is not None)
            for z in (502.0, 499.0, 495.0):
                move(user, LOW, (3.0, z), done=False)
            assert tabs.session.done == []
            assert written(tabs.session.design, "directivity.low.at") == [["3 mm", "495 mm"]]
            assert element(user, f"{LOW}.1").value == "495 mm"
            move(user, LOW, (4.0, 494.0), done=True)
            assert len(tabs.session.done) == 1
            assert view_of(user).props["front"]["now"][LOW] == (4.0, 494.0)
            user.find("Undo").click()
            assert written(tabs.session.design, "directivity.low.at") == [["0 mm", "503 mm"]]
            assert view_of(user).props["front"]["now"][LOW] == (0.0, 503.0)

    asyncio.run(scenario())


def test_a_place_that_cannot_be_is_refused_with_a_sentence_and_changes_nothing(tabs, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/cabinet") as user:
            await until(lambda: user.find(FrontView).elements and view_of(user).front is not None)
            sent = []
            view_of(user).run_method = lambda *args: sent.append(args)
            before = tabs.session.design
            move(user, "cabinet.braces.0.at", (0.0, 8.0), done=True, seq=7)  # 10 mm below the floor
            assert tabs.session.design is before
            assert tabs.session.wrong == {}
            name, now, seq, word = sent[-1]
            assert (name, seq) == ("settle", 7)
            assert now["cabinet.braces.0.at"] == (0.0, 250.0)
            assert word.startswith("It cannot stand there. It must lie above zero.")
            move(user, "nothing.at.0", (0.0, 8.0), done=True, seq=8)
            assert len(sent) == 1

    asyncio.run(scenario())


def test_what_is_typed_moves_on_the_front_and_the_units_follow_the_reader(tabs, tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")

    async def scenario():
        async with user_at(folder, "/cabinet") as user:
            await until(lambda: user.find(FrontView).elements and view_of(user).front is not None)
            tabs.session.edit(f"{LOW}.0", "-8 mm")
            assert view_of(user).props["front"]["now"][LOW] == (-8.0, 503.0)
            await until(lambda: view_of(user).front.at[LOW] == (-8.0, 503.0))
            tabs.bench.system = "inch"
            tabs.bench.refresh()
            assert view_of(user).props["units"] == "inch"

    asyncio.run(scenario())

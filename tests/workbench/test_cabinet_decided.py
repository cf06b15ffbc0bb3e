"""The cabinet page's fields: every decided value has one, and a wrong entry gets a sentence."""

from __future__ import annotations

import asyncio

import pytest

from speakerwright.workbench.session import written

from .pages import Tabs, copied, put, until, user_at


@pytest.fixture
def tabs(monkeypatch):
    return Tabs(monkeypatch)


def on_page(tabs, folder, steps, *, whole=False):
    """Run `steps(user, bench)` on the cabinet page, with its solids worked out if `whole`."""

    async def scenario():
        async with user_at(copied("quay-stage", folder / "copy"), "/cabinet") as user:
            await until(lambda: tabs.bench.current is not None if whole else tabs.benches)
            await steps(user, tabs.bench)

    asyncio.run(scenario())


def press(user, words):
    user.find(words).click()


FIELDS = (
    "cabinet.outline.shoulder", "cabinet.outline.top_width", "cabinet.outline.front_lean",
    "cabinet.outline.back_lean", "cabinet.joint", "cabinet.front_joint", "cabinet.back_joint",
    "cabinet.rabbet", "cabinet.inner.joint", "cabinet.inner.depth", "cabinet.inner.clearance",
    "cabinet.inner.stop", "cabinet.back.fixing", "cabinet.back.batten", "cabinet.back.gasket",
    "cabinet.back.spacing", "cabinet.chambers.bay.open", "cabinet.chambers.main.height",
    "cabinet.braces.0.kind", "cabinet.braces.0.windows", "cabinet.braces.0.behind",
    "cabinet.braces.1.from_floor", "cabinet.braces.1.to_height", "cabinet.fixing.kind",
    "cabinet.fixing.length", "cabinet.feet.count", "cabinet.feet.inset", "cabinet.handles.0.on",
    "cabinet.handles.1.kind", "cabinet.handles.1.cutout", "cabinet.handles.0.at.1",
    "cabinet.terminal.on", "cabinet.terminal.cutout", "cabinet.terminal.cable",
    "cabinet.chambers.main.lining", "cabinet.board", "cabinet.grille", "cabinet.flange",
)


def test_every_decided_value_has_a_field(tabs, tmp_path):
    async def steps(user, bench):
        assert [path for path in FIELDS if path not in bench.fields] == []
        # a shelf has no lower end, a partition would have no front end
        assert "cabinet.braces.0.from_floor" not in bench.fields

    on_page(tabs, tmp_path, steps)


def test_joints_may_be_mitred_and_ends_inset(tabs, tmp_path):
    async def steps(user, bench):
        words = {path: set(bench.fields[f"cabinet.{path}"].pick._entries)
                 for path in ("joint", "front_joint", "back_joint")}
        assert words["joint"] == {"butt", "rabbet", "mitre"}
        assert words["front_joint"] == words["back_joint"] == {
            "", "butt", "rabbet", "mitre", "inset"}
        bench.fields["cabinet.back_joint"]._picked("inset")
        assert bench.session.design.decided.cabinet.joints == ("rabbet", "rabbet", "inset")
        bench.fields["cabinet.back_joint"]._picked("")
        assert written(bench.session.design, "cabinet.back_joint") is None

    on_page(tabs, tmp_path, steps)


WRONG = (
    ("cabinet.outline.top_width", "460 mm", "the sides do not lean inward."),
    ("cabinet.outline.front_lean", "40 deg", "is out of range."),
    ("cabinet.outline.shoulder", "tall", "is not"),
    ("cabinet.inner.depth", "18 mm", "a dado is less deep than the sheet is thick."),
    ("cabinet.braces.0.windows", "5", "It must be from 1 to 4."),
    ("cabinet.braces.1.to_height", "100 mm", "it does not lie beyond from_floor."),
    ("cabinet.handles.0.cutout", "120 mm", "it has too few entries."),
    ("cabinet.feet.count", "5", "It must be from 3 to 4."),
    ("cabinet.terminal.cutout", "", "its hole is round or rectangular."),
)


def test_a_wrong_entry_stays_with_its_sentence(tabs, tmp_path):
    async def steps(user, bench):
        before = bench.session.design
        for path, typed, words in WRONG:
            await put(user, path, typed)
            assert words.lower() in bench.session.wrong[path].sentence.lower()
            assert bench.fields[path].input.value == typed
        assert bench.session.design is before

    on_page(tabs, tmp_path, steps)


def test_a_brace_turns_into_another_kind_in_one_step(tabs, tmp_path):
    async def steps(user, bench):
        kind = bench.fields["cabinet.braces.1.kind"]
        kind._picked("partition")
        brace = written(bench.session.design, "cabinet.braces.1")
        # `behind` is no field of a partition; it stands in the middle of its chamber's depth
        assert set(brace) == {"chamber", "kind", "at", "from_floor", "open"}
        sizes = bench.whole.settled.sizes
        middle = 1e3 * (sizes.sheet + 0.5 * sizes.room("main").depth)
        assert float(brace["at"].split()[0]) == pytest.approx(middle, abs=0.5)
        assert len(bench.session.done) == 1
        await until(lambda: "cabinet.braces.1.behind" not in bench.fields)
        bench.fields["cabinet.braces.1.kind"]._picked("upright")
        assert written(bench.session.design, "cabinet.braces.1.at") == "0 mm"
        await until(lambda: "cabinet.braces.1.behind" in bench.fields)

    on_page(tabs, tmp_path, steps, whole=True)


def test_corners_take_the_place_of_width_and_height_and_back(tabs, tmp_path):
    async def steps(user, bench):
        sizes = bench.whole.settled.sizes
        press(user, "Give the corners instead")
        cabinet = bench.session.design.decided.cabinet
        assert cabinet.width is None
        assert [x for p in cabinet.outline.points for x in p] == pytest.approx(
            [x for p in sizes.shape.corners for x in p], abs=1e-6)
        await until(lambda: "cabinet.outline.points.5.1" in bench.fields)
        await put(user, "cabinet.outline.points.1.0", "-300 mm")
        assert "convex" in bench.session.wrong["cabinet.outline.points.1.0"].sentence
        press(user, "Give width and height instead")
        assert written(bench.session.design, "cabinet.outline.points") is None
        assert written(bench.session.design, "cabinet.width") == "450 mm"

    on_page(tabs, tmp_path, steps, whole=True)


PARTS = {
    "Add a rod": "cabinet.rods", "Place the board": "cabinet.board",
    "Cut a rebate for a grille": "cabinet.grille", "Let the baffle reach out": "cabinet.flange",
    "Line the walls of main": "cabinet.chambers.main.lining",
}


def test_what_a_button_puts_in_gets_its_fields(tabs, tmp_path):
    async def steps(user, bench):
        for words, path in PARTS.items():
            press(user, words)
            assert bench.session.wrong == {}
            assert written(bench.session.design, path) is not None
            assert any(name.startswith(f"{path}.") for name in bench.fields)

    on_page(tabs, tmp_path, steps)


def test_the_terminals_hole_turns_from_round_to_rectangular(tabs, tmp_path):
    async def steps(user, bench):
        bench.fields["cabinet.terminal.hole"]._picked("cutout_size")
        there = written(bench.session.design, "cabinet.terminal")
        assert there["cutout_size"] == ["100 mm", "60 mm"]
        assert "cutout" not in there
        await until(lambda: "cabinet.terminal.cutout_size" in bench.fields)
        await put(user, "cabinet.terminal.cutout_size", "90 mm, 50 mm")
        assert written(bench.session.design, "cabinet.terminal.cutout_size") == ["90 mm", "50 mm"]

    on_page(tabs, tmp_path, steps)


def test_walls_to_line_are_typed_as_a_list_and_checked(tabs, tmp_path):
    async def steps(user, bench):
        path = "cabinet.chambers.main.lining"
        press(user, "Line the walls of main")
        await until(lambda: f"{path}.walls" in bench.fields)
        await put(user, f"{path}.walls", "left, front")
        assert "front" in bench.session.wrong[f"{path}.walls"].sentence
        await put(user, f"{path}.walls", "left, top")
        assert written(bench.session.design, f"{path}.walls") == ["left", "top"]

    on_page(tabs, tmp_path, steps)

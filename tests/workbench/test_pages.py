"""Every page, by a simulated user."""

from __future__ import annotations

import asyncio
import logging

import pytest
from nicegui import ui

from speakerwright.design.file import read_project
from speakerwright.workbench.charts import LiveChart
from speakerwright.workbench.controls import read, rounded
from speakerwright.workbench.session import written

from .pages import Tabs, copied, element, put, until, user_at

STAGES = ("brief", "drivers", "bass", "cabinet", "cutting", "plan")


@pytest.fixture
def tabs(monkeypatch):
    return Tabs(monkeypatch)


@pytest.fixture
def hall(tmp_path):
    return copied("harbour-hall", tmp_path / "hall")


@pytest.fixture(autouse=True)
def no_error_is_logged(caplog):
    yield
    told = [r for r in caplog.records if r.levelno >= logging.ERROR]
    assert not told, [r.getMessage() for r in told]


def go(scenario):
    asyncio.run(scenario())


@pytest.mark.parametrize("example", ["desk-pair", "barn-sub", "tests/design/three-way"])
def test_every_page_of_every_example_can_be_shown(tabs, tmp_path, example):
    folder = copied(example, tmp_path / "design")

    async def scenario():
        async with user_at(folder, "/brief") as user:
            for stage in STAGES:
                await user.open(f"/{stage}")
                await until(lambda: tabs.bench.live is not None)
                await user.should_see("What it means")
                assert tabs.bench.page == stage
                assert tabs.bench.fault == ""

    go(scenario)


def test_a_design_of_the_starter_has_every_page(tabs, tmp_path):
    from speakerwright.design.starter import start

    start(tmp_path / "first")

    async def scenario():
        async with user_at(tmp_path / "first", "/brief") as user:
            for stage in STAGES:
                await user.open(f"/{stage}")
                await until(lambda: tabs.bench.live is not None)
            await user.open("/cabinet")
            user.find("Begin with a box").click()
            await user.should_see("Sheet")
            await until(lambda: tabs.bench.current is not None)
            assert tabs.bench.current.cabinet is not None
            await user.open("/cutting")  # the same tab, loaded again: its edits are still there
            user.find("Begin with one kind of sheet").click()
            await until(lambda: tabs.bench.current is not None)
            assert len(tabs.bench.current.cutting.sheets) == 1
            assert read_project(tmp_path / "first").design.decided.cabinet is None

    go(scenario)


def test_bass_shows_curves_that_follow_what_is_typed(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await user.should_see(LiveChart, retries=60)
            charts = {c.chart.key: c for c in user.find(LiveChart).elements}
            assert len(charts) == 9
            before = charts["bass-main-response"].chart
            await put(user, "bass.main.volume", "45")
            assert written(tabs.session.design, "bass.main.volume") == "45 L"
            assert element(user, "bass.main.volume").value == "45 L"
            await until(lambda: charts["bass-main-response"].chart is not before)
            assert charts["bass-main-response"].chart.curves[0].y[0] != before.curves[0].y[0]
            await user.should_see("1 value not saved")

    go(scenario)


def test_what_cannot_be_taken_stays_in_the_field_with_its_sentence(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            for typed, says in (
                ("sixty", "not a number with a unit"), ("60 mm", "does not measure this"),
                ("-4 L", "out of range"), ("60,5 L", "decimal comma"), ("", "has no volume"),
                ("60 ft^3 ft", "not a volume"), ("9" * 80 + " L", "far too long"),
            ):
                await put(user, "bass.main.volume", typed)
                wrong = tabs.session.wrong["bass.main.volume"]
                assert says in wrong.sentence
                await user.should_see(wrong.sentence)
                assert element(user, "bass.main.volume").value == typed
                assert written(tabs.session.design, "bass.main.volume") == "62 L"
            user.find(marker="bass.main.volume").trigger("keydown.escape")
            assert element(user, "bass.main.volume").value == "62 L"
            assert not tabs.session.wrong

    go(scenario)


def test_a_slider_edits_live_and_its_release_is_one_step_back(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            slider = element(user, "turn:bass.main.volume")
            for at in (210, 220, 260):
                slider.set_value(at)
            assert tabs.session.done == []
            taken = written(tabs.session.design, "bass.main.volume")
            assert taken == "86.5 L"  # 62 L up by 60 of the 400 steps in 3.2 octaves
            user.find(marker="turn:bass.main.volume").trigger("change")
            assert len(tabs.session.done) == 1
            assert element(user, "bass.main.volume").value == taken
            user.find("Undo").click()
            assert element(user, "bass.main.volume").value == "62 L"
            assert slider.value == 200
            user.find("Redo").click()
            assert slider.value == pytest.approx(260, abs=1)

    go(scenario)


def test_held_curves_stand_behind_until_released(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await user.should_see(LiveChart, retries=60)
            user.find("Hold curves").click()
            charts = user.find(LiveChart).elements
            assert all(list(c.held) == ["1"] for c in charts)
            await put(user, "bass.main.volume", "40 L")
            user.find("Release held 1 (62 L)").click()
            assert all(c.held == {} for c in charts)

    go(scenario)


def test_closing_a_vented_box_takes_its_port_along(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await user.should_see("Port bore")
            user.find(marker="bass.main.loading").trigger("change", "closed")
            assert written(tabs.session.design, "bass.main.port") is None
            await user.should_not_see("Port bore")
            user.find(marker="bass.main.loading").trigger("change", "vented")
            await user.should_see("Port bore")
            user.find("Undo").click()
            user.find("Undo").click()
            assert written(tabs.session.design, "bass.main.port.count") == 2

    go(scenario)


def test_a_port_may_be_given_by_its_length_or_as_a_slot(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await until(lambda: tabs.bench.live is not None)
            user.find(marker="bass.main.port.given").trigger("change", "length")
            length = tabs.bench.live.workup.bass.chambers["main"].port.length
            assert written(tabs.session.design, "bass.main.port.length") == f"{1e3 * length:.0f} mm"
            assert written(tabs.session.design, "bass.main.port.tuning") is None
            await user.should_see("Port length")
            user.find(marker="bass.main.port.shape").trigger("change", "slot")
            await user.should_see("Slot height")
            assert written(tabs.session.design, "bass.main.port.bore") is None

    go(scenario)


def test_brief_fields_and_lists(tabs, hall):
    async def scenario():
        async with user_at(hall, "/brief") as user:
            await put(user, "brief.room.size", "17 m, 11 m, 5 m")
            assert written(tabs.session.design, "brief.room.size") == ["17 m", "11 m", "5 m"]
            await put(user, "brief.room.size", "17 m, 11 m")
            await user.should_see("It has too few entries. Add some.")
            user.find(marker="brief.place.kind").trigger("change", "corner")
            assert tabs.session.design.decided.brief.place.kind == "corner"
            user.find("Add an alternative").click()
            assert len(tabs.session.design.decided.brief.beat) == 2
            await put(user, "brief.beat.1.price", "a lot")
            await user.should_see(tabs.session.wrong["brief.beat.1.price"].sentence)
            await put(user, "brief.beat.1.price", "700")
            assert tabs.session.design.decided.brief.beat[1].price == 700.0

    go(scenario)


def test_a_datasheets_figures_are_compared_as_they_are_typed(tabs, hall):
    async def scenario():
        async with user_at(hall, "/drivers") as user:
            path = "records.moorhoot-12.datasheet.vas"
            user.find(marker=path).clear().type("90 L")  # neither Enter nor left
            assert written(tabs.session.design, path) == "90 L"
            assert tabs.session.done == []
            told = [h.content for h in user.find(ui.html).elements if "Typed" in h.content]
            assert any("90.00" in content and "apart" in content for content in told)
            user.find(marker=path).trigger("keydown.enter")
            assert len(tabs.session.done) == 1

    go(scenario)


def test_a_record_is_added_by_typing_and_refused_with_reasons(tabs, hall):
    async def scenario():
        async with user_at(hall, "/drivers") as user:
            user.find(marker="new-record-name").type("Marsh owl 10")
            user.find(marker="new-record-text").type('format = 1\nwhat = "cup"\ntype = "cone"\n')
            user.find("Add it").click()
            await user.should_see("Known: driver, horn")
            user.find(marker="new-record-text").clear()
            user.find("Add it").click()
            assert (hall / "records" / "marsh-owl-10.toml").exists()
            await user.should_see("Marsh owl 10: cone")
            await put(user, "records.marsh-owl-10.datasheet.re", "5.6 ohm")
            user.find("Save").click()
            project = read_project(hall)
            assert project.design.records["marsh-owl-10"].datasheet.re == 5.6

    go(scenario)


def test_a_finding_leads_to_its_value_and_can_be_accepted(tabs, hall):
    async def scenario():
        async with user_at(hall, "/plan") as user:
            await until(lambda: tabs.bench.live is not None)
            await put(user, "plan.title", "Louder")
            tabs.session.edit("brief.level.average", "112 dB")
            tabs.session.commit()
            await user.should_see("What stops it", retries=60)
            found = [f for f in tabs.bench.findings()["bass"] if f.stops]
            assert found
            tabs.bench.go(found[0].where)
            await until(lambda: tabs.bench.page == "bass")
            count = len(found)
            user.find("Accept it…").click()
            user.find(marker="reason").type("For a short festival only.")
            user.find("Record the reason").click()
            accepted = tabs.session.design.decided.accepted
            assert [a.reason for a in accepted.values()] == ["For a short festival only."]
            await until(lambda: sum(f.stops for f in tabs.bench.findings()["bass"]) == count - 1)
            user.find("Save").click()
            assert read_project(hall).design.decided.accepted

    go(scenario)


def test_a_conflict_is_told_and_the_edits_can_be_laid_over(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await put(user, "bass.main.volume", "70 L")
            path = hall / "design.toml"
            path.write_text(path.read_text().replace('"Harbour hall main"', '"Another title"'))
            user.find("Save").click()
            await user.should_see("Not saved: the files have changed")
            assert "62 L" in path.read_text()
            user.find("Read the files again and lay my edits over them").click()
            await user.should_see("Another title")
            user.find("Save").click()
            await user.should_see("saved")
            design = read_project(hall).design
            assert written(design, "bass.main.volume") == "70 L"
            assert written(design, "plan.title") == "Another title"

    go(scenario)


def test_unsaved_edits_of_a_tab_come_back_when_it_is_opened_again(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await put(user, "bass.main.volume", "70 L")
            await until(lambda: (hall / ".work").exists())
            await user.open("/bass")  # the browser's tab keeps its name
            await until(lambda: tabs.session.unsaved)
            assert element(user, "bass.main.volume").value == "70 L"

    async def after_a_restart():
        async with user_at(hall, "/bass") as user:
            await until(lambda: any("never saved" in w.text for w in _words(user)))
            user.find("Take them up").click()
            assert element(user, "bass.main.volume").value == "70 L"

    go(scenario)
    go(after_a_restart)


def _words(user):
    from speakerwright.workbench.parts import Words

    return user.find(Words).elements


def test_versions_are_kept_and_gone_back_to(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            user.find("Versions").click()
            user.find(marker="version-name").type("as it was")
            user.find("Keep this state").click()
            await put(user, "bass.main.volume", "70 L")
            user.find("Versions").click()
            await user.should_see("as it was")
            user.find("Go back to it").click()
            assert element(user, "bass.main.volume").value == "62 L"

    go(scenario)


def test_units_of_results_can_be_changed(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await until(lambda: tabs.bench.live is not None)
            tabs.bench.system = "inch"
            tabs.bench.refresh()
            await until(lambda: any("ft³" in h.content for h in user.find(ui.html).elements))
            assert not tabs.session.unsaved

    go(scenario)


def test_an_empty_folder_asks_three_questions_and_makes_a_design(tabs, tmp_path):
    folder = tmp_path / "mine"
    folder.mkdir()

    async def scenario():
        async with user_at(folder, "/") as user:
            await user.should_see("Begin a design here")
            user.find(marker="level").clear().type("very loud")
            user.find("Make the design").click()
            assert not (folder / "design.toml").exists()
            user.find(marker="level").clear().type("82 dB")
            user.find(marker="title").clear().type("Kitchen pair")
            user.find(marker="datasheet.fs").clear().type("52 Hz")
            user.find("Make the design").click()
        design = read_project(folder).design
        assert design.decided.plan.title == "Kitchen pair"
        assert design.decided.brief.level.average == 82.0
        assert design.records["my-woofer"].datasheet.fs == 52.0
        async with user_at(folder, "/bass") as user:
            await until(lambda: tabs.bench.live is not None)
            await user.should_see(LiveChart, retries=60)

    go(scenario)


def test_a_design_that_cannot_be_read_lists_what_to_mend(hall):
    path = hall / "design.toml"
    path.write_text(path.read_text().replace("vented", "vanted").replace('"95 dB"', '"95 mm"'))

    async def scenario():
        async with user_at(hall, "/bass") as user:
            await user.should_see("This design cannot be read yet")
            await user.should_see("bass.main.loading")
            await user.should_see("brief.level.average")

    go(scenario)


def test_a_plain_number_takes_the_unit_that_stands_there(hall):
    design = read_project(hall).design
    assert read(design, "bass.main.volume", " 60 ") == "60 L"
    assert read(design, "bass.main.volume", "2 ft^3") == "2 ft^3"
    assert read(design, "brief.highest", "900") == "900"  # nothing stands there: it is refused
    assert read(design, "brief.budget.total", "900") == 900
    assert read(design, "plan.version", "0.2") == "0.2"
    assert read(design, "plan.version", "") is None
    assert read(design, "bass.main.loads", "low, high", listed=True) == ["low", "high"]


def test_a_slider_writes_as_a_hand_would():
    assert rounded(0.0623456, "volume", "62 L") == "62.3 L"
    assert rounded(0.0623456, "volume", "2.2 ft^3") == "2.2 ft^3"
    assert rounded(0.3016, "length", "11 7/8 in") == "11 7/8 in"
    assert rounded(0.29, "length", "11 7/8 in") == "11 7/16 in"
    assert rounded(95.04, "level", "95 dB") == "95.0 dB"
    assert rounded(1234.567, "frequency", "1200 Hz") == "1230 Hz"

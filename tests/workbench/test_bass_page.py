"""The bass page: every loading, named alignments, and a chamber played loud."""

from __future__ import annotations

import asyncio
import logging

import numpy as np
import pytest

from speakerwright import chain
from speakerwright.bass.alignment import in_chamber, proposals
from speakerwright.chain import loud
from speakerwright.design.file import read_project
from speakerwright.design.sections.bass import LOADINGS
from speakerwright.words.errors import DesignErrors
from speakerwright.workbench.charts import LiveChart
from speakerwright.workbench.pages.bass_first import aligned, switched
from speakerwright.workbench.pages.bass_parts import fill_named
from speakerwright.workbench.session import written

from .pages import Tabs, copied, element, put, until, user_at

DRONE = """format = 1
what = "passive radiator"
name = "Mallow 12"
[datasheet]
sd = "530 cm^2"
mms = "90 g"
cms = "0.3 mm/N"
rms = "2 kg/s"
xmax = "11 mm"
"""
SLIDERS = {
    "closed": "volume",
    "vented": "port.tuning",
    "passive-radiator": "passive.added_mass",
    "band-pass-4": "front.volume",
    "band-pass-6": "front.port.tuning",
    "transmission-line": "line.driver_at",
    "front-horn": "horn.mouth_area",
    "open-baffle": "baffle.width",
}


@pytest.fixture
def tabs(monkeypatch):
    return Tabs(monkeypatch)


@pytest.fixture
def hall(tmp_path):
    folder = copied("harbour-hall", tmp_path / "hall")
    (folder / "records" / "mallow-12.toml").write_text(DRONE, encoding="utf-8")
    return folder


@pytest.fixture(autouse=True)
def no_error_is_logged(caplog):
    yield
    told = [r for r in caplog.records if r.levelno >= logging.ERROR]
    assert not told, [r.getMessage() for r in told]


def go(scenario):
    asyncio.run(scenario())


def chamber(tabs):
    return tabs.bench.live.workup.bass.chambers["main"]


async def shown(tabs, loading):
    await until(lambda: tabs.bench.live is not None
                and "main" in tabs.bench.live.workup.bass.chambers
                and chamber(tabs).inputs.chamber.loading == loading)


def test_every_loading_is_chosen_and_gone_back_from_in_one_step(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            user.find(marker="bass.main.loading").trigger("change", "closed")
            await shown(tabs, "closed")
            closed = tabs.session.design
            for loading, slider in SLIDERS.items():
                user.find(marker="bass.main.loading").trigger("change", loading)
                await shown(tabs, loading)
                assert tabs.bench.fault == ""
                element(user, f"turn:bass.main.{slider}")
                assert chamber(tabs).curves.level_db.max() > 60.0
                if loading == "closed":
                    continue
                there = tabs.session.design
                user.find(marker="bass.main.loading").trigger("change", "closed")
                await shown(tabs, "closed")
                user.find("Undo").click()
                assert tabs.session.design.raw == there.raw
                user.find("Undo").click()
                assert tabs.session.design.raw == closed.raw

    go(scenario)


def test_first_values_come_from_the_driver(hall):
    design, fs = read_project(hall).design, 50.33
    wanted = {"passive-radiator": fs, "transmission-line": fs, "front-horn": fs,
              "band-pass-4": fs * (1.0 + 80.03 / 62.0) ** 0.5}
    for loading, tuned in wanted.items():
        now = design.with_values(switched(design, "main", loading))
        found = chain.work(now, last="bass").bass.chambers["main"]
        assert found.resonance == pytest.approx(tuned, rel=0.005), loading
    front = switched(design, "main", "band-pass-4")["bass.main.front"]
    assert front["volume"] == "18.6 L"  # (2 S Qts)^2 Vas with S 0.7071, Qts 0.3408, Vas 80.03 L
    assert front["port"]["count"] == 2  # the round ports move to the front
    assert switched(design, "main", "closed")["cabinet.ports.main"] is None


def test_without_a_passive_radiators_record_it_says_so_and_stays(tabs, tmp_path):
    folder = copied("harbour-hall", tmp_path / "bare")

    async def scenario():
        async with user_at(folder, "/bass") as user:
            before = tabs.session.design
            user.find(marker="bass.main.loading").trigger("change", "passive-radiator")
            await user.should_see("no record of a passive radiator")
            assert tabs.session.design is before
            assert element(user, "bass.main.loading").props["value"] == "vented"

    go(scenario)


def test_added_mass_and_the_drivers_place_can_be_turned_to_nothing(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            user.find(marker="bass.main.loading").trigger("change", "passive-radiator")
            slider = element(user, "turn:bass.main.passive.added_mass")
            slider.set_value(0)
            assert written(tabs.session.design, "bass.main.passive.added_mass") == "0 g"
            await put(user, "bass.main.passive.added_mass", "250 g")
            assert slider.value > 0
            user.find(marker="bass.main.loading").trigger("change", "transmission-line")
            slider = element(user, "turn:bass.main.line.driver_at")
            assert slider.value == 0
            slider.set_value(200)
            assert written(tabs.session.design, "bass.main.line.driver_at") == 0.45
            slider.set_value(0)
            assert written(tabs.session.design, "bass.main.line.driver_at") == 0.0

    go(scenario)


def test_a_fill_is_chosen_by_name_or_by_own_figures(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            at, there = "bass.main.fill", lambda: written(tabs.session.design, "bass.main.fill")
            user.find(marker=f"{at}.named").trigger("change", "wool felt")
            assert there() == {"flow_resistivity": 3.0e4, "bulk_density": 120.0}
            await put(user, f"{at}.share", "0.3")
            user.find(marker=f"{at}.named").trigger("change", "glass wool, loose")
            assert there() == {"flow_resistivity": 6.0e3, "bulk_density": 15.0, "share": 0.3}
            await put(user, f"{at}.flow_resistivity", "5000")
            assert element(user, f"{at}.named").props["value"] == "own"
            user.find(marker=f"{at}.named").trigger("change", "none")
            assert there() is None
            assert fill_named(None) == "none"

    go(scenario)


def test_a_port_takes_a_flare_a_taper_bends_and_a_grille(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await shown(tabs, "vented")
            straight = chamber(tabs).port.length
            for name, text in (("flare", "20 mm"), ("inner_bore", "110 mm"), ("bends", "1"),
                               ("open_share", "0.8")):
                await put(user, f"bass.main.port.{name}", text)
                assert written(tabs.session.design, f"bass.main.port.{name}") is not None
            await until(lambda: chamber(tabs).inputs.chamber.port.open_share == 0.8)
            assert chamber(tabs).port.length != pytest.approx(straight, rel=0.01)
            user.find(marker="bass.main.port.shape").trigger("change", "slot")
            assert written(tabs.session.design, "bass.main.port.inner_bore") is None

    go(scenario)


def test_a_named_alignment_is_taken_over_in_one_step(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await shown(tabs, "vented")
            before = tabs.session.design
            await asyncio.sleep(0.4)
            await user.should_not_see("QB3")  # nothing is worked out in a folded part
            user.find(marker="alignments:main").trigger("toggle", True)
            await user.should_see("QB3", retries=100)
            await user.should_see("Not for this driver: ")
            user.find(marker="align:SC5").click()
            assert written(tabs.session.design, "bass.main.volume") == "38 L"
            assert written(tabs.session.design, "bass.main.port.tuning") == "57 Hz"
            assert written(tabs.session.design, "bass.main.port.bore") == "100 mm"
            assert written(tabs.session.design, "bass.main.high_pass") == {
                "order": 1, "frequency": "36.6 Hz"}
            user.find("Undo").click()
            assert tabs.session.design.raw == before.raw
            await user.should_see("QB3", retries=100)  # still open
            user.find(marker="align:B2").click()
            assert written(tabs.session.design, "bass.main.loading") == "closed"
            assert written(tabs.session.design, "bass.main.port") is None
            assert written(tabs.session.design, "bass.main.high_pass") is None

    go(scenario)


def test_every_alignment_is_written_as_it_is_proposed(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass"):
            await shown(tabs, "vented")
            design, decided = tabs.session.design, chamber(tabs).inputs.chamber
            for proposal in proposals(chamber(tabs).inputs):
                wanted = in_chamber(decided, proposal)
                now = design.with_values(aligned(design, "main", proposal)).decided.bass["main"]
                assert now.loading == wanted.loading
                assert now.volume == pytest.approx(wanted.volume, rel=5e-3)
                if wanted.port is None:
                    assert now.port is None
                else:
                    assert now.port.tuning == pytest.approx(wanted.port.tuning, rel=5e-3)
                    assert now.port.bore == wanted.port.bore
                if wanted.high_pass is None:
                    assert now.high_pass is None
                    continue
                for name in ("frequency", "q", "capacitor"):
                    figure = getattr(wanted.high_pass, name)
                    assert getattr(now.high_pass, name) == (
                        None if figure is None else pytest.approx(figure, rel=5e-3))

    go(scenario)


def test_an_alignment_keeps_the_unit_of_the_file(hall):
    design = read_project(hall).design.with_values({
        "bass.main.volume": "2.2 ft^3", "bass.main.port.tuning": None,
        "bass.main.port.length": "8 in"})
    inputs = chain.work(design, last="bass").bass.chambers["main"].inputs
    found = next(one for one in proposals(inputs) if one.name == "QB3")
    changes = aligned(design, "main", found)
    assert changes["bass.main.volume"] == "1.46 ft^3"
    assert changes["bass.main.port.length"] is None
    assert changes["bass.main.port.tuning"] == "59.2 Hz"


def test_loud_curves_come_when_it_is_opened_and_follow(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await shown(tabs, "vented")
            user.find(marker="loud:main").trigger("toggle", True)

            def charts():
                return {c.chart.key: c.chart for c in user.find(LiveChart).elements
                        if c.chart is not None and "loud" in c.chart.key}

            await until(lambda: len(charts()) == 2)
            levels = {curve.name: curve.y for curve in charts()["bass-main-loud-levels"].curves}
            assert np.all(levels["for long"] <= levels["for a moment"])
            lost = {curve.name: curve.y for curve in charts()["bass-main-loud-lost"].curves}
            assert np.allclose(lost["both"], lost["coil's heat"] + lost["turbulence"])
            await user.should_see("assumed to fall to 82 % at xmax")
            first = charts()["bass-main-loud-levels"]
            await put(user, "bass.main.volume", "40 L")
            await until(lambda: charts()["bass-main-loud-levels"] is not first)

    go(scenario)


def test_harmonics_are_worked_out_on_request_and_stopped(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            await shown(tabs, "vented")
            await put(user, "volts:main", "much")
            await user.should_see("is not a voltage")
            await put(user, "volts:main", "25")
            user.find("Work out harmonics").click()
            job = tabs.bench.jobs.job("harmonics main")
            await until(lambda: job._running is not None, 60.0)
            user.find("Cancel").click()
            await until(lambda: not job.busy, 20.0)
            await user.should_see("Stopped. Nothing of it was kept.")
            user.find("Work out harmonics").click()
            await until(lambda: job.outcome is not None, 120.0)
            assert job.outcome.data["volts"] == 25.0
            (chart,) = [c.chart for c in user.find(LiveChart).elements
                        if c.chart is not None and c.chart.key == "bass-main-harmonics"]
            assert {curve.name for curve in chart.curves} == {"3rd", "all"}
            assert "25 V" in chart.caption

    go(scenario)


@pytest.mark.parametrize("loading", [name for name in LOADINGS if name not in loud.IN_TIME])
def test_harmonics_of_other_loadings_are_refused_in_words(hall, loading):
    design = read_project(hall).design
    design = design.with_values(switched(design, "main", loading))
    with pytest.raises(DesignErrors, match="are not worked out"):
        loud.distorted(loud.Question(design, "main", 20.0), tell=lambda *_: None)


def test_the_key_of_harmonics_holds_what_they_rest_on(hall):
    design = read_project(hall).design
    key = loud.distortion_request(design, "main", 20.0).key
    for changes in ({"bass.main.volume": "61 L"}, {"records.moorhoot-12.datasheet.xmax": "7 mm"},
                    {"bass.main.high_pass": None}, {"brief.air.temperature": "25 degC"},
                    {"cabinet.depth": "320 mm"}):
        other = design.with_values(changes)
        assert loud.distortion_request(other, "main", 20.0).key != key, changes
    assert loud.distortion_request(design, "main", 21.0).key != key
    same = design.with_values({"plan.title": "Another"})
    assert loud.distortion_request(same, "main", 20.0).key == key

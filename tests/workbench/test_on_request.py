"""What is worked out on request: by a simulated user, and the plan's pages in a real browser."""

from __future__ import annotations

import asyncio
import io
import logging

import pytest

from speakerwright.chain.store import Outcome
from speakerwright.workbench.pages import plan
from speakerwright.workbench.parts import Words, box
from speakerwright.workbench.requests import OnRequest

from . import slow_work
from . import test_browser as browser_tests
from .pages import Tabs, copied, element, put, until, user_at
from .test_browser import playwright

browser, opened, server = browser_tests.browser, browser_tests.opened, browser_tests.server
in_browser = browser_tests.pytestmark


@pytest.fixture
def tabs(monkeypatch):
    return Tabs(monkeypatch)


@pytest.fixture
def hall(tmp_path):
    return copied("harbour-hall", tmp_path / "hall")


def placed(tabs, seconds):
    """A part for something slow, put on the page that is open."""
    drawn = []

    def draw(outcome):
        drawn.append(outcome.data)
        Words(f"Counted for {outcome.data['key'][:6]}", "p")

    with tabs.bench.client, box():
        asked = OnRequest(tabs.bench, "counted", "Count slowly",
                          lambda design: slow_work.request_for(design, seconds), draw)
    return asked, drawn


def test_it_is_worked_out_while_edits_stay_live_and_says_when_it_is_stale(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            asked, drawn = placed(tabs, 1.5)
            first = tabs.session.design.key
            user.find("Count slowly").click()
            assert asked.job.busy
            assert asked.button.props.get("disabled")
            await until(lambda: asked.says.text.startswith("Counting"), 60.0)
            await until(lambda: 0.0 < asked.bar.props["value"] < 1.0)
            await put(user, "bass.main.volume", "45 L")  # meanwhile
            assert element(user, "bass.main.volume").value == "45 L"
            await until(lambda: not asked.job.busy, 60.0)
            assert drawn == [{"key": first}]
            assert not asked.fresh
            await user.should_see("This is for an earlier state of the design")
            assert "is-stale" in asked.place.classes
            user.find("Undo").click()  # back where it was asked for
            assert asked.fresh
            assert "is-stale" not in asked.place.classes
            assert not asked.note.visible
            user.find("Redo").click()
            user.find("Count slowly").click()
            await until(lambda: len(drawn) == 2, 60.0)
            assert drawn[1] == {"key": tabs.session.design.key}
            assert asked.fresh
            kept = list((hall / ".work" / "results").iterdir())
            assert len(kept) == 2

    asyncio.run(scenario())


def test_cancel_ends_it_and_what_was_there_stays(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            asked, drawn = placed(tabs, 60.0)
            asked.job.outcome, asked.job.key = Outcome({"key": "before"}), "earlier"
            asked.show()
            user.find("Count slowly").click()
            await until(lambda: asked.says.text.startswith("Counting"), 60.0)
            process = asked.job._running._process
            user.find("Cancel").click()
            await until(lambda: not asked.job.busy, 5.0)
            await user.should_see("Stopped. Nothing of it was kept.")
            assert asked.outcome.data == {"key": "before"}
            assert drawn == [{"key": "before"}]
            assert not asked.going.visible
            assert process._closed or not process.is_alive()

    asyncio.run(scenario())


def test_it_goes_on_when_the_page_is_left_and_ends_with_the_tab(tabs, hall):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            asked, _ = placed(tabs, 1.0)
            user.find("Count slowly").click()
            await until(lambda: asked.job.progress().says.startswith("Counting"), 60.0)
            asked.row.parent_slot.parent.clear()
            await until(lambda: asked.job.outcome is not None, 60.0)
            again, drawn = placed(tabs, 1.0)
            assert drawn == [asked.job.outcome.data]
            assert again.fresh
        async with user_at(hall, "/bass") as user:
            asked, drawn = placed(tabs, 1.0)  # another tab finds it kept
            await until(lambda: drawn)
            slow, _ = placed(tabs, 60.0)
            slow.job.ask(slow_work.request_for(tabs.session.design, 60.0))
            await until(lambda: slow.job._running is not None, 60.0)
            running = slow.job._running
            tabs.bench.close()
            await until(lambda: running.done, 5.0)

    asyncio.run(scenario())


def test_a_fault_is_a_sentence_on_the_page_and_a_trace_in_the_log(tabs, hall, caplog):
    async def scenario():
        async with user_at(hall, "/bass") as user:
            asked, drawn = placed(tabs, 0.001)
            user.find("Count slowly").click()
            await until(lambda: bool(asked.job.said), 60.0)
            await user.should_see("fault of its own (ZeroDivisionError)")
            assert drawn == []

    asyncio.run(scenario())
    told = [r for r in caplog.records if r.levelno >= logging.ERROR]
    assert len(told) == 1
    assert "1 / 0" in told[0].getMessage()


def test_a_pages_size_is_read_from_its_picture():
    from PIL import Image

    held = io.BytesIO()
    Image.new("1", (1224, 1584)).save(held, "png")
    assert plan.size(held.getvalue()) == (1224, 1584)
    assert plan.size(b"<p>") == (1191, 1684)


@in_browser
def test_the_plan_is_made_shown_and_handed_on(server, opened, tmp_path):
    page = opened()
    page.goto(f"{server.url}/plan")
    make = page.get_by_role("button", name="Make the plan")
    load = page.get_by_role("button", name="Download the PDF")
    playwright.expect(make).to_be_enabled(timeout=60_000)
    playwright.expect(load).to_be_disabled()
    make.click()
    playwright.expect(page.get_by_role("progressbar")).to_be_visible()
    page.get_by_role("button", name="Cancel").click()
    playwright.expect(page.get_by_text("Stopped. Nothing of it was kept.")).to_be_visible()
    make.click()
    page.wait_for_selector(".sw-sheet img", timeout=90_000)
    first = page.locator(".sw-sheet img").first
    page.wait_for_function("document.querySelector('.sw-sheet img').naturalWidth > 500")
    count = page.locator(".sw-sheet").count()
    loaded = "[...document.querySelectorAll('.sw-sheet img')].filter(i => i.naturalWidth).length"
    assert 0 < page.evaluate(loaded) < count  # the rest waits until it comes into view
    first.scroll_into_view_if_needed()
    picture = first.screenshot(path=tmp_path / "page.png")
    assert len(set(picture)) > 200  # something is printed on it
    assert page.evaluate(INK) > 0.005
    last = page.locator(".sw-sheet img").last
    last.scroll_into_view_if_needed()
    page.wait_for_function("[...document.querySelectorAll('.sw-sheet img')].at(-1).naturalWidth")
    with page.expect_download() as handed:
        load.click()
    assert handed.value.path().read_bytes().startswith(b"%PDF")
    page.get_by_label("Title", exact=True).fill("Another hall")
    page.keyboard.press("Enter")
    playwright.expect(page.get_by_text("for an earlier state of the design")).to_be_visible()
    playwright.expect(load).to_be_disabled()
    page.screenshot(path=tmp_path / "stale.png")
    page.keyboard.press("Control+z")
    playwright.expect(load).to_be_enabled(timeout=60_000)


INK = """async () => {
  const shown = document.querySelector('.sw-sheet img'), canvas = document.createElement('canvas');
  canvas.width = 300; canvas.height = 424;
  const paint = canvas.getContext('2d');
  paint.fillStyle = 'white'; paint.fillRect(0, 0, 300, 424);
  paint.drawImage(shown, 0, 0, 300, 424);
  const data = paint.getImageData(0, 0, 300, 424).data;
  let dark = 0;
  for (let k = 0; k < data.length; k += 4) if (data[k] < 128) dark += 1;
  return dark / (300 * 424);
}"""

"""A hand faster than the server: what it did last stands on the screen and in the design."""

from __future__ import annotations

import pytest

from speakerwright.design.file import read_project
from speakerwright.workbench.session import written

from . import test_browser as browser_tests
from .pages import copied
from .test_browser import Server, playwright, pytestmark  # noqa: F401

browser, opened = browser_tests.browser, browser_tests.opened

LATE = """
import time
from speakerwright.workbench import bench

LATE, shown, worked = 0.15, bench.Bench.tell, bench.picture

def tell(self):
    shown(self)
    time.sleep(LATE)  # the server is busy and answers late

def picture(*given):
    time.sleep(LATE)
    return worked(*given)

bench.Bench.tell, bench.picture = tell, picture
"""

FAR = """
const told = Object.getOwnPropertyDescriptor(WebSocket.prototype, "onmessage");
Object.defineProperty(WebSocket.prototype, "onmessage", { ...told, set(hear) {
  told.set.call(this, (event) => {
    if (String(event.data).includes('"47 Hz"')) window.onItsWay = true;
    setTimeout(() => hear.call(this, event), 1500);
  });
} });
"""  # what the server says takes its time to arrive


@pytest.fixture(scope="module")
def slow(tmp_path_factory):
    folder = copied("harbour-hall", tmp_path_factory.mktemp("late") / "hall")
    (folder.parent / "late.py").write_text(LATE)
    kept = browser_tests.SERVE
    browser_tests.SERVE = f"import late; {kept}"
    try:
        here = Server(folder)
    finally:
        browser_tests.SERVE = kept
    yield here
    here.end()


def at_rest(page):
    """Wait until the server has answered everything, and a moment longer."""
    page.wait_for_function("!document.querySelector('.sw-stages .sw-working')")
    page.wait_for_timeout(1200)


def saved(page, slow, path):
    page.keyboard.press("Control+s")
    playwright.expect(page.locator(".sw-saved")).to_have_text("saved")
    return written(read_project(slow.folder).design, path)


def test_thirty_keys_on_a_slider_faster_than_the_server_answers(slow, opened):
    page = opened()
    page.goto(f"{slow.url}/bass")
    field = page.get_by_label("Net volume", exact=True)
    playwright.expect(field).to_have_value("62 L")
    page.wait_for_selector("canvas")
    thumb = page.get_by_label("Net volume, slider").locator("[tabindex='0']")
    at_rest(page)
    thumb.focus()
    for _ in range(30):
        page.keyboard.press("ArrowRight")
    # 30 of the 400 steps in 3.2 octaves: 62 L times 2 to the power of 0.24
    playwright.expect(field).to_have_value("73.2 L")
    at_rest(page)
    playwright.expect(field).to_have_value("73.2 L")
    stands = "e => e.closest('[aria-valuenow]').getAttribute('aria-valuenow')"
    assert thumb.evaluate(stands) == "230"
    assert saved(page, slow, "bass.main.volume") == "73.2 L"
    thumb.focus()
    page.keyboard.press("ArrowLeft")
    playwright.expect(field).to_have_value("72.8 L")  # one step back from where it was left


def test_a_text_typed_while_the_answer_is_on_its_way(slow, opened):
    page = opened()
    page.add_init_script(FAR)
    page.goto(f"{slow.url}/bass")
    field = page.get_by_label("Tuning", exact=True)
    playwright.expect(field).to_have_value("50 Hz")
    at_rest(page)
    field.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("47")
    page.keyboard.press("Enter")
    page.wait_for_function("window.onItsWay")  # it is answered, and the answer not here yet
    page.keyboard.press("Control+a")
    page.keyboard.type("45.5 Hz")
    field.evaluate("e => { window.shown = [e.value];"
                   "setInterval(() => window.shown.push(e.value), 10); }")
    page.wait_for_timeout(2000)
    at_rest(page)
    assert set(page.evaluate("window.shown")) == {"45.5 Hz"}
    playwright.expect(field).to_have_value("45.5 Hz")
    page.keyboard.press("Enter")
    at_rest(page)
    playwright.expect(field).to_have_value("45.5 Hz")
    assert saved(page, slow, "bass.main.port.tuning") == "45.5 Hz"


def test_a_page_that_is_built_again_under_a_hand_keeps_what_it_types(slow, opened):
    """The first value in a table that was absent gives the page other fields."""
    page = opened()
    page.goto(f"{slow.url}/plan")
    field = page.get_by_label("Author", exact=True)
    page.wait_for_function("!document.querySelector('.sw-stages .sw-working')")
    page.get_by_role("button", name="Add a note").click()
    field.focus()
    page.keyboard.type("A. Maker of boxes", delay=60)
    playwright.expect(page.get_by_label("Note 1 on the cover")).to_be_visible()
    at_rest(page)
    playwright.expect(field).to_have_value("A. Maker of boxes")
    playwright.expect(field).to_be_focused()
    page.keyboard.press("Enter")
    at_rest(page)
    assert saved(page, slow, "plan.author") == "A. Maker of boxes"

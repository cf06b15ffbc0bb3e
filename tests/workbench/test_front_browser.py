"""Parts moved on the front in a real browser, by the mouse and by keys, and what the file says."""

from __future__ import annotations

import shutil

import pytest

from speakerwright.design.file import read_project
from speakerwright.workbench.session import written

from .pages import EXAMPLES, copied
from .test_browser import Server, browser, opened, playwright, pytestmark

__all__ = ["browser", "opened", "pytestmark"]
LOW = "directivity.low.at.0"
HANDLE = f"[data-front='{LOW}'] .sw-face"


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    here = Server(copied("harbour-hall", tmp_path_factory.mktemp("front") / "hall"))
    yield here
    here.end()


@pytest.fixture
def page(server, opened):
    shutil.copy(EXAMPLES / "harbour-hall" / "design.toml", server.folder)
    shown = opened()
    shown.goto(f"{server.url}/cabinet")
    shown.wait_for_selector(HANDLE)
    shown.wait_for_function("!document.querySelector('.sw-stages .sw-working')")
    return shown


def scale(page):
    """Pixels for a millimetre, and where the driver's centre is."""
    box = page.locator(HANDLE).bounding_box()
    per_mm = page.evaluate("document.querySelector('.sw-front svg[role]').getScreenCTM().a")
    return per_mm, box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def saved(page, server):
    page.keyboard.press("Control+s")
    playwright.expect(page.locator(".sw-saved")).to_have_text("saved")
    return read_project(server.folder).design


def test_a_driver_is_dragged_and_saved(server, page):
    per_mm, x, y = scale(page)
    read, fails = page.locator(".sw-front-read"), page.locator(".sw-front-fails")
    page.mouse.move(x + 5, y + 5)
    page.mouse.down()
    page.mouse.move(x + 5 + 30 * per_mm, y + 5 - 60 * per_mm, steps=12)
    # while it is held: the picture and the words follow, and what is in the way is told at once
    playwright.expect(fails).to_contain_text("Moorhoot 12 and divider")
    _, now_x, now_y = scale(page)
    assert now_x - x == pytest.approx(30 * per_mm, abs=0.6 * per_mm)  # in whole millimetres
    assert y - now_y == pytest.approx(60 * per_mm, abs=0.6 * per_mm)
    page.mouse.move(x + 5 + 20.2 * per_mm, y + 5 + 30.3 * per_mm, steps=12)
    playwright.expect(read).to_have_text(
        "Moorhoot 12: 20.0\u2009mm right of the centre line, 473.0\u2009mm above the bottom")
    playwright.expect(fails).to_have_text("")
    page.mouse.up()
    playwright.expect(page.locator(f"[data-path='{LOW}.1'] input")).to_have_value("473 mm")
    design = saved(page, server)
    assert written(design, "directivity.low.at") == [["20 mm", "473 mm"]]
    page.keyboard.press("Control+z")  # the whole drag is one step
    playwright.expect(page.locator(f"[data-path='{LOW}.1'] input")).to_have_value("503 mm")
    assert scale(page)[2] == pytest.approx(y, abs=0.5)
    playwright.expect(page.get_by_role("button", name="Undo")).to_be_disabled()


def test_a_drag_ends_at_the_baffles_edge_and_escape_puts_it_back(server, page):
    per_mm, x, y = scale(page)
    read = page.locator(".sw-front-read")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 300 * per_mm, y, steps=8)
    # half of 450 less half of 315 is 67.5: the last whole millimetre within it
    playwright.expect(read).to_contain_text("67.0\u2009mm right of the centre line, 503.0")
    page.keyboard.press("Escape")
    playwright.expect(read).to_contain_text("on the centre line, 503.0")
    page.mouse.up()
    playwright.expect(page.locator(".sw-saved")).to_have_text("saved")
    playwright.expect(page.get_by_role("button", name="Undo")).to_be_disabled()


def test_a_driver_is_moved_by_keys_and_saved(server, page):
    part = page.get_by_role("button", name="Moorhoot 12")
    part.focus()
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    for _ in range(3):
        page.keyboard.press("Shift+ArrowDown")
    playwright.expect(page.locator(".sw-front-read")).to_have_text(
        "Moorhoot 12: 4.0\u2009mm right of the centre line, 502.7\u2009mm above the bottom")
    playwright.expect(part).to_have_accessible_name(
        "Moorhoot 12: 4.0\u2009mm right of the centre line, 502.7\u2009mm above the bottom")
    playwright.expect(page.locator(f"[data-path='{LOW}.1'] input")).to_have_value("502.7 mm")
    design = saved(page, server)
    assert written(design, "directivity.low.at") == [["4 mm", "502.7 mm"]]
    part.focus()
    page.keyboard.press("Enter")  # on to the field of its place
    page.wait_for_function(
        f"document.activeElement.closest('[data-path]')?.dataset.path === '{LOW}.1'")


def test_a_brace_and_a_divider_are_moved_by_keys(server, page):
    for name in ("brace:", "divider:"):
        page.get_by_role("button", name=name).focus()
        page.keyboard.press("PageDown")
    playwright.expect(page.locator(".sw-front-read")).to_have_text(
        "divider: main is 622.0\u2009mm high inside")
    playwright.expect(page.locator("[data-path='cabinet.chambers.top.height'] input")
                      ).to_have_value("262 mm")
    design = saved(page, server)
    assert written(design, "cabinet.braces.0.at") == "222 mm"
    assert written(design, "cabinet.chambers.main.height") == "622 mm"
    assert written(design, "cabinet.chambers.top.height") == "262 mm"


@pytest.fixture
def quay(tmp_path):
    here = Server(copied("quay-stage", tmp_path / "quay"))
    yield here
    here.end()


def test_an_upright_is_dragged_sideways_and_the_outline_has_its_shoulders(quay, opened):
    page = opened()
    page.goto(f"{quay.url}/cabinet")
    page.wait_for_selector("[data-front='cabinet.braces.1.at'] .sw-face")
    page.wait_for_function("!document.querySelector('.sw-stages .sw-working')")
    corners = page.locator(".sw-front .sw-baffle").get_attribute("d")
    assert corners == "M-225 0L225 0L225 -570L195 -846L-195 -846L-225 -570Z"
    per_mm = page.evaluate("document.querySelector('.sw-front svg[role]').getScreenCTM().a")
    grip = page.locator("[data-front='cabinet.braces.1.at'] .sw-grip").bounding_box()
    x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 25 * per_mm, y - 40 * per_mm, steps=8)  # up is no way it may go
    page.mouse.up()
    field = page.locator("[data-path='cabinet.braces.1.at'] input")
    playwright.expect(field).to_have_value("25 mm")
    page.get_by_role("button", name="brace 2:").focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowUp")
    playwright.expect(page.locator(".sw-front-read")).to_have_text(
        "brace 2: its middle 24.0\u2009mm right of the centre line, in main")
    playwright.expect(field).to_have_value("24 mm")

"""The workbench in a real browser: every page, light and dark; no error, no other host asked."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from speakerwright.design.file import read_project
from speakerwright.workbench.session import written

from .pages import copied

playwright = pytest.importorskip("playwright.sync_api")
playwright.expect.set_options(timeout=20_000)
CHROMIUM = Path("/usr/bin/chromium")
pytestmark = pytest.mark.skipif(
    not CHROMIUM.exists() and not os.environ.get("CI"), reason="there is no Chromium here")
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking",
             "--disable-component-update", "--disable-sync", "--no-first-run"]
SERVE = ("import sys; from pathlib import Path; from speakerwright.workbench.app import serve; "
         "serve(Path(sys.argv[1]), int(sys.argv[2]), show=False)")
STAGES = ("brief", "drivers", "bass", "cabinet", "cutting", "plan")


class Server:
    """A workbench in a process of its own, which can be ended and begun again."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.folder = folder
        self.begin()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def begin(self) -> None:
        self.told = self.folder.parent / "told.txt"
        clean = {name: value for name, value in os.environ.items() if "PYTEST" not in name}
        with self.told.open("w") as told:
            self.process = subprocess.Popen(
                [sys.executable, "-c", SERVE, str(self.folder), str(self.port)],
                stdout=told, stderr=subprocess.STDOUT, cwd=self.folder.parent, env=clean)
        for _ in range(300):
            try:
                with urllib.request.urlopen(f"{self.url}/look/look.css", timeout=2):
                    return
            except OSError:
                assert self.process.poll() is None, self.told.read_text()
                time.sleep(0.1)
        raise AssertionError("the workbench does not answer")

    def end(self) -> None:
        self.process.send_signal(signal.SIGINT)
        try:
            self.process.wait(5)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    here = Server(copied("harbour-hall", tmp_path_factory.mktemp("browser") / "hall"))
    yield here
    here.end()


@pytest.fixture(scope="module")
def browser():
    with playwright.sync_playwright() as started:
        held = started.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield held
        held.close()


@pytest.fixture
def opened(browser):
    """Opens pages; at the end no error may have been told and no other host asked."""
    troubles, contexts = [], []

    def opener(light="light", **more):
        context = browser.new_context(viewport={"width": 1440, "height": 900}, color_scheme=light,
                                      **more)
        context.set_default_timeout(15_000)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda m: m.type == "error" and troubles.append(m.text))
        page.on("pageerror", lambda e: troubles.append(str(e)))
        page.on("request", lambda r: re.match(r"(https?|wss?)://127\.0\.0\.1[:/]|data:|blob:",
                                              r.url) or troubles.append(r.url))
        return page

    yield opener
    for context in contexts:
        context.close()
    assert troubles == []


@pytest.mark.parametrize("light", ["light", "dark"])
def test_every_page_is_shown_and_can_be_used_without_sight(server, opened, tmp_path, light):
    from axe_playwright_python.sync_playwright import Axe

    page, found = opened(light), []
    for stage in STAGES:
        page.goto(f"{server.url}/{stage}")
        page.wait_for_selector(".sw-stages .sw-mark.sw-holds")
        page.wait_for_function("!document.querySelector('.sw-stages .sw-working')")
        if stage in ("cabinet", "cutting"):
            page.wait_for_selector(".sw-drawings svg")
        page.screenshot(path=tmp_path / f"{stage}-{light}.png", full_page=True)
        for one in Axe().run(page).response["violations"]:
            if one["impact"] in ("serious", "critical"):
                found.append((stage, one["id"], [n["html"][:160] for n in one["nodes"][:3]]))
    assert found == []
    assert len(list(tmp_path.glob("*.png"))) == len(STAGES)
    paper = page.evaluate("getComputedStyle(document.querySelector('.sw-page')).backgroundColor")
    assert paper == ("rgb(255, 255, 255)" if light == "light" else "rgb(22, 24, 27)")


def test_turning_by_keys_moves_the_curve_and_undo_brings_it_back(server, opened):
    page = opened()
    page.goto(f"{server.url}/bass")
    field = page.get_by_label("Net volume", exact=True)
    page.wait_for_selector("canvas")
    slider = page.get_by_label("Net volume, slider")
    slider.locator("[tabindex='0']").focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(250)  # slower than the server's answer on a loaded machine
    # five of the 400 steps in 3.2 octaves
    playwright.expect(field).to_have_value("63.7 L")
    playwright.expect(page.locator(".sw-pairs").first).to_contain_text("63.70")
    undo = page.get_by_role("button", name="Undo")
    for _ in range(5):  # as many steps as the browser took the presses for
        if undo.is_enabled():
            page.keyboard.press("Control+z")
            page.wait_for_timeout(200)
    playwright.expect(field).to_have_value("62 L")
    playwright.expect(page.locator(".sw-saved")).to_have_text("saved")


def test_typing_wrong_and_right_and_saving_by_keys(server, opened):
    page = opened()
    page.goto(f"{server.url}/bass")
    field = page.get_by_label("Tuning", exact=True)
    playwright.expect(field).to_have_value("50 Hz")
    field.fill("fifty")
    page.keyboard.press("Enter")
    playwright.expect(page.get_by_text("'fifty' is not a frequency")).to_be_visible()
    playwright.expect(field).to_have_value("fifty")
    field.fill("47")
    page.keyboard.press("Enter")
    playwright.expect(field).to_have_value("47 Hz")
    playwright.expect(page.get_by_text("'fifty' is not a frequency")).to_be_hidden()
    page.keyboard.press("Control+s")
    playwright.expect(page.locator(".sw-saved")).to_have_text("saved")
    assert written(read_project(server.folder).design, "bass.main.port.tuning") == "47 Hz"
    page.keyboard.press("Control+z")
    playwright.expect(page.locator(".sw-saved")).to_have_text("1 value not saved")
    page.keyboard.press("Control+s")
    playwright.expect(page.locator(".sw-saved")).to_have_text("saved")
    assert written(read_project(server.folder).design, "bass.main.port.tuning") == "50 Hz"


def test_a_finding_leads_to_the_field_that_owns_it(server, opened):
    page = opened()
    page.goto(f"{server.url}/bass")
    page.wait_for_selector(".sw-findings .sw-tight")
    page.get_by_role("button", name="Show the value").first.click()
    page.wait_for_url(re.compile("/(brief|cabinet)$"))
    page.wait_for_function(
        "document.activeElement && document.activeElement.closest('[data-path]')")


def test_a_restart_of_the_server_loses_no_edit(browser, tmp_path):
    """Errors on the console are the browser's own, of a connection that ended."""
    server = Server(copied("barn-sub", tmp_path / "sub"))
    context = browser.new_context()
    try:
        page = context.new_page()
        page.goto(f"{server.url}/bass")
        field = page.get_by_label("Net volume", exact=True)
        playwright.expect(field).to_have_value("185 L", timeout=15_000)
        field.fill("190 L")
        page.keyboard.press("Enter")
        playwright.expect(page.locator(".sw-saved")).to_have_text("1 value not saved")
        server.end()
        server.begin()
        playwright.expect(page.locator(".sw-saved")).to_have_text("1 value not saved",
                                                                  timeout=20_000)
        playwright.expect(page.get_by_label("Net volume", exact=True)).to_have_value(
            "190 L", timeout=20_000)
        assert written(read_project(server.folder).design, "bass.main.volume") == "185 L"
    finally:
        context.close()
        server.end()


def test_a_foreign_page_gets_nothing(server):
    request = urllib.request.Request(f"{server.url}/bass", headers={"Host": "evil.example"})
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=5)
    refused.value.close()
    assert refused.value.code == 403

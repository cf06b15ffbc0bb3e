"""A newcomer's way in a real browser: from an empty folder to a saved, worked-out closed box.

Only what the page says is used, by its words; one wrong unit is typed on the way, and mended.
"""

from __future__ import annotations

import time
from datetime import date, timedelta

import pytest

from speakerwright.chain import work
from speakerwright.design.file import read_project
from speakerwright.words.findings import Verdict
from speakerwright.words.rules import RULES
from speakerwright.workbench.session import written

from .test_browser import Server, browser, opened, playwright, pytestmark

__all__ = ["browser", "opened", "pytestmark"]
expect = playwright.expect


@pytest.fixture
def server(tmp_path):
    folder = tmp_path / "first"
    folder.mkdir()
    here = Server(folder)
    yield here
    here.end()


def press_next(page, words):
    """Press the one button under Next, whose words are known."""
    button = page.locator(".sw-next button")
    expect(button).to_have_text(words)
    button.click()


def test_from_an_empty_folder_to_a_saved_box(server, opened):
    page = opened()
    page.goto(server.url)
    expect(page.get_by_role("heading", name="Begin a design here")).to_be_visible()
    page.get_by_label("What is it called?").fill("Kitchen pair")
    page.get_by_label("fs, resonance in free air").fill("45hz")  # what is meant is beyond doubt
    page.get_by_label("Vas, equivalent volume").fill("24 kg")  # the wrong turn
    page.get_by_label("How far is the farthest seat?").fill("2.5")
    make = page.get_by_role("button", name="Make the design")
    make.click()
    wrong = page.locator("[data-path='records.my-woofer.datasheet.vas']")
    expect(wrong.get_by_role("alert")).to_have_text(
        "'24 kg' is not a volume: 'kg' does not measure this. Write it like \"92 L\".")
    expect(page.get_by_text("One answer cannot be taken yet: see under the field.")).to_be_visible()
    expect(wrong.locator("input")).to_be_focused()
    assert not (server.folder / "design.toml").exists()
    assert page.get_by_label("What is it called?").input_value() == "Kitchen pair"
    wrong.locator("input").fill("24")
    make.click()

    page.wait_for_url("**/bass")
    page.wait_for_selector("canvas")
    page.get_by_label("Net volume", exact=True).fill("14")
    page.keyboard.press("Enter")
    expect(page.locator(".sw-saved")).to_have_text("1 value not saved")
    press_next(page, "Begin the cabinet")
    page.get_by_role("button", name="Begin with a box").click()
    # the views of the cabinet come up on a page that began without one
    page.wait_for_selector("[data-front] .sw-face")
    expect(page.get_by_text("Iso", exact=True)).to_be_visible()
    press_next(page, "Begin the cutting")
    page.get_by_role("button", name="Begin with one kind of sheet").click()
    press_next(page, "Save")
    expect(page.locator(".sw-saved")).to_have_text("saved")
    press_next(page, "Go to the plan")
    page.wait_for_url("**/plan")
    expect(page.locator(".sw-next")).to_contain_text("Nothing stops the plan")

    design = read_project(server.folder).design
    assert written(design, "plan.title") == "Kitchen pair"
    assert abs(written(design, "plan.date") - date.today()) <= timedelta(days=1)
    assert written(design, "records.my-woofer.datasheet.fs") == "45 Hz"
    assert written(design, "records.my-woofer.datasheet.vas") == "24 L"
    assert written(design, "brief.seats.farthest") == "2.5 m"
    assert written(design, "bass.main.volume") == "14 L"
    done = work(design)
    assert {f.verdict for each in done.findings.values() for f in each
            if not RULES[f.rule].of_others} <= {Verdict.HOLDS, Verdict.TIGHT}
    assert done.cabinet is not None
    assert sum(len(sheet.placed) for sheet in done.cutting.sheets) == 12  # two boxes of six panels


def test_help_tells_the_stage_from_the_docs_without_leaving_the_machine(server, opened):
    page = opened()  # which fails when any other host is asked
    page.goto(server.url)
    page.get_by_role("button", name="Make the design").click()
    page.wait_for_selector("canvas")
    page.get_by_role("button", name="Help").click()
    helped = page.get_by_role("dialog")
    expect(helped.get_by_text("Which box, tuning and port?")).to_be_visible()
    expect(helped.get_by_role("heading", name="One circuit")).to_be_visible()
    expect(helped.get_by_text("take the last edit back")).to_be_visible()
    assert helped.locator("a").count() == 0
    helped.get_by_role("button", name="Close").click()
    expect(helped).to_be_hidden()


def test_a_finding_about_what_is_absent_leads_to_its_button(server, opened):
    page = opened()
    page.goto(server.url)
    page.get_by_label("How loud on average").fill("84 dB")
    page.get_by_role("button", name="Make the design").click()
    page.wait_for_selector("canvas")
    finding = page.locator(".sw-finding", has_text="below the band")
    finding.get_by_role("button", name="Show the value").click()
    begun = time.monotonic()
    while page.evaluate("document.activeElement.closest('[data-path]')?.dataset.path") != (
            "bass.main.high_pass"):
        assert time.monotonic() - begun < 10.0
        page.wait_for_timeout(50)
    expect(page.get_by_role("button", name="Add one")).to_be_focused()

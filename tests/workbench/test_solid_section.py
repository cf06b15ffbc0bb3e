"""The section through the solid by hand and by keys, seeing through walls, what overlaps."""

from __future__ import annotations

import json
from typing import Any

import pytest

from speakerwright.workbench.cabinet3d import Overlapping, packed_parts

from . import chart_data
from .chart_browser import Watched
from .test_charts_solid import VIEW, _pixels, _where, address, chrome, watched

__all__ = ["address", "chrome", "watched"]
CANVAS = "figure.sw-solid canvas"


@pytest.fixture
def page(watched: Watched) -> Any:
    watched.page.locator(CANVAS).focus()
    return watched.page


def test_the_cut_is_made_and_moved_by_keys(page: Any) -> None:
    page.keyboard.press("x")
    assert page.evaluate(f"{VIEW}.cutAt") == pytest.approx(0.0, abs=1e-3)
    assert page.get_by_label("Cut", exact=True).input_value() == "x"
    for _ in range(4):
        page.keyboard.press("]")
    assert page.evaluate(f"{VIEW}.cutAt") == pytest.approx(20.0)
    page.keyboard.press("[")
    assert page.evaluate(f"{VIEW}.cutAt") == pytest.approx(15.0)
    # the slider and its words follow: 115 of 200 mm
    assert page.get_by_label("Place of the cut").input_value() == "575"
    page.wait_for_function(
        "document.querySelector('.sw-bar output').textContent === '15.0\u2009mm'")
    page.keyboard.press("y")
    assert page.get_by_label("Cut", exact=True).input_value() == "y"
    page.keyboard.press("y")
    assert page.evaluate(f"{VIEW}.cut") is None


def test_a_cut_face_is_taken_in_the_hand_and_moved(watched: Watched, page: Any) -> None:
    page.get_by_role("button", name="From the front, aslant").click()
    page.locator(CANVAS).focus()
    page.keyboard.press("y")
    before = page.evaluate(f"{VIEW}.cutAt")
    turned = page.evaluate(f"{VIEW}.direction()")
    box = page.locator(CANVAS).bounding_box()
    # on the cut face of the right side, which stands from x = 82 to 100
    (x, y), (x2, y2) = _where(watched, (91.0, before, 150.0), (91.0, before + 40.0, 150.0))
    page.mouse.move(box["x"] + x, box["y"] + y)
    page.wait_for_function(f"document.querySelector('{CANVAS}').classList.contains('sw-sliding')")
    page.mouse.down()
    page.mouse.move(box["x"] + x2, box["y"] + y2, steps=6)
    page.mouse.up()
    assert page.evaluate(f"{VIEW}.cutAt") == pytest.approx(before + 40.0, abs=1.0)
    assert page.evaluate(f"{VIEW}.direction()") == pytest.approx(turned)  # the eye stays
    # beside the cut face the hand turns the cabinet as ever
    page.mouse.move(box["x"] + 4, box["y"] + 4)
    page.mouse.down()
    page.mouse.move(box["x"] + 60, box["y"] + 4, steps=4)
    page.mouse.up()
    assert page.evaluate(f"{VIEW}.direction()") != pytest.approx(turned, abs=1.0)


def test_walls_are_seen_through_and_what_is_inside_can_be_picked(watched: Watched,
                                                                 page: Any) -> None:
    page.get_by_role("button", name="From the right").click()
    pick = (f"() => {{ const v = {VIEW}; return v.pick(...v.toScreen(v.camera.position.clone()"
            ".set(0, 75, 35)))?.piece.part.name; }")
    page.evaluate(f"{VIEW}.pieces.forEach((p) => {{ p.part.outer = p.part.name !== 'block'; }})")
    assert page.evaluate(pick) == "right side"
    wall, = _pixels(watched, (100.0, 200.0, 200.0))
    page.locator(CANVAS).focus()
    page.keyboard.press("t")
    assert page.get_by_label("See through the walls").is_checked()
    assert page.evaluate(pick) == "block"
    clear, = _pixels(watched, (100.0, 200.0, 200.0))
    assert sum(clear) > sum(wall) + 40  # the light ground shows through
    page.get_by_label("See through the walls").uncheck()
    assert page.evaluate(pick) == "right side"
    assert _pixels(watched, (100.0, 200.0, 200.0)) == [wall]


def test_what_overlaps_travels_with_its_own_words() -> None:
    parts = chart_data.box_parts()
    parts[0]["role"] = "side"
    sent = packed_parts(parts, [Overlapping(("a", "b"), "Collision: a and b, 5.1 cm³")])
    size = int.from_bytes(sent[:4], "little")
    header = json.loads(sent[4:4 + size])
    assert header["collisions"] == [{"names": ["a", "b"], "label": "Collision: a and b, 5.1 cm³"}]
    assert header["words"].endswith("Collisions: a and b, 5.1 cm³.")
    assert [part["outer"] for part in header["parts"]][:1] == [True]

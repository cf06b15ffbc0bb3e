"""General drawings of a cabinet whose front and back lean, against plain trigonometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import Polygon, box

from speakerwright.drawing.cabinet_sheets import front_view, section_view
from speakerwright.drawing.front_openings import openings_of
from speakerwright.drawing.leaning import leaning_walls, stations
from speakerwright.drawing.sheets import svg
from speakerwright.drawing.views import exploded
from speakerwright.solids.bodies import box_body
from speakerwright.solids.panels import Panel, Placement, cutout, hole, plain
from speakerwright.solids.shapes import rectangle

from .reading import overlaps, paths, words

LEAN = math.radians(8.0)
UP = (0.0, math.sin(LEAN), math.cos(LEAN))
TALL, DEEP, T = 600.0, 320.0, 18.0
LONG = TALL / math.cos(LEAN)


def cabinet():
    """A baffle that leans back by 8 degrees, an upright back, sides, top and bottom, bevelled."""
    front, tilt = Placement((0, 0, 0), (1, 0, 0), UP), math.tan(LEAN)
    baffle = Panel("baffle", rectangle(-150, 0, 150, LONG), T, front,
                   (hole(0, 200, 180, "low driver"),
                    cutout(rectangle(-80, 400, 80, 500), "horn")),
                   bevels=(-tilt, 0.0, tilt, 0.0), role="baffle")
    inner = T / math.cos(LEAN)
    back = plain("back", 300, TALL, T, Placement((150, DEEP, 0), (-1, 0, 0), (0, 0, 1)))
    floor = plain("bottom", 264, DEEP - T - inner - T * tilt, T,
                  Placement((-132, inner + T * tilt, T), (1, 0, 0), (0, 1, 0)))
    start = inner + TALL * tilt
    top = plain("top", 264, DEEP - T - start, T,
                Placement((-132, start, TALL), (1, 0, 0), (0, 1, 0)))
    return [baffle, back, floor, top]


def said(drawing):
    return [word.replace("\u00a0", " ") for word, *_ in words(svg(drawing))]


def test_the_section_says_depths_along_the_floor_at_the_top_and_over_all():
    drawing = section_view(cabinet())
    texts = said(drawing)
    inside = DEEP - T - T / math.cos(LEAN) - T * math.tan(LEAN)
    top = DEEP - TALL * math.tan(LEAN)
    for value in (inside, T / math.cos(LEAN), top, DEEP):
        assert f"{value:.1f}".removesuffix(".0") in texts
    assert "8°" in texts
    assert overlaps(svg(drawing)) == []
    assert "along the floor inside" in " ".join(texts)


def test_a_leaning_wall_is_known_by_its_angle_and_faces():
    ring = np.array([(0, 0), (18.0 / math.cos(LEAN), 0)])
    rise = np.array([(TALL * math.tan(LEAN), TALL)])
    wall = Polygon([*ring, *(ring[::-1] + rise)])
    back = box(302, 0, 320, TALL)
    (lean,) = leaning_walls([wall, back])
    assert lean.front
    assert lean.angle_deg == pytest.approx(8.0, abs=0.02)
    assert lean.at(300.0)[0] == pytest.approx(300.0 * math.tan(LEAN), abs=0.7)
    assert stations([box(0, 0, 18, TALL), back], (0, 0, 320, TALL), 0) == [0, 18, 302, 320]


def test_openings_in_a_leaning_baffle_are_seen_shortened():
    driver, horn = openings_of(cabinet())
    assert driver.z == pytest.approx(200.0 * math.cos(LEAN))
    assert np.ptp(driver.ring[:, 1]) == pytest.approx(180.0 * math.cos(LEAN), rel=1e-3)
    assert not driver.upright
    assert horn.z == pytest.approx(450.0 * math.cos(LEAN))
    assert (horn.width, horn.height) == (160.0, 100.0)
    drawing = front_view(cabinet(), [box_body("b", (-10, -5, 190), (10, 0, 210))])
    texts = said(drawing)
    assert f"{200.0 * math.cos(LEAN):.1f}" in texts
    assert "low driver, cut-out Ø 180" in " ".join(texts)
    assert "The baffle leans" in " ".join(texts)


def test_heights_of_the_front_start_at_the_wood_and_not_under_the_feet():
    panels = [plain("baffle", 300, 600, T, Placement((-150, 0, 0), (1, 0, 0), (0, 0, 1)))]
    panels[0] = panels[0].with_feature(hole(150, 200, 180, "driver"))
    foot = box_body("foot", (-20, 5, -25), (20, 15, 0), kind="foot")
    drawing = front_view(panels, [foot])
    text = svg(drawing)
    at = {word: (b[1] + b[3]) / 2 for word, b, *_ in words(text) if word in ("0", "200")}
    assert (at["0"] - at["200"]) * drawing.scale == pytest.approx(200.0, abs=0.5)
    assert "600" in said(drawing)
    low = max(r[:, 1].max() for r in paths(text, "outline"))
    assert (low - at["0"]) * drawing.scale == pytest.approx(25.0, abs=5.0)  # and the feet below


def test_what_is_let_into_a_wall_comes_out_of_that_wall():
    side = plain("side", 300, 600, T, Placement((150, 0, 0), (0, 1, 0), (0, 0, 1)))
    other = plain("other", 300, 600, T, Placement((-150, 300, 0), (0, -1, 0), (0, 0, 1)))
    side = side.with_feature(cutout(rectangle(100, 300, 200, 380), "cut-out", mate="handle"))
    handle = box_body("handle", (90, 100, 300), (150, 200, 380), kind="handle")
    rod = box_body("rod", (-132, 140, 90), (132, 160, 110), kind="rod")
    driver = box_body("driver", (-50, -5, 100), (50, 100, 200), kind="driver")
    moves = exploded([side, other, handle, rod, driver])
    assert moves["handle"][0] > moves["side"][0] > 0.0
    assert moves["handle"][1:] == (0.0, 0.0)
    assert moves["rod"] == (0.0, 0.0, 0.0)
    assert moves["driver"][1] < 0.0

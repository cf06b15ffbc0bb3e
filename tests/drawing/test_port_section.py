"""The port in its box: lengths stand on the drawing, and everything is to scale."""

from __future__ import annotations

import pytest

from speakerwright.drawing.marks import Hatch
from speakerwright.drawing.port_section import port_section
from speakerwright.drawing.sheets import svg, text_boxes

HALL = {"length_mm": 206.5, "opening_mm": 100.0, "wall_mm": 3.0, "baffle_mm": 18.0,
        "depth_mm": 282.0, "driver_mm": (138.0, 315.0), "magnet_mm": (180.0, 52.0)}


def texts(drawing):
    return [text for text, _ in text_boxes(drawing)]


def test_length_gap_and_opening_are_written():
    found = texts(port_section(**HALL))
    assert "length 206.5" in found
    assert "gap 75.5" in found
    assert "100" in found


def test_inches_to_a_thirtysecond():
    assert "length 8 1/8" in texts(port_section(**HALL, system="inch"))


def test_the_back_stands_at_its_depth():
    drawing = port_section(**HALL)
    bounds = [item.region.bounds for item in drawing.items if isinstance(item, Hatch)]
    left, right = min(b[0] for b in bounds), max(b[2] for b in bounds)
    assert (right - left) * drawing.scale == pytest.approx(282.0 + 18.0, rel=1e-9)


@pytest.mark.parametrize("more", [
    {"depth_mm": None}, {"driver_mm": None, "magnet_mm": None}, {"shared_wall": True},
    {"depth_mm": 180.0}, {"length_mm": 900.0, "depth_mm": 1000.0}, {"wall_mm": 18.0},
])
def test_other_boxes_can_be_drawn(more):
    picture = svg(port_section(**{**HALL, **more}))
    assert picture.startswith("<svg")
    assert ("gap" in picture) is (more.get("depth_mm", 282.0) not in (None, 180.0))

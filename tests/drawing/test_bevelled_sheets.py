"""Sheets of panels with bevels, slanted edges, stopped dadoes and half-laps, read back."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import Polygon

from speakerwright.drawing.panel_features import (
    edge_notes,
    outline_places,
    seen_face,
    shape_notes,
    size_and_slant,
)
from speakerwright.drawing.panel_views import panel_sheet
from speakerwright.drawing.pocket_details import bevel_profile, details, levelled, profile
from speakerwright.drawing.sheets import svg
from speakerwright.solids.panels import Panel, Placement, cutout, pocket
from speakerwright.solids.shapes import rectangle

from .reading import marks, overlaps, paths, words

HERE = Placement((0, 0, 0), (1, 0, 0), (0, 0, 1))
TAN = math.tan(math.radians(22.5))


def board(*features, bevels=(0.0, TAN, 0.0, -1.0), outline=None):
    return Panel("board", outline or rectangle(0, 0, 300, 200), 18.0, HERE, tuple(features),
                 grain="u", bevels=bevels)


def said(panel, **more):
    return " ".join(word.replace("\u00a0", " ") for word, *_ in words(svg(panel_sheet(
        panel, **more))))


def lines(text, kind):
    """Straight upright lines of a kind: place across, length; mm on paper."""
    found = [[float(node.get(name)) for name in ("x1", "x2", "y1", "y2")]
             for node in marks(text, kind) if node.get("x1") is not None]
    return [(x1, abs(y2 - y1)) for x1, x2, y1, y2 in found if x1 == x2]


def test_the_blank_is_drawn_in_full_and_the_far_faces_edge_dashed():
    """Left edge 45 degrees, longer outside; right edge 22.5 degrees, longer inside by 7.456 mm."""
    drawing = panel_sheet(board())
    text = svg(drawing)
    ring = max((r for r in paths(text, "outline") if len(r) >= 4), key=lambda r: np.ptp(r[:, 0]))
    left, wide = ring[:, 0].min(), np.ptp(ring[:, 0]) * drawing.scale
    assert wide == pytest.approx(300.0 + 18.0 * TAN, abs=0.02)
    (dashed,) = [x for x, long in lines(text, "hidden") if long * drawing.scale > 190.0]
    assert (dashed - left) * drawing.scale == pytest.approx(18.0, abs=0.02)
    (thin,) = [x for x, long in lines(text, "thin") if abs(long * drawing.scale - 200.0) < 0.1]
    assert (thin - left) * drawing.scale == pytest.approx(300.0, abs=0.02)


def test_angle_and_longer_face_of_each_bevel_are_noted():
    text = said(board())
    assert "bevel 45°, longer outside" in text
    assert "bevel 22.5°, longer inside" in text
    assert "Second line, thin: the edge of the outside face; dashed: that of the inside" in text


def test_seen_from_the_inside_the_second_lines_change_their_meaning():
    face = seen_face(board(), "inside")
    assert [(round(e.start[0], 3), e.near) for e in face.edges] == [
        (round(18.0 * TAN, 3), False), (round(300.0 + 18.0 * TAN - 18.0, 3), True)]


def test_the_section_of_a_bevel_has_its_angle_and_set_back():
    face = seen_face(board())
    right, left = face.edges
    assert right.set_back == pytest.approx(18.0 * TAN)
    assert left.set_back == pytest.approx(18.0)
    assert bevel_profile(18.0, left, 60.0).area == pytest.approx(60.0 * 18.0 - 18.0**2 / 2.0)
    texts = {item.text for item in details(board(), face, 150.0, "metric")
             if hasattr(item, "text")}
    assert {"45°", "22.5°", "7.5", "18"} <= texts


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_texts_of_a_bevelled_sheet_do_not_overlap(system):
    dado = pocket(rectangle(40, 60, 300 + 18 * TAN, 78.2), 6, "inside", "dado for the shelf")
    assert overlaps(svg(panel_sheet(board(dado), system=system))) == []


def test_a_shouldered_outline_has_an_ordinate_for_every_corner_and_its_slant():
    outline = Polygon([(0, 0), (450, 0), (450, 570), (420, 846), (30, 846), (0, 570)])
    assert outline_places(outline) == ([0, 30, 420, 450], [0, 570, 846])
    panel = board(bevels=(), outline=outline)
    # atan(30 / 276) = 6.20 degrees
    assert [note.text for note in edge_notes(seen_face(panel))] == ["2 × edge 6.2° off upright"]
    text = said(panel).split()
    for ordinate in ("30", "420", "450", "570", "846"):
        assert ordinate in text


def test_a_tongued_outline_keeps_all_its_corners():
    """A shelf with tongues that start 12 mm behind its front edge: twelve corners."""
    outline = rectangle(0, 0, 414, 309).union(rectangle(-6, 12, 420, 309))
    xs, ys = outline_places(outline)
    assert xs == [-6, 0, 414, 420]
    assert ys == [0, 12, 309]


@pytest.mark.parametrize(("low", "high", "words"), [
    (0, 300, "dado for the shelf: 18.2 wide, 6 deep"),
    (40, 300, "dado for the shelf: 18.2 wide, 6 deep, stopped"),
    (30, 270, "dado for the shelf: 18.2 wide, 6 deep, stopped at both ends"),
])
def test_a_stopped_dado_is_told(low, high, words):
    panel = board(pocket(rectangle(low, 60, high, 78.2), 6, "inside", "dado for the shelf"),
                  bevels=())
    assert [note.text for note in shape_notes(seen_face(panel), "metric")] == [words]


def test_a_dado_that_ends_in_a_rabbet_is_not_stopped():
    panel = board(pocket(rectangle(18, 60, 300, 78.2), 6, "inside", "dado for the shelf"),
                  pocket(rectangle(0, 0, 18, 200), 6, "inside", "rabbet for the front"), bevels=())
    assert "stopped" not in said(panel)


def test_a_half_lap_is_open_at_the_edge_and_dimensioned():
    notch = cutout(rectangle(140, -20, 158.2, 100), "half-lap for the upright")
    panel = board(notch, bevels=())
    face = seen_face(panel)
    assert face.drawn.area == pytest.approx(300 * 200 - 18.2 * 100, abs=1e-3)
    text = said(panel)
    assert "half-lap for the upright: 18.2 × 100, through" in text
    for ordinate in ("140", "158.2", "100"):
        assert ordinate in text.split()
    drawing = panel_sheet(panel)
    ring = max((r for r in paths(svg(drawing), "outline")), key=len)
    assert len(ring) == 8  # one edge round the board and its notch


def test_a_pocket_aslant_is_measured_across_itself():
    """A strip 12 wide and 6 deep along an edge that leans by 8 degrees."""
    way = np.array((math.sin(math.radians(8.0)), math.cos(math.radians(8.0))))
    across = np.array((way[1], -way[0]))
    start = np.array((60.0, 20.0))
    corners = [start, start + 150 * way, start + 150 * way + 12 * across, start + 12 * across]
    panel = board(pocket(Polygon(corners), 6, "inside", "rabbet"), bevels=())
    size, slant = size_and_slant(panel.features[0].shape)
    assert size == pytest.approx((150.0, 12.0))
    assert slant == pytest.approx(82.0)
    face = seen_face(panel)
    assert "rabbet: 12 wide, 6 deep" in [n.text for n in shape_notes(face, "metric")]
    wood = profile(18.0, *levelled(face, face.features[0]))
    assert wood.area == pytest.approx((24.0 + 12.0) * 18.0 - 12.0 * 6.0)

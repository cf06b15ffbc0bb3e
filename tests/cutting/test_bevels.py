"""Bevelled panels on the cut list and in the files: the blank, the other face, the angle."""

from __future__ import annotations

import io
import math

import ezdxf
import pytest
from shapely import Polygon

from speakerwright.cutting.cutlist import rows
from speakerwright.cutting.dxf import panel_dxf, sheet_dxf
from speakerwright.cutting.layout import Part, layout
from speakerwright.cutting.picture import SheetPicture
from speakerwright.cutting.sameness import mirrored, same
from speakerwright.cutting.setup import set_ups, tilts_on_sheet
from speakerwright.cutting.sheet import Placed, Stock
from speakerwright.cutting.svg import sheet_svg
from speakerwright.solids.panels import Panel, Placement, pocket
from speakerwright.solids.shapes import rectangle

HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def board(name: str, *bevels: float) -> Panel:
    outline = Polygon([(0, 0), (300, 0), (300, 200), (0, 200)])
    return Panel(name, outline, 18.0, HERE, grain="u", bevels=bevels)


def test_a_mitre_is_cut_to_its_outside_and_noted():
    mitred = board("top", -1.0, 0.0, -1.0, 0.0)
    (row,) = rows([mitred])
    assert (row.length, row.width) == (300.0, 200.0)
    assert row.notes() == "bevel 45° on the lower and upper edges, longer outside"


def test_an_edge_that_leans_out_makes_the_blank_larger():
    tilt = math.tan(math.radians(10.0))
    leaning = board("side", 0.0, tilt, 0.0, 0.0)
    (row,) = rows([leaning])
    assert row.length == pytest.approx(300.0 + 18.0 * tilt)
    assert row.notes() == "bevel 10° on the right edge, longer inside"
    (up,) = set_ups(leaning)
    assert up.width == pytest.approx(300.0 + 18.0 * tilt)
    (face,) = [o for o in up.operations if o.kind == "reference"]
    assert face.layer == "REFERENCE_FACE_OUTSIDE"
    assert face.shape.area == pytest.approx(300.0 * 200.0)


def test_a_set_up_seen_from_the_inside_has_its_left_and_right_exchanged():
    """An inside pocket turns the panel over: its right edge, longer inside, is now at the left."""
    tilt = math.tan(math.radians(22.5))
    panel = board("side", 0.0, tilt, 0.0, 0.0).with_feature(
        pocket(rectangle(100, 0, 118, 200), 6.0, "inside", "dado"))
    (up,) = set_ups(panel)
    assert up.face == "inside"
    (edge,) = up.tilts
    assert (edge.side, edge.text, edge.longer_up) == ("left", "22.5°", True)
    # the shorter outside face ends 18 tan 22.5 deg = 7.456 mm inside the blank's left edge
    assert edge.middle == pytest.approx((7.4558, 100.0), abs=1e-3)


def test_both_faces_are_shown_where_the_edges_lean_the_same_way():
    panel = board("leaning", 0.0, 0.5, 0.0, -0.5)
    (up,) = set_ups(panel)
    shown = {o.layer: o.shape.bounds for o in up.operations if o.kind == "reference"}
    assert shown == {"REFERENCE_FACE_OUTSIDE": (0.0, 0.0, 300.0, 200.0),
                     "REFERENCE_FACE_INSIDE": (9.0, 0.0, 309.0, 200.0)}
    assert up.width == 309.0
    assert [(t.side, t.longer_up) for t in up.tilts] == [("right", False), ("left", True)]


def test_files_draw_the_blank_to_cut_and_the_faces_edge_with_its_angle():
    mitred = board("top", -1.0, 0.0, -1.0, 0.0)
    (up,) = set_ups(mitred)
    doc = ezdxf.read(io.StringIO(panel_dxf(up).decode("cp1252")))
    rings = {e.dxf.layer: Polygon([(x, y) for x, y, *_ in e.get_points()])
             for e in doc.modelspace().query("LWPOLYLINE")}
    assert rings["OUTLINE_18.0"].area == pytest.approx(300.0 * 200.0)
    assert rings["REFERENCE_FACE_INSIDE"].area == pytest.approx(300.0 * (200.0 - 2 * 18.0))
    said = [e.dxf.text for e in doc.modelspace().query("TEXT")]
    assert said.count("45 deg") == 2
    assert "lower, upper edges: 45 deg, longer above" in said
    assert any(text.startswith("blank 300.0 x 200.0") for text in said)
    stock = Stock("sheet", 1000.0, 600.0)
    (sheet,) = layout([Part("top", 300.0, 200.0)], [stock], 4.0, 10.0).sheets
    text = sheet_svg(sheet, {"top": up}, "Sheet")
    assert text.count("45°") == 2
    assert '<g id="REFERENCE_FACE_INSIDE"' in text
    assert "edge of a bevelled face, not cut here" in text
    doc = ezdxf.read(io.StringIO(sheet_dxf(sheet, {"top": up}, "Sheet").decode("cp1252")))
    assert [e.dxf.text for e in doc.modelspace().query("TEXT")].count("45 deg") == 2
    picture = str(SheetPicture(sheet, {"top": up}, "Sheet"))
    assert "stroke-dasharray" in picture
    assert "dashed: bevel" in picture


def test_an_angle_on_a_turned_part_is_written_at_the_edge_it_belongs_to():
    panel = board("side", 0.0, 1.0, 0.0, 0.0)  # right edge; the outside face ends 18 mm before it
    (up,) = set_ups(panel)
    (edge,) = tilts_on_sheet(up, Placed("side", 50.0, 20.0, 200.0, 318.0, True))
    assert edge.side == "upper"  # turned anticlockwise: what was right is above
    assert edge.middle == pytest.approx((150.0, 320.0))


def test_bevels_tell_boards_apart():
    plain, left, right = board("a"), board("b", 0, 0, 0, -0.5), board("c", 0, -0.5, 0, 0)
    assert not same(plain, left)
    assert same(left, board("d", 0, 0, 0, -0.5))
    assert same(left, right)  # turned half round on the table
    one, two = board("e", -0.3, -0.5, 0, 0), board("f", -0.3, 0, 0, -0.5)
    assert not same(one, two)
    assert mirrored(one, two)

"""Sheets: scales, letters, lines by meaning, the same bytes."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Point as Spot
from shapely import box

from speakerwright.drawing.marks import (
    KINDS,
    Arc,
    Balloon,
    CentreMark,
    Circle,
    Dimension,
    Hatch,
    Leader,
    Line,
    Path,
    Text,
    boxes,
    extent,
    moved,
    region_area,
)
from speakerwright.drawing.sheets import (
    Drawing,
    caption_mm,
    choose_scale,
    fitted,
    folded,
    laid_out,
    svg,
)
from speakerwright.plan.document import picture_size

from .reading import marks, overlaps, paths, tree, words


def sheet(*items, **more):
    return Drawing("key", "A sheet", 5, items, (120.0, 90.0), **more)


# ISO 5455: reductions 1:2, 1:5, 1:10, 1:20, 1:50 (from memory).
@pytest.mark.parametrize(
    ("extent_mm", "scale"),
    [((100, 150), 1), ((165.1, 10), 2), ((330, 400), 2), ((330, 401), 5), ((450, 926), 5),
     ((450, 1001), 10), ((1651, 10), 20), ((8000, 100), 50)],
)
def test_the_largest_standard_scale_that_fits(extent_mm, scale):
    assert choose_scale(extent_mm, (165, 200)) == scale


def test_a_thing_too_large_for_any_scale():
    with pytest.raises(ValueError, match="does not fit"):
        choose_scale((9000.0, 10.0), (165.0, 200.0))
    with pytest.raises(ValueError, match="does not fit"):
        fitted("k", "T", lambda scale: [Line((0, 0), (300, 0))], (165.0, 200.0))


def test_the_picture_has_its_own_size_in_millimetres():
    text = svg(sheet(Line((1, 40), (2, 50))))
    assert picture_size(text) == (120.0, 90.0)
    assert tree(text).get("viewBox") == "0 0 120 90"
    assert "href" not in text
    assert "url(" not in text


def test_y_runs_upwards_and_numbers_are_rounded_to_a_micrometre():
    (line,) = marks(svg(sheet(Line((1.00049, 40), (2.0006, 50)))), "outline")
    assert [line.get(k) for k in ("x1", "y1", "x2", "y2")] == ["1", "50", "2.001", "40"]


# ISO 128: outlines twice as wide as thin lines (from memory); the other widths are our own.
def test_lines_are_as_wide_as_they_mean():
    widths = {"outline": "0.5", "thin": "0.25", "hidden": "0.25", "centre": "0.18",
              "dimension": "0.18", "hatch": "0.13"}
    assert set(KINDS) == set(widths)
    for kind, width in widths.items():
        item = (Hatch(box(10, 40, 30, 60)) if kind == "hatch"
                else Path(np.array([(1, 40), (9, 40)]), kind))
        group = next(g for g in tree(svg(sheet(item))).iter() if g.get("class") == kind)
        assert group.get("stroke-width") == width
        assert (group.get("stroke-dasharray") is not None) == (kind in ("hidden", "centre"))


def test_small_letters_are_refused():
    with pytest.raises(ValueError, match="too small"):
        Text((0, 0), "small", height_mm=2.49)


def test_a_capital_is_two_and_a_half_millimetres_high():
    found = words(svg(sheet(Text((3, 60), "H"))))
    assert found
    assert all(high == pytest.approx(2.5, abs=0.001) for _, _, high, _ in found)


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize("turned", [False, True])
def test_a_text_is_as_wide_as_its_font_file_says(anchor, turned):
    item = Text((60, 45), "dado for brace: 18.2", anchor=anchor, turned=turned)
    (seen,) = [box for text, box, _, _ in words(svg(sheet(item))) if text == item.text]
    left, low, right, top = item.box()
    ours = (left, 90 - top, right, 90 - low)
    slack = [0.1, 0.35, 0.8, 0.35] if turned else [0.35, 0.1, 0.35, 0.8]  # kerning; descenders
    assert (np.abs(np.array(ours) - seen) < slack).all()


def test_a_text_out_of_the_picture_is_refused():
    with pytest.raises(ValueError, match="does not fit in the drawing"):
        svg(sheet(Text((110, 60), "far out")))


def test_markup_stays_text():
    text = svg(sheet(Text((3, 60), '<b>&"\x00'), note="<i>"))
    assert [w for w, *_ in words(text) if "<" in w] == ['<b>&"', "<i>"]


@pytest.mark.parametrize(("system", "unit"), [("metric", "millimetres"), ("inch", "inches")])
def test_the_caption_says_scale_and_unit(system, unit):
    seen = [word for word, *_ in words(svg(sheet(system=system)))]
    assert seen == ["A sheet", f"Scale 1:5, dimensions in {unit}"]
    assert "Not to scale" in svg(Drawing("k", "T", 0, (), (120.0, 40.0)))


def test_the_projection_sign_is_first_angle():
    """The cone's small end is at its left, its view from the left (two rings) at its right."""
    text = svg(sheet())
    thin = marks(text, "thin")
    (cone,) = paths(text, "thin")
    rims = [float(n.get("cx")) for n in thin if n.get("r")]
    heights = {x: np.ptp(cone[cone[:, 0] == x, 1]) for x in np.unique(cone[:, 0])}
    small, large = sorted(heights)
    assert heights[small] < heights[large]
    assert len(rims) == 2
    assert min(rims) > large
    assert not marks(svg(sheet(projected=False)), "thin")


def test_hatching_covers_a_region_with_a_hole_evenly():
    """Length of strokes times their distance is the area, and no stroke runs into the hole."""
    region = box(0, 0, 40, 30).difference(Spot(20, 15).buffer(8, quad_segs=64))
    for angle in (45.0, 135.0, 30.0):
        lines = Hatch(region, angle, 0.5).lines()
        total = sum(np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in lines)
        assert total * 0.5 == pytest.approx(region.area, rel=0.005)
        for a, b in lines:
            middle = Spot((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            assert region.covers(middle)
            slope = np.degrees(np.arctan2(b[1] - a[1], b[0] - a[0])) % 180.0
            assert slope == pytest.approx(angle, abs=1e-6)
    assert lines == Hatch(region, 30.0, 0.5).lines()


def test_voids_are_white_by_the_even_odd_rule():
    region = box(0, 0, 40, 30).difference(box(10, 10, 20, 20))
    text = svg(sheet(region_area(region, "#ffffff", "outline")))
    (node,) = marks(text, "outline")
    assert node.get("d").count("Z") == 2
    assert 'fill-rule="evenodd"' in text


def test_everything_moves_together():
    items = [Line((0, 0), (5, 5)), Path(np.array([(1, 1), (2, 2)])), Circle((3, 3), 2),
             Arc((3, 3), 2, 0, 90), Text((1, 1), "word"), Hatch(box(0, 0, 3, 3)),
             region_area(box(0, 0, 4, 4)), Balloon((9, 9), "3", (20, 9)), CentreMark((4, 4), 3),
             Leader(((0, 0), (1, 0), (2, 2))), Dimension((0, 0), (30, 0), 8, "30")]
    before, after = extent(items), extent(moved(items, 10.0, 20.0))
    assert np.subtract(after, before) == pytest.approx([10, 20, 10, 20], abs=1e-9)
    again = svg(sheet(*moved(items, 40.0, 40.0)))
    assert again == svg(sheet(*moved(moved(items, 15.0, 10.0), 25.0, 30.0)))
    with pytest.raises(ValueError, match="nothing"):
        extent([])


def test_a_quarter_arc_goes_anticlockwise():
    text = svg(sheet(Arc((50, 50), 10, 0, 90), Arc((50, 50), 10, 0, 270)))
    quarter, rest = [n.get("d") for n in marks(text, "outline")]
    assert quarter == "M60 40A10 10 0 0 0 50 30"
    assert rest == "M60 40A10 10 0 1 0 50 50"


def test_long_captions_are_folded_inside_the_width():
    note = "word " * 60 + "x" * 200
    drawing = laid_out("k", "Title " * 30, 2, [Line((0, 0), (50, 50))], (0, 0, 50, 50),
                       width_mm=100.0, note=note)
    text = svg(drawing)
    assert all(seen[0] >= -0.01 and seen[2] <= 100.0 for _, seen, _, _ in words(text))
    assert not overlaps(text)
    assert "".join(folded(note, 99.0)).replace(" ", "") == note.replace(" ", "")
    assert drawing.size_mm[1] == pytest.approx(52.0 + caption_mm("Title " * 30, note, 100.0))


def test_an_unknown_mark_and_a_lost_number_are_refused():
    with pytest.raises(TypeError, match="no mark"):
        svg(sheet(type("Odd", (), {"kind": "thin"})()))
    with pytest.raises(ValueError, match="not finite"):
        svg(sheet(Line((0, 0), (float("nan"), 0))))


def test_dimension_text_stands_above_its_line_or_to_its_left():
    level = Dimension((10, 30), (50, 30), 40, "200")
    upright = Dimension((60, 40), (60, 80), 70, "200", True)
    (_, low), (_, left) = ((text, b) for item in (level, upright) for text, b in boxes([item]))
    assert low[1] + 0.76 == pytest.approx(41.0, abs=0.01)
    assert (low[0] + low[2]) / 2 == pytest.approx(30.0)
    assert left[2] - 0.76 == pytest.approx(69.0, abs=0.01)
    assert (left[1] + left[3]) / 2 == pytest.approx(60.0)


def test_a_number_is_not_parted_from_its_fraction():
    lines = folded("corners R 1 3/16 and a long word 2 by 4 5/8 deep", 24.0)
    assert len(lines) > 2
    assert any("1 3/16" in line for line in lines)
    assert any("4 5/8" in line for line in lines)
    assert " ".join(lines) == "corners R 1 3/16 and a long word 2 by 4 5/8 deep"

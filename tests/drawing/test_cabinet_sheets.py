"""The general drawings of a sample cabinet, measured on paper."""

from __future__ import annotations

import numpy as np
import pytest

from speakerwright.drawing.cabinet_sheets import (
    front_view,
    general_views,
    section_view,
    side_view,
)
from speakerwright.drawing.sheets import svg
from speakerwright.drawing.views import section

from .reading import (
    DEEP,
    HIGH,
    WIDE,
    cabinet,
    circles,
    marks,
    overlap,
    overlaps,
    paths,
    rings,
    words,
)


@pytest.fixture(scope="module")
def sheets():
    panels, bodies = cabinet()
    made = [*general_views(panels, bodies), section_view(panels, bodies),
            side_view(panels, bodies)]
    return {drawing.key: drawing for drawing in made}


def size(points):
    every = np.vstack(points)
    return np.ptp(every[:, 0]), np.ptp(every[:, 1])


def test_which_drawings_there_are(sheets):
    assert list(sheets) == ["front_view", "section_and_side", "pictorial_view", "exploded_view",
                            "section_view", "side_view"]
    assert all(d.scale in (1, 2, 5, 10, 20) for d in sheets.values())
    assert all(d.size_mm[0] == 165.0 and d.size_mm[1] <= 200.0 for d in sheets.values())


@pytest.mark.parametrize(("key", "wide"), [("front_view", WIDE), ("side_view", DEEP)])
def test_views_are_true_to_scale(sheets, key, wide):
    drawing = sheets[key]
    width, height = size(paths(svg(drawing), "outline"))
    assert (width * drawing.scale, height * drawing.scale) == pytest.approx((wide, HIGH), abs=0.02)


def test_the_isometric_view_is_true_along_its_axes(sheets):
    """Height in the picture: the cabinet's own, and half its width and its depth at 30 degrees."""
    drawing = sheets["pictorial_view"]
    _, height = size(paths(svg(drawing), "outline"))
    assert height * drawing.scale == pytest.approx(HIGH + (WIDE + DEEP) / 2.0, abs=0.03)


def test_section_and_side_stand_beside_each_other_at_one_scale(sheets):
    both, cut, side = (sheets[key] for key in ("section_and_side", "section_view", "side_view"))
    assert both.scale == cut.scale
    assert len(marks(svg(both), "hidden")) == len(marks(svg(side), "hidden"))
    said = [word for word, *_ in words(svg(both))]
    for word, *_ in words(svg(cut))[:-4]:
        assert word in said


def test_they_stand_by_themselves_where_both_do_not_fit():
    panels, bodies = cabinet()
    keys = [d.key for d in general_views(panels, bodies, field_mm=(90.0, 200.0), explode=False)]
    assert keys == ["front_view", "section_view", "side_view", "pictorial_view"]


def test_front_dimensions_are_from_the_bottom_and_the_centre_line(sheets):
    said = [word for word, *_ in words(svg(sheets["front_view"]))]
    for text in ("0", "75", "300", "640", "140", "150", "450", "926"):
        assert text in said
    everything = " ".join(said).replace("\u00a0", " ")
    for note in ("low driver, cut-out Ø 282", "2 × port, cut-out Ø 106",
                 "horn, cut-out 304 × 224"):
        assert note in everything


def test_cut_outs_behind_flanges_are_dashed_at_their_true_size(sheets):
    found = sorted(r * 20 for _, _, r in circles(svg(sheets["front_view"]), "hidden"))
    assert found == pytest.approx([106.0, 106.0, 282.0], abs=0.02)
    panels, _ = cabinet()
    assert circles(svg(front_view(panels)), "hidden") == []


def test_the_section_says_the_depths_and_heights(sheets):
    said = [word for word, *_ in words(svg(sheets["section_view"]))]
    for text in ("18", "264", "300", "470", "488", "908", "926"):
        assert text in said
    assert said.count("18") == 3  # baffle, back, and the top of the bottom


def test_cut_faces_on_paper_have_the_area_of_the_wood(sheets):
    drawing = sheets["section_view"]
    faces = [node for node in marks(svg(drawing), "outline") if node.get("d").count("Z")]
    total = 0.0
    for node in faces:
        for ring in rings(node):
            x, y = ring.T
            total += abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0
    panels, bodies = cabinet()
    cuts = section([*panels, *bodies], "x", 0.0).cuts
    assert total * drawing.scale**2 == pytest.approx(sum(c.region.area for c in cuts), rel=1e-3)
    assert marks(svg(drawing), "hatch")


def test_a_section_beside_the_centre_line_says_where(sheets):
    panels, bodies = cabinet()
    said = " ".join(w for w, *_ in words(svg(section_view(panels, bodies, -150.0))))
    assert "Cut 150 to the left of the centre line" in said


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_no_texts_overlap_and_none_is_small(system):
    panels, bodies = cabinet()
    for drawing in general_views(panels, bodies, system=system):
        text = svg(drawing)
        assert overlaps(text) == []
        assert min(high for _, _, high, _ in words(text)) >= 2.499


def test_dimension_texts_stand_outside_the_front(sheets):
    text = svg(sheets["front_view"])
    every = np.vstack(paths(text, "outline"))
    part = (*(every.min(axis=0) + 0.1), *(every.max(axis=0) - 0.1))
    assert [word for word, b, _, _ in words(text) if overlap(b, part)] == []


def test_every_part_is_numbered_or_named_as_unseen(sheets):
    panels, bodies = cabinet()
    rims = [r for _, _, r in circles(svg(sheets["pictorial_view"]), "thin")]
    said = " ".join(w for w, *_ in words(svg(sheets["pictorial_view"])))
    names = said.split("along its three axes. ")[1]
    shown, unseen = names.split("Not seen here: ")
    for number, part in enumerate((*panels, *bodies), start=1):
        assert f"{number} {part.name}" in shown + unseen
    assert "brace" in unseen
    assert len(rims) == shown.count(";") + 1
    apart = " ".join(w for w, *_ in words(svg(sheets["exploded_view"])))
    assert "7 brace" in apart
    assert "Not seen" not in apart


def test_numbers_of_a_parts_list_are_used():
    panels, bodies = cabinet()
    drawings = general_views(panels, bodies, numbers={"baffle": "A1", "top": "A5"}, explode=False)
    assert len(drawings) == 3
    said = " ".join(w for w, *_ in words(svg(drawings[-1])))
    assert "A1 baffle; A5 top." in said


def test_the_same_bytes_twice(sheets):
    panels, bodies = cabinet()
    for drawing in general_views(panels, bodies):
        assert svg(drawing) == svg(sheets[drawing.key])

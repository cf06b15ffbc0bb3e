"""The sheet of a panel: can it be cut from this sheet alone?"""

from __future__ import annotations

import itertools
import math
import random
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from shapely import Polygon

from speakerwright.drawing.panel_features import corner_radius, edge_places, seen_face
from speakerwright.drawing.panel_views import panel_sheet
from speakerwright.drawing.pocket_details import profile
from speakerwright.drawing.sheets import svg
from speakerwright.solids.panels import Panel, Placement, drill, hole, pocket
from speakerwright.solids.shapes import circle, rectangle, rounded_rectangle

from .reading import SLOT, baffle, cabinet, circles, overlap, overlaps, paths, words

HERE = Placement((0, 0, 0), (1, 0, 0), (0, 0, 1))


def tapered():
    """Worked on both faces, with a slanting edge, a row, a bolt circle and a recess."""
    features = [drill(20 + 60 * k, 9, 3, 12, "inside", "pilot") for k in range(8)]
    features += [pocket(circle(200, 300, 330), 8, "outside", "recess", circle=(200, 300, 330)),
                 hole(200, 300, 290, "mid driver"),
                 pocket(rectangle(100, 600, 118.2, 760), 6, "inside", "dado"),
                 hole(333, 700, 12, "cable")]
    features += [drill(200 + math.cos(k * math.pi / 3) * 155, 300 + math.sin(k * math.pi / 3) * 155,
                       10, 12, "inside", "T-nut") for k in range(6)]
    return Panel("tapered side", Polygon([(0, 0), (500, 0), (420, 800), (0, 800)]), 21.5, HERE,
                 tuple(features), grain="v")


def swarm(count):
    chance = random.Random(3)
    return Panel("swarm", rectangle(0, 0, 400, 300), 12, HERE,
                 tuple(hole(chance.uniform(10, 390), chance.uniform(10, 290), 3 + k % 4, "h")
                       for k in range(count)))


PANELS = {panel.name: panel for panel in (*cabinet()[0], tapered(), swarm(12), swarm(60))}


def part_of(text):
    """Lower left corner and size of the panel on its sheet, mm, y downwards."""
    rings = [ring for ring in paths(text, "outline") if len(ring) >= 4]
    best = max(rings, key=lambda r: np.ptp(r[:, 0]) * np.ptp(r[:, 1]))
    return best[:, 0].min(), best[:, 1].max(), np.ptp(best[:, 0]), np.ptp(best[:, 1])


def test_outline_holes_and_bolt_circle_are_true_to_scale():
    drawing = panel_sheet(baffle())
    text = svg(drawing)
    left, low, wide, high = part_of(text)
    assert drawing.scale == 10
    assert (wide * 10, high * 10) == pytest.approx((450.0, 926.0), abs=0.02)
    through = {(round((x - left) * 10, 1), round((low - y) * 10, 1), round(r * 20, 1))
               for x, y, r in circles(text, "outline")}
    assert (225.0, 300.0, 282.0) in through
    (pitch,) = circles(text, "centre")
    assert pitch[2] * 20 == pytest.approx(298.0, abs=0.03)
    bolts = [(x, y) for x, y, r in circles(text, "thin") if abs(r * 20 - 8.5) < 0.03]
    assert len(bolts) == 8
    for x, y in bolts:
        assert math.dist((x, y), pitch[:2]) == pytest.approx(14.9, abs=0.003)


def test_the_inside_is_seen_mirrored():
    """The port at +140 from outside is 85 from the left as seen from inside, its fellow 375."""
    text = svg(panel_sheet(baffle()))
    left, _, _, _ = part_of(text)
    ports = sorted(round((x - left) * 10, 1) for x, y, r in circles(text, "outline")
                   if abs(r * 20 - 106) < 0.05)
    assert ports == pytest.approx([85.0, 375.0], abs=0.05)
    assert "seen from the inside" in " ".join(word for word, *_ in words(text))
    outside = seen_face(baffle(), "outside")
    assert {round(s.circle[0]) for s in outside.features if s.circle and s.circle[2] == 106} == {
        75, 365}


@pytest.mark.parametrize("name", ["baffle", "tapered side", "brace"])
def test_every_ordinate_says_how_far_its_line_is_from_the_datum(name):
    drawing = panel_sheet(PANELS[name])
    text = svg(drawing)
    left, low, _, _ = part_of(text)
    ends = [(ring[0], ring[-1]) for ring in paths(text, "dimension") if len(ring) == 4]
    checked = 0
    for said, (x0, y0, x1, y1), _, turned in words(text):
        for start, end in ends:
            at_row = (abs(end[1] - y0 + 0.7) < 0.02 and abs(end[0] - (x0 + x1) / 2) < 0.02) if (
                turned) else (abs(end[0] - x1 - 0.7) < 0.02 and abs(end[1] - (y0 + y1) / 2) < 0.02)
            if at_row:
                away = (start[0] - left) if turned else (low - start[1])
                assert away * drawing.scale == pytest.approx(float(said), abs=0.06 + 0.001
                                                             * drawing.scale)
                checked += 1
    assert checked == len(ends)
    assert checked >= 10


WANTED = {
    "baffle": {"bolt: 8 × Ø 8.5 through on Ø 298, first at 22.5°", "low driver: Ø 282 through",
               "port: 2 × Ø 106 through", "horn: 304 × 224, through",
               "2 × rabbet for side: 18.2 wide, 6 deep", "dado: 18.2 wide, 6 deep"},
    "back": {"terminal: 120 × 80, through, corners R 10"},
    "tapered side": {"T-nut: 6 × Ø 10, 12 deep on Ø 310, first at 0°",
                     "pilot: 8 × Ø 3, 12 deep, pitch 60", "dado: 18.2 × 160, 6 deep",
                     "recess: Ø 330, 8 deep from the other face", "cable: Ø 12 through"},
    "brace": {"2 × window: 130 × 130, through, corners R 20"},
}


@pytest.mark.parametrize("name", sorted(WANTED))
def test_what_is_said_of_every_hole_and_pocket(name):
    said = " ".join(word.replace("\u00a0", " ") for word, *_ in words(svg(panel_sheet(
        PANELS[name]))))
    for note in WANTED[name]:
        assert note in said


def test_material_thickness_face_and_grain_are_said():
    said = " ".join(word for word, *_ in words(svg(panel_sheet(PANELS["tapered side"]))))
    assert "21.5 mm birch plywood, seen from the inside" in said
    assert "grain, up the drawing" in said
    assert "Dashed: cut from the outside" in said
    assert "23/32 in birch plywood" in " ".join(
        word for word, *_ in words(svg(panel_sheet(baffle(), system="inch"))))


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("name", sorted(PANELS))
def test_every_text_can_be_read(name, system):
    """High enough, inside the picture, on no other text and not on the part."""
    drawing = panel_sheet(PANELS[name], system=system)
    text = svg(drawing)
    seen = words(text)
    assert min(high for _, _, high, _ in seen) >= 2.499
    assert overlaps(text) == []
    left, low, wide, high = part_of(text)
    part = (left + 0.1, low - high + 0.1, left + wide - 0.1, low - 0.1)
    assert [word for word, b, _, _ in seen if overlap(b, part)] == []
    assert drawing.size_mm[0] == 165.0
    assert drawing.size_mm[1] <= 200.0
    assert ("mm" in " ".join(word for word, *_ in seen).split()) == (system == "metric")


def test_holes_without_room_for_ordinates_are_listed_by_size():
    said = " ".join(word.replace("\u00a0", " ") for word, *_ in words(svg(panel_sheet(swarm(60)))))
    listed = said.split("across / up from the datum: ")[1]
    assert listed.count(" / ") >= 30
    for size in (3, 4, 5):
        assert f"Ø {size} at" in listed


def test_a_small_field_takes_a_smaller_scale():
    assert panel_sheet(PANELS["top"], (165.0, 200.0)).scale == 5
    assert panel_sheet(PANELS["top"], (100.0, 120.0)).scale == 10
    with pytest.raises(ValueError, match="does not fit"):
        panel_sheet(PANELS["baffle"], (60.0, 40.0))


def test_far_pockets_are_dashed_and_near_ones_tinted():
    text = svg(panel_sheet(tapered()))
    (recess,) = circles(text, "hidden")
    assert recess[2] * 20 == pytest.approx(330.0, abs=0.03)
    assert 'fill="#e4e7ea"' in text


def test_the_section_through_a_pocket_has_its_depth_and_width():
    panel = tapered()
    face = seen_face(panel)
    (dado,) = [seen for seen in face.features if seen.label == "dado"]
    wood = profile(21.5, face, dado)
    assert wood.area == pytest.approx((24.0 + SLOT) * 21.5 - SLOT * 6.0)
    assert wood.bounds[3] == 0.0
    edge = seen_face(baffle())
    side = next(seen for seen in edge.features if seen.label == "rabbet for side")
    assert profile(18.0, edge, side).area == pytest.approx((12.0 + SLOT) * 18.0 - SLOT * 6.0)


def test_corner_radii_and_the_places_of_odd_shapes():
    assert corner_radius(rounded_rectangle(0, 0, 100, 60, 8)) == pytest.approx(8.0, abs=0.03)
    assert corner_radius(rectangle(0, 0, 100, 60)) == 0.0
    assert corner_radius(circle(0, 0, 50)) == 0.0
    xs, ys = edge_places(rounded_rectangle(10, 20, 110, 80, 8))
    assert (xs, ys) == (pytest.approx([10, 110]), pytest.approx([20, 80]))
    relieved = rectangle(0, 0, 100, 18).union(circle(0, 0, 6)).union(circle(100, 18, 6))
    xs, ys = edge_places(relieved)
    assert (xs, ys) == (pytest.approx([0, 100]), pytest.approx([0, 18]))
    assert edge_places(circle(5, 5, 10, 96))[0] == pytest.approx([0, 10], abs=0.002)


def test_equal_panels_give_equal_bytes_in_another_process():
    code = ("from drawing.reading import baffle\n"
            "from speakerwright.drawing.panel_views import panel_sheet\n"
            "from speakerwright.drawing.sheets import svg\n"
            "import sys; sys.stdout.buffer.write(svg(panel_sheet(baffle())).encode())")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True,
                          cwd=Path(__file__).parents[1], env={"PYTHONHASHSEED": "7"})
    assert done.stdout.decode() == svg(panel_sheet(baffle()))


def test_leaders_do_not_share_a_landing():
    text = svg(panel_sheet(baffle()))
    starts = [ring[0] for ring in paths(text, "dimension") if len(ring) == 3]
    assert len(starts) >= 6
    gaps = [abs(a[1] - b[1]) for a, b in itertools.combinations(starts, 2)]
    assert min(gaps) > 4.0

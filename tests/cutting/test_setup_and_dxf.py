"""Set-ups and their drawings: right face, right side, exact areas, the same bytes always."""

from __future__ import annotations

import hashlib
import io
import math
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from shapely import Polygon

from cutting.boards import SHEET, baffle, cabinet, side
from speakerwright.cutting.dxf import panel_dxf, sheet_dxf
from speakerwright.cutting.layout import Part, layout
from speakerwright.cutting.setup import layer, number, onto_sheet, set_ups
from speakerwright.cutting.sheet import Placed, Stock
from speakerwright.solids.panels import Panel, Placement, cutout, drill, hole, pocket
from speakerwright.solids.shapes import circle, rectangle

HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def read(made: bytes) -> Any:
    doc = ezdxf.read(io.StringIO(made.decode("cp1252")))  # type: ignore[attr-defined]
    assert not doc.audit().has_errors
    return doc


def area(entity: Any) -> float:
    """Area of a circle or of a closed polyline, from the file's own numbers."""
    if entity.dxftype() == "CIRCLE":
        return math.pi * entity.dxf.radius**2
    assert entity.closed
    return float(Polygon([(x, y) for x, y, *_ in entity.get_points()]).area)


def areas(doc: Any) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {}
    for entity in doc.modelspace():
        if entity.dxftype() != "TEXT":
            found.setdefault(entity.dxf.layer, []).append(area(entity))
    return {name: sorted(values) for name, values in found.items()}


def texts(doc: Any) -> str:
    return "\n".join(entity.dxf.text for entity in doc.modelspace().query("TEXT"))


def test_layer_names() -> None:
    assert [number(v) for v in (18.0, 6.35, 3.175, 0.5)] == ["18.0", "6.35", "3.175", "0.5"]
    assert layer(hole(0, 0, 8.5, "bolt")) == "DRILL_8.5_THROUGH"
    assert layer(hole(0, 0, 13.0, "bolt")) == "DRILL_13.0_THROUGH"
    assert layer(hole(0, 0, 13.1, "tube")) == "THROUGH"
    assert layer(cutout(rectangle(0, 0, 5, 5), "window")) == "THROUGH"
    assert layer(pocket(rectangle(0, 0, 5, 5), 6.0, "inside", "dado")) == "POCKET_6.0_INSIDE"
    assert layer(drill(0, 0, 5.0, 12.0, "outside", "pilot")) == "DRILL_5.0_12.0_OUTSIDE"


def test_the_baffle_reads_back() -> None:
    first, second = set_ups(baffle())
    assert (first.face, first.second, second.face, second.second) == (
        "inside", False, "outside", True)
    doc = read(panel_dxf(first))
    assert doc.header["$INSUNITS"] == 4
    assert doc.header["$MEASUREMENT"] == 1
    found = areas(doc)
    horn = next(f for f in baffle().features if f.label == "horn").shape.area
    wanted = {
        "OUTLINE_18.0": [450.0 * 1000.0],
        "THROUGH": [math.pi * 53.0**2] * 2 + [horn, math.pi * 141.0**2],
        "DRILL_8.5_THROUGH": [math.pi * 4.25**2] * 4,
        "POCKET_6.0_INSIDE": [414.0 * 18.0],
        "POCKET_9.0_INSIDE": [18.0 * 1000.0] * 2,
    }
    assert set(found) == set(wanted)
    for name, values in wanted.items():
        assert found[name] == pytest.approx(values, rel=1e-9), name
    assert horn == pytest.approx(260.0 * 210.0 - (4.0 - math.pi) * 12.0**2, rel=1e-9)
    kinds = Counter(e.dxftype() for e in doc.modelspace().query("*[layer=='THROUGH']"))
    assert kinds == {"CIRCLE": 3, "LWPOLYLINE": 1}
    assert areas(read(panel_dxf(second))) == {
        "REFERENCE": [450000.0], "POCKET_5.0_OUTSIDE": [pytest.approx(math.pi * 158.0**2)]}


def test_every_panel_reads_back_with_the_areas_of_its_features() -> None:
    for panel in cabinet():
        for one in set_ups(panel):
            found = areas(read(panel_dxf(one)))
            assert sum(map(len, found.values())) == len(one.operations)
            for name, values in found.items():
                mine = sorted(op.shape.area for op in one.operations if op.layer == name)
                assert values == pytest.approx(mine, rel=1e-9)


def test_a_view_from_inside_exchanges_left_and_right() -> None:
    # seen from outside the pilot holes stand at u = 242 of 282; seen from inside at 40
    (one,) = set_ups(side("side left"))
    assert one.face == "inside"
    doc = read(panel_dxf(one))
    centres = sorted((e.dxf.center.x, e.dxf.center.y) for e in doc.modelspace().query("CIRCLE"))
    assert [x for x, _ in centres] == pytest.approx([40.0] * 3)
    assert [y for _, y in centres] == pytest.approx([100.0, 300.0, 500.0])
    (other,) = set_ups(side("side right"))
    centres = sorted((e.dxf.center.x, e.dxf.center.y)
                     for e in read(panel_dxf(other)).modelspace().query("CIRCLE"))
    assert [x for x, _ in centres] == pytest.approx([242.0] * 3)
    assert "left and right exchanged" in texts(doc)
    assert "side left" in texts(doc)
    assert "Datum 0, 0" in texts(doc)


def test_both_faces_agree_about_one_place_in_the_wood() -> None:
    """A blind hole from each face on one axis: the two drawings meet when the board is turned."""
    board = Panel("board", rectangle(10.0, 20.0, 310.0, 120.0), SHEET, HERE,
                  (drill(60.0, 45.0, 6.0, 5.0, "inside", "a"),
                   drill(60.0, 45.0, 8.0, 5.0, "outside", "b"),
                   drill(90.0, 45.0, 6.0, 5.0, "inside", "c")))
    first, second = set_ups(board)
    a = next(op for op in first.operations if op.label == "a").circle
    b = next(op for op in second.operations if op.label == "b").circle
    assert a is not None
    assert b is not None
    assert a[:2] == pytest.approx((250.0, 25.0))
    assert b[:2] == pytest.approx((50.0, 25.0))
    assert a[0] + b[0] == pytest.approx(300.0)


def test_which_face_is_up() -> None:
    plain = Panel("plain", rectangle(0, 0, 100, 50), SHEET, HERE, (hole(20, 20, 9, "bolt"),))
    assert [(s.face, s.second) for s in set_ups(plain)] == [("outside", False)]
    two = plain.with_feature(*(drill(x, 30, 4, 5, "outside", "peg") for x in (10.0, 50.0)),
                             drill(70, 30, 4, 5, "inside", "peg"))
    assert [(s.face, s.second) for s in set_ups(two)] == [("outside", False), ("inside", True)]
    # what goes right through is cut once
    assert sum(op.kind in ("through", "outline") or op.label == "bolt"
               for s in set_ups(two) for op in s.operations) == 2


def test_a_hole_that_the_edge_cuts_is_no_circle_and_an_outlines_hole_is_an_opening() -> None:
    cut = Panel("cut", rectangle(0, 0, 100, 50), SHEET, HERE, (hole(0, 25, 20, "notch"),))
    doc = read(panel_dxf(set_ups(cut)[0]))
    assert len(doc.modelspace().query("CIRCLE")) == 0
    assert areas(doc)["THROUGH"] == pytest.approx([math.pi * 50.0], rel=1e-6)
    ring = Polygon(rectangle(0, 0, 100, 50).exterior, [circle(50, 25, 20).exterior.coords])
    assert areas(read(panel_dxf(set_ups(Panel("ring", ring, SHEET, HERE))[0]))) == {
        "OUTLINE_18.0": [5000.0], "THROUGH": [pytest.approx(math.pi * 100.0)]}


def test_words_hold_whatever_a_name_holds() -> None:
    odd = Panel("Säule 100%%d ^J \u4e2d", rectangle(0, 0, 100, 50), SHEET, HERE)
    doc = read(panel_dxf(set_ups(odd)[0]))
    assert "Säule 100% %d ^ J" in texts(doc)


# --- on the sheet ---------------------------------------------------------------------------

TRIANGLE = Polygon([(5.0, 7.0), (45.0, 7.0), (5.0, 37.0)])  # sides 40, 50, 30 anticlockwise


def sides(points: list[tuple[float, float]]) -> list[float]:
    """Side lengths anticlockwise, from the shortest."""
    if not Polygon(points).exterior.is_ccw:
        points = points[::-1]
    found = [round(math.dist(p, q), 6) for p, q in zip(points, points[1:] + points[:1],
                                                       strict=True)]
    k = found.index(min(found))
    return found[k:] + found[:k]


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("face", ["outside", "inside"])
def test_a_part_is_turned_and_never_mirrored(turned: bool, face: str) -> None:
    wedge = Panel("wedge", TRIANGLE, SHEET, HERE, (drill(10.0, 12.0, 3.0, 4.0, face, "peg"),))
    (one,) = set_ups(wedge)
    size = (30.0, 40.0) if turned else (40.0, 30.0)
    placed = Placed("wedge", 100.0, 200.0, *size, turned)
    outline, peg = onto_sheet(one, placed)
    # seen from outside 30, 40, 50 run anticlockwise, seen from inside clockwise
    wanted = [30.0, 40.0, 50.0] if face == "outside" else [30.0, 50.0, 40.0]
    assert sides(outline.rings[0]) == wanted
    assert outline.shape.bounds == pytest.approx((100.0, 200.0, 100.0 + size[0], 200.0 + size[1]))
    assert peg.circle is not None
    # the peg stands 5 mm from both short sides, wherever they lie now
    x = {(False, "outside"): 105.0, (False, "inside"): 135.0,
         (True, "outside"): 125.0, (True, "inside"): 125.0}[turned, face]
    y = {(False, "outside"): 205.0, (False, "inside"): 205.0,
         (True, "outside"): 205.0, (True, "inside"): 235.0}[turned, face]
    assert peg.circle == pytest.approx((x, y, 3.0))


def test_a_sheet_reads_back() -> None:
    panels = cabinet()
    ups = {panel.name: set_ups(panel)[0] for panel in panels}
    parts = [Part(p.name, *p.bounding_size, upright=p.grain != "v", turned=p.grain != "u")
             for p in panels]
    (sheet,) = layout(parts, [Stock("s", 2440.0, 1220.0)], 3.2, 10.0).sheets
    doc = read(sheet_dxf(sheet, ups, "Sheet 1"))
    found = areas(doc)
    assert found["SHEET"] == [2440.0 * 1220.0]
    assert found["OUTLINE_18.0"] == pytest.approx(sorted(p.area for p in panels), rel=1e-9)
    for name in set(found) - {"SHEET"}:
        mine = sorted(op.shape.area for one in ups.values() for op in one.operations
                      if op.layer == name)
        assert found[name] == pytest.approx(mine, rel=1e-9)
    boxes = sorted(tuple(Polygon([(x, y) for x, y, *_ in e.get_points()]).bounds)
                   for e in doc.modelspace().query("*[layer=='OUTLINE_18.0']"))
    wanted = sorted((p.x, p.y, p.x + p.width, p.y + p.height) for p in sheet.placed)
    for box, want in zip(boxes, wanted, strict=True):
        assert box == pytest.approx(want, abs=1e-6)


SCRIPT = """
import hashlib, sys, time, datetime
real = time.time
time.time = lambda: real() + float(sys.argv[1])
from cutting.boards import cabinet
from speakerwright.cutting.files import files
from speakerwright.cutting.stage import work
from speakerwright.design.sections.cutting import Cutting
section = Cutting.model_validate({"sheets": [{"name": "Birch 18", "size": ["2440 mm", "1220 mm"]}]})
made = files(work(section, cabinet(), 0.018))
digest = hashlib.sha256()
for name in sorted(made):
    digest.update(name.encode() + made[name])
print(len(made), digest.hexdigest())
"""


def test_the_same_bytes_in_another_process(tmp_path: Path) -> None:
    def run(seed: str, shift: str, zone: str) -> str:
        return subprocess.run(
            [sys.executable, "-c", SCRIPT, shift], capture_output=True, text=True, check=True,
            cwd=tmp_path, env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone,
                               "PYTHONPATH": str(Path(__file__).parents[1])},
        ).stdout

    first = run("1", "0", "UTC")
    assert first.split()[0] == "18"
    assert first == run("2", "40000000", "Pacific/Auckland")


def test_the_librarys_options_are_as_before() -> None:
    options: Any = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    made = panel_dxf(set_ups(baffle())[0])
    assert options.write_fixed_meta_data_for_testing == before
    assert hashlib.sha256(made).digest() == hashlib.sha256(panel_dxf(set_ups(baffle())[0])).digest()

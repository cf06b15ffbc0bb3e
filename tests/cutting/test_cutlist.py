"""The cut list: identical boards grouped, mirror images kept apart, the longer side first."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from cutting.boards import SHEET, cabinet, side
from speakerwright.cutting.cutlist import csv_text, described, rows
from speakerwright.cutting.sameness import mirrored, same
from speakerwright.solids.panels import Panel, Placement, cutout, drill, hole, pocket
from speakerwright.solids.shapes import rectangle

HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def board(name: str, *features: Any, **others: Any) -> Panel:
    return Panel(name, rectangle(0.0, 0.0, 300.0, 200.0), SHEET, HERE, features, **others)


def test_the_cabinets_rows() -> None:
    found = {row.part: row for row in rows(cabinet())}
    assert [(row.part, row.count) for row in found.values()] == [
        ("baffle", 1), ("back", 1), ("side left", 1), ("side right", 1), ("top, bottom", 2),
        ("shelf", 1), ("brace 1, brace 2", 2), ("brace 3, brace 4", 2), ("network board", 1),
        ("gusset 1, gusset 2", 2)]
    assert found["side right"].mirror_of == "side left"
    assert found["side left"].mirror_of is None
    baffle = found["baffle"]
    assert (baffle.length, baffle.width, baffle.thickness) == (1000.0, 450.0, 18.0)
    assert "4 × bolt ⌀8.5 through" in baffle.notes()
    assert "2 × rebate 18 × 1000, 9 deep from the inside" in baffle.notes()
    assert "low driver ⌀11 3/32 through" in baffle.notes("inch")
    assert found["gusset 1, gusset 2"].notes() == "not a rectangle: see its drawing"
    assert sum(row.count for row in rows(cabinet(), copies=3)) == 3 * len(cabinet())


def test_a_pair_is_the_same_board_when_nothing_tells_it_apart() -> None:
    left, right = side("side left"), side("side right")
    assert mirrored(left, right)
    assert not same(left, right)
    # without the pilot holes the dado still tells top from bottom, and turning over its face
    bare = [replace(s, features=s.features[:1]) for s in (left, right)]
    assert same(*bare)
    # through holes look alike from both faces: turned over, the left one is the right one
    drilled = [replace(s, features=tuple(hole(f.circle[0], f.circle[1], 5.0, "bolt")
                                         for f in s.features if f.circle)) for s in (left, right)]
    assert same(*drilled)
    assert len(rows(drilled)) == 1


def test_what_makes_two_boards_different() -> None:
    one = board("a", hole(50.0, 40.0, 8.0, "bolt"))
    assert same(one, board("b", hole(250.0, 160.0, 8.0, "another name")))
    for other in (
        board("b", hole(50.0, 40.02, 8.0, "bolt")), board("b", hole(50.0, 40.0, 8.02, "bolt")),
        board("b", hole(100.0, 40.0, 8.0, "bolt")),
        board("b", drill(50.0, 40.0, 8.0, 9.0, "inside", "bolt")),
        board("b", hole(50.0, 40.0, 8.0, "bolt"), hole(90.0, 40.0, 8.0, "bolt")),
        board("b", hole(50.0, 40.0, 8.0, "bolt"), material="MDF"),
        board("b", hole(50.0, 40.0, 8.0, "bolt"), grain="u"),
        replace(one, thickness=18.02), replace(one, outline=rectangle(0, 0, 300.0, 200.05)),
    ):
        assert not same(one, other)
        assert not same(other, one)
    deep = board("a", pocket(rectangle(10, 10, 60, 40), 6.0, "inside", "x"))
    assert not same(deep, board("b", pocket(rectangle(10, 10, 60, 40), 6.05, "inside", "x")))
    # one pocket on the outside of one board, on the inside of the other: one board turned over
    turned = board("b", pocket(rectangle(240, 10, 290, 40), 6.0, "outside", "x"))
    assert same(deep, turned)
    assert not mirrored(deep, turned)


def test_grain_turns_with_the_board() -> None:
    along = board("a", grain="u")
    across = Panel("b", rectangle(0.0, 0.0, 200.0, 300.0), SHEET, HERE, grain="v")
    assert same(along, across)
    assert not same(along, Panel("c", rectangle(0.0, 0.0, 200.0, 300.0), SHEET, HERE, grain="u"))
    (row,) = rows([along, across])
    assert (row.length, row.width, row.count) == (300.0, 200.0, 2)
    (short,) = rows([board("d", grain="v")])
    assert (short.length, short.width) == (200.0, 300.0)  # the length lies along the grain
    (free,) = rows([Panel("e", rectangle(0.0, 0.0, 200.0, 300.0), SHEET, HERE)])
    assert (free.length, free.width) == (300.0, 200.0)


SHAPES = st.tuples(st.floats(5, 240), st.floats(5, 150), st.floats(6, 40), st.floats(6, 30))


@settings(max_examples=40, deadline=None)
@given(st.lists(SHAPES, max_size=3), st.integers(0, 3), st.booleans())
def test_turning_a_board_never_makes_it_another(
    shapes: list[tuple[float, float, float, float]], quarter: int, over: bool
) -> None:
    cuts = [Polygon([(x, y), (x + w, y), (x, y + h)]) for x, y, w, h in shapes]
    one = board("a", *(pocket(c, 5.0, "inside", "p") for c in cuts), cutout(
        rectangle(1, 1, 3, 2), "w"))

    def turn(shape: Polygon) -> Polygon:
        found = []
        for x, y in shape.exterior.coords[:-1]:
            x = -x if over else x
            for _ in range(quarter):
                x, y = -y, x
            found.append((x + 31.0, y - 17.0))
        return Polygon(found)

    face = "outside" if over else "inside"
    other = Panel("b", turn(one.outline), SHEET, HERE,
                  tuple(replace(f, shape=turn(f.shape), face=face if f.depth else f.face)
                        for f in one.features))
    assert same(one, other)
    assert same(other, one)


def test_words_for_a_feature() -> None:
    assert described(drill(0, 0, 5.0, 12.0, "inside", "pilot hole")) == (
        "pilot hole ⌀5, 12 deep from the inside")
    assert described(cutout(rectangle(0, 0, 120.5, 70), "plate")) == "plate 120.5 × 70 through"


def test_the_csv_reads_back() -> None:
    made = csv_text(rows([board("=sum(1)"), *cabinet()], copies=2))
    found = list(csv.DictReader(io.StringIO(made)))
    assert found[0]["part"] == "'=sum(1), network board"
    assert found[0]["count"] == "4"
    side_right = next(row for row in found if row["part"] == "side right")
    assert (side_right["length_mm"], side_right["width_mm"], side_right["thickness_mm"]) == (
        "1000.0", "282.0", "18.0")
    assert side_right["notes"].startswith("mirror image of side left; ")
    assert side_right["grain"] == "length"
    with pytest.raises(StopIteration):
        next(row for row in found if row["count"] == "0")

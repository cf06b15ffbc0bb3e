"""Bevelled panels on the cut list and in the files: the blank, the other face, the angle."""

from __future__ import annotations

import math

import pytest
from shapely import Polygon

from speakerwright.cutting.cutlist import rows
from speakerwright.cutting.sameness import mirrored, same
from speakerwright.cutting.setup import set_ups
from speakerwright.solids.panels import Panel, Placement

HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def board(name: str, *bevels: float) -> Panel:
    outline = Polygon([(0, 0), (300, 0), (300, 200), (0, 200)])
    return Panel(name, outline, 18.0, HERE, grain="u", bevels=bevels)


def test_a_mitre_is_cut_to_its_outside_and_noted():
    mitred = board("top", -1.0, 0.0, -1.0, 0.0)
    (row,) = rows([mitred])
    assert (row.length, row.width) == (300.0, 200.0)
    assert "2 × 45.0°, outside larger" in row.notes()
    assert "not a rectangle" not in row.notes()


def test_an_edge_that_leans_out_makes_the_blank_larger():
    tilt = math.tan(math.radians(10.0))
    leaning = board("side", 0.0, tilt, 0.0, 0.0)
    (row,) = rows([leaning])
    assert row.length == pytest.approx(300.0 + 18.0 * tilt)
    assert "10.0°, inside larger" in row.notes()
    (up,) = set_ups(leaning)
    assert up.width == pytest.approx(300.0 + 18.0 * tilt)
    (below,) = [o for o in up.operations if "face that is down" in o.label]
    assert below.kind == "reference"


def test_bevels_tell_boards_apart():
    plain, left, right = board("a"), board("b", 0, 0, 0, -0.5), board("c", 0, -0.5, 0, 0)
    assert not same(plain, left)
    assert same(left, board("d", 0, 0, 0, -0.5))
    assert same(left, right)  # turned half round on the table
    one, two = board("e", -0.3, -0.5, 0, 0), board("f", -0.3, 0, 0, -0.5)
    assert not same(one, two)
    assert mirrored(one, two)

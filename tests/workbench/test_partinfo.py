"""What is said of one part: against figures that follow from the file by hand."""

from __future__ import annotations

import pytest

from speakerwright import chain
from speakerwright.design.file import read_project
from speakerwright.workbench.partinfo import about, overlaps, volume_text

from .pages import EXAMPLES


@pytest.fixture(scope="module")
def hall():
    """Harbour-hall with its woofer moved up against the divider."""
    design = read_project(EXAMPLES / "harbour-hall").design.with_values(
        {"directivity.low.at.0.1": "520 mm"})
    return chain.work(design, chain.Memo(), last="cabinet").cabinet


def said(found, name, system="metric"):
    table = about(found, name, system)
    return {head: text.replace("\u202f", " ") for head, text in table.rows}


def test_a_panel_is_told_by_its_size_and_joints(hall):
    told = said(hall, "baffle")
    assert told["Size"] == "450.0 mm × 938.0 mm × 18.0 mm, birch plywood"
    assert "left side in baffle" in told["Joints"]
    assert "Edges" not in told
    assert said(hall, "baffle", "inch")["Size"].startswith("17 23/32 in × 36 15/16 in × 23/32 in")


def test_nearest_are_things_that_are_not_touched_with_their_distance(hall):
    """Ports stand 150 mm apart and are 106 mm wide; the bottom is 98 - 18 - 53 = 27 mm below."""
    near = said(hall, "port 1 of main")["Nearest"]
    assert near.startswith("bottom, 27.0 mm; port 2 of main, 44.0 mm")
    assert "baffle" not in near  # it stands in it
    assert "insert" not in said(hall, "Moorhoot 12")["Nearest"]


def test_what_collides_is_told_with_the_common_volume(hall):
    found = {frozenset(each.names): each for each in overlaps(hall)}
    both = found[frozenset(("Moorhoot 12", "divider"))]
    shared = sum(each.volume_mm3 for each in hall.collisions
                 if "divider" in (each.a, each.b) and any("Moorhoot 12" in name
                                                          for name in (each.a, each.b)))
    assert both.volume_mm3 == pytest.approx(shared)
    text = volume_text(shared, "metric").replace("\u202f", " ")
    assert f"divider, {text} of both" in said(hall, "Moorhoot 12")["Collides with"]
    assert both.text("metric").endswith(volume_text(shared, "metric"))
    assert "Collides with" not in said(hall, "port 1 of main")


@pytest.mark.parametrize(("cubic_mm", "metric", "inch"), [
    (5.0, "under 0.01 cm³", "under 0.01 in³"), (5095.0, "5.09 cm³", "0.311 in³"),
    (2.5e6, "2.50 L", "153 in³"),
])
def test_volumes_are_told_in_what_says_something(cubic_mm, metric, inch):
    assert volume_text(cubic_mm, "metric").replace("\u202f", " ") == metric
    assert volume_text(cubic_mm, "inch").replace("\u202f", " ") == inch


def test_a_bevelled_panel_tells_its_edges_and_an_unknown_name_nothing():
    design = read_project(EXAMPLES / "desk-pair").design
    found = chain.work(design, chain.Memo(), last="cabinet").cabinet
    assert said(found, "top")["Edges"] == "bevel 45° on the right and left edges, longer outside"
    assert about(found, "no such part", "metric") is None

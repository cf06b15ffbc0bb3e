"""Dimensions: figures as written, rows whose texts keep apart, the chain of depths."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.drawing.dimensions import (
    apart,
    chain,
    depth_chain,
    height_beside,
    length_text,
    notes_beside,
    ordinates,
)
from speakerwright.drawing.hole_groups import bolt_circles, rows
from speakerwright.drawing.marks import Leader, boxes
from speakerwright.drawing.sheets import svg

from .reading import overlap, overlaps, paths, words


# 1 in = 25.4 mm exactly (international inch); fractions worked by hand.
@pytest.mark.parametrize(
    ("value_mm", "system", "text"),
    [(926.0, "metric", "926"), (18.24, "metric", "18.2"), (0.04, "metric", "0"),
     (-0.01, "metric", "0"), (-20.0, "metric", "−20"), (926.0, "inch", "36 15/32"),
     (18.0, "inch", "23/32"), (25.4, "inch", "1"), (0.3, "inch", "0"), (0.4, "inch", "1/32"),
     (-12.7, "inch", "−1/2"), (304.8, "inch", "12")],
)
def test_a_length_as_written(value_mm, system, text):
    assert length_text(value_mm, system) == text


def test_an_unknown_system():
    with pytest.raises(ValueError, match="metric or inch"):
        length_text(1.0, "furlongs")


@given(st.lists(st.tuples(st.floats(-50, 150), st.floats(1, 9)), min_size=1, max_size=14))
@settings(max_examples=60, deadline=None)
def test_boxes_never_overlap_and_stay_within_when_there_is_room(pairs):
    pairs.sort()
    wanted, sizes = [p[0] for p in pairs], [p[1] for p in pairs]
    spots = apart(wanted, sizes, 0.0, 130.0)
    for (a, b), (s, t) in zip(itertools.pairwise(spots), itertools.pairwise(sizes), strict=True):
        assert b - a >= (s + t) / 2.0 - 1e-6
    assert spots[0] - sizes[0] / 2.0 >= -1e-6
    assert spots[-1] + sizes[-1] / 2.0 <= 130.0 + 1e-6  # 14 boxes of 9 are 126 long


def test_boxes_with_room_stay_where_they_are_wanted():
    assert apart([10.0, 30.0], [4.0, 4.0], 0.0, 50.0) == [10.0, 30.0]
    assert apart([20.0, 20.0], [4.0, 4.0], 0.0, 50.0) == [18.0, 22.0]


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_ordinates_start_at_their_places_and_keep_apart(upright, side):
    stations = [(0.0, "0"), (0.4, "2"), (1.8, "18.2"), (30.0, "300"), (30.2, "302"), (90.0, "900")]
    items = ordinates(stations, 10.0 * side, 16.0 * side, upright=upright, limits=(-5.0, 100.0))
    starts = sorted(float(item.points[0][1 if upright else 0]) for item in items
                    if hasattr(item, "points"))
    assert starts == [place for place, _ in stations]
    found = boxes(items)
    assert [text for text, _ in found] == [text for _, text in stations]
    assert not any(overlap(a[1], b[1]) for a, b in itertools.combinations(found, 2))
    edge = 0 if upright else 1
    for _, b in found:
        assert (b[edge] > 16.0) if side > 0 else (b[edge + 2] < -16.0)


def test_one_figure_for_one_place():
    items = ordinates([(5.0, "50"), (5.0, "50"), (40.0, "50")], 0.0, -6.0, upright=False,
                      limits=(0.0, 50.0))
    assert [text for text, _ in boxes(items)] == ["50", "50"]


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("line_at", [-6.0, 6.0])
def test_a_chain_with_narrow_gaps_keeps_its_texts_apart(upright, line_at):
    places = [0.0, 1.8, 3.0, 40.0, 41.0, 60.0]
    texts = ["18", "12", "370", "10", "190"]
    found = boxes(chain(places, texts, 0.0, line_at, upright=upright))
    assert sorted(text for text, _ in found) == sorted(texts)
    assert not any(overlap(a[1], b[1]) for a, b in itertools.combinations(found, 2))
    middle = {text: (b[1] + b[3]) / 2 if upright else (b[0] + b[2]) / 2 for text, b in found}
    assert middle["370"] == pytest.approx(21.5, abs=0.01)
    assert middle["190"] == pytest.approx(50.5, abs=0.01)


def test_notes_are_led_to_their_places():
    notes = [("one", (5.0, 50.0), "dot"), ("two", (6.0, 50.0), "arrow"), ("three", (2.0, 3.0),
                                                                          "dot")]
    items = notes_beside(notes, 30.0, 0.0, 60.0, 40.0)
    tips = {item.points[-1] for item in items if isinstance(item, Leader)}
    assert tips == {tip for _, tip, _ in notes}
    found = boxes(items)
    assert all(b[0] == pytest.approx(30.0) for _, b in found)
    assert not any(overlap(a[1], b[1]) for a, b in itertools.combinations(found, 2))


def test_the_height_is_written_where_no_leader_crosses_it():
    leader = Leader(((40.0, 30.0), (37.0, 30.0), (10.0, 30.0)))
    (text, b) = boxes([height_beside(0.0, 60.0, 20.0, 28.0, "600", [leader])])[0]
    assert text == "600"
    assert not b[1] - 0.1 < 30.0 < b[3] + 0.1
    (_, free) = boxes([height_beside(0.0, 60.0, 20.0, 28.0, "600", [])])[0]
    assert (free[1] + free[3]) / 2 == pytest.approx(30.0, abs=0.01)


def depths(**more):
    return depth_chain([("baffle", 18.0), ("low driver", 131.0), ("clear gap", 133.0),
                        ("back", 18.0)], solid=("baffle", "back"), **more)


def test_the_chain_of_depths_is_true_to_scale():
    drawing = depths()
    text = svg(drawing)
    bars = [ring for ring in paths(text, "outline") if len(ring) == 4]
    edges = sorted({(round(r[:, 0].min(), 3), round(r[:, 0].max(), 3)) for r in bars})
    assert drawing.scale == 2
    assert [(high - low) * 2 for low, high in edges] == pytest.approx([18, 131, 133, 18], abs=0.005)
    assert len(paths(text, "hatch")) > 6
    seen = [word for word, *_ in words(text)]
    assert {"baffle 18", "low driver 131", "clear gap 133", "0", "18", "149", "282",
            "300"} <= set(seen)
    assert not overlaps(text)


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("segments", [
    [("box", 400.0)],
    [("baffle", 18.0), ("port", 260.0), ("too long by", -20.0), ("back", 18.0)],
    [("baffle", 18.0), ("gasket", 2.0), ("frame", 1.0), ("a driver with a very long name indeed",
                                                         40.0), ("gap", 5.0), ("back", 12.0)],
])
def test_odd_chains_of_depths_can_be_read(segments, system):
    assert not overlaps(svg(depth_chain(segments, system=system)))


def test_a_chain_needs_a_depth():
    for segments in ([], [("gap", -3.0)]):
        with pytest.raises(ValueError, match="above zero"):
            depth_chain(segments)


def ring(count, diameter, start_deg=0.0, centre=(0.0, 0.0)):
    angles = np.radians(start_deg) + 2 * np.pi * np.arange(count) / count
    return np.column_stack([np.cos(angles), np.sin(angles)]) * diameter / 2 + centre


def test_a_bolt_circle_is_found_with_its_first_angle():
    points = np.vstack([[(200.0, 10.0)], ring(8, 298.0, 22.5, (225, 300))[::-1], [(10.0, 10.0)]])
    (found,), rest = bolt_circles(points, [(225.0, 300.0), (75.0, 75.0)])
    assert found.diameter == pytest.approx(298.0)
    assert found.start_deg == pytest.approx(22.5)
    assert found.centre == (225.0, 300.0)
    assert sorted(rest) == [0, 9]


def test_two_rings_and_a_ring_round_nothing():
    points = np.vstack([ring(6, 120.0, 0.0), ring(6, 160.0, 30.0)])
    circles, rest = bolt_circles(points, [(0.0, 0.0)])
    assert sorted(c.diameter for c in circles) == pytest.approx([120.0, 160.0])
    assert rest == []
    (alone,), _ = bolt_circles(ring(4, 80.0, 45.0, (50, 50)), [])
    assert (alone.start_deg, alone.diameter) == pytest.approx((45.0, 80.0))
    assert bolt_circles(ring(3, 80.0), [])[0] == []
    assert len(bolt_circles(ring(3, 80.0), [(0.0, 0.0)])[0]) == 1


@pytest.mark.parametrize("fault_mm", [0.3, -0.3])
def test_a_hole_out_of_place_is_no_bolt_circle(fault_mm):
    points = ring(8, 298.0, 22.5)
    points[3] += [0.0, fault_mm]
    circles, rest = bolt_circles(points, [(0.0, 0.0)])
    assert all(len(c.members) < 8 for c in circles)
    assert 3 in rest


def test_rows_of_one_pitch():
    points = np.array([(20.0 + 60.0 * k, 9.0) for k in range(6)] + [(100.0, 50.0), (9.0, 70.0)])
    (row,), rest = rows(points, range(8))
    assert row.members == (0, 1, 2, 3, 4, 5)
    assert row.pitch == pytest.approx(60.0)
    assert rest == [6, 7]
    points[2, 0] += 0.5
    assert rows(points, range(8))[0] == []

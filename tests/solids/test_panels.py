import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.solids.meshes import centroid, contains
from speakerwright.solids.panels import (
    Feature,
    Panel,
    Placement,
    cutout,
    drill,
    hole,
    plain,
    pocket,
    rebate,
)
from speakerwright.solids.shapes import Polygon, circle, rectangle

from .boxes import rotation

FLAT = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
FRONT = Placement((-200.0, 0.0, 18.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
angles = st.floats(0.0, 6.28)


def board(*features, placement=FLAT):
    return plain("board", 400.0, 300.0, 18.0, placement).with_feature(*features)


def closes(panel):
    return panel.solid().volume() == pytest.approx(panel.net_volume, rel=1e-10)


def test_the_front_faces_the_listener_and_its_body_lies_behind():
    assert FRONT.normal == (0.0, -1.0, 0.0)
    panel = board(placement=FRONT)
    assert panel.solid().bounding_box() == (-200.0, 0.0, 18.0, 200.0, 18.0, 318.0)
    facing = Placement.facing(FRONT.origin, (0.0, -3.0, 0.0), (2.0, 0.0, 0.0))
    assert facing == FRONT


@settings(deadline=None)
@given(angles, angles, angles)
def test_a_placement_is_rigid(a, b, c):
    turn = rotation(a, b, c)
    placement = Placement((10.0, -20.0, 30.0), tuple(turn[:, 0]), tuple(turn[:, 1]))
    points = np.array([[0, 0, 0], [100, 0, 0], [0, 70, 0], [3, 4, -18.0]])
    world = placement.to_world(points)
    assert world[0] == pytest.approx((10.0, -20.0, 30.0))
    for i in range(4):
        for j in range(i):
            assert math.dist(world[i], world[j]) == pytest.approx(math.dist(points[i], points[j]))
    assert placement.to_local(world) == pytest.approx(points, abs=1e-9)
    assert np.linalg.det(placement.matrix) == pytest.approx(1.0)
    assert placement.matrix @ [3, 4, -18, 1] == pytest.approx([*world[3], 1.0])
    solid = board(hole(100, 100, 50, "hole"), placement=placement).solid()
    assert solid.volume() == pytest.approx((400 * 300 - math.pi * 625) * 18, rel=1e-12)


def test_axes_that_are_not_square_or_not_of_length_one_are_refused():
    with pytest.raises(ValueError, match="square"):
        Placement((0, 0, 0), (1, 0, 0), (1e-6, 1, 0))
    with pytest.raises(ValueError, match="length one"):
        Placement((0, 0, 0), (1.001, 0, 0), (0, 1, 0))


def test_a_feature_takes_its_own_volume():
    bare = 400.0 * 300.0 * 18.0
    assert board().net_volume == bare
    for feature, gone in [
        (hole(200, 150, 250, "woofer"), math.pi * 250**2 / 4 * 18),
        (drill(50, 50, 8, 12, "inside", "dowel"), math.pi * 16 * 12),
        (cutout(rectangle(10, 10, 60, 90), "port"), 50 * 80 * 18),
        (pocket(rectangle(10, 10, 60, 90), 6.0, "outside", "dish"), 50 * 80 * 6),
        (rebate((0, 0), (400, 0), 18.2, 9.0, "inside", "rebate"), 400 * 18.2 * 9),
    ]:
        panel = board(feature)
        assert bare - panel.net_volume == pytest.approx(gone, rel=1e-11)
        assert panel.solid().volume() == pytest.approx(panel.net_volume, rel=1e-12)
    assert board().area == 120000.0
    assert board().bounding_size == (400.0, 300.0)


@pytest.mark.parametrize(("face", "y_inside", "y_wood"), [("outside", 3.0, 15.0),
                                                          ("inside", 15.0, 3.0)])
def test_a_pocket_is_on_its_face(face, y_inside, y_wood):
    panel = board(pocket(rectangle(100, 100, 200, 200), 6.0, face, "dish"), placement=FRONT)
    # local (150, 150) is world x -50, z 168
    assert not contains(panel.solid(), (-50.0, y_inside, 168.0))
    assert contains(panel.solid(), (-50.0, y_wood, 168.0))
    assert contains(panel.solid(), (60.0, y_inside, 168.0))


def test_pockets_that_overlap_count_once_and_may_meet_to_a_hole():
    low = pocket(rectangle(0, 100, 400, 160), 10.0, "outside", "groove")
    high = pocket(rectangle(100, 0, 150, 300), 11.0, "inside", "groove across")
    panel = board(low, high)
    gone = 400 * 60 * 10 + 50 * 300 * 11 - 50 * 60 * 3
    assert panel.net_volume == pytest.approx(120000 * 18 - gone, rel=1e-13)
    assert closes(panel)
    assert not contains(panel.solid(), (125.0, 130.0, -9.0))
    nested = board(pocket(circle(200, 150, 100), 6.0, "outside", "rebate"),
                   hole(200, 150, 80, "cut-out"))
    gone = math.pi * (2500 - 1600) * 6 + math.pi * 1600 * 18
    assert nested.net_volume == pytest.approx(120000 * 18 - gone, rel=1e-12)
    assert closes(nested)


boxes = st.tuples(st.floats(-30, 380), st.floats(-30, 280), st.floats(5, 90), st.floats(5, 90))


@st.composite
def features(draw):
    x, y, w, h = draw(boxes)
    kind = draw(st.sampled_from(["hole", "drill", "cutout", "pocket"]))
    face, depth = draw(st.sampled_from(["outside", "inside"])), draw(st.floats(0.5, 17.5))
    x, y = max(x, 1.0 - w), max(y, 1.0 - h)
    if kind == "hole":
        return hole(abs(x), abs(y), w, kind)
    if kind == "drill":
        return drill(abs(x), abs(y), w, depth, face, kind)
    shape = rectangle(x, y, x + w, y + h)
    return cutout(shape, kind) if kind == "cutout" else pocket(shape, depth, face, kind)


@settings(max_examples=60, deadline=None)
@given(st.lists(features(), min_size=1, max_size=6), angles, angles)
def test_solid_and_flat_volumes_agree(chosen, a, b):
    turn = rotation(a, b, 1.0)
    placement = Placement((1.0, 2.0, 3.0), tuple(turn[:, 0]), tuple(turn[:, 1]))
    outline = Polygon([(0, 0), (400, 13), (380, 300), (150, 330), (-20, 290)])
    kept = [f for f in chosen if f.shape.intersection(outline).area > 1e-3]
    panel = Panel("board", outline, 18.0, placement, tuple(kept))
    assert panel.solid().volume() == pytest.approx(panel.net_volume, rel=1e-9)
    for feature in panel.features:
        assert feature.shape.difference(outline).area < 1e-8


def test_coordinates_of_next_to_nothing_do_no_harm():
    outline = Polygon([(0, 0), (400, 13), (380, 300), (150, 330), (-20, 290)])
    round_one = hole(0.0, 5.0, 5.0, "hole")
    square = cutout(rectangle(-1.147e-242, -1.002e-181, 9.0, 5.0), "cutout")
    panel = Panel("board", outline, 18.0, FLAT, (round_one, round_one, round_one, square))
    assert panel.net_volume < (outline.area - 50.0) * 18.0
    assert closes(panel)


def test_a_cut_over_the_edge_is_clipped_and_remembers_its_overrun():
    panel = board(rebate((0, 0), (400, 0), 20.0, 9.0, "inside", "rebate", past_ends=5.0))
    (feature,) = panel.features
    assert feature.shape.area == pytest.approx(400 * 20.0)
    assert feature.overrun.bounds == (-5.0, -1.0, 405.0, 20.0)
    again = panel.with_feature(hole(200, 150, 20, "hole")).features[0]
    assert again.overrun.bounds == (-5.0, -1.0, 405.0, 20.0)
    assert panel.solid().num_tri() == 20  # an L seen from its end: no slivers
    round_edge = board(hole(0.0, 150.0, 60.0, "half round"))
    assert round_edge.net_volume == pytest.approx((120000 - math.pi * 450) * 18, rel=1e-12)
    assert round_edge.features[0].circle == (0.0, 150.0, 60.0)


def test_a_rebate_lies_on_the_left_of_its_edge():
    up = board(rebate((400, 0), (400, 300), 20.0, 9.0, "outside", "rebate"))
    assert up.features[0].shape.bounds == (380.0, 0.0, 400.0, 300.0)
    x, _, z = centroid(up.solid())
    assert x < 200.0
    assert z < -9.0


def test_openings_are_what_is_cut_right_through():
    panel = board(hole(100, 100, 50, "a"), drill(300, 100, 50, 9, "inside", "b"),
                  cutout(rectangle(100, 100, 150, 150), "c"))
    expected = circle(100, 100, 50).union(rectangle(100, 100, 150, 150)).area
    assert panel.openings.area == pytest.approx(expected)
    assert board().openings.is_empty


def test_a_panel_builds_its_solid_once():
    panel = board(hole(100, 100, 50, "a"))
    assert panel.solid() is panel.solid()
    assert dataclasses.replace(panel, thickness=12.0).solid().volume() == pytest.approx(
        panel.solid().volume() * 12 / 18)


BOW = Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])


@pytest.mark.parametrize(("build", "says"), [
    (lambda: board(drill(50, 50, 8, 18.0, "inside", "dowel")), "below the thickness"),
    (lambda: drill(50, 50, 8, 0.0, "inside", "dowel"), "above zero"),
    (lambda: drill(50, 50, 8, float("nan"), "inside", "dowel"), "above zero"),
    (lambda: cutout(BOW, "bow"), "no simple closed outline"),
    (lambda: cutout(Polygon(), "nothing"), "no simple closed outline"),
    (lambda: board(hole(500, 50, 8, "far off")), "beside the panel"),
    (lambda: Feature("through", circle(5, 5, 5), "outside", 3.0, "x"), "pockets and blind"),
    (lambda: Feature("pocket", circle(5, 5, 5), "outside", None, "x"), "pockets and blind"),
    (lambda: Feature("drill", circle(5, 5, 5), "outside", 3.0, "x"), "round"),
    (lambda: Panel("bow", BOW, 18.0, FLAT), "no simple closed outline"),
    (lambda: Panel("thin", rectangle(0, 0, 1, 1), 0.0, FLAT), "thickness"),
])
def test_what_cannot_be_cut_is_refused(build, says):
    with pytest.raises(ValueError, match=says):
        build()


def test_a_feature_that_the_outline_cuts_apart_is_refused():
    fork = rectangle(0, 0, 100, 100).difference(rectangle(40, 40, 60, 101))
    with pytest.raises(ValueError, match="cuts it apart"):
        Panel("fork", fork, 18.0, FLAT, (pocket(rectangle(10, 60, 90, 70), 5.0, "inside", "x"),))

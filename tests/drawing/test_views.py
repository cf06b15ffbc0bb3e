"""Views: hidden lines on solids whose picture is known, sections against exact areas."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from manifold3d import Manifold
from shapely import MultiLineString, Point, box

from speakerwright.drawing.hidden import feature_edges, joined, merged, view_axes, visible_parts
from speakerwright.drawing.regions import best_spots
from speakerwright.drawing.views import elevation, exploded, pictorial, section, solid_of
from speakerwright.solids.meshes import stack, triangles
from speakerwright.solids.panels import Panel, Placement, cutout, pocket
from speakerwright.solids.shapes import rectangle, ring

from .reading import DEEP, HIGH, SLOT, THICK, WIDE, cabinet


@dataclass
class Thing:
    name: str
    solid: Any


def cube(size, at=(0.0, 0.0, 0.0), name="cube"):
    return Thing(name, Manifold.cube((size, size, size)).translate(at))


def drawn(view, kind="outline"):
    """All straight pieces of a kind of line."""
    pieces = []
    for stroke in view.strokes:
        if stroke.kind == kind:
            points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else (
                stroke.points)
            pieces += [(tuple(a), tuple(b)) for a, b in pairwise(points)]
    return pieces


def long(pieces):
    return sum(math.dist(a, b) for a, b in pieces)


def test_a_cube_from_its_corner_shows_nine_edges_of_full_length():
    pieces = drawn(pictorial([cube(100.0)]))
    assert len(pieces) == 9
    assert [math.dist(a, b) for a, b in pieces] == pytest.approx([100.0] * 9)
    hidden = drawn(elevation([cube(100.0)], "front", hidden=True), "hidden")
    assert hidden == []  # its far edges lie behind the near ones


def test_the_three_hidden_edges_of_a_cube():
    axes = view_axes((1.0, -0.7, 0.6))
    points, faces = triangles(cube(100.0).solid)
    seen = points @ axes.T
    edges = feature_edges(seen, faces)
    shown, hidden = visible_parts(edges, seen[faces])
    assert (len(edges), len(merged(shown)), len(merged(hidden))) == (12, 9, 3)
    assert len(feature_edges(seen, faces, far_too=False)) == 9


def test_a_cube_behind_a_cube():
    """From the front a small one vanishes; a larger one shows what reaches past the near one."""
    near = cube(100.0)
    assert long(drawn(elevation([near, cube(50.0, (20, 150, 20), "far")], "front"))) == (
        pytest.approx(400.0))
    both = elevation([near, cube(200.0, (40, 150, 40), "far")], "front", hidden=True)
    assert long(drawn(both)) == pytest.approx(400.0 + 800.0 - 2 * 60.0)
    assert long(drawn(both, "hidden")) == pytest.approx(2 * 60.0)
    assert both.bounds == pytest.approx((0, 0, 240, 240))


def test_parts_that_touch_show_their_joint():
    """Two cubes side by side: the line between them is seen, once."""
    pieces = drawn(elevation([cube(100.0), cube(100.0, (100, 0, 0), "next")], "front"))
    assert long(pieces) == pytest.approx(2 * 200.0 + 3 * 100.0)


@pytest.mark.parametrize("turn_deg", [0.0, 0.7])
def test_the_facets_of_a_cylinder_do_not_show(turn_deg):
    solid = Manifold.cylinder(80.0, 30.0, 30.0, 96).rotate((0, 0, turn_deg))
    side = drawn(elevation([Thing("rod", solid)], "front"))
    assert len(side) == 4
    end = elevation([Thing("rod", solid)], "top")
    assert len(end.strokes) == 1
    assert end.strokes[0].closed
    assert len(drawn(end)) == 96


def test_a_twisted_face_is_not_drawn_as_a_fan():
    """A loft from an oblong to a round ring, corner to corner: four folds along it, no more."""
    t = np.arange(24) / 12.0 - 1.0
    one = np.ones(24)
    square = np.concatenate([np.column_stack(side) for side in
                             ((one, t), (-t, one), (-one, -t), (t, -one))]) * (160.0, 90.0)
    rings = [np.column_stack((flat, np.full(96, z))) for flat, z in
             ((square, 0.0), (np.roll(ring(60.0), 12, axis=0), 200.0))]
    points, faces = triangles(stack(rings))
    edges = feature_edges(points @ view_axes((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)).T, faces,
                          far_too=False)
    deep = np.ptp(edges[:, :, 2], axis=1)
    assert 4 <= np.count_nonzero(deep > 50.0) <= 8


def test_a_horn_is_drawn_by_its_rims():
    """Flats run smoothly into cones: from behind there are no lines from mouth to throat."""
    _, bodies = cabinet()
    points, faces = triangles(bodies[3].solid)
    edges = feature_edges(points @ view_axes((0.0, 1.0, 0.0)).T, faces, far_too=False)
    assert np.ptp(edges[:, :, 2], axis=1).max() < 1e-6
    lengths = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)
    assert {250.0, 330.0} < {round(float(n), 2) for n in lengths}  # the flange


def test_triangles_without_width_draw_no_edge():
    """A pyramid with a needle of a triangle along the diagonal of its base."""
    corners = np.array([(0, 0, 0), (50, 50, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0),
                        (40, 50, 60)], dtype=float)
    faces = np.array([(0, 2, 5), (2, 3, 5), (3, 4, 5), (4, 0, 5),
                      (0, 4, 3), (0, 3, 1), (0, 1, 2), (1, 3, 2)])
    edges = feature_edges(corners @ view_axes((1.0, -0.7, 0.6)).T, faces)
    assert len(merged(edges[:, :, :2])) == 8  # four of the base, four to the point


def test_the_far_rim_of_a_hole_shows_through_it():
    """A square hole of 40 through a plate of 30, seen at 45 degrees: 10 of the 40 is clear."""
    plate = Thing("plate", Manifold.cube((100, 30, 100)) - Manifold.cube((40, 40, 40)).translate(
        (30, -5, 30)))
    pieces = drawn(pictorial([plate], toward=(1.0, -1.0, 0.0)))
    half = 0.5**0.5
    # Level: the plate's near and far corners, the hole's near ends; upright: three edges of the
    # plate, two of the hole's near rim, and the one of its far rim that is in sight.
    level = 2 * 100 * half + 2 * 30 * half + 2 * 40 * half
    upright = 3 * 100.0 + 3 * 40.0
    assert long(pieces) == pytest.approx(level + upright)


def test_every_point_of_every_edge_against_brute_force():
    """A whole cabinet from an odd corner, each edge sampled and held against all triangles."""
    panels, bodies = cabinet()
    axes = view_axes((1.0, -0.73, 0.41))
    edges, faces = [], []
    for part in (*panels, *bodies[:3]):
        points, corners = triangles(solid_of(part))
        seen = points @ axes.T
        edges.append(feature_edges(seen, corners))
        faces.append(seen[corners])
    every, solid = np.concatenate(edges), np.concatenate(faces)
    shown = MultiLineString(list(visible_parts(every, solid)[0]))
    rng = np.random.default_rng(4)
    chosen = every[rng.integers(0, len(every), 500)]
    spots = chosen[:, 0] + rng.uniform(0.05, 0.95, (500, 1)) * (chosen[:, 1] - chosen[:, 0])
    a, b, c = (solid[:, i] for i in range(3))
    double = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    kept = np.abs(double) > 1e-3
    a, b, c, double = a[kept], b[kept], c[kept], double[kept]
    judged = [0, 0]
    for x, y, z in spots:
        u = ((x - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (y - a[:, 1])) / double
        v = ((b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (x - a[:, 0]) * (b[:, 1] - a[:, 1])) / double
        depth = a[:, 2] + u * (b[:, 2] - a[:, 2]) + v * (c[:, 2] - a[:, 2])
        inner = np.minimum(np.minimum(u, v), 1.0 - u - v)
        if ((inner > 1e-3) & (depth > z + 0.2)).any():
            assert shown.distance(Point(x, y)) > 1e-4
            judged[1] += 1
        elif not ((inner > -1e-3) & (depth > z - 0.001) & (np.abs(depth - z) > 0.001)).any():
            assert shown.distance(Point(x, y)) < 1e-4
            judged[0] += 1
    assert min(judged) > 80


def test_lines_are_joined_and_drawn_once():
    square = np.array([[[0, 0], [9, 0]], [[9, 9], [0, 9]], [[9, 0], [9, 9]], [[0, 9], [0, 0]],
                       [[4, 0], [0, 0]]], dtype=float)
    (path,) = joined(merged(square))
    assert path[1]
    assert sorted(map(tuple, path[0])) == [(0, 0), (0, 9), (9, 0), (9, 9)]
    left = merged(np.array([[[0.0, 0.0], [9.0, 0.0]]]), less=np.array([[[7.0, 0.0], [3.0, 0.0]]]))
    assert sorted(left[:, :, 0].tolist()) == [[0.0, 3.0], [7.0, 9.0]]


@pytest.mark.parametrize(
    ("direction", "right", "up"),
    [("front", (1, 0, 0), (0, 0, 1)), ("back", (-1, 0, 0), (0, 0, 1)),
     ("right", (0, 1, 0), (0, 0, 1)), ("left", (0, -1, 0), (0, 0, 1)),
     ("top", (1, 0, 0), (0, 1, 0)), ("bottom", (1, 0, 0), (0, -1, 0))],
)
def test_which_way_a_view_lies(direction, right, up):
    view = elevation([cube(10.0)], direction)
    assert view.at(right) == pytest.approx((1.0, 0.0))
    assert view.at(up) == pytest.approx((0.0, 1.0))


def test_an_isometric_view_is_true_along_its_axes():
    view = pictorial([cube(10.0)])
    for way in np.eye(3):
        assert np.hypot(*view.at(way)) == pytest.approx(1.0)
    assert view.at((1, 0, 0))[0] > 0
    assert view.at((0, 1, 0))[0] > 0
    assert view.at((0, 0, 1)) == pytest.approx((0.0, 1.0))
    with pytest.raises(ValueError, match="upward"):
        pictorial([cube(10.0)], toward=(0, 0, 1))


def test_section_areas_are_exact():
    panels, bodies = cabinet()
    cuts = {cut.name: cut for cut in section([*panels, *bodies], "x", 100.0).cuts}
    inner = DEEP - 24.0
    assert cuts["back"].region.area == pytest.approx(HIGH * THICK, rel=1e-6)
    assert cuts["top"].region.area == pytest.approx(inner * THICK, rel=1e-6)
    assert cuts["brace"].region.area == pytest.approx((inner - 130.0) * THICK, rel=1e-6)
    level = {cut.name: cut for cut in section(panels, "z", 700.0).cuts}
    assert level["baffle"].region.area == pytest.approx(
        (WIDE - 304.0) * THICK - 2 * SLOT * 6.0, rel=1e-6)
    assert level["left side"].region.area == pytest.approx(inner * THICK, rel=1e-6)
    assert level["baffle"].region.geom_type == "MultiPolygon"
    front = {cut.name for cut in section(panels, "y", 150.0).cuts}
    assert front == {"left side", "right side", "top", "bottom", "brace"}


def test_a_section_keeps_what_lies_beyond_and_not_what_lies_before():
    two = [cube(100.0), cube(100.0, (200, 0, 0), "right one")]
    seen = section(two, "x", 50.0)
    assert [cut.name for cut in seen.cuts] == ["cube"]
    assert drawn(seen, "thin") == []
    other = section(two, "x", 50.0, looking=1)
    assert other.at((0, 1, 0)) == pytest.approx((-1.0, 0.0))
    pit = Panel("pit", rectangle(0, 0, 200, 100), 20.0,
                Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)),
                (pocket(rectangle(20, 20, 60, 80), 8.0, "inside", "pit"),))
    beyond = section([pit], "x", 100.0)
    # the panel is cut at 100; the pocket's far end at 20 to 60 lies behind solid wood
    assert long(drawn(beyond, "thin")) == 0.0
    through = section([pit], "x", 50.0)
    # the pocket's far wall: its mouth, seen as the line from floor to floor
    assert long(drawn(through, "thin")) == pytest.approx(60.0)
    assert through.cuts[0].region.area == pytest.approx(100 * 20 - 60 * 8)


def test_neighbours_are_hatched_unlike_each_other_and_bodies_not_at_all():
    panels, bodies = cabinet()
    cuts = section([*panels, *bodies], "x", 0.0).cuts
    wood = [cut for cut in cuts if cut.hatch is not None]
    assert {cut.name for cut in cuts if cut.hatch is None} == {"low driver", "horn"}
    for index, one in enumerate(wood):
        for two in wood[index + 1:]:
            if one.region.distance(two.region) < 0.5:
                assert one.hatch != two.hatch
    assert len({cut.hatch for cut in wood}) >= 2


def test_a_section_on_paper_has_the_area_of_the_cut():
    slab = Panel("slab", rectangle(0, 0, 200, 100), 20.0,
                 Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)),
                 (cutout(rectangle(50, 20, 90, 60), "window"),))
    view = section([slab], "y", 10.0)
    areas = [item for item in view.items(5, (3.0, 4.0)) if hasattr(item, "rings")]
    outer, hole = sorted((np.ptp(ring[:, 0]) * np.ptp(ring[:, 1]) for ring in areas[0].rings),
                         reverse=True)
    assert (outer - hole) * 25 == pytest.approx(200 * 100 - 40 * 40)
    assert areas[0].rings[0].min(axis=0) == pytest.approx([3.0, 4.0])


def test_the_best_spot_of_a_part_lies_in_its_largest_visible_region():
    """A plate half covered by a nearer one: the spot is in the middle of its free half."""
    corners, part = [], []
    for number, (region, z) in enumerate((((0, 0, 200, 100), 0.0), ((80, 0, 200, 100), 5.0))):
        x0, y0, x1, y1 = region
        corners += [[(x0, y0, z), (x1, y0, z), (x1, y1, z)], [(x0, y0, z), (x1, y1, z),
                                                             (x0, y1, z)]]
        part += [number, number]
    first, second, third = best_spots(np.array(corners, dtype=float), np.array(part), 3)
    assert first[:2] == pytest.approx((40, 50), abs=12)
    assert first[2] == pytest.approx(40, abs=3)
    assert box(80, 0, 200, 100).contains(Point(second[:2]))
    assert third is None


def test_spots_are_on_the_part_that_a_ray_from_the_eye_meets_first():
    panels, bodies = cabinet()
    parts = [*panels, *bodies]
    view = pictorial(parts)
    unit = view.axes / np.linalg.norm(view.axes, axis=1)[:, None]
    assert {"baffle", "right side", "top", "low driver", "horn"} <= set(view.spots)
    assert "brace" not in view.spots
    for name, (x, y, _) in view.spots.items():
        foot = (x * unit[0] + y * unit[1]) / 1.5**0.5
        start, end = foot + 3000.0 * unit[2], foot - 3000.0 * unit[2]
        hits = {part.name: min((hit.distance for hit in
                                solid_of(part).ray_cast(tuple(start), tuple(end))), default=2.0)
                for part in parts}
        assert min(hits, key=hits.get) == name


def test_an_exploded_cabinet_opens_outwards():
    panels, bodies = cabinet()
    moves = exploded([*panels, *bodies], gap=100.0)
    assert moves["baffle"] == (0.0, -100.0, 0.0)
    assert moves["back"] == (0.0, 100.0, 0.0)
    assert moves["left side"] == (-100.0, 0.0, 0.0)
    assert moves["top"] == (0.0, 0.0, 100.0)
    assert moves["horn"][1] < moves["baffle"][1]
    assert exploded([]) == {}
    with pytest.raises(ValueError, match="at least one part"):
        elevation([])

"""Sweeps against formulas; ways out that there are and are not; tools and cables measured."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from speakerwright.solids.assembly import union_volume
from speakerwright.solids.bodies import Body, box_body, cone_driver, cylinder_body
from speakerwright.solids.features import cutout, hole
from speakerwright.solids.meshes import Manifold, joined
from speakerwright.solids.panels import Placement, plain
from speakerwright.solids.passing import (
    Exit,
    Stuck,
    Way,
    free_length,
    in_the_way,
    swept,
    tool_room,
    way_out,
)
from speakerwright.solids.shapes import circle, rectangle
from speakerwright.solids.tilting import board_out, box_corners

FRONT = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
OUT = (0.0, -1.0, 0.0)
T = 18.0


def front(*features):
    """A baffle 400 x 400 mm with the origin of its axes in its lower left corner."""
    return plain("baffle", 400.0, 400.0, T, FRONT, role="baffle").with_feature(*features)


def leave(feature):
    return Exit(feature.label, FRONT, feature.shape, T)


def cone(magnet):
    return cone_driver("cone", 200.0, 180.0, 6.0, 90.0, magnet, 40.0, (200.0, 200.0))


@pytest.mark.parametrize("way", [OUT, (0.0, -math.cos(0.2), math.sin(0.2)), (0.6, 0.0, 0.8)])
def test_a_swept_cylinder_and_frusta(way):
    """Along its axis a cylinder sweeps a longer one; a frustum what its widest part behind does."""
    length, far = 50.0, 120.0
    rod = cylinder_body("rod", 40.0, length, (3.0, 4.0, 5.0), way).solid
    found = union_volume([Body("s", joined(swept(rod, way, far)), "s")])
    area = math.pi * 20.0**2
    assert found == pytest.approx(area * (length + far), rel=1e-4)
    r0, r1 = 10.0, 30.0
    frustum = Manifold.cylinder(length, r0, r1, 256)
    forward = union_volume([Body("s", joined(swept(frustum, (0.0, 0.0, 1.0), far)), "s")])
    own = math.pi * length / 3.0 * (r0**2 + r0 * r1 + r1**2)
    assert forward == pytest.approx(own + math.pi * r1**2 * far, rel=3e-4)
    back = union_volume([Body("s", joined(swept(frustum, (0.0, 0.0, -1.0), far)), "s")])
    assert back == pytest.approx(math.pi * r1**2 * (length + far), rel=3e-4)


def test_a_swept_volume_holds_what_it_moves_past():
    """At every step a driver lies in the pieces, sunk flange and all."""
    body = cone_driver("cone", 200.0, 180.0, 6.0, 90.0, 120.0, 40.0, (0.0, 0.0), 6.0)
    whole = joined(swept(body.solid, OUT, 100.0))
    for step in (0.0, 13.0, 57.0, 100.0):
        left = body.solid.translate((0.0, -step, 0.0)) - whole
        assert left.volume() < 8 * 2e-3 * math.pi * 100.0**2  # the skin at every level


def test_a_driver_leaves_its_own_hole():
    cut = hole(200.0, 200.0, 180.0, "cut-out")
    found = way_out([cone(120.0)], leave(cut), [front(cut)])
    assert isinstance(found, Way)
    slope = (90.0 - 60.0) / 50.0  # of the basket, from cut-out to magnet
    assert found.spare == pytest.approx(slope * T, rel=2e-3)


def test_a_magnet_wider_than_its_hole_is_stuck():
    cut = hole(200.0, 200.0, 180.0, "cut-out")
    found = way_out([cone(190.0)], leave(cut), [front(cut)])
    assert isinstance(found, Stuck)
    assert found.lacks == pytest.approx(5.0, rel=1e-2)
    assert found.through == "cut-out"


def test_what_reaches_before_the_magnet_stops_it_and_what_only_touches_does_not():
    """A strip between baffle and a wide magnet: beside the basket, before the magnet's edge."""
    cut = hole(200.0, 200.0, 180.0, "cut-out")
    body = Body("bell", joined([cylinder_body("", 60.0, 60.0, (200.0, 200.0)).solid,
                                cylinder_body("", 160.0, 30.0, (200.0, 60.0, 200.0)).solid]),
                "driver")

    def strip(inner):
        return box_body("strip", (inner, T, 100.0), (300.0, 40.0, 300.0))

    free = way_out([body], leave(cut), [front(cut), strip(280.1)])
    assert isinstance(free, Way)
    stuck = way_out([body], leave(cut), [front(cut), strip(279.5)])
    assert isinstance(stuck, Stuck)
    assert stuck.blocked_by == ("strip",)
    assert stuck.lacks == 0.0


def test_a_part_wholly_inside_the_sweep_is_found():
    pieces = swept(cylinder_body("rod", 80.0, 20.0, (200.0, 60.0, 200.0)).solid, OUT, 100.0)
    lost = box_body("lost", (195.0, 0.0, 195.0), (205.0, 5.0, 205.0))
    beside = box_body("beside", (240.2, 0.0, 195.0), (250.0, 5.0, 205.0))
    assert in_the_way(pieces, [lost, beside]) == ("lost",)


def test_bolts_that_stay_are_only_met_behind_the_panel():
    """An insert in the flange's hole is not in its way; one before the magnet is."""
    cut = hole(200.0, 200.0, 180.0, "cut-out")
    sunk = cone_driver("cone", 200.0, 180.0, 6.0, 90.0, 120.0, 40.0, (200.0, 200.0), 6.0)
    outside = cylinder_body("bolt", 6.0, 24.0, (200.0, 0.0, 295.0), kind="fastener")
    near = cylinder_body("nut", 19.0, 2.0, (200.0, T, 285.0), kind="fastener")
    panel = front(cut, hole(200.0, 200.0, 201.0, "seat"))
    assert isinstance(way_out([sunk], leave(cut), [panel], [outside]), Way)
    found = way_out([sunk], leave(cut), [panel], [outside, near])
    assert isinstance(found, Stuck)
    assert found.blocked_by == ("nut",)


def board(size, centre=(200.0, 250.0, 200.0)):
    return box_corners(centre, np.eye(3), tuple(0.5 * s for s in size))


@pytest.mark.parametrize(("size", "passes"), [
    ((80.0, 150.0, 59.4), True),    # 80² + 60² = 100²: the way out lies along its length
    ((80.0, 150.0, 60.6), False),
    ((150.0, 80.0, 59.4), True),    # across the way out: has to be turned
    ((80.0, 59.4, 150.0), True),
    ((80.0, 60.6, 150.0), False),
])
def test_a_board_passes_a_round_hole_by_its_diagonal(size, passes):
    cut = cutout(circle(200.0, 200.0, 100.0), "round")
    found = board_out(board(size), [leave(cut)], [front(cut)])
    assert isinstance(found, Way if passes else Stuck)
    if not passes:
        assert found.lacks == pytest.approx(0.5 * (math.hypot(80.0, 60.6) - 100.0), rel=0.2)


def test_a_board_is_turned_to_pass_a_slanting_slit():
    slit = shapely.affinity.rotate(rectangle(130.0, 185.0, 270.0, 215.0), 45.0)
    cut = cutout(slit, "slit")
    found = board_out(board((120.0, 90.0, 25.0)), [leave(cut)], [front(cut)])
    assert isinstance(found, Way)
    assert found.spare == pytest.approx(2.5, rel=1e-6)
    wide = board_out(board((120.0, 90.0, 31.0)), [leave(cut)], [front(cut)])
    assert isinstance(wide, Stuck)
    assert wide.lacks > 0.0


def test_a_board_walled_in_finds_no_way():
    cut = cutout(rectangle(100.0, 100.0, 300.0, 300.0), "opening")
    wall = plain("partition", 400.0, 400.0, T, Placement((0.0, 120.0, 0.0), (1.0, 0.0, 0.0),
                                                         (0.0, 0.0, 1.0)))
    found = board_out(board((100.0, 20.0, 80.0)), [leave(cut)], [front(cut), wall])
    assert isinstance(found, Stuck)
    assert found.lacks == 0.0
    assert "partition" in found.blocked_by


def test_the_largest_of_two_openings_that_lack_is_told():
    small, large = (cutout(rectangle(200 - h, 200 - h, 200 + h, 200 + h), f"{h}")
                    for h in (20.0, 30.0))
    found = board_out(board((120.0, 90.0, 70.0)), [leave(small), leave(large)], [front(small)])
    assert found.through == "30.0"


def test_the_room_of_a_tool_is_measured_to_the_nearest_part():
    near = box_body("near", (211.0, -60.0, 190.0), (230.0, -50.0, 210.0))
    before = box_body("before the start", (199.0, -10.0, 199.0), (201.0, 0.0, 201.0))
    args = {"start": 20.0, "length": 100.0, "most": 60.0}
    clear, name = tool_room((200.0, 0.0, 200.0), OUT, [near, before], **args)
    assert (clear, name) == (pytest.approx(22.0, abs=0.02), "near")
    far = box_body("far", (231.0, -60.0, 190.0), (240.0, -50.0, 210.0))
    assert tool_room((200.0, 0.0, 200.0), OUT, [far, before], **args) == (60.0, "")
    over = box_body("over", (190.0, -60.0, 190.0), (230.0, -50.0, 210.0))
    assert tool_room((200.0, 0.0, 200.0), OUT, [over], **args) == (0.0, "over")


def test_the_free_length_behind_a_hole_ends_at_the_first_part():
    shape = circle(200.0, 200.0, 57.0)
    part = box_body("magnet", (220.0, 100.0, 190.0), (260.0, 130.0, 210.0))
    beside = box_body("beside", (230.0, 60.0, 190.0), (260.0, 70.0, 210.0))
    free, name = free_length(shape, FRONT, 58.0, 300.0, [part, beside])
    assert (free, name) == (pytest.approx(42.0, abs=0.01), "magnet")
    assert free_length(shape, FRONT, 58.0, 300.0, [beside]) == (300.0, "")

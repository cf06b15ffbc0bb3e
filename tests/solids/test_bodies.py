import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.solids.bodies import (
    air_plug,
    box_body,
    compression_driver,
    cone_driver,
    cylinder_body,
    horn,
    placed,
    profile_volume,
    screw,
    t_nut,
    tube,
)
from speakerwright.solids.meshes import contains

from .boxes import HOLES, shell


def frustum(height, a, b):
    return math.pi * height * (a * a + a * b + b * b) / 3.0


def behind(body, y):
    """Volume of a body deeper than y."""
    return body.solid.trim_by_plane((0.0, 1.0, 0.0), y).volume()


def driver(**others):
    return cone_driver("w", 310.0, 283.0, 10.0, 140.0, 180.0, 60.0, (20.0, 500.0), **others)


def test_a_cone_driver_is_flange_basket_and_magnet():
    body = driver(recess=6.0)
    assert body.kind == "driver"
    inner = frustum(80.0, 141.5, 90.0) + math.pi * 90.0**2 * 60.0
    assert behind(body, 6.0) == pytest.approx(inner, rel=1e-12)
    assert body.solid.volume() == pytest.approx(inner + math.pi * 155.0**2 * 10.0, rel=1e-12)
    box = np.array(body.solid.bounding_box())
    assert box[[1, 4]] == pytest.approx([-4.0, 146.0])
    assert 0.5 * (box[:3] + box[3:])[[0, 2]] == pytest.approx([20.0, 500.0])
    assert box[3] - box[0] == pytest.approx(310.0, rel=4e-4)  # corners outside the true circle
    assert body.envelope is None


@settings(max_examples=40, deadline=None)
@given(st.floats(1.6e6, 6.5e6), st.sampled_from([0.0, 6.0]))
def test_a_stated_volume_is_met_behind_the_seat(volume, recess):
    body = driver(recess=recess, volume=volume)
    assert behind(body, recess) == pytest.approx(volume, rel=1e-9)
    assert body.solid.bounding_box()[4] == pytest.approx(recess + 140.0)
    magnet = body.solid.trim_by_plane((0.0, 1.0, 0.0), recess + 80.0)
    assert magnet.volume() == pytest.approx(math.pi * 90.0**2 * 60.0, rel=1e-12)
    waist = body.solid.trim_by_plane((0.0, 1.0, 0.0), recess + 0.01).bounding_box()
    assert waist[3] - waist[0] <= 283.0 * 1.0004  # it still passes its hole


def test_a_stated_volume_may_be_counted_from_behind_the_baffle():
    body = driver(volume=3.0e6, behind=18.0)
    assert behind(body, 18.0) == pytest.approx(3.0e6, rel=1e-9)


def test_a_slimmed_basket_keeps_its_room():
    slim, stout = driver(volume=3.0e6), driver(volume=6.0e6)
    assert slim.room.volume() == pytest.approx(driver().solid.volume())
    assert slim.solid.volume() < slim.room.volume()
    assert stout.room is stout.solid


@pytest.mark.parametrize("volume", [1.5e6, 6.6e6])
def test_a_volume_that_cannot_be_is_refused(volume):
    with pytest.raises(ValueError, match="does not fit this driver"):
        driver(volume=volume)


def test_a_driver_weighs_most_in_its_magnet():
    x, y, z = driver(recess=6.0).centre
    assert (x, z) == (20.0, 500.0)
    assert y == pytest.approx(6.0 + 0.75 * 110.0 + 0.25 * 40.0)


def test_profile_volume_counts_only_what_is_deeper():
    profile = ((0.0, 20.0), (40.0, 10.0), (40.0, 15.0), (60.0, 15.0))
    assert profile_volume(profile) == pytest.approx(frustum(40, 20, 10) + math.pi * 225 * 20)
    assert profile_volume(profile, 20.0) == pytest.approx(frustum(20, 15, 10) + math.pi * 225 * 20)
    assert profile_volume(profile, 50.0) == pytest.approx(math.pi * 225 * 10)
    assert profile_volume(profile, 60.0) == 0.0


def test_a_round_horn_is_a_frustum_behind_its_flange():
    body = horn("h", 25.0, 200.0, 150.0, 240.0, 8.0, (0.0, 300.0), wall=4.0, driver=(90.0, 50.0))
    r = 104.0 + (16.5 - 104.0) * 8.0 / 150.0
    inner = frustum(142.0, r, 16.5) + math.pi * 45.0**2 * 50.0
    assert body.solid.volume() == pytest.approx(inner + math.pi * 120.0**2 * 8.0, rel=1e-9)
    assert body.solid.bounding_box()[1::3] == pytest.approx((-8.0, 192.0))


def test_a_square_cut_horn_is_as_wide_as_high_as_told():
    body = horn("h", 36.0, (320.0, 180.0), 220.0, (360.0, 220.0), 10.0, (50.0, 400.0), 10.0)
    x0, y0, z0, x1, y1, z1 = body.solid.bounding_box()
    assert (x0, x1, z0, z1) == pytest.approx((-130.0, 230.0, 290.0, 510.0))
    assert (y0, y1) == pytest.approx((0.0, 220.0))
    # Simpson's rule is exact for a straight loft: areas at both ends and half way
    areas = [body.solid.rotate((90, 0, 0)).slice(y).area() for y in (10.001, 115.0, 219.999)]
    inner = (areas[0] + 4 * areas[1] + areas[2]) * 210.0 / 6.0
    assert behind(body, 10.0) == pytest.approx(inner, rel=1e-4)
    assert areas[2] == pytest.approx(math.pi * 22.0**2, rel=1e-3)
    with pytest.raises(ValueError, match="wider than the mouth"):
        horn("h", 36.0, (320.0, 180.0), 220.0, (360.0, 185.0), 10.0, (0.0, 0.0))


def test_a_horn_is_of_flats_and_cones():
    """Between rectangle and circle: V = h/3 (A1 + A2 + P r/2), P the rectangle's perimeter.

    The hull of a convex shape K and a disc of radius r has sections (1-s) K + s r B, of area
    (1-s)² A1 + s (1-s) P r + s² A2 (Steiner's formula, from memory); integrated over h.
    """
    flange, length, recess = 10.0, 220.0, 10.0
    body = horn("h", 36.0, (320.0, 180.0), length, (360.0, 220.0), flange, (50.0, 400.0), recess)
    wide, high, r = 328.0, 188.0, 22.0
    share = flange / length  # the flare starts inside the flange
    p = 2.0 * (wide + high)

    def up_to(s):  # the integral of the section's area from the mouth
        ends = wide * high * (1.0 - (1.0 - s) ** 3) / 3.0 + math.pi * r * r * s**3 / 3.0
        return length * (ends + p * r * (s * s / 2.0 - s**3 / 3.0))

    assert behind(body, 10.0) == pytest.approx(up_to(1.0) - up_to(share), rel=1e-4)
    from speakerwright.solids.meshes import triangles

    points, faces = triangles(body.solid)
    corners = points[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    areas = np.linalg.norm(normals, axis=1)
    normals = normals[areas > 1e-6] / areas[areas > 1e-6, None]
    slanted = np.unique(np.round(normals[np.abs(normals[:, 1]) < 0.999], 4), axis=0)
    assert len(slanted) <= 4 + 4 + 100  # the flange's edge, four flats, a facet of cone per corner


def test_a_tube_is_drawn_open():
    whole = tube(100.0, 3.0, 150.0, (0.0, 120.0))
    ring = math.pi * (53.0**2 - 50.0**2)
    assert whole.drawn.volume() == pytest.approx(ring * 150.0, rel=1e-9)
    assert not contains(whole.drawn, (0.0, 75.0, 120.0))
    glued = tube(100.0, 3.0, 150.0, (0.0, 120.0), inside_start=18.0)
    assert glued.drawn.volume() == pytest.approx(ring * 132.0, rel=1e-9)
    bare = tube(100.0, 0.0, 18.0, (0.0, 120.0))
    assert bare.drawn is bare.solid
    assert bare.mass_kg == 0.0


def test_a_compression_driver_is_a_cylinder_from_its_exit():
    body = compression_driver("c", 100.0, 60.0, (0.0, 200.0, 300.0), mass_kg=2.0)
    assert body.kind == "driver"
    assert body.solid.bounding_box()[1::3] == pytest.approx((200.0, 260.0))
    assert body.solid.volume() == pytest.approx(math.pi * 2500.0 * 60.0, rel=1e-12)


def test_a_tube_is_solid_with_its_air():
    whole = tube(100.0, 3.0, 150.0, (0.0, 120.0))
    assert whole.solid.volume() == pytest.approx(math.pi * 53.0**2 * 150.0, rel=1e-12)
    glued = tube(100.0, 3.0, 150.0, (0.0, 120.0), inside_start=18.0)
    inner = math.pi * (50.0**2 * 18.0 + 53.0**2 * 132.0)
    assert glued.solid.volume() == pytest.approx(inner, rel=1e-12)
    assert glued.solid.bounding_box()[1::3] == pytest.approx((0.0, 150.0))
    # the wall alone weighs: rigid PVC of 1400 kg/m3 (from memory)
    assert glued.mass_kg == pytest.approx(math.pi * (0.053**2 - 0.05**2) * 0.132 * 1400.0)


def test_screws_and_t_nuts_point_into_the_wood():
    bolt = screw(6.0, 40.0, (12.0, 4.0), (0.0, 0.0, 100.0), (0.0, 0.0, -1.0))
    assert bolt.solid.bounding_box()[2::3] == pytest.approx((60.0, 104.0))
    steel = math.pi * (36.0 * 4.0 + 9.0 * 40.0)
    assert bolt.solid.volume() == pytest.approx(steel, rel=1e-12)
    assert bolt.mass_kg == pytest.approx(steel * 1e-9 * 7850.0)
    sunk = screw(4.0, 40.0, (8.0, 3.0), (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), countersunk=True)
    assert sunk.solid.bounding_box()[0::3] == pytest.approx((0.0, 40.0))
    assert sunk.solid.volume() == pytest.approx(frustum(3, 4, 2) + math.pi * 4 * 37, rel=1e-12)
    nut = t_nut(8.0, 10.0, 20.0, 1.5, (0.0, 18.0, 100.0), (0.0, -1.0, 0.0), enters=("baffle",))
    assert nut.solid.bounding_box()[1::3] == pytest.approx((8.0, 19.5))
    assert nut.enters == {"baffle"}


@given(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1))
def test_bodies_are_placed_by_a_rigid_motion(x, y, z):
    if math.hypot(x, y, z) < 1e-3:
        x = 1.0
    matrix = placed((1.0, 2.0, 3.0), (x, y, z))
    turn = matrix[:, :3]
    assert turn.T @ turn == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1.0)
    assert turn[:, 2] * math.hypot(x, y, z) == pytest.approx([x, y, z])
    if math.hypot(x, y) > 1e-3:
        assert turn[2, 0] == pytest.approx(0.0, abs=1e-12)  # level


def test_on_the_front_width_is_across_and_height_is_up():
    assert placed((5.0, 7.0))[:, [0, 2, 3]] == pytest.approx(
        np.array([[1, 0, 5], [0, 1, 0], [0, 0, 7]]))


def test_an_air_plug_fills_its_opening():
    baffle = shell(*HOLES)[4]
    plug = air_plug(baffle, "port")
    assert plug.kind == "air plug"
    assert plug.solid.volume() == pytest.approx(math.pi * 1600.0 * 18.0, rel=1e-12)
    assert contains(plug.solid, (-100.0, 9.0, 120.0))
    with pytest.raises(ValueError, match="no opening called vent"):
        air_plug(baffle, "vent")


@pytest.mark.parametrize("build", [
    lambda: cone_driver("w", 280, 283, 10, 140, 180, 60, (0, 0)),
    lambda: cone_driver("w", 310, 283, 10, 60, 180, 60, (0, 0)),
    lambda: cone_driver("w", 310, 283, 0, 140, 180, 60, (0, 0)),
    lambda: tube(100, 3, 15, (0, 0), 18), lambda: box_body("b", (0, 0, 0), (1, 0, 1)),
    lambda: cylinder_body("c", 10, 5, (0, 0), (0, 0, 0)),
    lambda: screw(6, 40, (6, 4), (0, 0), (0, 1, 0)),
    lambda: screw(6, 4, (12, 4), (0, 0), (0, 1, 0), countersunk=True),
    lambda: t_nut(8, 10, 8, 1, (0, 0), (0, 1, 0)),
    lambda: horn("h", 25, 200, 8, 240, 8, (0, 0)),
])
def test_sizes_that_do_not_fit_are_refused(build):
    with pytest.raises(ValueError):
        build()

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.solids.assembly import (
    clearance,
    collisions,
    mass_and_centre,
    union_volume,
)
from speakerwright.solids.bodies import Body, box_body, cylinder_body, screw
from speakerwright.solids.densities import DENSITIES

from .boxes import BARE, HOLES, D, H, T, W, port, rotation, shelf, shell, turned, woofer


def cube(name, x, y, z, size=10.0, **others):
    return box_body(name, (x, y, z), (x + size, y + size, z + size), **others)


def test_a_sound_cabinet_touches_everywhere_and_collides_nowhere():
    assert collisions([*shell(*HOLES), shelf(), woofer(), port()]) == ()


@settings(max_examples=20, deadline=None)
@given(st.floats(0, 6.28), st.floats(0, 3.14), st.floats(0, 6.28))
def test_nor_when_it_stands_askew(a, b, c):
    panels = turned([*shell(*HOLES), shelf()], rotation(a, b, c), np.array([310.0, -777.0, 91.0]))
    assert collisions(panels) == ()


def test_a_planted_collision_is_found_with_its_volume_and_place():
    brace = box_body("brace", (-20.0, 100.0, 480.0), (20.0, 382.0, 520.0))  # into the magnet
    found = collisions([*shell(*HOLES), shelf(), woofer(), port(), brace])
    assert [(c.a, c.b) for c in found] == [("woofer", "brace")]
    assert found[0].volume_mm3 == pytest.approx(40.0 * 40.0 * 40.0, rel=1e-9)
    assert found[0].centre == pytest.approx((0.0, 120.0, 500.0))


def test_an_overlap_of_a_hundredth_is_a_collision():
    (found,) = collisions([cube("a", 0, 0, 0), cube("b", 9.99, 0, 0)])
    assert found.volume_mm3 == pytest.approx(1.0)


def test_rounding_between_large_faces_is_no_collision():
    wide = box_body("wide", (0, 0, 0), (2000, 2000, 18))
    assert collisions([wide, box_body("top", (0, 0, 18 - 2e-7), (2000, 2000, 36))]) == ()


def test_a_part_wholly_inside_another_is_found():
    (found,) = collisions([cube("outer", 0, 0, 0), cube("inner", 4, 4, 4, 2.0)])
    assert found.volume_mm3 == pytest.approx(8.0)
    assert found.centre == pytest.approx((5.0, 5.0, 5.0))


@pytest.mark.parametrize("at", [(10, 0, 0), (10, 10, 0), (10, 10, 10), (0, 3, -10), (10.1, 0, 0)])
def test_touching_faces_edges_and_corners_are_no_collision(at):
    assert collisions([cube("a", 0, 0, 0), cube("b", *at)]) == ()


places = st.tuples(*[st.integers(-12, 12)] * 3)


@settings(max_examples=40, deadline=None)
@given(st.lists(places, min_size=2, max_size=5, unique=True))
def test_collisions_do_not_depend_on_the_order_and_are_exact(corners):
    parts = [cube(str(i), *corner) for i, corner in enumerate(corners)]
    expected = {}
    for i, a in enumerate(corners):
        for j in range(i + 1, len(corners)):
            sides = [max(0, 10 - abs(p - q)) for p, q in zip(a, corners[j], strict=True)]
            if math.prod(sides):
                expected[frozenset((str(i), str(j)))] = math.prod(sides)
    for order in (parts, parts[::-1]):
        found = {frozenset((c.a, c.b)): c.volume_mm3 for c in collisions(order)}
        assert found == pytest.approx(expected)


def test_parts_of_one_thing_and_what_a_screw_enters_are_not_tested():
    both = [cube("a", 0, 0, 0, part_of="port"), cube("b", 5, 0, 0, part_of="port")]
    assert collisions(both) == ()
    alone = [cube("a", 0, 0, 0), cube("b", 5, 0, 0)]
    assert len(collisions(alone)) == 1
    wood = [cube("a", 0, 0, 0, 30.0), cube("b", 0, 30, 0, 30.0)]
    bites = screw(4, 50, (8, 3), (15, 0, 15), (0, 1, 0), enters=("a",))
    assert [(c.a, c.b) for c in collisions([*wood, bites])] == [("b", "screw")]
    assert [(c.a, c.b) for c in collisions([bites, *wood])] == [("screw", "b")]


def test_room_and_not_air_decides_on_collisions():
    body = dataclasses.replace(cube("slim", 0, 0, 0), envelope=cube("x", -5, -5, -5, 20.0).solid)
    assert len(collisions([body, cube("near", 12, 0, 0)])) == 1
    assert clearance(body, cube("far", 40, 0, 0)) == pytest.approx(25.0)
    assert union_volume([body]) == pytest.approx(1000.0)


def test_clearance():
    a = cube("a", 0, 0, 0)
    assert clearance(a, cube("b", 13, 14, 10)) == pytest.approx(5.0)
    assert clearance(a, cube("b", 13, 14, 22)) == pytest.approx(13.0)
    assert clearance(a, cube("b", 10, 0, 0)) == 0.0
    assert clearance(a, cube("b", 4, 4, 4, 2.0)) == 0.0
    assert clearance(a, cube("b", 60, 0, 0), beyond=20.0) == 20.0
    assert clearance(a, cube("b", 25, 20, 0), beyond=17.0) == 17.0
    rod = cylinder_body("rod", 10.0, 50.0, (40.0, -20.0, 5.0))
    # 24 facets whose corners stand 0.03 mm outside and whose flats 0.03 mm inside the circle
    assert clearance(a, rod) == pytest.approx(25.0, abs=0.04)
    assert clearance(woofer(), shell()[5]) == pytest.approx(D - T - 140.0)


def test_union_counts_common_volume_once():
    assert union_volume([cube("a", 0, 0, 0), cube("b", 5, 0, 0)]) == pytest.approx(1500.0)
    outside = W * D * H
    assert union_volume(shell()) == pytest.approx(outside - BARE, rel=1e-12)


def test_mass_and_centre_of_a_plain_cabinet():
    mass, centre = mass_and_centre(shell())
    assert mass == pytest.approx((W * D * H - BARE) * 1e-9 * 680.0, rel=1e-12)
    assert centre == pytest.approx((0.0, D / 2, H / 2))
    heavy, _ = mass_and_centre([dataclasses.replace(p, material="MDF") for p in shell()])
    assert heavy / mass == pytest.approx(750.0 / 680.0)


def test_mass_of_bodies_and_their_stated_centres():
    parts = [cube("a", 0, 0, 0, mass_kg=1.0),
             Body("b", cube("b", 0, 0, 0).solid, "driver", 3.0, centre=(25.0, 5.0, 5.0)),
             cube("plug", 500, 0, 0, kind="air plug"),
             cube("lead", 0, 100, 0, kind="ballast")]
    mass, centre = mass_and_centre(parts, {"ballast": 4.0e6})
    assert mass == pytest.approx(8.0)
    assert centre == pytest.approx(((5 + 75 + 20) / 8, (5 + 15 + 420) / 8, 5.0))


def test_unknown_masses_are_named_and_nothing_weighs_nothing():
    with pytest.raises(ValueError, match="not known of horn, top"):
        mass_and_centre([cube("horn", 0, 0, 0), cube("a", 0, 0, 0, mass_kg=1.0),
                         dataclasses.replace(shell()[3], material="oak")])
    with pytest.raises(ValueError, match="weighs"):
        mass_and_centre([])


def test_sheets_have_their_densities():
    # from memory, kg/m3
    assert {"birch plywood": 680.0, "MDF": 750.0, "chipboard": 650.0}.items() <= DENSITIES.items()

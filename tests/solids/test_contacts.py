"""Whether a part only touches a panel, told flat, against the booleans of solids."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from speakerwright.solids.assembly import collisions
from speakerwright.solids.bodies import box_body, cone_driver, cylinder_body, tube
from speakerwright.solids.contacts import only_touches
from speakerwright.solids.meshes import bounds, centroid, triangles
from speakerwright.solids.panels import Placement, hole, plain, pocket
from speakerwright.solids.shapes import circle, rectangle

from .boxes import HOLES, T, on_front, port, shell, turned, woofer


def sheet(*features):
    return plain("sheet", 300.0, 200.0, 18.0, Placement((0, 0, 18), (1, 0, 0), (0, 1, 0))
                 ).with_feature(*features)


def touches(panel, body):
    return only_touches(panel, *triangles(body.room))


def test_what_fills_its_hole_touches():
    baffle = shell(*HOLES)[4]
    assert touches(baffle, woofer())
    assert touches(baffle, port())
    assert not touches(baffle, tube(76, 3, 150, (-100, 120)))  # a millimetre too thick
    assert not touches(baffle, tube(74, 3, 150, (-100.2, 120)))  # or beside its hole


def test_a_flange_in_its_rebate_touches():
    x, z = on_front(0.0, 500.0)
    rebate = pocket(circle(x, z, 281.0), 10.0, "outside", "rebate", circle=(x, z, 281.0))
    baffle = shell(HOLES[0], rebate)[4]
    flush = cone_driver("woofer", 280, 250, 10, 140, 180, 60, (0, 500), 10.0)
    assert touches(baffle, flush)
    deeper = cone_driver("woofer", 280, 250, 10, 140, 180, 60, (0, 500), 10.01)
    assert not touches(baffle, deeper)


def test_a_board_in_its_rabbet_touches():
    groove = pocket(rectangle(0, 0, 300, 18), 6.0, "inside", "rabbet")
    assert touches(sheet(groove), box_body("b", (0, 0, -100), (300, 18, 6)))
    assert not touches(sheet(groove), box_body("b", (0, 0, -100), (300, 18, 6.001)))
    assert not touches(sheet(groove), box_body("b", (0, 0, -100), (300, 18.001, 6)))
    assert touches(sheet(groove), box_body("b", (0, 0, -100), (300, 200, 0)))


def test_a_part_through_a_panel_without_corners_in_it_is_noticed():
    assert not touches(sheet(), box_body("b", (10, 10, -50), (20, 20, 50)))
    assert touches(sheet(hole(150, 100, 60, "h")), cylinder_body("c", 60, 100, (150, 100, -50),
                                                                 (0, 0, 1)))


@pytest.mark.parametrize("seed", range(40))
def test_never_against_the_booleans(seed):
    """What is said to touch has no volume in common; random cylinders, boxes and features."""
    rng = random.Random(seed)
    cuts = [hole(rng.uniform(0, 300), rng.uniform(0, 200), rng.uniform(10, 120), "h"),
            pocket(rectangle(20, 30, rng.uniform(60, 320), rng.uniform(50, 220)),
                   rng.uniform(1, 17), rng.choice(["inside", "outside"]), "p")]
    panel = sheet(*cuts)
    said = 0
    for _ in range(30):
        at = [rng.uniform(-20, 320), rng.uniform(-20, 220), rng.uniform(-60, 60)]
        if rng.random() < 0.5:
            body = cylinder_body("b", rng.uniform(2, 50), 40.0, at,
                                 tuple(rng.choice([(0, 0, 1), (1, 0, 0), (1, 1, 1)])))
        else:
            body = box_body("b", at, [v + rng.uniform(1, 50) for v in at])
        if touches(panel, body):
            said += 1
            assert (panel.solid() ^ body.room).volume() < 1e-6
        assert panel.near(body.room.bounding_box()).volume() >= (
            panel.solid() ^ body.room).volume() - 1e-6
        near = (panel.near(body.room.bounding_box()) ^ body.room).volume()
        assert near == pytest.approx((panel.solid() ^ body.room).volume(), rel=1e-9, abs=1e-6)
    assert said  # some do


def test_collisions_are_those_of_whole_solids():
    panels = shell(*HOLES)
    panels = turned(panels, np.eye(3), np.array([0.0, 0.0, 0.0]))
    brace = box_body("brace", (-20.0, 100.0, 480.0), (20.0, 382.0, 520.0))
    found = collisions([*panels, woofer(), port(), brace, tube(80, 3, 150, (0, 200))])
    assert [(c.a, c.b) for c in found] == [("baffle", "port"), ("woofer", "brace")]
    ring = math.pi * 43.0**2 * T
    assert found[0].volume_mm3 == pytest.approx(ring, rel=1e-6)


def test_a_panels_centre_is_its_solids():
    panel = shell(*HOLES)[4].with_feature(pocket(rectangle(0, 0, 100, 50), 7.0, "inside", "p"))
    assert panel.centre == pytest.approx(centroid(panel.solid()), abs=1e-6)
    assert panel.net_volume == pytest.approx(panel.solid().volume(), rel=1e-9)
    assert panel.bounding_box == pytest.approx(bounds([panel.solid()]))

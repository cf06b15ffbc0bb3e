import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.solids.bodies import air_plug, box_body, cylinder_body
from speakerwright.solids.chambers import chambers, middle_of
from speakerwright.solids.meshes import Manifold, contains
from speakerwright.solids.panels import Panel, Placement, cutout, pocket
from speakerwright.solids.shapes import rectangle

from .boxes import (
    BARE,
    CLEAR,
    HOLES,
    SHELF_Z,
    D,
    T,
    W,
    port,
    rotation,
    shelf,
    shell,
    turned,
    without,
    woofer,
)


def test_an_empty_box_has_its_clear_volume():
    (air,) = chambers(shell())
    assert air.volume_mm3 == pytest.approx(BARE, rel=1e-9)
    assert air.solid.volume() == pytest.approx(air.volume_mm3, rel=1e-4)  # stands back by the seal
    assert air.solid.bounding_box() == pytest.approx((-182, 18, 18, 182, 382, 682), abs=2e-3)
    assert air.seed == pytest.approx((0.0, 200.0, 350.0), abs=0.01)
    assert air.name == "chamber 1"


@settings(max_examples=15, deadline=None)
@given(st.floats(0, 6.28), st.floats(0, 3.14), st.floats(0, 6.28))
def test_it_keeps_it_wherever_it_stands(a, b, c):
    panels = turned([*shell(), shelf()], rotation(a, b, c), np.array([310.0, -777.0, 91.0]))
    upper, lower = chambers(panels)
    assert upper.volume_mm3 == pytest.approx(CLEAR[0] * CLEAR[1] * 432.0, rel=1e-7)
    assert lower.volume_mm3 == pytest.approx(CLEAR[0] * CLEAR[1] * 214.0, rel=1e-7)


def test_a_cylinder_takes_its_volume():
    bar = cylinder_body("bar", 60.0, CLEAR[1], (20.0, T, 300.0))
    (air,) = chambers(shell(), [bar])
    assert air.volume_mm3 == pytest.approx(BARE - math.pi * 900.0 * CLEAR[1], rel=1e-9)


def test_a_windowed_brace_takes_its_wood_only():
    # upright, from side to side, with a window 200 x 300
    place = Placement((-W / 2 + T, 200.0, T), (1, 0, 0), (0, 0, 1))
    brace = Panel("brace", rectangle(0, 0, CLEAR[0], CLEAR[2]), 15.0, place,
                  (cutout(rectangle(82, 150, 282, 450), "window"),))
    (air,) = chambers([*shell(), brace])
    wood = (CLEAR[0] * CLEAR[2] - 200 * 300) * 15.0
    assert air.volume_mm3 == pytest.approx(BARE - wood, rel=1e-9)


def test_a_slot_port_takes_board_and_channel():
    # a channel 60 mm high over the bottom, under a board 15 mm thick and 250 mm deep
    mouth = cutout(rectangle(0, 0, CLEAR[0], 60.0), "slot")
    panels = shell(mouth)
    place = Placement((-W / 2 + T, T, T + 75.0), (1, 0, 0), (0, 1, 0))
    board = Panel("board", rectangle(0, 0, CLEAR[0], 250.0), 15.0, place)
    channel = box_body("channel", (-W / 2 + T, T, T), (W / 2 - T, T + 250, T + 60), kind="air plug")
    (air,) = chambers([*panels, board], [channel, air_plug(panels[4], "slot")])
    assert air.volume_mm3 == pytest.approx(BARE - CLEAR[0] * 250.0 * 75.0, rel=1e-9)
    (left_open,) = chambers([*panels, board], [channel])  # still closed: the channel is solid
    assert left_open.volume_mm3 == pytest.approx(air.volume_mm3, rel=1e-9)
    assert chambers([*panels, board]) == ()


def test_two_chambers_with_driver_and_port():
    upper, lower = chambers([*shell(*HOLES), shelf()], [woofer(), port()])
    # the driver's basket begins in its hole: the hole's air beside it belongs to the chamber
    basket = math.pi * 80 * (125**2 + 125 * 90 + 90**2) / 3 + math.pi * 90**2 * 60
    above = CLEAR[0] * CLEAR[1] * 432.0 + math.pi * 125**2 * T - basket
    assert upper.volume_mm3 == pytest.approx(above, rel=1e-9)
    below = CLEAR[0] * CLEAR[1] * 214.0 - math.pi * 40**2 * (150 - T)
    assert lower.volume_mm3 == pytest.approx(below, rel=1e-9)
    for air in (upper, lower):
        assert contains(air.solid, air.seed)


def test_chambers_take_their_names_from_points_in_them():
    seeds = {"low": (0.0, 200.0, 100.0), "mid": (0.0, 300.0, 600.0)}
    airs = chambers([*shell(), shelf()], seeds=seeds)
    assert [a.name for a in airs] == ["mid", "low"]
    assert {a.name: a.seed for a in airs} == seeds


@pytest.mark.parametrize("name", ["left", "bottom", "top", "baffle", "back"])
def test_a_box_without_one_board_has_no_chamber(name):
    assert chambers(without(shell(), name)) == ()


def test_without_the_shelf_or_the_port_there_is_one_chamber():
    whole, drive, vent = [*shell(*HOLES), shelf()], woofer(), port()
    assert len(chambers(without(whole, "shelf"), [drive, vent])) == 1
    assert len(chambers(whole, [drive])) == 1
    assert len(chambers([*shell(*HOLES), shelf(7.0)], [drive, vent])) == 1


def test_a_gap_above_the_seal_joins_and_below_it_does_not():
    assert len(chambers([*shell(), shelf(0.003)])) == 1
    airs = chambers([*shell(), shelf(0.0015)])
    assert len(airs) == 2
    total = BARE - CLEAR[0] * (CLEAR[1] - 0.0015) * T
    assert sum(a.volume_mm3 for a in airs) == pytest.approx(total, rel=1e-6)


def test_joints_with_clearance_close_with_a_wider_seal():
    # a shelf 0.2 mm clear of grooves 6 mm deep all round
    def grooved(panel, shape):
        return panel.with_feature(pocket(shape, 6.0, "inside", "groove"))
    left, right, bottom, top, baffle, back = shell()
    low, high = SHELF_Z - T - 0.1, SHELF_Z + 0.1
    panels = [grooved(left, rectangle(12, low, 388, high)),
              grooved(right, rectangle(12, low, 388, high)), bottom, top,
              grooved(baffle, rectangle(0, low - T, CLEAR[0], high - T)),
              grooved(back, rectangle(0, low - T, CLEAR[0], high - T))]
    place = Placement((-W / 2 + 12.1, 12.1, SHELF_Z), (1, 0, 0), (0, 1, 0))
    loose = Panel("shelf", rectangle(0, 0, W - 24.2, D - 24.2), T, place)
    assert len(chambers([*panels, loose])) == 1
    upper, lower = chambers([*panels, loose], seal=0.3)
    assert upper.volume_mm3 == pytest.approx(CLEAR[0] * CLEAR[1] * 432.0, rel=1e-5)
    assert lower.volume_mm3 == pytest.approx(CLEAR[0] * CLEAR[1] * 214.0, rel=1e-5)


def test_what_floats_in_a_chamber_is_taken_from_it_and_its_hollow_is_another():
    ball = box_body("can", (-50, 150, 300), (50, 250, 400))
    hollow = Manifold.cube((60.0, 60.0, 60.0)).translate((-30.0, 170.0, 320.0))
    ball = dataclasses.replace(ball, solid=ball.solid - hollow)
    outer, inner = chambers(shell(), [ball])
    assert outer.volume_mm3 == pytest.approx(BARE - 1e6, rel=1e-9)
    # half the sealing width is given back along the walls; along the edges it stays off
    assert inner.volume_mm3 == pytest.approx(60.0**3, rel=4e-9)
    assert not contains(outer.solid, (0.0, 200.0, 350.0))
    assert contains(outer.solid, outer.seed)
    assert contains(inner.solid, inner.seed)
    assert len(chambers(shell(), [ball], least=300e3)) == 1


def test_nothing_has_no_chambers():
    assert chambers([]) == ()
    assert chambers([shelf()]) == ()


def test_an_air_without_room_for_a_line_is_refused():
    with pytest.raises(ValueError, match="no line"):
        middle_of(Manifold())

import math

import pytest

from speakerwright.solids.leaks import leaks
from speakerwright.solids.panels import cutout, hole
from speakerwright.solids.shapes import rectangle

from .boxes import HOLES, SHELF_Z, D, T, W, on_front, port, shelf, shell, without, woofer

SEEDS = {"mid": (0.0, 260.0, 470.0), "low": (0.0, 200.0, 120.0)}


def whole(short=0.0, *more):
    return [*shell(*HOLES, *more), shelf(short)]


def test_a_sound_cabinet_has_no_leak():
    assert leaks(whole(), [woofer(), port()], SEEDS) == ()


@pytest.mark.parametrize("short", [0.5, 7.0, 40.0])
def test_a_shelf_too_short_joins_two_chambers_and_is_found(short):
    (leak,) = leaks(whole(short), [woofer(), port()], SEEDS)
    assert (leak.chamber, leak.into) == ("mid", "low")
    assert leak.width == pytest.approx(short, rel=0.03, abs=0.03)
    x, y, z = leak.where
    assert y == pytest.approx(D - T - short / 2, abs=0.1 + 0.02 * short)
    assert z == pytest.approx(SHELF_Z - T / 2, abs=1.0)
    assert abs(x) < W / 2 - T
    assert set(leak.near) == {"shelf", "back"}
    assert leak.opening == ""


def test_a_missing_port_is_found_in_its_hole():
    (leak,) = leaks(whole(), [woofer()], SEEDS)
    assert (leak.chamber, leak.into) == ("low", "outside")
    assert (leak.near, leak.opening) == (("baffle",), "port")
    assert leak.width == pytest.approx(80.0, rel=0.02)
    assert leak.where == pytest.approx((-100.0, T / 2, 120.0), abs=2.0)


def test_a_missing_driver_is_found_in_its_hole():
    (leak,) = leaks(whole(), [port()], SEEDS)
    assert (leak.chamber, leak.into, leak.opening) == ("mid", "outside", "woofer")


def test_a_forgotten_cable_hole_is_found_through_the_shelf_and_through_the_back():
    panels = whole()
    panels[6] = panels[6].with_feature(hole(60.0, 60.0, 10.0, "cable"))
    (leak,) = leaks(panels, [woofer(), port()], SEEDS)
    assert (leak.chamber, leak.into, leak.opening) == ("mid", "low", "cable")
    assert leak.width == pytest.approx(10.0, rel=0.02)
    assert leak.where == pytest.approx((-W / 2 + T + 60.0, T + 60.0, SHELF_Z - T / 2), abs=0.5)
    panels = whole()
    panels[5] = panels[5].with_feature(cutout(rectangle(50, 500, 90, 512), "terminal"))
    (leak,) = leaks(panels, [woofer(), port()], SEEDS)
    assert (leak.into, leak.near, leak.opening) == ("outside", ("back",), "terminal")
    assert leak.width == pytest.approx(12.0, rel=0.02)


def test_a_hole_too_large_for_its_flange_is_found_between_them():
    # the flange is 280 mm wide, its hole 284
    panels = [*shell(hole(*on_front(0, 500), 284.0, "woofer"), HOLES[1]), shelf()]
    (leak,) = leaks(panels, [woofer(), port()], SEEDS)
    assert (leak.chamber, leak.into, leak.opening) == ("mid", "outside", "woofer")
    assert set(leak.near) == {"woofer", "baffle"}
    assert leak.width == pytest.approx(2.0, rel=0.03)
    assert math.hypot(leak.where[0], leak.where[2] - 500.0) == pytest.approx(140.0, abs=0.3)


def test_a_missing_back_is_where_the_rays_get_out():
    upper, lower = leaks(without(whole(), "back"), [woofer(), port()], SEEDS)
    assert (upper.chamber, upper.into, lower.chamber) == ("mid", "outside", "low")
    for leak, low, high in ((upper, SHELF_Z, 682.0), (lower, T, SHELF_Z - T)):
        assert leak.width is None
        x, y, z = leak.where
        assert y == pytest.approx(D)
        assert abs(x) < 60.0
        assert low < z < high


def test_a_missing_shelf_is_half_way_between_the_points():
    (leak,) = leaks(without(whole(), "shelf"), [woofer(), port()], SEEDS)
    assert (leak.chamber, leak.into, leak.width) == ("mid", "low", None)
    assert leak.where == pytest.approx((0.0, 230.0, 295.0))


def test_a_point_inside_a_part_is_refused():
    with pytest.raises(ValueError, match="the point given for low is inside a part"):
        leaks(whole(), [woofer(), port()], {"low": (0.0, 200.0, 240.0)})


def test_without_parts_all_is_outside():
    (leak,) = leaks([], [], {"low": (0.0, 0.0, 0.0)})
    assert (leak.into, leak.where) == ("outside", None)

"""Balance and wind by hand."""

from __future__ import annotations

import math

import pytest

from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.safety import balance
from speakerwright.acoustics.safety.balance import Part

BOX = [(-0.2, 0.0), (0.2, 0.0), (0.2, 0.3), (-0.2, 0.3)]


def test_centre_of_gravity_by_hand():
    """A 20 kg box and an 8 kg driver at its front: (20 x 0.2 + 8 x 0.05) / 28 back, and so on."""
    found = balance.centre_of_gravity([Part(20.0, 0.0, 0.2, 0.5), Part(8.0, 0.07, 0.05, 0.8)])
    assert found.mass == 28.0
    assert (found.x, found.y, found.z) == pytest.approx(
        (0.56 / 28.0, 4.4 / 28.0, 16.4 / 28.0), rel=1e-12)


def test_tips_over_the_nearest_edge():
    """0.1 m from the front, 0.6 m high: atan(1/6) = 9.462 degrees, towards the front."""
    found = balance.tipping(BOX, Part(30.0, 0.05, 0.1, 0.6))
    assert found.lever == pytest.approx(0.1, rel=1e-12)
    assert found.angle_deg == pytest.approx(9.46232, rel=1e-6)
    assert found.toward == pytest.approx((0.0, -1.0), abs=1e-12)
    assert found.angle_deg < balance.TILT_DEG


def test_the_other_way_round_and_a_tripod():
    assert balance.tipping(BOX[::-1], Part(30.0, 0.05, 0.1, 0.6)).lever == pytest.approx(0.1)
    legs = [(math.cos(a), math.sin(a)) for a in (0.5, 0.5 + 2.0944, 0.5 + 4.1888)]
    found = balance.tipping(legs, Part(10.0, 0.0, 0.0, 1.0))
    assert found.lever == pytest.approx(0.5, abs=1e-4)  # half the radius
    assert math.hypot(*found.toward) == pytest.approx(1.0, rel=1e-12)


def test_a_centre_outside_the_feet_falls_by_itself():
    found = balance.tipping(BOX, Part(30.0, 0.0, -0.05, 0.5))
    assert found.lever == pytest.approx(-0.05)
    assert found.angle_deg == pytest.approx(-math.degrees(math.atan(0.1)), rel=1e-9)


def test_push_and_slide_by_hand():
    """30 kg, 0.1 m, pushed at 1.2 m: 30 x 9.80665 x 0.1 / 1.2 = 24.517 N; slides at 147 N."""
    assert balance.tipping_force(30.0, 0.1, 1.2) == pytest.approx(24.516625, rel=1e-9)
    assert balance.sliding_force(30.0, 0.5) == pytest.approx(147.09975, rel=1e-9)


def test_wind_by_hand():
    """20 m/s on 0.5 m^2 with 1.3 and 1.2 kg/m^3: 240 x 1.3 x 0.5 = 156 N."""
    air = StatedAir(1.2, 343.0)
    assert balance.wind_force(20.0, 0.5, air=air) == pytest.approx(156.0, rel=1e-12)
    assert balance.wind_force(20.0, 0.5, 1.05, air) == pytest.approx(126.0, rel=1e-12)
    assert balance.wind_force(0.0, 0.5) == 0.0
    speed = balance.tipping_wind(30.0, 0.1, 0.6, 0.5, air=air)
    assert speed == pytest.approx(11.2128, rel=1e-5)  # root of 49.03325 / 0.39
    assert balance.wind_force(speed, 0.5, air=air) == pytest.approx(
        balance.tipping_force(30.0, 0.1, 0.6), rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: balance.centre_of_gravity([]), "needs a part"),
        (lambda: Part(0.0, 0.0, 0.0, 0.0), "above zero"),
        (lambda: Part(1.0, math.nan, 0.0, 0.0), "finite"),
        (lambda: balance.tipping(BOX[:2], Part(1.0, 0.0, 0.1, 0.1)), "three corners"),
        (lambda: balance.tipping([(0, 0), (1, 1), (1, 0), (0, 1)], Part(1.0, 0.5, 0.5, 0.1)),
         "convex"),
        (lambda: balance.tipping([(0, 0), (2, 0), (1, 0.2), (1, 2)], Part(1.0, 0.5, 0.5, 0.1)),
         "convex"),
        (lambda: balance.tipping(BOX, Part(1.0, 0.0, 0.1, 0.0)), "height"),
        (lambda: balance.tipping_angle_deg(0.1, 0.0), "height"),
        (lambda: balance.tipping_force(10.0, -0.1, 1.0), "within the feet"),
        (lambda: balance.tipping_force(10.0, math.nan, 1.0), "within the feet"),
        (lambda: balance.sliding_force(10.0, 0.0), "friction"),
        (lambda: balance.wind_force(-1.0, 0.5), "negative"),
        (lambda: balance.wind_force(1.0, 0.0), "area"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()

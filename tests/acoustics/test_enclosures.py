import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.potential.axisymmetric import tube
from speakerwright.acoustics import enclosures
from speakerwright.acoustics.enclosures import Enclosure, image_sum

CUBE = Enclosure(1.0, 1.0, 1.0)
BOX = Enclosure(0.414, 0.632, 0.264)
share = st.floats(0.05, 0.95)


def test_middle_of_a_cube():
    # the constant of a simple cubic lattice with an even background, -2.837297 (memory)
    assert image_sum(CUBE, (0.5, 0.5, 0.5), (0.5, 0.5, 0.5)) == pytest.approx(-2.837297, abs=1e-6)


@given(share, share, share, share, share, share)
@settings(max_examples=25, deadline=None)
def test_source_and_place_change_roles(a, b, c, d, e, f):
    here = (a * BOX.width, b * BOX.height, c * BOX.depth)
    there = (d * BOX.width, e * BOX.height, f * BOX.depth)
    if math.dist(here, there) > 1e-3:
        one = image_sum(BOX, here, there)
        assert image_sum(BOX, there, here) == pytest.approx(one, rel=1e-9, abs=1e-9)


def test_mean_over_the_box_is_zero():
    source = (0.1, 0.5, 0.2)
    axes = [(np.arange(n) + 0.5) / n * side
            for n, side in zip((11, 13, 9), (BOX.width, BOX.height, BOX.depth), strict=True)]
    found = [image_sum(BOX, source, (x, y, z)) for x in axes[0] for y in axes[1] for z in axes[2]]
    assert np.mean(found) == pytest.approx(0.0, abs=0.15)
    assert np.std(found) > 1.5


def test_close_to_a_wall_its_image_rules():
    for near in (1e-3, 1e-4):
        place = (near, 0.3, 0.1)
        assert image_sum(BOX, place, place) * 2.0 * near == pytest.approx(1.0, abs=10.0 * near)


def test_on_a_wall_the_source_counts_twice():
    # what lies on a floor is one in a box of twice the height with twice the strength
    floor = image_sum(BOX, (0.2, 0.0, 0.1), (0.2, 0.0, 0.1))
    tall = Enclosure(BOX.width, 2.0 * BOX.height, BOX.depth)
    middle = image_sum(tall, (0.2, BOX.height, 0.1), (0.2, BOX.height, 0.1))
    assert floor == pytest.approx(2.0 * middle, rel=1e-9)


def test_a_small_hole_in_the_middle_of_a_round_box():
    # by finite elements, against a square box of the same area; free, before the wall, in the box
    side = 8.0 * math.sqrt(math.pi)
    box, place = Enclosure(side, side, 16.0), (side / 2, side / 2, 8.0)
    whole = tube(0.05, gap=8.0, box=(8.0, 16.0), growth=1.6) - tube(0.05, growth=1.6)
    assert enclosures.enclosed_end(math.pi, box, place) == pytest.approx(whole, rel=0.05)


def test_bad_places_are_refused():
    with pytest.raises(ValueError, match="inside"):
        image_sum(BOX, (0.5, 0.1, 0.1), (0.1, 0.1, 0.1))
    with pytest.raises(ValueError, match="depth"):
        Enclosure(1.0, 1.0, 0.0)
    assert BOX.volume == pytest.approx(0.414 * 0.632 * 0.264)

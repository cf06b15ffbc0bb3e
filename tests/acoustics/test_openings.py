import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import ends, openings


@given(st.floats(2.0, 50.0), st.floats(1.001, 2.0))
def test_twin_openings_fade_with_distance_towards_their_far_limit(distance, farther):
    near = openings.twin_openings(1.0, distance)
    assert near > openings.twin_openings(1.0, distance * farther)
    # The next term of the series is a^3 / (4 s^3) of the first one's a / (2 s): from above.
    far = openings.mutual_end(1.0, distance)
    assert far < near < far * (1.0 + 0.75 / distance**2)


def test_twin_openings_by_a_sum_over_both_discs():
    # Brute force over equal-area rings of both discs.
    n = 24
    r = np.sqrt((np.arange(n) + 0.5) / n)
    angle = 2 * math.pi * (np.arange(n) + 0.5) / n
    x, y = (np.outer(r, part(angle)).ravel() for part in (np.cos, np.sin))
    apart = np.hypot(3.0 + x[:, None] - x[None, :], y[:, None] - y[None, :])
    expected = 0.5 * np.mean(1.0 / apart)
    assert openings.twin_openings(1.0, 3.0) == pytest.approx(expected, rel=1e-4)


def test_several_ports():
    row = [[0.0, 0.0], [0.3, 0.0], [0.6, 0.0]]
    outside = openings.mutual_outside(0.05, row)
    assert list(outside) == pytest.approx(
        [0.05**2 / 2 * (1 / 0.3 + 1 / 0.6), 0.05**2 / 2 * (2 / 0.3), outside[0]]
    )
    assert list(openings.mutual_inside(0.05, row)) == pytest.approx(list(outside / 2))
    assert list(openings.mutual_outside(0.05, [[0.0, 0.0]])) == [0.0]


def test_overlapping_ports_are_refused():
    for bad in (
        lambda: openings.mutual_end(0.05, 0.09),
        lambda: openings.twin_openings(0.05, 0.09),
        lambda: openings.mutual_outside(0.05, [[0.0, 0.0], [0.09, 0.0]]),
    ):
        with pytest.raises(ValueError, match="overlap"):
            bad()
    with pytest.raises(ValueError, match="pairs"):
        openings.mutual_outside(0.05, [0.1, 0.2])


@given(st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_rectangle_is_the_same_turned_and_below_the_disc_of_its_area(width, height):
    found = openings.rectangle_end(width, height)
    assert found == pytest.approx(openings.rectangle_end(height, width), rel=1e-9)
    disc = ends.piston_end(math.sqrt(width * height / math.pi))
    assert 0.0 < found < disc


@given(st.floats(0.001, 0.99))
def test_slit_in_a_duct_fades_as_it_fills_the_duct(ratio):
    assert openings.slit_in_duct_end(ratio, 1.0) >= 0.0
    small, large = (openings.slit_in_duct_end(r, 1.0) / r for r in (ratio, ratio * 1.01))
    assert large < small


def test_slit_in_a_duct():
    assert openings.slit_in_duct_end(0.03, 0.03) == pytest.approx(0.0, abs=1e-15)
    # A thirty-degree slit: cosec is two.
    assert openings.slit_in_duct_end(0.1, 0.3) == pytest.approx(0.2 / math.pi * math.log(2.0))
    with pytest.raises(ValueError, match="higher"):
        openings.slit_in_duct_end(0.3, 0.1)


@given(st.floats(1.0, 12.0), st.floats(0.3, 50.0))
def test_slot_grows_with_aspect_and_closeness(aspect, gap):
    found = openings.slot_one_wall_end(aspect, 1.0, gap)
    assert openings.slot_one_wall_end(aspect * 1.02, 1.0, gap) > found
    assert openings.slot_one_wall_end(aspect, 1.0, gap * 0.98) > found
    assert openings.slot_one_wall_end(aspect, 1.0) < found


def test_square_slot_is_half_of_a_free_one_of_two_to_one():
    # By its image in the wall; the free end of that, as of a disc of its area less what a piston
    # of two to one has less than a round one.
    radius = math.sqrt(0.1 * 0.2 / math.pi)
    shape = openings.rectangle_end(0.1, 0.2) / ends.piston_end(radius)
    expected = shape * ends.unflanged_end(radius, 0.01)
    assert openings.slot_one_wall_end(0.1, 0.1) == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize("slot", [(0.02, 0.03), (0.0, 0.0), (0.1, 0.03, 0.0), (0.1, 0.03, -1.0)])
def test_bad_slots_are_refused(slot):
    with pytest.raises(ValueError, match="must be"):
        openings.slot_one_wall_end(*slot)

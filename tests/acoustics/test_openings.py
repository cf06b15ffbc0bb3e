import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acoustics.potential.sections import beside_walls
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


@pytest.mark.parametrize("distance", [2.5, 4.0])
def test_twin_openings_by_potential_flow(distance):
    # uniform velocity against the true flow; a wall midway is the other opening's image
    grid = {"flush": True, "around": 2, "fine": 0.05, "growth": 2.5, "reach": 40.0}
    near = beside_walls(0.0, 0.5 * distance, **grid).correction()
    alone = beside_walls(0.0, 40.0, **{**grid, "reach": 400.0}).correction() - 0.25 / 40.0
    assert openings.twin_openings(1.0, distance) == pytest.approx(near - alone, rel=0.01)


@given(st.floats(0.02, 0.5), st.floats(0.02, 0.5), st.floats(1.0, 20.0))
def test_two_rectangles_lie_between_far_limit_and_contact(width, height, apart):
    distance = apart * height
    found = openings.like_rectangle_end(width, height, distance)
    far = width * height / (2.0 * math.pi * distance)
    assert 0.0 < found < far * (1.0 + 2.0 / apart**2)
    touching = openings.like_rectangle_end(width, height, height)
    whole = openings.rectangle_end(width, 2.0 * height)
    assert touching == pytest.approx(whole - openings.rectangle_end(width, height), rel=1e-9)
    assert found <= touching * (1.0 + 1e-9)


def test_two_far_squares_are_two_sources():
    found = openings.like_rectangle_end(0.1, 0.1, 2.0)
    # two points of two discs of that area, far apart
    assert found == pytest.approx(0.01 / (4.0 * math.pi), rel=1e-3)
    with pytest.raises(ValueError, match="overlap"):
        openings.like_rectangle_end(0.1, 0.1, 0.09)

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acoustics.potential.sections import beside_walls
from speakerwright.acoustics import ends, neighbours

GRID = {"around": 2, "fine": 0.05, "growth": 2.5, "reach": 40.0}


@pytest.mark.parametrize(("wall", "side"), [(0.05, 1.45), (0.12, 2.5)])
def test_side_wall_by_potential_flow(wall, side):
    mouth = beside_walls(wall, side, **GRID)
    for gap in (0.7, 3.0, math.inf):
        law = ends.facing_wall_end(1.0, wall, gap) + neighbours.side_walls_end(
            1.0, wall, (side,), gap)
        assert law == pytest.approx(mouth.correction(gap), rel=0.003)


@given(st.floats(1.0, 25.0), st.floats(0.0, 0.3), st.floats(0.25, 20.0), st.floats(1.01, 2.0))
def test_a_nearer_side_wall_lengthens_the_end(side, wall, gap, farther):
    near = neighbours.side_walls_end(1.0, wall, (side,), gap)
    assert near > neighbours.side_walls_end(1.0, wall, (side * farther,), gap) > 0.0
    corner = neighbours.side_walls_end(1.0, wall, (side, side), gap)
    assert corner > 2.0 * near
    assert neighbours.side_walls_end(0.05, 0.05 * wall, (0.05 * side,), 0.05 * gap) == (
        pytest.approx(0.05 * near, rel=1e-9))


def test_far_walls_are_images():
    one = neighbours.side_walls_end(0.05, 0.002, (2.0,))
    assert one == pytest.approx(0.05**2 / 16.0, rel=1e-9)
    both = neighbours.side_walls_end(0.05, 0.002, (2.0, 1.5), 3.0)
    images = sum(1.0 / s + 1.0 / math.hypot(s, 3.0) for s in (2.0, 1.5, 2.5))
    assert both == pytest.approx(0.05**2 / 8.0 * images, rel=1e-9)


def test_a_neighbour_is_a_wall_midway():
    # far apart a^2 / (4 s)
    far = neighbours.pair_inside_end(0.05, 0.003, 3.5)
    assert far == pytest.approx(0.05**2 / 14.0, rel=1e-9)
    near = neighbours.pair_inside_end(0.05, 0.003, 0.15, 0.1)
    assert near == neighbours.side_walls_end(0.05, 0.003, (0.075,), 0.1)


def test_what_makes_no_port_is_refused():
    for bad in (
        lambda: neighbours.side_walls_end(0.05, 0.0, (0.04,)),
        lambda: neighbours.pair_inside_end(0.05, 0.0, 0.09),
        lambda: neighbours.side_walls_end(0.05, 0.0, (0.1, 0.1, 0.1)),
    ):
        with pytest.raises(ValueError, match=r"must not|no more"):
            bad()

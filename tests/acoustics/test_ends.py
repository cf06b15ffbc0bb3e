import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acoustics.potential.axisymmetric import tube
from speakerwright.acoustics import ends

radii = st.floats(0.005, 0.3)
walls = st.floats(0.0, 0.3)


@given(radii, walls, st.floats(1e-5, 0.1))
def test_a_thicker_wall_lengthens_the_end_up_to_the_flange(radius, wall, more):
    thin = ends.unflanged_end(radius, wall)
    thick = ends.unflanged_end(radius, wall + more)
    assert ends.UNFLANGED * radius <= thin < thick <= ends.flanged_end(radius)


@given(radii, st.floats(1e-6, 5.0))
def test_free_end_scales_with_the_tube(radius, ratio):
    assert ends.unflanged_end(radius, ratio * radius) == pytest.approx(
        radius * ends.unflanged_end(1.0, ratio), rel=1e-9
    )


def test_free_end_runs_to_its_published_limits():
    assert ends.unflanged_end(0.04) == pytest.approx(0.6127 * 0.04, rel=1e-12)
    assert ends.unflanged_end(0.04, math.inf) == pytest.approx(0.82167 * 0.04, rel=1e-12)


@pytest.mark.parametrize("wall", [0.0, 0.03, 0.28, 1.5, 6.0])
def test_free_end_by_potential_flow(wall):
    # the tables hold other walls; this grid is itself 0.01 % low
    assert ends.unflanged_end(1.0, wall) == pytest.approx(tube(wall, growth=1.6), rel=5e-4)


@pytest.mark.parametrize(
    ("wall", "gap"), [(0.0, 0.35), (0.03, 0.28), (0.07, 0.85), (0.3, 1.7), (1.4, 0.6), (3.0, 5.0)]
)
def test_facing_wall_by_potential_flow(wall, gap):
    found = ends.facing_wall_end(1.0, wall, gap)
    assert found == pytest.approx(tube(wall, gap=gap, growth=1.6), rel=7e-4)


@given(radii, st.floats(0.0, 0.1), st.floats(0.05, 40.0), st.floats(1.001, 2.0))
def test_a_nearer_wall_lengthens_the_end(radius, wall_ratio, gap_ratio, farther):
    wall, gap = wall_ratio * radius, gap_ratio * radius
    near = ends.facing_wall_end(radius, wall, gap)
    far = ends.facing_wall_end(radius, wall, gap * farther)
    assert near > far > ends.unflanged_end(radius, wall)


@given(st.floats(0.05, 40.0), st.floats(0.0, 0.1))
def test_a_thicker_wall_lengthens_the_end_before_a_wall(gap, wall):
    assert ends.facing_wall_end(1.0, wall + 0.01, gap) > ends.facing_wall_end(1.0, wall, gap)


def test_below_its_range_the_increment_goes_as_one_over_the_gap():
    free = ends.unflanged_end(0.05, 0.0025)
    at = ends.facing_wall_end(0.05, 0.0025, 0.0125) - free
    half = ends.facing_wall_end(0.05, 0.0025, 0.00625) - free
    assert half == pytest.approx(2.0 * at, rel=1e-9)
    assert ends.facing_wall_valid(0.05, 0.0125)
    assert ends.facing_wall_valid(0.05, math.inf)
    assert not ends.facing_wall_valid(0.05, 0.0124)
    assert list(ends.FACING_WALL_RANGE) == [0.25, math.inf]


def test_no_wall_is_a_free_end():
    assert ends.facing_wall_end(0.05, 0.003, math.inf) == ends.unflanged_end(0.05, 0.003)


@pytest.mark.parametrize("gap", [0.0, -0.01, math.nan])
def test_gap_must_be_above_zero(gap):
    with pytest.raises(ValueError, match="gap"):
        ends.facing_wall_end(0.05, 0.0, gap)


@given(st.floats(1.0, 100.0))
def test_a_larger_flange_lengthens_the_end(ratio):
    found = ends.flange_end(1.0, ratio)
    assert 0.6133 <= found <= 0.8216
    assert ends.flange_end(1.0, ratio * 1.01) > found


@given(st.floats(0.02, 0.88))
def test_a_wider_duct_lengthens_the_step(ratio):
    for law in (ends.step_end, ends.step_end_fit):
        assert law(0.02, 0.02 / (ratio * 0.99)) > law(0.02, 0.02 / ratio) >= 0.0


def test_limits_of_the_step():
    assert ends.step_end(0.02, 0.02) == pytest.approx(0.0, abs=1e-6)
    assert ends.step_end(0.02, 2.0) == pytest.approx(ends.piston_end(0.02), rel=0.013)
    assert ends.step_end_fit(0.02, 200.0) == pytest.approx(ends.flanged_end(0.02), rel=2e-4)
    assert ends.step_end_ingard(0.02, 0.1) == pytest.approx(ends.step_end(0.02, 0.1), rel=0.013)
    assert ends.step_end_ingard(0.04, 0.1) == pytest.approx(0.5 * ends.piston_end(0.04))
    assert ends.step_end_fit(0.02, 0.0201) == 0.0


def test_bad_dimensions_are_refused():
    for bad in (
        lambda: ends.unflanged_end(0.0),
        lambda: ends.unflanged_end(0.05, -0.001),
        lambda: ends.flanged_end(-1.0),
        lambda: ends.piston_end(0.0),
        lambda: ends.flange_end(0.05, 0.04),
        lambda: ends.step_end(0.05, 0.04),
        lambda: ends.step_end_fit(0.05, 0.04),
        lambda: ends.step_end_ingard(0.0402, 0.1),
    ):
        with pytest.raises(ValueError, match=r"must|holds"):
            bad()


def test_an_infinite_flange_before_a_wall_has_no_value():
    with pytest.raises(ValueError, match="infinite"):
        ends.facing_wall_end(0.05, math.inf, 0.05)

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.potential.slit import slot_across
from speakerwright.acoustics import openings, slits


@pytest.mark.parametrize(
    ("wall", "box", "gap", "behind"),
    [(0.3, 8.0, 3.0, 6.0), (0.3, 8.0, 0.5, 6.0), (0.5, 3.0, 1.0, 4.0), (0.3, 8.0, 1.0, 0.5)],
)
def test_slot_across_by_finite_elements(wall, box, gap, behind):
    found = slits.slot_across_end(1.0, wall, box, gap, behind)
    assert found == pytest.approx(slot_across(wall, box, gap, behind), rel=1e-3)


@pytest.mark.parametrize("box", [1.5, 3.0, 12.0])
def test_a_long_duct_ahead_leaves_the_conformal_step(box):
    # no room beside the board; a closed duct's even swelling adds a third of its depth
    whole = slits.slot_across_end(1.0, box, box, 60.0, 0.0)
    step = slits.step_in_duct_end(1.0, box)
    assert whole - 60.0 / 3.0 / box == pytest.approx(step, abs=5e-4)


def test_step_against_the_thin_slit():
    # for a small slot the two conformal solutions differ by (2 / pi)(1 - ln(8 / pi)) heights
    thin = openings.slit_in_duct_end(1.0, 200.0)
    step = slits.step_in_duct_end(1.0, 200.0)
    assert step - thin == pytest.approx((2.0 - 2.0 * math.log(8.0 / math.pi)) / math.pi, abs=1e-4)
    assert slits.step_in_duct_end(0.3, 0.3) == 0.0


@given(st.floats(0.01, 0.1), st.floats(0.0, 0.03), st.floats(4.0, 20.0), st.floats(0.1, 0.6),
       st.floats(1.0, 10.0))
@settings(max_examples=30, deadline=None)
def test_a_nearer_wall_lengthens_the_end(height, wall, tall, closeness, deep):
    box, gap, behind = tall * height, closeness * height, deep * height
    near = slits.slot_across_end(height, wall, box, gap, behind + 0.05 * gap)
    far = slits.slot_across_end(height, wall, box, 1.05 * gap, behind)
    assert near > far > 0.0  # the same box
    scaled = slits.slot_across_end(2 * height, 2 * wall, 2 * box, 2 * gap, 2 * behind)
    assert scaled == pytest.approx(
        2 * slits.slot_across_end(height, wall, box, gap, behind), rel=1e-6)


@given(st.floats(0.1, 4.0), st.floats(0.0, 6.0))
@settings(max_examples=20, deadline=None)
def test_a_mouth_near_the_baffle_runs_into_a_hole_in_it(gap, thick):
    hole = slits.slot_across_end(1.0, thick, 8.0, gap, 0.0)
    assert slits.slot_across_end(1.0, thick, 8.0, gap, 1e-5) == pytest.approx(hole, rel=2e-3)


def test_a_slot_as_high_as_its_box_is_a_closed_tube():
    assert slits.slot_across_end(0.1, 0.0, 0.1, 0.3, 0.2) == pytest.approx(0.1)


def test_bad_slots_are_refused():
    for bad in (
        lambda: slits.slot_across_end(0.2, 0.01, 0.1, 0.1, 0.1),
        lambda: slits.slot_across_end(0.1, -0.01, 0.2, 0.1, 0.1),
        lambda: slits.slot_across_end(0.1, 0.01, 0.2, 0.1, -0.1),
        lambda: slits.slot_across_end(0.1, 0.01, 0.2, 0.0, 0.1),
        lambda: slits.step_in_duct_end(0.2, 0.1),
    ):
        with pytest.raises(ValueError, match="must"):
            bad()

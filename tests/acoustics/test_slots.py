import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acoustics.potential.sections import flush_rectangle, rectangle
from speakerwright.acoustics import ends, openings, slots


def test_rectangular_tube_by_potential_flow():
    mouth = rectangle(2.5, 1.0, 0.3, reach=40.0, fine=0.08, growth=3.2)
    for gap in (0.7, 1.3, 4.0, math.inf):
        found = slots.rectangular_tube_end(5.0, 2.0, 0.3, gap)
        assert found == pytest.approx(mouth.correction(gap), rel=0.004)


def test_flush_rectangle_by_potential_flow():
    found = slots.flush_rectangle_end(0.2, 0.05)
    mouth = flush_rectangle(4.0, 1.0, reach=40.0, fine=0.05, growth=2.5)
    assert found == pytest.approx(0.025 * mouth.correction(), rel=0.003)


@given(st.floats(1.0, 19.0), st.floats(0.0, 2.0), st.floats(0.3, 50.0))
def test_rectangle_grows_with_size_and_closeness(aspect, wall, gap):
    found = slots.rectangular_tube_end(aspect, 1.0, wall, gap)
    assert slots.rectangular_tube_end(1.0, aspect, wall, gap) == pytest.approx(found, rel=1e-9)
    assert slots.rectangular_tube_end(aspect * 1.04, 1.0, wall, gap) > found
    assert slots.rectangular_tube_end(aspect, 1.0, wall, gap * 0.97) > found
    assert found > slots.rectangular_tube_end(aspect, 1.0, wall)
    assert slots.rectangular_tube_end(3 * aspect, 3.0, 3 * wall, 3 * gap) == pytest.approx(
        3 * found, rel=1e-9)


@given(st.floats(1.0, 40.0), st.floats(0.0, 5.0))
def test_free_rectangle_lies_between_thin_and_flush(aspect, wall):
    found = slots.rectangular_tube_end(aspect, 1.0, wall)
    assert found < slots.rectangular_tube_end(aspect, 1.0, wall + 0.1)
    assert found < slots.flush_rectangle_end(aspect, 1.0)
    assert slots.rectangular_tube_end(aspect, 1.0, math.inf) == pytest.approx(
        slots.flush_rectangle_end(aspect, 1.0), rel=1e-9)


def test_a_square_is_nearly_a_disc():
    radius = 0.1 / math.sqrt(math.pi)
    assert slots.flush_rectangle_end(0.1, 0.1) / ends.flanged_end(radius) == pytest.approx(
        0.985, abs=0.003)
    # true flow carries less energy than a piston's, by 2 to 4 %
    for aspect in (1.0, 3.0, 12.0):
        share = slots.flush_rectangle_end(aspect, 1.0) / openings.rectangle_end(aspect, 1.0)
        assert 0.96 < share < 0.985


def test_far_wall_is_one_image():
    added = (slots.rectangular_tube_end(0.3, 0.1, 0.01, 8.0)
             - slots.rectangular_tube_end(0.3, 0.1, 0.01))
    assert added == pytest.approx(0.03 / (8.0 * math.pi * 8.0), rel=0.01)


def test_slot_on_one_wall_is_half_of_a_free_one():
    found = slots.slot_one_wall_end(0.3, 0.05, 0.1, 0.018)
    assert found == pytest.approx(slots.rectangular_tube_end(0.3, 0.1, 0.018, 0.1), rel=1e-12)
    plain = slots.slot_one_wall_end(0.3, 0.05)
    assert plain == pytest.approx(slots.rectangular_tube_end(0.3, 0.1, 0.005), rel=1e-12)


def test_where_slots_are_computed():
    assert slots.slot_valid(0.3, 0.05, 0.0075)
    assert not slots.slot_valid(0.3, 0.05, 0.0074)
    assert not slots.slot_valid(0.05, 1.01)


@pytest.mark.parametrize("slot", [(0.02, 0.03), (0.0, 0.0), (0.1, 0.03, 0.0), (0.1, 0.03, -1.0)])
def test_bad_slots_are_refused(slot):
    with pytest.raises(ValueError, match="must be"):
        slots.slot_one_wall_end(*slot)

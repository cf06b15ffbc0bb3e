import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import rooms

SPEED = 343.99
volumes = st.floats(10.0, 1e4)


@given(volumes, st.floats(0.1, 5.0))
def test_absorption_and_time_are_inverse(volume, time):
    area = rooms.absorption_area(volume, time, SPEED)
    assert rooms.sabine_time(volume, area, SPEED) == pytest.approx(time)


@given(volumes, st.floats(0.01, 0.95))
def test_eyring_lies_below_sabine_and_meets_it_in_live_rooms(volume, absorption):
    eyring = rooms.eyring_time(volume, 200.0, absorption, SPEED)
    sabine = rooms.sabine_time(volume, 200.0 * absorption, SPEED)
    assert eyring < sabine < eyring * (1.0 + absorption / (1.0 - absorption))


@given(st.floats(1.0, 30.0), st.floats(1.0, 1000.0))
def test_at_the_critical_distance_both_fields_are_equal(factor, area):
    distance = rooms.critical_distance(factor, area)
    found = rooms.direct_and_reverberant(100.0, factor, distance, area)
    assert float(found.direct_db) == pytest.approx(float(found.reverberant_db))
    assert float(found.total_db) == pytest.approx(float(found.direct_db) + 10 * math.log10(2.0))


def test_fields_are_broadcast_with_frequency_last():
    found = rooms.direct_and_reverberant(
        [90.0, 91.0, 92.0], 2.0, np.array([[1.0], [4.0]]), [10.0, 20.0, 40.0]
    )
    assert found.total_db.shape == (2, 3)
    assert found.direct_db[0] - found.direct_db[1] == pytest.approx(20 * math.log10(4.0))
    assert found.reverberant_db[0] == pytest.approx(found.reverberant_db[1])


@given(st.floats(40.0, 120.0), st.floats(0.1, 50.0), st.floats(0.1, 50.0))
def test_distances_can_be_chained(level, first, second):
    there = rooms.level_at_db(level, first)
    assert float(rooms.level_at_db(there, second, first)) == pytest.approx(
        float(rooms.level_at_db(level, second))
    )


def test_gains_of_full_space_are_nothing():
    assert rooms.power_gain_db(4 * math.pi) == 0.0
    assert rooms.volume_velocity_gain_db(4 * math.pi) == 0.0
    assert rooms.power_gain_db(0.5 * math.pi) == pytest.approx(9.0309, abs=1e-4)


def test_power_level_and_direct_level_are_inverse():
    power = rooms.power_level_from_direct_db(90.0, 4.0, 2.0)
    assert float(rooms.direct_and_reverberant(power, 4.0, 2.0, 50.0).direct_db) == pytest.approx(
        90.0
    )


def test_statistics_limit():
    assert rooms.statistics_limit(0.5, 50.0) == pytest.approx(200.0)


@given(st.tuples(*[st.floats(0.2, 8.0)] * 3), st.integers(1, 30))
def test_modes_are_those_of_an_ample_search(size, count):
    orders = np.arange(31)
    grid = np.meshgrid(*(orders / side for side in size), indexing="ij")
    all_of_them = np.sort(0.5 * SPEED * np.sqrt(sum(axis**2 for axis in grid)).ravel())
    # Orders to 30 hold every mode up to the thirtieth along the longest side.
    found = rooms.room_modes(size, count, SPEED)
    assert found == pytest.approx(all_of_them[1 : count + 1], rel=1e-9)


def test_bad_rooms_are_refused():
    for bad in (
        lambda: rooms.sabine_time(0.0, 10.0, SPEED),
        lambda: rooms.eyring_time(50.0, 90.0, 1.0, SPEED),
        lambda: rooms.room_constant(90.0, 0.0),
        lambda: rooms.critical_distance(1.0, 0.0),
        lambda: rooms.power_gain_db(0.0),
        lambda: rooms.statistics_limit(0.0, 50.0),
        lambda: rooms.room_modes((1.0, 0.0, 1.0), 3, SPEED),
    ):
        with pytest.raises(ValueError, match="must"):
            bad()

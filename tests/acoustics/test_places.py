"""Image sources: against the definition, against integrals over all directions, against limits."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import places, rooms
from speakerwright.acoustics.places import Boundary

SPEED = 343.99
GRID = np.geomspace(10.0, 1000.0, 241)
CORNER = (Boundary(0, 0.9), Boundary(1, 0.6), Boundary(2, -0.4))
inside = st.floats(-3.0, 0.3)


def power_over_directions(frequency, points):
    """Power over that of one source in free space: the far field's square over all directions."""
    z, share = np.polynomial.legendre.leggauss(60)
    turn = np.linspace(0.0, 2.0 * math.pi, 120, endpoint=False)
    z, turn = z[:, None], turn[None, :]
    flat = np.sqrt(1.0 - z**2)
    way = np.stack(np.broadcast_arrays(flat * np.cos(turn), flat * np.sin(turn), z), axis=-1)
    k = 2.0 * math.pi * frequency / SPEED
    field = np.abs(np.exp(1j * k * way @ points.T).sum(axis=-1)) ** 2
    return float(np.sum(share[:, None] * field) / (2.0 * turn.size))


@pytest.mark.parametrize("count", [0, 1, 2, 3])
def test_power_near_planes_tends_to_that_of_the_solid_angle(count):
    near = places.power_gain([1.0], [0.01, 0.02, 0.03][:count], SPEED)[0]
    assert near == pytest.approx(2.0**count, rel=1e-5)
    assert 10.0 * math.log10(near) == pytest.approx(
        rooms.power_gain_db(4.0 * math.pi / 2**count), abs=1e-4)
    assert places.power_gain([4e5], [1.0, 1.1, 1.3][:count], SPEED)[0] == pytest.approx(
        1.0, abs=1e-3)


@pytest.mark.parametrize("axes", [(0,), (1,), (2,), (0, 1), (0, 2), (1, 2), (0, 1, 2)])
@pytest.mark.parametrize("frequency", [60.0, 140.0, 260.0])
def test_power_is_that_of_the_far_field(axes, frequency):
    """The images' field is alike on all sides of rigid planes: before them is its share."""
    planes = [plane for plane in CORNER if plane.axis in axes]
    found, _ = places.images(np.zeros((1, 3)), planes)
    whole = power_over_directions(frequency, found.reshape(-1, 3))
    law = places.power_gain([frequency], [abs(plane.at) for plane in planes], SPEED)[0]
    assert whole / len(found) == pytest.approx(law, rel=1e-10)


def test_power_near_reflecting_planes():
    """sin(x)/x at 2kd is 0.9 for x = 0.786683 (recomputed); the corner's term has both factors."""
    frequency = 0.786683 * SPEED / (4.0 * math.pi)  # x at 1 m
    assert places.power_gain([frequency], [1.0], SPEED, 0.5)[0] == pytest.approx(1.45, abs=1e-6)
    both = places.power_gain([frequency], [1.0, 0.0], SPEED, 0.5)[0]
    assert both == pytest.approx(1.0 + 0.45 + 0.5 + 0.25 * 0.9, abs=1e-6)


def test_radiation_of_neighbours():
    row = np.array([[0.0, 0.0, 0.0], [0.7, 0.0, 0.0], [0.7, 0.4, 0.1]])
    for frequency in (40.0, 200.0, 450.0):
        found = places.radiation_gain([frequency], row, SPEED)
        assert found.shape == (3, 1)
        assert found.sum() == pytest.approx(power_over_directions(frequency, row), rel=1e-10)
    close = places.radiation_gain([0.5], row, SPEED)
    assert close == pytest.approx(3.0, rel=1e-4)


def test_pressure_over_one_plane_by_hand():
    """Source 0.5 m over a floor, seat 3 m off and 1.2 m high: 3.08058 m direct, 3.44819 m over it.

    Recomputed: sqrt(3^2 + 0.7^2) and sqrt(3^2 + 1.7^2).
    """
    seat = [[0.0, -3.0, 0.7]]
    floor = Boundary(2, -0.5, 0.8)
    direct, longer = math.sqrt(9.49), math.sqrt(11.89)
    for frequency in (50.0, 333.0, 900.0):
        k = 2.0 * math.pi * frequency / SPEED
        want = 1.0 + 0.8 * direct / longer * np.exp(-1j * k * (longer - direct))
        found = places.pressure_gain([frequency], [[0.0, 0.0, 0.0]], seat, SPEED, (floor,))
        assert found[0, 0] == pytest.approx(want, rel=1e-12)
    assert places.extra_path([0.0, 0.0, 0.0], seat, floor)[0] == pytest.approx(longer - direct)


@given(st.tuples(inside, inside, st.floats(-0.3, 2.0)), st.tuples(inside, inside, inside))
def test_source_and_seat_may_change_places(one, other):
    one, other = np.array(one), np.array(other)
    other[2] = abs(other[2])
    if np.linalg.norm(one - other) < 0.05:
        return
    f = [35.0, 120.0, 400.0]
    there = places.pressure_gain(f, one, other, SPEED, CORNER)
    back = places.pressure_gain(f, other, one, SPEED, CORNER)
    assert there == pytest.approx(back, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("plane", CORNER)
def test_nothing_flows_through_a_rigid_plane(plane):
    """Close before the plane the pressure has no slope across it; with -1 it vanishes there."""
    source = np.array([[0.1, 0.05, 0.2]])
    towards = math.copysign(1.0, plane.at)
    spots = []
    for step in (0.0, 1e-3, 2e-3):
        spot = np.array([-0.7, -0.9, 0.8])
        spot[plane.axis] = plane.at - towards * step
        spots.append(spot)

    def pressure(planes):
        gain = places.pressure_gain([210.0], source, spots, SPEED, planes)[:, 0]
        far = np.linalg.norm(np.array(spots) - source, axis=1)
        return gain * np.exp(-2j * math.pi * 210.0 / SPEED * far) / far

    rest = tuple(p for p in CORNER if p is not plane)
    on, near, further = pressure((*rest, plane))
    # without slope the first step is a quarter of the second
    assert abs(near - on) == pytest.approx(abs(further - on) / 4.0, rel=1e-2)
    soft = pressure((*rest, Boundary(plane.axis, plane.at, -1.0)))
    assert abs(soft[0]) < 1e-12 < abs(soft[1])


def test_close_sources_add_by_pressure():
    """n in one spot are 20 lg n; a row tends to it at low frequency."""
    seats = np.array([[1.0, -4.0, 0.5], [-2.0, -6.0, 0.0]])
    for count in (2, 3, 4):
        spot = np.zeros((count, 3))
        assert places.pressure_gain(GRID, spot, seats, SPEED) == pytest.approx(count)
        row = spot.copy()
        row[:, 0] = 0.02 * (np.arange(count) - 0.5 * (count - 1))
        found = np.abs(places.pressure_gain([20.0], row, seats, SPEED))
        assert 20.0 * np.log10(found) == pytest.approx(20.0 * math.log10(count), abs=0.01)


def test_a_pair_cancels_where_one_is_half_a_wave_late():
    pair = np.array([[-0.5, 0.0, 0.0], [0.5, 0.0, 0.0]])
    seat = np.array([[1000.0, 0.0, 0.0]])
    f = [SPEED / 2.0, SPEED]  # half a wave and a whole one between them
    found = np.abs(places.pressure_gain(f, pair, seat, SPEED))[0]
    assert found == pytest.approx([0.0, 2.0], abs=2e-3)


def test_the_direct_path_is_the_time_reference():
    seats = np.array([[0.0, -2.0, 0.0], [3.0, -4.0, 0.0]])
    assert places.pressure_gain(GRID, np.zeros((1, 3)), seats, SPEED) == pytest.approx(1.0)
    moved = places.pressure_gain(
        [100.0], [[0.0, -0.5, 0.0]], seats[:1], SPEED, centre=[0.0, 0.0, 0.0])[0, 0]
    assert moved == pytest.approx(2.0 / 1.5 * np.exp(2j * math.pi * 100.0 / SPEED * 0.5))


def test_the_lowest_cancelled_frequency_is_the_notch():
    source, seat, wall = np.zeros((1, 3)), np.array([[0.5, -3.0, 0.2]]), Boundary(1, 0.7)
    extra = places.extra_path(source[0], seat, wall)
    fine = np.linspace(50.0, 240.0, 19001)
    gain = np.abs(places.pressure_gain(fine, source, seat, SPEED, (wall,)))[0]
    assert fine[np.argmin(gain)] == pytest.approx(
        places.cancelled_frequency(extra, SPEED)[0], abs=0.02)
    with pytest.raises(ValueError, match="above zero"):
        places.cancelled_frequency([0.0], SPEED)


def test_images_of_a_corner():
    found, strengths = places.images([[0.1, 0.2, 0.3]], (
        Boundary(0, 1.0, 0.5), Boundary(1, 2.0, 0.25), Boundary(2, -1.0, -1.0)))
    assert found.shape == (8, 1, 3)
    assert found[0, 0] == pytest.approx([0.1, 0.2, 0.3])
    assert found[-1, 0] == pytest.approx([1.9, 3.8, -2.3])
    assert sorted(strengths) == pytest.approx(
        sorted([1.0, 0.5, 0.25, -1.0, 0.125, -0.5, -0.25, -0.125]))


def test_what_cannot_be_is_refused():
    seat, source = [[0.0, -2.0, 0.0]], [[0.0, 0.0, 0.0]]
    with pytest.raises(ValueError, match="another axis"):
        places.images(source, (Boundary(0, 1.0), Boundary(0, -1.0)))
    with pytest.raises(ValueError, match="three coordinates"):
        places.images([[0.0, 1.0]])
    with pytest.raises(ValueError, match="one side"):
        places.pressure_gain([50.0], source, seat, SPEED, (Boundary(1, -1.0),))
    with pytest.raises(ValueError, match="where a source stands"):
        places.pressure_gain([50.0], source, source, SPEED)
    with pytest.raises(ValueError, match="up to three"):
        places.power_gain([50.0], [1.0] * 4, SPEED)
    with pytest.raises(ValueError, match="below zero"):
        places.power_gain([50.0], [-1.0], SPEED)
    for wrong in ((3, 0.0, 1.0), (0, math.inf, 1.0), (0, 0.0, 1.1)):
        with pytest.raises(ValueError):
            Boundary(*wrong)


def test_it_is_fast():
    """Ten seats, 241 frequencies, two cabinets with seven images each: 5 ms of processor time."""
    seats = np.array([[0.1 * n, -2.0 - n, 0.4] for n in range(10)])
    pair = np.array([[-0.3, 0.0, 0.0], [0.3, 0.0, 0.0]])
    taken = []
    for _ in range(10):
        start = time.process_time()
        places.pressure_gain(GRID, pair, seats, SPEED, (
            Boundary(0, 2.0), Boundary(1, 0.6), Boundary(2, -0.4)))
        taken.append(time.process_time() - start)
    assert min(taken) < 5e-3

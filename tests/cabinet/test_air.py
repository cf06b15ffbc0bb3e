"""The air inside: drawn as the solids leave it, its modes, and what braces and lining do to it."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.airmodes.reduced import Stopped
from speakerwright.acoustics.airmodes.responses import ChamberResponse, uniform_pressure
from speakerwright.cabinet import quiet_air_shown
from speakerwright.cabinet.air import air_of, without_braces
from speakerwright.cabinet.mode_places import SLOWED, peaks_about
from speakerwright.cabinet.quiet_air import HIGHEST, AirLoad, air_answer, reach_of
from speakerwright.cabinet.quiet_air_judgement import (
    air_unknown,
    heard_from,
    judged_air,
    lowest_heard,
)
from speakerwright.chain.air import air_loads
from speakerwright.words.blocks import Figure, Table
from speakerwright.words.errors import DesignErrors
from speakerwright.words.findings import Verdict

from .designs import cabinet, example, vented, worked

LINING = {"walls": ["back", "top", "left"], "thickness": "40 mm"}
SHELF = {"chamber": "main", "at": "232 mm", "open": 0.25}


def inside(found, room="main"):
    return air_of(found.design, found.cabinet, room)


def answered(found, room="main", **more):
    load = air_loads(found.bass.chambers[room]) if room in found.bass.chambers else None
    return air_answer(room, inside(found, room), load, **more)


@pytest.fixture(scope="module")
def hall():
    return example("harbour-hall")


@pytest.fixture(scope="module")
def hall_air(hall):
    return answered(hall)


@pytest.fixture(scope="module")
def lined():
    made = cabinet(braces=[SHELF], chambers={"main": {"lining": LINING}})
    return answered(worked(cabinet=made, bass=vented("30 L", shape="round", bore="70 mm",
                                                     wall="3 mm", tuning="45 Hz"),
                           directivity={"low": {"at": [["0 mm", "360 mm"]]}}))


def gridded(chamber):
    """Volume of a chamber's grid, m^3."""
    from speakerwright.acoustics.airmodes.elements import assembled
    from speakerwright.acoustics.airmodes.grid import made

    return float(np.sum(assembled(made(chamber, 0.08, 0)).volume))


# --- the air as it is drawn -----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["harbour-hall", "desk-pair", "barn-sub", "quay-stage"])
def test_the_volume_is_that_between_the_solids(name):
    found = example(name)
    for room in found.settled.sizes.closed_rooms:
        air = inside(found, room.name)
        assert gridded(air.chamber) == pytest.approx(air.net, rel=5e-4), room.name
        assert all(sentence.endswith(".") for sentence in air.simplified)


SHAPES = {
    "leaning front": {"outline": {"front_lean": "6 deg"}},
    "leaning front and back": {"outline": {"front_lean": "5 deg", "back_lean": "3 deg"}},
    "shoulders": {"outline": {"top_width": "200 mm", "shoulder": "300 mm"}},
    "shoulders and lean": {"outline": {"top_width": "200 mm", "shoulder": "300 mm",
                                       "front_lean": "4 deg"}},
    "tapered from the bottom": {"outline": {"top_width": "240 mm"}},
    "loose back with battens": {"back_joint": "inset",
                                "back": {"fixing": "loose", "batten": "20 mm"}},
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("brace", [None, {"chamber": "main", "at": "120 mm"},
                                   {"chamber": "main", "at": "60 mm", "kind": "upright",
                                    "behind": "150 mm"}])
def test_the_volume_of_shaped_cabinets(shape, brace):
    braces = [] if brace is None else [brace]
    found = worked(cabinet=cabinet(**SHAPES[shape], braces=braces),
                   directivity={"low": {"at": [["0 mm", "260 mm"]]}})
    air = inside(found)
    assert len(air.chamber.plates) == len(braces)
    assert gridded(air.chamber) == pytest.approx(air.net, rel=1e-2)
    if "lean" in shape:
        assert any("lean" in sentence for sentence in air.simplified)


def test_openings_stand_at_cones_and_inner_mouths(hall):
    chamber = inside(hall).chamber
    ports, cone = chamber.openings
    assert (ports.name, cone.name) == ("port", "driver low")
    length = hall.bass.chambers["main"].port.length
    assert [patch.centre for patch in ports.patches] == [
        pytest.approx((x, length, 0.098)) for x in (-0.075, 0.075)]
    side = 0.5 * math.sqrt(math.pi) * 0.106  # a thin tube's mouth reaches over its wall
    assert ports.patches[0].size == pytest.approx((side, 0.0, side))
    (patch,) = cone.patches
    assert (patch.centre[0], patch.centre[2]) == pytest.approx((0.0, 0.503))
    assert patch.size[0] * patch.size[2] == pytest.approx(0.0531)
    (brace,) = chamber.plates
    (window,) = brace.windows
    assert window.area == pytest.approx(0.5 * 0.414 * 0.264, rel=1e-6)
    assert (brace.start, brace.thickness) == pytest.approx((0.241, 0.018))
    assert without_braces(chamber).plates == ()


def test_a_brace_without_a_window_is_told_and_an_open_room_refused():
    parted = worked(cabinet=cabinet(braces=[{"chamber": "main", "at": "150 mm", "open": 0.0}]))
    with pytest.raises(DesignErrors, match="window"):
        inside(parted)
    stage = example("quay-stage")
    with pytest.raises(DesignErrors, match="open room"):
        inside(stage, "bay")
    with pytest.raises(DesignErrors, match="no such room"):
        inside(stage, "attic")


# --- its modes ------------------------------------------------------------------------------------


def test_modes_of_a_plain_room_are_those_of_the_formula():
    # f = c/2 sqrt((l/X)^2 + (m/Y)^2 + (n/Z)^2): Kuttruff, Room acoustics (memory)
    found = worked(cabinet=cabinet(height="1000 mm", chambers={"main": {"height": "446 mm"},
                                                               "top": {"height": "500 mm"}}),
                   directivity={"low": {"at": [["0 mm", "240 mm"]]}})
    air = Air()
    answer = answered(found, "top", air=air)
    sides = (0.264, 0.264, 0.5)
    expected = sorted(
        0.5 * air.speed * math.dist((0, 0, 0), [n / side for n, side in
                                                zip(order, sides, strict=True)])
        for order in product(range(4), repeat=3) if any(order))
    expected = [f for f in expected if f <= HIGHEST]
    assert len(expected) == 6
    assert answer.modes.frequency == pytest.approx(expected, rel=1e-3)
    assert answer.modes.orders[0] == (0, 0, 1)
    assert answer.modes.strong[0] == "bottom and top"
    assert answer.reach == {}
    assert judged_air(answer, 500.0) == ()


def test_a_windowed_brace_lowers_the_long_mode(hall_air):
    before, now = hall_air.without.frequency[0], hall_air.modes.frequency[0]
    assert hall_air.modes.orders[0] == hall_air.without.orders[0] == (0, 0, 1)
    assert now / before - 1.0 == pytest.approx(-0.075, abs=0.005)
    assert "lowers the lowest mode from 27" in quiet_air_shown.brace_sentence(hall_air)
    assert 0.0 < hall_air.shift_percent[0] < 1.5
    assert hall_air.volume == pytest.approx(hall_air.net, rel=1e-3)


def test_the_smaller_the_window_the_lower_the_mode():
    lowest = []
    for share in (0.6, 0.3, 0.1):
        found = worked(cabinet=cabinet(braces=[{**SHELF, "open": share}]),
                       directivity={"low": {"at": [["0 mm", "370 mm"]]}})
        chamber = replace(inside(found).chamber, openings=(), blocks=())
        answer = air_answer("main", replace(inside(found), chamber=chamber))
        assert answer.open_share == pytest.approx(share, rel=1e-3)
        lowest.append(answer.modes.frequency[0])
    assert lowest[0] > 1.1 * lowest[1] > 1.2 * lowest[2]


def test_far_below_the_modes_the_pressure_is_even():
    answer = answered(worked())
    low = answer.reach["braced"].cone_leak_db[0]
    assert answer.frequency[0] == pytest.approx(40.0)
    assert abs(low) < 0.5
    assert np.isnan(answer.reach["braced"].port_db).all()
    assert [chart.key for chart in quiet_air_shown.charts(answer)] == ["cabinet-main-air-cone"]


def test_an_even_pressure_leaks_nothing_more_and_moves_a_port_as_a_mass_on_a_spring():
    f, volume, area, length = np.array([100.0, 200.0]), 0.06, 0.0157, 0.3
    even, air = uniform_pressure(f, volume), Air()
    drag = 4000.0  # Pa s/m^3 at the cone
    transfer = np.array([[even, even], [even, even + drag]])
    tuning = air.speed / (2.0 * math.pi) * math.sqrt(area / (volume * length))
    load = AirLoad(0.05, 1e6, area, length, 0.0, tuning, 1e9)
    closed = ChamberResponse(f, ("port", "driver low"), transfer, np.array([even, even]), even,
                             np.ones(2, dtype=bool))
    found = reach_of(closed, load, air)
    assert found.port_leak_db == pytest.approx([0.0, 0.0], abs=1e-6)
    assert found.port_db == pytest.approx(
        -20.0 * np.log10((f / tuning) ** 2 - 1.0), abs=1e-3)
    omega = 2.0 * math.pi * f
    assert found.cone_db == pytest.approx(
        20.0 * np.log10(drag * 0.05**2 / (omega * 1e6)), abs=1e-3)


# --- how far they reach, and the finding ----------------------------------------------------------


def test_what_counts_as_heard():
    assert heard_from(3.0) == pytest.approx(-10.69, abs=0.005)
    assert heard_from(6.0206) == pytest.approx(-6.02, abs=0.005)
    assert heard_from(0.0) == heard_from(0.5)


def test_a_bare_mode_is_heard_and_named(hall_air):
    number, way, level = lowest_heard(hall_air, 3.0)
    assert (number, way) == (0, "port")
    assert level > 0.0
    (found,) = judged_air(hall_air, 1000.0, 3.0)
    assert found.verdict is Verdict.FAILS
    assert found.margin == pytest.approx(hall_air.modes.frequency[0] / 1000.0 - 1.0)
    assert "through the port" in found.text()
    (below,) = judged_air(hall_air, 150.0, 3.0)
    assert below.verdict is Verdict.HOLDS
    # modes across are even to cone and ports, which stand in the middle or in mirror places
    across = hall_air.modes.orders.index((1, 0, 0))
    assert all(math.isnan(level) for level in hall_air.reaches()[across])


def test_a_peak_is_found_where_openings_and_lining_have_moved_it_but_not_another_ones():
    frequency = np.linspace(100.0, 400.0, 3001)
    level = np.maximum(-np.abs(frequency - 208.0), 5.0 - np.abs(frequency - 300.0))
    modes, seen = np.array([200.0, 215.0, 300.0]), np.array([True, False, True])
    assert peaks_about(modes, seen, frequency, level) == pytest.approx([0.0, math.nan, 5.0],
                                                                       nan_ok=True)
    slowed = -np.abs(frequency - 250.0)
    assert peaks_about(modes[2:], seen[2:], frequency, slowed)[0] < -30.0
    assert peaks_about(modes[2:], seen[2:], frequency, slowed, SLOWED) == pytest.approx([0.0])
    close = np.array([280.0, 300.0])
    assert peaks_about(close, np.array([True, True]), frequency, level)[0] < 0.0
    assert math.isnan(peaks_about(modes, np.zeros(3, dtype=bool), frequency, level)[0])


def test_lining_takes_them_down(lined):
    assert lined.state == "lined"
    assert set(lined.reach) == {"bare", "braced", "lined"}
    before, after = lined.reaches("braced")[0], lined.reaches("lined")[0]
    assert after[0] < before[0] - 6.0
    assert "takes down the mode at" in quiet_air_shown.lining_sentence(lined)
    assert lined.fits_from == pytest.approx(80.0, rel=0.01)  # 0.01 of 8000 Pa s/m^2
    assert [len(chart.curves) for chart in quiet_air_shown.charts(lined)] == [3, 3]


def test_none_heard_holds_and_none_worked_out_is_unknown(hall_air):
    quiet = {state: replace(reach, port_db=reach.port_db - 60.0, cone_db=reach.cone_db - 60.0)
             for state, reach in hall_air.reach.items()}
    (found,) = judged_air(replace(hall_air, reach=quiet), 1000.0)
    assert found.verdict is Verdict.HOLDS
    assert "800" in found.text()
    (missing,) = air_unknown(["main"])
    assert missing.verdict is Verdict.UNKNOWN
    assert "cabinet air" in missing.advice()


# --- kept, shown, stopped -------------------------------------------------------------------------


def test_it_is_read_back_as_it_was_kept(lined):
    read = quiet_air_shown.read(*quiet_air_shown.kept(lined))
    assert quiet_air_shown.mode_table(read) == quiet_air_shown.mode_table(lined)
    assert read.modes.orders == lined.modes.orders
    assert np.array_equal(read.reaches("bare"), lined.reaches("bare"), equal_nan=True)
    blocks = quiet_air_shown.air_blocks(read)
    assert sum(isinstance(block, Figure) for block in blocks) == 2
    (table,) = [block for block in blocks if isinstance(block, Table)]
    assert len(table.rows) == min(lined.modes.frequency.size, quiet_air_shown.TOLD)


def test_it_stops_between_solves_and_tells_how_far_it_is():
    found = worked()
    told, asked = [], []

    def cancelled():
        asked.append(1)
        return len(asked) > 6

    with pytest.raises(Stopped):
        air_answer("main", inside(found), AirLoad(0.03, 0.03), None,
                   lambda share, says: told.append((share, says)), cancelled)
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert len(told) == 6

"""The level at the seats: nothing changes without distances, and near planes narrow the space."""

from __future__ import annotations

import math
import time
from pathlib import Path

import numpy as np
import pytest

from speakerwright.acoustics.pistons import pressure_from_volume_velocity
from speakerwright.acoustics.response import Response
from speakerwright.acoustics.screens import Perforated
from speakerwright.bass.inputs import SOLID_ANGLE
from speakerwright.bass.place import at_seats
from speakerwright.bass.surroundings import BEHIND, FLOOR, SIDE, surroundings
from speakerwright.design.file import read_project
from speakerwright.design.sections.brief import Brief
from speakerwright.words.evidence import Evidence
from speakerwright.words.findings import Verdict

ROOT = Path(__file__).parents[2]
GRID = np.geomspace(10.0, 1000.0, 241)
BAND = (40.0, 300.0)
RANGE = {"nearest": "2.5 m", "farthest": "8 m"}
CHAIR = {"points": [{"name": "chair", "distance": "3 m", "height": "1.2 m"}]}


def brief(place, seats=RANGE, **more):
    return Brief.model_validate({
        "use": "a case", "lowest": "40 Hz", "level": {"average": "90 dB", "crest": "10 dB"},
        "seats": seats, "place": place, "amplifier": {"power": "100 W", "load": "8 ohm"}, **more,
    })


def response(kind):
    """1 m from a source of 1 litre a second per volt in the plain space of a kind of place."""
    pressure = pressure_from_volume_velocity(
        GRID, np.full(GRID.size, 1e-3), 1.0, AROUND.air, SOLID_ANGLE[kind])
    return Response(GRID, pressure, Evidence.SIMULATED, "a case", (10.0, 800.0))


AROUND = surroundings(brief({"kind": "free"}))


def worked(place, seats=RANGE, band=BAND, volts=1.0, depth=None, **more):
    wanted = brief(place, seats, **more)
    return at_seats(response(place["kind"]), surroundings(wanted, depth), band, volts)


@pytest.mark.parametrize("kind", SOLID_ANGLE)
def test_without_distances_it_is_the_plain_assumption(kind):
    found = worked({"kind": kind, "wall_distance": "40 cm"}, volts=2.0)
    level = response(kind).level_db(2.0)
    for row, far in zip(found.one_db, (2.5, 8.0), strict=True):
        assert row == pytest.approx(level - 20.0 * math.log10(far))
    for gains in (found.one_gain_db, found.all_gain_db, found.power_gain_db, found.screen_db):
        assert gains == pytest.approx(0.0, abs=1e-12)
    assert found.all_db == pytest.approx(found.one_db)
    assert found.notch is None
    assert found.findings == ()


@pytest.mark.parametrize("folder", [*sorted((ROOT / "examples").iterdir()),
                                    ROOT / "tests" / "formats" / "1"], ids=lambda p: p.name)
def test_a_place_without_distances_changes_nothing(folder):
    design = read_project(folder).design
    wanted = design.with_value("brief.place.spacing", None).decided.brief
    found = at_seats(response(wanted.place.kind), surroundings(wanted), BAND)
    assert found.all_gain_db == pytest.approx(0.0, abs=1e-12)
    assert found.screen_db == pytest.approx(-wanted.place.loss)
    assert found.findings == ()


NEAR = [
    ({"kind": "floor", "to_floor": "10 mm"}, "floor"),
    ({"kind": "free", "to_floor": "10 mm"}, "floor"),
    ({"kind": "wall", "to_wall_behind": "10 mm"}, "wall"),
    ({"kind": "free", "to_side_wall": "10 mm"}, "wall"),
    ({"kind": "floor", "to_wall_behind": "10 mm", "to_side_wall": "8 mm"}, "corner"),
    ({"kind": "corner", "to_floor": "10 mm", "to_wall_behind": "10 mm",
      "to_side_wall": "8 mm"}, "corner"),
    ({"kind": "free", "to_floor": "10 mm", "to_wall_behind": "10 mm",
      "to_side_wall": "8 mm"}, "corner"),
]


@pytest.mark.parametrize(("place", "same"), NEAR)
def test_near_planes_only_narrow_the_space(place, same):
    """To 0.05 dB at low k d, at the seats and in power: no plane counts twice."""
    found = worked(place)
    low = np.searchsorted(GRID, 60.0)
    wanted = response(same).level_db(1.0)
    for row, far in zip(found.one_db, (2.5, 8.0), strict=True):
        assert row[:low] == pytest.approx(wanted[:low] - 20.0 * math.log10(far), abs=0.05)
    narrower = 10.0 * math.log10(SOLID_ANGLE[place["kind"]] / SOLID_ANGLE[same])
    assert found.power_gain_db[:low] == pytest.approx(narrower, abs=0.05)


def test_far_planes_leave_free_space():
    """A wall 19 m off: the direct sound is that of free space, and so is the power."""
    found = worked({"kind": "wall", "to_wall_behind": "19 m"},
                   {"points": [{"name": "near", "distance": "0.1 m"}]})
    assert found.one_gain_db == pytest.approx(-6.0206, abs=0.03)
    assert found.power_gain_db[-20:] == pytest.approx(-3.0103, abs=0.02)


def test_a_plane_reflects_as_much_as_it_is_said_to():
    at_10hz = worked({"kind": "free", "to_floor": "30 mm", "reflection": 0.5}).one_gain_db[:, 0]
    assert at_10hz == pytest.approx(20.0 * math.log10(1.5), abs=0.01)


def test_cabinets_of_a_channel_and_channels():
    """Four in one spot 12.04 dB; two channels 3.01 by power or 6.02 by pressure."""
    for adding, more in (("power", 3.0103), ("pressure", 6.0206)):
        found = worked({"kind": "floor"},
                       system={"channels": 2, "cabinets_per_channel": 4, "adding": adding})
        assert found.all_db - found.one_db == pytest.approx(12.0412 + more, abs=1e-4)
        assert found.all_gain_db == pytest.approx(0.0, abs=1e-12)


def test_a_row_is_one_cabinet_only_at_low_frequency():
    found = worked({"kind": "floor", "spacing": "0.6 m"}, {**RANGE, "widest": "40 deg"},
                   system={"cabinets_per_channel": 4})
    assert [seat.name for seat in found.seats] == [
        "nearest", "farthest", "nearest, widest", "farthest, widest"]
    # at 2.5 m the outer cabinets, 0.9 m aside, are 2.657 m away, the inner 2.518 m: recomputed
    near = 20.0 * math.log10(0.5 * (2.5 / 2.51794 + 2.5 / 2.65707))
    assert found.all_gain_db[:2, 0] == pytest.approx([near, -0.030], abs=0.01)
    assert found.one_gain_db == pytest.approx(0.0, abs=1e-12)
    # far off the axis the row beams: sin(4x)/(4 sin x), x = k s sin(40)/2, nothing at x = pi/4
    notch = AROUND.air.speed / (4.0 * 0.6 * math.sin(math.radians(40.0)))
    below = np.searchsorted(GRID, 1.5 * notch)
    deepest = GRID[np.argmin(found.all_gain_db[3][:below])]
    assert deepest == pytest.approx(notch, rel=0.03)
    assert found.notch is not None
    assert found.notch.cause == "row of cabinets"
    assert found.notch.distance == 0.6
    assert "0.60\u202fm apart" in found.findings[0].text()
    alone = worked({"kind": "floor", "spacing": "0.6 m"})
    assert alone.notch is None  # one cabinet has no neighbours


def test_a_wall_behind_makes_a_notch_that_is_named():
    """0.8 m before a wall, seat on the axis: 1.6 m farther, cancelled at 343.99/3.2 = 107.5 Hz."""
    found = worked({"kind": "free", "to_wall_behind": "0.8 m"}, {"points": [
        {"name": "chair", "distance": "30 m"},
        {"name": "aside", "distance": "3 m", "angle": "90 deg"},
    ]})
    notch = found.notch
    assert notch is not None
    assert (notch.seat, notch.cause, notch.distance) == ("chair", BEHIND, 0.8)
    assert notch.extra == pytest.approx(1.6)
    assert notch.frequency == pytest.approx(107.5, rel=0.02)
    (seat, power) = found.findings
    assert (seat.rule, power.rule) == ("seat_notch", "boundary_notch")
    assert seat.verdict is Verdict.FAILS
    assert seat.value == notch.level_db < seat.limit == -10.0
    assert power.limit == -3.0
    assert all(word in seat.text() for word in ("chair", "Hz", "wall behind", "0.80\u202fm",
                                                "1.60\u202fm"))
    # one plane takes 1.064 dB of power at 0.3576 waves, 153.8 Hz
    assert power.value == pytest.approx(-1.064, abs=0.01)
    assert power.figures["at"][0] == pytest.approx(153.8, rel=0.02)
    assert power.verdict is Verdict.HOLDS


def test_the_depth_of_a_notch_is_a_third_octave_s_mean():
    """Of |1 + q exp(-jkx)|^2 over a third octave, evenly in log f: integrated apart."""
    found = worked({"kind": "free", "to_wall_behind": "0.8 m"},
                   {"points": [{"name": "chair", "distance": "4 m"}]})
    notch = found.notch
    f = notch.frequency * 10.0 ** np.linspace(-0.05, 0.05, 4001)
    phase = 2.0 * math.pi * f / AROUND.air.speed * 1.6
    q = 4.0 / 5.6
    mean = np.mean(1.0 + q**2 + 2.0 * q * np.cos(phase))
    assert notch.level_db == pytest.approx(10.0 * math.log10(mean), abs=0.03)


def test_like_distances_take_the_power():
    even = worked({"kind": "free", "to_floor": "0.7 m", "to_wall_behind": "0.7 m",
                   "to_side_wall": "0.7 m"})
    uneven = worked({"kind": "free", "to_floor": "0.35 m", "to_wall_behind": "0.7 m",
                     "to_side_wall": "1.3 m"})
    power = [found.findings[1] for found in (even, uneven)]
    assert power[0].verdict is Verdict.FAILS
    assert power[0].value == pytest.approx(-11.365, abs=0.1)
    assert power[1].value > -3.0
    # the floor that is touched is no plane at a distance
    floor = worked({"kind": "floor", "to_wall_behind": "0.7 m"}).findings[1]
    assert floor.value == pytest.approx(-1.064, abs=0.01)


def test_only_the_band_is_judged():
    place = {"kind": "free", "to_wall_behind": "0.8 m"}
    low = worked(place, band=(20.0, 50.0))
    assert low.findings[0].verdict is Verdict.HOLDS
    assert low.notch.frequency <= 50.0
    assert worked(place, band=(2e3, 3e3)).findings == ()


def test_over_the_seats():
    """A flat response: smallest and largest are the seats' own, the mean is that of power."""
    wanted = brief({"kind": "free"}, {"points": [
        {"name": "a", "distance": "1 m"}, {"name": "b", "distance": "2 m"},
        {"name": "c", "distance": "10 m"}]})
    flat = Response(GRID, np.full(GRID.size, 0.02), Evidence.SIMULATED, "a case")
    levels = at_seats(flat, surroundings(wanted), BAND).levels
    assert levels.largest_db == pytest.approx(60.0)
    assert levels.smallest_db == pytest.approx(40.0)
    assert levels.mean_db == pytest.approx(60.0 + 10.0 * math.log10((1.0 + 0.25 + 0.01) / 3.0))
    assert levels.frequency[0] == pytest.approx(19.953, abs=1e-3)
    assert levels.frequency[-1] == pytest.approx(794.33, abs=1e-2)
    # power that rises as f^2 has, over a third octave, sinh(x)/x of its middle, x = 0.1 ln 10
    rising = Response(GRID, 1e-4 * GRID, Evidence.SIMULATED, "a case")
    found = at_seats(rising, surroundings(wanted), BAND).levels
    x = 0.1 * math.log(10.0)
    more = 10.0 * math.log10(math.sinh(x) / x)
    at = 20.0 * np.log10(1e-4 * found.frequency / 20e-6)
    assert found.largest_db - at == pytest.approx(more, abs=5e-3)


def test_where_seats_are():
    """3 m away, ears 1.2 m over the floor, the cabinet's centre 0.4 m: 0.8 m up, 2.891 m along."""
    seat = surroundings(brief({"kind": "free", "to_floor": "0.4 m"}, CHAIR)).seats[0]
    assert seat.at == pytest.approx((0.0, -2.8914, 0.8), abs=1e-4)
    on_floor = surroundings(brief({"kind": "floor"}, CHAIR)).seats[0]
    assert on_floor.at[2] == pytest.approx(1.2)
    assert surroundings(brief({"kind": "free"}, CHAIR)).seats[0].at == (0.0, -3.0, 0.0)
    right = {"points": [{"name": "a", "distance": "2 m", "angle": "30 deg"}]}
    assert surroundings(brief({"kind": "free"}, right)).seats[0].at == pytest.approx(
        (1.0, -math.sqrt(3.0), 0.0))
    low = {"points": [{"name": "a", "distance": "0.5 m", "height": "1.6 m"}]}
    assert surroundings(brief({"kind": "floor"}, low)).seats[0].at == pytest.approx(
        (0.0, 0.0, 0.5))
    ears = {**RANGE, "widest": "40 deg", "lowest_ear": "1.2 m", "highest_ear": "1.6 m"}
    walled = surroundings(brief({"kind": "floor", "to_side_wall": "3 m"}, ears))
    assert [seat.name for seat in walled.seats] == ["nearest", "farthest", "nearest, widest"]
    assert [seat.at[2] for seat in walled.seats] == pytest.approx([1.4] * 3)


def test_planes_by_name():
    made = surroundings(brief({"kind": "corner", "to_floor": "0.5 m", "to_side_wall": "2 m"}))
    assert {name: (p.axis, p.at) for name, p in made.planes.items()} == {
        FLOOR: (2, -0.5), SIDE: (0, 2.0)}
    assert made.touched == 1
    row = surroundings(brief({"kind": "floor", "spacing": "0.6 m"},
                             system={"cabinets_per_channel": 4})).cabinets
    assert row[:, 0] == pytest.approx([-0.9, -0.3, 0.3, 0.9])
    assert np.all(row[:, 1:] == 0.0)
    assert made.solid_angle == pytest.approx(0.5 * math.pi)


def test_the_wall_behind_the_back_counts_with_the_depth():
    place = {"kind": "free", "wall_distance": "40 cm"}
    made = surroundings(brief(place), depth=0.3)
    assert made.planes[BEHIND].at == pytest.approx(0.7)
    assert surroundings(brief(place)).planes == {}
    own = surroundings(brief({**place, "to_wall_behind": "1 m"}), depth=0.3)
    assert own.planes[BEHIND].at == 1.0
    recess = surroundings(brief({**place, "kind": "recess"}), depth=0.3)
    assert recess.planes == {}
    behind = {"points": [{"name": "back", "distance": "2 m", "angle": "150 deg"}]}
    assert surroundings(brief(place, behind), depth=0.3).planes == {}


def test_screens():
    holes = {"hole": "1.2 mm", "open": "5 %", "thickness": "0.3 mm"}
    place = {"kind": "recess", "before": "screen", "loss": "2 dB"}
    plain = worked(place)
    assert plain.screen_db == pytest.approx(-2.0)
    sheet = worked(place, screen=holes)
    assert sheet.screen_db[-1] == pytest.approx(-0.424, abs=2e-3)  # the stated loss stands back
    described = surroundings(brief(place, screen=holes))
    assert described.sheet == Perforated(1.2e-3, 0.05, 0.3e-3)
    table = worked(place, screen={**holes, "table": [["100 Hz", "0 dB"], ["1 kHz", "3 dB"]]})
    assert table.screen_db[120] == pytest.approx(0.0)
    assert table.screen_db[-1] == pytest.approx(-3.0)
    assert table.one_db - worked({"kind": "recess"}).one_db == pytest.approx(
        np.broadcast_to(table.screen_db, table.one_db.shape))
    assert table.all_gain_db == pytest.approx(0.0, abs=1e-12)


def test_results_cannot_be_written_to():
    found = worked({"kind": "free", "to_floor": "1 m"})
    for array in (found.one_db, found.all_gain_db, found.pressure, found.levels.mean_db,
                  found.gains.frequency, surroundings(brief({"kind": "free"})).cabinets):
        with pytest.raises(ValueError):
            array[0] = 0.0


def test_pressure_has_the_direct_path_as_its_time():
    """In free space the seats' phase is that of the response at 1 m."""
    found = worked({"kind": "free"})
    assert np.angle(found.pressure) == pytest.approx(math.pi / 2.0)
    assert found.one_db == pytest.approx(20.0 * np.log10(np.abs(found.pressure) / 20e-6))


def test_it_is_fast():
    """Four seats, three planes, two cabinets, findings included: 5 ms of processor time."""
    wanted = surroundings(brief(
        {"kind": "free", "to_floor": "0.5 m", "to_wall_behind": "0.6 m", "to_side_wall": "4 m",
         "spacing": "0.6 m"}, {**RANGE, "widest": "20 deg"}, system={"cabinets_per_channel": 2}))
    case, taken = response("free"), []
    for _ in range(10):
        start = time.process_time()
        at_seats(case, wanted, BAND)
        taken.append(time.process_time() - start)
    assert min(taken) < 5e-3

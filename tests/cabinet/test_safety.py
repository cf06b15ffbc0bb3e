"""Standing, wind, lifting and hanging of whole cabinets, against statics by hand and NIOSH 94-110.

The wind's drag and the floor's friction are rules of thumb, and the slope of ten degrees is that of
IEC 62368-1 from memory; what is checked is the arithmetic on them. The revised NIOSH equation is
recomputed here from its printed multipliers; its reach and its grip are from memory.
"""

from __future__ import annotations

import math

import pytest

from speakerwright.cabinet import safety
from speakerwright.cabinet.safety import Standing
from speakerwright.cabinet.safety_pages import blocks
from speakerwright.words.blocks import Caution, Paragraph, Points, Table
from speakerwright.words.findings import Verdict

from .designs import PLAIN, cabinet, design, finding, record, worked

G = 9.80665  # m/s^2, standard gravity
RULES = ("stands_firm", "wind_stands", "lift_alone", "lift_two", "hanging_load", "fire_question")
ROOM = {"volume": "100 m^3", "reverberation_time": "0.6 s"}


def brief(room=None, **place):
    made = {**PLAIN["brief"], "place": {**PLAIN["brief"]["place"], **place}}
    return made if room is None else {**made, "room": room}


def said(found):
    return [f.rule for f in found.findings["cabinet"] if f.rule in RULES]


def heavy(mass):
    return {"cone": {**record(), "mass": mass}}


def box(**changes):
    """A block of 10 kg on four corners, 0.4 m wide and 0.3 m deep, its weight a little in front."""
    given = {"ground": ((-0.2, 0.0), (0.2, 0.0), (0.2, 0.3), (-0.2, 0.3)), "mass": 10.0, "x": 0.05,
             "y": 0.12, "height": 0.4, "top": 0.8, "rise": 0.0}
    return Standing(**{**given, **changes})


# --- statics by hand --------------------------------------------------------------------------


@pytest.mark.parametrize(("way", "lever"), [
    ("forward", 0.12), ("backward", 0.18), ("left", 0.25), ("right", 0.15)])
def test_a_block_tips_over_its_edges_as_by_hand(way, lever):
    assert box().lever(way) == pytest.approx(lever, rel=1e-12)
    assert box().angle_deg(way) == pytest.approx(math.degrees(math.atan(lever / 0.4)), rel=1e-12)
    assert box().push(way) == pytest.approx(10.0 * G * lever / 0.8, rel=1e-12)


def test_on_three_feet_it_tips_sideways_over_the_slanting_edge():
    """From (0, 0.1) level to the line from (0.2, 0) to (0, 0.3): x = 0.2 (1 - 1/3)."""
    feet = box(ground=((-0.2, 0.0), (0.2, 0.0), (0.0, 0.3)), x=0.0, y=0.1)
    assert feet.lever("right") == pytest.approx(0.4 / 3.0, rel=1e-12)
    assert feet.lever("left") == pytest.approx(0.4 / 3.0, rel=1e-12)
    assert feet.lever("forward") == pytest.approx(0.1, rel=1e-12)
    assert feet.lever("backward") == pytest.approx(0.2, rel=1e-12)


def test_what_leans_over_its_edge_is_pushed_by_nothing():
    fallen = box(y=-0.01)
    assert fallen.lever("forward") == pytest.approx(-0.01)
    assert fallen.push("forward") == 0.0
    assert fallen.angle_deg("forward") < 0.0


def test_a_plain_box_stands_on_its_bottom():
    found = worked()
    stands = safety.standing(found.design, found.cabinet)
    x, y, z = (value / 1e3 for value in found.cabinet.centre_mm)
    assert (stands.rise, stands.top) == (0.0, pytest.approx(0.5))
    assert stands.lever("forward") == pytest.approx(y, rel=1e-12)
    assert stands.lever("backward") == pytest.approx(0.3 - y, rel=1e-12)
    assert stands.lever("right") == pytest.approx(0.15 - x, rel=1e-12)
    told = finding(found, "stands_firm")
    slope = math.degrees(math.atan(min(y, 0.15 - abs(x)) / z))
    assert told.value == pytest.approx(slope, rel=1e-9)
    assert told.margin == pytest.approx(slope / 10.0 - 1.0, rel=1e-9)
    assert told.verdict is Verdict.HOLDS


@pytest.mark.parametrize("count", [3, 4])
def test_feet_count_at_their_middles(count):
    """Feet 40 mm across, 30 mm from the edges: their middles stand 50 mm inside.

    The bottom lies between the sides, so that its own edges stand 18 mm inside the cabinet's.
    """
    feet = {"count": count, "height": "25 mm", "diameter": "40 mm", "inset": "30 mm"}
    found = worked(cabinet=cabinet(feet=feet))
    stands = safety.standing(found.design, found.cabinet)
    _, y, z = (value / 1e3 for value in found.cabinet.centre_mm)
    assert stands.lever("forward") == pytest.approx(y - 0.05, rel=1e-6)
    assert stands.height == pytest.approx(z + 0.025, rel=1e-9)
    assert stands.top == pytest.approx(0.525, rel=1e-12)
    half = 0.15 - 0.018 - 0.05
    beside = half if count == 4 else half * (0.25 - y) / 0.2
    assert stands.lever("right") == pytest.approx(beside, abs=1e-4)
    least = math.degrees(math.atan(min(
        y - 0.05, 0.25 - y if count == 4 else math.inf,
        half if count == 4 else beside * math.cos(math.atan2(half, 0.2))) / stands.height))
    assert finding(found, "stands_firm").value == pytest.approx(least, abs=0.02)


def test_feet_close_together_let_it_fall():
    feet = {"count": 4, "inset": "90 mm", "diameter": "30 mm", "height": "40 mm"}
    told = finding(worked(cabinet=cabinet(feet=feet)), "stands_firm")
    assert told.verdict is Verdict.FAILS
    assert told.value < 10.0


def pointed(*corners):
    """A cabinet 300 mm deep over an outline of corners in mm."""
    return {"depth": "300 mm", "sheet": "18 mm", "front_joint": "butt", "back_joint": "butt",
            "outline": {"points": [[f"{x} mm", f"{z} mm"] for x, z in corners]}}


def test_heights_count_from_the_ground_wherever_the_outline_starts():
    """The same outline, drawn 20 mm up; the driver 20 mm up with it."""
    shape = [(-200, 0), (200, 0), (100, 500), (-100, 500)]
    low = worked(cabinet=pointed(*shape), brief=brief(wind="10 m/s"))
    high = worked(cabinet=pointed(*((x, z + 20) for x, z in shape)), brief=brief(wind="10 m/s"),
                  directivity={"low": {"at": [["0 mm", "320 mm"]]}})
    for rule in ("stands_firm", "wind_stands", "lift_alone", "lift_two"):
        assert finding(high, rule).value == pytest.approx(finding(low, rule).value, rel=1e-6)


def test_what_stands_on_an_edge_or_a_baffle_is_not_known_to_stand():
    edge = worked(cabinet=pointed((0, 0), (200, 250), (0, 500), (-200, 250)))
    assert finding(edge, "stands_firm").verdict is Verdict.UNKNOWN
    assert safety.lifts(*_of(edge)).share == pytest.approx(0.5 * edge.cabinet.mass_kg, rel=1e-6)
    flange = worked(cabinet=cabinet(front_joint="butt", flange={"overhang": "20 mm"}))
    assert finding(flange, "stands_firm").verdict is Verdict.UNKNOWN
    assert safety.standing(flange.design, flange.cabinet) is None
    lifted = worked(cabinet=cabinet(front_joint="butt", flange={"overhang": "20 mm"},
                                    feet={"height": "30 mm"}))
    assert finding(lifted, "stands_firm").verdict is Verdict.HOLDS


def test_without_a_mass_nothing_is_made_up():
    found = worked({"cone": {k: v for k, v in record().items() if k != "mass"}})
    assert said(found) == []
    assert finding(found, "mass_within").verdict is Verdict.UNKNOWN
    made = blocks(found.design, found.cabinet, "metric")
    assert len(made) == 2
    assert isinstance(made[1], Paragraph)
    assert "not known" in made[1].text


# --- wind ---------------------------------------------------------------------------------------


def air_density():
    """Dry enough for a box: p / (R T) of moist air at 20 degrees, 50 %, by the ideal gas law."""
    vapour = 0.5 * 2339.0  # Pa, saturation at 20 degrees from any steam table
    return (101325.0 - vapour) / (287.05 * 293.15) + vapour / (461.5 * 293.15)


def test_the_wind_that_moves_a_plain_box():
    """Half rho v^2 Cd A at half its height, against its weight or 0.3 of it; the worst face."""
    found = worked(brief=brief(wind="10 m/s"))
    mass, (x, y, _) = found.cabinet.mass_kg, (v / 1e3 for v in found.cabinet.centre_mm)
    per = 0.5 * air_density() * 1.3
    front, side = 0.3 * 0.5, 0.3 * 0.5
    least = min(
        mass * G * min(y, 0.3 - y) / 0.25 / (per * front),
        mass * G * (0.15 - abs(x)) / 0.25 / (per * side), 0.3 * mass * G / (per * front))
    told = finding(found, "wind_stands")
    assert told.value == pytest.approx(math.sqrt(least), rel=1e-3)
    assert told.margin == pytest.approx(math.sqrt(least) / 10.0 - 1.0, abs=2e-3)
    assert "slides" in told.text()


def test_a_high_box_tips_before_it_slides():
    tall = worked(brief=brief(wind="20 m/s"),
                  cabinet=cabinet(width="300 mm", height="1200 mm", depth="240 mm"))
    mass, y = tall.cabinet.mass_kg, tall.cabinet.centre_mm[1] / 1e3
    least = mass * G * min(y, 0.24 - y) / 0.6 / (0.5 * air_density() * 1.3 * 0.3 * 1.2)
    told = finding(tall, "wind_stands")
    assert told.value == pytest.approx(math.sqrt(least), rel=1e-3)
    assert "tips it forward" in told.text()
    assert told.verdict is Verdict.FAILS


def test_a_side_that_leans_catches_less_wind():
    """A front that leans back by 10 degrees takes the side's top: its trapezium by hand."""
    found = worked(brief=brief(wind="10 m/s"), cabinet=cabinet(
        width="200 mm", height="500 mm", depth="300 mm", outline={"front_lean": "10 deg"}),
        directivity={"low": {"at": [["0 mm", "250 mm"]]}}, records=None)
    stands = safety.standing(found.design, found.cabinet)
    short = 0.3 - 0.5 * math.tan(math.radians(10.0))
    area, middle = 0.5 * 0.5 * (0.3 + short), 0.5 / 3.0 * (0.3 + 2.0 * short) / (0.3 + short)
    per = 0.5 * air_density() * 1.3
    tips_side = stands.mass * G * stands.lever("left") / middle / (per * area)
    slides = 0.3 * stands.mass * G / (per * max(area, 0.1))
    tips_front = stands.mass * G * min(stands.lever("forward"), stands.lever("backward")) / (
        0.25 * per * 0.1)
    assert finding(found, "wind_stands").value == pytest.approx(
        math.sqrt(min(tips_side, slides, tips_front)), rel=1e-3)


def test_no_wind_is_judged_that_nobody_named():
    assert "wind_stands" not in said(worked())


# --- lifting --------------------------------------------------------------------------------


def niosh(reach_cm, hands_cm, travel_cm, coupling):
    """23 kg x HM x VM x DM x CM, NIOSH 94-110 (revised 2021); recomputed."""
    return (23.0 * 25.0 / max(reach_cm, 25.0) * (1.0 - 0.003 * abs(hands_cm - 75.0))
            * (0.82 + 4.5 / travel_cm) * coupling)


def test_lifting_a_plain_box_without_handles():
    """300 x 500 x 300 mm is too high for a fair grip; 25 cm and half its depth to the hands."""
    found = worked()
    mass, (x, y, _) = found.cabinet.mass_kg, (100.0 * v / 1e3 for v in found.cabinet.centre_mm)
    lifts = safety.lifts(found.design, found.cabinet)
    away = min(y, 30.0 - y, 15.0 - abs(x))
    start, end = niosh(25.0 + away, 0.0, 75.0, 0.9), niosh(20.0 + away, 75.0, 75.0, 0.9)
    assert start < end
    assert lifts.grip == "poor"
    assert lifts.alone_limit == pytest.approx(start, rel=1e-9)
    assert lifts.two_limit == pytest.approx(niosh(25.0, 0.0, 75.0, 0.9), rel=1e-9)
    assert lifts.share == pytest.approx(0.5 * mass, rel=1e-6)
    assert lifts.team_limit == pytest.approx(4.0 / 3.0 * lifts.two_limit, rel=1e-12)
    assert finding(found, "lift_alone").value == pytest.approx(mass / start, rel=1e-9)
    told = finding(found, "lift_two")
    assert told.value == pytest.approx(0.5 * mass / lifts.two_limit, rel=1e-6)
    assert told.margin == pytest.approx((3.0 - told.value) / 3.0, rel=1e-9)


def test_a_narrow_box_is_held_from_its_side():
    narrow = worked(cabinet=cabinet(width="230 mm"))
    assert min(narrow.cabinet.centre_mm[1], 300.0 - narrow.cabinet.centre_mm[1]) > 115.0
    assert safety.lifts(*_of(narrow)).alone_limit == pytest.approx(
        niosh(25.0 + 11.5, 0.0, 75.0, 0.9), rel=1e-6)


def handled(up, **more):
    sides = [{"on": side, "at": ["150 mm", up], "cutout": ["100 mm", "60 mm"], "depth": "40 mm"}
             for side in ("left", "right")]
    return cabinet(handles=sides, **more)


def test_handles_bring_the_hands_up_and_the_grip_with_them():
    """Handles 420 mm up: hands at 42 and 117 cm, 20 cm and the centre's depth before them."""
    found = worked(cabinet=handled("420 mm"))
    y = 0.1 * found.cabinet.centre_mm[1]
    lifts = safety.lifts(found.design, found.cabinet)
    away = min(y, 30.0 - y)
    limits = (niosh(20.0 + away, 42.0, 75.0, 0.95), niosh(20.0 + away, 117.0, 75.0, 1.0))
    assert (lifts.handles, lifts.grip) == (True, "fair")
    assert lifts.alone_limit == pytest.approx(min(limits), rel=1e-9)
    assert lifts.alone_limit > safety.lifts(*_of(worked())).alone_limit


def _of(found):
    return found.design, found.cabinet


@pytest.mark.parametrize(("handles", "handy", "grip"), [
    (True, True, "good"), (True, False, "fair"), (False, True, "fair"), (False, False, "poor")])
def test_grip(handles, handy, grip):
    assert safety.grip_of(handles, handy) == grip


def test_one_handle_is_no_pair():
    one = cabinet(handles=[{"on": "left", "at": ["150 mm", "350 mm"],
                            "cutout": ["100 mm", "60 mm"], "depth": "40 mm"}])
    assert not safety.lifts(*_of(worked(cabinet=one))).handles


def test_two_along_a_deep_box_share_by_its_centre_of_gravity():
    found = worked(cabinet=cabinet(depth="420 mm"))
    y = found.cabinet.centre_mm[1] / 420.0
    lifts = safety.lifts(*_of(found))
    assert y < 0.45  # the driver is in front
    assert lifts.share == pytest.approx(found.cabinet.mass_kg * (1.0 - y), rel=1e-9)


@pytest.mark.parametrize(("mass", "alone", "two"), [
    ("5 kg", Verdict.TIGHT, Verdict.HOLDS), ("25 kg", Verdict.TIGHT, Verdict.TIGHT),
    ("80 kg", Verdict.TIGHT, Verdict.FAILS)])
def test_heavier_is_worse_and_only_what_two_cannot_lift_fails(mass, alone, two):
    found = worked(heavy(mass))
    assert finding(found, "lift_alone").verdict is alone
    assert finding(found, "lift_two").verdict is two


def test_a_light_box_is_lifted_by_one():
    small = worked(heavy("0.5 kg"), cabinet=cabinet(
        width="220 mm", height="280 mm", depth="200 mm", sheet="12 mm"),
        directivity={"low": {"at": [["0 mm", "140 mm"]]}})
    assert safety.lifts(*_of(small)).grip == "fair"
    assert finding(small, "lift_alone").verdict is Verdict.HOLDS


def test_beyond_the_equation_there_is_no_index():
    """Nearly half of 1 m and 25 cm are more than the 63 cm at which the equation ends."""
    wide = worked(cabinet=cabinet(width="1 m", depth="1 m"))
    told = finding(wide, "lift_alone")
    assert (told.verdict, told.value) == (Verdict.TIGHT, None)
    assert "beyond" in told.text()
    high = worked(cabinet=handled("1100 mm", height="1300 mm"))
    assert finding(high, "lift_two").verdict is Verdict.UNKNOWN


# --- hanging and fire -------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "asked"), [
    ("wall", True), ("recess", True), ("free", False), ("floor", False), ("corner", False)])
def test_hanging_is_worked_out_where_a_wall_is(kind, asked):
    assert ("hanging_load" in said(worked(brief=brief(kind=kind)))) is asked


def test_two_points_share_by_levers_and_the_restraint_bears_all():
    found = worked(brief=brief(kind="wall"))
    mass, x = found.cabinet.mass_kg, found.cabinet.centre_mm[0] / 1e3
    hung = safety.hung(*_of(found))
    assert sum(hung.loads) == pytest.approx(mass * G, rel=1e-12)
    assert max(hung.loads) == pytest.approx(mass * G * (0.5 + abs(x) / 0.3), rel=1e-9)
    assert hung.breaking == pytest.approx(10.0 * max(hung.loads), rel=1e-12)
    assert hung.leaning_breaking == pytest.approx(math.sqrt(2.0) * hung.breaking, rel=1e-12)
    assert hung.alone == pytest.approx(10.0 * mass * G, rel=1e-12)
    told = finding(found, "hanging_load")
    assert told.verdict is Verdict.UNKNOWN
    assert "rigger" in told.advice()


LINED = {"main": {"lining": {"walls": ["back"]}}}


@pytest.mark.parametrize(("more", "room", "asked"), [
    ({}, ROOM, False), ({"chambers": LINED}, ROOM, True), ({"grille": {}}, ROOM, True),
    ({"chambers": LINED}, None, False)])
def test_fire_is_asked_of_lining_and_cloth_in_a_room(more, room, asked):
    found = worked(cabinet=cabinet(**more), brief=brief(room))
    assert ("fire_question" in said(found)) is asked
    told = [b for b in blocks(*_of(found), "metric") if isinstance(b, Caution)]
    assert ("Fire" in [b.subject for b in told]) is asked


def test_a_screen_is_asked_about_too():
    assert safety.burns(design(brief=brief(before="screen"))) == (
        ("brief.place.before", "the screen"),)


# --- what is shown --------------------------------------------------------------------------


def test_the_chapter_says_it_in_the_readers_units_with_cautions():
    found = worked(brief=brief(kind="wall", wind="10 m/s"))
    made = blocks(*_of(found), "inch")
    tables = [b for b in made if isinstance(b, Table)]
    assert [t.heads[0] for t in tables] == [
        "Weight", "Lifted to 29 17/32\u202fin", "If it hangs from two points at its sides"]
    assert "kg" not in " ".join(cell for t in tables for row in t.rows for cell in row)
    assert {b.subject for b in made if isinstance(b, Caution)} == {"Lifting", "Standing", "Hanging"}
    assert any(isinstance(b, Points) for b in made)
    weight = dict(tables[0].rows)
    assert "network's mass not known" in weight["Mass"]
    assert "asked" in weight["Wind out of doors"]


def test_a_board_is_counted_and_said():
    board = {"on": "back", "at": ["0 mm", "120 mm"], "size": ["100 mm", "80 mm"]}
    found = worked(cabinet=cabinet(board=board))
    (mass,) = [row[1] for b in blocks(*_of(found), "metric") if isinstance(b, Table)
               for row in b.rows if row[0] == "Mass"]
    assert "board" in mass

"""Walls against the driver: known frequencies and deflections, shares of braces, what is judged."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.plates.fields import Edges, modes
from speakerwright.acoustics.plates.sheets import sheet_of
from speakerwright.cabinet.brace_places import Kept, judged_places, propose, reasons, space_of
from speakerwright.cabinet.braces import brace_gains, stood
from speakerwright.cabinet.fields import fields
from speakerwright.cabinet.panels_shown import PanelsFound, kept, panel_blocks, read
from speakerwright.cabinet.quiet_panels import (
    QUIET_DB,
    ChamberDrive,
    PanelAnswer,
    RoomAnswer,
    Walls,
    box_modes,
    judged_panels,
    lowest_air_mode,
    panel_answer,
    panels_unknown,
)
from speakerwright.words.findings import Verdict

from .test_panel_fields import brace, built

SQUARE = {"width": "400 mm", "height": "436 mm", "depth": "436 mm", "material": "MDF"}


def drive(frequency=(40.0, 60.0, 90.0, 140.0, 200.0), **more):
    """A driver of 300 cm^2 and 40 g in 60 L, 1 L/s at all frequencies."""
    f = np.asarray(frequency, dtype=float)
    given = {"room": "main", "frequency": f, "volume_velocity": np.full(f.size, 1e-3 + 0j),
             "net_volume": 0.06, "area": 0.03, "moving_mass": 0.04, "lowest": 50.0,
             "highest": 150.0, "valid_to": 300.0, **more}
    return ChamberDrive(**given)


def named(answer):
    return {field.name: k for k, field in enumerate(answer.fields)}


def test_first_frequency_of_a_square_wall_is_leissas():
    # Leissa, NASA SP-160, table 4.22 (from memory): 35.99 clamped; 2 pi^2 supported is exact
    answer = panel_answer(fields(*built(**SQUARE)), [])
    k = named(answer)["left side"]
    plate = sheet_of("MDF", 0.018)
    unit = math.sqrt(plate.bending_along / plate.mass_per_area) / (2.0 * math.pi * 0.4**2)
    assert answer.fields[k].field.width == answer.fields[k].field.height == pytest.approx(0.4)
    assert answer.clamped[k, 0] == pytest.approx(35.99 * unit, rel=1e-3)
    assert answer.supported[k, 0] == pytest.approx(2.0 * math.pi**2 * unit, rel=1e-3)
    # the same in millimetres by hand: 3.59 GPa, nu 0.25, 750 kg/m^3, 18 mm
    assert answer.clamped[k, 0] == pytest.approx(
        35.99 / (2.0 * math.pi * 0.16)
        * math.sqrt(3.59e9 * 0.018**2 / (12.0 * (1.0 - 0.0625) * 750.0)), rel=1e-3)


def navier(a, b, bending):
    """Volume per pressure of a supported plate at rest: Navier's series, Timoshenko and
    Woinowsky-Krieger, article 30 (law from memory)."""
    odd = np.arange(1.0, 60.0, 2.0)
    m, n = np.meshgrid(odd, odd, indexing="ij")
    return float(np.sum(64.0 * a * b / (math.pi**8 * bending * (m * n) ** 2
                                        * ((m / a) ** 2 + (n / b) ** 2) ** 2)))


def test_far_below_resonance_a_wall_gives_way_as_navier_says():
    answer = panel_answer(fields(*built(**SQUARE)), [drive([10.0, 20.0], lowest=5.0)])
    (room,) = answer.rooms
    air, plate = Air(), sheet_of("MDF", 0.018)
    for name, (a, b) in {"left side": (0.4, 0.4), "back": (0.364, 0.4)}.items():
        row = room.members.index(named(answer)[name])
        share = navier(a, b, plate.bending_along) * air.density * air.speed**2 / 0.06
        assert room.supported_db[row, 0] == pytest.approx(20.0 * math.log10(share), abs=0.06)
        assert np.all(room.worst_db[row] >= room.supported_db[row] - 1e-9)
        assert np.all(room.supported_db[row] > room.clamped_db[row] + 10.0)


def test_levels_count_against_what_is_radiated_and_pressure_can_be_given():
    walls = fields(*built(**SQUARE))
    plain, double, half = (panel_answer(walls, [given]).rooms[0].worst_db for given in (
        drive(), drive(radiated=np.full(5, 2e-3 + 0j)), drive(net_volume=0.12)))
    assert double == pytest.approx(plain - 20.0 * math.log10(2.0))
    assert half == pytest.approx(plain - 20.0 * math.log10(2.0))  # no force on these walls
    air, omega = Air(), 2.0 * math.pi * drive().frequency
    pressure = -air.density * air.speed**2 * 1e-3 / (1j * omega * 0.06)
    given = panel_answer(walls, [drive(pressure=pressure)]).rooms[0].worst_db
    assert given == pytest.approx(plain, abs=1e-9)


def test_a_brace_in_the_middle_makes_two_equal_fields_and_is_found():
    panels, joints, sizes = built(braces=[brace(282)])
    answer = panel_answer(fields(panels, joints, sizes), [])
    at = named(answer)
    for wall in ("left side", "back"):
        low, high = at[f"{wall}, between floor and brace"], at[f"{wall}, between brace and ceiling"]
        assert answer.clamped[low] == pytest.approx(answer.clamped[high], rel=1e-9)
    bare = [j for j in joints if "brace" not in (j.host, j.guest)]
    space = space_of(panels, bare, sizes, "main", "shelf")
    middle = judged_places(space, [0.282])
    assert middle.closest == pytest.approx(1.0)
    assert not middle.meets


@pytest.mark.parametrize(("kind", "count"), [("shelf", 1), ("shelf", 2), ("shelf", 3),
                                             ("upright", 1), ("upright", 2)])
def test_proposals_beat_even_spacing_and_keep_both_limits(kind, count):
    panels, joints, sizes = built()
    space = space_of(panels, joints, sizes, "main", kind)
    found = propose(space, count)
    clear = space.high - space.low
    gap = (clear - count * 0.018) / (count + 1)
    even = [space.low + gap * (k + 1) + 0.018 * (k + 0.5) for k in range(count)]
    assert judged_places(space, even).closest == pytest.approx(1.0, abs=1e-6)
    assert found.closest >= 1.1
    assert found.meets == (found.off_air >= 0.02)
    assert found == propose(space, count)
    # by the plates themselves, not by what was interpolated between them
    answer = panel_answer(fields(panels, stood(panels, sizes, space, found.at), sizes), [])
    wall = "left side" if kind == "shelf" else "top"
    across = 1 if kind == "shelf" else 0
    mine = sorted((k for k, field in enumerate(answer.fields) if field.panel == wall),
                  key=lambda k: answer.fields[k].bounds[across])
    assert len(mine) == count + 1
    firsts = np.array([[answer.clamped[k, 0], answer.supported[k, 0]] for k in mine])
    ratios = np.exp(np.abs(np.diff(np.log(firsts), axis=0)))
    assert ratios.min() > 1.1 * 0.995
    assert firsts[:, 0].min() >= found.lowest * 0.995
    air = box_modes((0.364, 0.314, 0.564), 800.0)
    near = np.abs(firsts[firsts < 800.0][:, None] / air - 1.0)
    if found.meets:
        assert near.size == 0 or near.min() > 0.02 - 0.005
    else:
        assert near.min() == pytest.approx(found.off_air, abs=0.005)


def test_too_alike_or_on_the_air_is_told():
    panels, joints, sizes = built()
    space = space_of(panels, joints, sizes, "main", "shelf")
    tried = [judged_places(space, [at]) for at in np.arange(0.2, 0.282, 5e-4)]
    alike = [one for one in tried if 1.091 < one.closest < 1.0999]
    apart = [one for one in tried if one.closest > 1.1001]
    assert alike
    assert not any(one.meets for one in alike)
    assert all("1.1 to 1 is wanted" in reasons(one)[0] for one in alike)
    assert not any("is wanted" in reasons(one)[0] for one in apart)
    on_air = [one for one in apart if one.off_air < 0.0199]
    off_air = [one for one in apart if one.off_air > 0.0201]
    assert on_air
    assert not any(one.meets for one in on_air)
    assert off_air
    assert all(one.meets for one in off_air)
    best = propose(space, 1)
    highest = max(one.lowest for one in apart)
    assert best.lowest >= 0.9 * highest * 0.995
    with pytest.raises(ValueError, match="one to four"):
        propose(space, 5)


def test_what_stands_in_the_way_is_kept_out_or_started_behind():
    panels, joints, sizes = built()
    free = propose(space_of(panels, joints, sizes, "main", "shelf"), 1)
    (at,) = free.at
    barred = space_of(panels, joints, sizes, "main", "shelf", [Kept(at - 0.03, at + 0.03, "port")])
    other = propose(barred, 1)
    assert not at - 0.03 < other.at[0] < at + 0.03
    behind = space_of(panels, joints, sizes, "main", "shelf",
                      [Kept(at - 0.03, at + 0.03, "driver", 0.12)])
    same = propose(behind, 1)
    assert (same.at, same.behind) == (free.at, (0.12,))
    assert "to clear driver" in reasons(same)[-1]
    met = stood(panels, sizes, behind, same.at)
    assert {joint.host for joint in met} == {"left side", "right side", "back"}
    side = next(joint for joint in met if joint.host == "right side")
    assert sorted((side.start[1], side.end[1])) == pytest.approx([120.0, 332.0])
    assert propose(space_of(panels, joints, sizes, "main", "shelf",
                            [Kept(-1.0, 1.0, "magnet")]), 1) is None


def test_a_proposal_is_quieter_than_the_wall_without_it():
    panels, joints, sizes = built(width="600 mm", height="800 mm", depth="600 mm")
    space = space_of(panels, joints, sizes, "main", "shelf")
    found = propose(space, 2)
    walls = Walls([drive()])
    before, after = (walls.answer(fields(panels, (*joints, *more), sizes)) for more in (
        (), stood(panels, sizes, space, found.at)))
    loud = [max(answer.peak_of(k)[0] for k, f in enumerate(answer.fields) if f.role == "side")
            for answer in (before, after)]
    assert loud[0] - loud[1] > 20.0


def test_gains_are_what_taking_the_brace_out_costs():
    panels, joints, sizes = built(braces=[brace(180), brace(370)])
    walls = Walls([drive()])
    first, second = brace_gains(panels, joints, sizes, walls, None, {"brace 1": 1e-3},
                                {"brace 2": 4.5})
    assert (first.volume, first.money, second.volume, second.money) == (1e-3, None, None, 4.5)
    assert {n.split(",")[0] for n in first.neighbours} == {
        "baffle", "back", "left side", "right side"}
    alone = built(braces=[brace(370)])
    then = walls.answer(fields(*alone))
    joined = [k for k, f in enumerate(then.fields) if f.name.endswith("between floor and brace")]
    assert first.without_db == pytest.approx(max(then.peak_of(k)[0] for k in joined), abs=1e-6)
    assert first.first_without == pytest.approx(min(then.clamped[k, 0] for k in joined))
    assert first.gained_db == pytest.approx(first.without_db - first.with_db)
    assert first.gained_db > 10.0
    assert first.first_with > first.first_without


def test_where_nothing_holds_a_cut_the_face_before_it_counts():
    panels, joints, sizes = built(braces=[brace(300, behind=150)])
    walls = Walls([drive()])
    found = {f.name: f for f in fields(panels, joints, sizes)}
    front = found["left side, between baffle and end of brace"]
    whole = {f.panel: f for f in fields(*built())}["left side"]
    share = 10.0 * math.log10(front.area / whole.area)
    # much louder than a field held all round would be: it is not held at its end
    assert walls.level(front).worst_db == pytest.approx(
        walls.level(whole).worst_db + share, abs=1e-6)


def answer_of(level_db, *, rows=(0,)):
    f = np.array([40.0, 60.0, 90.0, 140.0, 200.0])
    levels = np.array([level_db, np.full(5, -10.0)])
    room = RoomAnswer("main", f, (0, 1), tuple(rows), levels - 9.0, levels - 3.0, levels, 50.0,
                      400.0, 150.0)
    found = tuple(fields(*built())[:2])
    firsts = np.full((2, 3), 400.0)
    return PanelAnswer(found, firsts, firsts, (room,))


@pytest.mark.parametrize(("level", "verdict"), [
    (-19.9, Verdict.FAILS), (-20.1, Verdict.TIGHT), (-22.9, Verdict.TIGHT),
    (-23.1, Verdict.HOLDS)])
def test_the_loudest_judged_field_is_judged_within_band_and_air_mode(level, verdict):
    levels = [0.0, -30.0, level, -30.0, 0.0]  # what is loud below the band or above is not judged
    (found,) = judged_panels(answer_of(levels))
    assert (found.rule, found.where) == ("panel_quiet", "cabinet.chambers.main")
    assert (found.value, found.limit, found.verdict) == (level, QUIET_DB, verdict)
    assert "baffle" in found.text()
    assert "90.0" in found.text()
    assert "150.0" in found.text()  # above that nothing is judged


def test_walls_add_up_by_power_and_unjudged_ones_stay_out():
    level = np.full(5, -30.0)
    (room,) = answer_of(level, rows=(0, 1)).rooms
    assert room.sum_db() == pytest.approx(10.0 * math.log10(0.1 + 1e-3))
    (alone,) = answer_of(level).rooms
    assert alone.sum_db() == pytest.approx(level)
    assert alone.sum_db("clamped") == pytest.approx(level - 9.0)


def test_nothing_to_judge_is_unknown_and_says_what_settles_it():
    f = np.array([40.0, 60.0])
    found = panel_answer(fields(*built()), [drive(f, lowest=310.0, highest=2000.0)])
    (one,) = judged_panels(found)
    assert one.verdict is Verdict.UNKNOWN
    assert one.try_this
    (other,) = panels_unknown(["main"])
    assert (other.verdict, other.name) == (Verdict.UNKNOWN, one.name)
    assert "cabinet panels" in other.try_this


def test_air_modes_are_those_of_the_plain_box():
    _, _, sizes = built()
    speed = Air().speed
    assert lowest_air_mode(sizes.rooms[0]) == pytest.approx(speed / (2.0 * 0.564))
    found = box_modes((0.364, 0.314, 0.564), 700.0)
    by_hand = sorted(
        speed / 2.0 * math.sqrt((a / 0.364) ** 2 + (b / 0.314) ** 2 + (c / 0.564) ** 2)
        for a in range(3) for b in range(3) for c in range(4) if a + b + c)
    assert found == pytest.approx([f for f in by_hand if f <= 700.0])


def test_a_driver_pushes_its_field_by_its_moving_mass():
    from speakerwright.solids.features import hole

    panels, joints, sizes = built()
    panels = tuple(p.with_feature(hole(0.0, 300.0, 180.0, "cut-out", mate="cone"))
                   if p.role == "baffle" else p for p in panels)
    found = fields(panels, joints, sizes, {"cone": 5.0})
    pushed, less, still = (
        panel_answer(found, [drive([10.0, 20.0], drivers=("cone",), moving_mass=mass,
                                   net_volume=1e9)]).rooms[0]
        for mass in (0.04, 0.02, 1e-12))
    row = named(panel_answer(found, []))["baffle"]
    assert pushed.worst_db[row] == pytest.approx(less.worst_db[row] + 20.0 * math.log10(2.0))
    assert still.worst_db[row, 0] < pushed.worst_db[row, 0] - 100.0
    # at rest a force at a place moves what a pressure moves there: reciprocity, on supported
    # edges; 10 Hz is not quite rest
    field = found[row].field.held(Edges.all("supported"))
    modal = modes(field, None, 4)
    give = float(np.sum(modal.volume * modal.at(0.182, 0.282)
                        / (2.0 * math.pi * modal.frequency) ** 2))
    force = 2.0 * math.pi * 10.0 * 0.04 * 1e-3 / 0.03
    expected = 20.0 * math.log10(2.0 * math.pi * 10.0 * give * force / 1e-3)
    assert pushed.supported_db[row, 0] == pytest.approx(expected, abs=0.3)


def test_what_is_kept_comes_back_and_is_told():
    panels, joints, sizes = built(braces=[brace(200, behind=150)])
    walls = Walls([drive()])
    now, bare = (walls.answer(fields(panels, some, sizes)) for some in (joints, joints[:12]))
    outlines = {p.name: tuple(p.outline.exterior.coords[:-1]) for p in panels}
    found = PanelsFound(now, bare, brace_gains(panels, joints, sizes, walls), outlines)
    data, arrays = kept(found)
    back = read(json.loads(json.dumps(data)), arrays)
    assert back.now.fields == found.now.fields
    assert back.gains == found.gains
    assert back.outlines == found.outlines
    for one, other in zip(back.now.rooms, found.now.rooms, strict=True):
        assert np.array_equal(one.worst_db, other.worst_db)
        assert (one.members, one.rows, one.valid_to) == (other.members, other.rows, other.valid_to)
    told = str(panel_blocks(found, "metric"))
    assert told == str(panel_blocks(found, "metric"))
    for words in ("both sides, between baffle and end of brace", "Walls without any brace",
                  "Quieter by", "nothing holds it"):
        assert words in told

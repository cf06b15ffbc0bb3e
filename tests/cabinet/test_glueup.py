"""The glue-up of whole cabinets: order replayed, quantities by hand, nail lines off holes."""

from __future__ import annotations

import dataclasses
import math

import pytest
import shapely

from solids.stepping import replayed
from solids.test_takingapart import captured
from speakerwright.cabinet import glueup
from speakerwright.cabinet.glueup import LONGEST, SPREAD, glue_up, glue_up_of, glued, toward
from speakerwright.cabinet.glueup_pages import blocks
from speakerwright.cabinet.naillines import FROM_HOLE_MM, SPACING_MM, nail_lines
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Placement, cutout, hole, plain, pocket
from speakerwright.solids.shapes import rectangle
from speakerwright.words.blocks import Caution, Figure, Table
from speakerwright.words.findings import Verdict

from .designs import EXAMPLES, cabinet, example, worked

W, H, D, T = 300.0, 500.0, 300.0, 18.0
BRACES = [{"chamber": "main", "at": "230 mm", "kind": "shelf"},
          {"chamber": "main", "at": "0 mm", "kind": "upright", "behind": "150 mm"}]
CABINETS = {
    "butt": {}, "rabbet": {"joint": "rabbet"}, "mitre": {"joint": "mitre"},
    "inset": {"front_joint": "inset", "back_joint": "inset"},
    "loose": {"back_joint": "inset", "back": {"fixing": "loose"}},
    "stopped dadoes": {"inner": {"joint": "dado", "stop": "12 mm"}, "braces": BRACES[:1]},
    "half-laps": {"braces": BRACES},
    "shoulders": {"outline": {"top_width": "180 mm", "shoulder": "250 mm"}},
    "leaning": {"outline": {"front_lean": "6 deg"}},
}


def built(**changes):
    found = worked(cabinet=cabinet(**changes)).cabinet
    assert found is not None
    return found


def of(panels, joints):
    return glue_up(tuple(panels), tuple(joints))


def test_the_kinds_that_are_named_are_there():
    assert {j.kind for j in built(**CABINETS["half-laps"]).joints} >= {"half-lap"}
    assert {j.kind for j in built(**CABINETS["stopped dadoes"]).joints} >= {"dado"}
    assert any(p.bevels for p in built(**CABINETS["mitre"]).panels)


@pytest.mark.parametrize("kind", CABINETS)
def test_every_order_really_assembles(kind):
    result = built(**CABINETS[kind])
    found = glue_up_of(result)
    assert found.possible
    replayed(result.panels, found.order)
    names = {panel.name for panel in result.panels}
    assert {*found.steps[-1].parts, *found.steps[-1].stays} == names
    closed = [j for step in found.steps for j in step.joints]
    assert sorted(map(str, closed)) == sorted(map(str, result.joints))


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_go_together_with_the_baffle_first_and_the_back_last(name):
    result = example(name).cabinet
    found = glue_up_of(result)
    replayed(result.panels, found.order)
    assert found.steps[0].stays == ("baffle",)
    assert found.steps[-1].parts == ("back",)
    assert found == glue_up(result.panels, result.joints)


def test_a_loose_back_goes_on_last_and_takes_no_glue():
    step = glue_up_of(built(**CABINETS["loose"])).steps[-1]
    assert step.parts == ("back",)
    assert (step.line, step.glue, step.clamps, step.nails) == (0.0, 0.0, 0, 0)


def test_glue_line_and_amount_by_hand():
    """The back of a butt-jointed box: over two sides, top and bottom between them."""
    step = glue_up_of(built()).steps[-1]
    line = 2 * H + 2 * (W - 2 * T)
    assert step.line == pytest.approx(line * 1e-3, rel=1e-9)
    assert step.area == pytest.approx(line * T * 1e-6, rel=1e-9)
    assert step.glue == pytest.approx(0.18 * line * T * 1e-6, rel=1e-9)
    assert step.clamps == 2 * math.ceil(H / 200) + 2 * math.ceil((W - 2 * T) / 200)
    assert step.seal == pytest.approx(step.line, rel=1e-9)
    assert SPREAD == 0.18


def test_the_frame_is_measured_on_the_step_that_closes_it():
    found = glue_up_of(built())
    (step,) = [s for s in found.steps if s.diagonals is not None]
    assert step.diagonals == pytest.approx(math.hypot(W, H) * 1e-3, rel=1e-9)
    frame = {"left side", "right side", "top", "bottom"}
    assert frame <= {*step.parts, *step.stays}
    assert not frame <= set(step.stays)


def test_a_frame_that_is_not_square_is_not_measured_so():
    assert all(s.diagonals is None for s in glue_up_of(built(**CABINETS["shoulders"])).steps)


def test_what_closes_three_joints_is_tried_dry():
    for step in glue_up_of(built()).steps:
        assert bool(step.dry_fit) == (len(step.joints) >= 3)
        assert not step.dry_fit or set(step.dry_fit) == {*step.parts, *step.to}


def test_nothing_is_sealed_in_an_open_bay():
    wall = [plain("left side", 200, 300, T, Placement((0, 200, 0), (0, -1, 0), (0, 0, 1)),
                  role="side"),
            plain("baffle", 200, 300, T, Placement((0, -T, 0), (1, 0, 0), (0, 0, 1)),
                  role="baffle")]
    upright = Joint("butt", "baffle", "left side", (9.0, 0.0, 0.0), (9.0, 0.0, 300.0), T,
                    (0.0, -1.0, 0.0))
    closed, half = (glue_up(wall, [upright], open_bays=bays).steps[0].seal
                    for bays in ((), ((200.0, 400.0),)))
    assert closed == pytest.approx(0.3, rel=1e-12)
    assert half == pytest.approx(0.2, rel=1e-12)


@pytest.mark.parametrize(("bays", "beads"), [((), 2), (((109.0, 300.0),), 1)])
def test_a_divider_is_sealed_above_and_below(bays, beads):
    side = plain("left side", 200, 300, T, Placement((0, 200, 0), (0, -1, 0), (0, 0, 1)),
                 role="side")
    divider = plain("divider", 200, 200, T, Placement((T, 0, 109), (1, 0, 0), (0, 1, 0)),
                    role="divider")
    level = Joint("butt", "left side", "divider", (T, 0.0, 100.0), (T, 200.0, 100.0), T,
                  (-1.0, 0.0, 0.0))
    step = glue_up([side, divider], [level], open_bays=bays).steps[0]
    assert step.seal == pytest.approx(0.2 * beads, rel=1e-12)


def test_a_rod_is_put_to_what_it_lies_on():
    result = built(rods=[{"chamber": "main", "at": ["60 mm", "200 mm"]}])
    found = glue_up_of(result)
    (step,) = [s for s in found.steps if {"rod", "right side"} & set(s.parts)
               and {"rod", "right side"} <= {*s.parts, *s.stays}]
    assert {"rod", "right side"} <= {*step.parts, *step.to}
    replayed([*result.panels, *(b for b in result.bodies if b.kind == "rod")], found.order)


def test_locked_boards_fail_by_name():
    result = dataclasses.replace(built(), panels=tuple(captured()), joints=())
    (finding,) = glued(result)
    assert (finding.rule, finding.verdict) == ("glue_up_possible", Verdict.FAILS)
    assert "wall and tie hold each other in every direction" in finding.text()
    assert "wall up by tie" in finding.text()
    assert glue_up_of(result).steps == ()
    assert not any(isinstance(block, Table) for block in blocks(result, "metric"))


def test_a_collision_leaves_the_order_unknown():
    one = plain("one", 200, 100, T, Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    two = dataclasses.replace(one, name="two")
    (finding,) = glued(dataclasses.replace(built(), panels=(one, two), joints=()))
    assert (finding.rule, finding.verdict) == ("glue_up_possible", Verdict.UNKNOWN)


@pytest.mark.parametrize(("length", "verdict"), [
    (5.5, Verdict.HOLDS), (6.9, Verdict.TIGHT), (7.1, Verdict.TIGHT)])
def test_open_time_is_tight_and_never_fails(length, verdict):
    assert pytest.approx(7.0, rel=1e-12) == LONGEST
    one, two = (plain(n, 8000, 100, T, Placement((0, y, 0), (1, 0, 0), (0, 0, 1)))
                for n, y in (("one", 0), ("two", T)))
    joint = Joint("butt", "one", "two", (0, 0, 0), (1e3 * length, 0, 0), T, (0.0, -1.0, 0.0))
    found = list(glued(dataclasses.replace(built(), panels=(one, two), joints=(joint,))))
    assert [f.verdict for f in found if f.rule == "glue_open_time"] == [verdict]
    assert glue_up((one, two), (joint,)).steps[0].tight == (length > 7.0)


def test_the_findings_of_a_plain_box_hold():
    found = {f.rule: f.verdict for f in glued(built())}
    assert found == {"glue_up_possible": Verdict.HOLDS, "glue_open_time": Verdict.HOLDS}


# nail lines


def shelf_on_side(*features, shelf_features=(), depth=0.0):
    """A side 300 deep and 500 high with a shelf behind it, its middle 200 up."""
    side = plain("side", 300, 500, T, Placement((0, 0, 0), (0, 1, 0), (0, 0, 1)),
                 role="side").with_feature(*features)
    shelf = plain("shelf", 300, 300, T, Placement((-T - 300, 0, 209), (1, 0, 0), (0, 1, 0)),
                  role="brace").with_feature(*shelf_features)
    joint = Joint("dado" if depth else "butt", "side", "shelf", (-T, 0, 200), (-T, 300, 200), T,
                  (1.0, 0.0, 0.0), depth)
    return nail_lines([side, shelf], [joint])


def test_a_nail_line_lies_over_the_middle_of_what_is_behind():
    (line,) = shelf_on_side()
    assert (line.panel, line.guest, line.edge) == ("side", "shelf", "bottom")
    assert line.offset_mm == pytest.approx(200.0)
    assert line.along_mm == pytest.approx((36.0, 264.0))
    assert line.start_uv == pytest.approx((36.0, 200.0))
    assert line.nails == 1 + math.ceil(228 / 150)
    assert line.spacing_mm == pytest.approx(114.0)
    assert line.length_mm == 55.0  # 18 over, twice that in the shelf, in whole steps


@pytest.mark.parametrize(("span", "nails"), [(300.0, 3), (301.0, 4)])
def test_nails_stand_no_farther_apart_than_a_spacing(span, nails):
    size = span + 4 * T
    side = plain("side", size, 100, T, Placement((0, 0, 0), (0, 1, 0), (0, 0, 1)), role="side")
    shelf = plain("shelf", 300, size, T, Placement((-T - 300, 0, 59), (1, 0, 0), (0, 1, 0)))
    (line,) = nail_lines([side, shelf], [Joint("butt", "side", "shelf", (-T, 0, 50),
                                               (-T, size, 50), T, (1.0, 0.0, 0.0))])
    assert (line.nails, line.spacing_mm) == (nails, pytest.approx(span / (nails - 1)))


def test_a_dado_takes_a_shorter_nail():
    (line,) = shelf_on_side(depth=6.0)
    assert line.length_mm == 40.0  # 12 over, 24 in


@pytest.mark.parametrize("feature", [
    hole(150, 205, 40, "handle"), pocket(rectangle(130, 190, 170, 240), 5, "outside", "plate")])
def test_a_nail_line_stops_at_holes_and_pockets(feature):
    one, two = shelf_on_side(feature)
    for line in (one, two):
        assert line.offset_mm == pytest.approx(200.0)
        row = shapely.LineString([line.start_uv, line.end_uv])
        assert row.distance(feature.shape) >= FROM_HOLE_MM - 1e-6
    assert one.along_mm[1] == pytest.approx(150 - 19.365 - 10, abs=0.7)
    assert two.along_mm == pytest.approx((300 - one.along_mm[1], 264.0), abs=1e-6)


def test_what_lies_on_the_inside_does_not_stop_it():
    assert len(shelf_on_side(pocket(rectangle(130, 190, 170, 240), 5, "inside", "dado",
                                    mate="another"))) == 1


def test_no_nail_goes_into_a_notch_of_the_guest():
    notch = cutout(rectangle(250, 100, 301, 140), "notch")  # in its edge at the side
    one, two = shelf_on_side(shelf_features=(notch,))
    assert one.along_mm == pytest.approx((36.0, 90.0))
    assert two.along_mm == pytest.approx((150.0, 264.0))


def test_nail_lines_of_a_box_as_a_maker_measures_them():
    lines = {(line.panel, line.guest): line for line in glue_up_of(built()).nail_lines}
    line = lines["back", "left side"]
    assert line.edge == "right"  # seen from behind
    assert line.offset_mm == pytest.approx(T / 2)
    assert line.along_mm == pytest.approx((2 * T, H - 2 * T))
    assert line.nails == 1 + math.ceil((H - 4 * T) / SPACING_MM)
    assert ("top", "left side") not in lines  # nothing of the side lies behind the top


def test_mitres_half_laps_and_loose_backs_are_not_nailed():
    assert glue_up_of(built(**CABINETS["mitre"])).nail_lines == ()
    assert not any(line.panel == "back"
                   for line in glue_up_of(built(**CABINETS["loose"])).nail_lines)
    lines = glue_up_of(built(**CABINETS["half-laps"])).nail_lines
    assert not any(line.panel.startswith("brace") for line in lines)


# the chapter


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_the_chapter_has_steps_nails_pictures_and_cautions(system):
    made = blocks(built(), system)
    steps, nails = (block for block in made if isinstance(block, Table))
    assert [row[0] for row in steps.rows] == ["1", "2", "3", "4", "5"]
    assert len(nails.rows) == 12
    assert [c.subject for c in made if isinstance(c, Caution)] == ["Glue", "Clamps", "Nails"]
    (figure,) = [block for block in made if isinstance(block, Figure)]
    assert figure.picture.count('class="outline"') >= 5
    assert figure.picture == blocks(built(), system)[-1].picture


def test_directions_in_words():
    assert toward((0.0, -1.0, 0.0)) == "forward"
    assert toward((0.7071, 0.0, 0.7071)) == "to the right and up"


def test_times_are_those_that_are_stated():
    assert (glueup.OPEN_TIME, glueup.CLAMPED, glueup.CURED) == (600.0, (1800.0, 3600.0), 86400.0)

"""Taking assemblies apart: every order replayed in small steps; what is locked is named."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from shapely import Polygon

from speakerwright.solids import takingapart
from speakerwright.solids.bodies import cylinder_body
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel, Placement, cutout, hole, plain, pocket
from speakerwright.solids.pieces import Pile, pieces_of
from speakerwright.solids.shapes import rectangle
from speakerwright.solids.takingapart import taken_apart

from . import boxes
from .stepping import free, replayed

T = 18.0
SIX = [tuple(float(s) if k == axis else 0.0 for k in range(3))
       for axis in range(3) for s in (1, -1)]


def joint(host, guest, into, start=(0.0, 0.0, 0.0), end=(0.0, 0.0, 200.0), **more):
    return Joint(more.pop("kind", "butt"), host, guest, start, end, T, into, **more)


def crate(clearance=0.0):
    """Two half-lapped boards: one notched from below, one from above."""
    half = 0.5 * (T + clearance)
    lower = cutout(rectangle(100 - half, -5, 100 + half, 50), "half-lap", mate="two")
    upper = cutout(rectangle(100 - half, 50, 100 + half, 105), "half-lap", mate="one")
    one = plain("one", 200, 100, T, Placement((-100, -T / 2, 0), (1, 0, 0), (0, 0, 1)))
    two = plain("two", 200, 100, T, Placement((T / 2, -100, 0), (0, 1, 0), (0, 0, 1)))
    return [one.with_feature(lower), two.with_feature(upper)]


def shelved(stop=0.0, back_stop=0.0):
    """Two sides 200 deep and 300 high with a shelf in dadoes of 6 mm, stopped or through."""
    start, end = stop, 200.0 - back_stop
    left = plain("left", 200, 300, T, Placement((-100, 200, 0), (0, -1, 0), (0, 0, 1)),
                 role="side")
    right = plain("right", 200, 300, T, Placement((100, 0, 0), (0, 1, 0), (0, 0, 1)), role="side")
    z0, z1 = 150 - 0.1, 150 + T + 0.1
    past = (1.0 if not stop else 0.0), (1.0 if not back_stop else 0.0)
    left = left.with_feature(pocket(rectangle(200 - end - past[1], z0, 200 - start + past[0], z1),
                                    6.0, "inside", "dado", mate="shelf"))
    right = right.with_feature(pocket(rectangle(start - past[0], z0, end + past[1], z1), 6.0,
                                      "inside", "dado", mate="shelf"))
    outline = Polygon([(6, 0), (170, 0), (170, start), (176, start), (176, end), (170, end),
                       (170, 200), (6, 200), (6, end), (0, end), (0, start), (6, start)]
                      if stop and back_stop else
                      [(6, 0), (170, 0), (170, start), (176, start), (176, 200), (0, 200),
                       (0, start), (6, start)] if stop else
                      [(0, 0), (176, 0), (176, 200), (0, 200)])
    shelf = Panel("shelf", outline, T, Placement((-88, 0, 150 + T), (1, 0, 0), (0, 1, 0)),
                  role="brace")
    return [left, right, shelf]


def captured():
    """A board whose neck stands in the closed slot of another, with shoulders on both sides."""
    wall = plain("wall", 200, 200, T, Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    wall = wall.with_feature(cutout(rectangle(60, 90, 140, 90 + T), "slot", mate="tie"))
    neck = Polygon([(20, -80), (180, -80), (180, 0), (140, 0), (140, T), (180, T), (180, 100),
                    (20, 100), (20, T), (60, T), (60, 0), (20, 0)])
    tie = Panel("tie", neck, T, Placement((0, 0, 90 + T), (1, 0, 0), (0, 1, 0)))
    return [wall, tie]


def ahead(parts, way, *, quick=False):
    others = [[p.bounding_box for p in parts if p is not part] for part in parts]
    return Pile.of([pieces_of(part, some if quick else None)
                    for part, some in zip(parts, others, strict=True)]).ahead(way)[0]


def test_a_box_of_six_boards_goes_together():
    parts = boxes.shell()
    order = taken_apart(parts)
    assert order.locked == ()
    assert len(replayed(parts, order)) == 5


@pytest.mark.parametrize("clearance", [0.0, 0.2])
def test_half_lapped_boards_part_along_their_crossing(clearance):
    parts = crate(clearance)
    order = taken_apart(parts, [joint("one", "two", (0.0, 0.0, 1.0), kind="half-lap")])
    (move,) = order.moves
    assert (move.parts, move.away, move.stays) == (("two",), (0.0, 0.0, -1.0), ("one",)) or (
        move.parts, move.away, move.stays) == (("one",), (0.0, 0.0, 1.0), ("two",))
    replayed(parts, order)
    assert not ahead(parts, (0.0, 0.0, 1.0))[0, 1]
    for way in SIX[:4]:
        assert ahead(parts, way)[0, 1], way


def test_a_shelf_slides_out_of_a_dado_that_runs_through():
    assert not ahead(shelved(), (0.0, 1.0, 0.0))[2].any()
    assert not ahead(shelved(), (0.0, -1.0, 0.0))[2].any()


def test_a_shelf_in_stopped_dadoes_slides_out_at_their_open_end_only():
    assert not ahead(shelved(stop=40.0), (0.0, 1.0, 0.0))[2].any()
    assert ahead(shelved(stop=40.0), (0.0, -1.0, 0.0))[2].tolist() == [True, True, False]


def test_sides_come_off_first_where_dadoes_are_stopped_at_both_ends():
    parts = shelved(stop=40.0, back_stop=30.0)
    for way in SIX:
        assert ahead(parts, way)[2].any(), way
    joints = [joint("left", "shelf", (-1.0, 0.0, 0.0), kind="dado", depth=6.0),
              joint("right", "shelf", (1.0, 0.0, 0.0), kind="dado", depth=6.0)]
    order = taken_apart(parts, joints)
    assert order.moves[0].parts in (("left",), ("right",))
    assert abs(order.moves[0].away[0]) == 1.0
    replayed(parts, order)


@pytest.mark.parametrize(("turn", "into"), [(0.0, (-1.0, 0.0, 0.0)),
                                            (0.5 * np.pi, (0.0, -1.0, 0.0))])
def test_a_joint_opens_rather_than_slides(turn, into):
    """A shelf in dadoes that run through could slide; pulled off the side its dado opens."""
    joints = [joint(host, "shelf", into, kind="dado", depth=6.0) for host in ("left", "right")]
    parts = boxes.turned(shelved(), np.round(boxes.rotation(turn, 0.0, 0.0)), np.zeros(3))
    moves = taken_apart(parts, joints).moves
    assert [tuple(-v for v in move.away) for move in moves] == [into, into]


def test_what_is_left_stays_joined():
    """The middle one of three boards in a row is free and would go first by its role."""
    row = [plain(name, 100, 100, T, Placement((x, 0, 0), (1, 0, 0), (0, 0, 1)), role=role)
           for name, x, role in (("a", 0, "baffle"), ("b", 100, "back"), ("c", 200, "baffle"))]
    joints = [joint("a", "b", (-1.0, 0.0, 0.0)), joint("b", "c", (-1.0, 0.0, 0.0))]
    assert taken_apart(row, joints).moves[0].parts == ("c",)
    assert taken_apart(row).moves[0].parts == ("b",)


def test_a_rod_is_held_by_the_walls_at_its_ends():
    """It lies on both sides, and not on the shelf that its flank touches."""
    left, right, shelf = shelved()
    rod = cylinder_body("rod", 25, 164, (-82, 100, 150 + T + 12.5), (1.0, 0.0, 0.0), kind="rod")
    floor = dataclasses.replace(shelf, name="floor", placement=dataclasses.replace(
        shelf.placement, origin=(-88.0, 0.0, T)), outline=rectangle(6, 0, 170, 200))
    parts = [left, right, rod, floor]
    joints = [joint("left", "floor", (-1.0, 0.0, 0.0)), joint("right", "floor", (1.0, 0.0, 0.0))]
    order = taken_apart(parts, joints)
    assert order.rests == (("rod", "left"), ("rod", "right"))
    replayed(parts, order)


def test_a_captured_board_is_locked_and_named():
    box = boxes.turned(boxes.shell(), np.eye(3), np.array((1000.0, 0.0, 0.0)))
    order = taken_apart([*box, *captured()])
    assert order.locked == ("wall", "tie")
    assert order.overlaps == ()
    blocks = {(b.part, b.away): b.by for b in order.blocks}
    assert {way for name, way in blocks if name == "tie"} >= set(SIX)
    assert all(by == ("wall",) for (name, _), by in blocks.items() if name == "tie")


def test_boards_in_one_place_hold_each_other_and_are_told():
    one = plain("one", 200, 100, T, Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    two = plain("two", 200, 100, T, Placement((100, 5, 50), (1, 0, 0), (0, 0, 1)))
    order = taken_apart([one, two])
    assert order.locked == ("one", "two")
    assert order.overlaps == (("one", "two"),)


def test_a_thin_board_is_not_jumped():
    """Between a board and its way out stands a sheet of a tenth of a millimetre."""
    board = plain("board", 100, 100, T, Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    sheet = plain("sheet", 100, 100, 0.1, Placement((0, 500, 0), (1, 0, 0), (0, 0, 1)))
    assert ahead([board, sheet], (0.0, 1.0, 0.0))[0, 1]
    assert not ahead([board, sheet], (0.0, 1.0, 0.0))[1, 0]
    assert not ahead([board, sheet], (0.0, -1.0, 0.0))[0, 1]


@pytest.mark.parametrize(("gap", "held"), [(0.0, False), (-0.0004, False), (-0.004, True)])
def test_touching_is_not_colliding(gap, held):
    """Boards whose shadows meet at an edge pass each other; those that overlap do not."""
    one = plain("one", 100, 100, T, Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    two = plain("two", 100, 100, T, Placement((100 + gap, 50, 0), (1, 0, 0), (0, 0, 1)))
    assert bool(ahead([one, two], (0.0, 1.0, 0.0))[0, 1]) == held


def test_two_boards_leave_together_where_neither_leaves_alone():
    """In two trays back to back stand half-lapped pairs: a pair leaves sideways, then parts."""
    parts = trayed()
    order = taken_apart(parts)
    assert order.locked == ()
    assert len(order.moves[0].parts) == 2
    assert abs(order.moves[0].away[0]) == 1.0
    assert sorted(replayed(parts, order)) == [(1, 1), (1, 1), (2, 1), (3, 2)]


def trayed():
    """A thick board with a tray in both faces, a half-lapped pair filling each."""
    tray = rectangle(20, 20, 220, 120)
    block = plain("block", 240, 140, 440.0, Placement((220, -120, -20), (0, 1, 0), (0, 0, 1)))
    pairs = [dataclasses.replace(part, name=f"{part.name} {hand}")
             for hand, shift in (("left", -120.0), ("right", 120.0))
             for part in boxes.turned(crate(), np.eye(3), np.array((shift, 0.0, 0.0)))]
    return [block.with_feature(pocket(tray, 200.0, "outside", "tray"),
                               pocket(tray, 200.0, "inside", "tray")), *pairs]


def test_the_quick_way_is_no_other_than_the_full_one(monkeypatch):
    parts = [*boxes.shell(*boxes.HOLES), boxes.shelf()]
    quick = taken_apart(parts)
    search = takingapart._Search
    monkeypatch.setattr(takingapart, "_Search",
                        lambda p, held, quick: search(p, held, quick=False))
    assert taken_apart(parts) == quick


def test_what_a_hole_lets_through_is_free():
    """A rod leaves through a hole that it stands in, and not beside it."""
    wall = plain("wall", 200, 200, T, Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    for x, held in ((100.0, False), (115.0, True)):
        rod = cylinder_body("rod", 20, 100, (x, 1.0 if not held else T + 1, 100.0), kind="rod")
        found = Pile.of([pieces_of(wall.with_feature(hole(100, 100, 30, "hole"))),
                         pieces_of(rod)]).ahead((0.0, -1.0, 0.0))
        assert bool(found[0][1, 0]) == held
        assert not found[1].any()


def test_the_same_order_twice_and_for_a_turned_assembly():
    parts = [*boxes.shell(), boxes.shelf()]
    order = taken_apart(parts)
    assert order == taken_apart(parts)
    turned = boxes.turned(parts, boxes.rotation(0.3, 0.2, 0.7), np.array((10.0, 20.0, 30.0)))
    again = taken_apart(turned)
    assert again.locked == ()
    assert len(again.moves) == len(order.moves)
    replayed(turned, again)


def test_names_must_differ():
    with pytest.raises(ValueError, match="one name"):
        taken_apart([boxes.shelf(), boxes.shelf()])


def test_what_is_in_the_way_agrees_with_stepping():
    """Pairs of random boards with notches: shadows against solids moved in small steps."""
    random = np.random.default_rng(7)
    seen = {True: 0, False: 0}
    for _ in range(60):
        parts = [_random_board(random, name, at) for name, at in (("a", 0.0), ("b", 90.0))]
        if not (parts[0].solid() ^ parts[1].solid()).is_empty():
            continue
        way = SIX[random.integers(6)]
        blocked = bool(ahead(parts, way)[0, 1])
        assert blocked == (not free([parts[0].solid()], [parts[1].solid()], way, 2.0))
        seen[blocked] += 1
    assert min(seen.values()) >= 10


def _random_board(random, name, at):
    u = np.eye(3)[random.integers(3)]
    v = np.eye(3)[(int(np.argmax(u)) + 1 + random.integers(2)) % 3]
    origin = tuple(at * random.random(3) + 30 * random.random(3))
    board = plain(name, 120, 80, 12.0, Placement(origin, tuple(u), tuple(v)))
    x, y = random.uniform(20, 60, 2)
    return board.with_feature(
        cutout(rectangle(x, -5, x + 25, y), "notch"),
        pocket(rectangle(80, 10, 110, 60), 6.0, ("inside", "outside")[random.integers(2)], "tray"))

"""The ways out of a cabinet: a driver's own hole, an open bay, a loose back. mm."""

from __future__ import annotations

import math

import numpy as np
import shapely

from speakerwright.cabinet.box import mm
from speakerwright.cabinet.fixtures import Fixture
from speakerwright.cabinet.inputs import Placed
from speakerwright.cabinet.loose import batten_side
from speakerwright.cabinet.result import CabinetResult
from speakerwright.cabinet.sizes import Room
from speakerwright.design.document import Design
from speakerwright.solids.assembly import Part
from speakerwright.solids.bodies import Body
from speakerwright.solids.features import Feature
from speakerwright.solids.meshes import Manifold, bounds, triangles
from speakerwright.solids.panels import Panel, Placement
from speakerwright.solids.passing import (
    PAST,
    Exit,
    Stuck,
    Way,
    as_point,
    axes_along,
    flat_hull,
    in_the_way,
    swept,
    way_out,
)
from speakerwright.solids.shapes import FloatArray, Polygon

ROUND = 16  # corners from which on an opening counts as round
MOVED = ("driver", "horn")
ARM = 90.0  # mm, a hand's width on its way inside: common practice, no source


def comes_out(each: Placed, result: CabinetResult) -> Way | Stuck | None:
    """Whether a driver comes out: with its horn through the front, or alone from behind.

    None where it has no body.
    """
    part = each.horn_name or each.name
    moved = [body for body in result.bodies if body.part_of == part and body.kind in MOVED]
    leave = _own_hole(part, result)
    if leave is None or not moved:
        return None
    stays = [body for body in result.bodies
             if body.part_of == part and body.kind == "fastener" and body.enters == frozenset()]
    others = _others(result, part)
    front = way_out(moved, leave, others, stays)
    if isinstance(front, Way) or each.horn is None:
        return front
    alone = [body for body in moved if body.kind == "driver"]
    if not alone or not _from_behind(alone, each.room, result):
        return front
    return way_out([body for body in moved if body.kind == "horn"], leave, others, stays)


def _others(result: CabinetResult, part: str) -> list[Part]:
    return [*result.panels, *(body for body in result.bodies
                              if body.part_of != part and body.kind != "air plug")]


def _own_hole(part: str, result: CabinetResult) -> Exit | None:
    baffle = _baffle(result)
    for feature in baffle.features:
        if feature.kind == "through" and feature.label == f"cut-out for {part}":
            return _exit(baffle, feature)
    return None


def _exit(panel: Panel, feature: Feature, without: frozenset[str] = frozenset()) -> Exit:
    return Exit(feature.label, panel.placement, feature.shape, panel.thickness, without)


def _baffle(result: CabinetResult) -> Panel:
    return next(panel for panel in result.panels if panel.role == "baffle")


def _loose(result: CabinetResult) -> frozenset[str]:
    """Names of loose backs and their screws."""
    backs = {joint.guest if _role(result, joint.guest) == "back" else joint.host
             for joint in result.joints
             if not joint.glued and "back" in (_role(result, joint.guest),
                                               _role(result, joint.host))}
    return frozenset(backs | {body.name for body in result.bodies
                              if body.kind == "screw" and body.enters & backs})


def _role(result: CabinetResult, name: str) -> str:
    return next((panel.role for panel in result.panels if panel.name == name), "")


def _from_behind(moved: list[Body], room: str, result: CabinetResult) -> bool:
    """Whether bodies go straight out behind: through an open bay or past a loose back."""
    here = result.settled.sizes.room(room)
    gone = _loose(result)
    if here is None or not (here.open or gone):
        return False
    normal = _back_frame(result).normal
    part = moved[0].part_of
    others = [part_ for part_ in _others(result, part) if part_.name not in gone]
    length = mm(result.settled.sizes.depth) + PAST
    return not any(in_the_way(swept(body.room, normal, length), others) for body in moved)


def _back_frame(result: CabinetResult) -> Placement:
    """Axes of the back's outside face, where a panel is or would be."""
    for panel in result.panels:
        if panel.role == "back":
            return panel.placement
    shape = result.settled.sizes.shape
    lean = math.radians(shape.back_lean_deg)
    return Placement((0.0, mm(shape.depth), 0.0), (-1.0, 0.0, 0.0),
                     (0.0, -math.sin(lean), math.cos(lean)))


def room_of(fixture: Fixture, result: CabinetResult) -> Room:
    """The room in which a fixture's bodies stand, by the height of its middle."""
    box = bounds([body.room for body in fixture.bodies])
    middle = 0.5 * (box[2] + box[5])
    rooms = result.settled.sizes.rooms
    return min(rooms, key=lambda room: max(mm(room.floor) - middle,
                                           middle - mm(room.floor + room.height), 0.0))


def _driver_exits(room: Room, result: CabinetResult) -> list[Exit]:
    """A room's cut-outs with their drivers taken out, the largest first."""
    baffle, found = _baffle(result), list[Exit]()
    for each in result.placed:
        part = each.horn_name or each.name
        leave = _own_hole(part, result)
        if each.room != room.name or leave is None:
            continue
        gone = frozenset(body.name for body in result.bodies
                         if body.part_of == part and (body.kind in MOVED or body.enters))
        found.append(Exit(leave.name, baffle.placement, leave.opening, baffle.thickness, gone))
    return sorted(found, key=lambda one: -one.opening.area)


def _behind_exit(design: Design, room: Room, result: CabinetResult) -> Exit | None:
    """A room's open or loose back."""
    gone, cabinet = _loose(result), design.decided.cabinet
    if cabinet is None or not (room.open or gone) or not room.section:
        return None
    frame, sheet = _back_frame(result), mm(result.settled.sizes.sheet)
    shape = result.settled.sizes.shape
    corners = [(mm(x), mm(shape.back(z)), mm(z)) for x, z in room.section]
    opening = flat_hull(frame.to_local(corners)[:, :2])
    if not room.open:
        opening = shapely.buffer(opening, -batten_side(cabinet), join_style="mitre")
    if not isinstance(opening, Polygon) or opening.is_empty:
        return None
    return Exit("open back" if room.open else "loose back", frame, opening, sheet, gone)


def board_exits(design: Design, result: CabinetResult, board: Fixture) -> list[Exit]:
    """The openings that a board may leave by: the back first, then the largest cut-outs."""
    room = room_of(board, result)
    behind = _behind_exit(design, room, result)
    return ([] if behind is None else [behind]) + _driver_exits(room, result)[:2]


def hand_hole(result: CabinetResult, fixture: Fixture
              ) -> tuple[float, tuple[str, frozenset[str]], Manifold] | None:
    """The widest opening to a fixture: its width (m), its name and what is taken out, the way.

    The way is a straight prism as wide as a hand from the opening's middle to the fixture. None
    where no opening leads into its room.
    """
    room = room_of(fixture, result)
    exits = _driver_exits(room, result)
    end = np.array(triangles(fixture.bodies[0].room)[0]).mean(axis=0)
    gone = _loose(result)
    if room.open or gone:
        width = min(room.width, room.height)
        frame = _back_frame(result)
        u, v, _ = frame.to_local(end[None, :])[0]
        name, without = ("open back" if room.open else "loose back"), gone
        start = frame.to_world([(u, v, -mm(result.settled.sizes.sheet))])[0]
        panel = _panel_of(fixture, result)
        if panel is not None and panel.role == "back":  # it comes off with the back
            start = end
    elif exits:
        widest = max(exits, key=lambda one: _width(one.opening))
        width, name, without = _width(widest.opening) / 1e3, widest.name, widest.without
        middle = widest.opening.centroid
        start = widest.frame.to_world([(middle.x, middle.y, 0.0)])[0]
    else:
        return None
    return width, (name, without), _arm(start, end)


def _panel_of(fixture: Fixture, result: CabinetResult) -> Panel | None:
    return next((panel for panel in result.panels if panel.name == fixture.on), None)


def _width(opening: Polygon) -> float:
    """The least width of an opening's smallest rectangle around it, a round one's diameter, mm."""
    if len(opening.exterior.coords) > ROUND:
        return 2.0 * math.sqrt(opening.area / math.pi)
    box = np.asarray(shapely.minimum_rotated_rectangle(opening).exterior.coords)
    return float(min(np.linalg.norm(box[1] - box[0]), np.linalg.norm(box[2] - box[1])))


def _arm(start: FloatArray, end: FloatArray) -> Manifold:
    """A round bar as wide as a hand between two places, short of the second by half of that."""
    way = end - start
    length = float(np.linalg.norm(way)) - 0.5 * ARM
    if length <= 0.0:
        return Manifold()
    turn = np.column_stack((axes_along(as_point(way)), start))
    return Manifold.cylinder(length, 0.5 * ARM, 0.5 * ARM, 32).transform(turn)

"""What stands inside the walls: dividers, braces, slot boards, battens, and their joints. mm.

Every one is a level or upright sheet that the walls' inner faces cut off. Let into dadoes it
reaches into the frame's walls by their depth where it meets them squarely; baffle and back, which
carry the drivers and may come off, are only met. Braces that cross are let into each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
import shapely

from speakerwright.cabinet.inputs import BuiltPort
from speakerwright.cabinet.sizes import Room, Sizes
from speakerwright.cabinet.walls import Walls, mm
from speakerwright.cabinet.windows import with_windows
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.design.sections.joinery import Brace
from speakerwright.solids.clipping import Cut, Plane, bisector, cut_out
from speakerwright.solids.features import Feature, cutout, pocket
from speakerwright.solids.joints import Joint
from speakerwright.solids.meshes import Point
from speakerwright.solids.panels import Panel, Placement
from speakerwright.solids.shapes import FloatArray, Polygon

UP: Point = (0.0, 0.0, 1.0)
RIGHT: Point = (1.0, 0.0, 0.0)
BACK: Point = (0.0, 1.0, 0.0)
LEFT: Point = (-1.0, 0.0, 0.0)
ALIKE = 12.0  # mm; two sheets that end no further apart than this end at one wall
OVERLAP = 1.0  # mm that a tongue is drawn back into its sheet, so that both are one
LEAST = 0.1  # mm; a board shorter than this is none
BATTEN = 20.0  # mm, side of a batten that is not said: common practice, no source
AXES = {"shelf": 2, "upright": 0, "partition": 1}
Slots = dict[str, tuple[BuiltPort, tuple[tuple[float, float], ...]]]


@dataclass(frozen=True)
class Sheet:
    """One inner sheet before it is cut: where it lies, how thick, and what bounds it.

    `limits` are planes of its own ends, `dado` how deep it is let into the frame (0 for none),
    `stop` how far a dado ends before the wall's front edge, `brace` the brace it is; what may go
    `through` the back is not cut off there, so that the collision is seen.
    """

    name: str
    role: str
    placement: Placement
    thickness: float
    grain: Literal["u", "v"]
    limits: dict[str, Plane] = field(default_factory=dict)
    dado: float = 0.0
    stop: float | None = None
    brace: Brace | None = None
    through: bool = False


@dataclass(eq=False)
class Made:
    """A sheet cut out: its panel, and what it asks of the walls."""

    sheet: Sheet
    panel: Panel
    cut: Cut
    joints: list[Joint]
    grooves: dict[str, list[Feature]]


class InnerSheets:
    """Makes everything inside the walls of one cabinet; all attributes in mm."""

    def __init__(self, cabinet: Cabinet, sizes: Sizes, walls: Walls) -> None:
        self.cabinet, self.sizes, self.walls, self.t = cabinet, sizes, walls, mm(sizes.sheet)
        self.planes = walls.inner_planes()
        self.dadoed = mm(cabinet.inner.depth) if cabinet.inner.joint == "dado" else 0.0
        self.stop = None if cabinet.inner.stop is None else mm(cabinet.inner.stop)
        self.clearance = mm(cabinet.inner.clearance)

    def made(self, slots: Slots) -> list[Made]:
        """All inner sheets, braces with their windows and half-laps."""
        sheets = [*self._dividers(), *self._braces(), *self._slot_boards(slots),
                  *self._battens()]
        found = [self._cut(sheet) for sheet in sheets]
        return half_lapped([one for one in found if one is not None], self.clearance)

    def level(self, name: str, role: str, top: float, sheet: float,
              limits: dict[str, Plane] | None = None, brace: Brace | None = None,
              dado: float | None = None) -> Sheet:
        """A level sheet by the height of its upper face."""
        return Sheet(name, role, Placement((0.0, 0.0, top), RIGHT, BACK), sheet, "u",
                     limits or {}, self.dadoed if dado is None else dado, self.stop, brace)

    def _dividers(self) -> list[Sheet]:
        lower = self.sizes.rooms[:-1]
        return [self.level("divider" if len(lower) == 1 else f"divider {k + 1}", "divider",
                           mm(room.floor + room.height) + self.t, self.t)
                for k, room in enumerate(lower)]

    def _braces(self) -> list[Sheet]:
        made = []
        for k, brace in enumerate(self.cabinet.braces):
            room = self.sizes.room(brace.chamber) or self.sizes.rooms[0]
            name = "brace" if len(self.cabinet.braces) == 1 else f"brace {k + 1}"
            made.append(self._brace(name, brace, room))
        return made

    def _brace(self, name: str, brace: Brace, room: Room) -> Sheet:
        sheet = mm(brace.sheet) if brace.sheet is not None else self.t
        limits: dict[str, Plane] = {}
        if self.batten and brace.kind != "partition":
            limits["before the battens"] = self.planes["back"].moved(-self.batten)
        if brace.behind is not None:
            limits["front end"] = Plane((0.0, -1.0, 0.0), -mm(brace.behind))
        if brace.until is not None:
            limits["back end"] = Plane(BACK, mm(brace.until))
        dado = self.dadoed
        if brace.joint is not None:
            dado = mm(self.cabinet.inner.depth) if brace.joint == "dado" else 0.0
        if brace.kind == "shelf":
            return self.level(name, "brace", mm(room.floor + brace.at) + 0.5 * sheet, sheet,
                              limits, brace, dado)
        low, high = mm(room.floor), mm(room.floor + room.height)
        if brace.from_floor is not None:
            low = mm(room.floor + brace.from_floor)
        if brace.to_height is not None:
            high = min(high, mm(room.floor + brace.to_height))
        limits |= {"lower end": Plane((0.0, 0.0, -1.0), -low), "upper end": Plane(UP, high)}
        at = mm(brace.at) + 0.5 * sheet
        if brace.kind == "upright":
            return Sheet(name, "brace", Placement((at, 0.0, 0.0), BACK, UP), sheet, "v", limits,
                         0.0, None, brace)
        return Sheet(name, "brace", Placement((0.0, at, 0.0), LEFT, UP), sheet, "v", limits,
                     dado, self.stop, brace)

    def _slot_boards(self, slots: Slots) -> list[Sheet]:
        made: list[Sheet] = []
        for name, (port, places) in slots.items():
            if self.sizes.room(name) is None or mm(port.length) <= self.t + LEAST:
                continue  # a mere hole needs no boards
            label = "slot board" if len(slots) == 1 else f"slot board {name}"
            for k, (x, z) in enumerate(places):
                number = f" {k + 1}" if port.count > 1 else ""
                made += self._one_slot(port, mm(x), mm(z), f"{label}{number}")
        return [replace(board, through=True) for board in made]

    def _one_slot(self, port: BuiltPort, x: float, z: float, label: str) -> list[Sheet]:
        """The boards of one slot: above, beside where it shares no sides, below off the floor."""
        sheet, high = mm(port.wall), mm(port.height or 0.0)
        limits = {"inner end": Plane(BACK, mm(port.length))}
        top = z + 0.5 * high + sheet
        if port.walls_shared == 3:
            return [self.level(label, "slot board", top, sheet, limits)]
        half = 0.5 * mm(port.outer_width)
        wide = limits | {"left end": Plane(LEFT, half - x), "right end": Plane(RIGHT, x + half)}
        made = [self.level(label, "slot board", top, sheet, wide, dado=0.0)]
        between = limits | {"lower end": Plane((0.0, 0.0, -1.0), 0.5 * high - z),
                            "upper end": Plane(UP, z + 0.5 * high)}
        inner = half - sheet
        for side, at in (("left", x - inner), ("right", x + half)):
            made.append(Sheet(f"{label} {side} cheek", "slot board",
                              Placement((at, 0.0, 0.0), BACK, UP), sheet, "u", between))
        if not port.walls_shared:
            made.append(self.level(f"{label} lower", "slot board", z - 0.5 * high, sheet, wide,
                                   dado=0.0))
        return made

    @property
    def batten(self) -> float:
        """Side of the battens behind a loose back; 0 where there are none."""
        back = self.cabinet.back
        if back.fixing != "loose" or (back.batten is None and self.cabinet.joints[2] != "inset"):
            return 0.0
        return mm(back.batten) if back.batten is not None else BATTEN

    def _battens(self) -> list[Sheet]:
        """Battens behind a loose back, around every closed room."""
        side = self.batten
        if not side:
            return []
        made: list[Sheet] = []
        rooms = self.sizes.closed_rooms
        front = {"front face": _turned(self.planes["back"].moved(-side))}
        for room in rooms:
            low, high = mm(room.floor), mm(room.floor + room.height)
            where = f" of {room.name}" if len(rooms) > 1 else ""
            made += [self.level(f"lower batten{where}", "batten", low + side, side, front,
                                dado=0.0),
                     self.level(f"upper batten{where}", "batten", high, side, front, dado=0.0)]
            ends = front | {"lower end": Plane((0.0, 0.0, -1.0), -low - side),
                            "upper end": Plane(UP, high - side)}
            upright = [wall for wall in self.walls.frame if wall.role not in ("top", "bottom")]
            for wall in upright:
                beside = {f"beside {other.name}": bisector(self.planes[wall.name],
                                                           self.planes[other.name])
                          for other in upright
                          if abs(np.dot(other.plane.normal, wall.plane.normal)) < 1.0 - 1e-9}
                inner = np.array(wall.placement.origin) - self.t * np.array(wall.plane.normal)
                made.append(Sheet(f"batten of the {wall.name}{where}", "batten",
                                  replace(wall.placement, origin=_point(inner)), side, "v",
                                  ends | beside))
        return made

    def _cut(self, sheet: Sheet) -> Made | None:
        """The sheet between the walls; None where nothing is left of it."""
        let_in = {wall.name for wall in self.walls.frame if sheet.dado and abs(
            float(np.dot(wall.plane.normal, sheet.placement.normal))) < 1e-6}
        planes = {name: plane for name, plane in self.planes.items()
                  if name != "back" or not sheet.through} | sheet.limits
        placement = sheet.placement
        square = False
        try:
            first = cut_out(placement, sheet.thickness, planes)
        except ValueError:  # its two faces meet other walls: as far as both can reach
            square = True
        try:
            if square:
                first = cut_out(placement, sheet.thickness, planes, square=True)
            u0, v0, _, _ = first.outline.bounds
            x, y, z = placement.to_world([(u0, v0, 0.0)])[0]
            placement = replace(placement, origin=(float(x), float(y), float(z)))
            plain = cut_out(placement, sheet.thickness, planes, square=square)
        except ValueError:  # nothing is left of it
            return None
        if min(np.ptp(plain.near, axis=0)) <= LEAST:
            return None
        joints, grooves = self._meetings(sheet, placement, plain,
                                         set() if plain.bevels else let_in)
        outline = _tongued(plain.outline, placement, joints)
        panel = Panel(sheet.name, outline, sheet.thickness, placement, (), self.cabinet.material,
                      sheet.grain, sheet.role, plain.bevels)
        if sheet.brace is not None:
            window = with_windows(plain.outline, sheet.brace.open, sheet.brace.windows)
            panel = panel.with_feature(*window)
        return Made(sheet, panel, plain, joints, grooves)

    def _meetings(self, sheet: Sheet, placement: Placement, plain: Cut, let_in: set[str]
                  ) -> tuple[list[Joint], dict[str, list[Feature]]]:
        """Joints with the walls that the sheet meets, and the grooves that they ask of them."""
        joints, grooves = [], dict[str, list[Feature]]()
        hosts = {wall.name: wall for wall in self.walls.walls}
        for name in plain.edges:
            if name not in self.planes:
                continue
            corners = plain.footprint(name, placement, sheet.thickness)
            assert corners is not None
            for host in self._hosts(name, corners):
                wall = hosts[host]
                deep = sheet.dado if name in let_in else 0.0
                start, end = 0.5 * (corners[0] + corners[3]), 0.5 * (corners[1] + corners[2])
                if deep and sheet.stop is not None and abs(placement.normal[1]) < 0.5:
                    start, end = self._stopped(start, end, sheet.stop)
                glued = not (wall.role == "back" and self.cabinet.back.fixing == "loose")
                kind: Literal["dado", "batten", "butt"] = "dado" if deep else (
                    "butt" if glued else "batten")
                angle = math.degrees(math.acos(abs(float(np.dot(
                    wall.plane.normal, placement.normal)))))
                joints.append(Joint(kind, host, sheet.name, _point(start), _point(end),
                                    sheet.thickness, wall.plane.normal, deep,
                                    self.clearance if deep else 0.0, round(angle, 9), glued))
                if deep:
                    grooves.setdefault(host, []).append(
                        self._groove(joints[-1], wall.placement, placement.normal))
        return joints, grooves

    def _hosts(self, name: str, corners: FloatArray) -> list[str]:
        if name != "back":
            return [name]
        low, high = float(corners[:, 2].min()), float(corners[:, 2].max())
        return [wall.name for wall in self.walls.walls if wall.role == "back"
                and (wall.low is None or high > wall.low + 1e-6)
                and (wall.high is None or low < wall.high - 1e-6)]

    def _stopped(self, start: FloatArray, end: FloatArray, stop: float
                 ) -> tuple[FloatArray, FloatArray]:
        """A dado's middle line, ended before the front edge of its wall."""
        first = self.t + stop
        ends = []
        for one, other in ((start, end), (end, start)):
            if one[1] < first < other[1]:
                share = (first - one[1]) / (other[1] - one[1])
                ends.append(one + share * (other - one))
            else:
                ends.append(one)
        return ends[0], ends[1]

    def _groove(self, joint: Joint, host: Placement, across: Point) -> Feature:
        """The dado in a wall, wider than the sheet by the clearance."""
        way = np.array(across) * 0.5
        shapes = []
        for width in (joint.width + joint.clearance, joint.width):
            corners = [np.array(joint.start) + width * way, np.array(joint.end) + width * way,
                       np.array(joint.end) - width * way, np.array(joint.start) - width * way]
            shapes.append(Polygon(np.round(host.to_local(np.array(corners))[:, :2], 9)))
        return pocket(shapes[0], joint.depth, "inside", f"dado for the {joint.guest}",
                      mate=joint.guest, nominal=shapes[1])


def _tongued(outline: Polygon, placement: Placement, joints: Sequence[Joint]) -> Polygon:
    """The outline with a tongue into every dado, as long as that and no longer."""
    parts = [outline]
    for joint in joints:
        if joint.kind != "dado":
            continue
        line = np.array((joint.start, joint.end))
        into = np.array(joint.into)
        deep, over = line + joint.depth * into, line - OVERLAP * into
        flat = placement.to_local(np.vstack((over, deep[::-1])))[:, :2]
        parts.append(Polygon(np.round(flat, 9)).convex_hull)
    if len(parts) == 1:
        return outline
    return shapely.union_all(parts).simplify(1e-7)


def _turned(plane: Plane) -> Plane:
    x, y, z = plane.normal
    return Plane((-x, -y, -z), -plane.offset)


def half_lapped(found: list[Made], clearance: float) -> list[Made]:
    """Braces that cross, let into each other: one is notched from one end, one from the other."""
    braces = [one for one in found if one.sheet.brace is not None]
    for k, one in enumerate(braces):
        for two in braces[k + 1:]:
            span = _crossing(one, two)
            if span is not None:
                _lap(one, two, *span, clearance)
    return found


def _box(one: Made) -> tuple[FloatArray, FloatArray]:
    corners = [(*p, w) for p in one.cut.near for w in (0.0, -one.panel.thickness)]
    world = one.panel.placement.to_world(corners)
    return world.min(axis=0), world.max(axis=0)


def _crossing(one: Made, two: Made) -> tuple[FloatArray, FloatArray, int] | None:
    """Ends of the middle line of the place that two braces both want, and its axis."""
    assert one.sheet.brace is not None
    assert two.sheet.brace is not None
    a, b = AXES[one.sheet.brace.kind], AXES[two.sheet.brace.kind]
    if a == b:
        return None
    (low1, high1), (low2, high2) = _box(one), _box(two)
    low, high = np.maximum(low1, low2), np.minimum(high1, high2)
    axis = 3 - a - b
    middle = 0.5 * (low + high)
    spans = [span for span in (_span(one, middle, axis), _span(two, middle, axis)) if span]
    if len(spans) < 2:
        return None
    low[axis], high[axis] = max(s[0] for s in spans), min(s[1] for s in spans)
    through = (low1[b] < low2[b] - 1.0 and high1[b] > high2[b] + 1.0
               and low2[a] < low1[a] - 1.0 and high2[a] > high1[a] + 1.0)
    if not through or high[axis] - low[axis] < LEAST:
        return None
    start, end = 0.5 * (low + high), 0.5 * (low + high)
    start[axis], end[axis] = low[axis], high[axis]
    return start, end, axis


def _span(one: Made, through: FloatArray, axis: int) -> tuple[float, float] | None:
    """From where to where a sheet reaches on the line along an axis through a point."""
    ends = np.array((through, through))
    ends[:, axis] = -1e4, 1e4
    flat = one.panel.placement.to_local(ends)[:, :2]
    line = shapely.intersection(shapely.LineString(flat), Polygon(one.cut.near))
    if not isinstance(line, shapely.LineString) or line.is_empty:
        return None
    world = one.panel.placement.to_world([(*p, 0.0) for p in line.coords])[:, axis]
    return float(world.min()), float(world.max())


def _lap(one: Made, two: Made, start: FloatArray, end: FloatArray, axis: int,
         clearance: float) -> None:
    """Notch two braces to the middle of their crossing, each from an end that is its own.

    Where neither can be slid onto the other they are left as they are, and collide.
    """
    ends = []
    for made in (one, two):
        low, high = _span(made, start, axis) or (0.0, 0.0)
        ends.append((abs(low - start[axis]) < ALIKE, abs(high - end[axis]) < ALIKE))
    if not (ends[0][0] and ends[1][1]):
        if not (ends[1][0] and ends[0][1]):
            return
        one, two = two, one
    half = 0.5 * (start + end)
    past = np.zeros(3)
    past[axis] = ALIKE + max(one.sheet.dado, two.sheet.dado)  # over the edge: the panel clips it
    for mine, other, first, last in ((one, two, start - past, half),
                                     (two, one, half, end + past)):
        width = other.panel.thickness + clearance
        across = np.array(other.panel.placement.normal) * 0.5 * width
        corners = [first + across, last + across, last - across, first - across]
        local = mine.panel.placement.to_local(np.array(corners))[:, :2]
        notch = cutout(Polygon(local).convex_hull, f"half-lap for the {other.panel.name}",
                       mate=other.panel.name)
        mine.panel = mine.panel.with_feature(notch)
    into = np.zeros(3)
    into[axis] = 1.0
    one.joints.append(Joint("half-lap", one.panel.name, two.panel.name, _point(start),
                            _point(end), two.panel.thickness, _point(into),
                            0.0, clearance))


def _point(values: FloatArray) -> Point:
    x, y, z = (0.0 if abs(v) < 1e-9 else round(float(v), 9) for v in values)
    return x, y, z

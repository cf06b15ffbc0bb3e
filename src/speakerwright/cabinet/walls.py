"""The walls of a cabinet: baffle, back, and the frame between them, with their joints. mm.

Every wall is what planes leave of a sheet. Where two walls meet, one lies over the other (butt),
takes it into a rebate (rabbet), stops at it (inset), or both are cut along the plane between them
(mitre). What does not meet squarely in the frame is mitred; a rebate asks for a square corner and
is a butt joint where there is none.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely

from speakerwright.cabinet.shape import Pair, Shape
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.solids.clipping import Cut, Plane, bisector, cut_out
from speakerwright.solids.features import Feature, pocket
from speakerwright.solids.joints import Joint
from speakerwright.solids.meshes import Point
from speakerwright.solids.panels import Panel, Placement
from speakerwright.solids.shapes import FloatArray, Polygon

Relation = Literal["over", "under", "rabbet over", "rabbet under", "mitre", "none"]
SQUARE = 1e-6  # of the cosine between two walls


@dataclass(frozen=True)
class Wall:
    """One wall: its outside plane, where its panel lies, what it does, how its grain runs.

    `low` and `high` bound it in height where it is a back that leaves a bay open; `beside` has the
    normals of the two walls of the frame next to it.
    """

    name: str
    role: str
    plane: Plane
    placement: Placement
    grain: Literal["u", "v"]
    low: float | None = None
    high: float | None = None
    beside: frozenset[Point] = frozenset()

    @property
    def end(self) -> bool:
        """Whether it is the baffle or a back."""
        return self.role in ("baffle", "back")


def mm(value: float) -> float:
    """Metres to millimetres, rounded to a nanometre so that equal sizes stay equal."""
    return round(1000.0 * value, 6)


class Walls:
    """Makes the walls of one cabinet; all attributes in mm."""

    def __init__(self, cabinet: Cabinet, shape: Shape, sheet: float,
                 closed: Sequence[Pair]) -> None:
        self.cabinet, self.shape = cabinet, shape
        self.t = mm(sheet)
        self.kinds = dict(zip(("frame", "baffle", "back"), cabinet.joints, strict=True))
        self.r = mm(cabinet.rabbet) if "rabbet" in cabinet.joints else 0.0
        self.out = mm(cabinet.flange.overhang) if cabinet.flange else 0.0
        self.walls = (_baffle(shape), *_backs(shape, closed), *_frame(shape))
        self.walls = tuple(wall if wall.end else self._at_its_corner(wall) for wall in self.walls)
        self._cuts: dict[str, Cut] = {wall.name: self._cut(wall) for wall in self.walls}

    def made(self, baffle_features: Sequence[Feature] = ()
             ) -> tuple[tuple[Panel, ...], tuple[Joint, ...]]:
        """The panels (the baffle with its cut-outs) and the joints between them."""
        features: dict[str, list[Feature]] = {wall.name: [] for wall in self.walls}
        features["baffle"] += baffle_features
        joints = []
        for i, host in enumerate(self.walls):
            for guest in self.walls[i + 1:]:
                relation = self._relation(host, guest)
                under = relation in ("under", "rabbet under")
                one, two = (guest, host) if under else (host, guest)
                joint = self._joint(one, two, relation)
                if joint is None:
                    continue
                joints.append(joint)
                if joint.kind == "rabbet":
                    features[one.name].append(self._rebate(one, two, features[one.name]))
        return tuple(self._panel(wall, features[wall.name]) for wall in self.walls), tuple(joints)

    def inner_planes(self) -> dict[str, Plane]:
        """Inner planes of all walls by name; of several backs one."""
        return {("back" if wall.role == "back" else wall.name): wall.plane.moved(-self.t)
                for wall in self.walls}

    @property
    def frame(self) -> tuple[Wall, ...]:
        """Walls between baffle and back."""
        return tuple(wall for wall in self.walls if not wall.end)

    def _panel(self, wall: Wall, features: Sequence[Feature]) -> Panel:
        cut = self._cuts[wall.name]
        return Panel(wall.name, cut.outline, self.t, wall.placement, tuple(features),
                     self.cabinet.material, wall.grain, wall.role, cut.bevels)

    def _at_its_corner(self, wall: Wall) -> Wall:
        """The wall with the lower left corner of its outline as the origin of its axes."""
        u0, v0, _, _ = self._cut(wall).outline.bounds
        corner = wall.placement.to_world([(u0, v0, 0.0)])[0]
        return replace(wall, placement=replace(wall.placement, origin=_point(corner)))

    def _cut(self, wall: Wall) -> Cut:
        planes = {other.name: self._limit(wall, other) for other in self.walls
                  if self._relation(wall, other) != "none"}
        if wall.low is not None:
            planes["below"] = Plane((0.0, 0.0, -1.0), -wall.low)
        if wall.high is not None:
            planes["above"] = Plane((0.0, 0.0, 1.0), wall.high)
        return cut_out(wall.placement, self.t, planes)

    def _limit(self, wall: Wall, other: Wall) -> Plane:
        """The plane that cuts a wall off where it meets another."""
        relation = self._relation(wall, other)
        if relation == "mitre":
            return bisector(wall.plane, other.plane)
        if relation in ("over", "rabbet over"):
            return other.plane.moved(self.out if wall.role == "baffle" else 0.0)
        return other.plane.moved(-self.t + (self.r if relation == "rabbet under" else 0.0))

    def _relation(self, wall: Wall, other: Wall) -> Relation:
        if wall.name == other.name or (wall.end and other.end):
            return "none"
        cosine = float(np.dot(wall.plane.normal, other.plane.normal))
        if abs(cosine) > 1.0 - SQUARE:
            return "none"
        if not (wall.end or other.end) and other.plane.normal not in wall.beside:
            return "none"
        square = abs(cosine) < SQUARE
        if wall.end or other.end:
            end = wall if wall.end else other
            kind, first = self.kinds[end.role], wall.end
            if kind == "inset":
                return "under" if first else "over"
        else:
            kind = self.kinds["frame"] if square else "mitre"
            first = self._before(wall, other)
        if kind == "rabbet" and square:
            return "rabbet over" if first else "rabbet under"
        over: Relation = "over" if first else "under"
        return "mitre" if kind == "mitre" else over

    def _before(self, wall: Wall, other: Wall) -> bool:
        """Of two walls of the frame the steeper one lies over the other."""
        a, b = abs(wall.plane.normal[2]), abs(other.plane.normal[2])
        if abs(a - b) > SQUARE:
            return a < b
        return wall.name < other.name

    def _joint(self, host: Wall, guest: Wall, relation: Relation) -> Joint | None:
        """The joint of two walls, where they meet."""
        if relation == "none":
            return None
        corners = self._cuts[guest.name].footprint(host.name, guest.placement, self.t)
        if corners is None or (relation == "mitre" and
                               host.name not in self._cuts[guest.name].edges):
            return None
        deep = self.r if "rabbet" in relation else 0.0
        back = deep * np.array(host.plane.normal)
        start = 0.5 * (corners[0] + corners[3]) - back
        end = 0.5 * (corners[1] + corners[2]) - back
        line = self._on(host, start, end)
        if line is None:
            return None
        start, end = line
        kind: Literal["mitre", "rabbet", "butt"] = (
            "mitre" if relation == "mitre" else "rabbet" if deep else "butt")
        loose = guest.role == "back" or host.role == "back"
        glued = not (loose and self.cabinet.back.fixing == "loose")
        angle = 180.0 - math.degrees(math.acos(float(np.clip(
            np.dot(host.plane.normal, guest.plane.normal), -1.0, 1.0))))
        into = host.plane.normal if relation != "mitre" else bisector(
            guest.plane, host.plane).normal
        return Joint(kind, host.name, guest.name, _point(start), _point(end),
                     float(np.linalg.norm(corners[0] - corners[3])), into, deep, 0.0,
                     round(angle, 9), glued)

    def _on(self, host: Wall, start: FloatArray, end: FloatArray
            ) -> tuple[FloatArray, FloatArray] | None:
        """What of a line along a host lies on it; None for nothing."""
        flat = host.placement.to_local(np.array((start, end)))
        blank = self._blank(host).buffer(1e-6)
        left = shapely.intersection(shapely.LineString(flat[:, :2]), blank)
        if not isinstance(left, shapely.LineString) or left.length < 1e-3:
            return None
        if left.length > shapely.LineString(flat[:, :2]).length - 1e-5:
            return start, end
        ends = np.column_stack((np.asarray(left.coords), flat[:, 2]))
        world = host.placement.to_world(ends)
        return world[0], world[1]

    def _blank(self, wall: Wall) -> Polygon:
        cut = self._cuts[wall.name]
        return shapely.union(Polygon(cut.near), Polygon(cut.far)).convex_hull

    def _rebate(self, host: Wall, guest: Wall, before: Sequence[Feature]) -> Feature:
        """The rebate in a host that takes a guest; what an earlier one took is left to that."""
        cut, inner = self._cuts[guest.name], host.plane.moved(-self.t)
        points = np.vstack([guest.placement.to_world(_past(
            np.column_stack((face, np.full(len(face), -depth))), guest.placement, inner))
            for face, depth in ((cut.near, 0.0), (cut.far, self.t))])
        local = host.placement.to_local(points)[:, :2]
        strip = shapely.MultiPoint(np.round(local, 9)).convex_hull
        for other in before:
            if other.kind == "pocket" and other.label.startswith("rabbet for"):
                strip = shapely.difference(strip, other.shape)
        return pocket(strip, self.r, "inside", f"rabbet for the {guest.name}", mate=guest.name)


def _past(face: FloatArray, placement: Placement, plane: Plane) -> FloatArray:
    """Corners of what of a face (local, in order) reaches past a plane (world)."""
    deep = placement.to_world(face) @ np.array(plane.normal) - plane.offset
    found = []
    for k, point in enumerate(face):
        after = (k + 1) % len(face)
        if deep[k] >= -1e-9:
            found.append(point)
        if (deep[k] > 1e-9 and deep[after] < -1e-9) or (deep[k] < -1e-9 and deep[after] > 1e-9):
            found.append(point + deep[k] / (deep[k] - deep[after]) * (face[after] - point))
    return np.array(found)


def _point(values: FloatArray) -> Point:
    x, y, z = (0.0 if abs(v) < 1e-9 else round(float(v), 9) for v in values)
    return x, y, z


def _baffle(shape: Shape) -> Wall:
    lean = math.radians(shape.front_lean_deg)
    up = (0.0, math.sin(lean), math.cos(lean))
    normal = (0.0, -math.cos(lean), math.sin(lean))
    return Wall("baffle", "baffle", Plane(normal, 0.0),
                Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), up), "v")


def _backs(shape: Shape, closed: Sequence[Pair]) -> list[Wall]:
    """One back over every run of closed rooms; `closed` has their lower and upper ends, m."""
    lean = math.radians(shape.back_lean_deg)
    up, normal = (0.0, -math.sin(lean), math.cos(lean)), (0.0, math.cos(lean), math.sin(lean))
    deep = mm(shape.depth)
    plane = Plane(normal, deep * math.cos(lean))
    low, high = (mm(end) for end in (min(z for _, z in shape.corners),
                                     max(z for _, z in shape.corners)))
    made = []
    for k, ends in enumerate(closed):
        start, stop = (mm(end) for end in ends)
        name = "back" if len(closed) == 1 else f"back {k + 1}"
        made.append(Wall(name, "back", plane, Placement((0.0, deep, 0.0), (-1.0, 0.0, 0.0), up),
                         "v", start if start > low + 1e-3 else None,
                         stop if stop < high - 1e-3 else None))
    return made


def _frame(shape: Shape) -> list[Wall]:
    """The walls over the outline's edges: sides first, then top and bottom, as they are named."""
    found = []
    corners = [(mm(x), mm(z)) for x, z in shape.corners]
    deep = mm(shape.depth)
    for k, (x0, z0) in enumerate(corners):
        x1, z1 = corners[(k + 1) % len(corners)]
        size = math.hypot(x1 - x0, z1 - z0)
        nx, nz = (z1 - z0) / size, -(x1 - x0) / size
        nx, nz = (0.0 if abs(v) < 1e-12 else v for v in (nx, nz))
        role = ("bottom" if nz < -0.8 else "top" if nz > 0.8 else
                "shoulder" if nz > 0.02 and _over_a_side(corners, k) else "side")
        plane = Plane((nx, 0.0, nz), nx * x0 + nz * z0)
        if role in ("top", "bottom"):
            corner = (min(x0, x1), 0.0 if nz > 0.0 else deep, z0 if x0 < x1 else z1)
            placement = Placement.facing(corner, plane.normal,
                                         _level((1.0, 0.0, 0.0), plane.normal))
            grain: Literal["u", "v"] = "u"
        else:
            start = (x0, 0.0, z0) if nx > 0.0 else (x1, deep, z1)
            u = (0.0, 1.0, 0.0) if nx > 0.0 else (0.0, -1.0, 0.0)
            placement, grain = Placement.facing(start, plane.normal, u), "v"
        found.append(Wall(role, role, plane, placement, grain))
    found = [replace(wall, beside=frozenset((found[k - 1].plane.normal,
                                             found[(k + 1) % len(found)].plane.normal)))
             for k, wall in enumerate(found)]
    return _named(found)


def _over_a_side(corners: Sequence[Pair], k: int) -> bool:
    """Whether the edge that leaves a corner stands over another that is steeper."""
    (x0, z0), (x1, z1) = corners[k], corners[(k + 1) % len(corners)]
    (ax, az), (bx, bz) = corners[k - 1], corners[(k + 2) % len(corners)]
    rising = z1 > z0
    below = (x0 - ax, z0 - az) if rising else (bx - x1, bz - z1)
    return abs(below[1]) > 1e-9 and abs(below[1]) > abs(below[0])


def _level(u: Point, normal: Point) -> Point:
    flat = np.array(u) - float(np.dot(u, normal)) * np.array(normal)
    return float(flat[0]), float(flat[1]), float(flat[2])


def _named(walls: Sequence[Wall]) -> list[Wall]:
    """Walls in the order sides, shoulders, top, bottom, with names that tell them apart."""
    order = {"side": 0, "shoulder": 1, "top": 2, "bottom": 3}
    made: list[Wall] = []
    for wall in sorted(walls, key=lambda w: (order[w.role], w.plane.normal[0])):
        hand = "" if wall.role in ("top", "bottom") else (
            "left " if wall.plane.normal[0] < 0.0 else "right ")
        name, count = f"{hand}{wall.role}", 1
        while any(name == other.name for other in made):
            count += 1
            name = f"{hand}{wall.role} {count}"
        made.append(replace(wall, name=name))
    return made

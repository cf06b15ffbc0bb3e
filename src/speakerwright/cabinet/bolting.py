"""How drivers and horns are bolted on: where the bolts stand, and what they bring.

A bolt circle is drawn on the baffle: u to the right of its middle, v up along it; mm.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from speakerwright.cabinet.box import mm
from speakerwright.cabinet.inputs import DEFAULT_INSERT, INSERTS, Placed
from speakerwright.design.records import Record
from speakerwright.design.sections.fixtures import Fixing
from speakerwright.solids import bodies
from speakerwright.solids.bodies import Body
from speakerwright.solids.features import Feature, drill, hole
from speakerwright.solids.meshes import Point, joined
from speakerwright.solids.panels import Placement

UPRIGHT = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))

# T-nut by thread: its hole, its flange's diameter and thickness, its barrel's length, mm; from
# memory. They must be taken from the part in hand, as an insert's hole.
T_NUTS: dict[str, tuple[float, float, float, float]] = {
    "M3": (4.5, 12.0, 1.0, 6.0),
    "M4": (5.6, 15.0, 1.2, 8.0),
    "M5": (6.6, 17.0, 1.2, 8.0),
    "M6": (7.8, 19.0, 1.5, 9.0),
    "M8": (10.0, 22.0, 1.6, 11.0),
}
PILOT = 0.7  # of a wood screw's diameter: rule of thumb for plywood
HEAD = (2.0, 0.6)  # diameter and height of a pan head over the screw's diameter: rule of thumb
WOOD_LEFT = 2.0  # mm before a screw's point: rule of thumb
LENGTHS = (12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0)  # mm
FLANGE = 3.0  # mm, of a flange whose thickness is not stated: rule of thumb
Kind = Literal["insert", "t-nut", "screw"]
KINDS: dict[str, Kind] = {"insert": "insert", "t-nut": "t-nut", "screw": "screw"}


@dataclass(frozen=True)
class Fastener:
    """One kind of fastener and how many: for the hardware list."""

    name: str
    count: int
    purpose: str


@dataclass(frozen=True, eq=False)
class Fitting:
    """What one driver, horn or port brings: cuts in the baffle, bodies, fasteners."""

    features: tuple[Feature, ...]
    bodies: tuple[Body, ...]
    fasteners: tuple[Fastener, ...]
    problem: str = ""


@dataclass(frozen=True)
class Bite:
    """How a screw or bolt holds, mm: its length, what it holds down, how deep it holds, in what.

    `held` is the thickness that the bite is measured against; `room` what there is to bite into.
    """

    name: str
    length: float
    held: float
    bite: float
    room: float


@dataclass(frozen=True)
class Bolting:
    """How one driver or horn is bolted on, mm.

    `seat` is how far the head's underside stands out from the baffle's face, `wood` what is left
    of the sheet under the flange, `tip` how deep below the face a bolt of a decided length ends
    (None where it follows from the insert).
    """

    name: str
    kind: Kind
    thread: str
    diameter: float
    places: tuple[tuple[float, float], ...]
    flange: float
    recess: float
    sheet: float
    length: float | None

    @property
    def seat(self) -> float:
        """How far the head's underside stands out from the baffle's face."""
        return self.flange - self.recess

    @property
    def wood(self) -> float:
        """What is left of the sheet under the flange."""
        return self.sheet - self.recess

    @property
    def screw_length(self) -> float:
        """A wood screw's length: as decided, else the longest whose point stays in the sheet."""
        if self.length is not None:
            return self.length
        fit = [one for one in LENGTHS if one - self.flange <= self.wood - WOOD_LEFT]
        return fit[-1] if fit else LENGTHS[0]

    @property
    def tip(self) -> float | None:
        """How deep below the face a decided bolt ends."""
        return None if self.length is None else self.length - self.seat

    @property
    def bite(self) -> Bite | None:
        """How it holds; None for a bolt whose length follows from what it holds."""
        if self.kind == "screw":
            length = self.screw_length
            return Bite(f"screws of {self.name}", length, self.flange, length - self.flange,
                        self.wood)
        if self.tip is None or self.length is None:
            return None
        start = self.recess
        if self.kind == "t-nut":  # its thread begins where the barrel does, from the inside
            start = max(start, self.sheet - T_NUTS.get(self.thread, T_NUTS["M4"])[3])
        return Bite(f"bolts of {self.name}", self.length, self.diameter,
                    max(self.tip - start, 0.0), math.inf)


def bolting(placed: Placed, sheet: float, recess: float, fixing: Fixing | None = None) -> Bolting:
    """How a driver, or the horn before it, is bolted on.

    Parameters
    ----------
    placed : Placed
    sheet, recess : float
        Of the baffle, and how deep the flange lies in it, mm.
    fixing : Fixing or None
        As decided; threaded inserts when left out.
    """
    record = placed.horn if placed.horn is not None else placed.record
    x, v = mm(placed.at[0]), mm(placed.at[1])
    places = (rectangle_bolts(record, x, v) if placed.horn is not None
              else circle_bolts(placed, record, x, v))
    thread = record.body.bolt or "M4"
    made = fixing or Fixing()
    return Bolting(placed.horn_name or placed.name, KINDS[made.kind], thread,
                   thread_diameter(thread), tuple(places),
                   mm(record.body.flange) if record.body.flange else FLANGE, recess,
                   sheet, None if made.length is None else mm(made.length))


def thread_diameter(thread: str) -> float:
    """Diameter (mm) of a thread called M4 and the like; 4 where it cannot be read."""
    found = re.match(r"M\s*(\d+(?:\.\d+)?)", thread)
    return float(found[1]) if found else 4.0


def circle_bolts(placed: Placed, record: Record, x: float, z: float) -> list[tuple[float, float]]:
    """Bolts of a round frame, the first turned from straight up by the mounting's angle."""
    count, across = record.body.bolts or 0, mm(record.body.bolt_circle or 0.0)
    start = placed.mounting.bolt_angle
    return [
        (x + 0.5 * across * math.sin(math.radians(start + 360.0 * k / count)),
         z + 0.5 * across * math.cos(math.radians(start + 360.0 * k / count)))
        for k in range(count)
    ] if across else []


def rectangle_bolts(record: Record, x: float, z: float) -> list[tuple[float, float]]:
    """Bolts of a rectangular flange: evenly around the middle line between cut-out and edge."""
    frame, opening, count = record.body.frame_size, record.body.cutout_size, record.body.bolts or 0
    if frame is None or opening is None or not count:
        return []
    half_w, half_h = (0.25 * mm(a + b) for a, b in zip(frame, opening, strict=True))
    corners = [(-half_w, -half_h), (half_w, -half_h), (half_w, half_h), (-half_w, half_h)]
    if count < 4 or count % 2:  # no way to share them out over the sides: evenly all round
        return _all_round(corners, count, x, z)
    points: list[tuple[float, float]] = []
    per_side, extra = divmod(count - 4, 4)
    for k in range(4):
        (x0, z0), (x1, z1) = corners[k], corners[(k + 1) % 4]
        between = per_side + (1 if k % 2 == 1 and extra >= 2 else 0)
        points += [(x + x0 + (x1 - x0) * j / (between + 1), z + z0 + (z1 - z0) * j / (between + 1))
                   for j in range(between + 1)]
    return points


def _all_round(
    corners: list[tuple[float, float]], count: int, x: float, z: float
) -> list[tuple[float, float]]:
    from shapely import LinearRing

    ring = LinearRing(corners)
    spots = [ring.interpolate(k / count, normalized=True) for k in range(count)]
    return [(x + spot.x, z + spot.y) for spot in spots]


def point(frame: Placement, u: float, v: float, depth: float = 0.0) -> Point:
    """The world point (mm) at a depth below a place on a frame's face."""
    x, y, z = frame.to_world([(u, v, -depth)])[0]
    return float(x), float(y), float(z)


def inward(frame: Placement) -> Point:
    """The direction into the cabinet, against a frame's outward normal."""
    x, y, z = frame.normal
    return 0.0 - x, 0.0 - y, 0.0 - z


def bolted(bolts: Bolting, frame: Placement = UPRIGHT, baffle: str = "baffle") -> Fitting:
    """Holes for the bolts, what stands out of the baffle with them, and the hardware."""
    if not bolts.places:
        return Fitting((), (), ())
    if bolts.kind == "t-nut":
        return _t_nuts(bolts, frame, baffle)
    if bolts.kind == "screw":
        return _screws(bolts, frame, baffle)
    return _inserts(bolts, frame)


def _inserts(bolts: Bolting, frame: Placement) -> Fitting:
    """Insert holes through the baffle, and what stands out of them on the inside."""
    bolt, name, t = bolts.thread, bolts.name, bolts.sheet
    diameter, collar, end = INSERTS.get(bolt, DEFAULT_INSERT)
    if bolts.tip is not None:
        end = max(bolts.tip - t, 1.0)
    cuts = tuple(hole(px, pz, diameter, f"{bolt} insert for {name}", mate=name)
                 for px, pz in bolts.places)
    ends = tuple(
        bodies.insert(f"{bolt} insert {k + 1} of {name}", (diameter, t), (collar, end),
                      point(frame, px, pz), inward(frame), part_of=name)
        for k, (px, pz) in enumerate(bolts.places)
    )
    return Fitting(cuts, ends, (
        Fastener(f"{bolt} threaded insert, hole {diameter:g} mm (take it from the part in hand)",
                 len(ends), name),
        Fastener(f"{bolt} bolt with washer", len(ends), name),
    ))


def _t_nuts(bolts: Bolting, frame: Placement, baffle: str) -> Fitting:
    """T-nuts: a hole for the barrel, a flange on the inside with its prongs in the wood."""
    bolt, name, t = bolts.thread, bolts.name, bolts.sheet
    diameter, wide, thick, _ = T_NUTS.get(bolt, T_NUTS["M4"])
    end = INSERTS.get(bolt, DEFAULT_INSERT)[2]
    if bolts.tip is not None:
        end = max(bolts.tip - t, thick)
    into, made = inward(frame), []
    for k, (px, pz) in enumerate(bolts.places):
        nut = bodies.insert(f"{bolt} T-nut {k + 1} of {name}", (diameter, t), (wide, thick),
                            point(frame, px, pz), into, part_of=name)
        shank = bodies.cylinder_body("", bolts.diameter, end, point(frame, px, pz, t), into)
        made.append(replace(nut, solid=joined([nut.solid, shank.solid])))
    cuts = tuple(hole(px, pz, diameter, f"{bolt} T-nut for {name}", mate=name)
                 for px, pz in bolts.places)
    return Fitting(cuts, tuple(made), (
        Fastener(f"{bolt} T-nut, hole {diameter:g} mm (take it from the part in hand)",
                 len(made), name),
        Fastener(f"{bolt} bolt with washer", len(made), name),
    ))


def _screws(bolts: Bolting, frame: Placement, baffle: str) -> Fitting:
    """Wood screws from the front: pilot holes, right through only where the point comes out."""
    d, name, length = bolts.diameter, bolts.name, bolts.screw_length
    pilot, deep = round(PILOT * d, 1), length - bolts.seat
    label, cuts = f"pilot hole for {name}", list[Feature]()
    for px, pz in bolts.places:
        if deep >= bolts.sheet - 1e-6:
            cuts.append(hole(px, pz, pilot, label, mate=name))
        elif deep > 0.0:
            cuts.append(drill(px, pz, pilot, deep, "outside", label, mate=name))
    made = tuple(
        bodies.screw(d, length, (HEAD[0] * d, HEAD[1] * d), point(frame, px, pz, -bolts.seat),
                     inward(frame), name=f"screw {k + 1} of {name}", enters=(baffle,),
                     part_of=name)
        for k, (px, pz) in enumerate(bolts.places)
    )
    return Fitting(tuple(cuts), made, (
        Fastener(f"wood screw {d:g} x {length:g} mm, pan head, pilot hole {pilot:g} mm",
                 len(made), name),
    ))


def longest(held: float, room: float, left: float = WOOD_LEFT,
            wanted: Sequence[float] = LENGTHS) -> float:
    """A screw's length, mm: bites 1.5 times what it holds, but stays within what it goes into."""
    enough = [one for one in wanted if one - held >= 1.5 * held]
    fit = [one for one in wanted if one - held <= room - left]
    if not fit:
        return wanted[0]
    return min(enough[0], fit[-1]) if enough else fit[-1]

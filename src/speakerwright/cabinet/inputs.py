"""What the cabinet is built from, gathered from the design and from the bass's ports."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from speakerwright.cabinet.sizes import Room, Sizes
from speakerwright.design.document import Design
from speakerwright.design.records import Record
from speakerwright.design.sections.directivity import Mounting
from speakerwright.design.sections.joinery import Brace

PORT_ROOM = 0.040  # m from the chamber's floor to the lowest port: rule of thumb

# Hole for a threaded insert, its outer collar, and how far a bolt's end may stand inside, in mm:
# workshop practice from memory. The hole must be taken from the part in hand; the plan says so.
INSERTS: dict[str, tuple[float, float, float]] = {
    "M3": (5.0, 8.0, 4.0),
    "M4": (6.0, 9.0, 5.0),
    "M5": (7.0, 10.0, 6.0),
    "M6": (8.5, 12.0, 6.0),
    "M8": (11.0, 15.0, 8.0),
}
DEFAULT_INSERT = (6.0, 9.0, 5.0)


def insert_volume(record: Record) -> float:
    """Volume (m³) that the inserts of one driver or horn take from the air inside."""
    _, collar, end = INSERTS.get(record.body.bolt or "M4", DEFAULT_INSERT)
    return (record.body.bolts or 0) * math.pi / 4.0 * collar**2 * end * 1e-9


@dataclass(frozen=True)
class BuiltPort:
    """A chamber's ports as the bass solved them; m.

    `length` runs from the baffle's front face to the inner end.
    """

    shape: str
    count: int
    length: float
    bore: float | None
    width: float | None
    height: float | None
    wall: float
    centres: float | None
    walls_shared: int

    @property
    def outer_width(self) -> float:
        """Width over its own walls, m; a slot between both sides has none at its ends."""
        own = 0 if self.walls_shared == 3 else 2
        return (self.width or self.bore or 0.0) + own * self.wall

    @property
    def outer_height(self) -> float:
        """Height over its own walls, m; a slot on the floor has none below."""
        return (self.height or self.bore or 0.0) + (1 if self.walls_shared else 2) * self.wall


@dataclass(frozen=True)
class Placed:
    """One driver of a job at its place (x, z) on the baffle, m, with the room behind it.

    `name` and `horn_name` (empty without a horn) are unique in the cabinet.
    """

    name: str
    job: str
    record: Record
    horn: Record | None
    horn_name: str
    at: tuple[float, float]
    room: str
    mounting: Mounting


def places(design: Design, sizes: Sizes) -> tuple[Placed, ...]:
    """Every driver at its place; a job without places stands in the middle of its room."""
    loaded = {job: name for name, bass in design.decided.bass.items() for job in bass.loads}
    found: list[Placed] = []
    taken: set[str] = set()
    for job, choice in design.decided.drivers.items():
        mounting = design.decided.directivity.get(job, Mounting())
        record = design.record(choice.record)
        horn = design.record(choice.horn) if choice.horn is not None else None
        at = mounting.at or _middle(sizes, loaded.get(job), choice.count)
        for k, place in enumerate(at):
            number = "" if len(at) == 1 else f" {k + 1}"
            name = _unused(f"{record.name}{number}", job, taken)
            horn_name = "" if horn is None else _unused(f"{horn.name}{number}", job, taken)
            room = _room_at(sizes, place[1]) or loaded.get(job) or sizes.rooms[-1].name
            found.append(Placed(name, job, record, horn, horn_name, place, room, mounting))
    return tuple(found)


def _unused(name: str, job: str, taken: set[str]) -> str:
    """The name, with its job where two jobs have records of one name."""
    if name in taken:
        name = f"{name} ({job})"
    while name in taken:  # a driver and its horn may share a name too
        name += "*"
    taken.add(name)
    return name


def _middle(sizes: Sizes, room: str | None, count: int) -> tuple[tuple[float, float], ...]:
    used = sizes.room(room) if room is not None else None
    here = used if used is not None else sizes.rooms[-1]
    step = here.height / count
    return tuple((0.0, here.floor + (k + 0.5) * step) for k in range(count))


def _room_at(sizes: Sizes, z: float) -> str | None:
    half = 0.5 * sizes.sheet
    for room in sizes.rooms:
        if room.floor - half <= z <= room.floor + room.height + half:
            return room.name
    return None


def port_places(
    design: Design, room: Room, port: BuiltPort
) -> tuple[tuple[float, float], ...]:
    """Centres (x, z) of a chamber's ports: as decided, else a row above the chamber's floor.

    A slot that shares walls stands on the floor whatever is decided, and between both sides it
    stands in their middle.
    """
    cabinet = design.decided.cabinet
    given = cabinet.ports[room.name].at if cabinet and room.name in cabinet.ports else ()
    if port.shape == "slot" and port.walls_shared:
        z = room.floor + 0.5 * (port.height or 0.0)
        given = tuple((0.0 if port.walls_shared == 3 else x, z) for x, _ in given)
    else:
        z = room.floor + PORT_ROOM + port.wall + 0.5 * (port.height or port.bore or 0.0)
    if given:
        return given
    step = port.centres or port.outer_width
    return tuple(((k - 0.5 * (port.count - 1)) * step, z) for k in range(port.count))


def displaced(
    design: Design, sizes: Sizes, room: Room, ports: Mapping[str, BuiltPort]
) -> tuple[tuple[str, float], ...]:
    """What stands in a room and takes from its air, each with its volume in m³."""
    items: list[tuple[str, float]] = []
    for placed in places(design, sizes):
        if placed.room != room.name:
            continue
        items.append((placed.name, placed.record.body.volume or 0.0))
        if placed.horn is not None and placed.horn.body.volume is not None:
            items.append((placed.horn_name, placed.horn.body.volume))
        mounted = placed.horn if placed.horn is not None else placed.record
        if mounted.body.bolts:
            items.append((f"inserts of {placed.horn_name or placed.name}", insert_volume(mounted)))
    port = ports.get(room.name)
    if port is not None:
        items.append(("ports", port_volume(port, sizes.sheet)))
    cabinet = design.decided.cabinet
    if cabinet is not None:
        items += [(f"brace {k + 1}", _brace_volume(brace, sizes, room))
                  for k, brace in enumerate(cabinet.braces) if brace.chamber == room.name]
        items += [(f"rod {k + 1}", math.pi / 4.0 * rod.diameter**2
                   * (room.depth if rod.runs == "along" else room.width))
                  for k, rod in enumerate(cabinet.rods) if rod.chamber == room.name]
    return tuple(items)


def _brace_volume(brace: Brace, sizes: Sizes, room: Room) -> float:
    """Volume (m³) of a brace less its windows, by the room's mean sizes."""
    sheet = brace.sheet if brace.sheet is not None else sizes.sheet
    start = brace.behind if brace.behind is not None else sizes.sheet
    depth = max(min(brace.until or sizes.behind_front, sizes.behind_front) - start, 0.0)
    if brace.kind == "shelf":
        return room.width * depth * sheet * (1.0 - brace.open)
    high = max(min(brace.to_height or room.height, room.height) - (brace.from_floor or 0.0), 0.0)
    return high * (depth if brace.kind == "upright" else room.width) * sheet * (1.0 - brace.open)


def port_volume(port: BuiltPort, baffle: float) -> float:
    """Volume (m³) that the ports take from the inside: their air and their walls."""
    inside = max(port.length - baffle, 0.0)
    if port.shape == "round":
        return port.count * math.pi * port.outer_width**2 / 4.0 * inside
    return port.count * port.outer_width * port.outer_height * inside

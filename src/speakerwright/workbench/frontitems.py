"""What stands on the cabinet's front and in its height, and how far it may be moved.

Millimetres, from the bottom centre of the baffle's front face.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from speakerwright.cabinet.inputs import BuiltPort
from speakerwright.cabinet.result import CabinetResult
from speakerwright.cabinet.sizes import Room, Settled, Sizes, closing_room, free_size
from speakerwright.design.document import Design
from speakerwright.drawing.palette import PARTS
from speakerwright.plan.stage import system_of
from speakerwright.solids.assembly import room as room_of
from speakerwright.solids.meshes import Manifold
from speakerwright.words.units import split
from speakerwright.workbench.frontplaces import (
    Spot,
    height_path,
    placed_drivers,
    port_path,
    spots,
)
from speakerwright.workbench.session import written

Outline: TypeAlias = tuple[float, ...]
"""A circle by its diameter, a rectangle by width and height, or nothing."""
Layer: TypeAlias = tuple[float, float, tuple[Spot, ...]]
"""From one depth to another, a convex outline."""

STEP_MM, FINE_MM = 1.0, 0.1
STEP_IN, FINE_IN = 1.0 / 16.0, 1.0 / 32.0  # the finest that is read out
LEAST_ROOM = 20.0
"""Clear height that a divider leaves on both its sides, mm: rule of thumb."""
SLAB = 8.0
"""How deep one layer of a part is, mm: rule of thumb."""
MOST_SLABS, MOST_CORNERS = 24, 48


@dataclass(frozen=True)
class Item:
    """One thing that can be seen from the front, or a level board behind it; mm.

    Attributes
    ----------
    key, name : str
        Its key on the page, and what it is called.
    kind : str
        driver, horn, port, slot, brace or divider.
    part : str
        Whose colour it has, one of `palette.PARTS`, or "".
    owner, index : str, int
        The job, room or list that owns its place, and which entry there.
    ways : str
        Along which axes it may be moved: some of "xz".
    origin : Spot
        What its decided place is counted from.
    bounds : tuple
        The least x and z, and the greatest, of its centre.
    face, inner : Outline
        What is seen of it, and the opening in it.
    layers : tuple of Layer
        The room it takes, about its centre.
    says : str
        Its place in words, with {x} and {z}.
    path : str
        The field of its place.
    steps : tuple
        By how much it moves at a time, and how little with Shift.
    live : bool
        Whether its place is written already, so that a move adds no field.
    """

    key: str
    name: str
    kind: str
    part: str
    owner: str
    index: int
    ways: str
    origin: Spot
    bounds: tuple[float, float, float, float]
    face: Outline
    inner: Outline
    layers: tuple[Layer, ...]
    says: str
    path: str
    steps: Spot
    live: bool


@dataclass(frozen=True)
class Foul:
    """Two things in one place: their names, and where about on the front, mm."""

    names: tuple[str, str]
    at: Spot


@dataclass(frozen=True, eq=False)
class Front:
    """The front of a cabinet that is worked out.

    `at` holds the places it was worked out with, `boards` the layers of what cannot be moved,
    `fouls` what its solids say.
    """

    width: float
    height: float
    settled: Settled
    ports: Mapping[str, BuiltPort]
    items: tuple[Item, ...]
    at: Mapping[str, Spot]
    boards: tuple[tuple[str, tuple[Layer, ...]], ...]
    fouls: tuple[Foul, ...]

    def item(self, key: str) -> Item:
        """An item by its key; KeyError when there is none."""
        for item in self.items:
            if item.key == key:
                return item
        raise KeyError(key)


# --- the front of a cabinet -----------------------------------------------------------------------


def front(design: Design, cabinet: CabinetResult) -> Front:
    """The front of a cabinet, with the room that everything on it takes."""
    sizes = cabinet.settled.sizes
    at = dict(spots(design, sizes, cabinet.ports))
    solids, owners = _solids(design, cabinet, sizes)
    items = (*_dividers(design, sizes, at, solids), *_braces(design, sizes, at, solids),
             *_mounted(design, sizes, at, solids), *_ports(design, cabinet, at, solids))
    fixed = tuple((panel.name, layers([room_of(panel)], (0.0, 0.0))) for panel in cabinet.panels
                  if panel.role not in ("baffle", "back") and panel.name not in owners)
    names = {item.key: item.name for item in items}
    fouls = []
    for each in cabinet.collisions:
        a, b = (owners.get(name, name) for name in (each.a, each.b))
        if a != b:
            fouls.append(Foul((names.get(a, a), names.get(b, b)),
                              (each.centre[0], each.centre[2])))
    width, height = _sizes_of(sizes.width, sizes.height)
    return Front(width, height, cabinet.settled, cabinet.ports, items, at, fixed,
                 tuple({foul.names: foul for foul in fouls}.values()))


def _solids(
    design: Design, cabinet: CabinetResult, sizes: Sizes
) -> tuple[dict[str, list[Manifold]], dict[str, str]]:
    """The solids of every item by its key, and the key that owns each part by its name."""
    owners: dict[str, str] = {}
    for key, placed in placed_drivers(design, sizes):
        owners[placed.horn_name or placed.name] = key
        owners[placed.name] = key
    for room, port in cabinet.ports.items():
        for k, name in enumerate(_port_names(room, port, cabinet)):
            owners[name] = f"{port_path(room)}.{k}"
    decided = design.decided.cabinet
    count = len(decided.braces) if decided else 0
    for k in range(count):
        owners["brace" if count == 1 else f"brace {k + 1}"] = f"cabinet.braces.{k}.at"
    for k, lower in enumerate(sizes.rooms[:-1]):
        owners["divider" if len(sizes.rooms) == 2 else f"divider {k + 1}"] = f"divider.{lower.name}"
    solids: dict[str, list[Manifold]] = {}
    for body in cabinet.bodies:
        owner = owners.get(body.part_of or body.name)
        if owner is not None:
            owners[body.name] = owner
            if body.kind != "air plug" or body.name.startswith("air of "):
                solids.setdefault(owner, []).append(room_of(body))
    slots = {room: port for room, port in cabinet.ports.items() if port.shape == "slot"}
    for panel in cabinet.panels:
        owner = owners.get(panel.name) or _slot_of(panel.name, panel.role, slots)
        if owner is not None:
            owners[panel.name] = owner
            solids.setdefault(owner, []).append(room_of(panel))
    return solids, owners


def _port_names(room: str, port: BuiltPort, cabinet: CabinetResult) -> list[str]:
    """The names of a chamber's ports, as their bodies carry them."""
    if port.shape == "slot":
        return [body.part_of for body in cabinet.bodies
                if body.name.startswith("air of the slot") and body.part_of.endswith(f" of {room}")]
    return [body.name for body in cabinet.bodies
            if body.kind == "port" and body.name.endswith(f" of {room}")]


def _slot_of(name: str, role: str, slots: Mapping[str, BuiltPort]) -> str | None:
    """The slot that a board belongs to; one that shares both sides moves nowhere."""
    if role != "slot board":
        return None
    for room, port in slots.items():
        label = "slot board" if len(slots) == 1 else f"slot board {room}"
        for k in range(port.count):
            mine = f"{label} {k + 1}" if port.count > 1 else label
            if name == mine or name.startswith(f"{mine} "):
                return f"{port_path(room)}.{k}"
    return None


def layers(solids: Sequence[Manifold], about: Spot) -> tuple[Layer, ...]:
    """The room of some solids as convex outlines by depth, about a place on the front, mm."""
    found: list[Layer] = []
    for solid in solids:
        turned = solid.rotate((90.0, 0.0, 0.0))  # depth upwards, height downwards
        box = turned.bounding_box()
        near, far = box[2], box[5]
        count = min(max(math.ceil((far - near) / SLAB), 1), MOST_SLABS)
        open_: list[Layer] = []
        for k in range(count):
            low, high = (near + (far - near) * j / count for j in (k, k + 1))
            here: list[Layer] = []
            for shape in _convex(turned, 0.5 * (low + high), about):
                before = next((one for one in open_ if _alike(one[2], shape)), None)
                if before is not None:
                    open_.remove(before)
                here.append((low, high, shape) if before is None else (before[0], high, before[2]))
            found += open_
            open_ = here
        found += open_
    return tuple((round(a, 2), round(b, 2), shape) for a, b, shape in found)


def _convex(turned: Manifold, at: float, about: Spot) -> Iterator[tuple[Spot, ...]]:
    for piece in turned.slice(at).decompose():
        for corners in piece.hull().simplify(0.01).to_polygons():
            kept = corners[:: max(1, math.ceil(len(corners) / MOST_CORNERS))]
            yield tuple((round(float(x) - about[0], 2), round(-float(y) - about[1], 2))
                        for x, y in kept)


def _alike(one: tuple[Spot, ...], other: tuple[Spot, ...]) -> bool:
    """Whether two outlines have as many corners and the same box around them, to 0.05 mm."""
    return len(one) == len(other) and all(
        abs(end(p[k] for p in one) - end(p[k] for p in other)) < 0.05
        for k in (0, 1) for end in (min, max))


# --- the items ------------------------------------------------------------------------------------


def _mounted(
    design: Design, sizes: Sizes, at: Mapping[str, Spot], solids: Mapping[str, list[Manifold]]
) -> Iterator[Item]:
    for key, placed in placed_drivers(design, sizes):
        body = (placed.horn or placed.record).body
        face: Outline = ()
        if body.frame_size is not None:
            face = _sizes_of(*body.frame_size)
        elif body.frame is not None:
            face = _sizes_of(body.frame)
        inner: Outline = ()
        if placed.horn is not None and placed.horn.mouth is not None:
            inner = _sizes_of(*placed.horn.mouth)
        elif body.cutout is not None:
            inner = _sizes_of(body.cutout)
        index = int(key.rsplit(".", 1)[1])
        yield Item(
            key, placed.horn_name or placed.name, "driver" if placed.horn is None else "horn",
            placed.job if placed.job in PARTS[:3] else "", placed.job, index, "xz", (0.0, 0.0),
            _within(sizes, face), face, inner, layers(solids.get(key, ()), at[key]),
            "{x}, {z} above the bottom", f"directivity.{placed.job}.at.{index}.1",
            _steps(design, f"directivity.{placed.job}.at.{index}.1"), bool(placed.mounting.at))


def _within(sizes: Sizes, face: Outline) -> tuple[float, float, float, float]:
    """Where a centre may be so that the whole face is on the baffle; its middle if nowhere."""
    wide, high = (0.5 * face[0], 0.5 * face[-1]) if face else (0.0, 0.0)
    side, middle = max(500.0 * sizes.width - wide, 0.0), 500.0 * sizes.height
    low = min(high, middle)
    return -round(side, 6), round(low, 6), round(side, 6), round(2.0 * middle - low, 6)


def _in_room(sizes: Sizes, name: str, face: Outline) -> tuple[float, float, float, float]:
    """Where a port's centre may be: on the baffle, before its own chamber."""
    low_x, low, high_x, high = _within(sizes, face)
    room = sizes.room(name)
    if room is not None:
        half, middle = 0.5 * face[-1], 1e3 * room.middle
        low = max(low, min(1e3 * room.floor + half, middle))
        high = min(high, max(1e3 * (room.floor + room.height) - half, middle))
    return low_x, round(low, 6), high_x, round(max(low, high), 6)


def _sizes_of(*sizes: float | None) -> Outline:
    """An outline from sizes in m."""
    return tuple(round(1e3 * size, 6) for size in sizes if size is not None)


def _steps(design: Design, path: str) -> Spot:
    """How far a place moves at a time, in the unit that the file uses, mm."""
    there = written(design, path)
    unit = split(there)[1] if isinstance(there, str) else (
        "in" if system_of(design) == "inch" else "mm")
    if unit in ("in", "ft", "inch", "foot"):
        return 25.4 * STEP_IN, 25.4 * FINE_IN
    return STEP_MM, FINE_MM


def _ports(
    design: Design, cabinet: CabinetResult, at: Mapping[str, Spot],
    solids: Mapping[str, list[Manifold]],
) -> Iterator[Item]:
    sizes = cabinet.settled.sizes
    for room, port in cabinet.ports.items():
        own, slot = port_path(room), port.shape == "slot"
        ways = "xz" if not (slot and port.walls_shared) else "x" if port.walls_shared == 1 else ""
        outer = _sizes_of(port.outer_width, port.outer_height if slot else None)
        inner = (_sizes_of(port.width or 0.0, port.height) if slot
                 else _sizes_of(port.bore or 0.0, None))
        names = _port_names(room, port, cabinet)
        for k, name in enumerate(names):
            key = f"{own}.{k}"
            if key not in at:
                continue
            yield Item(
                key, name, port.shape if slot else "port", "port", room, k, ways, (0.0, 0.0),
                _in_room(sizes, room, outer), inner if slot else outer, () if slot else inner,
                layers(solids.get(key, ()), at[key]), "{x}, {z} above the bottom",
                f"{own}.{k}.{0 if ways == 'x' else 1}", _steps(design, f"{own}.{k}.1"),
                written(design, own) is not None)


def _braces(
    design: Design, sizes: Sizes, at: Mapping[str, Spot], solids: Mapping[str, list[Manifold]]
) -> Iterator[Item]:
    cabinet = design.decided.cabinet
    for k, brace in enumerate(cabinet.braces if cabinet else ()):
        key = f"cabinet.braces.{k}.at"
        room = sizes.room(brace.chamber) or sizes.rooms[0]
        thick = 1e3 * (sizes.sheet if brace.sheet is None else brace.sheet)
        low, high = 1e3 * room.floor + 0.5 * thick, 1e3 * (room.floor + room.height) - 0.5 * thick
        assert cabinet is not None
        yield Item(
            key, "brace" if len(cabinet.braces) == 1 else f"brace {k + 1}", "brace", "", room.name,
            k, "z", (0.0, 1e3 * room.floor), (0.0, round(low, 6), 0.0, round(max(low, high), 6)),
            (1e3 * room.width, thick), (), layers(solids.get(key, ()), at[key]),
            f"its middle {{z}} above the floor of {room.name}", key, _steps(design, key), True)


def _dividers(
    design: Design, sizes: Sizes, at: Mapping[str, Spot], solids: Mapping[str, list[Manifold]]
) -> Iterator[Item]:
    for k, (lower, upper) in enumerate(zip(sizes.rooms, sizes.rooms[1:], strict=False)):
        key, half = f"divider.{lower.name}", 500.0 * sizes.sheet
        path = height_path(lower.name)
        low = 1e3 * lower.floor + LEAST_ROOM + half
        high = 1e3 * (upper.floor + upper.height) - LEAST_ROOM - half
        yield Item(
            key, "divider" if len(sizes.rooms) == 2 else f"divider {k + 1}", "divider", "",
            lower.name, k, "z" if _can_move(design, lower) else "",
            (0.0, 1e3 * lower.floor + half), (0.0, round(low, 6), 0.0, round(max(low, high), 6)),
            (1e3 * lower.width, 2.0 * half), (), layers(solids.get(key, ()), at[key]),
            f"{lower.name} is {{z}} high inside", path, _steps(design, path),
            any(written(design, height_path(room.name)) is not None
                for room in (lower, upper)))


def _can_move(design: Design, lower: Room) -> bool:
    """Whether the chamber below has its height from nothing but what is decided."""
    cabinet, chambers = design.decided.cabinet, tuple(design.decided.bass)
    if cabinet is None:
        return False
    closes = free_size(cabinet, chambers) == "height" and closing_room(cabinet, chambers)
    return lower.name != closes

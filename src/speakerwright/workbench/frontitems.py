"""What stands on the cabinet's front and in its height, and how far it may be moved.

Millimetres, from the bottom centre of the baffle's front face, heights along it where it leans.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from speakerwright.cabinet.inputs import BuiltPort
from speakerwright.cabinet.result import CabinetResult
from speakerwright.cabinet.sizes import Sizes
from speakerwright.design.document import Design
from speakerwright.drawing.palette import PARTS
from speakerwright.solids.assembly import room as room_of
from speakerwright.solids.meshes import Manifold
from speakerwright.workbench.frontboards import braces, dividers
from speakerwright.workbench.frontparts import Foul, Front, Item, Outline, layers, steps_of
from speakerwright.workbench.frontplaces import Spot, placed_drivers, port_path, rise, spots
from speakerwright.workbench.session import written

__all__ = ["Front", "Item", "front", "layers"]

# --- the front of a cabinet -----------------------------------------------------------------------


def front(design: Design, cabinet: CabinetResult) -> Front:
    """The front of a cabinet, with the room that everything on it takes."""
    sizes = cabinet.settled.sizes
    at = dict(spots(design, sizes, cabinet.ports))
    solids, owners = _solids(design, cabinet, sizes)
    items = (*dividers(design, sizes, at, solids), *braces(design, sizes, at, solids),
             *_mounted(design, sizes, at, solids), *_ports(design, cabinet, at, solids))
    fixed = tuple((panel.name, layers([_upright(room_of(panel), sizes)], (0.0, 0.0)))
                  for panel in cabinet.panels
                  if panel.role not in ("baffle", "back") and panel.name not in owners)
    names = {item.key: item.name for item in items}
    fouls = []
    for each in cabinet.collisions:
        a, b = (owners.get(name, name) for name in (each.a, each.b))
        if a != b:
            fouls.append(Foul((names.get(a, a), names.get(b, b)), _seen(each.centre, sizes)))
    width, height = _sizes_of(sizes.width, rise(sizes) * sizes.height)
    outline = tuple((round(1e3 * x, 6), round(1e3 * rise(sizes) * z, 6))
                    for x, z in sizes.shape.corners)
    return Front(width, height, outline, cabinet.settled, cabinet.ports, items, at, fixed,
                 tuple({foul.names: foul for foul in fouls}.values()))


def _upright(solid: Manifold, sizes: Sizes) -> Manifold:
    """A solid turned so that the front stands upright."""
    lean = sizes.shape.front_lean_deg
    return solid.rotate((lean, 0.0, 0.0)) if lean else solid


def _seen(centre: Sequence[float], sizes: Sizes) -> Spot:
    """Where a point of the cabinet is seen, square to the front."""
    lean = math.radians(sizes.shape.front_lean_deg)
    return centre[0], centre[1] * math.sin(lean) + centre[2] * math.cos(lean)


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
                solids.setdefault(owner, []).append(_upright(room_of(body), sizes))
    slots = {room: port for room, port in cabinet.ports.items() if port.shape == "slot"}
    for panel in cabinet.panels:
        owner = owners.get(panel.name) or _slot_of(panel.name, panel.role, slots)
        if owner is not None:
            owners[panel.name] = owner
            solids.setdefault(owner, []).append(_upright(room_of(panel), sizes))
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
            steps_of(design, f"directivity.{placed.job}.at.{index}.1"), bool(placed.mounting.at))


def _within(sizes: Sizes, face: Outline) -> tuple[float, float, float, float]:
    """Where a centre may be so that the whole face is on the baffle; its middle if nowhere."""
    wide, high = (0.5 * face[0], 0.5 * face[-1]) if face else (0.0, 0.0)
    side, middle = max(500.0 * sizes.width - wide, 0.0), 500.0 * rise(sizes) * sizes.height
    low = min(high, middle)
    return -round(side, 6), round(low, 6), round(side, 6), round(2.0 * middle - low, 6)


def _in_room(sizes: Sizes, name: str, face: Outline) -> tuple[float, float, float, float]:
    """Where a port's centre may be: on the baffle, before its own chamber."""
    low_x, low, high_x, high = _within(sizes, face)
    room = sizes.room(name)
    if room is not None:
        up = 1e3 * rise(sizes)
        half, middle = 0.5 * face[-1], up * room.middle
        low = max(low, min(up * room.floor + half, middle))
        high = min(high, max(up * (room.floor + room.height) - half, middle))
    return low_x, round(low, 6), high_x, round(max(low, high), 6)


def _sizes_of(*sizes: float | None) -> Outline:
    """An outline from sizes in m."""
    return tuple(round(1e3 * size, 6) for size in sizes if size is not None)


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
                f"{own}.{k}.{0 if ways == 'x' else 1}", steps_of(design, f"{own}.{k}.1"),
                written(design, own) is not None)

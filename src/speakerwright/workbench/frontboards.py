"""Boards behind the front: dividers and braces, and how far each may be moved. Millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from speakerwright.cabinet.shape import level_span
from speakerwright.cabinet.sizes import Room, Sizes, closing_room, free_size
from speakerwright.design.document import Design
from speakerwright.design.sections.joinery import Brace
from speakerwright.plan.stage import system_of
from speakerwright.solids.meshes import Manifold
from speakerwright.words.units import show
from speakerwright.workbench.frontparts import Item, layers, steps_of
from speakerwright.workbench.frontplaces import Spot, brace_span, height_path, rise
from speakerwright.workbench.session import written

LEAST_ROOM = 20.0
"""Clear height that a divider leaves on both its sides, mm: rule of thumb."""


def braces(
    design: Design, sizes: Sizes, at: Mapping[str, Spot], solids: Mapping[str, list[Manifold]]
) -> Iterator[Item]:
    """The braces: a shelf is moved up and down, an upright sideways, a partition is only shown."""
    cabinet = design.decided.cabinet
    for k, brace in enumerate(cabinet.braces if cabinet else ()):
        key = f"cabinet.braces.{k}.at"
        room = sizes.room(brace.chamber) or sizes.rooms[0]
        assert cabinet is not None
        name = "brace" if len(cabinet.braces) == 1 else f"brace {k + 1}"
        thick = round(1e3 * (sizes.sheet if brace.sheet is None else brace.sheet), 6)
        made = _standing if brace.kind != "shelf" else _shelf
        yield made(design, sizes, room, brace, Item(
            key, name, "brace", "", room.name, k, "z", (0.0, 0.0), (0.0, 0.0, 0.0, 0.0),
            (0.0, thick), (), layers(solids.get(key, ()), at[key]), "", key,
            steps_of(design, key), True))


def _shelf(design: Design, sizes: Sizes, room: Room, brace: Brace, item: Item) -> Item:
    """A shelf, moved up and down."""
    up, thick = rise(sizes), item.face[1]
    low = up * (1e3 * room.floor + 0.5 * thick)
    high = up * (1e3 * (room.floor + room.height) - 0.5 * thick)
    return replace(
        item, origin=(0.0, up * 1e3 * room.floor), rise=up,
        steps=(up * item.steps[0], up * item.steps[1]),
        bounds=(0.0, round(low, 6), 0.0, round(max(low, high), 6)),
        face=(round(1e3 * _clear_width(room, room.floor + brace.at), 6), thick),
        says=f"its middle {{z}} above the floor of {room.name}")


def _standing(design: Design, sizes: Sizes, room: Room, brace: Brace, item: Item) -> Item:
    """An upright, moved sideways, or a partition, which stays: it moves in the depth only."""
    up, thick = rise(sizes), item.face[1]
    low, high = brace_span(sizes, brace)
    wide = round(1e3 * min(_clear_width(room, low), _clear_width(room, high)), 6)
    tall, middle = round(up * 1e3 * (high - low), 6), round(0.5e3 * up * (low + high), 6)
    if brace.kind == "partition":
        deep = show(brace.at, "length", system_of(design))
        return replace(item, kind="partition", ways="", bounds=(0.0, middle, 0.0, middle),
                       face=(wide, tall), says=f"its middle {deep} behind the front face")
    side = round(max(0.5 * (wide - thick), 0.0), 6)
    return replace(item, kind="upright", ways="x", bounds=(-side, middle, side, middle),
                   face=(thick, tall), says=f"its middle {{x}}, in {room.name}")


def _clear_width(room: Room, height: float) -> float:
    """The width between a room's walls at a height above the bottom, m."""
    across = [x for x, _ in level_span(room.section, height)]
    return max(across) - min(across) if across else room.width


def dividers(
    design: Design, sizes: Sizes, at: Mapping[str, Spot], solids: Mapping[str, list[Manifold]]
) -> Iterator[Item]:
    """The dividers between chambers, moved up and down where the heights are decided."""
    for k, (lower, upper) in enumerate(zip(sizes.rooms, sizes.rooms[1:], strict=False)):
        key, half, up = f"divider.{lower.name}", 500.0 * sizes.sheet, rise(sizes)
        path = height_path(lower.name)
        low = up * (1e3 * lower.floor + LEAST_ROOM + half)
        high = up * (1e3 * (upper.floor + upper.height) - LEAST_ROOM - half)
        steps = steps_of(design, path)
        yield Item(
            key, "divider" if len(sizes.rooms) == 2 else f"divider {k + 1}", "divider", "",
            lower.name, k, "z" if _can_move(design, lower) else "",
            (0.0, up * (1e3 * lower.floor + half)),
            (0.0, round(low, 6), 0.0, round(max(low, high), 6)),
            (round(1e3 * _clear_width(lower, lower.floor + lower.height), 6), 2.0 * half), (),
            layers(solids.get(key, ()), at[key]), f"{lower.name} is {{z}} high inside", path,
            (up * steps[0], up * steps[1]),
            any(written(design, height_path(room.name)) is not None for room in (lower, upper)),
            up)


def _can_move(design: Design, lower: Room) -> bool:
    """Whether the chamber below has its height from nothing but what is decided."""
    cabinet, chambers = design.decided.cabinet, tuple(design.decided.bass)
    if cabinet is None:
        return False
    closes = free_size(cabinet, chambers) == "height" and closing_room(cabinet, chambers)
    return lower.name != closes

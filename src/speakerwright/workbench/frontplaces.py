"""Where everything on the front, and every level board behind it, stands in a design.

Millimetres, from the bottom centre of the baffle's front face. Where the front leans, heights are
counted along it: a level board stands where it meets the baffle.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TypeAlias

from speakerwright.cabinet.inputs import BuiltPort, Placed, places, port_places
from speakerwright.cabinet.sizes import Settled, Sizes, free_size, resolve
from speakerwright.design.document import Design
from speakerwright.design.sections.joinery import Brace
from speakerwright.workbench.changes import dotted

Spot: TypeAlias = tuple[float, float]


def sizes_now(design: Design, settled: Settled) -> Sizes:
    """A design's sizes, with the free one as it was settled last."""
    cabinet, chambers = design.decided.cabinet, tuple(design.decided.bass)
    if cabinet is None:
        return settled.sizes
    which, last = free_size(cabinet, chambers), settled.sizes
    clear = {"width": last.width - 2.0 * last.sheet, "depth": last.depth - 2.0 * last.sheet}
    if which == "height":
        clear["height"] = sum(
            room.height for room in last.rooms
            if room.name not in cabinet.chambers or cabinet.chambers[room.name].height is None)
    return resolve(cabinet, chambers, clear.get(which or ""))


def spots(
    design: Design, sizes: Sizes, ports: Mapping[str, BuiltPort]
) -> Iterator[tuple[str, Spot]]:
    """The key and the place of everything that stands on or behind the front."""
    for key, placed in placed_drivers(design, sizes):
        yield key, _mm(*placed.at)
    for room in sizes.rooms:
        if room.name in ports:
            for k, place in enumerate(port_places(design, room, ports[room.name])):
                yield f"{port_path(room.name)}.{k}", _mm(*place)
    cabinet, up = design.decided.cabinet, rise(sizes)
    for k, brace in enumerate(cabinet.braces if cabinet else ()):
        yield f"cabinet.braces.{k}.at", _brace(sizes, brace)
    for room in sizes.rooms[:-1]:
        yield f"divider.{room.name}", _mm(0.0, up * (room.floor + room.height + 0.5 * sizes.sheet))


def rise(sizes: Sizes) -> float:
    """How much longer a height is along the front than upright."""
    return 1.0 / math.cos(math.radians(sizes.shape.front_lean_deg))


def brace_span(sizes: Sizes, brace: Brace) -> tuple[float, float]:
    """From which to which height (m, above the bottom) a brace that stands reaches."""
    room = sizes.room(brace.chamber) or sizes.rooms[0]
    low, high = brace.from_floor or 0.0, room.height
    if brace.to_height is not None:
        high = min(high, brace.to_height)
    return room.floor + low, room.floor + max(high, low)


def _brace(sizes: Sizes, brace: Brace) -> Spot:
    """Where a brace's middle is seen: a partition is seen in full."""
    room, up = sizes.room(brace.chamber) or sizes.rooms[0], rise(sizes)
    if brace.kind == "shelf":
        return _mm(0.0, up * (room.floor + brace.at))
    across = brace.at if brace.kind == "upright" else 0.0
    return _mm(across, 0.5 * up * sum(brace_span(sizes, brace)))


def placed_drivers(design: Design, sizes: Sizes) -> Iterator[tuple[str, Placed]]:
    """Every driver with the key of its place."""
    seen: dict[str, int] = {}
    for placed in places(design, sizes):
        k = seen.get(placed.job, 0)
        seen[placed.job] = k + 1
        yield f"directivity.{placed.job}.at.{k}", placed


def _mm(x: float, z: float) -> Spot:
    return round(1e3 * x, 6), round(1e3 * z, 6)


def port_path(room: str) -> str:
    """Where a chamber's ports have their places."""
    return dotted(("cabinet", "ports", room, "at"))


def height_path(room: str) -> str:
    """Where a chamber has its clear height."""
    return dotted(("cabinet", "chambers", room, "height"))

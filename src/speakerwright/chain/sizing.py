"""The cabinet's sizes, a free one closed on its net volume with the port's length in the loop.

This is the one loop that is allowed between stages: the cabinet's size gives the port its room, the
port's length what it displaces, and that the size.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from speakerwright.acoustics.air import Air
from speakerwright.bass.inputs import Seat
from speakerwright.bass.port import PortCase, length_for
from speakerwright.cabinet.inputs import BuiltPort, displaced, port_places
from speakerwright.cabinet.sizes import (
    Settled,
    Sizes,
    closing_room,
    free_size,
    resolve,
    with_clear,
)
from speakerwright.design.document import Design
from speakerwright.design.sections.cabinet import Cabinet

ROUNDS = 60
CLOSE = 1e-9  # of the free size
SOLID_ROUNDS = 4
SOLID_CLOSE = 3e-5  # of the net volume, as the solids leave it


def settle_key(design: Design, *, solids: bool = True) -> Any:
    """Digests of all that the cabinet's sizes rest on; `solids` counts where a size is free."""
    decided = design.decided
    cabinet = decided.cabinet
    free = cabinet is not None and free_size(cabinet, tuple(decided.bass)) is not None
    named = {name for choice in decided.drivers.values() for name in (choice.record, choice.horn)}
    return [
        solids and free,
        None if cabinet is None else cabinet.key,
        {name: [b.volume, None if b.port is None else b.port.key, list(b.loads)]
         for name, b in decided.bass.items()},
        {job: [c.key] for job, c in decided.drivers.items()},
        {job: m.key for job, m in decided.directivity.items()},
        {name: [r.body.key, r.mouth, r.length, None if r.throat is None else r.throat.key]
         for name, r in design.records.items() if name in named},
        decided.brief.air.key, decided.brief.place.key,
    ]


def settle(design: Design, *, solids: bool = True) -> Settled | None:
    """The cabinet's sizes, a free one closed on its net volume with the port's length in the loop.

    A bounded number of rounds: the size gives the room behind the port, the room gives the port's
    length, the length what the port displaces, and that the size. With `solids` the air between
    the solids is measured at the end and the size corrected, which takes tenths of a second;
    without, the stated volumes stand. None without a cabinet.
    """
    cabinet = design.decided.cabinet
    if cabinet is None:
        return None
    chambers = tuple(design.decided.bass)
    which = free_size(cabinet, chambers)
    if which is None:
        sizes = resolve(cabinet, chambers, None)
        return _if_built(cabinet, Settled(sizes, None, 0, 0.0, sizes.hollow))
    name = closing_room(cabinet, chambers)
    if name not in design.decided.bass or design.decided.bass[name].volume is None:
        return Settled(resolve(cabinet, chambers, 0.3), which, 0, 1.0, False)
    found = _if_built(cabinet, _closed(design, which, name, 0.0))
    for _ in range(SOLID_ROUNDS if solids else 0):
        if not found.closed:
            break
        over = _over(design, found, name)
        if abs(over) < SOLID_CLOSE * design.decided.bass[name].net_volume:
            break
        again = _if_built(cabinet, _closed(design, which, name, found.unseen - over))
        found = replace(again, rounds=found.rounds + again.rounds)
    return found


def _if_built(cabinet: Cabinet, found: Settled) -> Settled:
    """The sizes as they are, or with the reason why no walls can be cut to them."""
    if not found.closed or found.sizes.shape.plain:  # a hollow box can always be cut
        return found
    from speakerwright.cabinet.box import unbuildable

    why = unbuildable(cabinet, found.sizes)
    return replace(found, closed=False, why=why) if why else found


def _closed(design: Design, which: str, name: str, unseen: float) -> Settled:
    """Close one free size; `unseen` (m³) is what stands in the room beyond the stated figures."""
    cabinet = design.decided.cabinet
    assert cabinet is not None
    chambers = tuple(design.decided.bass)
    volume, free, moved = design.decided.bass[name].net_volume, 0.3, 1.0
    for round_ in range(1, ROUNDS + 1):
        sizes = resolve(cabinet, chambers, free)
        room = sizes.room(name)
        if room is None or not sizes.hollow:
            return Settled(sizes, which, round_, moved, False)
        taken = sum(v for _, v in displaced(design, sizes, room, _ports_now(design, sizes)))
        wanted = with_clear(cabinet, chambers, which, name, volume + taken + unseen)
        moved = abs(wanted / free - 1.0)
        free = wanted
        if moved < CLOSE:
            sizes = resolve(cabinet, chambers, free)
            return Settled(sizes, which, round_, moved, True, unseen)
    return Settled(resolve(cabinet, chambers, free), which, ROUNDS, moved, False)


def _over(design: Design, found: Settled, name: str) -> float:
    """By how much (m³) the solids leave more air than asked, for rebates and odd bodies."""
    from speakerwright.cabinet import stage as cabinet

    net = cabinet.net_volumes(design, found.sizes, _ports_now(design, found.sizes)).get(name)
    return 0.0 if net is None else net - design.decided.bass[name].net_volume


def _ports_now(design: Design, sizes: Sizes) -> dict[str, BuiltPort]:
    """Every chamber's ports at their length in a cabinet of these sizes."""
    climate, place = design.decided.brief.air, design.decided.brief.place
    air = Air(climate.temperature, climate.pressure, climate.humidity)
    found = {}
    for name, chamber in design.decided.bass.items():
        port = chamber.port
        if port is None:
            continue
        seat = _seat(design, sizes, name)
        case = PortCase(port, chamber.net_volume, air, seat, place.kind in ("floor", "corner"),
                        places=seat.mouths)
        length = port.length
        if length is None and port.tuning is not None:
            length = length_for(case, port.tuning)
            if length is None:
                free = replace(case, effects=replace(case.effects, facing=False))
                length = length_for(free, port.tuning)
        found[name] = built_port(port, length if length is not None else sizes.sheet, sizes.sheet)
    return found


def built_port(port: Any, length: float, sheet: float) -> BuiltPort:
    """A chamber's port as the cabinet builds it; a slot's board without a wall is of its sheet."""
    wall = sheet if port.shape == "slot" and not port.wall else port.wall
    return BuiltPort(port.shape, port.count, length, port.bore, port.width, port.height,
                     wall, port.centres, port.walls_shared)


def seat_of(design: Design, settled: Settled | None, chamber: str) -> Seat:
    """The room that the cabinet's sizes leave a chamber's port and magnet."""
    if settled is None or not settled.closed:
        return Seat()
    return _seat(design, settled.sizes, chamber)


def _seat(design: Design, sizes: Sizes, chamber: str) -> Seat:
    room = sizes.room(chamber)
    mouths: tuple[tuple[float, float], ...] = ()
    port = design.decided.bass[chamber].port
    if room is not None and port is not None:
        spots = port_places(design, room, built_port(port, sizes.sheet, sizes.sheet))
        mouths = tuple((x + 0.5 * room.width, z - room.floor) for x, z in spots)
    if room is None:
        return Seat(behind_mouth=sizes.behind_front, depth=sizes.depth - 2.0 * sizes.sheet,
                    width=sizes.width - 2.0 * sizes.sheet, baffle=sizes.sheet, mouths=mouths)
    at = room.floor + mouths[0][1] if mouths else room.middle
    return Seat(
        behind_mouth=sizes.behind_front_at(at), depth=room.depth, width=room.width,
        height=room.height,
        baffle=sizes.sheet, mouths=mouths,
    )

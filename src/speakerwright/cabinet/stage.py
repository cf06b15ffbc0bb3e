"""Work out the cabinet: panels and bodies, collisions, chambers, mass, findings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from speakerwright.cabinet import fittings
from speakerwright.cabinet.box import Box, mm
from speakerwright.cabinet.fittings import Fastener, Fitting
from speakerwright.cabinet.fixtures import fixtures, with_cuts
from speakerwright.cabinet.inputs import BuiltPort, Placed, displaced, places, port_places
from speakerwright.cabinet.judgement import judged
from speakerwright.cabinet.result import CabinetResult, DepthChain, RoomResult
from speakerwright.cabinet.shape import level_span
from speakerwright.cabinet.sizes import Room, Settled, Sizes
from speakerwright.design.document import Design
from speakerwright.solids.assembly import collisions, mass_and_centre
from speakerwright.solids.bodies import Body
from speakerwright.solids.chambers import chambers
from speakerwright.solids.features import Feature
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel

SEED = 3.0  # mm from the walls of a room's corner
BATTEN = 60.0  # mm further in, where something stands in the corners


def work(
    design: Design, settled: Settled, ports: Mapping[str, BuiltPort]
) -> CabinetResult:
    """The cabinet of a design from settled sizes and the ports as the bass solved them."""
    sizes = settled.sizes
    built = _built(design, sizes, ports)
    placed, fitted, panels, bodies = built.placed, built.fitted, built.panels, built.bodies
    airs = _airs(panels, bodies, sizes)
    rooms = tuple(_room(design, sizes, room, ports, airs.get(room.name)) for room in sizes.rooms)
    mass, centre = _mass(panels, bodies)
    result = CabinetResult(
        settled=settled,
        panels=panels,
        joints=built.joints,
        bodies=bodies,
        placed=placed,
        ports=ports,
        rooms=rooms,
        collisions=collisions((*panels, *bodies)),
        leaks=tuple(room.name for room in sizes.rooms if room.name not in airs and not room.open),
        chains=_chains(design, sizes, placed, ports),
        hardware=built.fasteners,
        mass_kg=mass,
        centre_mm=centre,
        troubles=tuple(fit.problem for fit in fitted if fit.problem),
        off_baffle=built.off_baffle,
        findings=(),
    )
    return replace(result, findings=judged(design, result))


def net_volumes(
    design: Design, sizes: Sizes, ports: Mapping[str, BuiltPort]
) -> dict[str, float]:
    """Net volume (m³) of every closed chamber, as the solids leave it, by its room's name."""
    built = _built(design, sizes, ports)
    return _airs(built.panels, built.bodies, sizes)


@dataclass(frozen=True, eq=False)
class _Built:
    """Drivers at their places, what they bring, wood, bodies, and cuts that miss the baffle."""

    placed: tuple[Placed, ...]
    fitted: list[Fitting]
    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    bodies: tuple[Body, ...]
    fasteners: tuple[Fastener, ...]
    off_baffle: tuple[str, ...]


def _built(design: Design, sizes: Sizes, ports: Mapping[str, BuiltPort]) -> _Built:
    cabinet = design.decided.cabinet
    if cabinet is None:
        raise ValueError("the design decides no cabinet")
    placed, box = places(design, sizes), Box(cabinet, sizes)
    fitted = [fittings.driver(each, sizes, box.frame, cabinet.fixing) for each in placed]
    slots = {}
    for room in sizes.rooms:
        if room.name in ports:
            built = ports[room.name]
            spots = port_places(design, room, built)
            fitted.append(fittings.port(room, built, spots, box.frame, sizes.sheet))
            if built.shape == "slot":
                slots[room.name] = built, spots
    cuts, off = box.fitting([feature for fit in fitted for feature in fit.features])
    wood = box.built(cuts, slots)
    added = fixtures(design, sizes, wood.panels)
    bodies = (*(body for fit in fitted for body in fit.bodies), *wood.rods,
              *(body for each in added for body in each.bodies))
    fasteners = tuple(fastener for group in (
        *(fit.fasteners for fit in fitted), *(each.fasteners for each in added))
        for fastener in group)
    return _Built(placed, fitted, with_cuts(wood.panels, added), wood.joints, bodies, fasteners,
                  off)


def _airs(
    panels: tuple[Panel, ...], bodies: tuple[Body, ...], sizes: Sizes
) -> dict[str, float]:
    """Net volume (m³) of every closed chamber, by its room's name."""
    found: dict[str, float] = {}
    parts = _filled(panels, bodies)
    for k in range(8):  # something may stand in a corner
        away = SEED + (BATTEN if k > 3 else 0.0)
        seeds = {room.name: _seed(sizes, room, k % 4, away) for room in sizes.closed_rooms}
        for air in chambers(*parts, seeds=seeds):
            if air.name in seeds:
                found.setdefault(air.name, air.volume_mm3 * 1e-9)
        if len(found) == len(sizes.closed_rooms):
            break
    return found


def _seed(sizes: Sizes, room: Room, corner: int, away: float) -> tuple[float, float, float]:
    """A point of a room by the back, in one of its four corners there, mm."""
    z = mm(room.floor) + (away if corner % 2 else mm(room.height) - away)
    across = sorted(x for x, _ in level_span(room.section, z / 1e3))
    if not across:
        return 0.0, mm(sizes.behind_front) - away, z
    x = mm(across[0]) + away if corner < 2 else mm(across[-1]) - away
    back = mm(sizes.shape.back(z / 1e3, sizes.sheet))
    return x, back - away, z


def _filled(
    panels: tuple[Panel, ...], bodies: tuple[Body, ...]
) -> tuple[list[Panel], list[Body]]:
    """Panels as the air inside sees them: holes and grooves whose parts are there are filled.

    That leaves the volumes as they are and spares the solids a hundred edges that only touch. A
    hole whose part is missing stays open, and its chamber leaks.
    """
    there = {body.name for body in bodies} | {panel.name for panel in panels}
    kept = [body for body in bodies if body.kind != "air plug" or body.part_of not in there]
    return [replace(panel, features=tuple(f for f in panel.features if _seen_inside(f, there)))
            for panel in panels], kept


def _seen_inside(feature: Feature, there: set[str]) -> bool:
    if feature.depth is not None and feature.face == "outside":
        return False
    return feature.mate not in there


def _room(
    design: Design, sizes: Sizes, room: Room, ports: Mapping[str, BuiltPort], net: float | None
) -> RoomResult:
    taken = displaced(design, sizes, room, ports)
    bass = design.decided.bass.get(room.name)
    return RoomResult(
        room.name, room.gross, taken, room.gross - sum(volume for _, volume in taken),
        None if bass is None else bass.volume, net, None if bass is None else bass.loading,
    )


def _mass(
    panels: tuple[Panel, ...], bodies: tuple[Body, ...]
) -> tuple[float | None, tuple[float, float, float] | None]:
    try:
        return mass_and_centre((*panels, *bodies))
    except ValueError:
        return None, None


def _chains(
    design: Design, sizes: Sizes, placed: tuple[Placed, ...], ports: Mapping[str, BuiltPort]
) -> tuple[DepthChain, ...]:
    """What uses up the depth behind each driver and port, from the baffle's front face."""
    chains = []
    for each in placed:
        deep = _depth_of(each)
        if deep is not None:
            what = "horn and driver" if each.horn is not None else "driver"
            chains.append(_chain(each.name, what, deep, sizes, each.at[1], each.room))
    for name, port in ports.items():
        room = sizes.room(name)
        up = 0.0 if room is None else port_places(design, room, port)[0][1]
        chains.append(_chain(f"port of {name}", "port", mm(port.length), sizes, up, name))
    return tuple(chains)


def _chain(name: str, what: str, deep: float, sizes: Sizes, up: float, room: str) -> DepthChain:
    """One chain, square to the baffle at a place up its slope (m); an open bay has no back."""
    here = sizes.room(room)
    back = 0.0 if here is not None and here.open else sizes.sheet
    inner = mm(sizes.shape.behind(up, back))
    return DepthChain(name, ((f"{what}, from the front face", deep), ("clear", inner - deep),
                             ("back", mm(back))))


def _depth_of(each: Placed) -> float | None:
    """How far a driver reaches behind the baffle's front face, mm."""
    depth = each.record.body.depth
    if each.horn is not None:
        flange = each.horn.body.flange or 0.0
        recess = flange if each.mounting.flush == "yes" else 0.0
        if each.horn.length is None:
            return None
        return mm(recess - flange + each.horn.length + (depth or 0.0))
    if depth is None:
        return None
    recess = (each.record.body.flange or 0.0) if each.mounting.flush == "yes" else 0.0
    return mm(depth + recess)

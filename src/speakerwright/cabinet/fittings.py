"""Drivers, horns, ports and fasteners: what they cut into the baffle, and their bodies."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from speakerwright.cabinet.box import mm
from speakerwright.cabinet.inputs import DEFAULT_INSERT, INSERTS, BuiltPort, Placed
from speakerwright.cabinet.sizes import Room, Sizes
from speakerwright.design.records import Record
from speakerwright.solids import bodies
from speakerwright.solids.bodies import Body
from speakerwright.solids.panels import Feature, cutout, hole, pocket
from speakerwright.solids.shapes import circle, rectangle

CLEARANCE = 1.0  # mm on the diameter of a rebate for a flange: rule of thumb

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


def driver(placed: Placed, sizes: Sizes) -> Fitting:
    """A driver on the baffle; on a horn, the horn and the driver behind it."""
    if placed.horn is not None:
        return _horn(placed, placed.horn, sizes)
    record, (x, z) = placed.record, (mm(placed.at[0]), mm(placed.at[1]))
    shape = record.body
    if shape.cutout is None or shape.frame is None or shape.depth is None:
        return Fitting((), (), (), f"{record.name} states no frame, cut-out and depth")
    recess = mm(shape.flange or 0.0) if placed.mounting.flush == "yes" else 0.0
    cuts = [hole(x, z, mm(shape.cutout), f"cut-out for {placed.name}", mate=placed.name)]
    if recess:
        wide = mm(shape.frame) + CLEARANCE
        cuts.append(pocket(circle(x, z, wide), recess, "outside", f"rebate for {placed.name}",
                           circle=(x, z, wide), mate=placed.name))
    bolts = _circle_bolts(placed, record, x, z)
    made = _bolted(placed.name, record, bolts, sizes)
    try:
        body = _cone(placed, record, x, z, recess, sizes)
    except ValueError as error:
        return Fitting((*cuts, *made.features), made.bodies, made.fasteners, str(error))
    filled = bodies.cylinder_body(
        f"hole of {placed.name}", mm(shape.cutout), mm(sizes.sheet) - recess, (x, recess, z),
        kind="air plug", mass_kg=0.0, part_of=placed.name,
    )
    return Fitting((*cuts, *made.features), (body, filled, *made.bodies), made.fasteners)


def _cone(placed: Placed, record: Record, x: float, z: float, recess: float, sizes: Sizes) -> Body:
    shape = record.body
    volume = None if shape.volume is None else shape.volume * 1e9
    depth = mm(shape.depth or 0.0)
    magnet = mm(shape.magnet_height or 0.3 * (shape.depth or 0.0))
    across = mm(shape.magnet_diameter or 0.6 * (shape.cutout or 0.0))
    def made(displaced: float | None) -> Body:
        return bodies.cone_driver(
            placed.name, mm(shape.frame or 0.0), mm(shape.cutout or 0.0),
            mm(shape.flange or 0.003), depth, across, magnet, (x, z), recess,
            displaced, behind=None if displaced is None else mm(sizes.sheet),
            mass_kg=record.mass, part_of=placed.name,
        )

    try:
        return made(volume)
    except ValueError:  # the stated volume does not fit this outline: the outline stands
        return made(None)


def _circle_bolts(
    placed: Placed, record: Record, x: float, z: float
) -> list[tuple[float, float]]:
    count, across = record.body.bolts or 0, mm(record.body.bolt_circle or 0.0)
    start = placed.mounting.bolt_angle
    return [
        (x + 0.5 * across * math.sin(math.radians(start + 360.0 * k / count)),
         z + 0.5 * across * math.cos(math.radians(start + 360.0 * k / count)))
        for k in range(count)
    ] if across else []


def _rectangle_bolts(
    record: Record, x: float, z: float
) -> list[tuple[float, float]]:
    """Bolts of a rectangular flange: evenly around the middle line between cut-out and edge."""
    frame, opening, count = record.body.frame_size, record.body.cutout_size, record.body.bolts or 0
    if frame is None or opening is None or not count:
        return []
    half_w, half_h = (0.25 * mm(a + b) for a, b in zip(frame, opening, strict=True))
    corners = [(-half_w, -half_h), (half_w, -half_h), (half_w, half_h), (-half_w, half_h)]
    points: list[tuple[float, float]] = []
    per_side, extra = divmod(count - 4, 4) if count >= 4 else (0, 0)
    for k in range(4):
        (x0, z0), (x1, z1) = corners[k], corners[(k + 1) % 4]
        between = per_side + (1 if k % 2 == 1 and extra >= 2 else 0)
        points += [(x + x0 + (x1 - x0) * j / (between + 1), z + z0 + (z1 - z0) * j / (between + 1))
                   for j in range(between + 1)]
    return points


def _bolted(
    name: str, record: Record, points: list[tuple[float, float]], sizes: Sizes
) -> Fitting:
    """Insert holes through the baffle, and what stands out of them on the inside."""
    if not points:
        return Fitting((), (), ())
    bolt = record.body.bolt or "M4"
    diameter, collar, end = INSERTS.get(bolt, DEFAULT_INSERT)
    cuts = tuple(hole(px, pz, diameter, f"{bolt} insert for {name}", mate=name)
                 for px, pz in points)
    t = mm(sizes.sheet)
    ends = tuple(
        bodies.insert(f"{bolt} insert {k + 1} of {name}", (diameter, t), (collar, end),
                      (px, 0.0, pz), part_of=name)
        for k, (px, pz) in enumerate(points)
    )
    return Fitting(cuts, ends, (
        Fastener(f"{bolt} threaded insert, hole {diameter:g} mm (take it from the part in hand)",
                 len(points), name),
        Fastener(f"{bolt} bolt with washer", len(points), name),
    ))


def _horn(placed: Placed, horn: Record, sizes: Sizes) -> Fitting:
    x, z = mm(placed.at[0]), mm(placed.at[1])
    shape = horn.body
    if horn.mouth is None or horn.length is None or shape.cutout_size is None or (
        shape.frame_size is None or horn.throat is None
    ):
        return Fitting((), (), (), f"{horn.name} states no mouth, length, cut-out and flange")
    wide, high = (0.5 * mm(size) for size in shape.cutout_size)
    opening = rectangle(x - wide, z - high, x + wide, z + high)
    flange = mm(shape.flange or 0.003)
    recess = flange if placed.mounting.flush == "yes" else 0.0
    cuts = [cutout(opening, f"cut-out for {horn.name}", mate=horn.name)]
    if recess:
        fw, fh = (0.5 * (mm(size) + CLEARANCE) for size in shape.frame_size)
        cuts.append(pocket(rectangle(x - fw, z - fh, x + fw, z + fh), recess, "outside",
                           f"rebate for {horn.name}", mate=horn.name))
    made = _bolted(horn.name, horn, _rectangle_bolts(horn, x, z), sizes)
    try:
        flare = _flare(placed, horn, (x, z), flange, recess)
    except ValueError as error:
        return Fitting((*cuts, *made.features), made.bodies, made.fasteners, str(error))
    parts = [flare, *made.bodies]
    behind = placed.record.body
    if behind.depth is not None and behind.magnet_diameter is not None:
        throat = recess - flange + mm(horn.length)
        parts.append(bodies.compression_driver(
            placed.name, mm(behind.magnet_diameter), mm(behind.depth), (x, throat, z),
            mass_kg=placed.record.mass, part_of=horn.name,
        ))
    parts.append(bodies.box_body(
        f"hole of {horn.name}", (x - wide, recess, z - high),
        (x + wide, mm(sizes.sheet), z + high), kind="air plug", mass_kg=0.0, part_of=horn.name,
    ))
    return Fitting((*cuts, *made.features), tuple(parts), made.fasteners)


def _flare(placed: Placed, horn: Record, at: tuple[float, float], flange: float, recess: float
           ) -> Body:
    assert horn.throat is not None
    assert horn.mouth is not None
    assert horn.body.frame_size is not None
    frame = horn.body.frame_size
    return bodies.horn(
        horn.name, mm(horn.throat.diameter), (mm(horn.mouth[0]), mm(horn.mouth[1])),
        mm(horn.length or 0.0), (mm(frame[0]), mm(frame[1])), flange,
        at=at, recess=recess, mass_kg=horn.mass, part_of=horn.name,
    )


def port(
    room: Room, built: BuiltPort, places: tuple[tuple[float, float], ...], sizes: Sizes
) -> Fitting:
    """A chamber's ports: holes and tubes, or the slot's opening (its boards are panels)."""
    if built.shape == "slot":
        half, floor = 0.5 * mm(built.width or 0.0), mm(room.floor)
        opening = rectangle(-half, floor, half, floor + mm(built.height or 0.0))
        plug = bodies.box_body(
            f"air of the slot of {room.name}",
            (-half, 0.0, floor), (half, mm(built.length), floor + mm(built.height or 0.0)),
            kind="air plug", mass_kg=0.0, part_of=f"slot of {room.name}",
        )
        return Fitting((cutout(opening, f"slot of {room.name}"),), (plug,), ())
    outer = mm(built.bore or 0.0) + 2.0 * mm(built.wall)
    return Fitting(
        tuple(hole(mm(x), mm(z), outer, f"port of {room.name}", mate=f"port {k + 1}")
              for k, (x, z) in enumerate(places)),
        tuple(_tubes(room, built, places)),
        (),
    )


def _tubes(
    room: Room, built: BuiltPort, places: tuple[tuple[float, float], ...]
) -> Iterator[Body]:
    for k, (x, z) in enumerate(places):
        name = f"port {k + 1}" if built.count > 1 else "port"
        yield bodies.tube(mm(built.bore or 0.0), mm(built.wall), mm(built.length),
                          (mm(x), mm(z)), name=f"{name} of {room.name}")

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
        return Fitting((), (), (), _left_out(placed.name, (
            ("cut-out", shape.cutout), ("frame", shape.frame), ("depth", shape.depth))))
    recess, problem = _recess(placed.name, shape.flange or 0.0, placed, sizes)
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
        return Fitting((*cuts, *made.features), made.bodies, made.fasteners,
                       f"{placed.name} is left out: {error}")
    filled = bodies.cylinder_body(
        f"hole of {placed.name}", mm(shape.cutout), mm(sizes.sheet) - recess, (x, recess, z),
        kind="air plug", mass_kg=0.0, part_of=placed.name,
    )
    return Fitting((*cuts, *made.features), (body, filled, *made.bodies), made.fasteners, problem)


def _recess(name: str, flange: float, placed: Placed, sizes: Sizes) -> tuple[float, str]:
    """How deep (mm) a flange of some thickness (m) lies in the baffle, and what forbids it."""
    if placed.mounting.flush != "yes":
        return 0.0, ""
    if flange >= sizes.sheet:
        return 0.0, f"The flange of {name} is as thick as the baffle and cannot lie flush"
    return mm(flange), ""


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


def _left_out(name: str, sizes: tuple[tuple[str, object], ...]) -> str:
    """Why something is not built in: the sizes that its record does not state."""
    missing = " and no ".join(what for what, size in sizes if size is None)
    return f"{name} is left out: its record states no {missing}"


def _horn(placed: Placed, horn: Record, sizes: Sizes) -> Fitting:
    x, z = mm(placed.at[0]), mm(placed.at[1])
    shape = horn.body
    if horn.mouth is None or horn.length is None or shape.cutout_size is None or (
        shape.frame_size is None or horn.throat is None
    ):
        return Fitting((), (), (), _left_out(placed.horn_name, (
            ("mouth", horn.mouth), ("throat", horn.throat), ("length", horn.length),
            ("cut-out", shape.cutout_size), ("frame", shape.frame_size))))
    wide, high = (0.5 * mm(size) for size in shape.cutout_size)
    opening = rectangle(x - wide, z - high, x + wide, z + high)
    flange = mm(shape.flange or 0.003)
    recess, problem = _recess(placed.horn_name, shape.flange or 0.003, placed, sizes)
    cuts = [cutout(opening, f"cut-out for {placed.horn_name}", mate=placed.horn_name)]
    if recess:
        fw, fh = (0.5 * (mm(size) + CLEARANCE) for size in shape.frame_size)
        cuts.append(pocket(rectangle(x - fw, z - fh, x + fw, z + fh), recess, "outside",
                           f"rebate for {placed.horn_name}", mate=placed.horn_name))
    made = _bolted(placed.horn_name, horn, _rectangle_bolts(horn, x, z), sizes)
    try:
        flare = _flare(placed, horn, (x, z), flange, recess)
    except ValueError as error:
        return Fitting((*cuts, *made.features), made.bodies, made.fasteners,
                       f"{placed.horn_name} is left out: {error}")
    parts = [flare, *made.bodies]
    behind = placed.record.body
    if behind.depth is not None and behind.magnet_diameter is not None:
        throat = recess - flange + mm(horn.length)
        parts.append(bodies.compression_driver(
            placed.name, mm(behind.magnet_diameter), mm(behind.depth), (x, throat, z),
            mass_kg=placed.record.mass, part_of=placed.horn_name,
        ))
    else:
        problem = problem or (f"{placed.name} is left out: its record states no depth and "
                              "diameter of the body")
    parts.append(bodies.box_body(
        f"hole of {placed.horn_name}", (x - wide, recess, z - high),
        (x + wide, mm(sizes.sheet), z + high), kind="air plug", mass_kg=0.0,
        part_of=placed.horn_name,
    ))
    return Fitting((*cuts, *made.features), tuple(parts), made.fasteners, problem)


def _flare(placed: Placed, horn: Record, at: tuple[float, float], flange: float, recess: float
           ) -> Body:
    assert horn.throat is not None
    assert horn.mouth is not None
    assert horn.body.frame_size is not None
    frame = horn.body.frame_size
    return bodies.horn(
        placed.horn_name, mm(horn.throat.diameter), (mm(horn.mouth[0]), mm(horn.mouth[1])),
        mm(horn.length or 0.0), (mm(frame[0]), mm(frame[1])), flange,
        at=at, recess=recess, mass_kg=horn.mass, part_of=placed.horn_name,
    )


def port(
    room: Room, built: BuiltPort, places: tuple[tuple[float, float], ...]
) -> Fitting:
    """A chamber's ports: holes and tubes, or the slot's opening (its boards are panels)."""
    if built.shape == "slot":
        return _slots(room, built, places)
    outer = mm(built.bore or 0.0) + 2.0 * mm(built.wall)
    return Fitting(
        tuple(hole(mm(x), mm(z), outer, f"port of {room.name}", mate=_tube_name(room, built, k))
              for k, (x, z) in enumerate(places)),
        tuple(_tubes(room, built, places)),
        (),
    )


def _slots(
    room: Room, built: BuiltPort, places: tuple[tuple[float, float], ...]
) -> Fitting:
    wide, high = 0.5 * mm(built.width or 0.0), 0.5 * mm(built.height or 0.0)
    cuts, plugs = [], []
    for k, (x, z) in enumerate(places):
        cx, cz = mm(x), mm(z)
        name = _tube_name(room, built, k).replace("port", "slot", 1)
        cuts.append(cutout(rectangle(cx - wide, cz - high, cx + wide, cz + high), name))
        plugs.append(bodies.box_body(
            f"air of the {name}", (cx - wide, 0.0, cz - high),
            (cx + wide, mm(built.length), cz + high),
            kind="air plug", mass_kg=0.0, part_of=name,
        ))
    return Fitting(tuple(cuts), tuple(plugs), ())


def _tube_name(room: Room, built: BuiltPort, index: int) -> str:
    return f"port {index + 1} of {room.name}" if built.count > 1 else f"port of {room.name}"


def _tubes(
    room: Room, built: BuiltPort, places: tuple[tuple[float, float], ...]
) -> Iterator[Body]:
    for k, (x, z) in enumerate(places):
        yield bodies.tube(mm(built.bore or 0.0), mm(built.wall), mm(built.length),
                          (mm(x), mm(z)), name=_tube_name(room, built, k))

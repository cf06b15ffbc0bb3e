"""Drivers, horns, ports and fasteners: what they cut into the baffle, and their bodies."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from speakerwright.cabinet.bolting import UPRIGHT, Fastener, Fitting, bolted, bolting, inward, point
from speakerwright.cabinet.bolting import circle_bolts as _circle_bolts
from speakerwright.cabinet.bolting import rectangle_bolts as _rectangle_bolts
from speakerwright.cabinet.box import mm
from speakerwright.cabinet.inputs import BuiltPort, Placed
from speakerwright.cabinet.sizes import Room, Sizes
from speakerwright.design.records import Record
from speakerwright.design.sections.fixtures import Fixing
from speakerwright.solids import bodies
from speakerwright.solids.bodies import Body
from speakerwright.solids.features import cutout, hole, pocket
from speakerwright.solids.meshes import joined, prism
from speakerwright.solids.panels import Placement
from speakerwright.solids.shapes import circle, rectangle

__all__ = ["CLEARANCE", "Fastener", "Fitting", "_circle_bolts", "_rectangle_bolts", "driver",
           "port", "recess_of"]

CLEARANCE = 1.0  # mm on the diameter of a rebate for a flange: rule of thumb


def driver(placed: Placed, sizes: Sizes, frame: Placement = UPRIGHT,
           fixing: Fixing | None = None) -> Fitting:
    """A driver on the baffle; on a horn, the horn and the driver behind it.

    Parameters
    ----------
    placed : Placed
        Its place counts along the baffle: to the right of its middle, and up its slope.
    sizes : Sizes
    frame : Placement
        The baffle's axes (u right, v up the slope, the normal to the listener); an upright one
        when left out.
    fixing : Fixing or None
        How it is bolted on; threaded inserts when left out.
    """
    if placed.horn is not None:
        return _horn(placed, placed.horn, sizes, frame, fixing)
    record, (x, v) = placed.record, (mm(placed.at[0]), mm(placed.at[1]))
    shape = record.body
    if shape.cutout is None or shape.frame is None or shape.depth is None:
        return Fitting((), (), (), _left_out(placed.name, (
            ("cut-out", shape.cutout), ("frame", shape.frame), ("depth", shape.depth))))
    recess, problem = recess_of(placed, sizes)
    cuts = [hole(x, v, mm(shape.cutout), f"cut-out for {placed.name}", mate=placed.name)]
    if recess:
        wide = mm(shape.frame) + CLEARANCE
        cuts.append(pocket(circle(x, v, wide), recess, "outside", f"rebate for {placed.name}",
                           circle=(x, v, wide), mate=placed.name))
    made = bolted(bolting(placed, mm(sizes.sheet), recess, fixing), frame)
    try:
        body = _cone(placed, record, frame, recess, sizes)
    except ValueError as error:
        return Fitting((*cuts, *made.features), made.bodies, made.fasteners,
                       f"{placed.name} is left out: {error}")
    filled = bodies.cylinder_body(
        f"hole of {placed.name}", mm(shape.cutout), mm(sizes.sheet) - recess,
        point(frame, x, v, recess), inward(frame), kind="air plug", mass_kg=0.0,
        part_of=placed.name,
    )
    return Fitting((*cuts, *made.features), (body, filled, *made.bodies), made.fasteners, problem)


def recess_of(placed: Placed, sizes: Sizes) -> tuple[float, str]:
    """How deep (mm) the flange of a driver or its horn lies in the baffle, and what forbids it."""
    body = placed.record.body if placed.horn is None else placed.horn.body
    flange = body.flange or (0.0 if placed.horn is None else 0.003)
    if placed.mounting.flush != "yes":
        return 0.0, ""
    if flange >= sizes.sheet:
        name = placed.horn_name or placed.name
        return 0.0, f"The flange of {name} is as thick as the baffle and cannot lie flush"
    return mm(flange), ""


def _cone(placed: Placed, record: Record, frame: Placement, recess: float, sizes: Sizes) -> Body:
    shape = record.body
    volume = None if shape.volume is None else shape.volume * 1e9
    depth = mm(shape.depth or 0.0)
    magnet = mm(shape.magnet_height or 0.3 * (shape.depth or 0.0))
    across = mm(shape.magnet_diameter or 0.6 * (shape.cutout or 0.0))
    at = point(frame, mm(placed.at[0]), mm(placed.at[1]))

    def made(displaced: float | None) -> Body:
        return bodies.cone_driver(
            placed.name, mm(shape.frame or 0.0), mm(shape.cutout or 0.0),
            mm(shape.flange or 0.003), depth, across, magnet, at, recess,
            displaced, behind=None if displaced is None else mm(sizes.sheet),
            inside=inward(frame), mass_kg=record.mass, part_of=placed.name,
        )

    try:
        return made(volume)
    except ValueError:  # the outline stands; the finding body_volume tells both figures
        return made(None)


def _left_out(name: str, sizes: tuple[tuple[str, object], ...]) -> str:
    """Why something is not built in: the sizes that its record does not state."""
    missing = " and no ".join(what for what, size in sizes if size is None)
    return f"{name} is left out: its record states no {missing}"


def _horn(placed: Placed, horn: Record, sizes: Sizes, frame: Placement,
          fixing: Fixing | None) -> Fitting:
    x, v = mm(placed.at[0]), mm(placed.at[1])
    shape = horn.body
    if horn.mouth is None or horn.length is None or shape.cutout_size is None or (
        shape.frame_size is None or horn.throat is None
    ):
        return Fitting((), (), (), _left_out(placed.horn_name, (
            ("mouth", horn.mouth), ("throat", horn.throat), ("length", horn.length),
            ("cut-out", shape.cutout_size), ("frame", shape.frame_size))))
    wide, high = (0.5 * mm(size) for size in shape.cutout_size)
    opening = rectangle(x - wide, v - high, x + wide, v + high)
    flange = mm(shape.flange or 0.003)
    recess, problem = recess_of(placed, sizes)
    cuts = [cutout(opening, f"cut-out for {placed.horn_name}", mate=placed.horn_name)]
    if recess:
        fw, fh = (0.5 * (mm(size) + CLEARANCE) for size in shape.frame_size)
        cuts.append(pocket(rectangle(x - fw, v - fh, x + fw, v + fh), recess, "outside",
                           f"rebate for {placed.horn_name}", mate=placed.horn_name))
    made = bolted(bolting(placed, mm(sizes.sheet), recess, fixing), frame)
    try:
        flare = _flare(placed, horn, frame, flange, recess)
    except ValueError as error:
        return Fitting((*cuts, *made.features), made.bodies, made.fasteners,
                       f"{placed.horn_name} is left out: {error}")
    parts = [flare, *made.bodies]
    behind = placed.record.body
    if behind.depth is not None and behind.magnet_diameter is not None:
        throat = recess - flange + mm(horn.length)
        parts.append(bodies.compression_driver(
            placed.name, mm(behind.magnet_diameter), mm(behind.depth),
            point(frame, x, v, throat), inside=inward(frame), mass_kg=placed.record.mass,
            part_of=placed.horn_name,
        ))
    else:
        problem = problem or (f"{placed.name} is left out: its record states no depth and "
                              "diameter of the body")
    parts.append(Body(
        f"hole of {placed.horn_name}",
        prism(opening, -mm(sizes.sheet), -recess).transform(frame.matrix[:3]),
        "air plug", 0.0, placed.horn_name))
    return Fitting((*cuts, *made.features), tuple(parts), made.fasteners, problem)


def _flare(placed: Placed, horn: Record, axes: Placement, flange: float, recess: float) -> Body:
    assert horn.throat is not None
    assert horn.mouth is not None
    assert horn.body.frame_size is not None
    frame = horn.body.frame_size
    return bodies.horn(
        placed.horn_name, mm(horn.throat.diameter), (mm(horn.mouth[0]), mm(horn.mouth[1])),
        mm(horn.length or 0.0), (mm(frame[0]), mm(frame[1])), flange,
        at=point(axes, mm(placed.at[0]), mm(placed.at[1])), recess=recess, inside=inward(axes),
        mass_kg=horn.mass, part_of=placed.horn_name,
    )


def port(
    room: Room, built: BuiltPort, places: tuple[tuple[float, float], ...],
    frame: Placement = UPRIGHT, sheet: float = 0.018,
) -> Fitting:
    """A chamber's ports: holes and tubes, or the slot's opening (its boards are panels).

    Places count along the baffle as a driver's. A tube stands square to the baffle. A slot is cut
    square through a baffle of thickness `sheet` (m) and runs on level behind it.
    """
    if built.shape == "slot":
        return _slots(room, built, places, frame, mm(sheet))
    outer = mm(built.bore or 0.0) + 2.0 * mm(built.wall)
    return Fitting(
        tuple(hole(mm(x), mm(v), outer, f"port of {room.name}", mate=_tube_name(room, built, k))
              for k, (x, v) in enumerate(places)),
        tuple(_tubes(room, built, places, frame)),
        (),
    )


def _slots(
    room: Room, built: BuiltPort, places: tuple[tuple[float, float], ...], frame: Placement,
    sheet: float,
) -> Fitting:
    wide, high = 0.5 * mm(built.width or 0.0), 0.5 * mm(built.height or 0.0)
    cuts, plugs = [], []
    for k, (x, v) in enumerate(places):
        cx, cv = mm(x), mm(v)
        name = _tube_name(room, built, k).replace("port", "slot", 1)
        opening = rectangle(cx - wide, cv - high, cx + wide, cv + high)
        cuts.append(cutout(opening, name))
        plug = _slot_air(name, (cx, cv), (wide, high), mm(built.length), frame, sheet)
        plugs.append(plug)
    return Fitting(tuple(cuts), tuple(plugs), ())


def _slot_air(name: str, at: tuple[float, float], half: tuple[float, float], length: float,
              frame: Placement, sheet: float) -> Body:
    """What fills a slot: square through the baffle, then level to its inner end."""
    (x, v), (wide, high) = at, half
    _, y, z = point(frame, x, v)
    if abs(frame.normal[2]) < 1e-12:
        return bodies.box_body(f"air of the {name}", (x - wide, y, z - high),
                               (x + wide, y + length, z + high), kind="air plug", mass_kg=0.0,
                               part_of=name)
    through = prism(rectangle(x - wide, v - high, x + wide, v + high), -sheet, 0.0)
    level = bodies.box_body("", (x - wide, y - length, z - high), (x + wide, y + length, z + high))
    inner = np.array(inward(frame))
    reach = float(inner @ np.array(frame.origin)) + sheet
    behind = level.solid.trim_by_plane(inward(frame), reach)
    solid = joined([through.transform(frame.matrix[:3]), behind])
    return Body(f"air of the {name}", solid, "air plug", 0.0, name)


def _tube_name(room: Room, built: BuiltPort, index: int) -> str:
    return f"port {index + 1} of {room.name}" if built.count > 1 else f"port of {room.name}"


def _tubes(
    room: Room, built: BuiltPort, places: tuple[tuple[float, float], ...], frame: Placement
) -> Iterator[Body]:
    for k, (x, v) in enumerate(places):
        yield bodies.tube(mm(built.bore or 0.0), mm(built.wall), mm(built.length),
                          point(frame, mm(x), mm(v)), name=_tube_name(room, built, k),
                          inside=inward(frame))

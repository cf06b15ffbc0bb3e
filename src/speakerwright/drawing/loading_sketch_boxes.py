"""Sketches of boxes: closed, vented, with passive radiators, and band-pass of both orders."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from speakerwright.drawing.loading_sketch import (
    LoadingSketch,
    SketchPort,
    driver_words,
    fill_words,
    needed,
    port_words,
    said,
)
from speakerwright.drawing.loading_sketch_parts import (
    AS_VOLUMES,
    LIP_MM,
    MOST,
    SHAPE,
    WALL_MM,
    Cone,
    Note,
    Seen,
    blows,
    bore_mm,
    cone_of,
    driver,
    fill,
    free_spot,
    held,
    pipe,
    radiator,
    share_of,
    tube,
    walls,
)
from speakerwright.drawing.marks import Point

LEFT: Point = (-1.0, 0.0)
AREA_MM2 = 2300.0
HIGH_MM = 54.0
STACK_MM = 3.4  # between what stands on one wall


@dataclass(frozen=True, eq=False)
class Ported:
    """A port drawn into the left wall: its bore's region, its wall's, and where its note points."""

    bores: Any
    sides: Any
    tip: Point
    mouths: tuple[tuple[float, float], ...]


def ported(port: SketchPort, middles: list[float], opening: float, longest: float,
           reduction: float, floor: float, up: float) -> Ported:
    """Ports whose mouths are in the face at x = 0, the box's inside beginning at `WALL_MM`."""
    from shapely import box, unary_union

    long = held(port.length * reduction, WALL_MM + 2.5, longest)
    bores, sides, tip = [], [], (0.0, 0.0)
    for middle in middles:
        axis = [(0.0, middle), (long, middle)]
        if port.bends:
            turn = long - opening / 2.0
            rise = held(0.35 * long, opening / 2.0 + 1.5, max(up - middle, opening / 2.0 + 1.0))
            axis = [(0.0, middle), (turn, middle), (turn, middle + rise)]
        bore, side = pipe(axis, opening)
        if port.on_floor:
            side = side.intersection(box(-1.0, floor, 1e3, 1e3))
        bores.append(bore)
        sides.append(side)
        end, up_there = axis[-1]
        tip = (end + opening / 2.0 + 0.9, up_there - 1.0) if port.bends else (
            end, middle + opening / 2.0 + 0.5)
    return Ported(unary_union(bores), unary_union(sides), tip,
                  tuple((middle, opening) for middle in middles))


def boxed(sketch: LoadingSketch) -> Seen:
    """One volume behind the cone: closed, vented, or with passive radiators."""
    from shapely import box

    more = {"vented": ("port",), "passive-radiator": ("passive",)}.get(sketch.loading, ())
    needed(sketch, "volume", *more)
    assert sketch.volume is not None
    reduction = math.sqrt(AREA_MM2) / sketch.volume ** (1.0 / 3.0)
    sizes, high = _on_the_front(sketch, reduction)
    wide = AREA_MM2 / high
    inside = box(WALL_MM, 0.0, WALL_MM + wide, high)
    cones, drones, port = _placed(sketch, sizes, wide, high, reduction)
    bodies = [cone.body for cone in (*cones, *drones)]
    holes = [box(-1.0, c.at[1] - c.across / 2.0, WALL_MM + 0.1, c.at[1] + c.across / 2.0)
             for c in (*cones, *drones)]
    outside = box(0.0, -WALL_MM, wide + 2.0 * WALL_MM, high + WALL_MM)
    wood, air = outside.difference(inside), inside
    for hole in holes:
        wood = wood.difference(hole)
    for body in bodies:
        air = air.difference(body)
    if port is not None:
        wood = wood.difference(port.bores)
        air = air.difference(port.bores).difference(port.sides)
    items = [*walls(wood)]
    if sketch.fill_share is not None:
        items += fill(share_of(air, sketch.fill_share))
    items += [*(tube(port.sides) if port is not None else [])]
    for cone in cones:
        items += [*driver(cone), *blows((-2.0, cone.at[1]), LEFT, cone.across, "low")]
    for drone in drones:
        items += [*radiator(drone), *blows((-2.0, drone.at[1]), LEFT, drone.across, "port")]
    if port is not None:
        for middle, across in port.mouths:
            items += blows((-2.0, middle), LEFT, across, "port")
    return Seen(items, _box_notes(sketch, air, cones, drones, port),
                SHAPE.format("Cone and openings are about in proportion to its volume."))


def _on_the_front(sketch: LoadingSketch, reduction: float) -> tuple[list[float], float]:
    """Sizes along the front of drivers, then radiators or ports, and the box's height."""
    sizes = [held(bore_mm(sketch.cone_area, reduction), 10.0, 34.0)] * min(sketch.count, 2)
    if sketch.passive is not None:
        size = held(bore_mm(sketch.passive.area, reduction), 9.0, 34.0)
        sizes += [size] * min(sketch.passive.count, 2)
    if sketch.port is not None:
        size = held(sketch.port.opening * reduction, 2.2, 15.0)
        sizes += [size] * (1 if sketch.port.on_floor else min(sketch.port.count, MOST))
    between = (len(sizes) - 1) * (STACK_MM + LIP_MM) + 9.0
    high = held(sum(sizes) + between, HIGH_MM, 60.0)
    less = min(1.0, (high - between) / sum(sizes))
    return [size * less for size in sizes], high


def _placed(sketch: LoadingSketch, sizes: list[float], wide: float, high: float, reduction: float
            ) -> tuple[list[Cone], list[Cone], Ported | None]:
    """Drivers from the top, radiators and ports from the bottom of the front."""
    many = min(sketch.count, 2)
    spare = high - sum(sizes) - (len(sizes) - 1) * (STACK_MM + LIP_MM)
    single = len(sizes) == many
    top = high - (spare / 2.0 if single else 4.5)
    cones = []
    for size in sizes[:many]:
        cones.append(cone_of((0.0, top - size / 2.0), LEFT, size, wide - 8.0))
        top -= size + STACK_MM + LIP_MM
    if sketch.port is not None and sketch.port.on_floor:
        made = ported(sketch.port, [sizes[-1] / 2.0], sizes[-1], WALL_MM + 0.8 * wide, reduction,
                      0.0, top)
        return cones, [], made
    foot, middles = 4.5, []
    for size in reversed(sizes[many:]):
        middles.append(foot + size / 2.0)
        foot += size + STACK_MM + LIP_MM
    if sketch.passive is not None:
        return cones, [Cone((0.0, y), LEFT, sizes[-1], min(0.3 * sizes[-1], wide - 8.0))
                       for y in middles], None
    if sketch.port is None:
        return cones, [], None
    made = ported(sketch.port, middles, sizes[-1], WALL_MM + 0.8 * wide, reduction, 0.0, top)
    return cones, [], made


def _box_notes(sketch: LoadingSketch, air: Any, cones: list[Cone], drones: list[Cone],
               port: Ported | None) -> list[Note]:
    system = sketch.system
    assert sketch.volume is not None
    how = said(sketch.resonance, "frequency", system)
    tuned = f"tuned to {how}" if sketch.loading != "closed" else f"resonance {how}"
    if sketch.qtc is not None:
        tuned += f", Qtc {said(sketch.qtc, 'ratio', system)}"
    notes: list[Note] = [
        (driver_words(sketch), cones[0].spot(-cones[0].deep, 0.0), "arrow"),
        (f"{said(sketch.volume, 'volume', system)}, {tuned}", free_spot(air), "dot"),
    ]
    if port is not None and sketch.port is not None:
        notes.append((port_words(sketch.port, "port", system), port.tip, "arrow"))
    if drones and sketch.passive is not None:
        one = sketch.passive
        many = f"{one.count} passive radiators" if one.count > 1 else "passive radiator"
        each = " each" if one.count > 1 else ""
        notes.append((f"{many}, Sd {said(one.area, 'area', system)}, moving mass "
                      f"{said(one.mass, 'moving mass', system)}{each}",
                      drones[0].spot(-0.55 * drones[0].deep - 1.4, 0.0), "arrow"))
    if sketch.fill_share is not None:
        _, _, right, high = air.bounds
        notes.append((fill_words(sketch.fill_share, "air"), (right - 3.0, high - 5.0), "dot"))
    return notes


def band_pass(sketch: LoadingSketch) -> Seen:
    """A ported chamber before the cone, and one behind it that is closed or ported too."""
    from shapely import box

    needed(sketch, "volume", "front_volume", "front",
           *(("port",) if sketch.loading == "band-pass-6" else ()))
    assert sketch.volume is not None
    assert sketch.front_volume is not None
    assert sketch.front is not None
    whole = sketch.volume + sketch.front_volume
    share = held(sketch.front_volume / whole, 0.2, 0.8)
    wide, high = 44.0, 56.0
    before, behind = share * high, (1.0 - share) * high
    reduction = math.sqrt(wide * high) / whole ** (1.0 / 3.0)
    rear = box(WALL_MM, 0.0, WALL_MM + wide, behind)
    front = box(WALL_MM, behind + WALL_MM, WALL_MM + wide, behind + WALL_MM + before)
    across = held(bore_mm(sketch.cone_area, reduction), 10.0, 26.0)
    cone = cone_of((WALL_MM + 0.56 * wide, behind + WALL_MM), (0.0, 1.0), across,
                   0.6 * behind + WALL_MM)
    outside = box(0.0, -WALL_MM, wide + 2.0 * WALL_MM, high + 2.0 * WALL_MM)
    hole = box(cone.at[0] - across / 2.0, behind - 0.1, cone.at[0] + across / 2.0,
               behind + WALL_MM + 0.1)
    wood = outside.difference(rear).difference(front).difference(hole)
    ends = [_chamber_port(sketch.front, front, reduction, above=True, wide=wide)]
    if sketch.port is not None:
        ends.append(_chamber_port(sketch.port, rear, reduction, above=False, wide=wide))
    items: list[Any] = []
    airs = [front, rear.difference(cone.body)]
    for k, end in enumerate(ends):
        wood = wood.difference(end.bores)
        airs[k] = airs[k].difference(end.bores).difference(end.sides)
    items += walls(wood)
    if sketch.fill_share is not None:
        items += fill(share_of(airs[1], sketch.fill_share))
    for end in ends:
        items += tube(end.sides)
        for middle, size in end.mouths:
            items += blows((-2.0, middle), LEFT, size, "port")
    items += driver(cone)
    said_of = AS_VOLUMES if share == sketch.front_volume / whole else (
        "The smaller chamber is drawn larger than it is.")
    return Seen(items, _band_notes(sketch, airs, cone, ends), SHAPE.format(said_of))


def _chamber_port(port: SketchPort, chamber: Any, reduction: float, *, above: bool, wide: float
                  ) -> Ported:
    """A port in the left wall of one chamber, away from the partition."""
    _, low, _, high = chamber.bounds
    tall = high - low
    count = 1 if port.on_floor else min(port.count, MOST if tall > 30.0 else 1)
    opening = held(port.opening * reduction, 2.0, (0.45 * tall - 1.8) / count)
    step = opening + STACK_MM
    first = high - 2.0 - opening / 2.0 if above else low + 2.0 + opening / 2.0
    middles = [first + (-step if above else step) * k for k in range(count)]
    longest = WALL_MM + (0.78 if above or tall > 30.0 else 0.5) * wide
    straight = SketchPort(port.opening, port.length, port.tuning, port.count, port.width)
    return ported(straight, middles, opening, longest, reduction, low, high)


def _band_notes(sketch: LoadingSketch, airs: list[Any], cone: Cone, ends: list[Ported]
                ) -> list[Note]:
    system = sketch.system
    assert sketch.volume is not None
    assert sketch.front_volume is not None
    assert sketch.front is not None

    def tuned(port: SketchPort) -> str:
        return f"tuned to {said(port.tuning, 'frequency', system)}"

    rear = "closed" if sketch.port is None else tuned(sketch.port)
    notes: list[Note] = [
        (f"front {said(sketch.front_volume, 'volume', system)}, {tuned(sketch.front)}",
         free_spot(airs[0]), "dot"),
        (port_words(sketch.front, "front port", system), ends[0].tip, "arrow"),
        (driver_words(sketch), cone.spot(-0.8 * cone.deep, 0.26 * cone.across), "arrow"),
        (f"rear {said(sketch.volume, 'volume', system)}, {rear}", free_spot(airs[1]), "dot"),
    ]
    if sketch.port is not None:
        notes.append((port_words(sketch.port, "rear port", system), ends[1].tip, "arrow"))
    if sketch.fill_share is not None:
        notes.append((fill_words(sketch.fill_share, "air behind"),
                      (airs[1].bounds[2] - 3.0, 3.0), "dot"))
    return notes

"""Drivers, ports and other bodies of a room as the blocks and openings of its air. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass

from speakerwright.acoustics.airmodes.chambers import (
    Block,
    Opening,
    Patch,
    Plate,
    Point,
    round_block,
)
from speakerwright.cabinet.hollow import THROUGH, Hollow
from speakerwright.cabinet.inputs import BuiltPort, Placed, port_places
from speakerwright.cabinet.result import CabinetResult
from speakerwright.design.document import Design
from speakerwright.design.motor import figure
from speakerwright.solids.bodies import Body
from speakerwright.solids.meshes import Manifold

SMALL = 2e-5  # m³; bodies that take less are left out: rule of thumb
THIN = 0.004  # m that a basket fills behind the baffle at least: rule of thumb
GAP = 0.015  # m of air at least between a cone and what stands behind it: rule of thumb
THIN_WALL = 0.05  # of a bore: rule of thumb
CONE_SHARE = 0.7  # of the cut-out's area, where a record states no Sd: rule of thumb
PORT, DRIVER = "port", "driver"


@dataclass(frozen=True)
class Standing:
    """What stands in a room, and what was simplified."""

    plates: tuple[Plate, ...] = ()
    blocks: tuple[Block, ...] = ()
    openings: tuple[Opening, ...] = ()
    said: tuple[str, ...] = ()


def opening_of(job: str) -> str:
    """What the opening of a job's cones is called."""
    return f"{DRIVER} {job}"


# --- ports ----------------------------------------------------------------------------------------


def ports_in(design: Design, result: CabinetResult, hollow: Hollow) -> Standing:
    """The room's ports: what they fill, and one opening at their inner ends."""
    port = result.ports.get(hollow.room.name)
    if port is None:
        return Standing()
    blocks: list[Block] = []
    patches = []
    for x, v in port_places(design, hollow.room, port):
        lean = math.radians(hollow.shape.front_lean_deg)
        z = v * math.cos(lean)
        front = hollow.wall(1, 0, (x, 0.0, z))
        end = front
        if port.length > hollow.sheet + 1e-3:
            end += port.length - hollow.sheet
            blocks += _port_blocks(port, hollow, x, z, end)
        wide, high = _opening(port)
        patches.append(Patch((x, end, z), size=(wide, 0.0, high)))
    said = ("A port's air and walls are a block, its mouth a rectangle of its area; a thin tube's "
            "reaches to the outside of its wall.",)
    return Standing((), tuple(blocks), (Opening(PORT, tuple(patches)),), said)


def _opening(port: BuiltPort) -> tuple[float, float]:
    """Width and height of a port's mouth, of a round one those of the square of its area."""
    if port.shape != "round":
        return port.width or 0.0, port.height or 0.0
    bore = port.bore or 0.0
    side = 0.5 * math.sqrt(math.pi) * (bore + (2.0 * port.wall if _thin(port) else 0.0))
    return side, side


def _thin(port: BuiltPort) -> bool:
    """Whether a tube's wall is too thin to be worth lines of the grid of its own."""
    return port.wall <= THIN_WALL * (port.bore or 0.0)


def _port_blocks(port: BuiltPort, hollow: Hollow, x: float, z: float, end: float) -> list[Block]:
    """What a port fills from the baffle to its inner end, its mouth a face of its own."""
    start = hollow.lower[1] - THROUGH
    wide, high = _opening(port)
    air = Block((x - 0.5 * wide, start, z - 0.5 * high), (x + 0.5 * wide, end, z + 0.5 * high))
    if port.shape == "round":
        whole = round_block((x, start, z), "y", 0.5 * (port.bore or 0.0) + port.wall, end - start)
        return [_fitted(each, hollow) for each in ((whole,) if _thin(port) else (whole, air))]
    half, below = 0.5 * port.outer_width, 0.0 if port.walls_shared else port.wall
    whole = Block((x - half, start, z - 0.5 * high - below),
                  (x + half, end, z + 0.5 * high + port.wall))
    return [_fitted(each, hollow) for each in (whole, air)]


def _fitted(block: Block, hollow: Hollow) -> Block:
    """A block drawn on into the walls that it touches; as it was where nothing would be left."""
    found = _between(block.lower, block.upper, hollow)
    return block if found is None else found


def _between(lower: Point, upper: Point, hollow: Hollow) -> Block | None:
    middle = (0.5 * (lower[0] + upper[0]), 0.5 * (lower[1] + upper[1]), 0.5 * (lower[2] + upper[2]))
    found = [hollow.fitted(k, lower[k], upper[k], middle) for k in range(3)]
    if any(extent is None for extent in found):
        return None
    (x0, x1), (y0, y1), (z0, z1) = (extent for extent in found if extent is not None)
    return Block((x0, y0, z0), (x1, y1, z1))


# --- drivers --------------------------------------------------------------------------------------


def _loading(design: Design, hollow: Hollow) -> tuple[str, ...]:
    """The jobs whose cones the room loads."""
    bass = design.decided.bass.get(hollow.room.name)
    return () if bass is None else tuple(bass.loads)


def cones(design: Design, result: CabinetResult, hollow: Hollow) -> Standing:
    """The drivers that the room loads: basket, magnet, and one opening for each job."""
    blocks: list[Block] = []
    openings: list[Opening] = []
    bodies = {body.name: body for body in result.bodies}
    for job in _loading(design, hollow):
        patches = []
        for placed in result.placed:
            body = bodies.get(placed.name)
            if placed.job != job or placed.horn is not None or body is None:
                continue
            if placed.room == hollow.room.name:
                filled, patch = _cone(placed, body, hollow)
                blocks += filled
                patches.append(patch)
        if patches:
            openings.append(Opening(opening_of(job), tuple(patches)))
    said = ("A driver's basket and magnet are two blocks with its volume; the cone acts evenly "
            "over a square of its Sd.",) if openings else ()
    return Standing((), tuple(blocks), tuple(openings), said)


def _cone(placed: Placed, body: Body, hollow: Hollow) -> tuple[list[Block], Patch]:
    """One driver's blocks, with the volume that its solid takes behind the baffle, and its cone."""
    shape = placed.record.body
    lean = math.radians(hollow.shape.front_lean_deg)
    x, z = placed.at[0], placed.at[1] * math.cos(lean)
    front = hollow.wall(1, 0, (x, 0.0, z))
    inside = body.solid.trim_by_plane((0.0, math.cos(lean), -math.sin(lean)), 1e3 * hollow.sheet)
    volume = 1e-9 * float(inside.volume())
    rear = front + (shape.depth or 0.0) - hollow.sheet if inside.is_empty() else max(
        1e-3 * float(inside.bounding_box()[4]), front + 2.0 * GAP)
    hole = 0.25 * math.pi * (shape.cutout or 0.0) ** 2
    sd = figure(placed.record, "sd")[0]
    area = min(sd if isinstance(sd, float) else CONE_SHARE * hole, hole)
    side = math.sqrt(area)
    basket, magnet = _split(placed, volume, area, rear - front, leaning=hollow.along == "x")
    blocks = []
    if basket:
        blocks.append(_fitted(Block((x - 0.5 * side, front - THROUGH, z - 0.5 * side),
                                    (x + 0.5 * side, front + basket, z + 0.5 * side)), hollow))
    if magnet is not None:
        wide, length = magnet
        first = max(rear - length, front + basket + GAP, _clear(hollow))
        half = 0.5 * math.sqrt(wide)
        blocks.append(_fitted(Block((x - half, first, z - half),
                                    (x + half, first + length, z + half)), hollow))
    if hollow.along == "x":
        return blocks, Patch((x, front, z), radius=math.sqrt(area / math.pi))
    return blocks, Patch((x, front + basket, z), size=(side, 0.0, side))


def _clear(hollow: Hollow) -> float:
    """The least place of a face that stands free behind a leaning front, m."""
    return hollow.low_edge[1] + 0.005 if hollow.along == "x" else -math.inf


def _split(placed: Placed, volume: float, area: float, deep: float, *, leaning: bool
           ) -> tuple[float, tuple[float, float] | None]:
    """How deep (m) the basket fills the cone's square, and section and length of the magnet.

    Where they would leave the cone no air, one block as wide as the cone stands for both.
    """
    shape = placed.record.body
    if volume <= 0.0:
        return 0.0, None
    height = shape.magnet_height or 0.3 * (shape.depth or 0.0)
    section = 0.25 * math.pi * (shape.magnet_diameter or 0.6 * (shape.cutout or 0.0)) ** 2
    basket = 0.0 if leaning else max((volume - section * height) / area, THIN)
    length = (volume - basket * area) / section
    if length <= 0.0:
        return volume / area, None
    if basket + length + GAP <= deep:
        return basket, (section, length)
    basket = 0.0 if leaning else THIN
    return basket, (area, max(volume / area - basket, THIN))


# --- whatever else stands there -------------------------------------------------------------------


def bodies_in(design: Design, result: CabinetResult, hollow: Hollow) -> Standing:
    """Horns, closed drivers, rods, boards, cups: each a block of the volume it takes in the room.

    Inserts and what else takes little are left out.
    """
    jobs = _loading(design, hollow)
    loaded = {placed.name for placed in result.placed
              if placed.job in jobs and placed.horn is None and placed.room == hollow.room.name}
    low, high = hollow.lower, hollow.upper
    clear = Manifold.cube([1e3 * (b - a) for a, b in zip(low, high, strict=True)]).translate(
        [1e3 * place for place in low])
    blocks, left_out, told = [], 0.0, []
    for body in result.bodies:
        if body.kind in ("air plug", "port") or body.name in loaded:
            continue
        inside = body.solid ^ clear
        volume = 1e-9 * float(inside.volume())
        if volume < SMALL:
            left_out += volume
            continue
        block = _block(inside, volume, hollow)
        if block is None:
            told.append(f"The {body.name} is left out: it stands where walls lean.")
        else:
            blocks.append(block)
    if blocks:
        told.append("Other bodies are blocks of their volume.")
    if left_out > 0.0:
        told.append("Inserts and other small parts are left out.")
    return Standing((), tuple(blocks), (), tuple(told))


def _block(inside: Manifold, volume: float, hollow: Hollow) -> Block | None:
    """A block as long as a body and of its volume, drawn on into the wall that it stands on."""
    box = [1e-3 * float(place) for place in inside.bounding_box()]
    lower, upper = box[:3], box[3:]
    middle = [0.5 * (a + b) for a, b in zip(lower, upper, strict=True)]
    at = (middle[0], middle[1], middle[2])
    sides = [b - a for a, b in zip(lower, upper, strict=True)]
    touching = [k for k in range(3) if lower[k] <= hollow.wall(k, 0, at) + THROUGH
                or upper[k] >= hollow.wall(k, 1, at) - THROUGH]
    along = max(touching or range(3), key=lambda k: sides[k])
    share = math.sqrt(min(volume / math.prod(sides), 1.0))
    for k in range(3):
        if k != along:
            half = 0.5 * share * sides[k]
            lower[k], upper[k] = middle[k] - half, middle[k] + half
    return _between((lower[0], lower[1], lower[2]), (upper[0], upper[1], upper[2]), hollow)

"""The air inside a chamber as its standing waves see it: walls, braces, blocks, openings, lining.

Panels and bodies come from the cabinet worked out, in mm; what is handed on is SI.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from speakerwright.acoustics.airmodes.chambers import (
    AXES,
    Block,
    Chamber,
    Lining,
    Plate,
    Point,
    Rectangle,
    Wall,
)
from speakerwright.acoustics.airmodes.grid import made
from speakerwright.acoustics.airmodes.patches import opening_weights, surface
from speakerwright.acoustics.linings import Fill
from speakerwright.cabinet.air_parts import Standing, bodies_in, cones, ports_in
from speakerwright.cabinet.hollow import Hollow, hollows
from speakerwright.cabinet.result import CabinetResult
from speakerwright.design.document import Design
from speakerwright.design.sections.fixtures import Lining as DecidedLining
from speakerwright.solids.features import Feature
from speakerwright.solids.panels import Panel
from speakerwright.words.errors import refuse

__all__ = ["RoomAir", "air_of", "without_braces"]

FRAME = ("baffle", "back", "side", "top", "bottom", "shoulder", "divider", "slot board")
WINDOW = 4e-4  # m²; a smaller hole in a brace is left out: rule of thumb
RIM = 0.005  # m of a brace left beside a window that is made longer: rule of thumb
COARSE = 0.1  # m; of the grid on which it is tried whether the chamber can be gridded
SQUARE = 1.0 - 1e-6


@dataclass(frozen=True)
class RoomAir:
    """A room's air.

    Attributes
    ----------
    chamber : Chamber
        What is solved. Its openings are "driver JOB" and "port".
    net : float or None
        The room's volume as the solids leave it, m³; None where it leaks.
    simplified : tuple of str
        Sentences on what the chamber leaves out or draws otherwise.
    """

    chamber: Chamber
    net: float | None
    simplified: tuple[str, ...]


def air_of(design: Design, result: CabinetResult, room_name: str) -> RoomAir:
    """The air of one room of a cabinet that is worked out.

    Braces are plates with windows of their area; drivers, ports, horns, rods and whatever else
    takes more than 20 cm³ are blocks of their volume. A cone acts over the square of its Sd on
    the back of its basket, a port over that of its bore at its inner end.

    Parameters
    ----------
    design : Design
    result : CabinetResult
        Of the same design.
    room_name : str
        Of a closed room.

    Returns
    -------
    RoomAir
        The truest that the grid takes.

    Raises
    ------
    DesignErrors
        When there is no such room, it is open, or braces part it in two.
    """
    where = f"cabinet.chambers.{room_name}"
    sizes = result.settled.sizes
    room = sizes.room(room_name)
    if room is None:
        known = ", ".join(each.name for each in sizes.closed_rooms)
        raise refuse(where, "the cabinet has no such room.", f"Known: {known}.")
    if room.open:
        raise refuse(where, "an open room has no air of its own.", "Ask for a closed one.")
    trouble = ""
    for hollow, said in hollows(sizes, room):
        standing = _standing(design, result, hollow)
        chamber = _chamber(hollow, standing, _linings(design, room_name))
        try:
            grid = made(chamber, COARSE, 0)
            within = surface(grid)
            for opening in chamber.openings:
                opening_weights(grid, opening, within)
        except ValueError as error:
            trouble = trouble or str(error)
            continue
        net = next(each.net for each in result.rooms if each.name == room_name)
        return RoomAir(chamber, net, (*said, *standing.said))
    raise refuse(where, f"its air cannot be drawn: {trouble}.",
                 "Look for a brace without a window, or parts that stand in each other.")


def without_braces(chamber: Chamber) -> Chamber:
    """The same chamber with all its braces taken out."""
    return replace(chamber, plates=())


def _chamber(hollow: Hollow, standing: Standing, linings: tuple[Lining, ...]) -> Chamber:
    return Chamber(hollow.outline, hollow.start, hollow.end, hollow.along, standing.plates,
                   standing.blocks, linings, standing.openings)


def _standing(design: Design, result: CabinetResult, hollow: Hollow) -> Standing:
    """All that stands in the room."""
    parts = [*(_brace(panel, hollow) for panel in _inner(result, hollow)),
             ports_in(design, result, hollow), cones(design, result, hollow),
             bodies_in(design, result, hollow)]
    said = tuple(dict.fromkeys(sentence for part in parts for sentence in part.said))
    return Standing(
        tuple(plate for part in parts for plate in part.plates),
        tuple(block for part in parts for block in part.blocks),
        tuple(opening for part in parts for opening in part.openings), said,
    )


def _linings(design: Design, room_name: str) -> tuple[Lining, ...]:
    cabinet = design.decided.cabinet
    room = cabinet.chambers.get(room_name) if cabinet is not None else None
    lining: DecidedLining | None = None if room is None else room.lining
    if lining is None:
        return ()
    walls: tuple[Wall, ...] = lining.walls  # type: ignore[assignment]
    return tuple(Lining(wall, lining.thickness, Fill(lining.flow_resistivity))
                 for wall in dict.fromkeys(walls))


def _inner(result: CabinetResult, hollow: Hollow) -> Iterator[Panel]:
    """The panels that stand in the room; a slot's boards belong to its port."""
    for panel in result.panels:
        if panel.role in FRAME:
            continue
        box = panel.bounding_box
        middle = [0.5e-3 * (box[k] + box[k + 3]) for k in range(3)]
        if all(low < place < high for low, place, high in
               zip(hollow.lower, middle, hollow.upper, strict=True)):
            yield panel


def _brace(panel: Panel, hollow: Hollow) -> Standing:
    """A sheet square to the axes as a plate with windows; a batten or a leaning one as a block."""
    box = [1e-3 * place for place in panel.bounding_box]
    low, high = box[:3], box[3:]
    middle: Point = (0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1]), 0.5 * (low[2] + high[2]))
    normal = [abs(part) for part in panel.placement.normal]
    axis = normal.index(max(normal))
    said: tuple[str, ...] = ()
    if normal[axis] < SQUARE:
        said = (f"The leaning {panel.name} is drawn as a block of its volume.",)
        share = math.sqrt(1e-9 * panel.net_volume / math.prod(
            h - a for a, h in zip(low, high, strict=True)))
        for k in range(3):
            if k != axis:
                half = 0.5 * share * (high[k] - low[k])
                low[k], high[k] = middle[k] - half, middle[k] + half
    extents = [hollow.fitted(k, low[k], high[k], middle) for k in range(3)]
    if any(extent is None for extent in extents):
        return Standing(said=(f"The {panel.name} is left out: it stands where walls lean.",))
    (x0, x1), (y0, y1), (z0, z1) = (extent for extent in extents if extent is not None)
    if normal[axis] < SQUARE or panel.role == "batten":
        return Standing(blocks=(Block((x0, y0, z0), (x1, y1, z1)),), said=said)
    first, second = (k for k in range(3) if k != axis)
    spans = ((x0, x1), (y0, y1), (z0, z1))
    span = Rectangle((spans[first][0], spans[second][0]), (spans[first][1], spans[second][1]))
    start, end = low[axis], high[axis]
    windows = tuple(_window(panel, feature, (first, second), hollow, span)
                    for feature in panel.features
                    if feature.kind == "through" and feature.mate is None
                    and 1e-6 * feature.shape.area >= WINDOW)
    return Standing(plates=(Plate(AXES[axis], start, end - start, span, windows),),
                    said=("Windows of braces are rectangles of the same area.",) if windows else ())


def _window(panel: Panel, feature: Feature, axes: tuple[int, int], hollow: Hollow, span: Rectangle
            ) -> Rectangle:
    """A window as the rectangle of its area and proportions, in the plane of two world axes.

    Where it would end between leaning walls it is made narrower, and longer across them.
    """
    u0, v0, u1, v1 = feature.shape.bounds
    corners = 1e-3 * panel.placement.to_world([(u0, v0, 0.0), (u1, v1, 0.0)])
    low, high = corners.min(axis=0), corners.max(axis=0)
    area = 1e-6 * float(feature.shape.area)
    share = math.sqrt(1e6 * area / ((u1 - u0) * (v1 - v0)))
    ends = []
    for k in axes:
        middle, half = 0.5 * (low[k] + high[k]), 0.5 * share * (high[k] - low[k])
        ends.append((float(middle - half), float(middle + half)))
    if hollow.leans in axes:
        k = axes.index(hollow.leans)
        straight = hollow.straight(*ends[k])
        if straight != ends[k]:
            half = 0.5 * area / (straight[1] - straight[0])
            middle = 0.5 * sum(ends[1 - k])
            rims = (max(span.lower[1 - k], hollow.lower[axes[1 - k]]) + RIM,
                    min(span.upper[1 - k], hollow.upper[axes[1 - k]]) - RIM)
            ends[k], ends[1 - k] = straight, (max(middle - half, rims[0]),
                                              min(middle + half, rims[1]))
    return Rectangle((ends[0][0], ends[1][0]), (ends[0][1], ends[1][1]))

"""A room's clear space as the air modes take it: a prism, its walls, what touches them. SI."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from speakerwright.acoustics.airmodes.chambers import Pair, Point
from speakerwright.acoustics.airmodes.sections import rows
from speakerwright.cabinet.shape import Shape, area_and_middle, level_span
from speakerwright.cabinet.sizes import Room, Sizes

TOUCH = 0.003  # m; what ends this near to a wall ends at it: rule of thumb
CLEAR = 0.002  # m kept from walls that lean, where faces cannot end: rule of thumb
THROUGH = 0.01  # m into a wall, for what stands at it
LEVEL = 1e-9


@dataclass(frozen=True)
class Hollow:
    """A room as a prism of air, in the cabinet's axes.

    Attributes
    ----------
    room : Room
    shape : Shape
        Of the whole cabinet.
    sheet : float
        Its walls, m.
    along : str
        Axis of the prism: "y" over the front's outline, "x" over the side view of a room whose
        front or back leans.
    outline : tuple of (float, float)
        Corners in the two axes across `along`, m.
    start, end : float
        Of the prism, m.
    low_edge, high_edge : tuple of float
        From where to where its two leaning walls reach along `leans`, m.
    leans : int
        The axis along which walls lean, 0 or 1; the edges are points where none does.
    """

    room: Room
    shape: Shape
    sheet: float
    along: Literal["x", "y"]
    outline: tuple[Pair, ...]
    start: float
    end: float
    leans: int
    low_edge: Pair
    high_edge: Pair

    @property
    def lower(self) -> Point:
        """The lowest coordinates, m."""
        across, z = (min(places) for places in zip(*self.outline, strict=True))
        return (across, self.start, z) if self.along == "y" else (self.start, across, z)

    @property
    def upper(self) -> Point:
        """The highest coordinates, m."""
        across, z = (max(places) for places in zip(*self.outline, strict=True))
        return (across, self.end, z) if self.along == "y" else (self.end, across, z)

    def wall(self, axis: int, side: int, at: Point) -> float:
        """Where a wall stands along an axis (side 0 low, 1 high), seen from a place in the room."""
        bound = (self.lower, self.upper)[side][axis]
        if axis != self.leans:
            return bound
        z = min(max(at[2], self.lower[2] + LEVEL), self.upper[2] - LEVEL)
        places = [place for place, _ in level_span(self.outline, z)]
        if not places:
            return bound
        return min(places) if side == 0 else max(places)

    def fitted(self, axis: int, low: float, high: float, at: Point) -> Pair | None:
        """A body's extent along an axis, as the grid can take it; None where nothing is left.

        What ends at a wall is drawn on into it; what ends where walls lean is drawn back.
        """
        if low <= self.wall(axis, 0, at) + TOUCH:
            low = self.lower[axis] - THROUGH
        elif axis == self.leans and low < self.low_edge[1] + CLEAR and self.tapers(0):
            low = self.low_edge[1] + CLEAR
        if high >= self.wall(axis, 1, at) - TOUCH:
            high = self.upper[axis] + THROUGH
        elif axis == self.leans and high > self.high_edge[0] - CLEAR and self.tapers(1):
            high = self.high_edge[0] - CLEAR
        return (low, high) if high - low > CLEAR else None

    def straight(self, low: float, high: float) -> Pair:
        """An extent along `leans`, drawn back to where no wall leans over it."""
        if self.tapers(0):
            low = max(low, self.low_edge[1] + CLEAR)
        if self.tapers(1):
            high = min(high, self.high_edge[0] - CLEAR)
        return low, high

    def tapers(self, side: int) -> bool:
        """Whether the low (0) or the high (1) wall along `leans` leans."""
        low, high = (self.low_edge, self.high_edge)[side]
        return high - low > LEVEL


def hollows(sizes: Sizes, room: Room) -> Iterator[tuple[Hollow, tuple[str, ...]]]:
    """A room as prisms, the truest first, each with sentences on what it simplifies.

    A leaning front or back is kept where the room is a rectangle from the front; else the depth is
    the mean one, at which the prism has the room's volume.
    """
    shape, sheet = sizes.shape, sizes.sheet
    xs, zs = zip(*room.section, strict=True)
    straight = len(room.section) == 4 and all(
        abs(x - min(xs)) < LEVEL or abs(x - max(xs)) < LEVEL for x in xs)
    if not shape.upright and straight:
        low, high = min(zs), max(zs)
        corners = ((shape.front(low, sheet), low), (shape.back(low, sheet), low),
                   (shape.back(high, sheet), high), (shape.front(high, sheet), high))
        fronts, backs = (corners[0][0], corners[3][0]), (corners[1][0], corners[2][0])
        yield Hollow(room, shape, sheet, "x", corners, min(xs), max(xs), 1,
                     (min(fronts), max(fronts)), (min(backs), max(backs))), (
            "Front and back lean as they do; what stands on them is drawn level.",)
    _, middle = area_and_middle(room.section)
    section = rows(room.section, 1)
    edges = [(min(xs), min(xs)), (max(xs), max(xs))] if section is None else [
        (float(edge.min()), float(edge.max())) for edge in (section.low, section.high)]
    said = () if shape.upright else (
        "Front and back lean; the room is drawn upright with its mean depth.",)
    yield Hollow(room, shape, sheet, "y", room.section, shape.front(middle, sheet),
                 shape.back(middle, sheet), 0, edges[0], edges[1]), said

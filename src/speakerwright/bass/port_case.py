"""What is asked of a port: its sizes, its box and its place, and the mouths that these make."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.enclosures import Enclosure, Place
from speakerwright.acoustics.mouths import Correction, Grille, Mouth, end_correction
from speakerwright.bass.inputs import Seat
from speakerwright.design.sections.bass import Port


@dataclass(frozen=True)
class Effects:
    """Which effects on the end corrections and the port's air are in force.

    `sides` are the walls beside the mouth inside, shared ones too; `mutual` the neighbouring
    ports; `floor` the floor outside; `shape` rounded edges and a grille; `box` what the whole box
    does beyond its near walls; `compression` the give and drag of the air in the port.
    """

    wall: bool = True
    facing: bool = True
    mutual: bool = True
    compression: bool = True
    sides: bool = True
    floor: bool = True
    shape: bool = True
    box: bool = True


TEXTBOOK = Effects(False, False, False, False, False, False, False, False)


@dataclass(frozen=True)
class PortCase:
    """One port's question: geometry, the box volume (m³), the air, and the room it has.

    `places` are the middles of the mouths (m) from the left and lower inside of the chamber as
    seen from the front, one for each port; empty where they are not known.
    """

    port: Port
    volume: float
    air: Air
    seat: Seat
    on_floor: bool
    effects: Effects = Effects()
    places: tuple[tuple[float, float], ...] = ()

    @property
    def radii(self) -> tuple[float, float]:
        """Outer and inner radius (m) of a round port, alike unless it tapers."""
        outer = size_of(self.port.bore) / 2.0
        return outer, outer if self.port.inner_bore is None else self.port.inner_bore / 2.0

    @property
    def area(self) -> float:
        """Area (m²) of one port; of a taper, that of the straight tube with the same mass."""
        if self.port.shape == "round":
            outer, inner = self.radii
            return math.pi * outer * inner
        return size_of(self.port.width) * size_of(self.port.height)

    @property
    def narrowest(self) -> float:
        """Smallest area (m²) of one port, where the air is fastest."""
        return math.pi * min(self.radii) ** 2 if self.port.shape == "round" else self.area

    @property
    def perimeter(self) -> float:
        """Wetted perimeter (m) of one port."""
        if self.port.shape == "round":
            return 2.0 * math.sqrt(math.pi * self.area)
        return 2.0 * (size_of(self.port.width) + size_of(self.port.height))

    @property
    def half_height(self) -> float:
        """The length gaps are measured in: a round port's inner radius, a slot's height."""
        if self.port.shape == "round":
            return self.radii[1]
        return size_of(self.port.height)

    def gap(self, length: float) -> float:
        """Clear distance behind the inner end, infinite when unknown, bent away or not in force."""
        if self.seat.behind_mouth is None or not self.effects.facing or self.port.bends:
            return math.inf
        return self.seat.behind_mouth - length

    def outer_end(self) -> float:
        """End correction outside, in m of the port's area; the mean over the ports."""
        return outer_correction(self).total

    def inner_end(self, length: float) -> float:
        """End correction inside at a port length, in m of the port's area; the mean over ports."""
        return inner_correction(self, length).total


def _sized(case: PortCase, inner: bool) -> Mouth:
    """The bare mouth of one of the ports, inside or outside."""
    port = case.port
    wall = port.wall if case.effects.wall else 0.0
    flare = port.flare if case.effects.shape else 0.0
    shared = port.walls_shared if inner and case.effects.sides else 0
    grille = None
    if not inner and case.effects.shape and port.open_share is not None and port.open_share < 1.0:
        grille = Grille(port.open_share)
    if port.shape == "round":
        return Mouth(radius=case.radii[1 if inner else 0], wall=wall, flush=not inner,
                     flare=flare, grille=grille)
    return Mouth(width=port.width, height=port.height, wall=wall, flush=not inner,
                 shared=shared, flare=flare, grille=grille)


def _offsets(case: PortCase) -> tuple[tuple[tuple[float, float], ...], ...]:
    """For each port, where the others stand from it (m): as placed, else in a row."""
    count, spacing = case.port.count, case.port.centres
    if count < 2 or not case.effects.mutual:
        return ((),) * count
    if len(case.places) == count:
        middles = list(case.places)
    elif spacing is not None:
        middles = [(k * spacing, 0.0) for k in range(count)]
    else:
        return ((),) * count
    return tuple(tuple((p - x, q - y) for j, (p, q) in enumerate(middles) if j != i)
                 for i, (x, y) in enumerate(middles))


@lru_cache(maxsize=4096)
def inner_correction(case: PortCase, length: float) -> Correction:
    """End correction inside at a port length, with its parts: the mean over the ports."""
    bare = replace(_sized(case, True), gap=max(case.gap(length), 1e-3 * case.half_height))
    known = case.places if len(case.places) == case.port.count and not case.port.bends else ()
    mouths = []
    for i, offsets in enumerate(_offsets(case)):
        mouth = replace(bare, neighbours=offsets)
        mouths.append(_placed(case, mouth, known[i], length) if known
                      else _spanning(case, mouth, length))
    scale = case.area / mouths[0].area
    return _mean([end_correction(mouth) for mouth in mouths], scale)


def _placed(case: PortCase, mouth: Mouth, at: tuple[float, float], length: float) -> Mouth:
    """A mouth with the nearest side walls, and with the box where its depth is known too."""
    seat = case.seat
    if mouth.shared == 3:
        return _spanning(case, mouth, length)
    sides = []
    for x, span in zip(at, (seat.width, seat.height), strict=True):
        if span is not None:
            sides.append(min(x, span - x))
    if mouth.radius is not None:
        sides = [max(side, mouth.radius) for side in sides]
    else:
        across, along = 0.5 * size_of(mouth.width), 0.5 * size_of(mouth.height)
        sides = [max(side, half) for side, half in zip(sides, (across, along), strict=False)]
        sides = sides[: 2 - min(mouth.shared, 2)]  # a shared wall is in the mouth's own picture
    if case.effects.sides:
        mouth = replace(mouth, sides=tuple(sides))
    box, place = in_box(case, at, length)
    if not case.effects.box or box is None or math.isinf(mouth.gap):
        return mouth
    return replace(mouth, box=box, place=place)


def _spanning(case: PortCase, mouth: Mouth, length: float) -> Mouth:
    """A slot from side to side, with the box's height and depth where they are known."""
    if mouth.shared != 3:
        return mouth
    width, height = size_of(case.port.width), size_of(case.port.height)
    box, place = in_box(case, (0.5 * width, 0.5 * height), length)
    return mouth if box is None else replace(mouth, box=box, place=place)


def in_box(
    case: PortCase, at: tuple[float, float], length: float
) -> tuple[Enclosure | None, Place | None]:
    """The chamber's clear box and where the mouth's middle stands in it, if it is known."""
    seat = case.seat
    width = seat.width if seat.width is not None else case.port.width
    if seat.height is None or seat.depth is None or width is None:
        return None, None
    if not all(0.0 <= x <= width and 0.0 <= z <= seat.height for x, z in case.places):
        return None, None  # a mouth beyond the walls is the cabinet's finding
    if min(width, seat.height, seat.depth) <= 0.0:
        return None, None
    deep = min(max(length - case.seat.baffle, 0.0), seat.depth)
    box = Enclosure(width, seat.height, seat.depth)
    return box, (min(max(at[0], 0.0), width), min(max(at[1], 0.0), seat.height), deep)


@lru_cache(maxsize=256)
def outer_correction(case: PortCase) -> Correction:
    """End correction outside with its parts: the mean over the ports."""
    bare = _sized(case, False)
    mouths = []
    for i, offsets in enumerate(_offsets(case)):
        lift = over_floor(case, i)
        mouths.append(replace(bare, neighbours=offsets, sides=() if lift is None else (lift,)))
    return _mean([end_correction(mouth) for mouth in mouths], case.area / mouths[0].area)


def over_floor(case: PortCase, which: int) -> float | None:
    """Height (m) of a mouth's middle over the floor outside, the cabinet's bottom between."""
    if not case.on_floor or not case.effects.floor:
        return None
    bottom = case.seat.baffle  # of the same sheet as the baffle
    if case.port.shape == "slot" and case.port.walls_shared:
        return bottom + 0.5 * size_of(case.port.height)
    if len(case.places) == case.port.count:
        return bottom + max(case.places[which][1], case.half_height)
    return None


def _mean(found: list[Correction], scale: float) -> Correction:
    """The mean of several mouths' corrections, in length of another area."""
    count = len(found)
    names = {name: None for one in found for name in one.parts}
    parts = {name: scale * sum(one.parts.get(name, 0.0) for one in found) / count
             for name in names}
    doubt = next((one.doubt for one in found if one.doubt), "")
    return Correction(sum(parts.values()), parts, all(one.valid for one in found), doubt)


def size_of(value: float | None) -> float:
    """A size that the port's section has seen to be there."""
    if value is None:  # the section's validator has seen to it
        raise ValueError("the port lacks a size")
    return value

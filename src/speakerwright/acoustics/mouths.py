"""One mouth of a port as it stands: its end correction, effect by effect.

The parts are what each effect adds when the effects come one after the other, in the order of
`PARTS`; they add to the total.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from speakerwright.acoustics import ends, openings, slots
from speakerwright.acoustics.enclosures import Enclosure, Place, enclosed_end
from speakerwright.acoustics.neighbours import images_end, pair_inside_end, side_walls_end
from speakerwright.acoustics.slits import slot_across_end, step_in_duct_end
from speakerwright.acoustics.tube_shapes import FLARE_RANGE, flared_end, grille_end

PLAIN, WALL, SHARED, FACING, SIDES, NEIGHBOURS, FLOOR, FLARE, GRILLE, BOX = PARTS = (
    "plain end", "wall of the tube", "shared walls", "facing wall", "side walls", "neighbours",
    "floor outside", "rounded edge", "grille", "rest of the box",
)


@dataclass(frozen=True)
class Grille:
    """A perforated sheet over a mouth; hole and sheet are rules of thumb where unknown (m)."""

    open_share: float
    hole_radius: float = 0.002
    thickness: float = 0.0015


@dataclass(frozen=True)
class Mouth:
    """One mouth: round by `radius`, or rectangular by `width` and `height`. Lengths in m.

    `flush` is a mouth in a large baffle (the outside); else the tube stands free with a wall of
    thickness `wall`, its plane `gap` before a facing wall. `sides` are distances from its middle
    to one or two side walls at right angles (outside: to the floor, or its image's wall). A
    rectangle's lower long side lies on a wall with `shared` 1, a short side too with 2, and with
    3 it spans the box. `neighbours` are the offsets to the middles of like mouths in phase.
    `flare` is the radius of a rounded edge. `box` and `place` (of the middle, counted from a
    corner of the baffle's inside) bring in the rest of the box; a slot with 3 needs them whole.
    """

    radius: float | None = None
    width: float | None = None
    height: float | None = None
    wall: float = 0.0
    flush: bool = False
    gap: float = math.inf
    sides: tuple[float, ...] = ()
    shared: int = 0
    neighbours: tuple[tuple[float, float], ...] = ()
    flare: float = 0.0
    grille: Grille | None = None
    box: Enclosure | None = None
    place: Place | None = None

    def __post_init__(self) -> None:
        if (self.radius is None) == (self.width is None or self.height is None):
            raise ValueError("a mouth is round by its radius or a rectangle by width and height")
        if self.shared not in (0, 1, 2, 3) or (self.shared and self.radius is not None):
            raise ValueError("only a rectangle shares 1, 2 or 3 walls")
        if (self.box is None) != (self.place is None):
            raise ValueError("box and place come together")

    @property
    def area(self) -> float:
        """Area in m^2."""
        if self.radius is not None:
            return math.pi * self.radius**2
        width, height = self._sides
        return width * height

    @property
    def equal_radius(self) -> float:
        """Radius (m) of the round mouth of the same area."""
        return self.radius if self.radius is not None else math.sqrt(self.area / math.pi)

    @property
    def _sides(self) -> tuple[float, float]:
        assert self.width is not None
        assert self.height is not None
        return self.width, self.height

    @property
    def mirrored(self) -> tuple[float, float]:
        """Width and height of a rectangle with its images in the walls that it shares."""
        width, height = self._sides
        return width * (2.0 if self.shared == 2 else 1.0), height * (2.0 if self.shared else 1.0)


@dataclass(frozen=True)
class Correction:
    """An end correction (m) and its parts (m) by effect.

    `valid` says whether potential flow is computed for such a mouth; `doubt` what speaks against
    trusting it, empty when nothing does.
    """

    total: float
    parts: Mapping[str, float] = field(compare=False)
    valid: bool
    doubt: str


def end_correction(mouth: Mouth) -> Correction:
    """End correction of one mouth as it stands.

    Source: own potential-flow computations and image sources, each at its own function; low
    frequency, small amplitude.

    Parameters
    ----------
    mouth : Mouth
        The mouth.

    Returns
    -------
    Correction
        Total and parts in m.

    Raises
    ------
    ValueError
        For sizes that make no mouth, or a wall or neighbour that cuts it.
    """
    parts: dict[str, float] = {}
    if mouth.flush:
        _outside(mouth, parts)
    elif mouth.radius is not None:
        _round_inside(mouth, parts)
    else:
        _rectangle_inside(mouth, parts)
    if mouth.grille is not None:
        sheet = mouth.grille
        parts[GRILLE] = grille_end(sheet.open_share, sheet.hole_radius, sheet.thickness)
    if mouth.box is not None and mouth.shared != 3 and not mouth.flush:
        parts[BOX] = _rest_of_box(mouth)
    valid, doubt = _judged(mouth)
    return Correction(sum(parts.values()), parts, valid, doubt)


def _round_inside(mouth: Mouth, parts: dict[str, float]) -> None:
    radius, wall, gap = mouth.equal_radius, mouth.wall, mouth.gap
    parts[PLAIN] = ends.unflanged_end(radius)
    parts[WALL] = ends.unflanged_end(radius, wall) - parts[PLAIN]
    thick = wall + mouth.flare  # a solid lip faces the wall like a thick tube: rule of thumb
    if math.isfinite(gap):
        parts[FACING] = (ends.facing_wall_end(radius, thick, gap)
                         - ends.unflanged_end(radius, thick))
    if mouth.sides:
        parts[SIDES] = side_walls_end(radius, wall, mouth.sides, gap)
    if mouth.neighbours:
        parts[NEIGHBOURS] = sum(
            pair_inside_end(radius, wall, math.hypot(*offset), gap) for offset in mouth.neighbours
        )
    if mouth.flare:
        plain = ends.unflanged_end(radius, wall)
        parts[FLARE] = flared_end(radius, mouth.flare, flush=False) - plain


def _rectangle_inside(mouth: Mouth, parts: dict[str, float]) -> None:
    width, height = mouth._sides
    parts[PLAIN] = slots.rectangular_tube_end(width, height, 0.0)
    free = slots.rectangular_tube_end(width, height, mouth.wall)
    parts[WALL] = free - parts[PLAIN]
    if mouth.shared == 3:
        _spanning(mouth, parts, free)
        return
    whole_width, whole_height = mouth.mirrored
    shared = slots.rectangular_tube_end(whole_width, whole_height, mouth.wall)
    if mouth.shared:
        parts[SHARED] = shared - free
    if math.isfinite(mouth.gap):
        near = slots.rectangular_tube_end(whole_width, whole_height, mouth.wall, mouth.gap)
        parts[FACING] = near - shared
    radius = math.sqrt(whole_width * whole_height / math.pi)
    if mouth.sides:  # the first one beside the short side, a second beside the long one
        spans = ((whole_height, whole_width), (whole_width, whole_height))
        parts[SIDES] = sum(_side_of_rectangle(span, side, radius, mouth.gap)
                           for span, side in zip(spans, mouth.sides, strict=False))
    if mouth.neighbours:
        parts[NEIGHBOURS] = sum(images_end(radius, 0.5 * math.hypot(*offset), mouth.gap)
                                for offset in mouth.neighbours)
    if mouth.flare:
        parts[FLARE] = _flare_of_rectangle(mouth, flush=False)


def _side_of_rectangle(
    span: tuple[float, float], side: float, radius: float, gap: float
) -> float:
    """A side wall's images: the near one as it lies, the one in the facing wall as a point."""
    near = 0.5 * openings.like_rectangle_end(*span, 2.0 * side)
    return near + images_end(radius, side, gap) - images_end(radius, side)


def _spanning(mouth: Mouth, parts: dict[str, float], free: float) -> None:
    """A slot over the floor from side to side: two dimensions, in the box's height and depth."""
    _, height = mouth._sides
    tall = mouth.box.height if mouth.box is not None else 8.0 * height
    step = step_in_duct_end(height, max(tall, height))
    parts[SHARED] = step - free
    if mouth.place is not None and math.isfinite(mouth.gap):
        whole = slot_across_end(height, mouth.wall, max(tall, height), mouth.gap, mouth.place[2])
        parts[FACING] = whole - step
    if mouth.flare:
        parts[FLARE] = _flare_of_rectangle(mouth, flush=False)


def _outside(mouth: Mouth, parts: dict[str, float]) -> None:
    """Flush in a large baffle; `sides` are its floor, by the image in it."""
    if mouth.radius is not None:
        parts[PLAIN] = ends.flanged_end(mouth.radius)
        if mouth.neighbours:
            parts[NEIGHBOURS] = sum(openings.twin_openings(mouth.radius, math.hypot(*offset))
                                    for offset in mouth.neighbours)
        if mouth.sides:
            parts[FLOOR] = sum(openings.twin_openings(mouth.radius, 2.0 * side)
                               for side in mouth.sides)
        if mouth.flare:
            parts[FLARE] = flared_end(mouth.radius, mouth.flare, flush=True) - parts[PLAIN]
        return
    width, height = mouth._sides
    parts[PLAIN] = slots.flush_rectangle_end(width, height)
    if mouth.neighbours:
        parts[NEIGHBOURS] = sum(
            openings.mutual_end(mouth.equal_radius, max(math.hypot(*offset),
                                                        2.0 * mouth.equal_radius))
            for offset in mouth.neighbours)
    if mouth.sides:
        parts[FLOOR] = sum(openings.like_rectangle_end(width, height, 2.0 * side)
                           for side in mouth.sides)
    if mouth.flare:
        parts[FLARE] = _flare_of_rectangle(mouth, flush=True)


def _flare_of_rectangle(mouth: Mouth, flush: bool) -> float:
    """A slot's rounded edge as that of the round mouth of its area: rule of thumb."""
    radius = mouth.equal_radius
    plain = ends.flanged_end(radius) if flush else ends.unflanged_end(radius, mouth.wall)
    return flared_end(radius, mouth.flare, flush) - plain


def _rest_of_box(mouth: Mouth) -> float:
    """All images in the box and its even swelling, less the images that other parts have."""
    assert mouth.box is not None
    assert mouth.place is not None
    x, y, z = mouth.place
    if mouth.shared:
        x, y = (0.0 if mouth.shared == 2 else x), 0.0
    copies = 2.0**mouth.shared
    whole = enclosed_end(mouth.area, mouth.box, (x, y, z))
    counted = _images(0.0, mouth.gap) + sum(_images(side, mouth.gap) for side in mouth.sides)
    if len(mouth.sides) == 2 and mouth.radius is not None:
        counted += _images(math.hypot(*mouth.sides), mouth.gap)
    for dx, dy in mouth.neighbours:
        there = (x + dx, y + dy, z)
        whole += enclosed_end(mouth.area, mouth.box, (x, y, z), there)
        counted += _images(0.5 * math.hypot(dx, dy), mouth.gap)
    counted += _baffle_too_near(mouth, z)
    return whole - copies * mouth.area / (8.0 * math.pi) * counted


def _baffle_too_near(mouth: Mouth, z: float) -> float:
    """What the point image in the baffle, `z` m behind the mouth, counts too much, 1/m.

    A mouth in the baffle is flush: its image may add no more than a flush end has over a free one.
    Far away that is the point image again. At the plane itself the point image is left out.
    """
    copies = 2.0**mouth.shared
    radius = math.sqrt(copies * mouth.area / math.pi)
    most = max(ends.flanged_end(radius) - ends.unflanged_end(radius, mouth.wall), 0.05 * radius)
    least = radius**2 / (8.0 * most)
    return (1.0 / z if z > 1e-9 else 0.0) - 1.0 / math.hypot(z, least)


def _images(distance: float, gap: float) -> float:
    """One over the distance to a wall and to its meeting with the facing wall, 1/m."""
    near = 1.0 / distance if distance else 0.0
    far = math.hypot(distance, gap)
    return near + (1.0 / far if far else 0.0)


def _judged(mouth: Mouth) -> tuple[bool, str]:
    """Whether the mouth lies where the flow is computed, and what speaks against trusting it."""
    if mouth.flush:
        wide = mouth.flare > FLARE_RANGE[1] * mouth.equal_radius
        return not wide, "the rounding is wider than computed" if wide else ""
    if mouth.radius is not None:
        size, valid = mouth.radius, ends.facing_wall_valid(mouth.radius, mouth.gap)
        valid = valid and mouth.wall <= ends.THICKEST_WALL * mouth.radius
    else:
        width, height = mouth.mirrored
        size = mouth.height if mouth.shared and mouth.height else 0.5 * min(width, height)
        valid = slots.slot_valid(width, height, mouth.gap)
    if mouth.gap < size:
        return valid, ("the flow turns in a space narrower than the port: potential flow says "
                       "nothing of loss there")
    if mouth.shared == 3 and mouth.box is None:
        return valid, "the box around the slot is not known"
    if mouth.flare > FLARE_RANGE[1] * mouth.equal_radius:
        return False, "the rounding is wider than computed"
    return valid, "" if valid else "beyond the sizes that were computed"

"""Parts together: what collides, what is how far apart, what it weighs and where its weight is."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from speakerwright.solids.bodies import Body
from speakerwright.solids.contacts import only_touches
from speakerwright.solids.densities import DENSITIES
from speakerwright.solids.meshes import (
    Box,
    IntArray,
    Manifold,
    Point,
    centroid,
    joined,
    triangles,
)
from speakerwright.solids.panels import Panel
from speakerwright.solids.shapes import FloatArray

Part: TypeAlias = "Panel | Body"
Surface: TypeAlias = "tuple[FloatArray, IntArray]"

THINNEST = 1e-6  # mm; an overlap thinner than this is rounding between touching faces


@dataclass(frozen=True)
class Collision:
    """Two parts in one place: their names, the common volume in mm³ and its centre in mm."""

    a: str
    b: str
    volume_mm3: float
    centre: Point


def room(part: Part) -> Manifold:
    """The room that a part needs, world mm: a panel's solid, a body's envelope."""
    return part.room if isinstance(part, Body) else part.solid()


def solid(part: Part) -> Manifold:
    """What a part takes from the air, world mm."""
    return part.solid if isinstance(part, Body) else part.solid()


def collisions(parts: Sequence[Part], touching: float = 1e-6) -> tuple[Collision, ...]:
    """Pairs of parts that share room, each pair once, in the order of the parts.

    Parts of one `part_of`, and a body with what it `enters`, are not tested against each other.
    A part wholly inside another is found. Parts that touch do not collide.

    Parameters
    ----------
    parts : sequence of Panel or Body
        The parts; world mm.
    touching : float
        Common volume up to which two parts only touch, mm³. An overlap of any volume whose mean
        thickness is below 1e-6 mm counts as touching too.

    Returns
    -------
    tuple of Collision
    """
    boxes = [p.bounding_box if isinstance(p, Panel) else p.room.bounding_box() for p in parts]
    surfaces: dict[int, Surface] = {}

    def surface(index: int) -> Surface:
        if index not in surfaces:
            surfaces[index] = triangles(room(parts[index]))
        return surfaces[index]

    found = []
    for i, a in enumerate(parts):
        for j in range(i + 1, len(parts)):
            if _apart(boxes[i], boxes[j]) or _meant(a, parts[j]):
                continue
            if any(isinstance(p, Panel) and only_touches(p, *surface(k))
                   for p, k in ((a, j), (parts[j], i))):
                continue
            common = _near(a, boxes[j]) ^ _near(parts[j], boxes[i])
            volume = float(common.volume())
            if volume <= touching or 2.0 * volume <= THINNEST * common.surface_area():
                continue
            found.append(Collision(a.name, parts[j].name, volume, centroid(common)))
    return tuple(found)


def _near(part: Part, box: Box) -> Manifold:
    """The room that a part needs, at least as far as it lies in a box."""
    return part.near(box) if isinstance(part, Panel) else part.room


def _apart(a: Box, b: Box) -> bool:
    return any(a[i] >= b[i + 3] or b[i] >= a[i + 3] for i in range(3))


def _meant(a: Part, b: Part) -> bool:
    of_a, of_b = (p.part_of if isinstance(p, Body) else "" for p in (a, b))
    if of_a and of_a == of_b:
        return True
    return any(isinstance(p, Body) and q.name in p.enters for p, q in ((a, b), (b, a)))


def clearance(a: Part, b: Part, beyond: float = 1000.0) -> float:
    """Smallest distance between two parts, mm; 0 when they touch or overlap.

    Parameters
    ----------
    a, b : Panel or Body
        The parts.
    beyond : float
        Distance past which it does not matter, mm: no more than this is returned. The search is
        the faster the smaller it is.
    """
    one, other = room(a), room(b)
    if _box_gap(one.bounding_box(), other.bounding_box()) >= beyond:
        return beyond
    return float(one.min_gap(other, beyond))


def _box_gap(a: Box, b: Box) -> float:
    return math.hypot(*(max(a[i] - b[i + 3], b[i] - a[i + 3], 0.0) for i in range(3)))


def union_volume(parts: Sequence[Part]) -> float:
    """Volume that parts take together, mm³; what they share counts once."""
    return float(joined([solid(p) for p in parts]).volume())


def mass_and_centre(parts: Sequence[Part],
                    densities: Mapping[str, float] = DENSITIES) -> tuple[float, Point]:
    """Mass in kg and centre of gravity in world mm.

    Panels weigh their net volume times their material's density; bodies their `mass_kg`, else
    their solid's volume times a density given for their kind; air plugs nothing.

    Parameters
    ----------
    parts : sequence of Panel or Body
        The parts.
    densities : mapping
        kg/m³ by material, and by kind for bodies of unknown mass.

    Raises
    ------
    ValueError
        Naming every part whose mass is not known, or when nothing weighs anything.
    """
    masses = [_mass(p, densities) for p in parts]
    lost = [p.name for p, mass in zip(parts, masses, strict=True) if mass is None]
    if lost:
        raise ValueError(f"the mass is not known of {', '.join(lost)}")
    total, moment = 0.0, np.zeros(3)
    for part, mass in zip(parts, masses, strict=True):
        if mass:
            total += mass
            moment += mass * np.array(_centre(part))
    if not total > 0.0:
        raise ValueError("nothing here weighs anything")
    x, y, z = moment / total
    return total, (float(x), float(y), float(z))


def _mass(part: Part, densities: Mapping[str, float]) -> float | None:
    if isinstance(part, Panel):
        density = densities.get(part.material)
        return None if density is None else part.net_volume * 1e-9 * density
    if part.mass_kg is not None:
        return part.mass_kg
    if part.kind in densities:
        return float(part.solid.volume()) * 1e-9 * densities[part.kind]
    return 0.0 if part.kind == "air plug" else None


def _centre(part: Part) -> Point:
    if part.centre is not None:
        return part.centre
    assert isinstance(part, Body)
    return centroid(solid(part))

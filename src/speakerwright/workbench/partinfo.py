"""One part of the cabinet in words: its size, what holds it, what it is near, what it fouls."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from speakerwright.cabinet.result import CabinetResult
from speakerwright.drawing.joint_details import joint_text
from speakerwright.solids.assembly import Part, clearance, room
from speakerwright.solids.bevels import told
from speakerwright.solids.bodies import Body
from speakerwright.solids.panels import Panel
from speakerwright.words.blocks import Table
from speakerwright.words.units import show

FAR = 400.0
"""Beyond this nothing is near, mm: rule of thumb."""
TOUCHING = 0.02
"""Parts that are not further apart touch, mm: rounding of round things."""
NEAREST = 3
SMALL = ("air plug", "fastener", "screw")


@dataclass(frozen=True)
class Overlap:
    """Two things in one place: their names, and what both want, mm³."""

    names: tuple[str, str]
    volume_mm3: float

    def text(self, system: str) -> str:
        """In words, as the solid's mark says it."""
        return (f"Collision: {self.names[0]} and {self.names[1]}, "
                f"{volume_text(self.volume_mm3, system)}")


def overlaps(found: CabinetResult) -> list[Overlap]:
    """The pairs that collide, each once: a driver with its inserts and its hole is one thing.

    What several of a thing's bodies share with another is added up.
    """
    names = {panel.name for panel in found.panels} | {body.name for body in found.bodies}
    owners = {body.name: body.part_of for body in found.bodies if body.part_of in names}
    common: dict[tuple[str, str], float] = {}
    for each in found.collisions:
        pair = owners.get(each.a, each.a), owners.get(each.b, each.b)
        common[pair] = common.get(pair, 0.0) + each.volume_mm3
    return [Overlap(pair, volume) for pair, volume in common.items()]


def volume_text(volume_mm3: float, system: str) -> str:
    """A volume for a reader: in cm³ where litres would say nothing."""
    if system == "inch":
        inches = volume_mm3 / 25.4**3
        return f"{inches:.3g}\u202fin³" if inches >= 0.01 else "under 0.01\u202fin³"
    cubic = volume_mm3 * 1e-3
    if cubic >= 1000.0:
        return show(volume_mm3 * 1e-9, "volume")
    return f"{cubic:.3g}\u202fcm³" if cubic >= 0.01 else "under 0.01\u202fcm³"


def about(found: CabinetResult, name: str, system: str) -> Table | None:
    """What is known of a part, as names and values; None when there is no such part."""
    parts: list[Part] = [*found.panels, *found.bodies]
    part = next((one for one in parts if one.name == name), None)
    if part is None:
        return None
    rows = [("Part", name), ("Size", _size(part, system))]
    if isinstance(part, Panel):
        rows += [("Edges", "; ".join(told(part)))] if part.bevels else []
        rows.append(("Joints", _joints(found, name, system)))
    rows.append(("Nearest", _nearest(part, parts, found, system)))
    fouls = [f"{each.names[each.names[0] == name]}, {volume_text(each.volume_mm3, system)} of both"
             for each in overlaps(found) if name in each.names]
    if fouls:
        rows.append(("Collides with", "; ".join(fouls)))
    return Table(("Part", ""), tuple(rows))


def _size(part: Part, system: str) -> str:
    """Width, height and thickness of a panel's blank; of a body how much room it takes."""
    if isinstance(part, Panel):
        sides = [*part.bounding_size, part.thickness]
        told_as = f"{part.material}{', as its blank' if part.bevels else ''}"
    else:
        x0, y0, z0, x1, y1, z1 = part.solid.bounding_box()
        sides = [x1 - x0, z1 - z0, y1 - y0]
        told_as = "wide × high × deep over all"
    return f"{' × '.join(show(1e-3 * side, 'length', system) for side in sides)}, {told_as}"


def _joints(found: CabinetResult, name: str, system: str) -> str:
    said = [joint_text(joint, system, units=True) for joint in found.joints
            if name in (joint.host, joint.guest)]
    return "; ".join(dict.fromkeys(said)) or "none"


def _nearest(
    part: Part, parts: Sequence[Part], found: CabinetResult, system: str
) -> str:
    """The things next to a part that it does not touch, and how far away they are."""
    skip = {part.name} | {joint.other(part.name) for joint in found.joints
                          if part.name in (joint.host, joint.guest)}
    box = room(part).bounding_box()
    order = sorted(((_gap(box, room(other).bounding_box()), other.name, other) for other in parts
                    if other.name not in skip and not _same_thing(part, other)),
                   key=lambda one: one[:2])
    near: list[tuple[float, str]] = []
    for least, name, other in order:
        reach = near[-1][0] if len(near) >= NEAREST else FAR
        if least >= reach:
            break
        gap = clearance(part, other, reach)
        if TOUCHING < gap < reach:
            near = sorted([*near, (gap, name)])[:NEAREST]
    if not near:
        return f"nothing within {show(1e-3 * FAR, 'length', system)}"
    return "; ".join(f"{name}, {show(1e-3 * gap, 'length', system)}" for gap, name in near)


def _same_thing(part: Part, other: Part) -> bool:
    if isinstance(other, Body) and other.kind in SMALL:
        return True
    ours, theirs = (getattr(p, "part_of", "") for p in (part, other))
    return bool(ours) and ours == theirs


def _gap(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    return math.hypot(*(max(a[k] - b[k + 3], b[k] - a[k + 3], 0.0) for k in range(3)))

"""What a front is made of: its items, what collides, and its size; and layers of their room, mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from speakerwright.cabinet.inputs import BuiltPort
from speakerwright.cabinet.sizes import Settled
from speakerwright.design.document import Design
from speakerwright.plan.stage import system_of
from speakerwright.solids.meshes import Manifold
from speakerwright.words.units import split
from speakerwright.workbench.frontplaces import Spot
from speakerwright.workbench.session import written

Outline: TypeAlias = tuple[float, ...]
"""A circle by its diameter, a rectangle by width and height, or nothing."""
Layer: TypeAlias = tuple[float, float, tuple[Spot, ...]]
"""From one depth to another, a convex outline."""

STEP_MM, FINE_MM = 1.0, 0.1
STEP_IN, FINE_IN = 1.0 / 16.0, 1.0 / 32.0  # the finest that is read out
SLAB = 8.0
"""How deep one layer of a part is, mm: rule of thumb."""
MOST_SLABS, MOST_CORNERS = 24, 48


@dataclass(frozen=True)
class Item:
    """One thing that can be seen from the front, or a level board behind it; mm.

    Attributes
    ----------
    key, name : str
        Its key on the page, and what it is called.
    kind : str
        driver, horn, port, slot, divider, or a brace: brace (a shelf), upright, partition.
    part : str
        Whose colour it has, one of `palette.PARTS`, or "".
    owner, index : str, int
        The job, room or list that owns its place, and which entry there.
    ways : str
        Along which axes it may be moved: some of "xz".
    origin : Spot
        What its decided place is counted from.
    bounds : tuple
        The least x and z, and the greatest, of its centre.
    face, inner : Outline
        What is seen of it, and the opening in it.
    layers : tuple of Layer
        The room it takes, about its centre.
    says : str
        Its place in words, with {x} and {z}.
    path : str
        The field of its place.
    steps : tuple
        By how much it moves at a time, and how little with Shift.
    live : bool
        Whether its place is written already, so that a move adds no field.
    rise : float
        How many mm here are one in its field: above 1 for a height behind a front that leans.
    """

    key: str
    name: str
    kind: str
    part: str
    owner: str
    index: int
    ways: str
    origin: Spot
    bounds: tuple[float, float, float, float]
    face: Outline
    inner: Outline
    layers: tuple[Layer, ...]
    says: str
    path: str
    steps: Spot
    live: bool
    rise: float = 1.0


@dataclass(frozen=True)
class Foul:
    """Two things in one place: their names, and where about on the front, mm."""

    names: tuple[str, str]
    at: Spot


@dataclass(frozen=True, eq=False)
class Front:
    """The front of a cabinet that is worked out: its size and the corners of its outline.

    `at` holds the places it was worked out with, `boards` the layers of what cannot be moved,
    `fouls` what its solids say.
    """

    width: float
    height: float
    outline: tuple[Spot, ...]
    settled: Settled
    ports: Mapping[str, BuiltPort]
    items: tuple[Item, ...]
    at: Mapping[str, Spot]
    boards: tuple[tuple[str, tuple[Layer, ...]], ...]
    fouls: tuple[Foul, ...]

    def item(self, key: str) -> Item:
        """An item by its key; KeyError when there is none."""
        for item in self.items:
            if item.key == key:
                return item
        raise KeyError(key)


def layers(solids: Sequence[Manifold], about: Spot) -> tuple[Layer, ...]:
    """The room of some solids as convex outlines by depth, about a place on the front, mm."""
    found: list[Layer] = []
    for solid in solids:
        turned = solid.rotate((90.0, 0.0, 0.0))  # depth upwards, height downwards
        box = turned.bounding_box()
        near, far = box[2], box[5]
        count = min(max(math.ceil((far - near) / SLAB), 1), MOST_SLABS)
        open_: list[Layer] = []
        for k in range(count):
            low, high = (near + (far - near) * j / count for j in (k, k + 1))
            here: list[Layer] = []
            for shape in _convex(turned, 0.5 * (low + high), about):
                before = next((one for one in open_ if _alike(one[2], shape)), None)
                if before is not None:
                    open_.remove(before)
                here.append((low, high, shape) if before is None else (before[0], high, before[2]))
            found += open_
            open_ = here
        found += open_
    return tuple((round(a, 2), round(b, 2), shape) for a, b, shape in found)


def _convex(turned: Manifold, at: float, about: Spot) -> Iterator[tuple[Spot, ...]]:
    for piece in turned.slice(at).decompose():
        for corners in piece.hull().simplify(0.01).to_polygons():
            kept = corners[:: max(1, math.ceil(len(corners) / MOST_CORNERS))]
            yield tuple((round(float(x) - about[0], 2), round(-float(y) - about[1], 2))
                        for x, y in kept)


def _alike(one: tuple[Spot, ...], other: tuple[Spot, ...]) -> bool:
    """Whether two outlines have as many corners and the same box around them, to 0.05 mm."""
    return len(one) == len(other) and all(
        abs(end(p[k] for p in one) - end(p[k] for p in other)) < 0.05
        for k in (0, 1) for end in (min, max))


def steps_of(design: Design, path: str) -> Spot:
    """How far a place moves at a time, in the unit that the file uses, mm."""
    there = written(design, path)
    unit = split(there)[1] if isinstance(there, str) else (
        "in" if system_of(design) == "inch" else "mm")
    if unit in ("in", "ft", "inch", "foot"):
        return 25.4 * STEP_IN, 25.4 * FINE_IN
    return STEP_MM, FINE_MM

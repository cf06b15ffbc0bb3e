"""An assembly order replayed by small steps with solids: knows nothing of shadows or pieces."""

from __future__ import annotations

import math

import numpy as np

from speakerwright.solids.meshes import joined

STEP = 4.0  # mm; less than any panel here is thick and any tongue is deep
NOISE = 1e-3  # mm of mean thickness of an overlap that is rounding


def collides(moved, still):
    common = moved ^ still
    return 2.0 * common.volume() > NOISE * common.surface_area() and common.volume() > 1e-3


def free(group, rest, away, step=STEP):
    """Whether solids leave along a direction without striking the rest, stepped till far off."""
    mine, others = joined(group), joined(rest)
    boxes = np.array([mine.bounding_box(), others.bounding_box()])
    far = 1.01 * math.dist(boxes[:, :3].min(axis=0), boxes[:, 3:].max(axis=0))
    return not any(collides(mine.translate(tuple(k * step * np.array(away))), others)
                   for k in range(1, math.ceil(far / step)))


def replayed(parts, order):
    """Put an assembly together as its order says; the sizes of what each step finds and adds.

    Raises AssertionError where a step strikes something, or finds parts missing or left over.
    """
    solids = {part.name: part.solid() if callable(part.solid) else part.solid for part in parts}
    built = {(name,) for name in solids}
    sizes = []
    for move in order.assembly:
        assert move.parts in built, f"{move.parts} is not put together yet"
        assert move.stays in built, f"{move.stays} is not put together yet"
        assert free([solids[n] for n in move.parts], [solids[n] for n in move.stays],
                    move.away), f"{move.parts} strikes"
        built -= {move.parts, move.stays}
        whole = {*move.parts, *move.stays}
        built.add(tuple(name for name in solids if name in whole))
        sizes.append((len(move.stays), len(move.parts)))
    assert built == {tuple(solids)}
    return sizes

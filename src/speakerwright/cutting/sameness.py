"""Which panels are the same board, and which are each other's mirror image. Lengths in mm.

Two panels are the same when one, turned on the table or turned over, is the other: outline,
thickness, material, grain, bevels, and every cut from its face. A left and a right side are the
same board only when nothing on them tells the two apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from speakerwright.cutting.setup import moved
from speakerwright.solids.panels import Panel

NEAR = 0.01
"""Places and sizes that differ by less are the same, mm: far below what a saw can hold."""


@dataclass(frozen=True, eq=False)
class _Cut:
    kind: str
    face: str | None
    depth: float | None
    circle: tuple[float, float, float] | None
    shape: Any


@dataclass(frozen=True, eq=False)
class _Lying:
    """A panel as it lies: both faces' outlines, cuts, and the grain's axis.

    The corner of its blank is at (0, 0); `outline` is that of the face that counts as outside.
    """

    outline: Any
    inside: Any
    cuts: tuple[_Cut, ...]
    grain: str | None


def same(a: Panel, b: Panel) -> bool:
    """Whether two panels are the same board, turned or turned over as need be."""
    if not _alike(a, b):
        return False
    there = _lying(b, 0, flipped=False, over=False)
    return any(_equal(one, there) for over in (False, True)
               for one in _turns(a, flipped=over, over=over))


def mirrored(a: Panel, b: Panel) -> bool:
    """Whether one panel is the mirror image of the other, face by face."""
    if not _alike(a, b):
        return False
    there = _lying(b, 0, flipped=False, over=False)
    return any(_equal(one, there) for one in _turns(a, flipped=True, over=False))


def _alike(a: Panel, b: Panel) -> bool:
    """What no turning changes."""
    return (
        a.material == b.material
        and abs(a.thickness - b.thickness) < NEAR
        and (a.grain is None) == (b.grain is None)
        and len(a.features) == len(b.features)
        and abs(a.blank.area - b.blank.area) < NEAR * a.outline.length
        and bool(a.bevels) == bool(b.bevels)
        and np.allclose(sorted(a.bounding_size), sorted(b.bounding_size), rtol=0.0, atol=NEAR)
    )


def _turns(panel: Panel, *, flipped: bool, over: bool) -> Iterator[_Lying]:
    for quarter in range(4):
        yield _lying(panel, quarter, flipped=flipped, over=over)


def _lying(panel: Panel, quarter: int, *, flipped: bool, over: bool) -> _Lying:
    """The panel flipped left to right, then turned by quarters; `over` exchanges its faces."""
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]

    def turn(x: float, y: float) -> tuple[float, float]:
        x = -x if flipped else x
        return c * x - s * y, s * x + c * y

    x0, y0, _, _ = moved(panel.blank, turn).bounds

    def move(x: float, y: float) -> tuple[float, float]:
        x, y = turn(x, y)
        return x - x0, y - y0

    other = {"outside": "inside", "inside": "outside"}
    cuts = []
    for f in panel.features:
        face = None if f.depth is None else other[f.face] if over else f.face
        round_one = f.circle if f.overrun is None else None
        circle = None if round_one is None else (*move(*round_one[:2]), round_one[2])
        cuts.append(_Cut(f.kind, face, f.depth, circle, moved(f.shape, move)))
    turned = {"u": "v", "v": "u", None: None}[panel.grain]
    faces = [moved(panel.outline, move), moved(panel.section(panel.thickness), move)]
    if not panel.bevels:
        faces[1] = faces[0]
    if over:
        faces.reverse()
    return _Lying(faces[0], faces[1], tuple(cuts), turned if quarter % 2 else panel.grain)


def _equal(a: _Lying, b: _Lying) -> bool:
    if a.grain != b.grain or not _covers(a.outline, b.outline):
        return False
    if not _covers(a.inside, b.inside):
        return False
    rest = list(b.cuts)
    for cut in a.cuts:
        found = next((k for k, other in enumerate(rest) if _same_cut(cut, other)), None)
        if found is None:
            return False
        del rest[found]
    return not rest


def _same_cut(a: _Cut, b: _Cut) -> bool:
    if (a.kind, a.face) != (b.kind, b.face) or (a.circle is None) != (b.circle is None):
        return False
    if a.depth is not None and b.depth is not None and abs(a.depth - b.depth) >= NEAR:
        return False
    if a.circle is not None and b.circle is not None:
        return (math.dist(a.circle[:2], b.circle[:2]) < NEAR
                and abs(a.circle[2] - b.circle[2]) < NEAR)
    return _covers(a.shape, b.shape)


def _covers(a: Any, b: Any) -> bool:
    """Whether two shapes differ by no more than a hair along their edges."""
    if any(abs(p - q) >= NEAR for p, q in zip(a.bounds, b.bounds, strict=True)):
        return False
    return bool(a.symmetric_difference(b).area < NEAR * a.length)

"""Walls that lean in an upright section: where their faces are, and by how much they lean, mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

LEAST_DEG, MOST_DEG = 0.05, 35.0  # a wall that leans by less or more is upright, or none
_INSIDE = 1.0  # mm above the floor's upper face, where depths are taken
_SLENDER = 2.5  # a wall is at least so many times as high as thick
_EDGE_SHARE = 0.3  # of its height: what a face has at least of upright edge


@dataclass(frozen=True)
class Lean:
    """A leaning wall: its middle line from (x0, z0) upwards, its thickness, which wall it is."""

    angle_deg: float
    x0: float
    z0: float
    slope: float
    half_thickness: float
    front: bool

    def at(self, height: float) -> tuple[float, float]:
        """Its outer and inner face at a height, the lesser place first."""
        middle = self.x0 + self.slope * (height - self.z0)
        reach = self.half_thickness / math.cos(math.radians(self.angle_deg))
        return middle - reach, middle + reach

    @property
    def foot(self) -> float:
        """Its outer face at the lowest height at which it is cut."""
        return self.at(self.z0)[0 if self.front else 1]


def lean_of(region: Any) -> Lean | None:
    """What a region is as a leaning wall; None for one that is upright, level or no wall."""
    tight = region.minimum_rotated_rectangle
    if tight.geom_type != "Polygon":
        return None
    ring = np.asarray(tight.exterior.coords)
    runs = np.diff(ring[:3], axis=0)
    sizes = np.hypot(runs[:, 0], runs[:, 1])
    k = int(np.argmax(sizes))
    if sizes[k] < _SLENDER * sizes[1 - k]:
        return None
    run = runs[k] if runs[k][1] > 0.0 else -runs[k]
    angle = math.degrees(math.atan2(abs(run[0]), run[1]))
    if not LEAST_DEG < angle < MOST_DEG:
        return None
    x, z = float(tight.centroid.x), float(tight.centroid.y)
    slope, low = float(run[0] / run[1]), float(region.bounds[1])
    return Lean(angle, x + slope * (low - z), low, slope, 0.5 * float(sizes[1 - k]), True)


def leaning_walls(wood: Sequence[Any]) -> list[Lean]:
    """The leaning front and back among cut regions, pieces of one wall once, the front first."""
    if not wood:
        return []
    middle = 0.5 * (min(r.bounds[0] for r in wood) + max(r.bounds[2] for r in wood))
    found: dict[bool, tuple[float, Lean]] = {}
    for region in wood:
        for piece in getattr(region, "geoms", [region]):
            lean = lean_of(piece)
            if lean is None:
                continue
            front = lean.x0 < middle
            made = Lean(lean.angle_deg, lean.x0, lean.z0, lean.slope, lean.half_thickness, front)
            if front not in found or lean.z0 < found[front][1].z0:
                found[front] = (lean.z0, made)
    return [found[front][1] for front in (True, False) if front in found]


def stations(wood: Sequence[Any], box: Sequence[float], axis: int) -> list[float]:
    """Faces of panels that lie square to an axis of a section: thin ones' two edges, sorted.

    Along the depth (axis 0) what leans is told where it meets the floor inside.
    """
    floor = _floor(wood, box) if axis == 0 else box[1]
    found = set() if axis == 0 and leaning_walls(wood) else {
        round(box[axis], 3), round(box[axis + 2], 3)}
    for region in wood:
        b = region.bounds
        if b[axis + 2] - b[axis] >= b[3 - axis] - b[1 - axis]:
            continue
        lean = lean_of(region) if axis == 0 else None
        if lean is not None:
            if b[1] < floor + _INSIDE:
                found |= {round(end, 3) for end in lean.at(floor)}
            continue
        found |= {round(b[k], 3) for k in (axis, axis + 2) if _straight(region, axis, b[k])}
    ends = sorted(found or {round(box[axis], 3), round(box[axis + 2], 3)})
    return [end for index, end in enumerate(ends) if index == 0 or end - ends[index - 1] > 0.05]


def _floor(wood: Sequence[Any], box: Sequence[float]) -> float:
    """The height of the lowest level board's upper face, or the bottom where there is none."""
    level = [r.bounds[3] for r in wood if r.bounds[1] < box[1] + 1.0
             and r.bounds[3] - r.bounds[1] < 0.5 * (r.bounds[2] - r.bounds[0])]
    return float(min(level, default=box[1]))


def _straight(region: Any, axis: int, at: float) -> bool:
    """Whether a region has an edge square to the axis at a place, and not only a corner."""
    length = 0.0
    for piece in getattr(region, "geoms", [region]):
        ring = np.asarray(piece.exterior.coords)[:, :2]
        for start, end in pairwise(ring):
            if abs(start[axis] - at) < 1e-3 and abs(end[axis] - at) < 1e-3:
                length += abs(float(end[1 - axis] - start[1 - axis]))
    return length >= _EDGE_SHARE * float(region.bounds[3 - axis] - region.bounds[1 - axis])

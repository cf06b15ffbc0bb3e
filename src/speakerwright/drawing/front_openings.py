"""The larger openings in a cabinet's front, as they are seen from the front, mm.

Where the baffle leans, a round opening is seen as an ellipse, and heights are upright ones.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.drawing.dimensions import diameter_text, length_text
from speakerwright.drawing.marks import CentreMark, Circle, Line, Path

MAJOR_MM = 40.0  # openings smaller than this are left to the panel's own sheet
_FACING = 0.8  # of the cosine between a panel's normal and the way to the front


@dataclass(frozen=True, eq=False)
class Opening:
    """An opening in the front.

    `x` and `z` are those of its middle, `diameter` (0 for one that is not round), `width` and
    `height` its own sizes; `ring` is its edge as it is seen, shape (n, 2).
    """

    label: str
    x: float
    z: float
    diameter: float
    width: float
    height: float
    ring: NDArray[np.float64]

    @property
    def upright(self) -> bool:
        """Whether it is seen at its own size."""
        return bool(abs(np.ptp(self.ring[:, 1]) - self.height) < 1e-4 * self.height)

    def hidden(self, scale: int) -> Any:
        """Its edge, dashed, as it lies behind what is mounted in it."""
        if self.diameter and self.upright:
            return Circle((self.x / scale, self.z / scale), self.diameter / 2.0 / scale, "hidden")
        return Path(self.ring / scale, "hidden", closed=True)

    def centre(self, scale: int) -> list[Any]:
        """Its centre lines, each a little longer than it is wide or high."""
        x, z = self.x / scale, self.z / scale
        if self.diameter and self.upright:
            return [CentreMark((x, z), self.diameter / 2.0 / scale + 2.0)]
        wide, high = (size / 2.0 / scale + 2.0 for size in np.ptp(self.ring, axis=0))
        return [Line((x - wide, z), (x + wide, z), "centre"),
                Line((x, z - high), (x, z + high), "centre")]

    @property
    def edge(self) -> tuple[float, float]:
        """A point of its edge at the right, above its centre line."""
        wide, high = (float(size) / 2.0 for size in np.ptp(self.ring, axis=0))
        if self.diameter:
            way = math.radians(35.0)
            return self.x + wide * math.cos(way), self.z + high * math.sin(way)
        return self.x + wide, self.z + high / 2.0


def openings_of(panels: Sequence[Any]) -> list[Opening]:
    """The larger openings through panels that face the front, from the bottom up."""
    found = []
    for panel in panels:
        if np.dot(panel.placement.normal, (0.0, -1.0, 0.0)) < _FACING:
            continue
        for feature in panel.features:
            left, low, right, high = feature.shape.bounds
            if feature.kind != "through" or max(right - left, high - low) < MAJOR_MM:
                continue
            cx, cy, diameter = feature.circle or ((left + right) / 2.0, (low + high) / 2.0, 0.0)
            flat = np.asarray(feature.shape.exterior.coords)[:-1, :2]
            world = panel.placement.to_world(
                np.column_stack((np.vstack(((cx, cy), flat)), np.zeros(len(flat) + 1))))
            x, _, z = world[0]
            found.append(Opening(feature.label, float(x), float(z), diameter, right - left,
                                 high - low, world[1:, [0, 2]]))
    return sorted(found, key=lambda o: (o.z, o.x))


def named(openings: Sequence[Opening], system: str) -> list[tuple[str, float, float]]:
    """One note for all openings of a label and size, at the one nearest to the notes."""
    alike: dict[str, list[Opening]] = {}
    for opening in openings:
        size = (diameter_text(opening.diameter, system) if opening.diameter else
                f"{length_text(opening.width, system)} × {length_text(opening.height, system)}")
        what = "" if opening.label.startswith("cut-out") else "cut-out "
        alike.setdefault(f"{opening.label}, {what}{size}", []).append(opening)
    notes = []
    for text, some in alike.items():
        nearest = max(some, key=lambda o: o.x)
        many = f"{len(some)} × " if len(some) > 1 else ""
        notes.append((many + text, *nearest.edge))
    return notes

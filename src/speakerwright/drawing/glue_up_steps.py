"""The steps of a glue-up, drawn small: what is there already grey, what is put on dark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from speakerwright.drawing.hidden import feature_edges, joined, merged, view_axes, visible_parts
from speakerwright.drawing.marks import Path, Text, moved, region_area
from speakerwright.drawing.sheets import FIELD_MM, Drawing, fitted
from speakerwright.drawing.views import ISOMETRIC, Floats, solid_of

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_THERE = "#dfe2e5"
_OFF = 0.35  # how far a new part stands off, as a share of the assembly's largest size
_BETWEEN_MM = 6.0
_LETTER_MM = 6.0


@dataclass(frozen=True, eq=False)
class _Small:
    """One step in view coordinates, mm of the thing: shade, lines there, lines of what is new."""

    number: int
    shade: BaseGeometry
    there: list[tuple[Floats, bool]]
    new: list[tuple[Floats, bool]]
    bounds: tuple[float, float, float, float]

    def items(self, scale: int) -> list[Any]:
        """The picture at 1:`scale`, its lower left corner at the origin."""
        from shapely.affinity import scale as scaled

        made: list[Any] = []
        if not self.shade.is_empty:
            made.append(region_area(scaled(self.shade, 1.0 / scale, 1.0 / scale,
                                           origin=(0.0, 0.0)), _THERE))
        made += [Path(points / scale, "thin", closed) for points, closed in self.there]
        made += [Path(points / scale, "outline", closed) for points, closed in self.new]
        return moved(made, -self.bounds[0] / scale, -self.bounds[1] / scale)

    def size(self, scale: int) -> tuple[float, float]:
        """Width and height on paper, mm."""
        left, low, right, high = self.bounds
        return (right - left) / scale, (high - low) / scale


def glue_up_sheet(
    parts: Sequence[Any], steps: Sequence[Any], *, field_mm: tuple[float, float] = FIELD_MM,
    system: str = "metric",
) -> Drawing:
    """All steps of a glue-up on one drawing, in rows.

    Parameters
    ----------
    parts : sequence
        `solids.Panel` or `solids.Body`, with their names.
    steps : sequence
        With `number`, `parts` and `stays` (names) and `away` (a direction of length one).
    field_mm : tuple of float
        Room for the drawing.
    system : {"metric", "inch"}

    Raises
    ------
    ValueError
        Without steps, or where they do not fit in the field at any scale.
    """
    if not steps:
        raise ValueError("there is no step to draw")
    named = {part.name: part for part in parts}
    boxes = np.array([solid_of(part).bounding_box() for part in parts])
    largest = float((boxes[:, 3:].max(axis=0) - boxes[:, :3].min(axis=0)).max())
    small = [_small(step, named, _OFF * largest) for step in steps]

    def paint(scale: int) -> list[Any]:
        return _rows(small, scale, field_mm[0] - 1.0)

    return fitted("glue_up_steps", "Glue-up, step by step", paint, field_mm, system=system,
                  note="Isometric, from the front, the right and above. Grey: there already. "
                  "Heavy lines: what is put on, drawn off along the way it goes.",
                  projected=False)


def _rows(small: Sequence[_Small], scale: int, width_mm: float) -> list[Any]:
    """The small pictures in rows, as many in each as the width holds."""
    sizes = [one.size(scale) for one in small]
    wide = max(size[0] for size in sizes) + _BETWEEN_MM
    high = max(size[1] for size in sizes) + _BETWEEN_MM + _LETTER_MM
    across = max(1, min(len(small), int((width_mm + _BETWEEN_MM) // wide)))
    made: list[Any] = []
    for k, one in enumerate(small):
        x, y = (k % across) * wide, -(k // across) * high
        made += moved(one.items(scale), x, y)
        made.append(Text((x, y + one.size(scale)[1] + 1.8), str(one.number), bold=True))
    return made


def _small(step: Any, named: dict[str, Any], off: float) -> _Small:
    from shapely import MultiPolygon, Polygon, union_all

    from speakerwright.solids.meshes import triangles

    axes = view_axes(ISOMETRIC) * 1.5**0.5
    every: list[Floats] = []
    edges: dict[bool, list[Floats]] = {True: [], False: []}
    shades: list[Any] = []
    for name in (*step.stays, *step.parts):
        new = name in step.parts
        points, corners = triangles(solid_of(named[name]))
        shift = off * np.array(step.away) if new else np.zeros(3)
        seen = np.asarray((points + shift) @ axes.T)
        every.append(seen[corners])
        edges[new].append(feature_edges(seen, corners, far_too=False))
        if not new:
            shades += [Polygon(t) for t in _front(seen[corners])]
    faces = np.concatenate(every)
    lines = {new: joined(merged(visible_parts(np.concatenate(some), faces)[0])) if some else []
             for new, some in edges.items()}
    low, high = faces[:, :, :2].min(axis=(0, 1)), faces[:, :, :2].max(axis=(0, 1))
    bounds = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    shade = union_all(shades) if shades else MultiPolygon()
    return _Small(step.number, shade, lines[False], lines[True], bounds)


def _front(faces: Floats) -> Floats:
    """Triangles (n, 3, 2) that are turned to the eye."""
    one, two = faces[:, 1, :2] - faces[:, 0, :2], faces[:, 2, :2] - faces[:, 0, :2]
    return np.asarray(faces[one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0] > 1e-6, :, :2])

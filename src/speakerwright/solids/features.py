"""What is cut into a panel: holes, openings, pockets, grooves, rebates.

Features on both faces are drawn in the panel's own (u, v), as if seen through from outside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from speakerwright.solids.shapes import FloatArray, Polygon, circle, require_above_zero

Kind = Literal["through", "pocket", "drill"]
Face = Literal["outside", "inside"]

BEYOND = 1.0  # how far cutting solids reach past the face, so that no faces coincide, mm
AREA_NOISE = 1e-9  # mm²; less than this is rounding


@dataclass(frozen=True, eq=False)
class Feature:
    """Something cut into a panel.

    Attributes
    ----------
    kind : {"through", "pocket", "drill"}
        Right through, a flat-bottomed pocket, or a blind round hole.
    shape : Polygon
        As cut, local mm, with its clearance; a panel clips it to its outline.
    face : {"outside", "inside"}
        The face it is cut from.
    depth : float or None
        Depth from that face, mm; None for "through".
    label : str
        What it is for.
    circle : tuple of float or None
        Exact centre and diameter (cx, cy, diameter) of a round one, mm.
    mate : str or None
        The part that goes into it.
    nominal : Polygon or None
        The mating shape without clearance, local mm.
    overrun : Polygon or None
        The shape before the panel clipped it: a cutter may run out over the edge.
    """

    kind: Kind
    shape: Polygon
    face: Face
    depth: float | None
    label: str
    circle: tuple[float, float, float] | None = None
    mate: str | None = None
    nominal: Polygon | None = None
    overrun: Polygon | None = None

    def __post_init__(self) -> None:
        require_shape(self.shape, f"the shape of {self.label}")
        object.__setattr__(self, "shape", without_dust(self.shape))
        if (self.kind == "through") != (self.depth is None):
            raise ValueError(f"{self.label}: a depth is for pockets and blind holes, all of them")
        if self.kind == "drill" and self.circle is None:
            raise ValueError(f"{self.label}: a drilled hole is round")
        if self.depth is not None and not self.depth > 0.0:
            raise ValueError(f"{self.label}: the depth must be above zero")


def require_shape(shape: Polygon, what: str) -> None:
    """`ValueError` unless a shape is a simple closed outline with area."""
    if not isinstance(shape, Polygon) or shape.is_empty or not shape.is_valid:
        raise ValueError(f"{what} is no simple closed outline")
    if not (math.isfinite(shape.area) and shape.area > AREA_NOISE):
        raise ValueError(f"{what} has no area")


def without_dust(shape: Polygon) -> Polygon:
    """The shape with coordinates below 1e-12 mm set to zero.

    Differences of shapes silently come out wrong when products of coordinates underflow.
    """
    def swept(points: FloatArray) -> FloatArray:
        return np.where(np.abs(points) < 1e-12, 0.0, points)

    return shapely.transform(shape, swept)


def hole(cx: float, cy: float, diameter: float, label: str, *, face: Face = "outside",
         mate: str | None = None, nominal: Polygon | None = None) -> Feature:
    """A round hole right through; centre and diameter in local mm."""
    return Feature("through", circle(cx, cy, diameter), face, None, label, (cx, cy, diameter),
                   mate, nominal)


def drill(cx: float, cy: float, diameter: float, depth: float, face: Face, label: str, *,
          mate: str | None = None, nominal: Polygon | None = None) -> Feature:
    """A blind round hole of flat bottom; centre, diameter and depth in mm."""
    return Feature("drill", circle(cx, cy, diameter), face, depth, label, (cx, cy, diameter),
                   mate, nominal)


def cutout(polygon: Polygon, label: str, *, face: Face = "outside", mate: str | None = None,
           nominal: Polygon | None = None) -> Feature:
    """An opening of any shape right through, local mm."""
    return Feature("through", polygon, face, None, label, None, mate, nominal)


def pocket(polygon: Polygon, depth: float, face: Face, label: str, *,
           circle: tuple[float, float, float] | None = None, mate: str | None = None,
           nominal: Polygon | None = None) -> Feature:
    """A flat-bottomed pocket: a dado, a groove, a recess (name its `circle` when it is round)."""
    return Feature("pocket", polygon, face, depth, label, circle, mate, nominal)


def rebate(start: tuple[float, float], end: tuple[float, float], width: float, depth: float,
           face: Face, label: str, *, run_out: float = BEYOND, past_ends: float = 0.0,
           mate: str | None = None, nominal: Polygon | None = None) -> Feature:
    """A rebate along an edge of the outline.

    Parameters
    ----------
    start, end : tuple of float
        Ends of the edge, local mm, with the panel on the left hand (outlines run anticlockwise).
    width, depth : float
        Into the panel from the edge, and from the face, mm.
    face : {"outside", "inside"}
        The face it is cut from.
    label : str
        What it is for.
    run_out : float
        How far the cut reaches out over the edge, mm; the panel clips it.
    past_ends : float
        How far it runs on past both ends, mm; 0 for a stopped rebate.
    """
    require_above_zero(width=width, length=math.dist(start, end))
    along = (np.array(end) - start) / math.dist(start, end)
    left = np.array((-along[1], along[0]))
    first, last = start - past_ends * along, end + past_ends * along
    corners = (first - run_out * left, last - run_out * left, last + width * left,
               first + width * left)
    return pocket(Polygon(corners), depth, face, label, mate=mate, nominal=nominal)

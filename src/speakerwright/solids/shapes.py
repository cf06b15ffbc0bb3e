"""Flat shapes whose polygons have exactly the area of the round shapes that they stand for.

A polygon drawn through a circle's points is too small (0.07 % with 96 corners). Here the corners
stand a little outside, so that areas, and the volumes built on them, are those of the true circle.
Exact radii belong to drawings and tool paths; these facets do not.
"""

from __future__ import annotations

import math
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

FloatArray: TypeAlias = NDArray[np.float64]
SEGMENTS = 96  # a multiple of 8, so that circles turned by 45 degrees still match corner by corner
SMALL_SEGMENTS = 24  # of bolt holes and the like: their area is as exact, and solids build faster
SMALL = 30.0  # mm; smaller circles take SMALL_SEGMENTS

__all__ = ["SEGMENTS", "FloatArray", "MultiPolygon", "Polygon", "circle", "equal_area_factor",
           "rectangle", "ring", "rounded_rectangle", "segments_for", "slot"]


def require_above_zero(**values: float) -> None:
    """Raise ValueError, naming the argument, unless every value is finite and above zero."""
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0.0):
            raise ValueError(f"{name.replace('_', ' ')} must be above zero, not {value:g}")


def segments_for(diameter: float) -> int:
    """Corners for a circle of a diameter in mm."""
    return SEGMENTS if diameter >= SMALL else SMALL_SEGMENTS


def equal_area_factor(segments: int) -> float:
    """Corner radius over circle radius for a regular polygon of the circle's area.

    k = sqrt(2 pi / (n sin(2 pi / n))), from n/2 R² sin(2 pi / n) = pi r².
    """
    if segments < 3:
        raise ValueError("a circle needs 3 segments or more")
    angle = 2.0 * math.pi / segments
    return math.sqrt(angle / math.sin(angle))


def ring(diameter: float, segments: int = SEGMENTS) -> FloatArray:
    """Corners of the equal-area polygon of a circle about the origin.

    Parameters
    ----------
    diameter : float
        Diameter of the circle, mm, above zero.
    segments : int
        Number of corners, 3 or more.

    Returns
    -------
    ndarray, shape (segments, 2)
        Corners anticlockwise from the positive first axis, mm.
    """
    require_above_zero(diameter=diameter)
    angles = 2.0 * math.pi * np.arange(segments) / segments
    radius = 0.5 * diameter * equal_area_factor(segments)
    return radius * np.column_stack((np.cos(angles), np.sin(angles)))


def circle(cx: float, cy: float, diameter: float, segments: int | None = None) -> Polygon:
    """A circle as a regular polygon of the circle's exact area.

    Parameters
    ----------
    cx, cy : float
        Centre, mm.
    diameter : float
        Diameter, mm, above zero.
    segments : int or None
        Number of corners, 3 or more; by the diameter when left out (`segments_for`).

    Returns
    -------
    Polygon
        Area pi diameter²/4 to rounding.
    """
    require_above_zero(diameter=diameter)
    corners = segments_for(diameter) if segments is None else segments
    return Polygon(ring(diameter, corners) + np.array((cx, cy)))


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Polygon:
    """A rectangle between two opposite corners, anticlockwise, mm.

    Raises
    ------
    ValueError
        Unless x1 > x0 and y1 > y0.
    """
    require_above_zero(width=x1 - x0, height=y1 - y0)
    return Polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def _arc(cx: float, cy: float, radius: float, start: float, sweep: float,
         chords: int) -> list[tuple[float, float]]:
    """Points of an arc whose ends are on it and whose chords enclose the exact sector.

    The inner points stand at R outside: (chords - 2) R² s/2 + r R s = r² sweep / 2, with s the
    sine of one step.
    """
    step = sweep / chords
    sine = math.sin(step)
    a, b, c = 0.5 * (chords - 2) * sine, radius * sine, -0.5 * radius**2 * sweep
    outer = -c / b if a == 0.0 else (-b + math.sqrt(b * b - 4.0 * a * c)) / (2.0 * a)
    radii = [radius] + [outer] * (chords - 1) + [radius]
    return [
        (cx + r * math.cos(start + i * step), cy + r * math.sin(start + i * step))
        for i, r in enumerate(radii)
    ]


def rounded_rectangle(x0: float, y0: float, x1: float, y1: float, radius: float,
                      segments: int = SEGMENTS) -> Polygon:
    """A rectangle with round corners, of exact area; its straight sides are exact.

    Parameters
    ----------
    x0, y0, x1, y1 : float
        Two opposite corners, mm, x1 > x0 and y1 > y0.
    radius : float
        Corner radius, mm, above zero and at most half the shorter side.
    segments : int
        Chords of a whole circle, 12 or more; each corner has a quarter of them.

    Raises
    ------
    ValueError
        For a radius that does not fit.
    """
    require_above_zero(width=x1 - x0, height=y1 - y0, radius=radius)
    if 2.0 * radius > min(x1 - x0, y1 - y0):
        raise ValueError("the corner radius is more than half the shorter side")
    chords, quarter = max(segments // 4, 3), 0.5 * math.pi
    centres = ((x1 - radius, y0 + radius), (x1 - radius, y1 - radius),
               (x0 + radius, y1 - radius), (x0 + radius, y0 + radius))
    points = [
        point for i, (cx, cy) in enumerate(centres)
        for point in _arc(cx, cy, radius, (i - 1) * quarter, quarter, chords)
    ]
    return _clean(points)


def slot(x0: float, y0: float, x1: float, y1: float, width: float,
         segments: int = SEGMENTS) -> Polygon:
    """A slot with round ends, of exact area.

    Parameters
    ----------
    x0, y0, x1, y1 : float
        Centres of the two ends, mm; they must differ.
    width : float
        Width, mm, above zero.
    segments : int
        Chords of a whole circle, 6 or more; each end has half of them.
    """
    length = math.hypot(x1 - x0, y1 - y0)
    require_above_zero(length=length, width=width)
    along, chords = math.atan2(y1 - y0, x1 - x0), max(segments // 2, 3)
    points = _arc(x1, y1, 0.5 * width, along - 0.5 * math.pi, math.pi, chords)
    points += _arc(x0, y0, 0.5 * width, along + 0.5 * math.pi, math.pi, chords)
    return _clean(points)


def _clean(points: list[tuple[float, float]]) -> Polygon:
    """A polygon without the repeated points where arcs meet at their ends."""
    kept = [p for p, q in zip(points, points[1:] + points[:1], strict=True)
            if math.dist(p, q) > 1e-9]
    return Polygon(kept)

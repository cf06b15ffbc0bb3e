"""The edges of a panel that are not square: how far the saw tilts, and which face is longer.

Edges are named as they are seen from the outside face: left, right, upper, lower, and between.
Lengths in the panel's own mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from speakerwright.solids.features import Face
from speakerwright.solids.panels import Panel, offset_corners
from speakerwright.solids.shapes import FloatArray, Polygon

Pair = tuple[float, float]

ALONG = math.cos(math.radians(67.5))
"""An edge belongs to a side as long as its normal points that way by more than this."""


@dataclass(frozen=True)
class Bevel:
    """One tilted edge of a panel.

    Attributes
    ----------
    edge : int
        Its place in the outline's exterior.
    angle_deg : float
        How far it is tilted from square, above zero.
    longer : {"outside", "inside"}
        The face that reaches further out at this edge.
    out : tuple of float
        Its outward normal in the panel's plane, of length one.
    near, far : tuple of Pair
        Ends of the edge of the longer face, and of the other face.
    """

    edge: int
    angle_deg: float
    longer: Face
    out: Pair
    near: tuple[Pair, Pair]
    far: tuple[Pair, Pair]

    @property
    def shorter(self) -> Face:
        """The face that ends further in."""
        return "inside" if self.longer == "outside" else "outside"

    @property
    def side(self) -> str:
        """Which edge it is, seen from the outside."""
        return side_of(*self.out)

    @property
    def set_back(self) -> float:
        """How far the shorter face ends before the longer one, square to the edge, mm."""
        out = np.array(self.out)
        return float((np.array(self.near[0]) - self.far[0]) @ out)


def bevels(panel: Panel) -> tuple[Bevel, ...]:
    """The tilted edges of a panel, in the order of its outline; none of a square one."""
    if not panel.bevels:
        return ()
    faces = {face: np.asarray(outline_of(panel, face).exterior.coords)[:-1]
             for face in ("outside", "inside")}
    corners = faces["outside"]
    turn = 1.0 if panel.outline.exterior.is_ccw else -1.0
    found = []
    for k, bevel in enumerate(panel.bevels):
        if not bevel:
            continue
        after = (k + 1) % len(corners)
        along = (corners[after] - corners[k]) / math.dist(corners[after], corners[k])
        longer: Face = "inside" if bevel > 0.0 else "outside"
        other: Face = "outside" if bevel > 0.0 else "inside"
        found.append(Bevel(
            k, math.degrees(math.atan(abs(bevel))), longer,
            (turn * float(along[1]), -turn * float(along[0])),
            _ends(faces[longer], k, after), _ends(faces[other], k, after)))
    return tuple(found)


def outline_of(panel: Panel, face: Face) -> Polygon:
    """The outline of one face, without openings, local mm."""
    depth = 0.0 if face == "outside" else panel.thickness
    return Polygon(offset_corners(panel.outline, panel.bevels, depth))


def side_of(x: float, y: float) -> str:
    """Which side of a sheet an outward direction points to: ``left``, ``upper right``."""
    up = "upper" if y > ALONG else "lower" if y < -ALONG else ""
    side = "right" if x > ALONG else "left" if x < -ALONG else ""
    return f"{up} {side}".strip()


def degrees_text(angle_deg: float) -> str:
    """An angle as a drawing shows it: ``45°``, ``22.5°``."""
    text = f"{angle_deg:.1f}".removesuffix(".0")
    return f"{text}°"


def told(panel: Panel, *, mirrored: bool = False) -> tuple[str, ...]:
    """What is said of the tilted edges, alike ones together.

    ``bevel 22.5° on the left edge, longer outside``; `mirrored` names edges as seen from inside.
    """
    alike: dict[tuple[str, Face], list[str]] = {}
    for bevel in bevels(panel):
        x, y = bevel.out
        side = side_of(-x if mirrored else x, y)
        alike.setdefault((degrees_text(bevel.angle_deg), bevel.longer), []).append(side)
    found = []
    for (angle, longer), sides in alike.items():
        all_round = len(sides) == len(panel.bevels) > 2
        which = "on every edge" if all_round else (
            f"on the {_listed(list(dict.fromkeys(sides)))} edge{'s' if len(sides) > 1 else ''}")
        found.append(f"bevel {angle} {which}, longer {longer}")
    return tuple(found)


def _ends(corners: FloatArray, first: int, last: int) -> tuple[Pair, Pair]:
    (x0, y0), (x1, y1) = corners[first], corners[last]
    return (float(x0), float(y0)), (float(x1), float(y1))


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"

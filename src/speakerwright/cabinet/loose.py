"""A loose back's screws: a row along every batten or wall edge behind it. mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely

from speakerwright.cabinet.bolting import Bite, Fastener, inward, longest, point
from speakerwright.cabinet.box import mm
from speakerwright.cabinet.inner import BATTEN
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.solids.bodies import Body, screw
from speakerwright.solids.features import Feature, hole
from speakerwright.solids.meshes import Point
from speakerwright.solids.panels import Panel
from speakerwright.solids.shapes import FloatArray, Polygon

SCREW, CLEARANCE_HOLE = 4.0, 4.5  # mm: rule of thumb
HEAD = (8.0, 2.4)  # mm, a pan head: rule of thumb
FROM_CORNER = 40.0  # mm, clear of where two battens meet: rule of thumb
HOLDS = ("batten", "side", "shoulder", "top", "bottom", "divider")
LEFT = 1.0  # mm of a batten before a screw's point: rule of thumb
EDGE_ROOM = 80.0  # mm of a wall's depth that a screw into its edge may use


@dataclass(frozen=True, eq=False)
class BackScrews:
    """The screws of one back: its name, holes, bodies, where their heads stand, how they bite."""

    name: str
    on: str
    holes: tuple[Feature, ...]
    bodies: tuple[Body, ...]
    heads: tuple[Point, ...]
    out: Point
    fasteners: tuple[Fastener, ...]
    bite: Bite


def batten_side(cabinet: Cabinet) -> float:
    """Side (mm) of the battens behind a loose back; 0 where there are none."""
    back = cabinet.back
    if back.fixing != "loose" or (back.batten is None and cabinet.joints[2] != "inset"):
        return 0.0
    return mm(back.batten) if back.batten is not None else BATTEN


def loose_back(cabinet: Cabinet, panels: Sequence[Panel]) -> list[BackScrews]:
    """The screws of every loose back.

    Parameters
    ----------
    cabinet : Cabinet
    panels : sequence of Panel
        The walls and inner sheets.
    """
    made = []
    into = [panel.name for panel in panels if panel.role in HOLDS]
    for back in (panel for panel in panels if panel.role == "back"):
        spots = _spots(cabinet, back, panels)
        batten = batten_side(cabinet)
        held = back.thickness + mm(cabinet.back.gasket)
        room = batten or EDGE_ROOM
        length = longest(held, room, LEFT)
        of = f"screw %d of the {back.name}"
        out = back.placement.normal
        bodies = tuple(_screw(back, of % (k + 1), u, v, length, into)
                       for k, (u, v) in enumerate(spots))
        holes = tuple(hole(u, v, CLEARANCE_HOLE, f"screw of the {back.name}", mate=of % (k + 1))
                      for k, (u, v) in enumerate(spots))
        made.append(BackScrews(
            f"screws of the {back.name}", back.name, holes, bodies,
            tuple(point(back.placement, u, v) for u, v in spots), out,
            (Fastener(f"wood screw {SCREW:g} x {length:g} mm, pan head, pilot hole "
                      f"{0.7 * SCREW:g} mm", len(spots), back.name),
             Fastener("foam gasket, closed cells, m rounded up",
                      math.ceil(back.outline.length / 1e3), back.name)),
            Bite(f"screws of the {back.name}", length, back.thickness, length - held, room)))
    return made


def _screw(back: Panel, name: str, u: float, v: float, length: float, into: Sequence[str]) -> Body:
    made = screw(SCREW, length, HEAD, point(back.placement, u, v), inward(back.placement),
                 name=name, enters=(back.name, *into))
    return replace(made, kind="screw")


def _spots(cabinet: Cabinet, back: Panel, panels: Sequence[Panel]) -> list[tuple[float, float]]:
    """Places of the screws in the back's (u, v)."""
    batten, spacing = batten_side(cabinet), mm(cabinet.back.spacing)
    lies_over = cabinet.joints[2] != "inset"
    wall = back.thickness if lies_over else 0.0
    line = wall + 0.5 * batten if batten else 0.5 * back.thickness
    ring = shapely.buffer(back.outline, -line, join_style="mitre")
    if not isinstance(ring, Polygon) or ring.is_empty:
        return []
    corners = np.asarray(ring.exterior.coords)
    found: list[tuple[float, float]] = []
    for one, other in pairwise(corners):
        found += _row(one, other, spacing)
    for low, high in _levels(back, panels, batten):
        for v in dict.fromkeys((low, high)):
            across = shapely.intersection(ring, shapely.LineString([(-1e5, v), (1e5, v)]))
            if isinstance(across, shapely.LineString) and across.length > 2.0 * FROM_CORNER:
                one, other = np.asarray(across.coords)
                found += _row(one, other, spacing)
    return found


def _row(one: FloatArray, other: FloatArray, spacing: float) -> list[tuple[float, float]]:
    """Evenly along a line, clear of its ends; one in the middle of a short one."""
    length = float(np.linalg.norm(other - one))
    usable = length - 2.0 * FROM_CORNER
    shares = [0.5]
    if usable > FROM_CORNER:
        count = max(math.ceil(usable / spacing - 1e-9) + 1, 2)
        shares = [(FROM_CORNER + usable * k / (count - 1)) / length for k in range(count)]
    return [(float(one[0] + s * (other[0] - one[0])), float(one[1] + s * (other[1] - one[1])))
            for s in shares]


def _levels(back: Panel, panels: Sequence[Panel], batten: float) -> list[tuple[float, float]]:
    """Heights v on the back of the screws along every divider: its middle, or battens beside it."""
    _, v0, _, v1 = back.outline.bounds
    found = []
    for divider in (panel for panel in panels if panel.role == "divider"):
        top = divider.placement.origin[2]
        steep = float(back.placement.v[2])
        beside = 0.5 * batten
        low, high = ((z - back.placement.origin[2]) / steep for z in
                     ((top - divider.thickness - beside, top + beside) if batten
                      else (top - 0.5 * divider.thickness,) * 2))
        if v0 + FROM_CORNER < low and high < v1 - FROM_CORNER:
            found.append((low, high))
    return found

"""Can a part leave a cabinet: swept along straight ways, through an opening, past all else.

A swept volume here is never smaller than the real one, so that a way found is a way. Where none is
found a cleverer hand may still find one: `Stuck` says what was in the way. World mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeAlias

import numpy as np
import shapely

from speakerwright.solids.assembly import Part
from speakerwright.solids.bodies import Body
from speakerwright.solids.contacts import only_touches
from speakerwright.solids.meshes import Box, IntArray, Manifold, Point, prism, triangles
from speakerwright.solids.panels import Panel, Placement
from speakerwright.solids.shapes import FloatArray, Polygon

Surface: TypeAlias = "tuple[FloatArray, IntArray]"

SKIN = 1e-3  # mm off every level at which a sweep's outline may jump
LEAST = 1e-2  # mm³ of overlap that counts as touching
THIN = 1e-4  # mm; an overlap thinner than this is touching too
MOST_LEVELS = 16
ROD = 0.05  # mm, half width of what stands for a tool's axis
PAST = 20.0  # mm that a part is moved on when it is out


@dataclass(frozen=True)
class Way:
    """A way out: through what, and what is left all round at the narrowest, mm."""

    through: str
    spare: float


@dataclass(frozen=True)
class Stuck:
    """No way found: through what, by how much the hole is too small (mm), what is in the way."""

    through: str
    lacks: float = 0.0
    blocked_by: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Exit:
    """An opening to leave by.

    `frame` is its panel's placement (the normal leads out), `opening` its clear shape in the
    frame's (u, v), `thickness` the panel's, `without` names parts that are taken out before.
    """

    name: str
    frame: Placement
    opening: Polygon
    thickness: float
    without: frozenset[str] = field(default_factory=frozenset)


def swept(solid: Manifold, direction: Point, length: float) -> tuple[Manifold, ...]:
    """Convex pieces that hold all that a solid passes while it moves straight.

    At every height along the way the hull of all that lies below it passes; between the levels of
    the solid's corners that outline changes along straight lines. Exact for parts whose sections
    are convex.

    Parameters
    ----------
    solid : Manifold
        The part at its start.
    direction : tuple of float
        Its way, of any length but zero.
    length : float
        How far, mm.
    """
    axes = axes_along(direction)
    points, faces = triangles(solid)
    local = points @ axes
    levels = np.unique(np.round(local[:, 2], 4))
    coarse = len(levels) > MOST_LEVELS
    if coarse:
        levels = levels[np.linspace(0, len(levels) - 1, MOST_LEVELS).astype(int)]
    pieces = []
    for low, high in pairwise(levels):
        if high - low <= 4.0 * SKIN:
            continue
        over = _below(local, faces, high - SKIN)
        under = over if coarse else _below(local, faces, low + SKIN)
        pieces.append(_piece(under, low + SKIN, over, high - SKIN, axes))
    top = float(local[:, 2].max())
    whole = flat_hull(local[:, :2])
    pieces.append(_piece(whole, top, whole, top + length, axes))
    return tuple(piece for piece in pieces if not piece.is_empty())


def in_the_way(pieces: Iterable[Manifold], parts: Sequence[Part]) -> tuple[str, ...]:
    """Names of the parts that any piece of a swept volume cuts into; touching does not count."""
    found: dict[str, None] = {}
    boxes = [_box(part) for part in parts]
    for piece in pieces:
        box = piece.bounding_box()
        surface: Surface | None = None
        for part, other in zip(parts, boxes, strict=True):
            if part.name in found or any(
                    box[i] >= other[i + 3] or other[i] >= box[i + 3] for i in range(3)):
                continue
            if isinstance(part, Panel):
                surface = surface if surface is not None else triangles(piece)
                if only_touches(part, *surface):
                    continue
            common = piece ^ (part.near(box) if isinstance(part, Panel) else part.room)
            volume = float(common.volume())
            if volume > LEAST and 2.0 * volume > THIN * common.surface_area():
                found[part.name] = None
    return tuple(found)


def way_out(moved: Sequence[Body], leave: Exit, others: Sequence[Part],
            inside: Sequence[Part] = ()) -> Way | Stuck:
    """Whether bodies, moved together as one, come out of an opening straight along its normal.

    Parameters
    ----------
    moved : sequence of Body
        What is taken out.
    leave : Exit
        The opening.
    others : sequence of Panel or Body
        All that stays, the opening's own panel among it.
    inside : sequence of Panel or Body
        What stays and may be met only behind the panel: the inserts that held the part down.

    Returns
    -------
    Way or Stuck
        `Way.spare` is what is left between the opening's edge and what passes it from behind.
    """
    spare = min((_spare(body.room, leave) for body in moved), default=math.inf)
    if spare < -1e-3:
        return Stuck(leave.name, lacks=-spare)
    kept = [part for part in others if part.name not in leave.without]
    found: dict[str, None] = {}
    for body in moved:
        found |= dict.fromkeys(_blocking(body.room, leave, kept, inside))
    return Stuck(leave.name, blocked_by=tuple(found)) if found else Way(leave.name, max(spare, 0.0))


def _blocking(solid: Manifold, leave: Exit, others: Sequence[Part], inside: Sequence[Part]
              ) -> tuple[str, ...]:
    normal = leave.frame.normal
    length = _extent(solid, normal) + PAST
    seen = in_the_way(swept(solid, normal, length), others)
    behind = _behind(solid, leave)
    if inside and not behind.is_empty():
        seen += in_the_way(swept(behind, normal, length), inside)
    return seen


def _behind(solid: Manifold, leave: Exit) -> Manifold:
    """What of a solid lies behind the inside face of the opening's panel."""
    normal = np.array(leave.frame.normal)
    inner = float(normal @ np.array(leave.frame.origin)) - leave.thickness
    x, y, z = -normal
    return solid.trim_by_plane((float(x), float(y), float(z)), -inner)


def _spare(solid: Manifold, leave: Exit) -> float:
    """Least room between what lies behind the panel and the opening's edge; below 0: too wide."""
    behind = _behind(solid, leave)
    if behind.is_empty():
        return math.inf
    shape = flat_hull(leave.frame.to_local(triangles(behind)[0])[:, :2])
    return -stands_over(shape, leave.opening)


def stands_over(shape: Polygon, opening: Polygon) -> float:
    """How far a convex shape stands over an opening's edge; below zero: its distance to it."""
    points = shapely.points(np.asarray(shape.exterior.coords))
    outside = float(shapely.distance(points, opening).max())
    if outside > 0.0:
        return outside
    return -float(shapely.distance(shape.exterior, opening.exterior))


def tool_room(head: Point, out: Point, others: Sequence[Part], *, start: float, length: float,
              most: float) -> tuple[float, str]:
    """Clear width around a straight tool that stands on a bolt.

    Parameters
    ----------
    head, out : tuple of float
        Where the bolt's axis meets its head, and the direction away from it.
    others : sequence of Panel or Body
        All but what the bolt holds down.
    start, length : float
        From where on the tool counts, and how long it is from there, mm.
    most : float
        Width past which it does not matter, mm.

    Returns
    -------
    tuple of float and str
        The clear width, mm, at most `most`, and the part that bounds it; "" for none.
    """
    way = np.array(out) / np.linalg.norm(out)
    one, other = np.array(head) + start * way, np.array(head) + (start + length) * way
    reach = 0.5 * most * np.sqrt(np.maximum(1.0 - way**2, 0.0))  # of a disc across the way
    low, high = np.minimum(one, other) - reach, np.maximum(one, other) + reach
    widest, name = most, ""
    room: Manifold | None = None
    turn = np.column_stack((axes_along(as_point(way)), one))
    for part in others:
        box = _box(part)
        if any(box[i] >= high[i] or low[i] >= box[i + 3] for i in range(3)):
            continue
        if room is None:
            room = Manifold.cylinder(length, 0.5 * most, 0.5 * most, 64).transform(turn)
            rod = Manifold.cylinder(length, ROD, ROD, 4).transform(turn)
        met = room ^ (part.near(room.bounding_box()) if isinstance(part, Panel) else part.room)
        if met.volume() <= LEAST:
            continue
        gap = float(rod.min_gap(met, 0.5 * most))
        clear = 2.0 * (gap + ROD) if gap else 0.0
        if clear < widest:
            widest, name = clear, part.name
    return widest, name


def free_length(shape: Polygon, frame: Placement, depth: float, most: float,
                others: Sequence[Part]) -> tuple[float, str]:
    """How far a shape can go on into the cabinet from a depth below a frame's face, and to what.

    Parameters
    ----------
    shape : Polygon
        In the frame's (u, v), mm.
    frame : Placement
        Its normal points out.
    depth, most : float
        Where it starts, and as far as it matters, mm.
    others : sequence of Panel or Body
        What may be met.

    Returns
    -------
    tuple of float and str
        Clear length, mm, at most `most`, and what ends it; "" for nothing.
    """
    way = prism(shape, -depth - most, -depth - SKIN).transform(frame.matrix[:3])
    box, back = way.bounding_box(), _inverse(frame)
    free, name = most, ""
    for part in others:
        other = _box(part)
        if any(box[i] >= other[i + 3] or other[i] >= box[i + 3] for i in range(3)):
            continue
        common = way ^ (part.near(box) if isinstance(part, Panel) else part.room)
        if common.is_empty() or common.volume() <= LEAST:
            continue
        near = -depth - float(common.transform(back).bounding_box()[5])
        if near < free:
            free, name = max(near, 0.0), part.name
    return free, name


def _inverse(frame: Placement) -> FloatArray:
    turn = frame.matrix[:3, :3].T
    return np.column_stack((turn, -turn @ np.array(frame.origin)))


def _box(part: Part) -> Box:
    return part.bounding_box if isinstance(part, Panel) else part.room.bounding_box()


def axes_along(direction: Point) -> FloatArray:
    """Three square axes in world directions as columns, the last along a direction."""
    along = np.array(direction, dtype=float)
    along /= np.linalg.norm(along)
    across = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    across /= np.linalg.norm(across)
    return np.column_stack((np.cross(across, along), across, along))


def _below(local: FloatArray, faces: IntArray, level: float) -> FloatArray:
    """Corners of the hull of all that lies below a level of the third axis."""
    w = local[:, 2]
    starts, ends = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    over = w[starts] - level
    crosses = over * (w[ends] - level) < 0.0
    a, b = local[starts[crosses]], local[ends[crosses]]
    share = (over[crosses] / (a[:, 2] - b[:, 2]))[:, None]
    return np.concatenate((local[w <= level, :2], a[:, :2] + share * (b[:, :2] - a[:, :2])))


def _piece(under: FloatArray | Polygon, low: float, over: FloatArray | Polygon, high: float,
           axes: FloatArray) -> Manifold:
    rings = []
    for flat, level in ((under, low), (over, high)):
        points = np.asarray(flat.exterior.coords) if isinstance(flat, Polygon) else flat
        rings.append(np.column_stack((points, np.full(len(points), level))))
    return Manifold.hull_points(np.concatenate(rings) @ axes.T)


def flat_hull(flat: FloatArray) -> Polygon:
    """The convex hull of flat points (n, 2); empty for points on a line."""
    found = shapely.convex_hull(shapely.multipoints(flat))
    return found if isinstance(found, Polygon) else Polygon()


def _extent(solid: Manifold, direction: Point) -> float:
    reach = triangles(solid)[0] @ np.array(direction)
    return float(np.ptp(reach))


def as_point(values: FloatArray | Sequence[float]) -> Point:
    """Three numbers as a point."""
    return float(values[0]), float(values[1]), float(values[2])

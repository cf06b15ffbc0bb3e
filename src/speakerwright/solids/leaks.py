"""Where a chamber is open: into which air, through which gap, how wide.

Two pieces of air that are joined are taken apart by growing all panels step by step. The growth
at which the last way between them closes is half the width of the widest gap, and the neck that
closes last is where the gap is: a board too short, an opening without its plug.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from speakerwright.solids.bodies import Body
from speakerwright.solids.chambers import MARGIN, SEAL, Piece, outer_box, pieces
from speakerwright.solids.meshes import (
    Manifold,
    Point,
    bounds,
    centroid,
    contains,
    cut,
    grown,
    joined,
    prism,
    triangles,
)
from speakerwright.solids.panels import Panel
from speakerwright.solids.shapes import FloatArray

OUTSIDE = "outside"
_RAYS = 600
_FINE, _COARSE = 0.02, 0.02  # the gap is narrowed down to 0.02 mm and 2 %
_NEAR = 300.0  # mm in which the parts beside a gap are looked for


@dataclass(frozen=True)
class Leak:
    """A chamber that is not closed.

    Attributes
    ----------
    chamber : str
        Whose air it is.
    into : str
        "outside", or the other chamber.
    where : tuple of float or None
        A point in the widest gap, world mm; None when it was not found.
    width : float or None
        Width of that gap, mm, to about 2 %; None when it is as wide as the chamber around its
        seed: a panel is missing, or a large driver.
    near : tuple of str
        Names of the parts beside it, the nearest first.
    opening : str
        Label of the panel opening that it leads through, or "".
    """

    chamber: str
    into: str
    where: Point | None
    width: float | None
    near: tuple[str, ...]
    opening: str = ""


@dataclass(frozen=True, eq=False)
class _Case:
    """What a search for gaps needs again and again."""

    panels: tuple[Panel, ...]
    bodies: tuple[Body, ...]
    box: Manifold
    sealed_bodies: tuple[Manifold, ...]

    def air(self, by: float) -> tuple[Piece, ...]:
        """The pieces of air with all panels grown by `by`."""
        return pieces(self.box, [*(_grown_panel(p, by) for p in self.panels), *self.sealed_bodies])


def leaks(panels: Sequence[Panel], bodies: Sequence[Body], seeds: Mapping[str, Point], *,
          margin: float = MARGIN, seal: float = SEAL) -> tuple[Leak, ...]:
    """Which chambers are joined with the outside or with each other, and where.

    Of several gaps between the same two airs the widest is told; close it and ask again.

    Parameters
    ----------
    panels, bodies : sequences
        All that bounds the air; ports with the air in them.
    seeds : mapping
        A point known to be in each chamber, by the chamber's name, world mm; well inside, for the
        room around it bounds the search (`chambers.Air.seed` of a sound cabinet serves).
    margin : float
        Outside air around everything, mm.
    seal : float
        Width up to which a gap counts as closed, mm.

    Returns
    -------
    tuple of Leak
        Empty when every chamber is closed.

    Raises
    ------
    ValueError
        When a seed is inside a part.
    """
    solids = [*(p.solid() for p in panels), *(b.solid for b in bodies)]
    if not solids:
        return tuple(Leak(name, OUTSIDE, None, None, ()) for name in seeds)
    x0, y0, z0, x1, y1, z1 = bounds(solids)
    # panels grow by no more than half of what they stand around
    box = outer_box(solids, margin + 0.5 * max(x1 - x0, y1 - y0, z1 - z0))
    found = pieces(box, [grown(s, 0.5 * seal) for s in solids])
    case = _Case(tuple(panels), tuple(bodies), box,
                 tuple(grown(b.solid, 0.5 * seal) for b in bodies))
    held = {name: _holding(found, name, point) for name, point in seeds.items()}
    names, told = list(seeds), []
    for i, name in enumerate(names):
        if held[name].outside:
            told.append(_told(case, name, OUTSIDE, seeds[name], None, held[name], seal))
            continue
        told += [
            _told(case, name, other, seeds[name], seeds[other], held[name], seal)
            for other in names[i + 1:] if held[other] is held[name]
        ]
    return tuple(told)


def _holding(found: Sequence[Piece], name: str, point: Point) -> Piece:
    for piece in found:
        if piece.holds(point):
            return piece
    raise ValueError(f"the point given for {name} is inside a part or outside of everything")


def _grown_panel(panel: Panel, by: float) -> Manifold:
    """A panel with all its sides and openings grown by `by`; its pockets are filled."""
    flat = shapely.difference(panel.outline, panel.openings)
    wider = shapely.buffer(flat, by, join_style="mitre", mitre_limit=2.0)
    return prism(wider, -panel.thickness - by, by).transform(panel.placement.matrix[:3])


def _told(case: _Case, name: str, into: str, seed: Point, other: Point | None, air: Piece,
          seal: float) -> Leak:
    """The leak from a seed's air into the outside (`other` is None) or another seed's."""
    neck = _neck(case, seed, other, air, seal)
    if neck is None:
        where = _wide_opening(case, seed, other)
        if where is None:
            return Leak(name, into, None, None, ())
        near = [n for _, n in _gaps(case.panels, where, _NEAR)]
        return Leak(name, into, where, None, tuple(near[:2]), _opening(case.panels, where, 1.0))
    where, growth = neck
    beside = _gaps([*case.panels, *case.bodies], where, 1.25 * growth + 0.5)
    bodies = _gaps(case.bodies, where, 0.1 * growth + 0.1)
    width = growth if bodies else 2.0 * growth  # bodies stood still while panels grew
    opening = _opening(case.panels, where, 0.5 * width + 1.0)
    return Leak(name, into, where, width, tuple(n for _, n in beside[:2]), opening)


def _neck(case: _Case, seed: Point, other: Point | None, air: Piece,
          seal: float) -> tuple[Point, float] | None:
    """A point in the widest gap between two airs, and the growth of the panels that closes it.

    None when the gap is no narrower than the airs themselves.

    By bisection on the growth of the panels, from joined (`low`) to apart (`high`).
    """
    low, high = 0.5 * seal, 0.95 * min(_depth(case, p) for p in (seed, other) if p is not None)
    apart = _apart(case.air(high), seed, other)
    if apart is None:
        return None
    while high - low > _FINE + _COARSE * high:
        middle = 0.5 * (low + high)
        now = case.air(middle)
        parted = _apart(now, seed, other)
        if parted is None:
            low, air = middle, next(p for p in now if p.holds(seed))
        else:
            high, apart = middle, parted
    reach = 3.0 * (high - low)
    left = cut(air.solid, [grown(p.solid, reach) for p in apart]).decompose()
    left = [n for n in left if n.volume() > 0.0]
    if not left:
        return None
    return _point_in(max(left, key=lambda n: n.volume())), 0.5 * (low + high)


def _point_in(neck: Manifold) -> Point:
    """The neck's centre, or its own point nearest to there where the neck is a ring."""
    middle = centroid(neck)
    if contains(neck, middle):
        return middle
    points = triangles(neck)[0]
    x, y, z = points[int(np.argmin(np.linalg.norm(points - np.array(middle), axis=1)))]
    return float(x), float(y), float(z)


def _apart(found: Sequence[Piece], seed: Point, other: Point | None) -> tuple[Piece, Piece] | None:
    """The two airs where they are apart, None where they are one."""
    mine = next(p for p in found if p.holds(seed))
    theirs = next(p for p in found if (p.outside if other is None else p.holds(other)))
    return None if mine is theirs else (mine, theirs)


def _depth(case: _Case, point: Point) -> float:
    """Distance from a point to the nearest panel, mm."""
    return _gaps(case.panels, point, 1e4)[0][0]


def _gaps(parts: Sequence[Panel | Body], point: Point, within: float) -> list[tuple[float, str]]:
    """Distances from a point to the parts nearer than `within`, mm, with names; nearest first."""
    size = 1e-6
    speck = Manifold.cube((size, size, size), True).translate(point)
    solids = [p.solid() if isinstance(p, Panel) else p.solid for p in parts]
    gaps = [float(s.min_gap(speck, within)) for s in solids]
    return sorted((gap, p.name) for gap, p in zip(gaps, parts, strict=True) if gap < within)


def _opening(panels: Sequence[Panel], where: Point, reach: float) -> str:
    """Label of the panel opening that a point is in, or before or behind within `reach`."""
    for panel in panels:
        u, v, w = panel.placement.to_local([where])[0]
        if -panel.thickness - reach <= w <= reach:
            for feature in panel.features:
                if feature.kind == "through" and feature.shape.covers(shapely.Point(u, v)):
                    return feature.label
    return ""


def _wide_opening(case: _Case, seed: Point, other: Point | None) -> Point | None:
    """Where a wide opening is: half way to the other seed, or where rays from the seed get out.

    Rays that meet nothing are gathered by the side of the bounding box that they leave through;
    the side with most of them has the opening, and their mean point is told.
    """
    all_parts = joined([*(p.solid() for p in case.panels), *case.sealed_bodies])
    start = np.array(seed)
    if other is not None:
        free = not all_parts.ray_cast(seed, other)
        x, y, z = 0.5 * (start + other)
        return (float(x), float(y), float(z)) if free else None
    box = np.array(bounds([p.solid() for p in case.panels]))
    sides: dict[int, list[FloatArray]] = {}
    for ray in _directions(_RAYS):
        steps = np.where(ray > 0.0, box[3:] - start, box[:3] - start) / np.where(ray, ray, 1e-12)
        axis = int(np.argmin(steps))
        leaving = start + float(steps[axis]) * ray
        beyond = leaving + MARGIN * ray
        if steps[axis] > 0.0 and not all_parts.ray_cast(tuple(start), tuple(beyond)):
            sides.setdefault(2 * axis + int(ray[axis] > 0.0), []).append(leaving)
    if not sides:
        return None
    x, y, z = np.mean(max(sides.values(), key=len), axis=0)
    return float(x), float(y), float(z)


def _directions(count: int) -> FloatArray:
    """Unit vectors spread evenly over the sphere on a golden spiral, shape (count, 3)."""
    z = 1.0 - 2.0 * (np.arange(count) + 0.5) / count
    turn = math.pi * (3.0 - math.sqrt(5.0)) * np.arange(count)
    flat = np.sqrt(1.0 - z * z)
    return np.column_stack((flat * np.cos(turn), flat * np.sin(turn), z))

"""The air in a cabinet: what is left of a box around everything, in connected pieces.

Parts that only touch leave slivers of rounding between them that would join the air inside with
the air outside. Pieces are therefore told apart with sealed copies, each part grown a little; the
volume is then taken from the parts as they are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from speakerwright.solids.bodies import Body
from speakerwright.solids.meshes import (
    Box,
    Manifold,
    Point,
    bounds,
    contains,
    cut,
    grown,
    triangles,
    with_cavities,
)
from speakerwright.solids.panels import Panel

SEAL = 0.002  # mm by which sealed copies of touching parts overlap
MARGIN = 50.0  # mm of outside air around everything
LEAST = 1000.0  # mm³; smaller voids are no chambers
_LINES = (0.5, 0.3, 0.7, 0.15, 0.85)  # where lines cross a chamber in search of its roomy middle


@dataclass(frozen=True, eq=False)
class Air:
    """A chamber's air: its name, net volume in mm³, solid in world mm, and a point well inside.

    The volume is that between the parts themselves; the solid stands back from them by half the
    sealing width.
    """

    name: str
    volume_mm3: float
    solid: Manifold
    seed: Point


@dataclass(frozen=True, eq=False)
class Piece:
    """One connected piece of air between sealed parts; `outside` when it is that around all."""

    solid: Manifold
    outside: bool

    def holds(self, point: Point) -> bool:
        """Whether a point is in it."""
        x0, y0, z0, x1, y1, z1 = self._box
        x, y, z = point
        inside = x0 < x < x1 and y0 < y < y1 and z0 < z < z1
        return inside and contains(self.solid, point)

    @cached_property
    def _box(self) -> Box:
        return bounds([self.solid])


def outer_box(solids: Sequence[Manifold], margin: float = MARGIN) -> Manifold:
    """A box around solids with a margin on all sides, mm."""
    x0, y0, z0, x1, y1, z1 = bounds(solids)
    size = (x1 - x0 + 2 * margin, y1 - y0 + 2 * margin, z1 - z0 + 2 * margin)
    return Manifold.cube(size).translate((x0 - margin, y0 - margin, z0 - margin))


def pieces(box: Manifold, sealed: Sequence[Manifold]) -> tuple[Piece, ...]:
    """The connected pieces of a box less sealed solids, the largest first.

    `decompose` gives surfaces, not pieces: what floats in a piece comes as a surface of negative
    volume of its own, and is put back into the smallest piece around it here.
    """
    shells = cut(box, sealed).decompose()
    positive = sorted((s for s in shells if s.volume() > 0.0), key=lambda s: s.volume())
    holes: list[list[Manifold]] = [[] for _ in positive]
    for shell in (s for s in shells if s.volume() < 0.0):
        within = bounds([shell])
        corner = triangles(shell)[0][0]
        for i, around in enumerate(positive):
            b = bounds([around])
            fits = all(b[k] <= within[k] and within[k + 3] <= b[k + 3] for k in range(3))
            if fits and contains(around, corner):
                holes[i].append(shell)
                break
    whole = box.bounding_box()
    found = [
        Piece(with_cavities([shell, *inner]), shell.bounding_box() == whole)
        for shell, inner in zip(positive, holes, strict=True)
    ]
    return tuple(sorted(found, key=lambda p: -p.solid.volume()))


def chambers(panels: Sequence[Panel], bodies: Sequence[Body] = (), *, margin: float = MARGIN,
             seal: float = SEAL, least: float = LEAST,
             seeds: Mapping[str, Point] | None = None) -> tuple[Air, ...]:
    """The chambers of a cabinet: every piece of air that is not joined with the outside.

    Ports must be among the bodies with the air in them, or their chamber is open.

    Parameters
    ----------
    panels, bodies : sequences
        All that bounds the air or stands in it.
    margin : float
        Outside air around everything, mm.
    seal : float
        Width up to which a gap between parts counts as closed, mm. Raise it above the clearance
        of the joints when these are modelled; they are glued.
    least : float
        Smallest volume of a chamber, mm³.
    seeds : mapping or None
        Points known to be in chambers, by their names; others are named "chamber 1" and so on,
        the largest first.

    Returns
    -------
    tuple of Air
        The largest first.
    """
    solids = [*(p.solid() for p in panels), *(b.solid for b in bodies)]
    if not solids:
        return ()
    found = pieces(outer_box(solids, margin), [grown(s, 0.5 * seal) for s in solids])
    names, airs = dict(seeds or {}), list[Air]()
    for piece in found:
        if piece.outside or piece.solid.volume() < least:
            continue
        name = next((n for n, p in names.items() if piece.holds(p)), f"chamber {len(airs) + 1}")
        seed = names.get(name) or middle_of(piece.solid)
        # the sealing took half its width off the air at every wall: give it back
        volume = piece.solid.volume() + 0.5 * seal * piece.solid.surface_area()
        airs.append(Air(name, float(volume), piece.solid, seed))
    return tuple(airs)


def middle_of(air: Manifold) -> Point:
    """A point well inside a solid: the one with most room along all three axes, of a few tried.

    Raises
    ------
    ValueError
        When no line across the solid meets it.
    """
    best: tuple[float, Point] | None = None
    low, high = air.bounding_box()[:3], air.bounding_box()[3:]
    for axis in range(3):
        others = [k for k in range(3) if k != axis]
        for first in _LINES:
            for second in _LINES:
                through = [0.0, 0.0, 0.0]
                for k, share in zip(others, (first, second), strict=True):
                    through[k] = low[k] + share * (high[k] - low[k])
                for start, end in _spans(air, through, axis):
                    through[axis] = 0.5 * (start + end)
                    point = (through[0], through[1], through[2])
                    space = _space(air, point)
                    if best is None or space > best[0]:
                        best = (space, point)
    if best is None:
        raise ValueError("no line across the air meets it")
    return best[1]


def _spans(air: Manifold, through: Sequence[float], axis: int) -> list[tuple[float, float]]:
    """Where a line along an axis is in the air: starts and ends."""
    box = air.bounding_box()
    ends = [list(through), list(through)]
    ends[0][axis], ends[1][axis] = box[axis] - 1.0, box[axis + 3] + 1.0
    hits = [h.position[axis] for h in air.ray_cast(tuple(ends[0]), tuple(ends[1]))]
    if len(hits) % 2:  # the line runs along a face or an edge
        return []
    return list(zip(hits[::2], hits[1::2], strict=True))


def _space(air: Manifold, point: Point) -> float:
    """Distance to the nearest wall along the axes, mm; 0 when the point is not in the air."""
    space = float("inf")
    for axis in range(3):
        around = [(a, b) for a, b in _spans(air, point, axis) if a < point[axis] < b]
        if not around:
            return 0.0
        space = min(space, point[axis] - around[0][0], around[0][1] - point[axis])
    return space

"""Can a box come out of an opening: moved straight, turned where there is room, moved out.

What is asked of the room is never less than a hand needs, so that a way found is a way. World mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import permutations

import numpy as np

from speakerwright.solids.assembly import Part
from speakerwright.solids.meshes import Manifold, Point
from speakerwright.solids.panels import Placement
from speakerwright.solids.passing import (
    PAST,
    Exit,
    Stuck,
    Way,
    as_point,
    axes_along,
    flat_hull,
    in_the_way,
    stands_over,
)
from speakerwright.solids.shapes import FloatArray

ANGLES_DEG = (0.0, 45.0, 30.0, 60.0, 15.0, 75.0)  # a board's turns about its way out


def board_out(corners: FloatArray, exits: Sequence[Exit], others: Sequence[Part]) -> Way | Stuck:
    """Whether a box comes out of one of some openings, turned where that is needed.

    It moves along the axes of the opening to a place in line with it, is turned there where that
    is free all round, and goes straight out. Only the narrowest way through the opening that its
    three faces allow is asked of the opening.

    Parameters
    ----------
    corners : ndarray, shape (8, 3)
        Of the box, world mm, in the order of `box_corners`.
    exits : sequence of Exit
        Openings, the likeliest first.
    others : sequence of Panel or Body
        All that stays.

    Returns
    -------
    Way or Stuck
        Of several openings too small, the one that lacks least; else what was in the way.
    """
    best: Stuck | None = None
    for leave in exits:
        kept = [part for part in others if part.name not in leave.without]
        found = _board_by(corners, leave, kept)
        if isinstance(found, Way):
            return found
        if best is None or _worse(best) > _worse(found):
            best = found
    return best if best is not None else Stuck("", math.inf)


def _worse(stuck: Stuck) -> tuple[float, int]:
    return stuck.lacks, len(stuck.blocked_by)


def box_corners(centre: Point, axes: FloatArray, half: Point) -> FloatArray:
    """Corners (8, 3) of a box by its middle, its axes as columns, and its half sizes, mm."""
    signs = np.array([(i, j, k) for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)], dtype=float)
    return np.asarray(np.array(centre) + (signs * np.array(half)) @ np.asarray(axes).T)


def _board_by(corners: FloatArray, leave: Exit, others: Sequence[Part]) -> Way | Stuck:
    """The box through one opening."""
    axes, half = _own_axes(corners)
    turned = list(_turns(axes, half, leave))
    fits = [one for one in turned if one[0] >= 0.0]
    if not fits:
        return Stuck(leave.name, lacks=-max(spare for spare, *_ in turned))
    blocked: dict[str, None] = {}
    for target in _stops(corners, leave, half):
        seen = _reached(corners, target, leave.frame, others)
        if seen:
            blocked |= dict.fromkeys(seen)
            continue
        for spare, turn, room in fits:
            there = np.array(target)
            seen = _turning(there, room, others)
            if not seen:
                out = box_corners((0.0, 0.0, 0.0), turn, half) + there
                far = np.array(leave.frame.normal) * (_depth(there, leave.frame)
                                                      + 2.0 * float(np.linalg.norm(half)) + PAST)
                seen = in_the_way([_hull3(out, out + far)], others)
            if not seen:
                return Way(leave.name, spare)
            blocked |= dict.fromkeys(seen)
    return Stuck(leave.name, blocked_by=tuple(blocked))


def _own_axes(corners: FloatArray) -> tuple[FloatArray, Point]:
    edges = np.stack((corners[4] - corners[0], corners[2] - corners[0], corners[1] - corners[0]))
    sizes = np.linalg.norm(edges, axis=1)
    a, b, c = 0.5 * sizes
    return np.asarray((edges / sizes[:, None]).T), (float(a), float(b), float(c))


def _turns(axes: FloatArray, half: Point, leave: Exit
           ) -> Iterator[tuple[float, FloatArray, tuple[FloatArray, float, float] | None]]:
    """Attitudes for the way out: what they leave spare, axes, and the room that turning takes.

    The room is an axis, its half length and a radius; None where nothing is turned.
    """
    middle = leave.opening.centroid
    centre = np.array((middle.x, middle.y))
    ball = (axes[:, 0], 0.0, float(np.linalg.norm(half)))

    def spare(turn: FloatArray) -> float:
        flat = leave.frame.to_local(box_corners(leave.frame.origin, turn, half))[:, :2]
        return -stands_over(flat_hull(flat + centre), leave.opening)

    yield spare(axes), axes, None
    frame = leave.frame.matrix[:3, :3]
    for along in (2, 1, 0):  # this of its own axes leads out
        first, second = (k for k in (0, 1, 2) if k != along)
        for angle in ANGLES_DEG + tuple(90.0 + a for a in ANGLES_DEG):
            c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            turn = np.empty((3, 3))
            turn[:, along] = frame[:, 2]
            turn[:, first] = c * frame[:, 0] + s * frame[:, 1]
            turn[:, second] = -s * frame[:, 0] + c * frame[:, 1]
            room = ball
            for k in (0, 1, 2):
                if abs(float(turn[:, k] @ axes[:, k])) > 1.0 - 1e-9:
                    across = math.hypot(*(half[j] for j in (0, 1, 2) if j != k))
                    room = (axes[:, k], half[k], across)
            yield spare(turn), turn, room


def _stops(corners: FloatArray, leave: Exit, half: Point) -> Iterator[Point]:
    """Places to go out from: where it is, then in line with the opening, near first."""
    here = corners.mean(axis=0)
    local = leave.frame.to_local([here])[0]
    yield as_point(here)
    middle = leave.opening.centroid
    least, most = leave.thickness + min(half), leave.thickness + float(np.linalg.norm(half))
    depths = sorted({round(max(-float(local[2]), least), 3),
                     *np.linspace(least, most + 60.0, 6).round(3).tolist()})
    for depth in depths:
        yield as_point(leave.frame.to_world([(middle.x, middle.y, -depth)])[0])


def _reached(corners: FloatArray, target: Point, frame: Placement, others: Sequence[Part]
             ) -> tuple[str, ...]:
    """What is in the way to a place along the frame's axes, in the best of their orders."""
    move = frame.to_local([target])[0] - frame.to_local([corners.mean(axis=0)])[0]
    axes = frame.matrix[:3, :3].T
    steps = [k for k in range(3) if abs(move[k]) > 1e-9]
    best: tuple[str, ...] | None = None
    for order in permutations(steps):
        pieces, here = [], corners
        for k in order:
            pieces.append(_hull3(here, here + move[k] * axes[k]))
            here = here + move[k] * axes[k]
        seen = in_the_way(pieces, others)
        if not seen:
            return ()
        if best is None or len(seen) < len(best):
            best = seen
    return best or ()


def _turning(at: FloatArray, room: tuple[FloatArray, float, float] | None,
             others: Sequence[Part]) -> tuple[str, ...]:
    """What is in the way of turning at a place: in a cylinder about one axis, or a ball."""
    if room is None:
        return ()
    axis, length, radius = room
    grown = radius / math.cos(math.pi / 32)  # facets outside the true circle
    if not length:
        solid = Manifold.sphere(radius * 1.02, 32).translate(as_point(at))
    else:
        turn = np.column_stack((axes_along(as_point(axis)), at - length * axis))
        solid = Manifold.cylinder(2.0 * length, grown, grown, 32).transform(turn)
    return in_the_way([solid], others)


def _hull3(one: FloatArray, other: FloatArray) -> Manifold:
    return Manifold.hull_points(np.concatenate((one, other)))


def _depth(point: FloatArray, frame: Placement) -> float:
    return -float(frame.to_local(point[None, :])[0][2])

"""Holes that belong together: bolt circles and rows of equal pitch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NEAR_MM = 0.15
"""Holes off their even place by more than this are no pattern."""


@dataclass(frozen=True)
class BoltCircle:
    """Holes evenly spaced round a centre; `start_deg` is the first one's angle from the right."""

    members: tuple[int, ...]
    centre: tuple[float, float]
    diameter: float
    start_deg: float


@dataclass(frozen=True)
class Row:
    """Holes in a straight row with one pitch."""

    members: tuple[int, ...]
    pitch: float


def bolt_circles(
    points: Floats, centres: Sequence[tuple[float, float]], *, least: int = 3
) -> tuple[list[BoltCircle], list[int]]:
    """Bolt circles among equal holes, and the holes that are in none.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Centres of holes of one kind, mm.
    centres : sequence of (x, y)
        Where bolt circles may be centred; the middle of all holes is tried as well.
    least : int
        Fewest holes round a given centre; round a mere middle it takes four.

    Returns
    -------
    circles : list of BoltCircle
        The ones with most holes first found.
    rest : list of int
    """
    left = list(range(len(points)))
    found: list[BoltCircle] = []
    while len(left) >= least:
        middle = points[left].mean(axis=0)
        tried = [(centre, least) for centre in centres]
        tried.append(((float(middle[0]), float(middle[1])), max(4, least)))
        best: BoltCircle | None = None
        for centre, enough in tried:
            for members in _rings(points, left, centre):
                if len(members) >= enough and (best is None or len(members) > len(best.members)):
                    best = _circle(points, members, centre) or best
        if best is None:
            break
        found.append(best)
        left = [index for index in left if index not in best.members]
    return found, left


def _rings(
    points: Floats, indices: Sequence[int], centre: tuple[float, float]
) -> list[list[int]]:
    """Holes by their distance from a centre."""
    away = {index: math.dist(points[index], centre) for index in indices}
    rings: list[list[int]] = []
    for index in sorted(indices, key=lambda index: away[index]):
        if rings and away[index] - away[rings[-1][0]] < NEAR_MM:
            rings[-1].append(index)
        else:
            rings.append([index])
    return rings


def _circle(
    points: Floats, members: Sequence[int], centre: tuple[float, float]
) -> BoltCircle | None:
    """The bolt circle of some holes round a centre, if they are evenly spaced."""
    offsets = points[list(members)] - np.array(centre)
    radius = float(np.hypot(*offsets.T).mean())
    if radius < 1.0:
        return None
    angles = np.degrees(np.arctan2(offsets[:, 1], offsets[:, 0])) % 360.0
    angles[angles > 360.0 - math.degrees(NEAR_MM / radius)] -= 360.0
    order = np.argsort(angles)
    steps = np.diff(np.append(angles[order], angles[order[0]] + 360.0))
    if np.abs(np.radians(steps - 360.0 / len(members))).max() * radius > NEAR_MM:
        return None
    ordered = tuple(int(members[index]) for index in order)
    return BoltCircle(ordered, centre, 2.0 * radius, abs(float(angles[order[0]])))


def rows(points: Floats, indices: Sequence[int], *, least: int = 4) -> tuple[list[Row], list[int]]:
    """Level and upright rows of equal pitch among some holes, and the holes in none."""
    left = list(indices)
    found: list[Row] = []
    for across in (1, 0):
        lines: dict[float, list[int]] = {}
        for index in left:
            lines.setdefault(round(float(points[index, across]), 1), []).append(index)
        for _, line in sorted(lines.items()):
            order = sorted(line, key=lambda index: points[index, 1 - across])
            places = points[order, 1 - across]
            if len(order) < least:
                continue
            pitch = float(places[-1] - places[0]) / (len(order) - 1)
            even = places[0] + pitch * np.arange(len(order))
            if pitch > 0.5 and np.abs(places - even).max() <= NEAR_MM:
                found.append(Row(tuple(order), pitch))
                left = [index for index in left if index not in order]
    return found, left

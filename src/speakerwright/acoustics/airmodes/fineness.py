"""Where a chamber's grid must pass and where it must be fine."""

from __future__ import annotations

from dataclasses import replace

from speakerwright.acoustics.airmodes.chambers import WALLS, Chamber, Plate, Rectangle
from speakerwright.acoustics.airmodes.lines import CLOSEST, Fine

ACROSS = 4  # cells across a window or an opening, unless told; rule of thumb
OPENINGS, LININGS = 1.5, 0.75  # cells across these over those across a window; rule of thumb
ROUND_OPENINGS = 0.5  # growth of the spacing with distance; rule of thumb
EDGE = 8.0  # at a window's edge, where the flow is sharp, finer by this; rule of thumb
FINEST = 16.0  # a small window makes the spacing no finer than by this; rule of thumb


def _others(axis: int) -> tuple[int, int]:
    first, second = (k for k in range(3) if k != axis)
    return first, second


def faces(chamber: Chamber, axis: int) -> tuple[float, ...]:
    """Places along an axis of all faces of plates and blocks and edges of windows, m.

    Parameters
    ----------
    chamber : Chamber
        The chamber.
    axis : int
        0 to 2.

    Returns
    -------
    tuple of float
        Unsorted.
    """
    found: list[float] = []
    for block in chamber.blocks:
        found += [block.lower[axis], block.upper[axis]]
    for plate in chamber.plates:
        across = "xyz".index(plate.across)
        if across == axis:
            found += [plate.start, plate.start + plate.thickness]
            continue
        place = _others(across).index(axis)
        for cut in _cuts(plate):
            found += [cut.lower[place], cut.upper[place]]
    return tuple(found)


def _cuts(plate: Plate) -> tuple[Rectangle, ...]:
    return plate.windows if plate.span is None else (plate.span, *plate.windows)


def lining_faces(chamber: Chamber, axis: int) -> tuple[float, ...]:
    """Places along an axis where linings end that lie on its two walls, these taken as flat; m.

    Parameters
    ----------
    chamber : Chamber
        The chamber.
    axis : int
        0 to 2.

    Returns
    -------
    tuple of float
        Unsorted.
    """
    found = []
    for lining in chamber.linings:
        across, end = WALLS[lining.wall]
        if across == axis:
            low, high = chamber.lower[axis], chamber.upper[axis]
            found.append(low + lining.thickness if end == 0 else high - lining.thickness)
    return tuple(found)


def fine_places(chamber: Chamber, axis: int, spacing: float, across: int) -> tuple[Fine, ...]:
    """Where along an axis the grid is finer than its spacing: windows, openings, linings.

    Parameters
    ----------
    chamber : Chamber
        The chamber.
    axis : int
        0 to 2.
    spacing : float
        Of the grid in m.
    across : int
        Cells across the lesser side of a window; openings and linings get `OPENINGS` and
        `LININGS` times as many. 0 for none finer.

    Returns
    -------
    tuple of Fine
        Those that matter.
    """
    if across == 0:
        return ()
    solid = (*faces(chamber, axis), chamber.lower[axis], chamber.upper[axis])
    found: list[Fine] = []
    for plate in chamber.plates:
        normal = "xyz".index(plate.across)
        for window in plate.windows:
            size = min(window.sides) / across
            if axis == normal:
                edges = (plate.start, plate.start + plate.thickness)
            else:
                place = _others(normal).index(axis)
                edges = (window.lower[place], window.upper[place])
            found += [Fine(*edges, size), *(Fine(edge, edge, size / EDGE) for edge in edges)]
    for opening in chamber.openings:
        for patch in opening.patches:
            size = 2.0 * min(r for r in patch.reach if r > 0.0) / (OPENINGS * across)
            centre = patch.centre[axis]
            on_face = any(abs(centre - place) < CLOSEST * 10 for place in solid)
            reach = 0.0 if on_face else patch.reach[axis]
            found.append(Fine(centre - reach, centre + reach, size, ROUND_OPENINGS))
    for lining in chamber.linings:
        if WALLS[lining.wall][0] == axis:
            wall = (chamber.lower, chamber.upper)[WALLS[lining.wall][1]][axis]
            found.append(Fine(wall - lining.thickness, wall + lining.thickness,
                              max(lining.thickness / (LININGS * across), 0.5 * spacing)))
    least = spacing / FINEST
    return tuple(replace(each, spacing=max(each.spacing, least))
                 for each in found if each.spacing < spacing)

"""A chamber as hexahedra: planes of nodes through every face, warped to an outline that tapers."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.airmodes.chambers import AXES, WALLS, Chamber
from speakerwright.acoustics.airmodes.dissection import dissected
from speakerwright.acoustics.airmodes.fineness import ACROSS, faces, fine_places, lining_faces
from speakerwright.acoustics.airmodes.lines import CLOSEST, grid_lines, merged
from speakerwright.acoustics.airmodes.sections import Rows, rows
from speakerwright.acoustics.limits import require_above_zero

IntArray = npt.NDArray[np.intp]

SPACING = 0.03  # m: rectangular modes within 0.01 % to 800 Hz and 0.1 % to 1.5 kHz
SOLID = -1


@dataclass(frozen=True, eq=False)
class Grid:
    """Nodes and cells of a chamber's air.

    Attributes
    ----------
    chamber : Chamber
        The chamber.
    spacing : float
        Largest distance between planes of nodes, m; `across` as in `made`.
    nodes : ndarray
        Shape (n, 3), m, numbered for the solver.
    cells : ndarray of int
        Nodes of each cell, shape (m, 8); corner 4 a + 2 b + c lies a, b, c steps along the cell.
    region : ndarray of int
        0 for air, 1 and up for the chamber's linings, shape (m,).
    """

    chamber: Chamber
    spacing: float
    across: int
    nodes: FloatArray
    cells: IntArray
    region: IntArray

    def __post_init__(self) -> None:
        for each in (self.nodes, self.cells, self.region):
            each.setflags(write=False)


@dataclass(frozen=True, eq=False)
class _Frame:
    """Nodes in the order of the frame (warped, upright, along), before solids are taken out."""

    axes: tuple[int, int, int]
    warped: FloatArray  # (i, j): place along the warped axis
    upright: FloatArray  # (j,)
    along: FloatArray  # (k,)
    section: Rows

    @property
    def shape(self) -> tuple[int, int, int]:
        return (*self.warped.shape, self.along.size)

    def places(self) -> FloatArray:
        """Of all nodes in x, y, z, shape (i, j, k, 3)."""
        found = np.empty((*self.shape, 3))
        found[..., self.axes[0]] = self.warped[:, :, None]
        found[..., self.axes[1]] = self.upright[None, :, None]
        found[..., self.axes[2]] = self.along
        return found


def made(chamber: Chamber, spacing: float = SPACING, across: int = ACROSS) -> Grid:
    """The grid of a chamber.

    Parameters
    ----------
    chamber : Chamber
        The chamber.
    spacing : float
        Largest distance between planes of nodes in m, above zero; a sixth of a wavelength or less
        at the highest frequency that is asked for.
    across : int
        Cells at least across a window, and in their ratio across openings and linings; 0 leaves
        the spacing as it is.

    Returns
    -------
    Grid
        Only cells of air and lining.

    Raises
    ------
    ValueError
        For an outline with a ledge or a notch, a face of a plate or block where the outline
        tapers, or a chamber that a plate parts in two.
    """
    require_above_zero(spacing=spacing)
    frame = _framed(chamber, spacing, across)
    places = frame.places()
    corners = _cell_nodes(frame)
    middles = places.reshape(-1, 3)[corners].mean(axis=1)
    solid = _solid(chamber, middles)
    if np.all(solid):
        raise ValueError("plates and blocks leave no air in the chamber")
    region = _lined(chamber, frame, middles.reshape(*(n - 1 for n in frame.shape), 3)).ravel()
    cells, region = corners[~solid], region[~solid]
    used, local = np.unique(cells, return_inverse=True)
    _require_one_piece(local.reshape(cells.shape), used.size)
    steps = np.stack(np.unravel_index(used, frame.shape), axis=1)
    order = dissected(steps)
    rank = np.empty_like(order)
    rank[order] = np.arange(order.size)
    nodes = places.reshape(-1, 3)[used[order]]
    return Grid(chamber, spacing, across, nodes, rank[local.reshape(cells.shape)], region)


def _framed(chamber: Chamber, spacing: float, across: int) -> _Frame:
    """The frame by the outline's first sense that works: the one that tapers least."""
    senses = [(rows(chamber.outline, up), up) for up in (1, 0)]
    found = [(section, up) for section, up in senses if section is not None]
    if not found:
        raise ValueError("the outline has a ledge or a notch: give that as a block")
    found.sort(key=lambda each: -round(each[0].narrowest, 9))
    trouble: ValueError | None = None
    for section, up in found:
        try:
            return _frame(chamber, section, up, spacing, across)
        except ValueError as error:
            trouble = trouble or error
    assert trouble is not None
    raise trouble


def _frame(chamber: Chamber, section: Rows, up: int, spacing: float, across: int) -> _Frame:
    axes = (chamber.plane[1 - up], chamber.plane[up], AXES.index(chamber.along))

    def lines(axis: int, extra: tuple[float, ...] = ()) -> FloatArray:
        low, high = chamber.lower[axis], chamber.upper[axis]
        places = (*faces(chamber, axis), *lining_faces(chamber, axis), *extra)
        fine = fine_places(chamber, axis, spacing, across)
        return grid_lines((low, *merged(places, low, high), high), spacing, fine)

    upright = lines(axes[1], tuple(section.at))
    warped = _warped(chamber, section, axes[0], upright, spacing, across)
    return _Frame(axes, warped, upright, lines(axes[2]), section)


def _edges(
    chamber: Chamber, section: Rows, axis: int, upright: FloatArray
) -> tuple[list[FloatArray], list[FloatArray], list[float]]:
    """Planes that follow the low and the high edge, each (j,), and flat planes between them."""
    flat = list(faces(chamber, axis))
    sides: list[list[FloatArray]] = [[], []]
    for side, edge in enumerate((section.low, section.high)):
        inward = 1.0 if side == 0 else -1.0
        sides[side].append(np.interp(upright, section.at, edge))
        for thickness in _thicknesses(chamber, axis, side):
            if np.ptp(edge) <= CLOSEST:
                flat.append(float(edge[0]) + inward * thickness)
            else:
                stretch = np.interp(upright, section.at, section.stretch(side))
                sides[side].append(sides[side][0] + inward * thickness * stretch)
    return sides[0], sides[1][::-1], flat


def _thicknesses(chamber: Chamber, axis: int, side: int) -> list[float]:
    found = {e.thickness for e in chamber.linings if WALLS[e.wall] == (axis, side)}
    return sorted(found)


def _warped(
    chamber: Chamber, section: Rows, axis: int, upright: FloatArray, spacing: float, across: int
) -> FloatArray:
    """Places of nodes along the warped axis, shape (i, j)."""
    low, high, flat = _edges(chamber, section, axis, upright)
    ends = chamber.lower[axis], chamber.upper[axis]
    between = merged(flat, *ends)
    fine = fine_places(chamber, axis, spacing, across)
    keys = [*low, *(np.full(upright.shape, place) for place in between), *high]
    width = high[-1] - low[0]
    found = [keys[0][None]]
    for start, end in pairwise(keys):
        if np.any((end - start <= CLOSEST) & ((width > CLOSEST) | (len(keys) > 2))):
            raise ValueError(
                "a plate, a block or a lining ends where the chamber's outline tapers")
        widest = int(np.argmax(end - start))
        ladder = grid_lines((float(start[widest]), float(end[widest])), spacing, fine)
        share = (ladder[1:] - ladder[0]) / (ladder[-1] - ladder[0])
        found.append(start + share[:, None] * (end - start))
    return np.concatenate(found)


def _cell_nodes(frame: _Frame) -> IntArray:
    """Nodes of all cells, shape (cells, 8); nodes that fall on each other are one."""
    number = np.arange(np.prod(frame.shape)).reshape(frame.shape)
    closed = frame.warped[-1] - frame.warped[0] <= CLOSEST
    number[:, closed] = number[:1, closed]
    ends = (slice(None, -1), slice(1, None))
    parts = [number[a, b, c].ravel() for a in ends for b in ends for c in ends]
    return np.asarray(np.stack(parts, axis=1), dtype=np.intp)


def _solid(chamber: Chamber, middles: FloatArray) -> npt.NDArray[np.bool_]:
    """Which cells a plate or block takes, shape (m,)."""

    def between(axes: list[int], lower: tuple[float, ...], upper: tuple[float, ...]
                ) -> npt.NDArray[np.bool_]:
        place = middles[:, axes]
        return np.asarray(np.all((place > lower) & (place < upper), axis=1))

    taken = np.zeros(len(middles), dtype=bool)
    for block in chamber.blocks:
        taken |= between([0, 1, 2], block.lower, block.upper)
    for plate in chamber.plates:
        axis = AXES.index(plate.across)
        others = [k for k in range(3) if k != axis]
        here = between([axis], (plate.start,), (plate.start + plate.thickness,))
        if plate.span is not None:
            here &= between(others, plate.span.lower, plate.span.upper)
        for window in plate.windows:
            here &= ~between(others, window.lower, window.upper)
        taken |= here
    return taken


def _lined(chamber: Chamber, frame: _Frame, middles: FloatArray) -> IntArray:
    """Region of each cell, shape (i, j, k) in cells."""
    region = np.zeros(middles.shape[:-1], dtype=np.intp)
    at = frame.section.at
    heights = 0.5 * (frame.upright[1:] + frame.upright[:-1])
    for number, lining in reversed(list(enumerate(chamber.linings, 1))):
        axis, side = WALLS[lining.wall]
        reach: float | FloatArray = lining.thickness
        edge: float | FloatArray = (chamber.lower, chamber.upper)[side][axis]
        if axis == frame.axes[0]:
            wall = frame.section.low if side == 0 else frame.section.high
            edge = np.interp(heights, at, wall)[:, None]
            if np.ptp(wall) > CLOSEST:
                stretch = np.interp(heights, at, frame.section.stretch(side))
                reach = lining.thickness * stretch[:, None]
        region[np.abs(middles[..., axis] - edge) < reach] = number
    return region


def _require_one_piece(cells: IntArray, count: int) -> None:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    first = np.repeat(cells[:, 0], 7)
    pairs = coo_array((np.ones(first.size), (first, cells[:, 1:].ravel())), shape=(count, count))
    if connected_components(pairs, directed=False)[0] > 1:
        raise ValueError("plates or blocks part the chamber in two: a window is missing")

"""Stiffness and mass of trilinear hexahedra, with the quadrature that waves travel best on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.airmodes.grid import Grid

if TYPE_CHECKING:
    from scipy.sparse import csc_array

PLACE = math.sqrt(2.0 / 3.0)  # Guddati and Yue 2004: the speed of waves is right to fourth order


@dataclass(frozen=True, eq=False)
class Matrices:
    """Of each region, 0 for air: `stiffness` (m) and `mass` (m^3), both (n, n); `volume` in m^3.

    The stiffness is the integral of grad q . grad p, the mass that of q p. `square_spacing` is
    the mean square side of the cells in m^2, over the air.
    """

    stiffness: tuple[csc_array, ...]
    mass: tuple[csc_array, ...]
    volume: FloatArray
    square_spacing: float

    def __post_init__(self) -> None:
        self.volume.setflags(write=False)


def shapes_at(places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Trilinear shape functions and their slopes at places of the cell from -1 to 1.

    Parameters
    ----------
    places : ndarray
        Shape (q, 3).

    Returns
    -------
    tuple of ndarray
        Values (q, 8) and slopes (q, 8, 3).
    """
    signs = np.array([[a, b, c] for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)], dtype=float)
    lines = 0.5 * (1.0 + signs * places[:, None, :])
    values = np.prod(lines, axis=-1)
    slopes = np.empty((*values.shape, 3))
    for axis in range(3):
        first, second = (k for k in range(3) if k != axis)
        slopes[..., axis] = 0.5 * signs[:, axis] * lines[..., first] * lines[..., second]
    return values, slopes


def assembled(grid: Grid) -> Matrices:
    """Matrices of a grid, one pair for its air and one for each lining.

    Source: M. N. Guddati and B. Yue, Comput. Methods Appl. Mech. Engrg. 193, 275 (2004) (memory):
    two points along each axis at sqrt(2/3) in place of sqrt(1/3).

    Parameters
    ----------
    grid : Grid
        The grid.

    Returns
    -------
    Matrices
        Symmetric.
    """
    from scipy.sparse import coo_array

    stiffness, mass, volume = _of_cells(grid)
    size = len(grid.nodes)
    into = np.broadcast_to(grid.cells[:, :, None], mass.shape)
    onto = np.broadcast_to(grid.cells[:, None, :], mass.shape)

    def summed(values: FloatArray, region: int) -> csc_array:
        here = grid.region == region
        entries = (values[here].ravel(), (into[here].ravel(), onto[here].ravel()))
        return coo_array(entries, shape=(size, size)).tocsc()

    regions = range(len(grid.chamber.linings) + 1)
    return Matrices(
        tuple(summed(stiffness, r) for r in regions), tuple(summed(mass, r) for r in regions),
        np.array([float(np.sum(volume[grid.region == r])) for r in regions]),
        float(np.average(_square_sides(grid), weights=volume)),
    )


def _square_sides(grid: Grid) -> FloatArray:
    """Mean square side of each cell (m,), m^2."""
    corners = grid.nodes[grid.cells]
    total = np.zeros(len(corners))
    for step in (4, 2, 1):
        low = [k for k in range(8) if not k & step]
        side = np.mean(corners[:, [k + step for k in low]] - corners[:, low], axis=1)
        total += np.sum(side**2, axis=1)
    return total / 3.0


def _of_cells(grid: Grid) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Stiffness and mass (m, 8, 8) and volume (m,) of each cell."""
    ends = (-PLACE, PLACE)
    values, slopes = shapes_at(np.array([[a, b, c] for a in ends for b in ends for c in ends]))
    corners = grid.nodes[grid.cells]
    count = len(corners)
    stiffness, mass, volume = np.zeros((count, 8, 8)), np.zeros((count, 8, 8)), np.zeros(count)
    for value, slope in zip(values, slopes, strict=True):
        jacobian = np.einsum("mni,nj->mij", corners, slope)
        part = np.abs(np.linalg.det(jacobian))
        gradient = np.einsum("nj,mji->mni", slope, np.linalg.inv(jacobian))
        stiffness += part[:, None, None] * (gradient @ gradient.transpose(0, 2, 1))
        mass += part[:, None, None] * np.outer(value, value)
        volume += part
    return stiffness, mass, volume

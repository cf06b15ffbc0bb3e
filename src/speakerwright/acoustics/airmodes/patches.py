"""The nodes that a driver's cone or a port's mouth acts on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.airmodes.chambers import Opening, Patch
from speakerwright.acoustics.airmodes.grid import Grid, IntArray

NEAR = 1.0e-3  # m: how far a patch may lie off its wall
SAMPLES = 12  # along each side of a face
OVER_EDGE = 0.03  # of a patch's area may miss its wall
_FACES = ((0, 1, 3, 2), (4, 5, 7, 6), (0, 1, 5, 4), (2, 3, 7, 6), (0, 2, 6, 4), (1, 3, 7, 5))


@dataclass(frozen=True, eq=False)
class Surface:
    """Faces that bound the air: nodes around each (f, 4), middles and unit normals (f, 3), m."""

    nodes: IntArray
    middles: FloatArray
    normals: FloatArray

    def __post_init__(self) -> None:
        for each in (self.nodes, self.middles, self.normals):
            each.setflags(write=False)


def surface(grid: Grid) -> Surface:
    """All faces of a grid that belong to one cell only: walls, plates, blocks.

    Parameters
    ----------
    grid : Grid
        The grid.

    Returns
    -------
    Surface
        Its normals point to either side.
    """
    around = grid.cells[:, _FACES].reshape(-1, 4)
    _, first, count = np.unique(
        np.sort(around, axis=1), axis=0, return_index=True, return_counts=True)
    kept = around[np.sort(first[count == 1])]
    corner = grid.nodes[kept]
    normal = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    length = np.linalg.norm(normal, axis=1)
    real = length > 1e-12  # the faces of a wedge that have shrunk to a line are none
    return Surface(kept[real], corner.mean(axis=1)[real], normal[real] / length[real, None])


def opening_weights(grid: Grid, opening: Opening, within: Surface) -> FloatArray:
    """Weights of the nodes that give an opening's mean pressure.

    The same weights share out its volume velocity.

    Parameters
    ----------
    grid : Grid
        The grid.
    opening : Opening
        The opening.
    within : Surface
        Of the grid: `surface`.

    Returns
    -------
    ndarray
        Shape (n,), their sum 1.

    Raises
    ------
    ValueError
        When no wall lies at a patch, or the patch reaches beyond it.
    """
    parts = [_patch_weights(grid, opening.name, patch, within) for patch in opening.patches]
    areas = np.array([area for _, area in parts])
    total = sum((area * weights for weights, area in parts), np.zeros(len(grid.nodes)))
    return np.asarray(total / np.sum(areas), dtype=float)


def _patch_weights(
    grid: Grid, name: str, patch: Patch, within: Surface
) -> tuple[FloatArray, float]:
    """Weights (n,) of sum 1, and the area in m^2."""
    centre = np.array(patch.centre)
    normal = _normal_at(grid, name, centre, within)
    level = np.abs((within.middles - centre) @ normal) < NEAR
    chosen = within.nodes[level & (np.abs(within.normals @ normal) > 0.999)]
    corners = grid.nodes[chosen]
    u, v = np.meshgrid(*2 * [(np.arange(SAMPLES) + 0.5) / SAMPLES], indexing="ij")
    shares = np.stack([(1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v], axis=-1).reshape(-1, 4)
    places = np.einsum("sn,fni->fsi", shares, corners)
    along_u = np.einsum("s,fi->fsi", 1 - v.ravel(), corners[:, 1] - corners[:, 0]) + np.einsum(
        "s,fi->fsi", v.ravel(), corners[:, 2] - corners[:, 3])
    along_v = np.einsum("s,fi->fsi", 1 - u.ravel(), corners[:, 3] - corners[:, 0]) + np.einsum(
        "s,fi->fsi", u.ravel(), corners[:, 2] - corners[:, 1])
    area = np.linalg.norm(np.cross(along_u, along_v), axis=-1) / SAMPLES**2
    area = np.where(_inside(patch, places - centre, normal), area, 0.0)
    found, wanted = float(np.sum(area)), _area(patch, normal)
    if found < (1.0 - OVER_EDGE) * wanted:
        raise ValueError(f"the opening {name!r} reaches beyond its wall")
    weights = np.zeros(len(grid.nodes))
    np.add.at(weights, chosen, np.einsum("fs,sn->fn", area, shares) / found)
    return weights, wanted


def _normal_at(grid: Grid, name: str, centre: FloatArray, within: Surface) -> FloatArray:
    """Unit normal of the wall at a place."""
    level = np.abs(np.einsum("fi,fi->f", within.middles - centre, within.normals)) < NEAR
    corners = grid.nodes[within.nodes]
    low, high = corners.min(axis=1) - NEAR, corners.max(axis=1) + NEAR
    here = level & np.all((centre > low) & (centre < high), axis=1)
    if not np.any(here):
        raise ValueError(f"no wall lies at the opening {name!r}")
    away = np.linalg.norm(within.middles - centre, axis=1)
    away[~here] = np.inf
    return np.asarray(within.normals[int(np.argmin(away))], dtype=float)


def _inside(patch: Patch, offset: FloatArray, normal: FloatArray) -> FloatArray:
    if patch.radius is not None:
        return np.asarray(np.sum(offset**2, axis=-1) < patch.radius**2)
    kept = [k for k in range(3) if k != int(np.argmax(np.abs(normal)))]
    return np.asarray(np.all(np.abs(offset[..., kept]) < np.array(patch.reach)[kept], axis=-1))


def _area(patch: Patch, normal: FloatArray) -> float:
    if patch.radius is not None:
        return float(np.pi * patch.radius**2)
    across = int(np.argmax(np.abs(normal)))
    first, second = (2.0 * patch.reach[k] for k in range(3) if k != across)
    return float(first * second / abs(normal[across]))

"""A slot across its box, in two dimensions: finite elements, closed box, mean potential zero."""

import numpy as np
from scipy.sparse.linalg import spsolve

from .elements import Mesh
from .grids import between, halved, joined, towards


def _grid(columns, heights):
    return np.meshgrid(halved(np.asarray(columns)), halved(np.asarray(heights)), indexing="ij")


def slot_across(wall, box_height, gap, behind, finest=1e-4, growth=1.6):
    """End correction over the slot's height (1) before a wall at `gap`, `behind` to the baffle."""
    deep = 4.0
    slot = joined([0.0], towards(0.0, 1.0, finest, growth, False))
    rim = between(1.0, 1.0 + wall, min(finest, wall / 4.0), growth)
    beside = towards(1.0 + wall, box_height, finest, growth)
    along = joined(towards(-deep, -1.0, 0.5, growth, False), towards(-1.0, 0.0, finest, growth,
                                                                    False))
    ahead = towards(0.0, gap, finest, growth)
    back = towards(-behind, 0.0, finest, growth, False)
    mesh = Mesh([_grid(slot, along), _grid(joined(slot, rim, beside), ahead),
                 _grid(beside, back)])
    y, z = mesh.points.T
    stiffness, _ = mesh.matrices()
    _, mass = mesh.matrices(chosen=mesh.patch > 0)
    volume = np.asarray(mass.sum(axis=0)).ravel()
    start = np.isclose(z, -deep) & (y < 1.0 + 1e-12)
    sink = volume / volume.sum()
    potential = np.zeros(len(y))
    potential[~start] = spsolve(stiffness[~start][:, ~start].tocsc(), -sink[~start])
    return -float(sink @ potential) - deep

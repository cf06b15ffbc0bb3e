"""Round tubes by finite elements: Laplace's equation in r and z, nine-node quadrilaterals.

The tube's inner radius is 1; every length here is in radii. A unit difference of potential drives
the flow from deep in the tube to far outside, where the potential falls as one over the distance
(Robin). The end correction is area times difference over flow, less the tube's own length.
"""

import itertools

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import spsolve

from .elements import POINTS, WEIGHTS, Mesh, shape
from .grids import between, halved, joined, towards

DEEP = 5.0  # of the tube in radii: the lowest mode across it has died down to exp(-19)
FAR = 2000.0


def _robin(mesh, edges):
    """The far boundary: the slope along its normal is minus n.x / x^2 of the potential."""
    count = len(mesh.points)
    rows, columns, entries = [], [], []
    for edge in edges:
        p = mesh.points[edge]
        for u, w in zip(POINTS, WEIGHTS, strict=True):
            a, da = shape(u)
            x, t = a @ p, da @ p
            share = abs(x[0] * t[1] - x[1] * t[0]) / (x @ x)  # n.x times the element of length
            rows.append(np.repeat(edge, 3))
            columns.append(np.tile(edge, 3))
            entries.append((w * x[0] * share * np.outer(a, a)).ravel())
    if not entries:
        return sparse.csr_matrix((count, count))
    at = (np.concatenate(rows), np.concatenate(columns))
    return sparse.csr_matrix((np.concatenate(entries), at), shape=(count, count))


def correction(mesh, far, start=-DEEP):
    """End correction in radii; `far(r, z)` tells the far boundary's nodes, `start` the tube's."""
    stiffness, _ = mesh.matrices(turned=True)
    matrix = stiffness + _robin(mesh, mesh.edges(far))
    held = np.isclose(mesh.points[:, 1], start) & (mesh.points[:, 0] < 1.0 + 1e-12)
    free = ~held
    potential = held.astype(float)
    potential[free] = spsolve(matrix[free][:, free].tocsc(), -(matrix[free] @ potential))
    flow = float(potential @ (matrix @ potential))  # over 2 pi
    return 0.5 / flow + start


def correction_in_box(mesh):
    """The same with the flow swelling evenly in a closed box and its mean potential for zero.

    The box is every point outside the tube's bore (z above 0, or r beyond 1).
    """
    stiffness, _ = mesh.matrices(turned=True)
    r, z = mesh.points[:, 0], mesh.points[:, 1]
    start = np.isclose(z, -DEEP) & (r < 1.0 + 1e-12)
    box = ((r[mesh.elements].max(axis=1) > 1.0 + 1e-9)
           | (z[mesh.elements].max(axis=1) > 1e-9))
    volume = np.asarray(mesh.matrices(turned=True, chosen=box)[1].sum(axis=0)).ravel()
    free = ~start
    sink = volume / volume.sum()  # a unit flow (over 2 pi) taken up by the box
    potential = np.zeros(len(r))
    potential[free] = spsolve(stiffness[free][:, free].tocsc(), -sink[free])
    return -float(sink @ potential) * 0.5 - DEEP


def _columns(edges, radius, finest, growth):
    """Breakpoints across, fine at every edge of the solids; and the edges' places in the list."""
    pieces, places = [towards(0.5, 1.0, finest, growth, False)], []
    columns = joined([0.0, 0.25, 0.5], *pieces)
    places.append(len(columns) - 1)
    for low, high in itertools.pairwise(edges):
        columns = joined(columns, between(low, high, min(finest, (high - low) / 4.0), growth))
        places.append(len(columns) - 1)
    last = edges[-1]
    near = min(last + 1.0, radius)
    columns = joined(columns, towards(last, near, finest, growth))
    if radius > near:
        columns = joined(columns, towards(near, radius, 0.5, growth))
    return columns, places


def _grid(columns, heights):
    return np.meshgrid(halved(np.asarray(columns)), halved(np.asarray(heights)), indexing="ij")


def _rear(low, high, finest, growth):
    """Breakpoints behind an edge at `high` down to `low`."""
    near = max(high - 1.0, low)
    fine = towards(near, high, finest, growth, False)
    return fine if near == low else joined(towards(low, near, 0.5, growth, False), fine)


def _ahead(gap, finest, growth):
    if np.isfinite(gap):
        near = min(gap, 1.0)
        fine = towards(0.0, near, finest, growth)
        return fine if near == gap else joined(fine, towards(near, gap, 0.5, growth))
    return joined(towards(0.0, 1.0, finest, growth), towards(1.0, FAR, 0.5, growth))


def tube(wall=0.0, gap=np.inf, flange=None, box=None, finest=1e-5, growth=2.0):
    """End correction in radii of a round tube: free, before a wall, with a flange.

    Parameters
    ----------
    wall : float
        Thickness in radii; 0 is taken as 1e-6; infinite for a tube flush in a baffle.
    gap : float
        To an infinite wall facing the end, or infinite.
    flange : (float, float), optional
        Outer radius and thickness of a flange at the end of the tube.
    box : (float, float), optional
        Radius and depth of a closed round box, whose mean potential is then zero.
    finest, growth : float
        Of the grid.
    """
    wall = max(wall, 1e-6)
    radius, deep = (FAR, FAR) if box is None else (box[0], box[1] - gap)
    flush = np.isinf(wall)
    edges = [1.0] if flush else [1.0, 1.0 + wall]
    if flange is not None:
        edges.append(flange[0])
    columns, places = _columns(edges, radius, finest, growth)
    bore = joined([-DEEP, -3.5, -2.0, -1.0], towards(-1.0, 0.0, finest, growth, False))
    patches = [_grid(columns[:places[0] + 1], bore), _grid(columns, _ahead(gap, finest, growth))]
    if flange is not None:
        behind = _rear(-deep, -flange[1], finest, growth)
        plate = between(-flange[1], 0.0, min(finest, flange[1] / 4.0), growth)
        patches += [_grid(columns[places[1]:], behind), _grid(columns[places[2]:], plate)]
    elif not flush:
        patches.append(_grid(columns[places[1]:], _rear(-deep, 0.0, finest, growth)))
    mesh = Mesh(patches)
    if box is not None:
        return correction_in_box(mesh)
    top = gap if np.isfinite(gap) else FAR
    return correction(mesh, lambda r, z: (
        np.isclose(r, FAR) | np.isclose(z, -FAR) | (np.isclose(z, top) & np.isinf(gap))))

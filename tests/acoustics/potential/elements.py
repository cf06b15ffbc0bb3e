"""Nine-node quadrilaterals for Laplace's equation in a plane or turned about an axis."""

import numpy as np
import scipy.sparse as sparse

POINTS, WEIGHTS = np.polynomial.legendre.leggauss(4)


def shape(u):
    """Quadratic shape functions on -1, 0, 1 and their slopes."""
    return (np.array([0.5 * u * (u - 1), 1 - u**2, 0.5 * u * (u + 1)]),
            np.array([u - 0.5, -2 * u, u + 0.5]))


def _tables():
    values, across, along = [], [], []
    for u in POINTS:
        for v in POINTS:
            (a, da), (b, db) = shape(u), shape(v)
            values.append(np.outer(a, b).ravel())
            across.append(np.outer(da, b).ravel())
            along.append(np.outer(a, db).ravel())
    return np.array(values), np.array(across), np.array(along), np.outer(WEIGHTS, WEIGHTS).ravel()


class Mesh:
    """Patches of nine-node quadrilaterals, joined where their nodes fall together."""

    def __init__(self, patches):
        shapes = [r.shape for r, _ in patches]
        nodes = np.array([np.concatenate([p[k].ravel() for p in patches]) for k in (0, 1)]).T
        _, first, number = np.unique(np.round(nodes, 9) + 0.0, axis=0, return_index=True,
                                     return_inverse=True)
        self.points = nodes[first]
        number, start = number.ravel(), 0
        self.elements, self.patch = [], []
        for place, (rows, columns) in enumerate(shapes):
            grid = number[start:start + rows * columns].reshape(rows, columns)
            start += rows * columns
            corners = [grid[i:rows - 2 + i:2, j:columns - 2 + j:2].ravel()
                       for i in range(3) for j in range(3)]
            self.elements.append(np.array(corners).T)
            self.patch.append(np.full(len(corners[0]), place))
        self.elements = np.concatenate(self.elements)
        self.patch = np.concatenate(self.patch)

    def matrices(self, turned=False, chosen=slice(None)):
        """Stiffness and mass of Laplace's equation over some elements, for all nodes.

        `turned` weighs with the first coordinate: a body of revolution, over two pi.
        """
        values, across, along, weights = _tables()
        elements = self.elements[chosen]
        r, z = (self.points[elements][:, :, k] for k in (0, 1))
        ru, rv, zu, zv = r @ across.T, r @ along.T, z @ across.T, z @ along.T
        jacobian = ru * zv - rv * zu
        assert np.all(np.sign(jacobian) == np.sign(jacobian[:, :1]))
        scale = weights * np.abs(jacobian) * (r @ values.T if turned else 1.0)
        gr = (zv[..., None] * across - zu[..., None] * along) / jacobian[..., None]
        gz = (ru[..., None] * along - rv[..., None] * across) / jacobian[..., None]
        local = np.einsum("eq,eqi,eqj->eij", scale, gr, gr)
        local += np.einsum("eq,eqi,eqj->eij", scale, gz, gz)
        mass = np.einsum("eq,qi,qj->eij", scale, values, values)
        return self._spread(elements, local), self._spread(elements, mass)

    def _spread(self, elements, local):
        n, count = elements.shape[1], len(self.points)
        rows = np.repeat(elements, n, axis=1).ravel()
        columns = np.tile(elements, (1, n)).ravel()
        return sparse.csr_matrix((local.ravel(), (rows, columns)), shape=(count, count))

    def edges(self, chosen):
        """Boundary edges (three nodes each) whose nodes all satisfy `chosen(r, z)`."""
        faces = ((0, 1, 2), (6, 7, 8), (0, 3, 6), (2, 5, 8))
        found = chosen(self.points[:, 0], self.points[:, 1])
        return np.concatenate([self.elements[:, face][found[self.elements[:, face]].all(axis=1)]
                               for face in faces])

"""Mouths of any cross-section: finite elements across, exact along.

Every region before and behind the plane of the mouth is a prism: the bore, the space ahead up to
a facing wall, the space behind beside the tube's wall. In each the potential is a sum of the
cross-section's own modes, each falling off along z as it must, so the flow through the plane is a
matrix times the potential in it. What is left is one dense set of equations.
"""

import numpy as np
from scipy.linalg import eigh, solve

BORE, RIM, BESIDE = 0, 1, 2
# Sum of (-1)^(m+n) / sqrt(m^2 + n^2) over the plane without its middle, halved (lattice sum).
GROUNDED = 0.807771


class Prism:
    """The modes of one region of the cross-section."""

    def __init__(self, mesh, chosen, kept):
        stiffness, mass = (m.toarray() for m in mesh.matrices(chosen=chosen))
        touched = np.zeros(len(mesh.points), dtype=bool)
        touched[mesh.elements[chosen]] = True
        self.nodes = np.flatnonzero(touched & kept)
        pick = np.ix_(self.nodes, self.nodes)
        square, modes = eigh(stiffness[pick], mass[pick])
        self.rate = np.sqrt(np.maximum(square, 0.0))
        self.carried = mass[pick] @ modes
        self.count = len(mesh.points)
        self.spread = np.zeros(self.count)
        self.spread[self.nodes] = mass[pick].sum(axis=1)
        self.area = mass[pick].sum()

    def flow(self, depth=np.inf):
        """Flow into the region from the potential in its mouth; it ends in a wall at `depth`."""
        rate = self.rate * (np.tanh(self.rate * depth) if np.isfinite(depth) else 1.0)
        return (self.carried * rate) @ self.carried.T


class Mouth:
    """One mouth: its cross-section, with the tags of each patch of the mesh.

    `far(x, y)` tells the nodes that are held at no potential, on a square of half-side `reach`
    about the mouth and its images, of which the mesh shows a quarter; None for a closed box.
    """

    def __init__(self, mesh, tags, far=None, reach=np.inf):
        tag = np.asarray(tags)[mesh.patch]
        x, y = mesh.points.T
        kept = np.ones(len(x), dtype=bool) if far is None else ~far(x, y)
        self.kept, self.reach = kept, reach
        self.ahead = Prism(mesh, np.ones(len(tag), dtype=bool), kept)
        self.bore = Prism(mesh, tag == BORE, kept)
        self.behind = Prism(mesh, tag == BESIDE, kept) if (tag == BESIDE).any() else None

    def _matrix(self, gap, behind):
        count = self.bore.count
        matrix = np.zeros((count, count))
        for prism, depth in ((self.ahead, gap), (self.bore, np.inf), (self.behind, behind)):
            if prism is not None:
                matrix[np.ix_(prism.nodes, prism.nodes)] += prism.flow(depth)
        return matrix

    def correction(self, gap=np.inf):
        """End correction with open space around (far in `reach`); lengths as of the mesh."""
        kept = np.flatnonzero(self.kept)
        matrix = self._matrix(gap, np.inf)[np.ix_(kept, kept)]
        potential = solve(matrix, self.bore.spread[kept], assume_a="pos")
        own = float(self.bore.spread[kept] @ potential) / self.bore.area
        doubled = 2 if np.isfinite(gap) or self.behind is None else 1
        lost = GROUNDED * 4.0 * self.bore.area * doubled / (4.0 * np.pi * self.reach)
        return own + lost

    def correction_in_box(self, gap, behind):
        """The same in a closed box whose mean potential is zero, the flow swelling evenly."""
        ahead, back = self.ahead, self.behind
        volume = ahead.area * gap + back.area * behind
        sink = self.bore.area / volume
        load = self.bore.spread - sink * (gap * ahead.spread + behind * back.spread)
        matrix = self._matrix(gap, behind)
        potential = np.zeros(len(load))
        potential[1:] = solve(matrix[1:, 1:], load[1:], assume_a="pos")
        mean = (gap * (ahead.spread @ potential - ahead.area * sink * gap**2 / 3.0)
                + behind * (back.spread @ potential - back.area * sink * behind**2 / 3.0))
        return float(self.bore.spread @ potential) / self.bore.area - float(mean) / volume

"""A network of parts, solved for all frequencies at once by modified nodal analysis."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from speakerwright.circuits.parts import (
    GROUND,
    Complex,
    Duct,
    Gyrator,
    OnePort,
    Part,
    Real,
    Transformer,
    VoltageSource,
)


class NetworkError(ValueError):
    """A network that has no unique solution; the message names the part or node."""


@dataclass(frozen=True, eq=False)
class Solution:
    """Node values and branch currents of a solved network, each (f,), complex rms."""

    frequency: Real
    nodes: Mapping[str, Complex]
    currents: Mapping[str, Complex]

    def voltage(self, node: str) -> Complex:
        """Value of a node against ground: volts, newtons or pascals (rms)."""
        if node == GROUND:
            return np.zeros(self.frequency.shape, dtype=np.complex128)
        return self.nodes[node]

    def current(self, part: str) -> Complex:
        """Current through a part from its first to its second node: A, m/s or m³/s (rms).

        For a duct: the flow that enters it at its first node. For a source: what it delivers at
        its first node. For a transformer or gyrator: what enters it at its first node.
        """
        return self.currents[part]


@dataclass(frozen=True)
class Network:
    """An immutable network; `solve` gives every node and branch over frequency."""

    parts: tuple[Part, ...]

    def __post_init__(self) -> None:
        names = [part.name for part in self.parts]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise NetworkError(f"two parts are called {twice[0]}")

    @property
    def nodes(self) -> tuple[str, ...]:
        """All nodes but ground, in order of first appearance."""
        seen: dict[str, None] = {}
        for part in self.parts:
            for node in _ends(part):
                if node != GROUND:
                    seen.setdefault(node)
        return tuple(seen)

    def plus(self, *parts: Part) -> Network:
        """A network with more parts."""
        return Network((*self.parts, *parts))

    def solve(self, frequency: Real) -> Solution:
        """Solve at the frequencies (f,) in Hz, all above zero.

        Raises `NetworkError` when a node floats, a part has no finite admittance, or a frequency
        is not above zero.
        """
        frequency = np.asarray(frequency, dtype=np.float64)
        if frequency.ndim != 1 or not np.all(np.isfinite(frequency) & (frequency > 0.0)):
            raise NetworkError("a network is solved at a row of frequencies above zero")
        loose = self._floating()
        if loose:  # rounding can leave a singular matrix just regular, so the graph is asked
            raise NetworkError(f"the network has no unique solution: node {loose[0]} floats")
        system = _System(self, frequency)
        for part in self.parts:
            system.stamp(part)
        return system.solution()

    def _floating(self) -> list[str]:
        """The nodes that nothing connects to ground."""
        bonds = [set(bond) for part in self.parts for bond in _bonds(part)]
        reached, grew = {GROUND}, True
        while grew:
            grew = False
            for bond in bonds:
                if bond & reached and not bond <= reached:
                    reached |= bond
                    grew = True
        return [node for node in self.nodes if node not in reached]


def _ends(part: Part) -> tuple[str, ...]:
    if isinstance(part, Transformer):
        return part.a, part.c, part.d
    if isinstance(part, Gyrator):
        return part.a, part.c
    return part.a, part.b


def _bonds(part: Part) -> tuple[tuple[str, ...], ...]:
    """The groups of nodes between which a part fixes or lets flow."""
    if isinstance(part, Transformer):
        return (part.a, GROUND), (part.c, part.d)
    if isinstance(part, Gyrator):
        return (part.a, GROUND), (part.c, GROUND)
    if isinstance(part, Duct):  # its line leads to ground as well
        return ((part.a, part.b, GROUND),)
    return (_ends(part),)


class _System:
    """The matrix of one network: unknowns are node values, then the currents of ideal parts."""

    def __init__(self, network: Network, frequency: Real) -> None:
        self.network = network
        self.frequency = frequency
        self.omega = 2.0 * np.pi * frequency
        nodes = network.nodes
        self.row = {node: k for k, node in enumerate(nodes)}
        self.extra: dict[str, int] = {}
        size = len(nodes)
        for part in network.parts:
            if isinstance(part, (VoltageSource, Gyrator, Transformer)):
                self.extra[part.name] = size
                size += 2 if isinstance(part, Gyrator) else 1
        self.matrix = np.zeros((frequency.size, size, size), dtype=np.complex128)
        self.right = np.zeros((frequency.size, size, 1), dtype=np.complex128)
        self.admittance: dict[str, Complex] = {}

    def _add(self, row: str | int, column: str | int, value: Complex | float) -> None:
        if GROUND in (row, column):
            return
        i = self.row[row] if isinstance(row, str) else row
        k = self.row[column] if isinstance(column, str) else column
        self.matrix[:, i, k] += value

    def stamp(self, part: Part) -> None:
        if isinstance(part, OnePort):
            self._stamp_one_port(part)
        elif isinstance(part, Duct):
            self._stamp_duct(part)
        elif isinstance(part, VoltageSource):
            k = self.extra[part.name]
            for node, sign in ((part.a, 1.0), (part.b, -1.0)):
                self._add(node, k, -sign)
                self._add(k, node, sign)
            self.right[:, k, 0] = part.volts
        elif isinstance(part, Gyrator):
            into, out = self.extra[part.name], self.extra[part.name] + 1
            self._add(part.a, into, 1.0)
            self._add(part.c, out, -1.0)
            self._add(into, part.a, 1.0)
            self._add(into, out, -part.ratio)
            self._add(out, part.c, 1.0)
            self._add(out, into, -part.ratio)
        else:
            k = self.extra[part.name]
            self._add(part.a, k, 1.0)
            self._add(part.c, k, -part.ratio)
            self._add(part.d, k, part.ratio)
            self._add(k, part.a, 1.0)
            self._add(k, part.c, -part.ratio)
            self._add(k, part.d, part.ratio)

    def _stamp_one_port(self, part: OnePort) -> None:
        impedance = part.impedance(self.omega)
        with np.errstate(divide="ignore", invalid="ignore"):
            y = 1.0 / impedance
        if not np.all(np.isfinite(y)):
            raise NetworkError(f"{part.name} has no finite admittance; leave a short circuit out")
        self.admittance[part.name] = y
        self._add(part.a, part.a, y)
        self._add(part.b, part.b, y)
        self._add(part.a, part.b, -y)
        self._add(part.b, part.a, -y)

    def _stamp_duct(self, part: Duct) -> None:
        chain = part.matrix(self.frequency)
        b = chain[:, 0, 1]
        self._add(part.a, part.a, chain[:, 1, 1] / b)
        self._add(part.b, part.b, chain[:, 0, 0] / b)
        self._add(part.a, part.b, -1.0 / b)
        self._add(part.b, part.a, -1.0 / b)

    def solution(self) -> Solution:
        try:
            x: Complex = np.asarray(
                np.linalg.solve(self.matrix, self.right)[:, :, 0], dtype=np.complex128
            )
        except np.linalg.LinAlgError:
            raise NetworkError("the network has no unique solution") from None
        if not np.all(np.isfinite(x)):
            raise NetworkError("the network has no unique solution")
        nodes = {node: x[:, k] for node, k in self.row.items()}
        currents: dict[str, Complex] = {}
        for part in self.network.parts:
            if isinstance(part, OnePort):
                across = self._value(x, part.a) - self._value(x, part.b)
                currents[part.name] = across * self.admittance[part.name]
            elif isinstance(part, Duct):
                chain = part.matrix(self.frequency)
                va, vb = self._value(x, part.a), self._value(x, part.b)
                currents[part.name] = (chain[:, 1, 1] * va - vb) / chain[:, 0, 1]
            else:
                currents[part.name] = x[:, self.extra[part.name]]
        return Solution(self.frequency, nodes, currents)

    def _value(self, x: Complex, node: str) -> Complex | float:
        return 0.0 if node == GROUND else x[:, self.row[node]]

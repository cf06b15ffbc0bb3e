"""What every passive network obeys, on networks drawn at random."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.acoustics.air import Air
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Duct,
    Gyrator,
    Inductor,
    OnePort,
    PowerLawInductor,
    Resistor,
    SemiInductor,
    Transformer,
    VoltageSource,
)

AIR = Air()
F = np.geomspace(20.0, 2000.0, 7)
SEEDS = st.integers(0, 2**32 - 1)


def one_port(rng, name: str, a: str, b: str) -> OnePort:
    """A lossy or lossless part of some 0.1 to 1000 ohm in the band."""
    value = 10.0 ** rng.uniform(-1, 3)
    middle = 2 * math.pi * 200.0
    kind = rng.integers(5)
    if kind == 0:
        return Resistor(name, a, b, value)
    if kind == 1:
        return Inductor(name, a, b, value / middle)
    if kind == 2:
        return Capacitor(name, a, b, 1 / (value * middle))
    if kind == 3:
        return PowerLawInductor(name, a, b, value / middle**0.6, 0.6)
    return SemiInductor(name, a, b, value / math.sqrt(middle))


def ladder(seed: int, *, gyrator: bool) -> tuple:
    """A passive two-port between nodes p and q: random branches, a transformer, a duct."""
    rng = np.random.default_rng(seed)
    nodes = ["p", "a", "b", "c", "q"]
    parts: list = []
    for k, node in enumerate(nodes):
        parts.append(Resistor(f"r{k}", node, GROUND, 10.0 ** rng.uniform(0, 3)))
        if rng.random() < 0.6:
            parts.append(one_port(rng, f"shunt{k}", node, GROUND))
    parts.append(one_port(rng, "first", "p", "a"))
    parts.append(Transformer("t", "a", "b", rng.uniform(0.05, 5.0)))
    if gyrator:
        parts.append(Gyrator("g", "b", "c", rng.uniform(0.5, 20.0)))
    else:
        parts.append(one_port(rng, "second", "b", "c"))
        if rng.random() < 0.5:
            parts.append(one_port(rng, "round", "p", "c"))
    area = rng.uniform(3.0, 30.0)  # so wide that its impedance is in the range of the others
    parts.append(Duct("tube", "c", "q", area, rng.uniform(20.0, 60.0), rng.uniform(0.05, 1.5), AIR))
    return tuple(parts)


def transfer(parts: tuple, drive: str, short: str) -> np.ndarray:
    """Current through a short at one port, per volt at the other."""
    solved = Network((*parts, VoltageSource("drive", drive, GROUND, 1.0),
                      VoltageSource("short", short, GROUND, 0.0))).solve(F)
    return solved.current("short")


@given(seed=SEEDS)
@settings(max_examples=60, deadline=None)
def test_reciprocity(seed):
    parts = ladder(seed, gyrator=False)
    forward, back = transfer(parts, "p", "q"), transfer(parts, "q", "p")
    assert np.allclose(forward, back, rtol=1e-9, atol=1e-14)


@given(seed=SEEDS)
@settings(max_examples=60, deadline=None)
def test_a_gyrator_is_antireciprocal(seed):
    parts = ladder(seed, gyrator=True)
    forward, back = transfer(parts, "p", "q"), transfer(parts, "q", "p")
    assert np.all(np.abs(forward) > 0.0)
    assert np.allclose(forward, -back, rtol=1e-9, atol=1e-14)


def dissipated(network: Network, solved) -> np.ndarray:
    """Power that every branch and duct takes, summed, from values and currents of the solution."""
    total = np.zeros(F.size)
    for part in network.parts:
        if isinstance(part, OnePort):
            across = solved.voltage(part.a) - solved.voltage(part.b)
            total += (across * solved.current(part.name).conj()).real
        elif isinstance(part, Duct):
            first, last = solved.voltage(part.a), solved.voltage(part.b)
            into = solved.current(part.name)
            (a, b), (c, d) = np.moveaxis(part.matrix(F), 0, -1)
            out = (first - a * last) / b
            assert np.allclose(into, c * last + d * out, rtol=1e-8)
            total += (first * into.conj() - last * out.conj()).real
    return total


@given(seed=SEEDS, gyrator=st.booleans())
@settings(max_examples=80, deadline=None)
def test_power_goes_in_where_it_is_lost(seed, gyrator):
    parts = ladder(seed, gyrator=gyrator)
    network = Network((VoltageSource("drive", "p", GROUND, 1.0), *parts))
    solved = network.solve(F)
    given_ = (solved.voltage("p") * solved.current("drive").conj()).real
    assert np.all(given_ >= 0.0)  # passive
    assert np.allclose(dissipated(network, solved), given_, rtol=1e-9, atol=0.0)


def test_a_lossless_network_takes_no_power():
    network = Network((VoltageSource("drive", "p", GROUND, 1.0), Inductor("l", "p", "a", 0.01),
                       Transformer("t", "a", "b", 0.3), Capacitor("c", "b", GROUND, 1e-5)))
    solved = network.solve(F)
    power = (solved.voltage("p") * solved.current("drive").conj()).real
    assert np.all(np.abs(power) < 1e-15 * np.abs(solved.current("drive")))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_kirchhoff_at_every_node(seed):
    parts = ladder(seed, gyrator=True)
    network = Network((VoltageSource("drive", "p", GROUND, 1.0), *parts))
    solved = network.solve(F)
    leaving = {node: np.zeros(F.size, complex) for node in (*network.nodes, GROUND)}
    for part in network.parts:
        current = solved.current(part.name)
        if isinstance(part, OnePort):
            leaving[part.a] += current
            leaving[part.b] -= current
        elif isinstance(part, VoltageSource):
            leaving[part.a] -= current
        elif isinstance(part, Transformer):
            leaving[part.a] += current
            leaving[part.c] -= part.ratio * current
        elif isinstance(part, Gyrator):
            leaving[part.a] += current
            leaving[part.c] -= solved.voltage(part.a) / part.ratio
        else:
            first, last = solved.voltage(part.a), solved.voltage(part.b)
            matrix = part.matrix(F)
            leaving[part.a] += current
            leaving[part.b] -= (first - matrix[:, 0, 0] * last) / matrix[:, 0, 1]
    for node in network.nodes:
        assert np.all(np.abs(leaving[node]) < 1e-12)

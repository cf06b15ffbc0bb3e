"""The solver: small circuits by hand, orientation of the ideal parts, and what it refuses."""

import math

import numpy as np
import pytest

from speakerwright.acoustics.air import Air
from speakerwright.circuits.network import Network, NetworkError
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Duct,
    Gyrator,
    Inductor,
    Resistor,
    Series,
    Transformer,
    VoltageSource,
)

AIR = Air()
F = np.array([30.0, 100.0, 2000.0])
SOURCE = VoltageSource("v", "in", GROUND, 2.0)


def test_a_divider():
    solved = Network((SOURCE, Resistor("r1", "in", "mid", 3.0),
                      Resistor("r2", "mid", GROUND, 1.0))).solve(F)
    assert np.allclose(solved.voltage("mid"), 0.5, rtol=1e-14)
    assert np.allclose(solved.current("r1"), 0.5, rtol=1e-14)
    assert np.allclose(solved.current("v"), 0.5, rtol=1e-14)
    assert np.all(solved.voltage(GROUND) == 0.0)


def test_a_resonance():
    inductance, capacity, resistance = 0.01, 2e-4, 0.3
    at = np.array([1 / (2 * math.pi * math.sqrt(inductance * capacity))])
    solved = Network((SOURCE, Series("branch", "in", GROUND, (
        Resistor("r", "", "", resistance), Inductor("l", "", "", inductance),
        Capacitor("c", "", "", capacity),
    )))).solve(at)
    assert solved.current("branch")[0] == pytest.approx(2.0 / resistance, rel=1e-10)


def test_a_source_between_two_nodes_counts_from_b_to_a():
    solved = Network((VoltageSource("v", "a", "b", 1.5), Resistor("r1", "a", GROUND, 1.0),
                      Resistor("r2", "b", GROUND, 2.0))).solve(F)
    assert np.allclose(solved.voltage("a"), 0.5, rtol=1e-14)
    assert np.allclose(solved.voltage("b"), -1.0, rtol=1e-14)


def test_a_gyrator_turns_current_into_force_and_velocity_into_voltage():
    bl, re, rms = 8.0, 5.0, 2.0
    solved = Network((SOURCE, Resistor("re", "in", "motor", re), Gyrator("g", "motor", "f", bl),
                      Resistor("rms", "f", GROUND, rms))).solve(F)
    current = 2.0 / (re + bl**2 / rms)
    assert np.allclose(solved.current("g"), current, rtol=1e-13)
    assert np.allclose(solved.voltage("f"), bl * current, rtol=1e-13)  # force along the current
    assert np.allclose(solved.current("rms"), bl * current / rms, rtol=1e-13)
    assert np.allclose(solved.voltage("motor"), bl * bl * current / rms, rtol=1e-13)


def test_a_transformer_turns_velocity_into_volume_velocity():
    sd, load = 0.05, 400.0
    solved = Network((SOURCE, Resistor("r", "in", "force", 3.0),
                      Transformer("cone", "force", "air", sd),
                      Resistor("air load", "air", GROUND, load))).solve(F)
    velocity = 2.0 / (3.0 + sd**2 * load)
    assert np.allclose(solved.current("cone"), velocity, rtol=1e-13)
    assert np.allclose(solved.current("air load"), sd * velocity, rtol=1e-13)
    assert np.allclose(solved.voltage("force"), sd * solved.voltage("air"), rtol=1e-13)


def test_a_short_duct_is_a_mass_when_open_and_a_compliance_when_closed():
    area, length, low = 0.005, 0.2, np.array([5.0])
    duct = Duct("tube", "in", "far", area, 0.25, length, AIR)
    omega = 2 * math.pi * 5.0
    open_end = Network((SOURCE, duct, Resistor("end", "far", GROUND, 1e-6))).solve(low)
    reactance = (2.0 / open_end.current("v")[0]).imag
    wall = math.sqrt(2 * AIR.kinematic_viscosity / omega) * 0.25 / (2 * area)
    assert reactance == pytest.approx(
        omega * AIR.density * length / area * (1 + wall), rel=2e-4
    )
    closed = Network((SOURCE, duct, Resistor("end", "far", GROUND, 1e12))).solve(low)
    stiff = (2.0 / closed.current("v")[0]).imag
    thermal = (AIR.heat_ratio - 1) / math.sqrt(AIR.prandtl) * wall
    compliance = area * length / (AIR.density * AIR.speed**2) * (1 + thermal)
    assert stiff == pytest.approx(-1 / (omega * compliance), rel=5e-4)


def test_the_current_of_a_duct_is_what_enters_it_first():
    duct = Duct("tube", "in", "far", 0.002, 0.16, 0.9, AIR)
    solved = Network((SOURCE, duct, Resistor("load", "far", GROUND, 1e5))).solve(F)
    assert np.allclose(solved.current("tube"), solved.current("v"), rtol=1e-12)
    assert not np.allclose(solved.current("tube"), solved.current("load"), rtol=1e-3)


def test_all_frequencies_at_once_are_each_alone():
    network = Network((SOURCE, Resistor("r", "in", "a", 3.0), Gyrator("g", "a", "b", 4.0),
                       Series("m", "b", "c", (Inductor("l", "", "", 0.01),
                                              Capacitor("k", "", "", 1e-3))),
                       Duct("d", "c", "e", 0.01, 0.4, 0.5, AIR),
                       Resistor("end", "e", GROUND, 1e3)))
    grid = np.geomspace(10, 1000, 23)
    together = network.solve(grid)
    for k, frequency in enumerate(grid):
        alone = network.solve(np.array([frequency]))
        for node in network.nodes:
            assert together.voltage(node)[k] == pytest.approx(alone.voltage(node)[0], rel=1e-13)


def test_plus_adds_and_nodes_come_in_order():
    network = Network((SOURCE,)).plus(Resistor("r", "in", "x", 1.0),
                                      Resistor("q", "x", GROUND, 1.0))
    assert network.nodes == ("in", "x")
    assert np.allclose(network.solve(F).voltage("x"), 1.0)


def test_two_parts_of_one_name_are_refused():
    with pytest.raises(NetworkError, match="two parts are called r"):
        Network((SOURCE, Resistor("r", "in", GROUND, 1.0), Capacitor("r", "in", GROUND, 1.0)))


FLOATING = [
    (Resistor("r2", "x", "y", 3.0),),
    (Series("rl", "x", "y", (Resistor("r", "", "", 3.1), Inductor("l", "", "", 0.7e-3))),
     Capacitor("c", "y", "z", 1.7e-5), Resistor("r3", "z", "x", 0.37)),
]


@pytest.mark.parametrize("loose", FLOATING)
def test_a_floating_node_is_named(loose):
    network = Network((SOURCE, Resistor("r1", "in", GROUND, 1.0), *loose))
    with pytest.raises(NetworkError, match="node x floats"):
        network.solve(F)


def test_a_floating_ring_is_never_answered():
    # rounding may leave a singular matrix just regular: the graph tells, not the arithmetic
    rng = np.random.default_rng(5)
    for _ in range(40):
        a, b, c = rng.uniform(0.1, 10.0, 3)
        network = Network((SOURCE, Resistor("r1", "in", GROUND, 1.0),
                           Series("p", "x", "y", (Resistor("", "", "", a),
                                                  Inductor("", "", "", b * 1e-3))),
                           Capacitor("q", "y", "z", c * 1e-5), Resistor("s", "z", "x", b)))
        with pytest.raises(NetworkError, match="node x floats"):
            network.solve(F)


def test_a_short_circuit_is_named():
    with pytest.raises(NetworkError, match="wire has no finite admittance"):
        Network((SOURCE, Resistor("r", "in", "x", 1.0), Resistor("wire", "x", GROUND, 0.0))
                ).solve(F)


def test_two_sources_on_one_node_are_refused():
    with pytest.raises(NetworkError, match="no unique solution"):
        Network((SOURCE, VoltageSource("w", "in", GROUND, 3.0),
                 Resistor("r", "in", GROUND, 1.0))).solve(F)


@pytest.mark.parametrize("bad", [[0.0, 10.0], [-5.0], [math.nan], [math.inf]])
def test_frequencies_lie_above_zero(bad):
    with pytest.raises(NetworkError, match="above zero"):
        Network((SOURCE, Resistor("r", "in", GROUND, 1.0))).solve(np.array(bad))

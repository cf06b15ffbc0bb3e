"""The circuit of one chamber: amplifier, voice coil, cone, box and port in one network."""

from __future__ import annotations

import math
from dataclasses import dataclass

from speakerwright.bass.inputs import ChamberInput, Equivalent, equivalent
from speakerwright.bass.port import PortResult
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Duct,
    Gyrator,
    Inductor,
    OnePort,
    Part,
    RadiationResistance,
    Resistor,
    Series,
    Transformer,
    VoltageSource,
)


@dataclass(frozen=True)
class Circuit:
    """A chamber's network for 1 V at the amplifier, and the names of what is read from it."""

    network: Network
    driver: Equivalent
    resonance: float
    compliance: float


SOURCE, TERMINALS, BOX = "amplifier", "terminals", "box"
CONE, LEAK, PORT_OUT, PORT_IN = "cone", "leak", "port outer end", "port"


def circuit(inputs: ChamberInput, port: PortResult | None) -> Circuit:
    """Compose the network of a closed or vented chamber.

    The losses' Q count at the tuning, or at the closed box's resonance. The port is a duct with
    wall losses between its end corrections; it radiates. `port_q` is its whole Q at the tuning,
    so only what wall and radiation do not already take is added as a resistance.
    """
    driver = equivalent(inputs)
    air, chamber = inputs.air, inputs.chamber
    compliance = chamber.volume / (air.density * air.speed**2)
    stiffening = driver.sd**2 * driver.cms / compliance
    resonance = port.tuning if port is not None else driver.fs * math.sqrt(1.0 + stiffening)
    parts: list[Part] = [
        *_electrical(inputs, driver),
        *_mechanical(driver),
        *_box(inputs, compliance, 2.0 * math.pi * resonance),
    ]
    if port is not None:
        parts += _port(inputs, port)
    return Circuit(Network(tuple(parts)), driver, resonance, compliance)


def _electrical(inputs: ChamberInput, driver: Equivalent) -> list[Part]:
    parts: list[Part] = [VoltageSource(SOURCE, "out", GROUND, 1.0)]
    node = "out"
    if inputs.chamber.source_resistance > 0:
        parts.append(Resistor("source resistance", node, "cable end",
                              inputs.chamber.source_resistance))
        node = "cable end"
    filter_ = inputs.chamber.high_pass
    if filter_ is not None and filter_.capacitor is not None:
        parts.append(Capacitor("series capacitor", node, "after capacitor", filter_.capacitor))
        node = "after capacitor"
    parts.append(Series("coil", node, "motor", driver.coil.parts))
    return parts


def _mechanical(driver: Equivalent) -> list[Part]:
    moving: tuple[OnePort, ...] = (
        Resistor("rms", "", "", driver.rms),
        Inductor("mms", "", "", driver.mms),
        Capacitor("cms", "", "", driver.cms),
    )
    return [
        Gyrator("force factor", "motor", "force", driver.bl),
        Series(CONE, "force", "back", moving),
        Transformer("cone area", "back", BOX, driver.sd),
    ]


def _box(inputs: ChamberInput, compliance: float, omega: float) -> list[Part]:
    losses = inputs.chamber.losses
    spring: tuple[OnePort, ...] = (Capacitor("box air", "", "", compliance),)
    if losses.absorption_q is not None:
        resistance = 1.0 / (losses.absorption_q * omega * compliance)
        spring = (*spring, Resistor("absorption", "", "", resistance))
    parts: list[Part] = [Series("box", BOX, GROUND, spring)]
    if losses.leak_q is not None:
        parts.append(Resistor(LEAK, BOX, GROUND, losses.leak_q / (omega * compliance)))
    return parts


def _port(inputs: ChamberInput, port: PortResult) -> list[Part]:
    air, area = inputs.air, port.area * port.count
    density = air.density
    inner: tuple[OnePort, ...] = (
        Inductor("inner end", "", "", density * max(port.inner_end, 1e-9) / area),
    )
    extra = _extra_port_resistance(inputs, port)
    if extra > 0:
        inner = (*inner, Resistor("port loss", "", "", extra))
    return [
        Series(PORT_IN, BOX, "inner mouth", inner),
        Duct("tube", "inner mouth", "outer mouth", port.area, port.perimeter, port.length, air,
             port.count),
        Series(PORT_OUT, "outer mouth", GROUND, (
            Inductor("outer end", "", "", density * port.outer_end / area),
            RadiationResistance("radiation", "", "", area, inputs.solid_angle, air),
        )),
    ]


def _extra_port_resistance(inputs: ChamberInput, port: PortResult) -> float:
    """What `port_q` asks at the tuning beyond what wall and radiation take, Pa s/m³."""
    import numpy as np

    wanted = inputs.chamber.losses.port_q
    if wanted is None:
        return 0.0
    duct = Duct("tube", "a", "b", port.area, port.perimeter, port.length, inputs.air, port.count)
    chain = duct.matrix(np.array([port.tuning]))[0]
    wall = float((chain[0, 1] / chain[1, 1]).real)
    omega = 2.0 * math.pi * port.tuning
    mass = inputs.air.density * (port.length + port.inner_end + port.outer_end)
    area = port.area * port.count
    lost = RadiationResistance("radiation", "", "", area, inputs.solid_angle, inputs.air)
    radiated = float(lost.impedance(np.array([omega]))[0].real)
    return max(omega * mass / area / wanted - wall - radiated, 0.0)

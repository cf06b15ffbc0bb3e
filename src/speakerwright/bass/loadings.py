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
    lossy = inputs.chamber.source_resistance > 0
    parts: list[Part] = [VoltageSource(SOURCE, "out" if lossy else TERMINALS, GROUND, 1.0)]
    if lossy:
        parts.append(Resistor("source resistance", "out", TERMINALS,
                              inputs.chamber.source_resistance))
    node = TERMINALS
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
    inner, tube, outer = _bare_port(inputs, port)
    extra = _extra_port_resistance(inputs, port)
    loss: tuple[OnePort, ...] = (Resistor("port loss", "", "", extra),) if extra > 0 else ()
    return [Series(PORT_IN, BOX, "inner mouth", (inner, *loss)), tube, outer]


def _bare_port(inputs: ChamberInput, port: PortResult) -> tuple[Inductor, Duct, Series]:
    """Inner end, tube, and outer end with its radiation; losses by `port_q` not yet added."""
    air, area = inputs.air, port.area * port.count
    return (
        Inductor("inner end", "", "", air.density * max(port.inner_end, 1e-9) / area),
        Duct("tube", "inner mouth", "outer mouth", port.area, port.perimeter, port.length, air,
             port.count),
        Series(PORT_OUT, "outer mouth", GROUND, (
            Inductor("outer end", "", "", air.density * port.outer_end / area),
            RadiationResistance("radiation", "", "", area, inputs.solid_angle, air),
        )),
    )


def _extra_port_resistance(inputs: ChamberInput, port: PortResult) -> float:
    """What `port_q` asks at the tuning beyond what wall and radiation take, Pa s/m³.

    The port's Q is the reactance over the resistance that the box sees at the tuning.
    """
    import numpy as np

    wanted = inputs.chamber.losses.port_q
    if wanted is None:
        return 0.0
    omega = 2.0 * math.pi * port.tuning
    inner, tube, outer = _bare_port(inputs, port)
    (a, b), (c, d) = tube.matrix(np.array([port.tuning]))[0]
    load = outer.impedance(np.array([omega]))[0]
    seen = (a * load + b) / (c * load + d) + inner.impedance(np.array([omega]))[0]
    return max(float(seen.imag) / wanted - float(seen.real), 0.0)

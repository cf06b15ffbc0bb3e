"""The parts that every loading is composed of, and what a composed circuit says of itself.

Pressures and volume velocities are physical: the cone's current is its velocity outward, and what
flows from a node to ground flows out into the room.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from speakerwright.acoustics import linings
from speakerwright.bass.inputs import ChamberInput, Equivalent
from speakerwright.bass.port import PortResult
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Duct,
    FilledBox,
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
from speakerwright.design.sections.loadings import Fill

SOURCE, TERMINALS, CONE = "amplifier", "terminals", "cone"
BOX, FRONT = "box", "front"


@dataclass(frozen=True)
class Opening:
    """Where air moves fast: the branches (ends) that carry its flow, its area in m², its path."""

    name: str
    ends: tuple[str, ...]
    area: float
    path: str


@dataclass(frozen=True)
class Moving:
    """A passive radiator: the branch whose current is its velocity, and its linear travel (m)."""

    name: str
    branch: str
    xmax: float | None
    path: str


@dataclass(frozen=True)
class Fact:
    """A figure of this loading: its name, its value in SI and its kind."""

    name: str
    value: float
    kind: str


@dataclass(frozen=True)
class Circuit:
    """A chamber's network for 1 V at the amplifier, and the names of what is read from it.

    `radiating` maps branches to the area (m²) by which their current becomes volume velocity: 1
    where it is one already. `dipole` is an open baffle's width and height and the driver's place
    across and up, m. `doubts` are sentences on where the model ends. `resonance` (Hz) is what the
    loading is named by: closed-box resonance, tuning, quarter wave; its word is `called`.
    """

    network: Network
    driver: Equivalent
    resonance: float
    called: str
    compliance: float | None
    radiating: Mapping[str, float]
    openings: tuple[Opening, ...] = ()
    moving: tuple[Moving, ...] = ()
    facts: tuple[Fact, ...] = ()
    doubts: tuple[str, ...] = ()
    ports: Mapping[str, PortResult] = field(default_factory=dict)
    dipole: tuple[float, float, float, float] | None = None


def electrical(inputs: ChamberInput, driver: Equivalent) -> list[Part]:
    """Amplifier, source resistance, series capacitor and voice coil up to the motor."""
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


def mechanical(driver: Equivalent, front: str, back: str) -> list[Part]:
    """Motor and cone between the air before it and the air behind it; GROUND is the room."""
    moving: tuple[OnePort, ...] = (
        Resistor("rms", "", "", driver.rms),
        Inductor("mms", "", "", driver.mms),
        Capacitor("cms", "", "", driver.cms),
    )
    return [
        Gyrator("force factor", "motor", "force", driver.bl),
        Series(CONE, "force", "push", moving),
        Transformer("cone area", "push", front, driver.sd, back),
    ]


def spring(inputs: ChamberInput, volume: float) -> float:
    """Acoustic compliance (m³/Pa) of a volume (m³) of bare air."""
    return volume / (inputs.air.density * inputs.air.speed**2)


FILL_DOUBT = (
    "The fill's fibres are taken as even, and their heat as endless: real fill slows the sound and "
    "softens the air by less."
)


def fill_of(wanted: Fill) -> linings.Fill:
    """The fibres of a decided fill."""
    return linings.Fill(wanted.flow_resistivity, wanted.bulk_density)


def behind(inputs: ChamberInput, resonance: float) -> list[Part]:
    """The box behind the cone with its losses, whose Q counts at `resonance` in Hz."""
    chamber = inputs.chamber
    return box(inputs, BOX, chamber.net_volume, resonance, chamber.losses.leak_q,
               chamber.losses.absorption_q, chamber.fill)


def box(
    inputs: ChamberInput, node: str, volume: float, resonance: float, leak_q: float | None,
    absorption_q: float | None, fill: Fill | None = None,
) -> list[Part]:
    """A volume of air at a node with its losses, whose Q counts at `resonance` in Hz."""
    compliance, omega = spring(inputs, volume), 2.0 * math.pi * resonance
    air: OnePort = Capacitor("air", "", "", compliance)
    if fill is not None:
        air = FilledBox("air", "", "", volume, fill.share, fill_of(fill), inputs.air)
    held: tuple[OnePort, ...] = (air,)
    if absorption_q is not None:
        held = (*held, Resistor("absorption", "", "", 1.0 / (absorption_q * omega * compliance)))
    parts: list[Part] = [Series(node + " air", node, GROUND, held)]
    if leak_q is not None:
        parts.append(Resistor(node + " leak", node, GROUND, leak_q / (omega * compliance)))
    return parts


def port(
    inputs: ChamberInput, found: PortResult, node: str, name: str, port_q: float | None
) -> list[Part]:
    """A port from a node to the room: a duct with wall losses between its ends; it radiates.

    `port_q` is its whole Q at the tuning, so only what wall and radiation do not already take is
    added as a resistance.
    """
    inner, tube, outer = _bare_port(inputs, found, name)
    extra = _extra_resistance(inputs, found, port_q)
    loss: tuple[OnePort, ...] = (Resistor("loss", "", "", extra),) if extra > 0 else ()
    return [Series(name, node, f"{name} inner mouth", (inner, *loss)), tube, outer]


def ends(name: str) -> tuple[str, str]:
    """The branches at the inner and outer end of a port."""
    return name, f"{name} outer end"


def _bare_port(
    inputs: ChamberInput, found: PortResult, name: str
) -> tuple[Inductor, Duct, Series]:
    """Inner end, tube, and outer end with its radiation; losses by Q not yet added."""
    air, area = inputs.air, found.area * found.count
    return (
        Inductor("inner end", "", "", air.density * max(found.inner_end, 1e-9) / area),
        Duct(f"{name} tube", f"{name} inner mouth", f"{name} outer mouth", found.area,
             found.perimeter, found.length, air, found.count),
        Series(ends(name)[1], f"{name} outer mouth", GROUND, (
            Inductor("outer end", "", "", air.density * found.outer_end / area),
            RadiationResistance("radiation", "", "", area, inputs.solid_angle, air),
        )),
    )


def _extra_resistance(inputs: ChamberInput, found: PortResult, wanted: float | None) -> float:
    """What a port's Q asks at the tuning beyond what wall and radiation take, Pa s/m³.

    The port's Q is the reactance over the resistance that the box sees at the tuning.
    """
    if wanted is None:
        return 0.0
    omega = 2.0 * math.pi * found.tuning
    inner, tube, outer = _bare_port(inputs, found, "port")
    (a, b), (c, d) = tube.matrix(np.array([found.tuning]))[0]
    load = outer.impedance(np.array([omega]))[0]
    seen = (a * load + b) / (c * load + d) + inner.impedance(np.array([omega]))[0]
    return max(float(seen.imag) / wanted - float(seen.real), 0.0)

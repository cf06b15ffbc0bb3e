"""Boxes with holes or none: closed, vented, passive radiator, and band-pass of both orders."""

from __future__ import annotations

import math

from speakerwright.bass.inputs import ChamberInput, Equivalent, PassiveFigures, Seat, equivalent
from speakerwright.bass.loadings.parts import (
    BOX,
    CONE,
    FRONT,
    Circuit,
    Fact,
    Moving,
    Opening,
    behind,
    box,
    electrical,
    ends,
    mechanical,
    port,
    spring,
)
from speakerwright.bass.port import PortCase, PortResult, work_out
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Inductor,
    Resistor,
    Series,
    Transformer,
)
from speakerwright.design.sections.ports import Port

PORT, FRONT_PORT, PASSIVE = "port", "front port", "passive radiator"


def port_case(inputs: ChamberInput, asked: Port, volume: float, seat: Seat) -> PortCase:
    """A port's question in a volume (m³) of this chamber."""
    return PortCase(asked, volume, inputs.air, seat, inputs.on_floor, places=seat.mouths)


def stiffened(driver: Equivalent, compliance: float) -> float:
    """Resonance (Hz) of the drivers on a closed volume of this acoustic compliance (m³/Pa)."""
    return driver.fs * math.sqrt(1.0 + driver.sd**2 * driver.cms / compliance)


def closed(inputs: ChamberInput) -> Circuit:
    """A closed box."""
    driver, volume = equivalent(inputs), inputs.chamber.net_volume
    compliance = spring(inputs, volume)
    resonance = stiffened(driver, compliance)
    parts = [*electrical(inputs, driver), *mechanical(driver, GROUND, BOX),
             *behind(inputs, resonance)]
    return Circuit(Network(tuple(parts)), driver, resonance, "resonance", compliance,
                   _radiating(inputs, driver))


def _radiating(inputs: ChamberInput, driver: Equivalent) -> dict[str, float]:
    """The cone and the leak, with what turns their currents into volume velocities."""
    leak = {} if inputs.chamber.losses.leak_q is None else {f"{BOX} leak": 1.0}
    return {CONE: driver.sd, **leak}


def vented(inputs: ChamberInput) -> Circuit:
    """A box with a port."""
    driver, chamber = equivalent(inputs), inputs.chamber
    assert chamber.port is not None  # the section has seen to it
    found = work_out(port_case(inputs, chamber.port, chamber.net_volume, inputs.seat))
    parts = [*electrical(inputs, driver), *mechanical(driver, GROUND, BOX),
             *behind(inputs, found.tuning),
             *port(inputs, found, BOX, PORT, chamber.losses.port_q)]
    return Circuit(
        Network(tuple(parts)), driver, found.tuning, "tuning",
        spring(inputs, chamber.net_volume),
        {**_radiating(inputs, driver), ends(PORT)[1]: 1.0},
        (_opening(PORT, found, "port"),), ports={"port": found},
    )


def _opening(name: str, found: PortResult, path: str) -> Opening:
    return Opening(name, ends(name), found.narrowest * found.count, path)


def passive(inputs: ChamberInput) -> Circuit:
    """A box with passive radiators: each a cone without a motor, with mass added."""
    driver, volume = equivalent(inputs), inputs.chamber.net_volume
    drone = inputs.passive
    assert drone is not None  # gathered with the section
    compliance = spring(inputs, volume)
    tuning = _passive_tuning(drone, compliance)
    n = drone.count
    moving = Series(PASSIVE, "drone push", GROUND, (
        Resistor("rms", "", "", drone.rms * n),
        Inductor("mass", "", "", drone.mass * n),
        Capacitor("cms", "", "", drone.cms / n),
    ))
    parts = [*electrical(inputs, driver), *mechanical(driver, GROUND, BOX),
             *behind(inputs, tuning),
             Transformer("drone area", "drone push", BOX, drone.sd * n), moving]
    own = 1.0 / (2.0 * math.pi * math.sqrt(drone.mass * drone.cms))
    return Circuit(
        Network(tuple(parts)), driver, tuning, "tuning", compliance,
        {**_radiating(inputs, driver), PASSIVE: drone.sd * n},
        moving=(Moving(PASSIVE, PASSIVE, drone.xmax, "passive"),),
        facts=(
            Fact("Passive radiator's own resonance, mass added", own, "frequency"),
            Fact("Its compliance ratio", drone.sd**2 * n * drone.cms / compliance, "ratio"),
        ),
    )


def _passive_tuning(drone: PassiveFigures, compliance: float) -> float:
    """Resonance (Hz) of the drones' mass with their own springs and the box's together."""
    mass = drone.mass / (drone.count * drone.sd**2)
    springs = drone.count * drone.sd**2 * drone.cms
    stiffness = 1.0 / compliance + 1.0 / springs
    return math.sqrt(stiffness / mass) / (2.0 * math.pi)


def band_pass(inputs: ChamberInput) -> Circuit:
    """A band-pass box: the cone works on a ported chamber before it, closed or ported behind."""
    driver, chamber = equivalent(inputs), inputs.chamber
    front = chamber.front
    assert front is not None  # the section has seen to it
    before = work_out(port_case(inputs, front.port, front.volume, Seat(
        baffle=inputs.seat.baffle)))
    ports = {"front.port": before}
    resonance = before.tuning
    if chamber.port is not None:
        ports["port"] = work_out(
            port_case(inputs, chamber.port, chamber.net_volume, inputs.seat))
        resonance = ports["port"].tuning
    parts = [
        *electrical(inputs, driver), *mechanical(driver, FRONT, BOX), *behind(inputs, resonance),
        *box(inputs, FRONT, front.volume, before.tuning, front.leak_q, front.absorption_q),
        *port(inputs, before, FRONT, FRONT_PORT, front.port_q),
    ]
    radiating = {ends(FRONT_PORT)[1]: 1.0}
    for node, leak_q in ((BOX, chamber.losses.leak_q), (FRONT, front.leak_q)):
        if leak_q is not None:
            radiating[f"{node} leak"] = 1.0
    openings = [_opening(FRONT_PORT, before, "front.port")]
    if chamber.port is not None:
        parts += port(inputs, ports["port"], BOX, PORT, chamber.losses.port_q)
        radiating[ends(PORT)[1]] = 1.0
        openings.append(_opening(PORT, ports["port"], "port"))
    compliance = spring(inputs, chamber.net_volume)
    return Circuit(
        Network(tuple(parts)), driver, before.tuning, "front tuning", compliance, radiating,
        tuple(openings), ports=ports,
        facts=(
            Fact("Front volume", front.volume, "volume"),
            Fact("Resonance on the closed volume behind", stiffened(driver, compliance),
                 "frequency"),
        ),
    )

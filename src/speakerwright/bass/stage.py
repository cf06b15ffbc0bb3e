"""Work out the bass of one chamber: circuit, curves, limits, findings."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from speakerwright.acoustics.pistons import level_db, pressure_from_volume_velocity
from speakerwright.acoustics.response import Response
from speakerwright.bass.alignment import nearest_alignment
from speakerwright.bass.filters import hand_over, protective
from speakerwright.bass.inputs import ChamberInput, Seat, chamber_input
from speakerwright.bass.judgement import judged
from speakerwright.bass.limits import limits
from speakerwright.bass.loadings import (
    CONE,
    LEAK,
    PORT_IN,
    PORT_OUT,
    SOURCE,
    TERMINALS,
    Circuit,
    circuit,
)
from speakerwright.bass.port import PortCase, PortResult, work_out
from speakerwright.bass.result import ChamberResult, Curves, Need
from speakerwright.circuits.network import Solution
from speakerwright.circuits.parts import Complex, Real
from speakerwright.design.document import Design
from speakerwright.words.evidence import Evidence

GRID = np.geomspace(10.0, 1000.0, 241)
GRID.setflags(write=False)


def work(design: Design, name: str, seat: Seat, need: Need) -> ChamberResult:
    """One chamber of a design; raises `design.motor.Incomplete` for a record that lacks figures."""
    return chamber(chamber_input(design, name, seat), need)


def chamber(inputs: ChamberInput, need: Need) -> ChamberResult:
    """Work out one chamber from its inputs."""
    port = work_out(port_case(inputs)) if inputs.chamber.port is not None else None
    made = circuit(inputs, port)
    solution = made.network.solve(GRID)
    curves, per_volt = _curves(inputs, made, solution, port)
    found = limits(inputs, GRID, *per_volt)
    alpha = made.driver.sd**2 * made.driver.cms / made.compliance
    result = ChamberResult(
        inputs=inputs,
        driver=made.driver,
        network=made.network,
        port=port,
        curves=curves,
        limits=found,
        alpha=alpha,
        tuning_ratio=None if port is None else port.tuning / made.driver.fs,
        resonance=made.resonance,
        qtc=None if port is not None else _closed_q(made, inputs),
        cutoffs=_cutoffs(curves),
        alignment=nearest_alignment(inputs, port),
        findings=(),
    )
    return replace(result, findings=judged(result, need))


def port_case(inputs: ChamberInput) -> PortCase:
    """The port's question in this chamber."""
    port = inputs.chamber.port
    if port is None:
        raise ValueError("a closed chamber has no port")
    return PortCase(port, inputs.chamber.volume, inputs.air, inputs.seat, inputs.on_floor)


def volume_velocity(solution: Solution, driver_area: float) -> Complex:
    """Net volume velocity (m³/s, rms) of cone, port and leak, outward for a positive voltage."""
    total = solution.current(CONE) * driver_area
    for name in (PORT_OUT, LEAK):
        if name in solution.currents:
            total = total - solution.current(name)
    return np.asarray(total)


def _curves(
    inputs: ChamberInput, made: Circuit, solution: Solution, port: PortResult | None
) -> tuple[Curves, tuple[Real, Real, Real | None, Real, Real]]:
    """Curves with the filter, and curves per volt at the amplifier without it."""
    omega = 2.0 * math.pi * GRID
    flow = volume_velocity(solution, made.driver.sd)
    pressure = pressure_from_volume_velocity(GRID, flow, 1.0, inputs.air, inputs.solid_angle)
    filtering = protective(inputs, GRID) * hand_over(inputs, GRID)
    gain = np.abs(filtering)
    speed = _port_speed(solution, port)
    excursion = math.sqrt(2.0) * np.abs(solution.current(CONE)) / omega
    current = solution.current(SOURCE)
    terminals = solution.voltage(TERMINALS)
    power = np.asarray((terminals * current.conj()).real)
    response = Response(
        GRID, pressure * filtering, Evidence.SIMULATED,
        f"circuit of {inputs.driver_name} in {inputs.name}", (10.0, _highest_valid(inputs)),
    )
    unfiltered = level_db(pressure)
    phase = np.unwrap(np.angle(response.pressure))
    curves = Curves(
        frequency=GRID,
        response=response,
        level_db=response.level_db(1.0),
        asymptote_db=_asymptote_db(inputs, made),
        unfiltered_db=unfiltered,
        impedance=terminals / current,
        excursion=excursion * gain,
        port_speed=None if speed is None else speed * gain,
        phase_deg=np.degrees(phase),
        group_delay=-np.gradient(phase, omega),
        power=power * gain**2,
        filter_db=20.0 * np.log10(gain),
    )
    return curves, (unfiltered, excursion, speed, np.abs(current), power)


def _port_speed(solution: Solution, port: PortResult | None) -> Real | None:
    """Peak air speed at the busier end of the port, m/s."""
    if port is None:
        return None
    ends = np.maximum(np.abs(solution.current(PORT_OUT)), np.abs(solution.current(PORT_IN)))
    return np.asarray(math.sqrt(2.0) * ends / (port.area * port.count))


def _highest_valid(inputs: ChamberInput) -> float:
    """Frequency (Hz) where the cone's ka reaches 1: above it the cone is no small source."""
    radius = math.sqrt(inputs.motor.sd / math.pi)
    return inputs.air.speed / (2.0 * math.pi * radius)


def _asymptote_db(inputs: ChamberInput, made: Circuit) -> float:
    """Level of 1 V at 1 m far above resonance, without inductance: ρ Sd Bl / (Ω R Mms)."""
    driver = made.driver
    resistance = driver.re + inputs.chamber.source_resistance
    pressure = inputs.air.density * driver.sd * driver.bl / (
        inputs.solid_angle * resistance * driver.mms
    )
    return float(level_db(pressure))


def _closed_q(made: Circuit, inputs: ChamberInput) -> float:
    """Total Q at the closed-box resonance, source resistance and box losses included."""
    driver, losses = made.driver, inputs.chamber.losses
    omega = 2.0 * math.pi * made.resonance
    resistance = driver.re + inputs.chamber.source_resistance
    electrical = omega * driver.mms * resistance / driver.bl**2
    mechanical = omega * driver.mms / driver.rms
    loss = 1.0 / electrical + 1.0 / mechanical
    alpha = driver.sd**2 * driver.cms / made.compliance
    share = alpha / (1.0 + alpha)
    for q in (losses.leak_q, losses.absorption_q):
        if q is not None:
            loss += share / q
    return 1.0 / loss


def _cutoffs(curves: Curves) -> dict[str, float | None]:
    """Lowest frequencies above which the level stays within 3, 6 and 10 dB of the asymptote."""
    relative = curves.level_db - curves.asymptote_db
    bare = curves.unfiltered_db - curves.asymptote_db
    return {
        "f3": _rises_through(curves.frequency, relative, -3.0103),
        "f6": _rises_through(curves.frequency, relative, -6.0206),
        "f10": _rises_through(curves.frequency, relative, -10.0),
        "f3 without filter": _rises_through(curves.frequency, bare, -3.0103),
        "f6 without filter": _rises_through(curves.frequency, bare, -6.0206),
    }


def _rises_through(frequency: Real, level: Real, threshold: float) -> float | None:
    """Frequency where the level first rises through a threshold, interpolated in log f."""
    up = np.nonzero((level[:-1] < threshold) & (level[1:] >= threshold))[0]
    if up.size == 0:
        return None
    k = int(up[0])
    share = (threshold - level[k]) / (level[k + 1] - level[k])
    return float(frequency[k] * (frequency[k + 1] / frequency[k]) ** share)

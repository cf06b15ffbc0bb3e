"""Work out the bass of one chamber: circuit, curves, limits, findings."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from speakerwright.acoustics.dipoles import baffle_factor
from speakerwright.acoustics.pistons import level_db, pressure_from_volume_velocity
from speakerwright.acoustics.response import Response
from speakerwright.bass.alignment import nearest_alignment
from speakerwright.bass.filters import hand_over, protective
from speakerwright.bass.inputs import ChamberInput, Seat, chamber_input
from speakerwright.bass.judgement import judged
from speakerwright.bass.limits import PerVolt, limits
from speakerwright.bass.loadings import CONE, SOURCE, TERMINALS, Circuit, Opening, circuit
from speakerwright.bass.place import PlaceResult, at_seats
from speakerwright.bass.result import ChamberResult, Curves, Need, drive_volts
from speakerwright.bass.surroundings import Surroundings, surroundings
from speakerwright.circuits.network import Solution
from speakerwright.circuits.parts import Complex, Real
from speakerwright.design.document import Design
from speakerwright.words.evidence import Evidence

GRID = np.geomspace(10.0, 1000.0, 241)
GRID.setflags(write=False)


def work(design: Design, name: str, seat: Seat, need: Need) -> ChamberResult:
    """One chamber of a design; raises `design.motor.Incomplete` for a record that lacks figures."""
    depth = None if seat.depth is None else seat.depth + 2.0 * seat.baffle
    return chamber(chamber_input(design, name, seat), need,
                   surroundings(design.decided.brief, depth))


def chamber(
    inputs: ChamberInput, need: Need, around: Surroundings | None = None
) -> ChamberResult:
    """Work out one chamber from its inputs, and at the seats where its surroundings are known."""
    made = circuit(inputs)
    solution = made.network.solve(GRID)
    curves, per_volt = _curves(inputs, made, solution)
    closed = inputs.chamber.loading == "closed"
    result = ChamberResult(
        inputs=inputs,
        circuit=made,
        curves=curves,
        limits=limits(inputs, GRID, per_volt),
        qtc=_closed_q(made, inputs) if closed else None,
        cutoffs=_cutoffs(curves),
        alignment=nearest_alignment(inputs, made.ports.get("port")),
        place=_at_seats(inputs, curves, need, around),
        findings=(),
    )
    return replace(result, findings=judged(result, need))


def _at_seats(
    inputs: ChamberInput, curves: Curves, need: Need, around: Surroundings | None
) -> PlaceResult | None:
    """The seats' levels at the drive that the brief's peak asks; none for an open baffle."""
    if around is None or inputs.chamber.loading == "open-baffle":
        return None
    return at_seats(curves.response, around, (need.lowest, need.highest),
                    drive_volts(curves, need), f"bass.{inputs.name}")


def volume_velocity(solution: Solution, made: Circuit) -> Complex:
    """Net volume velocity (m³/s, rms) of all that radiates, outward for a positive voltage."""
    total = np.zeros(solution.frequency.shape, dtype=np.complex128)
    for branch, area in made.radiating.items():
        total = total + solution.current(branch) * area
    return total


def _curves(
    inputs: ChamberInput, made: Circuit, solution: Solution
) -> tuple[Curves, PerVolt]:
    """Curves with the filter, and curves per volt at the amplifier without it."""
    omega = 2.0 * math.pi * GRID
    flow = volume_velocity(solution, made)
    pressure = _pressure(inputs, made, flow)
    filtering = protective(inputs, GRID) * hand_over(inputs, GRID)
    gain = np.abs(filtering)
    speeds = {opening.name: _air_speed(solution, opening) for opening in made.openings}
    drones = {each.name: math.sqrt(2.0) * np.abs(solution.current(each.branch)) / omega
              for each in made.moving}
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
        asymptote_db=_pass_band_db(inputs, made, unfiltered),
        unfiltered_db=unfiltered,
        impedance=terminals / current,
        excursion=excursion * gain,
        speeds={name: speed * gain for name, speed in speeds.items()},
        drones={name: swing * gain for name, swing in drones.items()},
        phase_deg=np.degrees(phase),
        group_delay=-np.gradient(phase, omega),
        power=power * gain**2,
        filter_db=20.0 * np.log10(gain),
    )
    travel = {each.name: (drones[each.name], each.xmax) for each in made.moving}
    return curves, PerVolt(unfiltered, excursion, speeds, travel, np.abs(current), power)


def _pressure(inputs: ChamberInput, made: Circuit, flow: Complex) -> Complex:
    """Sound pressure (f,) at 1 m; an open baffle is taken in free space, front against rear."""
    if made.dipole is None:
        return pressure_from_volume_velocity(GRID, flow, 1.0, inputs.air, inputs.solid_angle)
    plane = pressure_from_volume_velocity(GRID, flow, 1.0, inputs.air, 2.0 * math.pi)
    return plane * baffle_factor(GRID, *made.dipole, inputs.air)


def _air_speed(solution: Solution, opening: Opening) -> Real:
    """Peak air speed at the busier end of an opening, m/s."""
    flows = [np.abs(solution.current(end)) for end in opening.ends]
    return np.asarray(math.sqrt(2.0) * np.max(flows, axis=0) / opening.area)


def _highest_valid(inputs: ChamberInput) -> float:
    """Frequency (Hz) where the cone's ka reaches 1: above it the cone is no small source."""
    radius = math.sqrt(inputs.motor.sd / math.pi)
    return inputs.air.speed / (2.0 * math.pi * radius)


BANDS = ("band-pass-4", "band-pass-6", "front-horn")


def _pass_band_db(inputs: ChamberInput, made: Circuit, level: Real) -> float:
    """Level of 1 V at 1 m in the pass band, without inductance.

    Far above resonance, ρ Sd Bl / (Ω R Mms); for what passes a band only, the highest there is.
    """
    if inputs.chamber.loading in BANDS:
        return float(np.max(level[GRID <= 500.0]))
    driver = made.driver
    resistance = driver.re + inputs.chamber.source_resistance
    pressure = inputs.air.density * driver.sd * driver.bl / (
        inputs.solid_angle * resistance * driver.mms
    )
    return float(level_db(pressure))


def _closed_q(made: Circuit, inputs: ChamberInput) -> float:
    """Total Q at the closed-box resonance, source resistance and box losses included."""
    driver, losses = made.driver, inputs.chamber.losses
    assert made.compliance is not None
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

"""Another port tried in a chamber that is worked out: only its own parts of the circuit change.

The figures are those that `stage.chamber` would give, in a small part of its time: what each
effect on the port is worth is not told apart, and no finding is made.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from speakerwright.acoustics.pistons import level_db, pressure_from_volume_velocity
from speakerwright.acoustics.ports import pipe_resonance
from speakerwright.bass import stage
from speakerwright.bass.inputs import ChamberInput, Seat
from speakerwright.bass.judgement import band
from speakerwright.bass.loadings import CONE, Circuit
from speakerwright.bass.loadings.boxes import PORT, port_case
from speakerwright.bass.loadings.parts import BOX, ends, port
from speakerwright.bass.port import PortCase, PortResult
from speakerwright.bass.port_case import inner_correction, outer_correction
from speakerwright.bass.port_openings import mouths, same, section
from speakerwright.bass.result import ChamberResult, Need
from speakerwright.circuits.network import Network, Solution
from speakerwright.circuits.parts import Real
from speakerwright.design.sections.ports import Port


@dataclass(frozen=True)
class Trial:
    """A port tried: its peak air `speed` at the brief's peak in m/s, None without a band.

    `pipe` (Hz) is its first pipe resonance and `pipe_db` its flow there against the cone's,
    −60 dB where that lies above the curves. `volume` (m³) is what it takes from the inside.
    """

    speed: float | None
    pipe: float
    pipe_db: float
    volume: float
    doubt: str


def inputs_with(inputs: ChamberInput, wanted: Port) -> ChamberInput:
    """A chamber's inputs with another port behind the cone, where that would stand."""
    decided, seat = inputs.chamber.port, inputs.seat
    if decided is None or not same(wanted, decided):
        seat = replace(seat, mouths=mouths(seat, wanted))
    return replace(inputs, chamber=inputs.chamber.model_copy(update={"port": wanted}), seat=seat)


def case_of(inputs: ChamberInput, wanted: Port) -> PortCase:
    """The question of a port behind the cone."""
    changed = inputs_with(inputs, wanted)
    seat: Seat = changed.seat
    return port_case(changed, wanted, changed.chamber.net_volume, seat)


def tried(result: ChamberResult, need: Need, wanted: Port, length: float) -> Trial:
    """A port of a length (m) that gives the tuning of `result`, tried in its circuit."""
    inputs = inputs_with(result.inputs, wanted)
    case = case_of(inputs, wanted)
    inner, outer = inner_correction(case, length), outer_correction(case)
    found = PortResult(
        length, result.ports["port"].tuning if wanted.tuning is None else wanted.tuning,
        case.area, case.perimeter, wanted.count, inner.total, outer.total, None, None, True, True,
        pipe_resonance(length, inner.total + outer.total, case.air.speed), (), 0.0,
        narrowest=case.narrowest,
    )
    made = _with_port(result.circuit, inputs, found)
    solution = made.network.solve(stage.GRID)
    speed = _speeds(solution, found)
    return Trial(
        _at_peak(result, need, made, solution, speed), found.resonance,
        _pipe_db(made, solution, speed, found),
        section(wanted, case.area) * max(length - inputs.seat.baffle, 0.0),
        inner.doubt or outer.doubt,
    )


def _with_port(made: Circuit, inputs: ChamberInput, found: PortResult) -> Circuit:
    """A circuit whose port behind the cone is another; the losses of the box stay."""
    parts = port(inputs, found, BOX, PORT, inputs.chamber.losses.port_q)
    names = {part.name for part in parts}
    kept = tuple(part for part in made.network.parts if part.name not in names)
    return replace(made, network=Network((*kept, *parts)))


def _speeds(solution: Solution, found: PortResult) -> Real:
    """Peak air speed (f,) at the busier end for 1 V rms at the amplifier, m/s."""
    flow = np.max([np.abs(solution.current(end)) for end in ends(PORT)], axis=0)
    return np.asarray(math.sqrt(2.0) * flow / (found.narrowest * found.count))


def _at_peak(
    result: ChamberResult, need: Need, made: Circuit, solution: Solution, speed: Real
) -> float | None:
    """Air speed at the brief's peak, where in its band it is highest."""
    inside, shape = band(result, need)
    if not np.any(inside):
        return None
    inputs = result.inputs
    pressure = pressure_from_volume_velocity(
        stage.GRID, stage.volume_velocity(solution, made), 1.0, inputs.air, inputs.solid_angle)
    asked = speed * 10.0 ** ((need.peak_db + shape - level_db(pressure)) / 20.0)
    return float(np.max(asked[inside]))


def _pipe_db(made: Circuit, solution: Solution, speed: Real, found: PortResult) -> float:
    """The port's flow against the cone's about its pipe resonance, dB."""
    near = np.abs(np.log(stage.GRID / found.resonance)) < math.log(1.15)
    if not np.any(near):
        return -60.0
    cone = math.sqrt(2.0) * np.abs(solution.current(CONE)) * made.driver.sd
    flow = speed * found.narrowest * found.count
    return float(20.0 * np.log10(np.max(flow[near] / cone[near])))

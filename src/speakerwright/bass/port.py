"""The port as it stands in its box: its length for a tuning, or its tuning for a length.

The length changes the gap to the facing wall and the gap changes the end correction, so they are
solved together. Each effect is told apart: what it does to the length and to the tuning.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from speakerwright.acoustics import ports
from speakerwright.acoustics.air import Air
from speakerwright.acoustics.ducts import line
from speakerwright.bass.port_case import (
    TEXTBOOK,
    Effects,
    PortCase,
    in_box,
    inner_correction,
    outer_correction,
    over_floor,
    size_of,
)

__all__ = ["TEXTBOOK", "Effects", "PortCase", "PortResult", "Step", "length_for", "reactance",
           "tuning_of", "work_out"]


@dataclass(frozen=True)
class Step:
    """One effect: the length (m) with it added, and the tuning (Hz) if cut without it and later."""

    name: str
    length: float | None
    tuning_if_cut_so: float | None


@dataclass(frozen=True)
class PortResult:
    """A port worked out: sizes in m and m², frequencies in Hz.

    `length` runs from the baffle's front face to the inner end. `gap` is the clear distance from
    the inner end to the facing wall, None when the cabinet is not decided or the port is bent.
    `fits` says whether a straight port of this length stands in the chamber; `tunes` whether any
    length reaches the tuning with this area. `area` is that of the straight tube with the mass of
    the port's air; `narrowest` its smallest. `inner_parts` and `outer_parts` tell the effects on
    the end corrections (m), `doubt` what speaks against trusting them, empty when nothing does.
    """

    length: float
    tuning: float
    area: float
    perimeter: float
    count: int
    inner_end: float
    outer_end: float
    gap: float | None
    gap_ratio: float | None
    fits: bool
    tunes: bool
    resonance: float
    steps: tuple[Step, ...]
    tube_volume: float
    narrowest: float = 0.0
    inner_parts: Mapping[str, float] = field(default_factory=dict, compare=False)
    outer_parts: Mapping[str, float] = field(default_factory=dict, compare=False)
    doubt: str = ""


def reactance(case: PortCase, length: float, frequency: float) -> float:
    """Acoustic reactance (Pa s/m³) of all ports together, seen from the box.

    With `compression` in force it is that of the circuit's duct, whose air gives and whose wall
    drags; otherwise of a plug of air as long as the port and its ends. Infinite where the port's
    own pipe resonance lies at or below the frequency.
    """
    air, area = case.air, case.area * case.port.count
    omega = 2.0 * math.pi * frequency
    inner, outer = case.inner_end(length), case.outer_end()
    if not case.effects.compression:
        return omega * air.density * (length + inner + outer) / area
    propagation, impedance = _line(case.area, case.perimeter, frequency, air)
    impedance /= case.port.count
    load = 1j * omega * air.density * outer / area
    turn = cmath.tanh(propagation * length)
    seen = impedance * (load + impedance * turn) / (impedance + load * turn)
    # the angle of the wave along the port and its outer end: at a quarter turn it resonates, and
    # with loss the reactance falls through zero there, which is no tuning of the box
    angle = propagation.imag * length + math.atan2(load.imag, impedance.real)
    if angle >= math.pi / 2.0 or (angle > math.pi / 4.0 and seen.imag < seen.real):
        return math.inf
    return seen.imag + omega * air.density * inner / area


@lru_cache(maxsize=1024)
def _line(area: float, perimeter: float, frequency: float, air: Air) -> tuple[complex, complex]:
    propagation, impedance = line([frequency], area, perimeter, air)
    return complex(propagation[0]), complex(impedance[0])


def tuning_of(case: PortCase, length: float, near: float | None = None) -> float:
    """Frequency (Hz) at which the port resonates with the box's compliance; sooner with a guess."""
    compliance = case.volume / (case.air.density * case.air.speed**2)

    def excess(frequency: float) -> float:
        return reactance(case, length, frequency) - 1.0 / (2.0 * math.pi * frequency * compliance)

    return _root(excess, 1e-3, 1e6, near)


def length_for(case: PortCase, tuning: float, near: float | None = None) -> float | None:
    """Port length (m) for a tuning, or None when no straight length up to the wall reaches it.

    The shortest length asked is a hole in the baffle of no thickness. A guess brings it sooner.
    """
    compliance = case.volume / (case.air.density * case.air.speed**2)
    wanted = 1.0 / (2.0 * math.pi * tuning * compliance)

    def excess(length: float) -> float:
        return reactance(case, length, tuning) - wanted

    longest = 20.0
    if not math.isinf(case.gap(0.0)) and case.seat.behind_mouth is not None:
        longest = case.seat.behind_mouth - 0.25 * case.half_height
    if longest <= 0 or excess(1e-6) > 0 or excess(longest) < 0:
        return None
    return _root(excess, 1e-6, longest, near)


def _root(
    function: Callable[[float], float], low: float, high: float, near: float | None = None
) -> float:
    """The one root between two bounds, where the function may be infinite at one of them."""
    from scipy.optimize import brentq

    def capped(x: float) -> float:
        return max(min(function(x), 1e12), -1e12)

    if near is not None and low < 0.9 * near and 1.1 * near < high:
        around = 0.9 * near, 1.1 * near
        if capped(around[0]) * capped(around[1]) < 0.0:
            low, high = around
    return float(brentq(capped, low, high, xtol=1e-10, rtol=1e-12))


def work_out(case: PortCase) -> PortResult:
    """Solve a port for its decided tuning or length.

    One that does not stand straight in the chamber is solved as if it were bent: no facing wall.
    """
    straight = case
    length, tuning, tunes = _solved(case)
    room = None if case.port.bends else case.seat.behind_mouth
    fits = length is not None and (room is None or length < room)
    if not fits:
        case = replace(case, effects=replace(case.effects, facing=False))
        length, tuning, tunes = _solved(case)
    if length is None:  # shown as a bare hole
        length, fits, case = case.seat.baffle, True, straight
        tuning = tuning_of(case, length)
    gap = None if room is None else room - length
    inner, outer = inner_correction(case, length), outer_correction(case)
    return PortResult(
        length=length,
        tuning=tuning,
        area=case.area,
        perimeter=case.perimeter,
        count=case.port.count,
        inner_end=inner.total,
        outer_end=outer.total,
        gap=gap,
        gap_ratio=None if gap is None else gap / case.half_height,
        fits=fits,
        tunes=tunes,
        resonance=ports.pipe_resonance(length, inner.total + outer.total, case.air.speed),
        steps=_steps(straight, case.port.tuning or tuning),
        tube_volume=_tube_volume(case, length),
        narrowest=case.narrowest,
        inner_parts=inner.parts,
        outer_parts=outer.parts,
        doubt=inner.doubt or outer.doubt,
    )


def _solved(case: PortCase) -> tuple[float | None, float, bool]:
    """Length (m, or None), tuning (Hz), and whether the decided tuning is reached."""
    port = case.port
    if port.length is not None:
        return port.length, tuning_of(case, port.length), True
    found = length_for(case, size_of(port.tuning))
    return found, size_of(port.tuning), found is not None


def _steps(case: PortCase, tuning: float) -> tuple[Step, ...]:
    """The effects one by one, from the textbook's length to the one in force."""
    names = {
        "wall": "wall of the tube",
        "facing": "wall behind the inner end",
        "sides": "walls beside the inner end",
        "mutual": "neighbouring ports",
        "floor": "floor outside",
        "shape": "rounded edges and grille",
        "box": "rest of the box",
        "compression": "give and drag of the air in the port",
    }
    effects = TEXTBOOK
    steps = [_step(case, "textbook length", effects, tuning, None)]
    for word, name in names.items():
        effects = replace(effects, **{word: True})
        if _concerns(case, word):
            steps.append(_step(case, name, effects, tuning, steps[-1].length))
    return tuple(steps)


def _step(
    case: PortCase, name: str, effects: Effects, tuning: float, near: float | None
) -> Step:
    found = length_for(replace(case, effects=effects), tuning, near)
    fair = found is not None and case.gap(found) > 0
    return Step(name, found, tuning_of(case, found, tuning) if fair and found else None)


def _concerns(case: PortCase, effect: str) -> bool:
    """Whether an effect says anything of this port; wall, back and air always do."""
    port, placed = case.port, len(case.places) == case.port.count and not case.port.bends
    if effect == "mutual":
        return port.count > 1
    if effect == "sides":
        return port.walls_shared > 0 or placed
    if effect == "floor":
        return over_floor(case, 0) is not None
    if effect == "shape":
        return port.flare > 0.0 or (port.open_share is not None and port.open_share < 1.0)
    if effect == "box":
        return placed and port.walls_shared != 3 and in_box(case, (0.0, 0.0), 0.0)[0] is not None
    return True


def _tube_volume(case: PortCase, length: float) -> float:
    """Volume (m³) that the ports take from the inside: their air and their walls."""
    port = case.port
    inside = max(length - case.seat.baffle, 0.0)
    if port.shape == "round":
        outer = 2.0 * math.sqrt(case.area / math.pi) + 2.0 * port.wall
        return port.count * math.pi * outer**2 / 4.0 * inside
    height = size_of(port.height) + (1 if port.walls_shared else 2) * port.wall
    width = size_of(port.width) + (0 if port.walls_shared == 3 else 2) * port.wall
    return port.count * width * height * inside

"""The port as it stands in its box: its length for a tuning, or its tuning for a length.

The length changes the gap to the facing wall and the gap changes the end correction, so they are
solved together. Each effect is told apart: what it does to the length and to the tuning.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from speakerwright.acoustics import ports
from speakerwright.acoustics.air import Air
from speakerwright.acoustics.ducts import line
from speakerwright.bass.inputs import Seat
from speakerwright.design.sections.bass import Port


@dataclass(frozen=True)
class Effects:
    """Which effects on the end corrections and the port's air are in force."""

    wall: bool = True
    facing: bool = True
    mutual: bool = True
    compression: bool = True


TEXTBOOK = Effects(wall=False, facing=False, mutual=False, compression=False)


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
    the inner end to the facing wall, None when the cabinet is not decided. `fits` says whether a
    straight port of this length stands in the chamber; `tunes` whether any length reaches the
    tuning with this area.
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


@dataclass(frozen=True)
class PortCase:
    """One port's question: geometry, the box volume (m³), the air, and the room it has."""

    port: Port
    volume: float
    air: Air
    seat: Seat
    on_floor: bool
    effects: Effects = Effects()

    @property
    def area(self) -> float:
        """Area of one port in m²."""
        if self.port.shape == "round":
            return math.pi * _size(self.port.bore) ** 2 / 4.0
        return _size(self.port.width) * _size(self.port.height)

    @property
    def perimeter(self) -> float:
        """Wetted perimeter of one port in m."""
        if self.port.shape == "round":
            return math.pi * _size(self.port.bore)
        return 2.0 * (_size(self.port.width) + _size(self.port.height))

    @property
    def half_height(self) -> float:
        """The length gaps are measured in: a round port's radius, a slot's height."""
        if self.port.shape == "round":
            return _size(self.port.bore) / 2.0
        return _size(self.port.height)

    def gap(self, length: float) -> float:
        """Clear distance behind the inner end, infinite when nothing is known or in force."""
        if self.seat.behind_mouth is None or not self.effects.facing:
            return math.inf
        return self.seat.behind_mouth - length

    def outer_end(self) -> float:
        """End correction outside, in m: flush in a baffle, with its neighbours."""
        if self.port.shape == "slot":
            return self._slot_outer()
        radius = self.half_height
        end = ports.flanged_end(radius)
        return end + self._mutual(ports.mutual_outside, radius)

    def inner_end(self, length: float) -> float:
        """End correction inside at a port length, in m."""
        if self.port.shape == "slot":
            return self._slot_inner(length)
        radius = self.half_height
        wall = self.port.wall if self.effects.wall else 0.0
        gap = max(self.gap(length), 1e-3 * radius)
        end = (
            ports.unflanged_end(radius, wall)
            if math.isinf(gap)
            else ports.facing_wall_end(radius, wall, gap)
        )
        return end + self._mutual(ports.mutual_inside, radius)

    def _mutual(self, law: Callable[[float, list[list[float]]], Any], radius: float) -> float:
        """Mean extra correction from all neighbours in a row of equal spacing."""
        count, spacing = self.port.count, self.port.centres
        if count < 2 or spacing is None or not self.effects.mutual:
            return 0.0
        return _row(law, radius, count, spacing)

    def _slot_outer(self) -> float:
        width, height = _size(self.port.width), _size(self.port.height)
        imaged = self.on_floor and self.port.walls_shared > 0 and self.effects.facing
        return ports.rectangle_end(width, 2.0 * height if imaged else height)

    def _slot_inner(self, length: float) -> float:
        width, height = _size(self.port.width), _size(self.port.height)
        if self.port.walls_shared == 3 and self.effects.facing:
            clear = self.seat.height if self.seat.height is not None else 8.0 * height
            return ports.slit_in_duct_end(height, max(clear, 1.001 * height))
        if self.port.walls_shared == 1 and self.effects.facing:
            return ports.slot_one_wall_end(width, height, max(self.gap(length), 0.05 * height))
        return ports.rectangle_end(width, height) * ports.UNFLANGED / (8.0 / (3.0 * math.pi))


@lru_cache(maxsize=256)
def _row(law: Callable[..., Any], radius: float, count: int, spacing: float) -> float:
    return float(law(radius, [[k * spacing, 0.0] for k in range(count)]).mean())


def _size(value: float | None) -> float:
    if value is None:  # the section's validator has seen to it
        raise ValueError("the port lacks a size")
    return value


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
    if omega / air.speed * (length + outer) >= math.pi / 2.0:
        return math.inf
    propagation, impedance = _line(case.area, case.perimeter, frequency, air)
    impedance /= case.port.count
    load = 1j * omega * air.density * outer / area
    turn = cmath.tanh(propagation * length)
    seen = impedance * (load + impedance * turn) / (impedance + load * turn)
    return seen.imag + omega * air.density * inner / area


@lru_cache(maxsize=1024)
def _line(area: float, perimeter: float, frequency: float, air: Air) -> tuple[complex, complex]:
    propagation, impedance = line([frequency], area, perimeter, air)
    return complex(propagation[0]), complex(impedance[0])


def tuning_of(case: PortCase, length: float) -> float:
    """Frequency (Hz) at which the port resonates with the box's compliance."""
    compliance = case.volume / (case.air.density * case.air.speed**2)

    def excess(frequency: float) -> float:
        return reactance(case, length, frequency) - 1.0 / (2.0 * math.pi * frequency * compliance)

    return _root(excess, 1e-3, 1e6)


def length_for(case: PortCase, tuning: float) -> float | None:
    """Port length (m) for a tuning, or None when no straight length up to the wall reaches it.

    The shortest length asked is a hole in the baffle of no thickness.
    """
    compliance = case.volume / (case.air.density * case.air.speed**2)
    wanted = 1.0 / (2.0 * math.pi * tuning * compliance)

    def excess(length: float) -> float:
        return reactance(case, length, tuning) - wanted

    longest = 20.0
    if case.effects.facing and case.seat.behind_mouth is not None:
        longest = case.seat.behind_mouth - 0.25 * case.half_height
    if longest <= 0 or excess(1e-6) > 0 or excess(longest) < 0:
        return None
    return _root(excess, 1e-6, longest)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """The one root between two bounds, where the function may be infinite at one of them."""
    from scipy.optimize import brentq

    capped = lambda x: max(min(function(x), 1e12), -1e12)  # noqa: E731
    return float(brentq(capped, low, high, xtol=1e-10, rtol=1e-12))


def work_out(case: PortCase) -> PortResult:
    """Solve a port for its decided tuning or length.

    One that does not stand straight in the chamber is solved as if it were bent: no facing wall.
    """
    straight = case
    length, tuning, tunes = _solved(case)
    room = case.seat.behind_mouth
    fits = length is not None and (room is None or length < room)
    if not fits:
        case = replace(case, effects=replace(case.effects, facing=False))
        length, tuning, tunes = _solved(case)
    if length is None:  # shown as a bare hole
        length, fits, case = case.seat.baffle, True, straight
        tuning = tuning_of(case, length)
    gap = None if room is None else room - length
    inner, outer = case.inner_end(length), case.outer_end()
    return PortResult(
        length=length,
        tuning=tuning,
        area=case.area,
        perimeter=case.perimeter,
        count=case.port.count,
        inner_end=inner,
        outer_end=outer,
        gap=gap,
        gap_ratio=None if gap is None else gap / case.half_height,
        fits=fits,
        tunes=tunes,
        resonance=ports.pipe_resonance(length, inner + outer, case.air.speed),
        steps=_steps(straight, case.port.tuning or tuning),
        tube_volume=_tube_volume(case, length),
    )


def _solved(case: PortCase) -> tuple[float | None, float, bool]:
    """Length (m, or None), tuning (Hz), and whether the decided tuning is reached."""
    port = case.port
    if port.length is not None:
        return port.length, tuning_of(case, port.length), True
    found = length_for(case, _size(port.tuning))
    return found, _size(port.tuning), found is not None


def _steps(case: PortCase, tuning: float) -> tuple[Step, ...]:
    """The effects one by one, from the textbook's length to the one in force."""
    order = (
        ("textbook length", TEXTBOOK),
        ("wall of the tube", replace(TEXTBOOK, wall=True)),
        ("wall behind the inner end", replace(TEXTBOOK, wall=True, facing=True)),
        ("neighbouring ports", replace(TEXTBOOK, wall=True, facing=True, mutual=True)),
        ("give and drag of the air in the port", Effects()),
    )
    steps = []
    for name, effects in order:
        found = length_for(replace(case, effects=effects), tuning)
        fair = found is not None and case.gap(found) > 0
        steps.append(Step(name, found, tuning_of(case, found) if fair and found else None))
    return tuple(steps)


def _tube_volume(case: PortCase, length: float) -> float:
    """Volume (m³) that the ports take from the inside: their air and their walls."""
    port = case.port
    inside = max(length - case.seat.baffle, 0.0)
    if port.shape == "round":
        outer = _size(port.bore) + 2.0 * port.wall
        return port.count * math.pi * outer**2 / 4.0 * inside
    height = _size(port.height) + (1 if port.walls_shared else 2) * port.wall
    width = _size(port.width) + (0 if port.walls_shared == 3 else 2) * port.wall
    return port.count * width * height * inside

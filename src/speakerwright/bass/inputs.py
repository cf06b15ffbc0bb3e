"""What the bass of one chamber is worked out from, gathered from the design."""

from __future__ import annotations

import math
from dataclasses import dataclass

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.movingcoil import MovingCoil
from speakerwright.circuits.parts import (
    Inductor,
    OnePort,
    Parallel,
    PowerLawInductor,
    Resistor,
    SemiInductor,
    Series,
    WrightInductor,
)
from speakerwright.design.document import Design
from speakerwright.design.motor import Motor, figure, motor, suspended
from speakerwright.design.records import Record, VoiceCoilInductance
from speakerwright.design.sections.bass import BassChamber
from speakerwright.design.sections.crossover import HandOver
from speakerwright.words.evidence import Evidence

SOLID_ANGLE = {
    "free": 4.0 * math.pi,
    "floor": 2.0 * math.pi,
    "wall": 2.0 * math.pi,
    "recess": 2.0 * math.pi,
    "corner": 0.5 * math.pi,  # on the floor between two walls
}


@dataclass(frozen=True)
class Seat:
    """The room that a port and a magnet have inside: what the cabinet's decided sizes leave.

    `behind_mouth` is the clear distance (m) from the baffle's front face to the facing wall,
    `depth` the clear inside depth, `height` and `width` the chamber's clear height and width,
    `baffle` the thickness of the baffle; None where the cabinet does not say. `mouths` are the
    middles of the ports (m) from the left and lower inside, seen from the front.
    """

    behind_mouth: float | None = None
    depth: float | None = None
    width: float | None = None
    height: float | None = None
    baffle: float = 0.018
    mouths: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Ratings:
    """What the driver survives: one-way linear and damaging excursion (m), noise power (W)."""

    xmax: float | None
    xdamage: float | None
    power: float | None
    power_standard: str | None
    evidence: Evidence


@dataclass(frozen=True)
class Amplifier:
    """The amplifier's limits: rms volts, and peak volts and amps where known."""

    volts: float
    peak_voltage: float | None
    peak_current: float | None


@dataclass(frozen=True)
class PassiveFigures:
    """One passive radiator of `count`: area m², moving mass with what is added kg, SI springs.

    `xmax` is its one-way linear travel in m, None where the record has none.
    """

    name: str
    sd: float
    mass: float
    cms: float
    rms: float
    count: int
    xmax: float | None


@dataclass(frozen=True)
class ChamberInput:
    """Everything one chamber's bass rests on; frozen and hashable.

    `hand_over` is where its driver takes over from another; None for the lowest.
    """

    name: str
    chamber: BassChamber
    motor: MovingCoil
    evidence: Evidence
    count: int
    wiring: str
    inductance: VoiceCoilInductance | None
    ratings: Ratings
    amplifier: Amplifier
    air: Air
    solid_angle: float
    on_floor: bool
    seat: Seat
    driver_name: str
    hand_over: HandOver | None = None
    passive: PassiveFigures | None = None


def chamber_input(design: Design, name: str, seat: Seat) -> ChamberInput:
    """Gather one chamber's inputs; raises `design.motor.Incomplete` for a poor record."""
    decided = design.decided
    chamber = decided.bass[name]
    job = chamber.loads[0]
    choice = decided.drivers[job]
    record = design.record(choice.record)
    climate, amplifier = decided.brief.air, decided.brief.amplifier
    air = Air(climate.temperature, climate.pressure, climate.humidity)
    completed: Motor = motor(record, air)
    inductance, _ = figure(record, "inductance")
    return ChamberInput(
        name=name,
        chamber=chamber,
        motor=completed.coil,
        evidence=completed.evidence,
        count=choice.count,
        wiring=choice.wiring,
        inductance=inductance,  # type: ignore[arg-type]
        ratings=_ratings(record),
        amplifier=Amplifier(
            math.sqrt(amplifier.power * amplifier.load),
            amplifier.peak_voltage,
            amplifier.peak_current,
        ),
        air=air,
        solid_angle=SOLID_ANGLE[decided.brief.place.kind],
        on_floor=decided.brief.place.kind in ("floor", "corner"),
        seat=seat,
        driver_name=record.name,
        hand_over=_taken_over(design, job),
        passive=_passive(design, chamber, air),
    )


def _passive(design: Design, chamber: BassChamber, air: Air) -> PassiveFigures | None:
    """The chamber's passive radiators; raises `design.motor.Incomplete` for a poor record."""
    wanted = chamber.passive
    if wanted is None:
        return None
    record = design.record(wanted.record)
    cone = suspended(record, air)
    xmax, _ = figure(record, "xmax")
    return PassiveFigures(record.name, cone.sd, cone.mms + wanted.added_mass, cone.cms, cone.rms,
                          wanted.count, xmax)


def _taken_over(design: Design, job: str) -> HandOver | None:
    """The hand-over from which a job starts; of several, the highest."""
    found = [over for name, over in design.decided.crossover.items()
             if name.split("_")[-1] == job]
    return max(found, key=lambda over: over.frequency, default=None)


def _ratings(record: Record) -> Ratings:
    xmax, evidence = figure(record, "xmax")
    xdamage, _ = figure(record, "xdamage")
    power, _ = figure(record, "power")
    return Ratings(xmax, xdamage, power, record.datasheet.power_standard, evidence)


def voice_coil(law: VoiceCoilInductance | None, scale: float) -> tuple[OnePort, ...]:
    """The voice coil's inductance as parts in series, each impedance multiplied by `scale`."""
    if law is None:
        return ()
    if law.law == "plain":
        return (Inductor("le", "", "", _given(law.le) * scale),)
    if law.law == "l2r2":
        eddy = Parallel("eddy", "", "", (
            Inductor("l2", "", "", _given(law.l2) * scale),
            Resistor("r2", "", "", _given(law.r2) * scale),
        ))
        return (Inductor("le", "", "", _given(law.le) * scale), eddy)
    if law.law == "power":
        return (PowerLawInductor("le", "", "", _given(law.k) * scale, _given(law.n)),)
    if law.law == "wright":
        return (WrightInductor("le", "", "", _given(law.kr) * scale, _given(law.xr),
                               _given(law.ki) * scale, _given(law.xi)),)
    semi = Parallel("eddy", "", "", (
        Inductor("le", "", "", _given(law.le) * scale),
        SemiInductor("ke", "", "", _given(law.ke) * scale),
        Resistor("rss", "", "", _given(law.rss) * scale),
    ))
    return (Inductor("leb", "", "", _given(law.leb) * scale), semi)


def _given(value: float | None) -> float:
    if value is None:  # the section's validator has seen to it
        raise ValueError("the inductance law lacks a figure")
    return value


@dataclass(frozen=True)
class Equivalent:
    """Several equal drivers as one: SI figures as the amplifier and the box see them."""

    re: float
    bl: float
    mms: float
    cms: float
    rms: float
    sd: float
    coil: Series

    @property
    def fs(self) -> float:
        """Resonance in Hz; the same as each driver's."""
        return 1.0 / (2.0 * math.pi * math.sqrt(self.mms * self.cms))


def equivalent(inputs: ChamberInput) -> Equivalent:
    """`count` equal drivers in one chamber, in series or parallel, as one driver.

    They move alike, so force, mass and area add; in series resistance and force factor add, in
    parallel the resistance is shared.
    """
    n, one = inputs.count, inputs.motor
    scale = float(n) if inputs.wiring == "series" else 1.0 / n
    bl = one.bl * n if inputs.wiring == "series" else one.bl
    coil = Series("coil", "coil in", "coil out", (
        Resistor("re", "", "", one.re * scale), *voice_coil(inputs.inductance, scale),
    ))
    return Equivalent(
        one.re * scale, bl, one.mms * n, one.cms / n, one.rms * n, one.sd * n, coil
    )

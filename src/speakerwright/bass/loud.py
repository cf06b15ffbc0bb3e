"""What happens when a chamber is played loud: a hot coil, turbulent ports, and what is left.

Levels here are those of the circuit with a warmer coil and with ports whose resistance belongs to
their flow. What the cone's travel does to the sound is told by `distortion`. Active filters are
left out: every voltage is that at the amplifier's terminals.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from speakerwright.acoustics.heat import COPPER, RATED_RISE, REFERENCE_TEMPERATURE_C
from speakerwright.acoustics.largesignal.port import port_compression, port_loss
from speakerwright.acoustics.pistons import level_db, pressure_from_volume_velocity
from speakerwright.acoustics.spectra import third_octave_level_db, third_octaves
from speakerwright.bass.loadings import CONE, SOURCE, Circuit, circuit
from speakerwright.bass.loud_driver import LoudInput, loud_input
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import Complex, OnePort, Part, Real, Series

__all__ = [
    "SHARES", "Answer", "Compression", "LoudInput", "LoudLimits", "Programme", "answer", "at_level",
    "compression", "long_volts", "loud_input", "loud_limits", "settled_rise",
]

SHARES = (0.1, 0.125, 0.25, 0.5, 1.0)
"""Shares of the limit voltage that compression is shown at."""

COIL = "coil"  # the branch of the voice coil in every chamber's network


@dataclass(frozen=True)
class Programme:
    """A steady programme: its spectrum's name, and the band (Hz) that reaches the driver."""

    spectrum: str = "programme"
    low: float = 20.0
    high: float = 1000.0

    def bands(self) -> tuple[Real, Real]:
        """Band centres in Hz and the share of the squared voltage in each, which sum to one."""
        centre = third_octaves(self.low, self.high)
        share = 10.0 ** (third_octave_level_db(self.spectrum, centre) / 10.0)
        return centre, share / share.sum()


@dataclass(frozen=True, eq=False)
class _ResistanceOverFrequency(OnePort):
    """A resistance that differs from frequency to frequency, `values` (f,)."""

    values: Real

    def impedance(self, omega: Real) -> Complex:
        return np.broadcast_to(self.values, omega.shape).astype(np.complex128)


@dataclass(frozen=True, eq=False)
class Answer:
    """What 1 V (rms) does over frequency (f,) with a coil and ports in a given state.

    `pressure` (Pa, rms) at 1 m, peak `excursion` (m), peak `flows` (m³/s) of the openings
    (openings, f), peak travel `drones` (m) of passive radiators (drones, f), `current` (A, rms) at
    the amplifier, `heat` (W) in all coils.
    """

    frequency: Real
    pressure: Complex
    excursion: Real
    flows: Real
    drones: Real
    current: Real
    heat: Real

    def __post_init__(self) -> None:
        for each in (self.pressure, self.excursion, self.flows, self.drones, self.current,
                     self.heat):
            each.setflags(write=False)

    def level_db(self, volts: float | Real) -> Real:
        """Level in dB at 1 m for a voltage (rms)."""
        return level_db(self.pressure * volts)


def answer(
    loud: LoudInput, made: Circuit, frequency: Real, rise: float = 0.0,
    turbulence: Real | None = None,
) -> Answer:
    """Solve a chamber's circuit with warmer coils and with resistances in its openings.

    Parameters
    ----------
    loud : LoudInput
        The chamber.
    made : Circuit
        Its circuit, cold and without turbulence.
    frequency : ndarray
        In Hz, shape (f,).
    rise : float
        Of the coils in K.
    turbulence : ndarray, optional
        Resistance in Pa s/m³ in each opening, shape (openings, f).

    Returns
    -------
    Answer
        For 1 V.
    """
    added: dict[str, OnePort] = {COIL: _ResistanceOverFrequency(
        "heat", "", "", np.array(made.driver.re * COPPER * rise))}
    if turbulence is not None:
        for opening, values in zip(made.openings, turbulence, strict=True):
            added[opening.ends[0]] = _ResistanceOverFrequency("turbulence", "", "", values)
    solution = _with(made.network, added).solve(frequency)
    omega, root = 2.0 * math.pi * frequency, math.sqrt(2.0)
    flow = sum((solution.current(branch) * area for branch, area in made.radiating.items()),
               start=np.zeros(frequency.shape, dtype=np.complex128))
    air, angle = loud.chamber.air, loud.chamber.solid_angle
    flows = [root * np.abs(solution.current(opening.ends[0])) for opening in made.openings]
    drones = [root * np.abs(solution.current(each.branch)) / omega for each in made.moving]
    hot = made.driver.re * (1.0 + COPPER * rise)
    return Answer(
        frequency=frequency,
        pressure=pressure_from_volume_velocity(frequency, flow, 1.0, air, angle),
        excursion=root * np.abs(solution.current(CONE)) / omega,
        flows=np.array(flows).reshape(-1, frequency.size),
        drones=np.array(drones).reshape(-1, frequency.size),
        current=np.abs(solution.current(SOURCE)),
        heat=hot * np.abs(solution.current(COIL)) ** 2,
    )


def _with(network: Network, added: dict[str, OnePort]) -> Network:
    """A network with parts put in series into its branches, by the branch's name."""
    parts: list[Part] = []
    for part in network.parts:
        extra = added.get(part.name)
        if extra is None:
            parts.append(part)
        elif isinstance(part, Series):
            parts.append(replace(part, parts=(*part.parts, extra)))
        elif isinstance(part, OnePort):
            parts.append(Series(part.name, part.a, part.b, (part, extra)))
        else:
            raise ValueError(f"{part.name} is no branch")
    return Network(tuple(parts))


def at_level(
    loud: LoudInput, made: Circuit, frequency: Real, volts: float, rise: float = 0.0
) -> Answer:
    """The circuit at a sine's voltage: ports with the resistance that belongs to their flow.

    Parameters
    ----------
    loud : LoudInput
        The chamber.
    made : Circuit
        Its circuit, cold and without turbulence.
    frequency : ndarray
        In Hz, shape (f,).
    volts : float
        At the amplifier, rms.
    rise : float
        Of the coils in K.

    Returns
    -------
    Answer
        For 1 V, as it is at that voltage.
    """
    if not made.openings:
        return answer(loud, made, frequency, rise)

    def flow_at(resistance: Real) -> Real:
        return volts * answer(loud, made, frequency, rise, _each(made, resistance)).flows

    settled = port_compression(flow_at, _losses(loud, made))
    return answer(loud, made, frequency, rise, settled.resistance)


def _each(made: Circuit, resistance: Real) -> Real:
    return np.broadcast_to(resistance, (len(made.openings), resistance.shape[-1]))


def _losses(loud: LoudInput, made: Circuit) -> Real:
    """Quadratic loss of each opening in Pa s²/m⁶, shape (openings, 1)."""
    density = loud.chamber.air.density
    return np.array([[port_loss(each.area, density, loud.port_coefficient)]
                     for each in made.openings])


def settled_rise(
    loud: LoudInput, made: Circuit, volts: float, programme: Programme
) -> float:
    """Rise in K at which the coils settle on a long programme of a voltage (rms).

    Heat from the circuit with the hot coil and heat led away agree; ports are taken without
    turbulence, which changes the coil's current little. Zero where the heat's way is not known.
    Raises ArithmeticError where no temperature up to 10000 K does.
    """
    if loud.heat is None or volts == 0.0:
        return 0.0
    way = loud.heat.resistance()

    def excess(rise: float) -> float:
        return way * _coil_power(loud, made, volts, rise, programme) - rise

    from scipy.optimize import brentq

    highest = excess(0.0)
    while excess(highest) > 0.0:  # near an impedance peak a warmer coil takes more, not less
        highest *= 2.0
        if highest > 1e4:
            raise ArithmeticError("the coil finds no temperature at this voltage")
    return float(brentq(excess, 0.0, highest, xtol=1e-4))


def _coil_power(
    loud: LoudInput, made: Circuit, volts: float, rise: float, programme: Programme
) -> float:
    """Heat in W in one driver's coil."""
    centre, share = programme.bands()
    taken = volts**2 * np.sum(share * answer(loud, made, centre, rise).heat)
    return float(taken / loud.chamber.count)


def long_volts(loud: LoudInput, programme: Programme) -> float:
    """The voltage (rms) of a programme that a chamber bears for long.

    The lower of the amplifier's and that at which the coils settle 180 K warmer (rule of thumb).
    """
    volts = loud.chamber.amplifier.volts
    if loud.heat is None:
        return volts
    once = _coil_power(loud, circuit(loud.chamber), 1.0, RATED_RISE, programme)
    return min(volts, math.sqrt(RATED_RISE / (loud.heat.resistance() * once)))


@dataclass(frozen=True, eq=False)
class Compression:
    """Levels at several voltages (v,), over frequency (f,), and what they lack.

    A sine of the voltage stands on coils heated for long by a programme of the same rms voltage.
    `level_db` (v, f) at 1 m; `compression_db` (v, f) against the cold circuit without turbulence;
    `heat_db` (v, f) of it from the coils; the rest is the ports'. `temperature_c` (v,) is that of
    the coils in a room of 20 degrees.
    """

    frequency: Real
    volts: Real
    temperature_c: Real
    level_db: Real
    compression_db: Real
    heat_db: Real
    assumed: tuple[str, ...]

    def __post_init__(self) -> None:
        for each in (self.frequency, self.volts, self.temperature_c, self.level_db,
                     self.compression_db, self.heat_db):
            each.setflags(write=False)


def compression(
    loud: LoudInput, volts: Sequence[float], frequency: Real, programme: Programme | None = None
) -> Compression:
    """Levels and their compression at several voltages, such as `SHARES` of `long_volts`.

    Parameters
    ----------
    loud : LoudInput
        The chamber.
    volts : sequence of float
        At the amplifier, rms, each above zero.
    frequency : ndarray
        In Hz, shape (f,).
    programme : Programme, optional
        What heats the coils.

    Returns
    -------
    Compression
        Positive for a loss.
    """
    made, music = circuit(loud.chamber), programme or Programme()
    cold = answer(loud, made, frequency).level_db(1.0)
    levels, heats, rises = [], [], []
    for voltage in volts:
        rise = settled_rise(loud, made, voltage, music)
        rises.append(rise)
        heats.append(cold - answer(loud, made, frequency, rise).level_db(1.0))
        levels.append(at_level(loud, made, frequency, voltage, rise).level_db(voltage))
    given = np.array(volts, dtype=float)
    level = np.array(levels)
    return Compression(
        frequency=np.array(frequency), volts=given,
        temperature_c=REFERENCE_TEMPERATURE_C + np.array(rises), level_db=level,
        compression_db=cold + 20.0 * np.log10(given)[:, None] - level, heat_db=np.array(heats),
        assumed=loud.assumed,
    )


@dataclass(frozen=True, eq=False)
class LoudLimits:
    """How loud for a moment and for long, over frequency (f,), at 1 m.

    `peak_db` is the rms level of the largest sine while the coils are cold, by the linear excursion
    of the cone and of passive radiators and by the amplifier, turbulence in the ports counted;
    `peak_volts` its voltage, `air_speed` (m/s, peak) that in the fastest opening then, zero where
    there is none. `long_db` is what a sine of `long_volts` makes on coils that a programme of that
    voltage has warmed to `temperature_c`.
    """

    frequency: Real
    peak_db: Real
    peak_volts: Real
    air_speed: Real
    long_db: Real
    long_volts: float
    temperature_c: float
    assumed: tuple[str, ...]

    def __post_init__(self) -> None:
        for each in (self.frequency, self.peak_db, self.peak_volts, self.air_speed,
                     self.long_db):
            each.setflags(write=False)


def loud_limits(
    loud: LoudInput, frequency: Real, programme: Programme | None = None
) -> LoudLimits:
    """Level limits of short peaks on cold coils, and of a long programme on hot ones.

    Parameters
    ----------
    loud : LoudInput
        The chamber.
    frequency : ndarray
        In Hz, shape (f,).
    programme : Programme, optional
        What heats the coils.

    Returns
    -------
    LoudLimits
        At 1 m.
    """
    made, music = circuit(loud.chamber), programme or Programme()
    level, volts, speed = _peaks(loud, made, frequency)
    steady = long_volts(loud, music)
    rise = settled_rise(loud, made, steady, music)
    return LoudLimits(
        frequency=np.array(frequency), peak_db=level, peak_volts=volts, air_speed=speed,
        long_db=at_level(loud, made, frequency, steady, rise).level_db(steady),
        long_volts=steady, temperature_c=REFERENCE_TEMPERATURE_C + rise, assumed=loud.assumed,
    )


def _peaks(loud: LoudInput, made: Circuit, frequency: Real) -> tuple[Real, Real, Real]:
    """Level, voltage and air speed of the largest cold sine: the lowest of all limits."""
    states = [_of_excursion(loud, made, frequency, which) for which in range(-1, len(made.moving))
              if _travel(loud, made, which) is not None]
    amplifier = loud.chamber.amplifier
    most = amplifier.volts
    if amplifier.peak_voltage is not None:
        most = min(most, amplifier.peak_voltage / math.sqrt(2.0))
    loudest = at_level(loud, made, frequency, most)
    volts = np.full(frequency.shape, most)
    if amplifier.peak_current is not None:
        volts = np.minimum(volts, amplifier.peak_current / math.sqrt(2.0) / loudest.current)
    states.append((loudest, volts))
    every = np.array([voltage for _, voltage in states])
    levels = np.array([state.level_db(voltage) for state, voltage in states])
    areas = np.array([[each.area] for each in made.openings]).reshape(-1, 1)
    speeds = np.array([np.max(state.flows / areas, axis=0, initial=0.0) * voltage
                       for state, voltage in states])
    lowest = np.argmin(every, axis=0), np.arange(frequency.size)
    return levels[lowest], every[lowest], speeds[lowest]


def _travel(loud: LoudInput, made: Circuit, which: int) -> float | None:
    """Linear travel in m of the cone (-1) or of a passive radiator; None where not known."""
    return loud.chamber.ratings.xmax if which < 0 else made.moving[which].xmax


def _of_excursion(
    loud: LoudInput, made: Circuit, frequency: Real, which: int
) -> tuple[Answer, Real]:
    """The circuit where the cone or a radiator just reaches its linear travel, and the voltage."""
    travel = _travel(loud, made, which)
    assert travel is not None

    def moved(found: Answer) -> Real:
        return found.excursion if which < 0 else found.drones[which]

    def flow_at(resistance: Real) -> Real:
        found = answer(loud, made, frequency, 0.0, _each(made, resistance))
        return travel / moved(found) * found.flows

    turbulence = None
    if made.openings:
        turbulence = port_compression(flow_at, _losses(loud, made)).resistance
    found = answer(loud, made, frequency, 0.0, turbulence)
    return found, travel / moved(found)

"""How clean: harmonics of a chamber at a voltage, from the motion in time."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.heat import hot_resistance
from speakerwright.acoustics.largesignal.model import AirBox, Inductance, LargeSignal, Outlet
from speakerwright.acoustics.largesignal.motion import Diverged
from speakerwright.acoustics.largesignal.port import port_loss
from speakerwright.acoustics.largesignal.tones import Tone, steady_tone
from speakerwright.acoustics.movingcoil import MovingCoil
from speakerwright.acoustics.pistons import level_db, pressure_from_volume_velocity
from speakerwright.bass.inputs import Equivalent, voice_coil
from speakerwright.bass.loadings import BOX, Circuit, circuit
from speakerwright.bass.loud_driver import LoudInput
from speakerwright.circuits.network import Solution
from speakerwright.circuits.parts import Complex, Real
from speakerwright.design.records import VoiceCoilInductance

IN_TIME = ("closed", "vented", "passive-radiator")
FIT_BAND = (20.0, 1000.0)  # Hz, where other laws of inductance are followed
DEFAULT = np.geomspace(20.0, 300.0, 24)
DEFAULT.setflags(write=False)


class NotInTime(ValueError):
    """A chamber whose motion in time is not worked out; the message says which are."""


class Stopped(Exception):
    """It was stopped before it had a result."""


def in_time(loud: LoudInput, rise: float = 0.0) -> LargeSignal:
    """A chamber as lumped parts for the motion in time.

    Box and port are taken from the solved circuit at the chamber's resonance, so that they are the
    same there; a port's own pipe resonance and what its losses do elsewhere are left out.

    Parameters
    ----------
    loud : LoudInput
        The chamber: closed, vented or with passive radiators.
    rise : float
        Of the coils in K.

    Returns
    -------
    LargeSignal
        All drivers of the chamber as one.

    Raises
    ------
    NotInTime
        For another loading.
    """
    inputs = loud.chamber
    if inputs.chamber.loading not in IN_TIME:
        raise NotInTime(f"harmonics are worked out for {', '.join(IN_TIME)} chambers only")
    made = circuit(inputs)
    solved = made.network.solve(np.array([made.resonance]))
    driver, passed = made.driver, inputs.chamber.high_pass
    capacitor = None if passed is None else passed.capacitor
    return LargeSignal(
        coil=_as_one(driver, rise),
        box=_air(made, solved),
        inductance=lumped_inductance(inputs.inductance, inputs.motor.re, driver.re),
        outlet=_outlet(loud, made, solved),
        shapes=loud.shapes,
        source_resistance=inputs.chamber.source_resistance,
        series_capacitor=math.inf if capacitor is None else capacitor,
        creep=loud.creep,
    )


def _as_one(driver: Equivalent, rise: float) -> MovingCoil:
    return MovingCoil(re=hot_resistance(driver.re, rise), bl=driver.bl, mms=driver.mms,
                      cms=driver.cms, rms=driver.rms, sd=driver.sd)


def _air(made: Circuit, solved: Solution) -> AirBox:
    """The box's air at the resonance: its stiffness and losses there, fill included.

    A port's air that is squeezed rather than moved counts with the box.
    """
    omega = 2.0 * math.pi * made.resonance
    impedance = 1.0 / _admittance(solved, f"{BOX} air")
    compliance = -1.0 / (omega * impedance.imag)
    for opening in made.openings:
        kept = _admittance(solved, opening.ends[0]) - _admittance(solved, opening.ends[-1])
        compliance += kept.imag / omega
    leak = f"{BOX} leak"
    leaking = _admittance(solved, leak).real if leak in solved.currents else 0.0
    return AirBox(compliance, leaking, max(impedance.real, 0.0))


def _admittance(solved: Solution, branch: str) -> complex:
    """Flow through a branch over the pressure in the box."""
    return complex((solved.current(branch) / solved.voltage(BOX))[0])


def _outlet(loud: LoudInput, made: Circuit, solved: Solution) -> Outlet | None:
    drone, inputs = loud.chamber.passive, loud.chamber
    if drone is not None and made.moving:
        whole = drone.count * drone.sd**2
        return Outlet(drone.mass / whole, drone.rms / whole, 0.0, whole * drone.cms)
    if not made.openings:
        return None
    opening = made.openings[0]
    impedance = 1.0 / _admittance(solved, opening.ends[-1])
    loss = port_loss(opening.area, inputs.air.density, loud.port_coefficient)
    return Outlet(impedance.imag / (2.0 * math.pi * made.resonance), max(impedance.real, 0.0), loss)


def lumped_inductance(law: VoiceCoilInductance | None, re: float, wired: float) -> Inductance:
    """A voice coil's inductance as an inductor and a lossy branch, for the motion in time.

    Exact for the laws that are such parts; other laws are followed between 20 Hz and 1 kHz by least
    squares over the whole impedance: to a twentieth of it below 500 Hz, a tenth at 1 kHz, and worse
    above, where the fundamental is no longer asked for.

    Parameters
    ----------
    law : VoiceCoilInductance or None
        One driver's.
    re : float
        One driver's resistance in ohm.
    wired : float
        Resistance of all drivers as wired, whose ratio to `re` scales the inductance.

    Returns
    -------
    Inductance
        Of all drivers as wired.
    """
    if law is None:
        return Inductance()
    scale = wired / re
    if law.law == "plain":
        return Inductance((law.le or 0.0) * scale)
    if law.law == "l2r2":
        return Inductance(*(scale * (part or 0.0) for part in (law.le, law.l2, law.r2)))
    omega = 2.0 * math.pi * np.geomspace(*FIT_BAND, 60)
    wanted = np.asarray(sum(part.impedance(omega) for part in voice_coil(law, 1.0)))
    return _fitted(omega, wanted, re, scale)


def _fitted(omega: Real, wanted: Complex, re: float, scale: float) -> Inductance:
    from scipy.optimize import least_squares

    def off(logs: Real) -> Real:
        le, l2, r2 = np.exp(logs)
        made = 1j * omega * le + 1j * omega * l2 * r2 / (r2 + 1j * omega * l2)
        error = (made - wanted) / np.abs(wanted + re)
        return np.concatenate([error.real, error.imag])

    largest = float(np.abs(wanted[-1]))
    start = np.log([largest / omega[-1] / 3.0, largest / omega[-1], largest])
    return Inductance(*(float(scale * part) for part in np.exp(least_squares(off, start).x)))


@dataclass(frozen=True, eq=False)
class Distortion:
    """Harmonics of the sound pressure at a voltage, over the frequencies (f,) of the tone.

    `second`, `third` and `total` (second to tenth) are ratios of amplitudes to the fundamental.
    `second` is not a number where the curves are assumed, since even shapes tell nothing of it; the
    total then lacks the even ones. `level_db` is the fundamental's at 1 m; `excursion` (m) the
    largest to either side; `shift` (m) the mean displacement, outward. `settled` says whether the
    motion came to repeat, `beyond` whether it left the range of the curves. All is not a number
    where the motion grew without bound.
    """

    frequency: Real
    volts: Real
    level_db: Real
    second: Real
    third: Real
    total: Real
    excursion: Real
    shift: Real
    settled: npt.NDArray[np.bool_]
    beyond: npt.NDArray[np.bool_]
    assumed: tuple[str, ...]

    def __post_init__(self) -> None:
        for each in (self.frequency, self.volts, self.level_db, self.second, self.third,
                     self.total, self.excursion, self.shift, self.settled, self.beyond):
            each.setflags(write=False)


def distortion(
    loud: LoudInput, volts: float | Real, frequencies: Real = DEFAULT, rise: float = 0.0,
    progress: Callable[[float, str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Distortion:
    """Harmonics of a chamber at a voltage.

    Parameters
    ----------
    loud : LoudInput
        The chamber.
    volts : float or ndarray
        At the amplifier, rms, above zero; one for all frequencies or shape (f,).
    frequencies : ndarray
        Of the tone in Hz, shape (f,), up to 1 kHz.
    rise : float
        Of the coils in K.
    progress : callable, optional
        Told the fraction done and a sentence after each frequency.
    cancelled : callable, optional
        Asked before each frequency.

    Returns
    -------
    Distortion
        At every frequency.

    Raises
    ------
    NotInTime
        For a loading whose motion is not worked out.
    Stopped
        When it was cancelled.
    """
    model = in_time(loud, rise)
    grid = np.array(frequencies, dtype=float)
    drive = np.array(np.broadcast_to(np.asarray(volts, dtype=float), grid.shape))
    tones: list[Tone | None] = []
    for k, frequency in enumerate(grid):
        if cancelled is not None and cancelled():
            raise Stopped
        try:
            tones.append(steady_tone(model, float(frequency), float(drive[k])))
        except Diverged:
            tones.append(None)
        if progress is not None:
            progress((k + 1) / grid.size, f"Harmonics at {frequency:.0f} Hz worked out.")
    return _gathered(loud, grid, drive, tones)


def _gathered(
    loud: LoudInput, grid: Real, drive: Real, tones: list[Tone | None]
) -> Distortion:
    def over(read: Callable[[Tone], float]) -> Real:
        return np.array([math.nan if tone is None else read(tone) for tone in tones])

    second = over(lambda tone: tone.harmonic(2))
    flow = over(lambda tone: float(abs(tone.volume_velocity[1])) / math.sqrt(2.0))
    inputs = loud.chamber
    pressure = pressure_from_volume_velocity(grid, flow, 1.0, inputs.air, inputs.solid_angle)
    return Distortion(
        frequency=grid, volts=drive, level_db=level_db(pressure),
        second=second if loud.even_known else np.full(grid.shape, math.nan),
        third=over(lambda tone: tone.harmonic(3)), total=over(lambda tone: tone.total()),
        excursion=over(lambda tone: tone.peak), shift=over(lambda tone: tone.shift),
        settled=np.array([tone is not None and tone.settled for tone in tones]),
        beyond=np.array([tone is None or tone.beyond for tone in tones]),
        assumed=loud.assumed,
    )

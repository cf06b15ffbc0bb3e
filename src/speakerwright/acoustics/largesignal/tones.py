"""A tone at a large level: its harmonics once the motion repeats itself."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.largesignal.model import LargeSignal, coil_current, volume_velocity
from speakerwright.acoustics.largesignal.motion import RATE, STIFFEST, march
from speakerwright.acoustics.limits import require_above_zero

HARMONICS = 10
BLOCK = 0.1  # s between two looks at whether the motion repeats
REPEATS = 1e-7  # rms difference of two periods over the rms of one, for it to count as repeating
LONGEST = 4.0  # s of motion before it is taken as it is


@dataclass(frozen=True, eq=False)
class Tone:
    """A driver's answer to a sine, once settled.

    `volume_velocity` (m^3/s), `displacement` (m) and `current` (A) are complex amplitudes (peak,
    not rms) of the harmonics, shape (h + 1,), number 0 the mean: the motion is the real part of
    their sum with exp(+j n w t), where the voltage is a cosine. `peak` (m) is the largest
    displacement to either side. `settled` says whether the motion repeats, `beyond` whether it
    leaves the range the curves are known over.
    """

    frequency: float
    volts: float
    volume_velocity: npt.NDArray[np.complex128]
    displacement: npt.NDArray[np.complex128]
    current: npt.NDArray[np.complex128]
    peak: float
    settled: bool
    beyond: bool

    def __post_init__(self) -> None:
        for each in (self.volume_velocity, self.displacement, self.current):
            each.setflags(write=False)

    @property
    def shift(self) -> float:
        """Mean displacement in m, outward."""
        return float(self.displacement[0].real)

    def harmonic(self, order: int) -> float:
        """A harmonic of the sound pressure over the fundamental, a ratio of amplitudes.

        The pressure of a small source goes with the frequency times its volume velocity.
        """
        flow = np.abs(self.volume_velocity)
        return float(order * flow[order] / flow[1])

    def total(self) -> float:
        """All harmonics from the second together over the fundamental, a ratio of amplitudes."""
        return math.hypot(*(self.harmonic(n) for n in range(2, self.volume_velocity.size)))


def steady_tone(
    model: LargeSignal, frequency: float, volts: float, harmonics: int = HARMONICS,
    rate: float = RATE, longest: float = LONGEST,
) -> Tone:
    """What a driver makes of a sine.

    The tone is faded in; then the motion runs on until two periods agree.

    Parameters
    ----------
    model : LargeSignal
        The driver on its box.
    frequency : float
        In Hz.
    volts : float
        At the amplifier in V, rms.
    harmonics : int
        The highest harmonic kept; its frequency must stay below a quarter of `rate`.
    rate : float
        Least number of steps a second.
    longest : float
        The longest motion in s; one that does not repeat by then is marked.

    Returns
    -------
    Tone
        Amplitudes of the harmonics.

    Raises
    ------
    ValueError
        For a frequency, voltage or number of harmonics out of range.
    motion.Diverged
        When the motion grows without bound.
    """
    require_above_zero(frequency=frequency, rate=rate, volts=volts)
    if harmonics < 1 or harmonics * frequency > rate / 4.0:
        raise ValueError("the highest harmonic must lie below a quarter of the rate")
    fast = max(rate, model.fastest() / STIFFEST)
    steps = math.ceil(fast / frequency)
    halves = math.sqrt(2.0) * volts * np.sin(math.pi * np.arange(2 * steps) / steps)
    states, settled = _settled(model, halves, 1.0 / (frequency * steps), longest)
    period, heard = states[:, :-1], halves[::2]
    low, high = model.curves.reach
    moved = states[2]
    return Tone(
        frequency=frequency, volts=volts,
        volume_velocity=_amplitudes(volume_velocity(model, period), harmonics),
        displacement=_amplitudes(period[2], harmonics),
        current=_amplitudes(coil_current(model, period, heard), harmonics),
        peak=float(np.max(np.abs(moved))),
        settled=settled,
        beyond=bool(np.any((moved < low) | (moved > high))),
    )


def _settled(
    model: LargeSignal, halves: FloatArray, step: float, longest: float
) -> tuple[FloatArray, bool]:
    """States over the last period (s, n + 1) and whether it repeats the one before."""
    steps = halves.size // 2
    block = max(2, math.ceil(BLOCK / (step * steps)))
    drive = np.append(np.tile(halves, block), halves[0])
    fade = np.sin(np.linspace(0.0, math.pi / 2.0, drive.size)) ** 2
    states = march(model, drive * fade, step)
    for _ in range(max(1, math.ceil(longest / (step * steps * block)))):
        states = march(model, drive, step, start=np.ascontiguousarray(states[:, -1]))
        last, before = states[:, -steps:], states[:, -2 * steps : -steps]
        if _alike(last[[2, 3]], before[[2, 3]]):
            return states[:, -steps - 1 :], True
    return states[:, -steps - 1 :], False


def _alike(one: FloatArray, other: FloatArray) -> bool:
    apart = np.sqrt(np.mean((one - other) ** 2, axis=-1))
    return bool(np.all(apart <= REPEATS * np.sqrt(np.mean(one**2, axis=-1))))


def _amplitudes(period: FloatArray, harmonics: int) -> npt.NDArray[np.complex128]:
    """Complex amplitudes (h + 1,) of one period that begins a quarter before the cosine."""
    lines = np.fft.rfft(period)[: harmonics + 1] / period.size
    turned = 2.0 * lines * 1j ** np.arange(lines.size)
    turned[0] = lines[0]
    return np.asarray(turned, dtype=np.complex128)

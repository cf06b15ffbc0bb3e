"""The motion of a driver on its box in time: the classical Runge-Kutta method, fourth order."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.largesignal.model import LargeSignal, rates
from speakerwright.acoustics.limits import require_above_zero

RATE = 48000.0
STIFFEST = 1.5  # largest rate times step; the method is stable to 2.78


@dataclass(frozen=True, eq=False)
class Motion:
    """What a simulation found: `states` (s, n) as `STATES`, at `rate` (Hz), for `volts` (n,)."""

    rate: float
    volts: FloatArray
    states: FloatArray

    def __post_init__(self) -> None:
        self.volts.setflags(write=False)
        self.states.setflags(write=False)

    @property
    def displacement(self) -> FloatArray:
        """Of the cone in m, outward, shape (n,)."""
        return np.asarray(self.states[2])


class Diverged(ValueError):
    """A motion that no step of this length follows."""


def upsampled(volts: npt.ArrayLike, factor: int, half_width: int = 32) -> FloatArray:
    """A signal between its samples: band-limited, by a sinc under a Kaiser window.

    Textbook interpolation (Oppenheim and Schafer); the window's beta 12 keeps the images about
    120 dB down. Flat to 0.44 of the rate. The signal is taken as zero outside. A straight line
    between samples instead would lose 5 % of a 5 kHz tone at 48 kHz in the middle.

    Parameters
    ----------
    volts : array_like
        Samples, shape (n,).
    factor : int
        New samples for each old one, 1 or above.
    half_width : int
        Old samples to each side that a new one rests on.

    Returns
    -------
    ndarray
        Shape ((n - 1) factor + 1,); every `factor`-th is an old sample.
    """
    signal = np.asarray(volts, dtype=float)
    fine = np.zeros((signal.size - 1) * factor + 1)
    fine[::factor] = signal
    taps = np.arange(-half_width, half_width)
    window = np.i0(12.0 * np.sqrt(np.maximum(0.0, 1.0 - (np.arange(
        -half_width * factor, half_width * factor + 1) / (half_width * factor)) ** 2)))
    window = window / np.i0(12.0)
    padded = np.concatenate([np.zeros(half_width), signal, np.zeros(half_width)])
    for phase in range(1, factor):
        away = phase / factor - (taps + 1)
        kernel = np.sinc(away) * window[phase - (taps + 1) * factor + half_width * factor]
        made = np.convolve(padded, kernel[::-1], mode="valid")
        fine[phase::factor] = made[1 : signal.size]
    return fine


def simulate(
    model: LargeSignal, volts: npt.ArrayLike, rate: float = RATE, start: FloatArray | None = None,
    compiled: bool = True,
) -> Motion:
    """Motion for a sampled voltage, by the classical Runge-Kutta method of fourth order.

    The voltage at the half steps is interpolated band-limited. Steps are shortened where the
    inductance asks for it.

    Parameters
    ----------
    model : LargeSignal
        The driver on its box.
    volts : array_like
        At the amplifier in V, shape (n,).
    rate : float
        Of the samples in Hz.
    start : ndarray, optional
        States at the first sample, shape (s,); at rest when left out.
    compiled : bool
        Whether to use the compiled loop where there is one; the plain one is the reference.

    Returns
    -------
    Motion
        At the samples of `volts`.

    Raises
    ------
    Diverged
        When the states leave every bound.
    """
    require_above_zero(rate=rate)
    signal = np.array(volts, dtype=float)
    if signal.ndim != 1 or signal.size < 2:
        raise ValueError("a voltage has two samples or more")
    parts = max(1, math.ceil(model.fastest() / rate / STIFFEST))
    fine = upsampled(signal, 2 * parts)
    states = march(model, fine, 1.0 / (rate * parts), parts, start, compiled)
    return Motion(rate, signal, states)


def march(
    model: LargeSignal, halves: FloatArray, step: float, keep: int = 1,
    start: FloatArray | None = None, compiled: bool = True,
) -> FloatArray:
    """States after every `keep` steps of the classical Runge-Kutta method.

    Parameters
    ----------
    model : LargeSignal
        The driver on its box.
    halves : ndarray
        Voltage in V at every half step, shape (2 n + 1,), `n` a multiple of `keep`.
    step : float
        Length of a step in s.
    keep : int
        Steps between kept states.
    start : ndarray, optional
        States at the start, shape (s,); at rest when left out.
    compiled : bool
        Whether to use the compiled loop where there is one.

    Returns
    -------
    ndarray
        Shape (s, n / keep + 1), the start first.

    Raises
    ------
    Diverged
        When the states leave every bound.
    """
    first = np.zeros(model.size) if start is None else np.array(start, dtype=float)
    loop = _compiled_loop if compiled else _plain_loop
    found = loop(model, np.ascontiguousarray(halves, dtype=float), step, keep, first)
    if not np.all(np.isfinite(found)):
        raise Diverged("the motion grows without bound: the voltage is far beyond the driver")
    return found


def _plain_loop(
    model: LargeSignal, halves: FloatArray, step: float, keep: int, state: FloatArray
) -> FloatArray:
    count = (halves.size - 1) // 2
    kept = np.empty((model.size, count // keep + 1))
    kept[:, 0] = state
    for n in range(count):
        before, middle, after = halves[2 * n : 2 * n + 3]
        one = rates(model, state, before)
        two = rates(model, state + step / 2.0 * one, middle)
        three = rates(model, state + step / 2.0 * two, middle)
        four = rates(model, state + step * three, after)
        state = state + step / 6.0 * (one + 2.0 * two + 2.0 * three + four)
        if (n + 1) % keep == 0:
            kept[:, (n + 1) // keep] = state
    return kept


def _compiled_loop(
    model: LargeSignal, halves: FloatArray, step: float, keep: int, state: FloatArray
) -> FloatArray:
    try:
        from speakerwright.acoustics.largesignal.compiled import loop
    except ImportError:  # without the compiler the plain loop serves, some hundred times slower
        return _plain_loop(model, halves, step, keep, state)
    kept = np.empty((model.size, (halves.size - 1) // 2 // keep + 1))
    loop(halves, step, keep, state, _figures(model), model.creep_rates, *_tables(model), kept)
    return kept


def _figures(model: LargeSignal) -> FloatArray:
    """The figures of a model in the order that the compiled loop reads them."""
    coil, box, part, out = model.coil, model.box, model.inductance, model.outlet
    return np.array([
        model.resistance, part.le, part.l2, part.r2, 1.0 / model.series_capacitor,
        coil.bl, coil.mms, coil.rms, 1.0 / model.compliance, coil.sd,
        1.0 / box.compliance, box.leak, box.absorption,
        0.0 if out is None else 1.0 / out.mass, 0.0 if out is None else out.resistance,
        0.0 if out is None else out.loss, 0.0 if out is None else 1.0 / out.compliance,
        model.creep_compliance,
    ])


def _tables(model: LargeSignal) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ranges (3, 2), values (3, p) and slopes (3, p) of force factor, stiffness, inductance."""
    curves = (model.curves.bl, model.curves.kms, model.curves.le)
    return (
        np.array([(curve.low, curve.high) for curve in curves]),
        np.stack([curve.values for curve in curves]),
        np.stack([curve.slopes for curve in curves]),
    )

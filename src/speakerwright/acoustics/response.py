"""Complex frequency responses: one type for every one there is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.pistons import REFERENCE_PRESSURE, ComplexArray
from speakerwright.words.evidence import Evidence


def _fixed(values: npt.ArrayLike, kind: type) -> npt.NDArray[Any]:
    array: npt.NDArray[Any] = np.array(values, dtype=kind)
    array.setflags(write=False)
    return array


@dataclass(frozen=True, eq=False)
class Response:
    """Sound pressure per volt at 1 m, on one time reference.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), ascending, above zero, finite.
    pressure : array_like
        Complex pressure in Pa/V (rms over rms) at 1 m, shape (..., f), exp(+j omega t).
    evidence : Evidence
        Whether it is from a datasheet, simulated or measured.
    source : str
        Where it comes from, in words.
    valid : tuple of float
        Lowest and highest frequency in Hz where it is to be trusted.
    direction_deg : array_like
        Angle or angles from the axis in degrees: one number, or shape (...) as `pressure` has
        before its last axis.

    Raises
    ------
    ValueError
        When shapes do not fit, frequencies do not ascend above zero, a pressure is not finite, or
        the valid range is empty.
    """

    frequency: FloatArray
    pressure: ComplexArray
    evidence: Evidence
    source: str
    valid: tuple[float, float] = (0.0, math.inf)
    direction_deg: npt.ArrayLike = 0.0

    def __post_init__(self) -> None:
        frequency = _fixed(self.frequency, float)
        pressure = _fixed(self.pressure, complex)
        direction = _fixed(self.direction_deg, float)
        _check(frequency, pressure, direction)
        low, high = self.valid
        if not 0.0 <= low < high:
            raise ValueError("the valid range must run from a lower to a higher frequency")
        object.__setattr__(self, "frequency", frequency)
        object.__setattr__(self, "pressure", pressure)
        object.__setattr__(self, "direction_deg", direction)
        object.__setattr__(self, "valid", (float(low), float(high)))

    def level_db(self, volts: float = 2.83) -> FloatArray:
        """Level in dB re 20 uPa at 1 m for an rms voltage; shape of `pressure`."""
        with np.errstate(divide="ignore"):
            return np.asarray(20.0 * np.log10(np.abs(self.pressure) * volts / REFERENCE_PRESSURE))

    def at(self, frequency: npt.ArrayLike) -> ComplexArray:
        """Pressure per volt at other frequencies.

        Magnitude and unwrapped phase are interpolated over the logarithm of frequency, so the grid
        must be fine enough for phase to turn less than half a turn from one point to the next.

        Parameters
        ----------
        frequency : array_like
            Frequencies in Hz inside the grid, shape (g,).

        Returns
        -------
        ndarray of complex
            Pa/V, shape (..., g).

        Raises
        ------
        ValueError
            For a frequency outside the grid.
        """
        wanted = np.atleast_1d(np.asarray(frequency, dtype=float))
        if np.any(wanted < self.frequency[0]) or np.any(wanted > self.frequency[-1]):
            raise ValueError("the frequency lies outside the response")
        x, grid = np.log(wanted), np.log(self.frequency)
        rows = self.pressure.reshape(-1, self.frequency.size)
        magnitude, phase = np.abs(rows), np.unwrap(np.angle(rows), axis=-1)
        found = [
            np.interp(x, grid, m) * np.exp(1j * np.interp(x, grid, p))
            for m, p in zip(magnitude, phase, strict=True)
        ]
        return np.asarray(found, dtype=complex).reshape(*self.pressure.shape[:-1], wanted.size)

    def __add__(self, other: Response) -> Response:
        """The sum on the same grid and directions: weaker evidence, common valid range."""
        if not np.array_equal(self.frequency, other.frequency):
            raise ValueError("responses must stand on the same frequencies to be added")
        if not np.array_equal(np.asarray(self.direction_deg), np.asarray(other.direction_deg)):
            raise ValueError("responses must have the same directions to be added")
        order = tuple(Evidence)
        return Response(
            self.frequency,
            self.pressure + other.pressure,
            min(self.evidence, other.evidence, key=order.index),
            self.source if self.source == other.source else f"{self.source} + {other.source}",
            (max(self.valid[0], other.valid[0]), min(self.valid[1], other.valid[1])),
            self.direction_deg,
        )


def _check(frequency: FloatArray, pressure: ComplexArray, direction: FloatArray) -> None:
    if frequency.ndim != 1 or frequency.size == 0:
        raise ValueError("frequency must be a row of at least one value")
    if not np.all(np.isfinite(frequency)) or frequency[0] <= 0.0:
        raise ValueError("frequencies must be finite and above zero")
    if np.any(np.diff(frequency) <= 0.0):
        raise ValueError("frequencies must ascend")
    if pressure.ndim < 1 or pressure.shape[-1] != frequency.size:
        raise ValueError("pressure must have one value per frequency on its last axis")
    if not np.all(np.isfinite(pressure)):
        raise ValueError("pressure must be finite")
    if direction.shape not in ((), pressure.shape[:-1]):
        raise ValueError("directions must fit the pressure's axes before frequency")

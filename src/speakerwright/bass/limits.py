"""How loud: the level each limit allows at every frequency, and which of them binds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from speakerwright.bass.inputs import ChamberInput
from speakerwright.circuits.parts import Real

PORT_SPEED_LIMIT = 17.0
"""Peak air speed in a port, m/s, for programme: common practice, no source (5 % of c)."""


@dataclass(frozen=True, eq=False)
class Limits:
    """Largest rms sine voltage at the amplifier per reason (f,), and what it gives.

    `level_db` (f,) is the level at 1 m at the lowest of them, `binding` (f,) the reason's index
    into `reasons`.
    """

    frequency: Real
    volts: Mapping[str, Real]
    level_db: Real
    binding: Real
    reasons: tuple[str, ...]

    def reason(self, frequency: float) -> str:
        """The limit that binds at the grid point nearest to a frequency in Hz."""
        k = int(np.argmin(np.abs(np.log(self.frequency / frequency))))
        return self.reasons[int(self.binding[k])]


def limits(
    inputs: ChamberInput,
    frequency: Real,
    level_1v_db: Real,
    excursion: Real,
    port_speed: Real | None,
    admittance: Real,
    conductance: Real,
) -> Limits:
    """Level limits of one chamber.

    All per volt rms at the amplifier, each (f,): `level_1v_db` at 1 m, peak `excursion` (m),
    peak `port_speed` (m/s), `admittance` (A) and `conductance`, the real power (W) that the
    speaker takes. Heat is long-term: that power equals the rated noise power of all drivers.
    """
    volts: dict[str, Real] = {}
    ratings, amplifier = inputs.ratings, inputs.amplifier
    if ratings.xmax is not None:
        volts["excursion"] = ratings.xmax / excursion
    if ratings.power is not None:
        volts["heat"] = np.sqrt(ratings.power * inputs.count / conductance)
    if port_speed is not None:
        volts["port"] = PORT_SPEED_LIMIT / port_speed
    volts["amplifier"] = np.full(frequency.shape, amplifier.volts)
    if amplifier.peak_voltage is not None:
        peak = amplifier.peak_voltage / np.sqrt(2.0)
        volts["amplifier"] = np.minimum(volts["amplifier"], peak)
    if amplifier.peak_current is not None:
        most = amplifier.peak_current / np.sqrt(2.0) / admittance
        volts["amplifier"] = np.minimum(volts["amplifier"], most)
    reasons = tuple(volts)
    stacked = np.stack([volts[reason] for reason in reasons])
    binding = np.argmin(stacked, axis=0)
    level = level_1v_db + 20.0 * np.log10(np.min(stacked, axis=0))
    return Limits(frequency, volts, level, binding.astype(np.float64), reasons)

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


@dataclass(frozen=True, eq=False)
class PerVolt:
    """What 1 V (rms) at the amplifier does without the active filter, each (f,).

    `level_db` at 1 m; peak cone `excursion` in m; peak air `speeds` in m/s by opening; peak
    excursion in m and linear travel of each passive radiator; `admittance` in A; `conductance`,
    the real power in W that the speaker takes.
    """

    level_db: Real
    excursion: Real
    speeds: Mapping[str, Real]
    drones: Mapping[str, tuple[Real, float | None]]
    admittance: Real
    conductance: Real


def limits(inputs: ChamberInput, frequency: Real, per_volt: PerVolt) -> Limits:
    """Level limits of one chamber.

    Heat is long-term: the real power equals the rated noise power of all drivers.
    """
    volts: dict[str, Real] = {}
    ratings, amplifier = inputs.ratings, inputs.amplifier
    if ratings.xmax is not None:
        volts["excursion"] = ratings.xmax / per_volt.excursion
    if ratings.power is not None:
        volts["heat"] = np.sqrt(ratings.power * inputs.count / per_volt.conductance)
    if per_volt.speeds:
        fastest = np.max([*per_volt.speeds.values()], axis=0)
        volts["port"] = PORT_SPEED_LIMIT / fastest
    for name, (swing, xmax) in per_volt.drones.items():
        if xmax is not None:
            volts[name] = xmax / swing
    volts["amplifier"] = np.full(frequency.shape, amplifier.volts)
    if amplifier.peak_voltage is not None:
        peak = amplifier.peak_voltage / np.sqrt(2.0)
        volts["amplifier"] = np.minimum(volts["amplifier"], peak)
    if amplifier.peak_current is not None:
        most = amplifier.peak_current / np.sqrt(2.0) / per_volt.admittance
        volts["amplifier"] = np.minimum(volts["amplifier"], most)
    reasons = tuple(volts)
    stacked = np.stack([volts[reason] for reason in reasons])
    binding = np.argmin(stacked, axis=0)
    level = per_volt.level_db + 20.0 * np.log10(np.min(stacked, axis=0))
    return Limits(frequency, volts, level, binding.astype(np.float64), reasons)

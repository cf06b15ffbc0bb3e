"""What turbulence at its mouths makes of a port: a resistance that grows with the flow.

The trend is that of Bezzola et al. 2020 (from memory): a port's resistance grows with level while
its mass changes little. The coefficients are rules of thumb: one whole dynamic pressure lost where
the air leaves, a half where it enters past a sharp edge.
Losses are taken as in steady flow, and the end corrections as those of small level.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero

SHARP_ENTRY = 0.5  # dynamic pressures lost on entry past a sharp edge: rule of thumb
EXIT = 1.0  # and on exit, where the whole jet is lost: rule of thumb


def port_loss(area: float, density: float, coefficient: float = SHARP_ENTRY + EXIT) -> float:
    """Pressure over the square of a port's flow.

    Elementary: `coefficient` times rho u^2 / 2 at u = U / S.

    Parameters
    ----------
    area : float
        Of all ports together in m^2.
    density : float
        Of the air in kg/m^3.
    coefficient : float
        Dynamic pressures lost at both ends together; 1.5 for sharp edges, less for flares: rule
        of thumb.

    Returns
    -------
    float
        In Pa s^2/m^6.
    """
    require_above_zero(area=area, density=density)
    if coefficient < 0.0:
        raise ValueError("the coefficient must not be negative")
    return coefficient * density / (2.0 * area**2)


def describing_resistance(loss: float | FloatArray, peak_flow: npt.ArrayLike) -> FloatArray:
    """Resistance that takes as much of a sine as a quadratic loss does.

    Elementary: the first harmonic of k U|U| for a sine of amplitude U is 8 k U^2 / (3 pi).

    Parameters
    ----------
    loss : float or ndarray
        Pressure over the square of the flow in Pa s^2/m^6.
    peak_flow : array_like
        Amplitude of the flow in m^3/s, any shape.

    Returns
    -------
    ndarray
        In Pa s/m^3, same shape.
    """
    return np.asarray(8.0 / (3.0 * math.pi) * loss * np.abs(np.asarray(peak_flow)))


@dataclass(frozen=True, eq=False)
class PortAtLevel:
    """Ports at a level: `resistance` (Pa s/m^3) from turbulence and peak `flow` (m^3/s), (..., f).

    `compression_db` (..., f) is what the flow lost against a port without turbulence.
    """

    resistance: FloatArray
    flow: FloatArray
    compression_db: FloatArray

    def __post_init__(self) -> None:
        for each in (self.resistance, self.flow, self.compression_db):
            each.setflags(write=False)


def port_compression(
    flow_at: Callable[[FloatArray], FloatArray], loss: float | FloatArray,
    within: float = 1e-6, rounds: int = 60,
) -> PortAtLevel:
    """Find the resistance and the flow of ports that belong to each other at a level.

    A fixed point of a linear circuit with the describing resistance. Each round takes the
    geometric mean of the old and the new resistance, which converges for light and heavy losses.

    Parameters
    ----------
    flow_at : callable
        Peak flow (..., f) in m^3/s at the level, for resistances (..., f) in series with the ports.
    loss : float or ndarray
        Pressure over the square of the flow in Pa s^2/m^6, (..., f) or what spreads to it.
    within : float
        Largest relative change of the flow in the last round.
    rounds : int
        Most rounds.

    Returns
    -------
    PortAtLevel
        Shapes as `flow_at` gives them.

    Raises
    ------
    ArithmeticError
        When the rounds do not suffice.
    """
    free = np.asarray(flow_at(np.zeros(1)), dtype=float)
    flow, resistance = free, describing_resistance(loss, free)
    for _ in range(rounds):
        before = flow
        flow = np.asarray(flow_at(resistance), dtype=float)
        if np.all(np.abs(flow - before) <= within * flow):
            with np.errstate(divide="ignore", invalid="ignore"):
                lost = np.where(free > 0.0, 20.0 * np.log10(free / flow), 0.0)
            return PortAtLevel(describing_resistance(loss, flow), flow, lost)
        resistance = np.sqrt(resistance * describing_resistance(loss, flow))
    raise ArithmeticError("the port's flow found no level that agrees with its own loss")

"""Heat in the voice coil: resistance, temperature, and where they settle."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero

COPPER = 0.00393  # per kelvin at 20 degrees, IEC 60028 (coefficient from memory)
ALUMINIUM = 0.00403  # per kelvin at 20 degrees, from memory
REFERENCE_TEMPERATURE_C = 20.0

# What stands for a driver whose record has no thermal figures, all rules of thumb.
RATED_RISE = 180.0  # K, of the coil at its rated power: 200 degrees
COIL_SHARE = 0.6  # of the whole thermal resistance between coil and magnet, the rest to the room
COIL_TIME = 10.0  # s
MAGNET_TIME = 2400.0  # s


def hot_resistance(re: float, rise: float, coefficient: float = COPPER) -> float:
    """Resistance of a coil that is warmer by `rise` than the 20 degrees `re` stands for.

    Source: IEC 60028: R (1 + a (T - 20)).

    Parameters
    ----------
    re : float
        Resistance at 20 degrees in ohm.
    rise : float
        Above 20 degrees in K, -100 to 300.
    coefficient : float
        Of the metal at 20 degrees, per K.

    Returns
    -------
    float
        In ohm.
    """
    return re * (1.0 + coefficient * rise)


def coil_rise(re: float, hot: float, coefficient: float = COPPER) -> float:
    """Rise above 20 degrees in K that a hot resistance tells (inverse of `hot_resistance`).

    Parameters
    ----------
    re : float
        Resistance at 20 degrees in ohm, above zero.
    hot : float
        Resistance hot in ohm.
    coefficient : float
        Of the metal at 20 degrees, per K.

    Returns
    -------
    float
        In K.
    """
    require_above_zero(re=re)
    return (hot / re - 1.0) / coefficient


def coil_temperature_c(re: float, hot: float, coefficient: float = COPPER) -> float:
    """Temperature in degrees Celsius that a hot resistance tells.

    Parameters
    ----------
    re : float
        Resistance at 20 degrees in ohm, above zero.
    hot : float
        Resistance hot in ohm.
    coefficient : float
        Of the metal at 20 degrees, per K.

    Returns
    -------
    float
        In degrees Celsius.
    """
    return REFERENCE_TEMPERATURE_C + coil_rise(re, hot, coefficient)


def ratio_compression_db(re: float, hot: float) -> float:
    """Loss in dB at constant voltage where Re is the whole impedance: 20 lg of the ratio.

    Elsewhere the circuit with the hot resistance tells it.

    Parameters
    ----------
    re, hot : float
        In ohm, above zero.

    Returns
    -------
    float
        In dB, positive for a loss.
    """
    require_above_zero(re=re, hot=hot)
    return 20.0 * math.log10(hot / re)


@dataclass(frozen=True)
class SteadyHeat:
    """Where a coil settles: rise in K, resistance in ohm, compression by their ratio in dB."""

    rise: float
    resistance: float
    compression_db: float


def steady_voltage_drive(
    voltage: float, re: float, thermal_resistance: float, coefficient: float = COPPER
) -> SteadyHeat:
    """Where a coil settles on a voltage when Re takes all of the power.

    Source: Button, JAES 40 (1992), the principle: rise = Rth V^2 / (Re (1 + a rise)), a quadratic.

    Parameters
    ----------
    voltage : float
        Rms in V, 0 or above.
    re : float
        Resistance at 20 degrees (taken for the surroundings too) in ohm.
    thermal_resistance : float
        Coil to surroundings in K/W.
    coefficient : float
        Of the metal at 20 degrees, per K.

    Returns
    -------
    SteadyHeat
        Rise, resistance, compression.
    """
    require_above_zero(re=re, thermal_resistance=thermal_resistance, coefficient=coefficient)
    cold = thermal_resistance * voltage**2 / re
    rise = 2.0 * cold / (1.0 + math.sqrt(1.0 + 4.0 * coefficient * cold))
    hot = hot_resistance(re, rise, coefficient)
    return SteadyHeat(rise, hot, ratio_compression_db(re, hot))


@dataclass(frozen=True)
class HeatLadder:
    """Heat on its way from the coil to the room: coil first, then magnet and whatever follows.

    `resistances` (K/W) lead from each body to the next, the last to the room; `capacities` (J/K)
    are the bodies'. A ladder of two is the usual one of coil and magnet. `wind` (W s/(K m)) is the
    conductance that the coil's own motion adds beside the first resistance, per rms m/s.

    Raises
    ------
    ValueError
        When the two have different lengths, or a figure is not above zero.
    """

    resistances: tuple[float, ...]
    capacities: tuple[float, ...]
    wind: float = 0.0

    def __post_init__(self) -> None:
        if not self.resistances or len(self.resistances) != len(self.capacities):
            raise ValueError("a ladder has as many capacities as resistances, one at least")
        for value in self.resistances:
            require_above_zero(thermal_resistance=value)
        for value in self.capacities:
            require_above_zero(heat_capacity=value)
        if self.wind < 0.0:
            raise ValueError("wind must not be negative")

    def resistance(self, velocity: float = 0.0) -> float:
        """Coil to room in K/W, the coil moving at an rms velocity in m/s."""
        return self._first(velocity) + sum(self.resistances[1:])

    def _first(self, velocity: float) -> float:
        return 1.0 / (1.0 / self.resistances[0] + self.wind * velocity)

    def _modes(self, velocity: float) -> tuple[FloatArray, FloatArray]:
        """Rates (n,) in 1/s and vectors (n, n) of the symmetric form of C dT/dt + G T = P."""
        ways = 1.0 / np.array([self._first(velocity), *self.resistances[1:]])
        conductance = np.diag(ways)
        conductance[1:, 1:] += np.diag(ways[:-1])
        for k, way in enumerate(ways[:-1]):
            conductance[k, k + 1] = conductance[k + 1, k] = -way
        root = np.sqrt(np.array(self.capacities))
        rates, vectors = np.linalg.eigh(conductance / np.outer(root, root))
        return rates, vectors

    def time_constants(self, velocity: float = 0.0) -> FloatArray:
        """Time constants in s of the whole ladder, slowest first, shape (n,)."""
        return np.asarray(1.0 / self._modes(velocity)[0])


def coil_and_magnet(
    coil_resistance: float, coil_time: float, magnet_resistance: float, magnet_time: float,
    wind: float = 0.0,
) -> HeatLadder:
    """The ladder of coil and magnet from resistances and time constants.

    Each time constant is taken as that body's own capacity times the resistance after it, as when
    the other's temperature stood still. The time constants of the whole lie close by, since the
    magnet is some hundred times slower.

    Parameters
    ----------
    coil_resistance, magnet_resistance : float
        Coil to magnet, magnet to room, in K/W.
    coil_time, magnet_time : float
        In s.
    wind : float
        As in `HeatLadder`.

    Returns
    -------
    HeatLadder
        Of two bodies.
    """
    require_above_zero(coil_resistance=coil_resistance, magnet_resistance=magnet_resistance)
    return HeatLadder(
        (coil_resistance, magnet_resistance),
        (coil_time / coil_resistance, magnet_time / magnet_resistance), wind,
    )


def assumed_ladder(rated_power: float, rise: float = RATED_RISE) -> HeatLadder:
    """A ladder for a driver of which only the rated power is known: rule of thumb throughout.

    The coil is taken to settle at `rise` on the rated power, counted as voltage squared over the
    cold resistance. Six tenths of the resistance lie between coil and magnet; the times are 10 s
    and 40 min.

    Parameters
    ----------
    rated_power : float
        In W.
    rise : float
        Of the coil at that power in K.

    Returns
    -------
    HeatLadder
        Of two bodies.
    """
    require_above_zero(rated_power=rated_power, rise=rise)
    whole = rise * hot_resistance(1.0, rise) / rated_power
    return coil_and_magnet(COIL_SHARE * whole, COIL_TIME, (1.0 - COIL_SHARE) * whole, MAGNET_TIME)


def parallel_rise(
    power: float, resistances: npt.ArrayLike, times: npt.ArrayLike, time: npt.ArrayLike
) -> FloatArray:
    """Rise of a coil from the pairs of a fitted curve: P sum R (1 - exp(-t / tau)).

    Textbook (Foster's form): pairs fitted to a curve, which are no bodies of their own.

    Parameters
    ----------
    power : float
        In W, constant from time zero on.
    resistances, times : array_like
        In K/W and s, shape (n,).
    time : array_like
        In s, any shape.

    Returns
    -------
    ndarray
        In K, shape of `time`.
    """
    r, tau = np.asarray(resistances, dtype=float), np.asarray(times, dtype=float)
    t = np.asarray(time, dtype=float)[..., None]
    return np.asarray(power * np.sum(-r * np.expm1(-t / tau), axis=-1))


def ladder_rise(
    ladder: HeatLadder, power: float, time: npt.ArrayLike, velocity: float = 0.0,
    start: npt.ArrayLike | None = None,
) -> FloatArray:
    """Rise of every body of a ladder under a constant power, in closed form.

    Textbook (Cauer's form): C1 dT1/dt = P - (T1 - T2) / R1 and so on, by its own modes.

    Parameters
    ----------
    ladder : HeatLadder
        Coil first.
    power : float
        Into the coil in W, from time zero on.
    time : array_like
        In s, shape (t,) or a number.
    velocity : float
        Of the coil, rms, in m/s.
    start : array_like, optional
        Rises at time zero in K, shape (n,); none when left out.

    Returns
    -------
    ndarray
        In K, shape (n, t) or (n,).
    """
    rates, vectors = ladder._modes(velocity)
    root = np.sqrt(np.array(ladder.capacities))
    begin = np.zeros(root.size) if start is None else np.asarray(start, dtype=float)
    fed = vectors[0] * power / root[0] / rates
    passed = np.expm1(-np.multiply.outer(rates, np.asarray(time, dtype=float)))
    stood = vectors.T @ (root * begin)
    shape = (root.size, *([1] * (passed.ndim - 1)))
    modes = stood.reshape(shape) * (1.0 + passed) - fed.reshape(shape) * passed
    return np.asarray(np.tensordot(vectors, modes, axes=1) / root.reshape(shape))


def heat_in_time(
    ladder: HeatLadder, cold_power: npt.ArrayLike, step: float, coefficient: float = COPPER,
    velocity: npt.ArrayLike = 0.0,
) -> FloatArray:
    """Rises of a ladder while the power changes, step by step.

    Each step is exact for the power at its start: the cold power over 1 + a rise, as on a voltage
    where the coil is the whole impedance. A coefficient of zero takes the power as it is.

    Parameters
    ----------
    ladder : HeatLadder
        Coil first.
    cold_power : array_like
        Power in W that the cold coil would take in each step, shape (m,).
    step : float
        In s; well below the coil's time constant, for its resistance to follow.
    coefficient : float
        Of the coil's metal, per K.
    velocity : array_like
        Of the coil, rms, in m/s, shape (m,) or a number.

    Returns
    -------
    ndarray
        In K, shape (n, m + 1), zero at the start.
    """
    require_above_zero(step=step)
    power = np.asarray(cold_power, dtype=float)
    moving = np.broadcast_to(np.asarray(velocity, dtype=float), power.shape)
    rises = np.zeros((len(ladder.resistances), power.size + 1))
    for k in range(power.size):
        taken = power[k] / (1.0 + coefficient * rises[0, k])
        rises[:, k + 1] = ladder_rise(ladder, float(taken), step, float(moving[k]), rises[:, k])
    return rises

"""Heat in the voice coil: resistance, temperature, and where they settle."""

from __future__ import annotations

import math
from dataclasses import dataclass

from speakerwright.acoustics.limits import require_above_zero

COPPER = 0.00393  # per kelvin at 20 degrees, IEC 60028 (coefficient from memory)
ALUMINIUM = 0.00403  # per kelvin at 20 degrees, from memory
REFERENCE_TEMPERATURE_C = 20.0


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

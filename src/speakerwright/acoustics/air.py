"""Air: density, speed of sound, viscosity and absorption from its state."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

ZERO_CELSIUS = 273.15
CARBON_DIOXIDE = 0.0004  # mole fraction, the CIPM-2007 reference value


class Medium(Protocol):
    """Whatever has a density and a speed of sound."""

    @property
    def density(self) -> float:
        """Density in kg/m^3."""
        ...

    @property
    def speed(self) -> float:
        """Speed of sound in m/s."""
        ...


@dataclass(frozen=True)
class StatedAir:
    """Air of a stated density (kg/m^3) and speed of sound (m/s), as published figures give it."""

    density: float
    speed: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.density) and math.isfinite(self.speed)):
            raise ValueError("density and speed must be finite")
        if self.density <= 0.0 or self.speed <= 0.0:
            raise ValueError("density and speed must be above zero")


@dataclass(frozen=True)
class Air:
    """Moist air of a state.

    Parameters
    ----------
    temperature_c : float
        Temperature in degrees Celsius; the laws hold from about 0 to 30, usable -20 to 50.
    pressure : float
        Static pressure in Pa, 60 kPa to 110 kPa.
    humidity_percent : float
        Relative humidity, 0 to 100.

    Raises
    ------
    ValueError
        For a state outside -40 to 60 degrees, 30 kPa to 120 kPa or 0 to 100 %.
    """

    temperature_c: float = 20.0
    pressure: float = 101325.0
    humidity_percent: float = 50.0

    def __post_init__(self) -> None:
        if not -40.0 <= self.temperature_c <= 60.0:
            raise ValueError("temperature must lie between -40 and 60 degrees Celsius")
        if not 3.0e4 <= self.pressure <= 1.2e5:
            raise ValueError("pressure must lie between 30 kPa and 120 kPa")
        if not 0.0 <= self.humidity_percent <= 100.0:
            raise ValueError("humidity must lie between 0 and 100 %")

    @property
    def density(self) -> float:
        """Density in kg/m^3 (CIPM-2007)."""
        return _density(self)

    @property
    def speed(self) -> float:
        """Speed of sound in m/s (Cramer 1993, eq. 15)."""
        return _speed(self)

    @property
    def impedance(self) -> float:
        """Characteristic impedance, density times speed, in Pa s/m."""
        return self.density * self.speed

    @property
    def viscosity(self) -> float:
        """Dynamic viscosity in Pa s: Sutherland's law, US Standard Atmosphere 1976 (memory)."""
        return _viscosity(self)

    @property
    def kinematic_viscosity(self) -> float:
        """Kinematic viscosity in m^2/s."""
        return self.viscosity / self.density

    @property
    def prandtl(self) -> float:
        """Prandtl number of air near room temperature: 0.71, a handbook value from memory."""
        return 0.71

    @property
    def heat_ratio(self) -> float:
        """Ratio of specific heats that belongs to density and speed: rho c^2 / p, about 1.40."""
        return self.density * self.speed**2 / self.pressure


def _vapour_fraction(air: Air) -> float:
    """Mole fraction of water vapour (Davis 1992, CIPM-81/91; constants from memory)."""
    t, p = air.temperature_c, air.pressure
    T = t + ZERO_CELSIUS
    saturation = math.exp(1.2378847e-5 * T**2 - 1.9121316e-2 * T + 33.93711047 - 6.3431645e3 / T)
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t**2
    return air.humidity_percent / 100.0 * enhancement * saturation / p


@lru_cache(maxsize=1024)
def _density(air: Air) -> float:
    """Picard et al., CIPM-2007, Metrologia 45 (2008); constants from memory."""
    t, p, x = air.temperature_c, air.pressure, _vapour_fraction(air)
    T = t + ZERO_CELSIUS
    Z = (
        1.0
        - p / T * (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t**2
                   + (5.707e-6 - 2.051e-8 * t) * x + (1.9898e-4 - 2.376e-6 * t) * x**2)
        + (p / T) ** 2 * (1.83e-11 - 0.765e-8 * x**2)
    )
    Ma, Mv = 28.96546e-3, 18.01528e-3
    return p * Ma / (Z * 8.314472 * T) * (1.0 - x * (1.0 - Mv / Ma))


@lru_cache(maxsize=1024)
def _speed(air: Air) -> float:
    """Cramer, JASA 93, 2510 (1993), eq. 15 with the coefficients of table III."""
    t, p, xw, xc = air.temperature_c, air.pressure, _vapour_fraction(air), CARBON_DIOXIDE
    return (
        331.5024 + 0.603055 * t - 0.000528 * t**2
        + (51.471935 + 0.1495874 * t - 0.000782 * t**2) * xw
        + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t**2) * p
        + (-85.20931 - 0.228525 * t + 5.91e-5 * t**2) * xc
        - 2.835149 * xw**2 - 2.15e-13 * p**2 + 29.179762 * xc**2 + 0.000486 * xw * p * xc
    )


@lru_cache(maxsize=1024)
def _viscosity(air: Air) -> float:
    """Sutherland's law with the constants of the US Standard Atmosphere 1976 (memory)."""
    T = air.temperature_c + ZERO_CELSIUS
    return 1.458e-6 * T * math.sqrt(T) / (T + 110.4)


def speed_iso9613(temperature_c: float) -> float:
    """Speed of sound in dry air, 343.2 m/s at 20 degrees.

    Source: ISO 9613-1:1993, annex A: c = 343.2 sqrt(T / 293.15).

    Parameters
    ----------
    temperature_c : float
        Temperature in degrees Celsius, -20 to 50.

    Returns
    -------
    float
        Speed in m/s.
    """
    return 343.2 * math.sqrt((temperature_c + ZERO_CELSIUS) / 293.15)


def absorption_db_per_m(frequency: npt.ArrayLike, air: Air | None = None) -> FloatArray:
    """Absorption of pure tones in air.

    Source: ISO 9613-1:1993, eq. 3 to 5 and B.3. A nominal band centre is not the tone of the
    standard's table: take `exact_midband` first.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), 50 Hz to 10 kHz in the standard's table.
    air : Air, optional
        State of the air; the default state when left out.

    Returns
    -------
    ndarray
        Attenuation in dB/m, shape (f,).
    """
    return _absorption(np.asarray(frequency, dtype=float), air if air is not None else Air())


def _absorption(f: FloatArray, air: Air) -> FloatArray:
    """ISO 9613-1:1993, eq. 3 (frO), 4 (frN), 5 (alpha), B.3 (saturation)."""
    T = air.temperature_c + ZERO_CELSIUS
    pr, tr = air.pressure / 101325.0, T / 293.15
    h = air.humidity_percent * 10.0 ** (-6.8346 * (273.16 / T) ** 1.261 + 4.6151) / pr
    frO = pr * (24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h))
    frN = pr * tr**-0.5 * (9.0 + 280.0 * h * math.exp(-4.170 * (tr ** (-1.0 / 3.0) - 1.0)))
    oxygen = 0.01275 * math.exp(-2239.1 / T) / (frO + f**2 / frO)
    nitrogen = 0.1068 * math.exp(-3352.0 / T) / (frN + f**2 / frN)
    return np.asarray(
        8.686 * f**2 * (1.84e-11 / pr * tr**0.5 + tr**-2.5 * (oxygen + nitrogen)), dtype=float
    )


def exact_midband(nominal_hz: npt.ArrayLike) -> FloatArray:
    """Exact third-octave midband frequency of a nominal one: 4000 Hz gives 3981.07 Hz.

    Source: IEC 61260-1, base ten: 1000 Hz times 10^(n/10).

    Parameters
    ----------
    nominal_hz : array_like
        Nominal midband frequencies in Hz, above zero.

    Returns
    -------
    ndarray
        Exact midband frequencies in Hz, same shape.
    """
    nominal = np.asarray(nominal_hz, dtype=float)
    if np.any(nominal <= 0.0):
        raise ValueError("frequency must be above zero")
    return np.asarray(1000.0 * 10.0 ** (np.round(10.0 * np.log10(nominal / 1000.0)) / 10.0))

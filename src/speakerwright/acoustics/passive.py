"""Passive radiators: mass, resonance, tuning, notch, and the response of a box that has one.

Source throughout: R. H. Small, Passive-radiator loudspeaker systems, JAES 22(8, 9), 1974; the
formulae are derived from the circuit.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Medium
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray


def resonance(mass: float, compliance: float) -> float:
    """Resonance of a radiator in free air, and the frequency of the notch it leaves.

    At it the radiator moves by itself and cancels the cone.

    Parameters
    ----------
    mass : float
        Moving mass with its air load and anything added, in kg.
    compliance : float
        Of the suspension, in m/N.

    Returns
    -------
    float
        Frequency in Hz.
    """
    require_above_zero(mass=mass, compliance=compliance)
    return 1.0 / (2.0 * math.pi * math.sqrt(mass * compliance))


def equivalent_volume(compliance: float, area: float, air: Medium) -> float:
    """Volume of air as compliant as the radiator's suspension: rho c^2 S^2 C.

    Parameters
    ----------
    compliance : float
        Of the suspension, in m/N.
    area : float
        Of the radiator (all of them, if several alike) in m^2.
    air : Medium
        The air.

    Returns
    -------
    float
        In m^3.
    """
    require_above_zero(compliance=compliance, area=area)
    return air.density * (air.speed * area) ** 2 * compliance


def tuning(volume: float, area: float, mass: float, compliance: float, air: Medium) -> float:
    """Tuning of a box with a radiator: fp sqrt(1 + Vap / Vb).

    Parameters
    ----------
    volume : float
        Net volume in m^3.
    area : float
        Of the radiator in m^2.
    mass : float
        Moving mass with its air load and anything added, in kg.
    compliance : float
        Of the suspension, in m/N; infinity for none.
    air : Medium
        The air.

    Returns
    -------
    float
        Frequency in Hz.
    """
    require_above_zero(volume=volume, area=area, mass=mass, compliance=compliance)
    stiffness = 1.0 / compliance + air.density * (air.speed * area) ** 2 / volume
    return math.sqrt(stiffness / mass) / (2.0 * math.pi)


def moving_mass(
    tuning_frequency: float, volume: float, area: float, compliance: float, air: Medium
) -> float:
    """Moving mass that tunes a box, the inverse of `tuning`.

    Parameters
    ----------
    tuning_frequency : float
        In Hz.
    volume : float
        Net volume in m^3.
    area : float
        Of the radiator in m^2.
    compliance : float
        Of the suspension, in m/N; infinity for none.
    air : Medium
        The air.

    Returns
    -------
    float
        In kg, air load included; take the radiator's own from it for the mass to add. Less than
        its own means that the radiator is too heavy for the tuning.
    """
    require_above_zero(
        tuning_frequency=tuning_frequency, volume=volume, area=area, compliance=compliance
    )
    stiffness = 1.0 / compliance + air.density * (air.speed * area) ** 2 / volume
    return stiffness / (2.0 * math.pi * tuning_frequency) ** 2


def notch_frequency(tuning_frequency: float, volume: float, equivalent: float) -> float:
    """Frequency of the notch of a tuned box: fb / sqrt(1 + Vap / Vb).

    Parameters
    ----------
    tuning_frequency : float
        In Hz.
    volume : float
        Net volume in m^3.
    equivalent : float
        Volume of air of the radiator's suspension in m^3 (`equivalent_volume`).

    Returns
    -------
    float
        Frequency in Hz.
    """
    require_above_zero(tuning_frequency=tuning_frequency, volume=volume, equivalent=equivalent)
    return tuning_frequency / math.sqrt(1.0 + equivalent / volume)


def air_load(area: float, air: Medium) -> float:
    """Air that moves with a flush radiator, on both its sides: that of a piston, 16/3 rho a^3.

    Source: Rayleigh. The side within a box is taken as open; a near wall adds to it.

    Parameters
    ----------
    area : float
        In m^2.
    air : Medium
        The air.

    Returns
    -------
    float
        In kg.
    """
    require_above_zero(area=area)
    return float(16.0 / 3.0 * air.density * (area / math.pi) ** 1.5)


def response(
    frequency: npt.ArrayLike,
    *,
    fs: float,
    qts: float,
    compliance_ratio: float,
    radiator_resonance: float,
    radiator_ratio: float,
    radiator_q: float = math.inf,
    leak_q: float = math.inf,
) -> ComplexArray:
    """Pressure of a box with a radiator over that of its driver far above resonance.

    Lumped and without coil inductance; both cones and the leak count as one small source.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    fs, qts : float
        Resonance in Hz and total Q of the driver.
    compliance_ratio : float
        Vas over the net volume.
    radiator_resonance : float
        In Hz.
    radiator_ratio : float
        Vap over the net volume.
    radiator_q : float
        Mechanical Q of the radiator at its resonance.
    leak_q : float
        QL of the box at its tuning.

    Returns
    -------
    ndarray of complex
        Shape (f,), without unit.
    """
    require_above_zero(
        fs=fs, qts=qts, compliance_ratio=compliance_ratio, radiator_resonance=radiator_resonance,
        radiator_ratio=radiator_ratio, radiator_q=radiator_q, leak_q=leak_q,
    )
    f = np.asarray(frequency, dtype=float)
    s, p = 1j * f / fs, 1j * f / radiator_resonance  # masses and box stiffness over the driver's
    tuned = radiator_resonance / fs * math.sqrt(1.0 + radiator_ratio)
    spring = p**2 + p / radiator_q + 1.0
    # Admittance of air, radiator and leak over alpha, times the radiator's own impedance.
    given = (s + tuned / leak_q) * spring + radiator_ratio * s
    driver = s + 1.0 / qts + 1.0 / s
    return np.asarray(s**2 * spring / (driver * given + compliance_ratio * spring))

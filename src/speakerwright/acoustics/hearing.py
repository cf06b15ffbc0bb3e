"""Hearing: frequency weightings, permitted time, dose, daily exposure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray

EIGHT_HOURS = 28800.0
NIOSH_CEILING_DB = 140.0  # NIOSH 98-126, from memory
OSHA_ACTION_DB = 85.0  # 29 CFR 1910.95(c)
OSHA_IMPULSE_PEAK_DB = 140.0  # 29 CFR 1910.95(b)(2)

# Pole frequencies of IEC 61672-1, Hz.
_POLES = (20.598997, 107.65265, 737.86223, 12194.217)


@dataclass(frozen=True)
class ExposureValue:
    """A daily exposure level (LEX,8h, A-weighted) and a C-weighted peak pressure in Pa."""

    daily_db: float
    peak: float


# Directive 2003/10/EC, article 3.
EU_LIMIT = ExposureValue(87.0, 200.0)
EU_UPPER_ACTION = ExposureValue(85.0, 140.0)
EU_LOWER_ACTION = ExposureValue(80.0, 112.0)


def _a_gain(f: FloatArray) -> FloatArray:
    """IEC 61672-1, annex E, before normalising."""
    f1, f2, f3, f4 = _POLES
    inner = np.sqrt((f**2 + f2**2) * (f**2 + f3**2))
    return np.asarray(f4**2 * f**4 / ((f**2 + f1**2) * inner * (f**2 + f4**2)), dtype=float)


def _c_gain(f: FloatArray) -> FloatArray:
    """IEC 61672-1, annex E, before normalising."""
    f1, _, _, f4 = _POLES
    return np.asarray(f4**2 * f**2 / ((f**2 + f1**2) * (f**2 + f4**2)), dtype=float)


def a_weighting_db(frequency: npt.ArrayLike) -> FloatArray:
    """A-weighting, 0 dB at 1 kHz.

    Source: IEC 61672-1, annex E (analytic form).

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, any shape; 10 Hz to 20 kHz in the standard.

    Returns
    -------
    ndarray
        In dB, same shape.
    """
    f = np.asarray(frequency, dtype=float)
    return np.asarray(20.0 * np.log10(_a_gain(f) / _a_gain(np.asarray(1000.0))), dtype=float)


def c_weighting_db(frequency: npt.ArrayLike) -> FloatArray:
    """C-weighting, 0 dB at 1 kHz.

    Source: IEC 61672-1, annex E (analytic form).

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, any shape; 10 Hz to 20 kHz in the standard.

    Returns
    -------
    ndarray
        In dB, same shape.
    """
    f = np.asarray(frequency, dtype=float)
    return np.asarray(20.0 * np.log10(_c_gain(f) / _c_gain(np.asarray(1000.0))), dtype=float)


def permitted_seconds_niosh(level_db: float) -> float:
    """Time in s after which the daily dose is 100 %: 8 h at 85 dBA, halved every 3 dB.

    Source: NIOSH 98-126, eq. 1.1.

    Parameters
    ----------
    level_db : float
        A-weighted level in dB; never to be exceeded at all is 140 dBA (memory).

    Returns
    -------
    float
        Seconds.
    """
    return EIGHT_HOURS / math.pow(2.0, (level_db - 85.0) / 3.0)


def permitted_seconds_osha(level_db: float) -> float:
    """Time in s after which the daily dose is 100 %: 8 h at 90 dBA, halved every 5 dB.

    Source: 29 CFR 1910.95, appendix A.

    Parameters
    ----------
    level_db : float
        A-weighted slow level in dB, 80 to 130 in the rule's table.

    Returns
    -------
    float
        Seconds.
    """
    return EIGHT_HOURS / math.pow(2.0, (level_db - 90.0) / 5.0)


_PERMITTED = {"niosh": permitted_seconds_niosh, "osha": permitted_seconds_osha}


def dose_percent(segments: Sequence[tuple[float, float]], rule: str = "niosh") -> float:
    """Noise dose of a day, 100 sum(C / T).

    Source: NIOSH 98-126, eq. 1.2; 29 CFR 1910.95, appendix A. Every segment counts; no threshold.

    Parameters
    ----------
    segments : sequence of (float, float)
        A-weighted level in dB and its time in s.
    rule : {"niosh", "osha"}
        Whose permitted time.

    Returns
    -------
    float
        Per cent.

    Raises
    ------
    ValueError
        For an unknown rule or a negative time.
    """
    permitted = _PERMITTED.get(rule)
    if permitted is None:
        raise ValueError("the rule must be niosh or osha")
    if any(seconds < 0.0 for _, seconds in segments):
        raise ValueError("a time must not be negative")
    return 100.0 * math.fsum(seconds / permitted(level) for level, seconds in segments)


def time_weighted_average_db(dose_percent: float, rule: str = "niosh") -> float:
    """Level of eight even hours that gives a dose.

    Source: NIOSH 98-126: 10 lg(D/100) + 85; 29 CFR 1910.95, appendix A: 16.61 lg(D/100) + 90.

    Parameters
    ----------
    dose_percent : float
        Above zero.
    rule : {"niosh", "osha"}
        Whose dose.

    Returns
    -------
    float
        A-weighted level in dB.

    Raises
    ------
    ValueError
        For an unknown rule or a dose not above zero.
    """
    if rule not in _PERMITTED:
        raise ValueError("the rule must be niosh or osha")
    if dose_percent <= 0.0:
        raise ValueError("the dose must be above zero")
    slope, criterion = (10.0, 85.0) if rule == "niosh" else (16.61, 90.0)
    return slope * math.log10(dose_percent / 100.0) + criterion


def daily_exposure_db(level_db: float, seconds: float) -> float:
    """Daily exposure level LEX,8h of one level and its time.

    Source: ISO 1999; Directive 2003/10/EC.

    Parameters
    ----------
    level_db : float
        A-weighted equivalent level in dB.
    seconds : float
        Time in s, above zero.

    Returns
    -------
    float
        Level in dB.
    """
    if seconds <= 0.0:
        raise ValueError("the time must be above zero")
    return level_db + 10.0 * math.log10(seconds / EIGHT_HOURS)

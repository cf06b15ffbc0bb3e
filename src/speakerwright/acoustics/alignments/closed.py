"""Closed boxes (Small 1972), driven from a stiff source, and the Q of each alignment."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero

# Q of the alignments of second order that have no ripple: two equal real poles, the mirror of the
# maximally flat delay, maximally flat level (Small, Closed-box loudspeaker systems I, 1972).
CRITICALLY_DAMPED = 0.5
BESSEL = 1.0 / math.sqrt(3.0)
BUTTERWORTH = 1.0 / math.sqrt(2.0)


@dataclass(frozen=True)
class ClosedSystem:
    """A driver in a closed box: Vas over volume, resonance (Hz), total Q, -3.01 dB point (Hz)."""

    alpha: float
    fc: float
    qtc: float
    f3: float


def closed_f3_over_fc(qtc: float) -> float:
    """Frequency of half power over the resonance of a closed box.

    Source: Small, Closed-box loudspeaker systems I, JAES 20(10) 1972.

    Parameters
    ----------
    qtc : float
        Total Q, above zero.

    Returns
    -------
    float
        f3 / fc.
    """
    require_above_zero(qtc=qtc)
    half = 0.5 / qtc**2 - 1.0
    return math.sqrt(half + math.sqrt(half**2 + 1.0))


def closed_peak(qtc: float) -> tuple[float, float]:
    """Peak of a closed box's response above its asymptote.

    Source: Small, Closed-box loudspeaker systems I, JAES 20(10) 1972.

    Parameters
    ----------
    qtc : float
        Total Q, above zero.

    Returns
    -------
    tuple of float
        Height in dB and frequency over fc; (0, inf) for a Q of 0.7071 and below.
    """
    require_above_zero(qtc=qtc)
    if 2.0 * qtc**2 <= 1.0:
        return 0.0, math.inf
    height = 20.0 * math.log10(qtc**2 / math.sqrt(qtc**2 - 0.25))
    return height, 1.0 / math.sqrt(1.0 - 0.5 / qtc**2)


def closed_system(fs: float, qts: float, vas: float, volume: float) -> ClosedSystem:
    """A driver in a closed box of a volume, the box without loss of its own.

    Source: Small, Closed-box loudspeaker systems I, JAES 20(10) 1972.

    Parameters
    ----------
    fs : float
        Resonance of the driver in Hz.
    qts : float
        Its total Q.
    vas, volume : float
        Equivalent volume and net box volume in m^3.

    Returns
    -------
    ClosedSystem
        alpha, fc, Qtc, f3.
    """
    require_above_zero(fs=fs, qts=qts, vas=vas, volume=volume)
    alpha = vas / volume
    rise = math.sqrt(1.0 + alpha)
    fc, qtc = fs * rise, qts * rise
    return ClosedSystem(alpha, fc, qtc, fc * closed_f3_over_fc(qtc))


def closed_volume(qts: float, vas: float, qtc: float) -> float:
    """Net volume in m^3 of a closed box that gives a wanted total Q.

    Source: Small, Closed-box loudspeaker systems II, JAES 21(1) 1973.

    Parameters
    ----------
    qts : float
        Total Q of the driver.
    vas : float
        Equivalent volume in m^3.
    qtc : float
        Wanted total Q, above `qts`.

    Returns
    -------
    float
        In m^3.

    Raises
    ------
    ValueError
        When the wanted Q is not above the driver's.
    """
    require_above_zero(qts=qts, vas=vas)
    if qtc <= qts:
        raise ValueError("a closed box only raises Q: the wanted one must be above the driver's")
    return vas / ((qtc / qts) ** 2 - 1.0)


def closed_response_db(frequency: npt.ArrayLike, fc: float, qtc: float) -> FloatArray:
    """Level of a closed box re its high-frequency asymptote, without voice-coil inductance.

    Source: Small, Closed-box loudspeaker systems I, JAES 20(10) 1972.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, shape (f,).
    fc : float
        Resonance in Hz.
    qtc : float
        Total Q.

    Returns
    -------
    ndarray
        In dB, shape (f,).
    """
    require_above_zero(fc=fc, qtc=qtc)
    x = np.asarray(frequency, dtype=float) / fc
    return np.asarray(20.0 * np.log10(x**2 / np.hypot(1.0 - x**2, x / qtc)), dtype=float)


def closed_displacement_limited_power(
    qtc: float, f3: float, displacement: float, air: Medium
) -> float:
    """Acoustic power in W into half space of a closed box at its excursion limit.

    The excursion is the greatest of any sine of one voltage. Source: Small, Closed-box loudspeaker
    systems I, JAES 20(10) 1972: 4 pi^3 rho / c fc^4 Vd^2 / |X|max^2.

    Parameters
    ----------
    qtc : float
        Total Q.
    f3 : float
        Frequency of half power in Hz.
    displacement : float
        Peak volume displacement in m^3.
    air : Medium
        The air.

    Returns
    -------
    float
        Rated power in W (half of the peak).
    """
    require_above_zero(qtc=qtc, f3=f3)
    fc = f3 / closed_f3_over_fc(qtc)
    highest = math.pow(10.0, closed_peak(qtc)[0] / 20.0)  # the excursion peaks as high as the level
    return 4.0 * math.pi**3 * air.density / air.speed * fc**4 * (displacement / highest) ** 2


def closed_q_for_peak(peak_db: float) -> float:
    """Total Q of the Chebyshev alignment of second order: a closed box of a wanted peak.

    Source: Small, Closed-box loudspeaker systems I, JAES 20(10) 1972, the peak's law turned round.

    Parameters
    ----------
    peak_db : float
        Peak above the asymptote in dB, zero (Butterworth) and above.

    Returns
    -------
    float
        Qtc.

    Raises
    ------
    ValueError
        For a peak below zero.
    """
    if not peak_db >= 0.0:
        raise ValueError("a Chebyshev response peaks at or above its asymptote")
    height = math.pow(10.0, peak_db / 10.0)
    return math.sqrt(0.5 * (height + math.sqrt(height**2 - height)))

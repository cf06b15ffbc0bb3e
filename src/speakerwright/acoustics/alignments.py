"""Alignments of closed and vented boxes (Small 1972 and 1973), driven from a stiff source."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero

# Coefficient of the Butterworth polynomial of fourth order: 2 (cos 22.5 deg + cos 67.5 deg).
_BUTTERWORTH = math.sqrt(4.0 + 2.0 * math.sqrt(2.0))


@dataclass(frozen=True)
class ClosedSystem:
    """A driver in a closed box: Vas over volume, resonance (Hz), total Q, -3.01 dB point (Hz)."""

    alpha: float
    fc: float
    qtc: float
    f3: float


@dataclass(frozen=True)
class Alignment:
    """A vented alignment.

    `alpha` is Vas over volume, `h` tuning over fs, `f3_over_fs` the -3.01 dB point below the
    high-frequency asymptote (ripple lies above it) over fs. `shape` is B for a QB3, k for a C4.
    """

    name: str
    qt: float
    alpha: float
    h: float
    f3_over_fs: float
    ripple_db: float
    shape: float


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


def _coefficients(qt: float, alpha: float, h: float, ql: float) -> tuple[float, float, float]:
    """Small, Vented-box loudspeaker systems I, JAES 21(5) 1973, eq. 14 to 16 (memory)."""
    r, u, v = math.sqrt(h), 1.0 / qt, 1.0 / ql
    return u / r + v * r, u * v + (alpha + 1.0 + h**2) / h, u * r + v / r


def _alignment(
    name: str, a: tuple[float, float, float], ql: float, ripple_db: float, shape: float
) -> Alignment:
    """Small 1973, appendix: a driver and box from the polynomial; r^2 = h, v = 1 / QL."""
    a1, a2, a3 = a
    v = 1.0 / ql
    r = math.sqrt(a3 / a1)
    for _ in range(50):  # Newton on v r^4 - a1 r^3 + a3 r - v = 0, from the lossless root
        r -= (v * r**4 - a1 * r**3 + a3 * r - v) / (4 * v * r**3 - 3 * a1 * r**2 + a3)
    u, h = a1 * r - v * r**2, r**2
    return Alignment(
        name, 1.0 / u, h * (a2 - u * v) - 1.0 - h**2, h, r * _half_power(a), ripple_db, shape
    )


def _half_power(a: tuple[float, float, float]) -> float:
    """Frequency of -3.01 dB over sqrt(fs fb): the root of |G|^2 = 1/2."""
    a1, a2, a3 = a
    powers = [a1**2 - 2.0 * a2, 2.0 + a2**2 - 2.0 * a1 * a3, a3**2 - 2.0 * a2]
    roots = np.roots([1.0, *(-p for p in powers), -1.0])
    return math.sqrt(max(float(y.real) for y in roots if abs(y.imag) < 1e-6 and y.real > 0.0))


def butterworth4(ql: float = math.inf) -> Alignment:
    """Maximally flat alignment of fourth order, B4.

    Source: Small, Vented-box loudspeaker systems I and appendix, JAES 21(5) 1973.

    Parameters
    ----------
    ql : float
        Q of the box's leakage at its tuning, above about 1; infinite for none.

    Returns
    -------
    Alignment
        QT, alpha, h and f3 over fs.
    """
    require_above_zero(ql=ql)
    a2 = 2.0 + math.sqrt(2.0)
    return _alignment("B4", (_BUTTERWORTH, a2, _BUTTERWORTH), ql, 0.0, 1.0)


def _quasi_butterworth(a1: float, ql: float) -> Alignment:
    """Small 1973, appendix: A1 = A2 = 0, B^2 = A3."""
    a3 = 1.0 / a1 + a1**3 / 8.0
    b = math.sqrt(max(a3**2 - a1**2, 0.0))
    return _alignment("QB3", (a1, 0.5 * a1**2, a3), ql, 0.0, b)


def chebyshev4_by_k(k: float, ql: float = math.inf) -> Alignment:
    """Equal-ripple alignment of fourth order, C4, by its k.

    Source: Small, Vented-box loudspeaker systems I and appendix, JAES 21(5) 1973.

    Parameters
    ----------
    k : float
        Real parts of the poles over those of the Butterworth polynomial, above 0 to 1 (B4).
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Alignment
        Its alpha may come out below zero where no box gives it (small k with much leakage).

    Raises
    ------
    ValueError
        For a k outside its range.
    """
    require_above_zero(ql=ql)
    if not 0.0 < k <= 1.0:
        raise ValueError("k must lie above 0 and up to 1")
    ripple_db = 0.0
    if k < 1.0:
        ripple_db = 10.0 * math.log10(1.0 + 1.0 / math.sinh(4.0 * math.atanh(k)) ** 2)
    return _alignment("C4", _chebyshev_polynomial(k), ql, ripple_db, k)


def _chebyshev_polynomial(k: float) -> tuple[float, float, float]:
    """High-pass polynomial of the poles k sin + j cos (22.5, 67.5 deg), last term 1."""
    angles = (math.pi / 8.0, 3.0 * math.pi / 8.0)
    b, d = (2.0 * k * math.sin(t) for t in angles)
    c, e = (k**2 * math.sin(t) ** 2 + math.cos(t) ** 2 for t in angles)
    root = (c * e) ** 0.25
    return (b * e + d * c) / root**3, (c + e + b * d) / root**2, (b + d) / root


def _search(make: Callable[[float], Alignment], low: float, high: float, qt: float) -> Alignment:
    """The member of a family, of QT falling with its parameter, that has this QT (bisection)."""
    for _ in range(80):
        middle = 0.5 * (low + high)
        if make(middle).qt > qt:
            low = middle
        else:
            high = middle
    return make(0.5 * (low + high))


def quasi_butterworth3(qt: float, ql: float = math.inf) -> Alignment:
    """Quasi-Butterworth alignment of third order, QB3, of a QT.

    Source: Small, Vented-box loudspeaker systems I and appendix, JAES 21(5) 1973.

    Parameters
    ----------
    qt : float
        Total Q of the driver with its source, from 0.05 to that of the B4.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Alignment
        With B as its shape.

    Raises
    ------
    ValueError
        For a QT outside this range.
    """
    limit = butterworth4(ql).qt
    if not 0.05 <= qt <= limit * (1.0 + 1e-9):
        raise ValueError(f"a QB3 wants a QT from 0.05 to {limit:.4f}, that of the B4")
    return _search(lambda a1: _quasi_butterworth(a1, ql), _BUTTERWORTH, 30.0, qt)


def chebyshev4(qt: float, ql: float = math.inf) -> Alignment:
    """Equal-ripple alignment of fourth order, C4, of a QT.

    Source: Small, Vented-box loudspeaker systems I and appendix, JAES 21(5) 1973.

    Parameters
    ----------
    qt : float
        Total Q of the driver with its source, from that of the B4 up.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Alignment
        With k as its shape.

    Raises
    ------
    ValueError
        For a QT below the B4's, or so high that no box gives the alignment.
    """
    limit = butterworth4(ql).qt
    if qt < limit * (1.0 - 1e-9):
        raise ValueError(f"a C4 wants a QT from {limit:.4f}, that of the B4")
    found = _search(lambda k: chebyshev4_by_k(k, ql), 0.05, 1.0, qt)
    if found.alpha <= 0.0 or abs(found.qt / qt - 1.0) > 1e-6:
        raise ValueError("no box gives a C4 at so high a QT")
    return found


def vented_for_driver(qt: float, ql: float = math.inf) -> Alignment:
    """The usual alignment for a QT: QB3 below the B4's, C4 above it.

    Source: Small, Vented-box loudspeaker systems I and appendix, JAES 21(5) 1973.

    Parameters
    ----------
    qt : float
        Total Q of the driver with its source.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Alignment
        B4 when QT is that of the B4 to one part in a million.

    Raises
    ------
    ValueError
        For a QT that no alignment of the three has.
    """
    flat = butterworth4(ql)
    if abs(qt / flat.qt - 1.0) <= 1e-6:
        return flat
    return quasi_butterworth3(qt, ql) if qt < flat.qt else chebyshev4(qt, ql)


def vented_response_db(
    frequency: npt.ArrayLike, fs: float, qts: float, alpha: float, h: float, ql: float = math.inf
) -> FloatArray:
    """Level of a vented box re its high-frequency asymptote, without voice-coil inductance.

    Source: Small, Vented-box loudspeaker systems I, JAES 21(5) 1973, the transfer function with
    leakage.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, shape (f,).
    fs : float
        Resonance of the driver in Hz.
    qts : float
        Its total Q with the source.
    alpha : float
        Equivalent volume over net volume.
    h : float
        Tuning over fs.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    ndarray
        In dB, shape (f,).
    """
    require_above_zero(fs=fs, qts=qts, h=h, ql=ql)
    a1, a2, a3 = _coefficients(qts, alpha, h, ql)
    x = np.asarray(frequency, dtype=float) / (fs * math.sqrt(h))
    size = np.hypot(x**4 - a2 * x**2 + 1.0, a3 * x - a1 * x**3)
    return np.asarray(20.0 * np.log10(x**4 / size), dtype=float)


def vented_peaks_lossless(fs: float, fb: float, alpha: float) -> tuple[float, float]:
    """Frequencies in Hz of the two impedance peaks of a lossless vented box.

    Source: Thiele 1961; Small 1973: (f^2 - fs^2)(f^2 - fb^2) = alpha fs^2 f^2.

    Parameters
    ----------
    fs, fb : float
        Resonance of the driver and tuning of the box in Hz.
    alpha : float
        Equivalent volume over net volume, above zero.

    Returns
    -------
    tuple of float
        Lower and upper peak in Hz.
    """
    require_above_zero(fs=fs, fb=fb, alpha=alpha)
    half = 0.5 * (fs**2 * (1.0 + alpha) + fb**2)
    upper = math.sqrt(half + math.sqrt(half**2 - (fs * fb) ** 2))
    return fs * fb / upper, upper


def alpha_from_peaks(lower: float, middle: float, upper: float) -> float:
    """Vas over volume from the impedance peaks and the minimum between them, taken for tuning.

    Source: Thiele 1961; Small 1973: (fH^2 - fM^2)(fM^2 - fL^2) / (fH^2 fL^2).

    Parameters
    ----------
    lower, middle, upper : float
        Lower peak, minimum, upper peak in Hz, ascending.

    Returns
    -------
    float
        Without unit.

    Raises
    ------
    ValueError
        When they do not ascend.
    """
    if not 0.0 < lower < middle < upper:
        raise ValueError("the three frequencies must ascend from above zero")
    return (upper**2 - middle**2) * (middle**2 - lower**2) / (upper * lower) ** 2

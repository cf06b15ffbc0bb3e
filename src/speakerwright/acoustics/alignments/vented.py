"""Vented boxes of fourth order (Thiele 1961, Small 1973), driven from a stiff source."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.alignments.polynomials import (
    bessel_poles,
    chebyshev_poles,
    half_power,
    high_pass_db,
    member,
    quartic,
    ripple_db,
    sections,
)
from speakerwright.acoustics.limits import require_above_zero

_LEAST_K, _GREATEST_K = 0.05, 60.0  # the search's ends: ripple without use, four real poles


@dataclass(frozen=True)
class Alignment:
    """A vented alignment.

    `alpha` is Vas over volume, `h` tuning over fs, `f3_over_fs` the -3.01 dB point below the
    high-frequency asymptote (ripple lies above it) over fs. `shape` is B for a QB3, k for a C4 or
    SC4, 1 for the rest. `alpha` is not above zero where no box gives the alignment.
    """

    name: str
    qt: float
    alpha: float
    h: float
    f3_over_fs: float
    ripple_db: float
    shape: float


def vented_coefficients(
    qt: float, alpha: float, h: float, ql: float = math.inf
) -> tuple[float, float, float]:
    """Coefficients a1, a2, a3 of a vented box's polynomial, in s over sqrt(fs fb).

    Source: Small, Vented-box loudspeaker systems I, JAES 21(5) 1973, eq. 14 to 16 (memory).

    Parameters
    ----------
    qt : float
        Total Q of the driver with its source.
    alpha, h : float
        Equivalent volume over net volume; tuning over fs.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    tuple of float
        Of s^4 + a1 s^3 + a2 s^2 + a3 s + 1.
    """
    require_above_zero(qt=qt, h=h, ql=ql)
    r, u, v = math.sqrt(h), 1.0 / qt, 1.0 / ql
    return u / r + v * r, u * v + (alpha + 1.0 + h**2) / h, u * r + v / r


def vented_from_coefficients(
    name: str, a: tuple[float, float, float], ql: float, ripple: float = 0.0, shape: float = 1.0
) -> Alignment:
    """The driver and the box whose polynomial s^4 + a1 s^3 + a2 s^2 + a3 s + 1 is.

    Source: Small, Vented-box loudspeaker systems, appendix, JAES 21(5) 1973; r^2 = h, v = 1 / QL.

    Parameters
    ----------
    name : str
        Name for the result.
    a : tuple of float
        a1, a2, a3.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.
    ripple, shape : float
        Handed to the result, the ripple in dB.

    Returns
    -------
    Alignment
        QT, alpha, h and f3 over fs.

    Raises
    ------
    ValueError
        When so much leakage leaves no driver for the polynomial.
    """
    require_above_zero(ql=ql)
    a1, a2, a3 = a
    v = 1.0 / ql
    r = math.sqrt(a3 / a1)
    for _ in range(50):  # Newton on v r^4 - a1 r^3 + a3 r - v = 0, from the lossless root
        step = (v * r**4 - a1 * r**3 + a3 * r - v) / (4 * v * r**3 - 3 * a1 * r**2 + a3)
        r -= step
        if abs(step) < 1e-14 * r:
            break
    else:
        raise ValueError(f"no driver gives a {name} with so much leakage")
    u, h = a1 * r - v * r**2, r**2
    if u <= 0.0:
        raise ValueError(f"no driver gives a {name} with so much leakage")
    f3 = r * half_power([1.0, *a, 1.0])
    return Alignment(name, 1.0 / u, h * (a2 - u * v) - 1.0 - h**2, h, f3, ripple, shape)


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
    return vented_from_coefficients("B4", _chebyshev(1.0), ql)


def bessel4(ql: float = math.inf) -> Alignment:
    """Alignment of fourth order that mirrors the low-pass of maximally flat delay, BL4.

    Source: the reverse Bessel polynomial (Thomson 1949) in the coefficients of Small, Vented-box
    loudspeaker systems I, JAES 21(5) 1973. Without loss QT is 1 / sqrt(10) and alpha 7 / 3.

    Parameters
    ----------
    ql : float
        Q of the box's leakage at its tuning, above about 1; infinite for none.

    Returns
    -------
    Alignment
        QT, alpha, h and f3 over fs.
    """
    return vented_from_coefficients("BL4", quartic(sections(bessel_poles(4))[0])[0], ql)


def _quasi_butterworth(a1: float, ql: float) -> Alignment:
    """Small 1973, appendix: A1 = A2 = 0, B^2 = A3."""
    a3 = 1.0 / a1 + a1**3 / 8.0
    b = math.sqrt(max(a3**2 - a1**2, 0.0))
    return vented_from_coefficients("QB3", (a1, 0.5 * a1**2, a3), ql, 0.0, b)


def chebyshev4_by_k(k: float, ql: float = math.inf) -> Alignment:
    """Chebyshev alignment of fourth order by its k: C4 of equal ripple, or SC4 without.

    Source: Small, Vented-box loudspeaker systems I and appendix, JAES 21(5) 1973.

    Parameters
    ----------
    k : float
        Real parts of the low-pass poles over those of the Butterworth polynomial, above 0: below
        1 a C4, 1 the B4, above it the sub-Chebyshev SC4.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Alignment
        Its alpha may come out below zero where no box gives it (small k with much leakage).

    Raises
    ------
    ValueError
        For a k that is not above 0.
    """
    require_above_zero(k=k)
    name = "C4" if k <= 1.0 else "SC4"
    return vented_from_coefficients(name, _chebyshev(k), ql, ripple_db(4, k), k)


def _chebyshev(k: float) -> tuple[float, float, float]:
    return quartic(sections(chebyshev_poles(4, k))[0])[0]


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
    if qt >= limit:
        return _quasi_butterworth(_chebyshev(1.0)[0], ql)
    found = member(lambda a: _quasi_butterworth(a, ql), qt, _chebyshev(1.0)[0], 30.0)
    if found is None:
        raise ValueError("no box gives a QB3 with so much leakage")
    return found


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
    if qt <= limit:
        return chebyshev4_by_k(1.0, ql)
    found = member(lambda k: chebyshev4_by_k(k, ql), qt, _LEAST_K, 1.0)
    if found is None:
        raise ValueError("no box gives a C4 at so high a QT")
    return found


def sub_chebyshev4(qt: float, ql: float = math.inf) -> Alignment:
    """Sub-Chebyshev alignment of fourth order, SC4, of a QT: no ripple, better damped than QB3.

    Source: Small, Vented-box loudspeaker systems, appendix, JAES 21(5) 1973, with k above 1; the
    name is common in the trade, no source read.

    Parameters
    ----------
    qt : float
        Total Q of the driver with its source, below that of the B4 and above that of four real
        poles (0.2276 without loss).
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Alignment
        With k as its shape.

    Raises
    ------
    ValueError
        For a QT outside this range.
    """
    low, high = chebyshev4_by_k(_GREATEST_K, ql).qt, butterworth4(ql).qt
    if not low <= qt <= high * (1.0 + 1e-9):
        raise ValueError(f"an SC4 wants a QT from {low:.4f} to {high:.4f}, that of the B4")
    if qt >= high:
        return chebyshev4_by_k(1.0, ql)
    found = member(lambda k: chebyshev4_by_k(k, ql), qt, 1.0, _GREATEST_K)
    if found is None:
        raise ValueError("no box gives an SC4 with so much leakage")
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
    x = np.asarray(frequency, dtype=float) / (fs * math.sqrt(h))
    return high_pass_db(x, [1.0, *vented_coefficients(qts, alpha, h, ql), 1.0])


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

"""The polynomials behind the alignments: high-pass poles, sections, half power and ripple.

Poles are those of a high-pass s^n / D(s), of a frequency such that the last term of D is 1.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Protocol, TypeVar

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero

Poles = tuple[complex, ...]
Section = tuple[float, float]


def chebyshev_poles(order: int, k: float) -> Poles:
    """Poles of an equal-ripple high-pass, from k as Thiele and Small count it.

    Source: Thiele 1961 and Small, Vented-box loudspeaker systems appendix, JAES 21(5) 1973: the
    low-pass poles of Butterworth with their real parts times k, turned into a high-pass.

    Parameters
    ----------
    order : int
        1 and above.
    k : float
        Above zero: below 1 equal ripple, 1 Butterworth, above 1 without ripple (sub-Chebyshev).

    Returns
    -------
    tuple of complex
        `order` poles of geometric mean 1.

    Raises
    ------
    ValueError
        For an order below 1 or a k not above zero.
    """
    require_above_zero(order=order, k=k)
    angles = [math.pi * (2 * i + 1) / (2 * order) for i in range(order)]
    return _normal([1.0 / complex(-k * math.sin(t), math.cos(t)) for t in angles])


def bessel_poles(order: int) -> Poles:
    """Poles of the high-pass that mirrors the low-pass of maximally flat delay.

    Source: W. E. Thomson, Delay networks having maximally flat frequency characteristics, Proc.
    IEE 96 (1949); the reverse Bessel polynomial's coefficients (2n - i)! / (2^(n-i) i! (n-i)!)
    are in any book of filters.

    Parameters
    ----------
    order : int
        1 and above.

    Returns
    -------
    tuple of complex
        `order` poles of geometric mean 1.
    """
    require_above_zero(order=order)
    f = math.factorial
    rising = [
        f(2 * order - i) / (2 ** (order - i) * f(i) * f(order - i)) for i in range(order + 1)
    ]
    return _normal([complex(p) for p in np.roots(rising)])  # the mirror: constant term first


def quasi_butterworth_poles(order: int, b: float) -> Poles:
    """Poles of the high-pass with |G|^2 = x^(2n) / (x^(2n) + B^2 x^2 + 1).

    Source: Thiele 1961 (QB3 of order 4, QB5 of order 6); Small 1973, appendix.

    Parameters
    ----------
    order : int
        Even, 2 and above: QB of one less.
    b : float
        B, zero (Butterworth) and above.

    Returns
    -------
    tuple of complex
        `order` poles of geometric mean 1.

    Raises
    ------
    ValueError
        For an odd order or a negative B.
    """
    if order < 2 or order % 2 or b < 0.0:
        raise ValueError("a quasi-Butterworth polynomial has an even order and a B of zero or more")
    power = np.zeros(order + 1)
    power[0], power[-2], power[-1] = 1.0, b**2, 1.0  # in x^2 = -s^2
    roots = np.sqrt(-np.roots(power).astype(complex))  # the square root's real part is not below 0
    return _normal([complex(-r) for r in roots])


def _normal(poles: Sequence[complex]) -> Poles:
    mean = math.exp(sum(math.log(abs(p)) for p in poles) / len(poles))
    return tuple(p / mean for p in poles)


def coefficients(poles: Sequence[complex]) -> FloatArray:
    """The polynomial of the poles, highest power first, leading term 1.

    Parameters
    ----------
    poles : sequence of complex
        Left half plane, in conjugate pairs.

    Returns
    -------
    ndarray
        Shape (n + 1,).
    """
    return np.asarray(np.poly(np.asarray(poles)).real, dtype=float)


def sections(poles: Sequence[complex]) -> tuple[tuple[Section, ...], float | None]:
    """Second-order sections of the poles, highest Q first, and the real pole of an odd order.

    Parameters
    ----------
    poles : sequence of complex
        Left half plane, in conjugate pairs; real poles go together two by two.

    Returns
    -------
    tuple of (frequency, Q)
        In the poles' unit of frequency.
    float or None
        Frequency of the real pole that is left over.
    """
    found = [(abs(p), abs(p) / (-2.0 * p.real)) for p in poles if p.imag > 1e-9 * abs(p)]
    real = sorted(-p.real for p in poles if abs(p.imag) <= 1e-9 * abs(p))
    while len(real) > 1:
        slow, fast = real.pop(0), real.pop()
        found.append((math.sqrt(slow * fast), math.sqrt(slow * fast) / (slow + fast)))
    return tuple(sorted(found, key=lambda s: -s[1])), real[0] if real else None


def quartic(pairs: Sequence[Section]) -> tuple[tuple[float, float, float], float]:
    """Two sections multiplied out: s^4 + a1 s^3 + a2 s^2 + a3 s + 1, and the unit of s.

    Parameters
    ----------
    pairs : sequence of two (frequency, Q)
        The sections.

    Returns
    -------
    tuple of float
        a1, a2, a3.
    float
        The frequency that is 1 in it.
    """
    (w1, q1), (w2, q2) = pairs
    mean = math.sqrt(w1 * w2)
    p, q = w1 / mean, w2 / mean
    d, e = p / q1, q / q2
    return (d + e, p**2 + q**2 + d * e, d * q**2 + e * p**2), mean


def _inverse_power(polynomial: npt.ArrayLike) -> FloatArray:
    """1 / |G|^2 as a polynomial in 1 / x^2, highest power first, of s^n / D(s)."""
    d = np.asarray(polynomial, dtype=float)
    signs = (-1.0) ** np.arange(len(d))
    return np.asarray(np.polymul(d, d * signs)[::2] * signs, dtype=float)[::-1]


def half_power(polynomial: npt.ArrayLike) -> float:
    """Highest frequency at which s^n / D(s) is 3.01 dB below its asymptote.

    Parameters
    ----------
    polynomial : array_like
        D, highest power first, leading term 1, shape (n + 1,).

    Returns
    -------
    float
        In the unit of s.
    """
    power = _inverse_power(polynomial)
    power[-1] -= 2.0
    return 1.0 / math.sqrt(min(_positive_roots(power)))


def extremes_db(polynomial: npt.ArrayLike) -> tuple[float, float]:
    """Highest and lowest level of s^n / D(s) above its half-power frequency, re its asymptote.

    Parameters
    ----------
    polynomial : array_like
        D, highest power first, leading term 1, shape (n + 1,).

    Returns
    -------
    tuple of float
        In dB, at or above zero and at or below zero; turning points only, not the final fall.
    """
    power = _inverse_power(polynomial)
    edge = half_power(polynomial) ** -2
    turns = [y for y in _positive_roots(np.polyder(power)) if y < edge]
    levels = [-10.0 * math.log10(float(np.polyval(power, y))) for y in turns]
    return max([0.0, *levels]), min([0.0, *levels])


def _positive_roots(polynomial: npt.ArrayLike) -> list[float]:
    roots = np.roots(np.asarray(polynomial))
    return [float(r.real) for r in roots if abs(r.imag) < 1e-6 * abs(r) and r.real > 0.0]


def high_pass_db(frequency: npt.ArrayLike, polynomial: npt.ArrayLike) -> FloatArray:
    """Level of s^n / D(s) re its asymptote.

    Parameters
    ----------
    frequency : array_like
        In the unit of s, above zero, shape (f,).
    polynomial : array_like
        D, highest power first, shape (n + 1,).

    Returns
    -------
    ndarray
        In dB, shape (f,).
    """
    s = 1j * np.asarray(frequency, dtype=float)
    d = np.asarray(polynomial, dtype=float)
    return np.asarray(20.0 * np.log10(np.abs(s ** (len(d) - 1) / np.polyval(d, s))), dtype=float)


def ripple_db(order: int, k: float) -> float:
    """Ripple of an equal-ripple response, peak to trough.

    Source: the Chebyshev response's 1 + 1 / sinh^2(n artanh k), any book of filters.

    Parameters
    ----------
    order : int
        1 and above. An even order ripples above its asymptote, an odd one below.
    k : float
        As in `chebyshev_poles`; none from 1 up.

    Returns
    -------
    float
        In dB.
    """
    require_above_zero(order=order, k=k)
    if k >= 1.0:
        return 0.0
    return 10.0 * math.log10(1.0 + 1.0 / math.sinh(order * math.atanh(k)) ** 2)


class Member(Protocol):
    """An alignment of a family: the total Q that it demands, and Vas over volume."""

    @property
    def qt(self) -> float:
        """Total Q of the driver with its source."""

    @property
    def alpha(self) -> float:
        """Equivalent volume over net volume."""


_Found = TypeVar("_Found", bound=Member)


def member(
    make: Callable[[float], _Found], qt: float, low: float, high: float
) -> _Found | None:
    """The member of a family of alignments that has this QT.

    Parameters
    ----------
    make : callable
        The family: a member from its parameter, QT falling or rising along it; ValueError, or an
        alpha not above zero, beyond the end of highest QT.
    qt : float
        Wanted QT.
    low, high : float
        Ends of the parameter, above zero.

    Returns
    -------
    Alignment or None
        QT as wanted to one part in 1e9; None when no member has it.
    """
    require_above_zero(low=low, high=high)

    def too_high(parameter: float) -> bool:
        try:
            found = make(parameter)
        except ValueError:
            return True
        return found.alpha <= 0.0 or found.qt > qt

    at_low = too_high(low)
    for _ in range(60):
        middle = math.sqrt(low * high)
        if too_high(middle) == at_low:
            low = middle
        else:
            high = middle
    try:
        found = make(math.sqrt(low * high))
    except ValueError:
        return None
    return found if found.alpha > 0.0 and abs(found.qt / qt - 1.0) < 1e-9 else None


def crossing(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function falls through zero between two points above zero, by bisection in ratios.

    Parameters
    ----------
    function : callable
        Of one number; above zero at `low`, below it at `high`.
    low, high : float
        Above zero.

    Returns
    -------
    float
        The point, to rounding.
    """
    require_above_zero(low=low, high=high)
    for _ in range(70):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if function(middle) > 0.0 else (low, middle)
    return math.sqrt(low * high)

"""Boxes with an active high-pass before the amplifier: one polynomial over box and filter.

The filter takes the real pole (fifth order) or one pair of poles (sixth); which pair is the class:
I the most resonant, II the middle, III the best damped (Thiele 1961).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.alignments.closed import closed_peak, closed_response_db
from speakerwright.acoustics.alignments.polynomials import (
    Poles,
    bessel_poles,
    chebyshev_poles,
    coefficients,
    half_power,
    member,
    quartic,
    quasi_butterworth_poles,
    ripple_db,
    sections,
)
from speakerwright.acoustics.alignments.vented import (
    vented_from_coefficients,
    vented_response_db,
)
from speakerwright.acoustics.limits import require_above_zero

CLASSES = ("I", "II", "III")
_LEAST_K, _GREATEST_K, _GREATEST_B = 0.1, 60.0, 100.0  # the search's ends


@dataclass(frozen=True)
class HighPassFilter:
    """An active high-pass: order, Q (None of first order), and its corner as a ratio.

    The ratio counts from the driver's fs beside a vented box, from the box's fc beside a closed.
    """

    order: int
    ratio: float
    q: float | None = None

    @property
    def lift_db(self) -> float:
        """How far it lifts the level above its asymptote at most, dB; source: as a closed box."""
        return 0.0 if self.q is None else closed_peak(self.q)[0]


@dataclass(frozen=True)
class Assisted:
    """A vented box with a filter, of fifth or sixth order.

    `alpha` is Vas over volume, `h` tuning over fs, `f3_over_fs` the -3.01 dB point over fs,
    `ripple_db` peak to trough (above the asymptote in an even order, below it in an odd one),
    `shape` k or B of the polynomial.
    """

    name: str
    qt: float
    alpha: float
    h: float
    filter: HighPassFilter
    f3_over_fs: float
    ripple_db: float
    shape: float


@dataclass(frozen=True)
class AssistedClosed:
    """A closed box with a filter: the Qtc that it wants, filter and f3 over the box's fc."""

    name: str
    qtc: float
    filter: HighPassFilter
    f3_over_fc: float
    ripple_db: float


def _split(poles: Poles, kind: int) -> tuple[tuple[tuple[float, float], ...], float, float | None]:
    """The box's sections, and frequency and Q of the filter's."""
    pairs, real = sections(poles)
    if real is not None:
        return pairs, real, None
    rest = tuple(pair for i, pair in enumerate(pairs) if i != kind - 1)
    return rest, *pairs[kind - 1]


def _vented(
    name: str, poles: Poles, kind: int, ql: float, ripple: float = 0.0, shape: float = 1.0
) -> Assisted:
    """Thiele 1961: the box takes four poles, the filter the others."""
    box, corner, q = _split(poles, kind)
    a, mean = quartic(box)
    found = vented_from_coefficients(name, a, ql)
    unit = math.sqrt(found.h) / mean  # what is 1 in the poles, over fs
    made = HighPassFilter(1 if q is None else 2, corner * unit, q)
    f3 = unit * half_power(coefficients(poles))
    return Assisted(name, found.qt, found.alpha, found.h, made, f3, ripple, shape)


def _class(kind: int) -> str:
    if kind not in (1, 2, 3):
        raise ValueError("the class of a sixth-order alignment is 1, 2 or 3")
    return f"class {CLASSES[kind - 1]}"


def butterworth5(ql: float = math.inf) -> Assisted:
    """Maximally flat alignment of fifth order, B5: a vented box and a first-order high-pass.

    Source: Thiele, Loudspeakers in vented boxes, Proc. IREE Australia 22 (1961); Butterworth 1930.

    Parameters
    ----------
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Assisted
        QT, alpha, h, filter and f3 over fs.
    """
    return _chebyshev(5, 1.0, 0, ql)


def bessel5(ql: float = math.inf) -> Assisted:
    """Alignment of fifth order that mirrors the low-pass of maximally flat delay, BL5.

    Source: the reverse Bessel polynomial (Thomson 1949), shared as in Thiele 1961.

    Parameters
    ----------
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Assisted
        QT, alpha, h, filter and f3 over fs.
    """
    return _vented("BL5", bessel_poles(5), 0, ql)


def butterworth6(kind: int, ql: float = math.inf) -> Assisted:
    """Maximally flat alignment of sixth order, B6: a vented box and a second-order high-pass.

    Source: Thiele, Loudspeakers in vented boxes, Proc. IREE Australia 22 (1961); Butterworth 1930.

    Parameters
    ----------
    kind : int
        Class 1, 2 or 3: the filter's Q is 1.9319, 0.7071 or 0.5176.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Assisted
        QT, alpha, h, filter and f3 over fs.

    Raises
    ------
    ValueError
        For another class.
    """
    return _chebyshev(6, 1.0, kind, ql)


def _chebyshev(order: int, k: float, kind: int, ql: float) -> Assisted:
    letter = "B" if k == 1.0 else "C" if k < 1.0 else "SC"
    name = f"{letter}{order}" + (f" {_class(kind)}" if order == 6 else "")
    return _vented(name, chebyshev_poles(order, k), kind, ql, ripple_db(order, k), k)


def chebyshev5(qt: float, ql: float = math.inf) -> Assisted:
    """Chebyshev alignment of fifth order of a QT: C5 above the B5's QT, SC5 below it.

    Source: Thiele, Loudspeakers in vented boxes, Proc. IREE Australia 22 (1961).

    Parameters
    ----------
    qt : float
        Total Q of the driver with its source.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Assisted
        With k as its shape.

    Raises
    ------
    ValueError
        For a QT that the family does not have.
    """
    return _of_qt("C5", qt, lambda k: _chebyshev(5, k, 0, ql), _LEAST_K, _GREATEST_K)


def chebyshev6(qt: float, kind: int, ql: float = math.inf) -> Assisted:
    """Chebyshev alignment of sixth order of a QT: C6 above the B6's QT, SC6 below it.

    Source: Thiele, Loudspeakers in vented boxes, Proc. IREE Australia 22 (1961).

    Parameters
    ----------
    qt : float
        Total Q of the driver with its source.
    kind : int
        Class 1, 2 or 3.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Assisted
        With k as its shape.

    Raises
    ------
    ValueError
        For another class, or a QT that the family does not have.
    """
    name = f"C6 {_class(kind)}"
    return _of_qt(name, qt, lambda k: _chebyshev(6, k, kind, ql), _LEAST_K, _GREATEST_K)


def quasi_butterworth5(qt: float, kind: int, ql: float = math.inf) -> Assisted:
    """Quasi-Butterworth alignment of fifth order, QB5, of a QT: a box and a filter, six poles.

    Source: Thiele, Loudspeakers in vented boxes, Proc. IREE Australia 22 (1961) (memory).

    Parameters
    ----------
    qt : float
        Total Q of the driver with its source, up to that of the B6 of the same class.
    kind : int
        Class 1, 2 or 3. In class 3 the filter falls away below a QT of the B5.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    Assisted
        With B as its shape.

    Raises
    ------
    ValueError
        For another class, or a QT that the family does not have.
    """
    name = f"QB5 {_class(kind)}"

    def make(b: float) -> Assisted:
        return _vented(name, quasi_butterworth_poles(6, b), kind, ql, 0.0, b)

    return _of_qt(name, qt, make, 1e-3, _GREATEST_B)


def _of_qt(
    name: str, qt: float, make: Callable[[float], Assisted], low: float, high: float
) -> Assisted:
    """The member with this QT; QT falls from `low` to `high` of the family's parameter."""
    require_above_zero(qt=qt)
    found = member(make, qt, low, high)
    if found is None:
        raise ValueError(f"no box gives a {name} at a QT of {qt:.4f}")
    return found


def closed_assisted(order: int, kind: int = 1, k: float = 1.0) -> AssistedClosed:
    """A closed box and a first- or second-order high-pass as one Butterworth or Chebyshev.

    Source: the poles of Butterworth 1930 and of the Chebyshev response shared between box and
    filter, recomputed.

    Parameters
    ----------
    order : int
        3 (filter of first order) or 4 (of second).
    kind : int
        Of order 4: 1 gives the filter the more resonant pair, 2 the box.
    k : float
        As in `polynomials.chebyshev_poles`; 1 for Butterworth.

    Returns
    -------
    AssistedClosed
        Qtc, filter and f3 over the closed box's resonance; B3 wants a Qtc of 1.

    Raises
    ------
    ValueError
        For another order or kind.
    """
    if order not in (3, 4) or kind not in (1, 2):
        raise ValueError("a closed box with a filter has order 3 or 4, and kind 1 or 2")
    poles = chebyshev_poles(order, k)
    ((fc, qtc),), corner, q = _split(poles, kind)
    letter = "B" if k == 1.0 else "C" if k < 1.0 else "SC"
    name = f"{letter}{order}" + (f" class {CLASSES[kind - 1]}" if order == 4 else "")
    made = HighPassFilter(order - 2, corner / fc, q)
    f3 = half_power(coefficients(poles)) / fc
    return AssistedClosed(name, qtc, made, f3, ripple_db(order, k))


def filter_response_db(frequency: npt.ArrayLike, fs: float, made: HighPassFilter) -> FloatArray:
    """Level of the filter re its asymptote.

    Source: elementary; of second order the same law as a closed box.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, shape (f,).
    fs : float
        Frequency in Hz that the filter's ratio counts from.
    made : HighPassFilter
        The filter.

    Returns
    -------
    ndarray
        In dB, shape (f,).
    """
    require_above_zero(fs=fs)
    if made.q is not None:
        return closed_response_db(frequency, fs * made.ratio, made.q)
    x = np.asarray(frequency, dtype=float) / (fs * made.ratio)
    return np.asarray(20.0 * np.log10(x / np.hypot(1.0, x)), dtype=float)


def assisted_response_db(
    frequency: npt.ArrayLike, fs: float, found: Assisted, ql: float = math.inf
) -> FloatArray:
    """Level of a vented box with its filter re the high-frequency asymptote, no inductance.

    Source: Small, Vented-box loudspeaker systems I, JAES 21(5) 1973, times the filter.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, shape (f,).
    fs : float
        Resonance of the driver in Hz.
    found : Assisted
        The alignment.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    ndarray
        In dB, shape (f,).
    """
    box = vented_response_db(frequency, fs, found.qt, found.alpha, found.h, ql)
    return box + filter_response_db(frequency, fs, found.filter)

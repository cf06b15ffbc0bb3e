"""A capacitor in series with the driver: one order more than the box alone, for a given driver.

The capacitor works on the driver's motion, so it is no filter before a box: box, driver and
capacitor share one polynomial, solved here by its coefficients. Voice-coil inductance is left out.
The polynomials are worked out from the circuit (driver of Re, Bl, Mms, Cms, Rms; box with a leak);
closed boxes of this kind are known from Thiele and Benson, no formula was read.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.alignments.polynomials import (
    chebyshev_poles,
    coefficients,
    crossing,
    half_power,
    ripple_db,
)
from speakerwright.acoustics.limits import require_above_zero

_LEAST_K, _GREATEST_K = 0.45, 40.0  # between them the Q falls with k; below 0.4 it turns


@dataclass(frozen=True)
class WithCapacitor:
    """A driver in a box behind a series capacitor.

    `alpha` is Vas over volume, `h` tuning over fs (None closed), `time` the time constant of
    capacitor and voice coil with its source times 2 pi fs, `f3_over_fs` the -3.01 dB point over fs,
    `ripple_db` peak to trough, `shape` k of the polynomial.
    """

    name: str
    alpha: float
    h: float | None
    time: float
    f3_over_fs: float
    ripple_db: float
    shape: float


def closed_capacitor_polynomial(
    qes: float, qms: float, alpha: float, time: float
) -> FloatArray:
    """Polynomial of third order of a closed box behind a capacitor, in s over 2 pi fs.

    Worked out from the circuit: (s^2 + s / Qms + 1 + alpha)(1 + s T) + s^2 T / Qes, over T.

    Parameters
    ----------
    qes, qms : float
        Electrical Q with the source's resistance, and mechanical Q.
    alpha : float
        Equivalent volume over net volume.
    time : float
        Time constant times 2 pi fs.

    Returns
    -------
    ndarray
        Shape (4,), highest power first.
    """
    require_above_zero(qes=qes, qms=qms, time=time)
    spring, loss = 1.0 + alpha, 1.0 / qms
    return np.array([
        1.0, 1.0 / time + loss + 1.0 / qes, loss / time + spring, spring / time,
    ])


def vented_capacitor_polynomial(
    qes: float, qms: float, alpha: float, h: float, time: float, ql: float = math.inf
) -> FloatArray:
    """Polynomial of fifth order of a vented box behind a capacitor, in s over 2 pi fs.

    Worked out from the circuit: ((s^2 + s / Qms + 1) D + alpha s^2)(1 + s T) + s^2 T D / Qes, over
    T, with D = s^2 + s h / QL + h^2.

    Parameters
    ----------
    qes, qms : float
        Electrical Q with the source's resistance, and mechanical Q.
    alpha, h : float
        Equivalent volume over net volume; tuning over fs.
    time : float
        Time constant times 2 pi fs.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    ndarray
        Shape (6,), highest power first.
    """
    require_above_zero(qes=qes, qms=qms, h=h, time=time, ql=ql)
    box = np.array([1.0, h / ql, h**2])
    moving = np.polyadd(np.polymul([1.0, 1.0 / qms, 1.0], box), [alpha, 0.0, 0.0])
    whole = np.polyadd(
        np.polymul(moving, [time, 1.0]), np.polymul(box, [time / qes, 0.0, 0.0])
    )
    return np.asarray(whole / time, dtype=float)


def closed_capacitor3(qes: float, qms: float, k: float = 1.0) -> WithCapacitor:
    """Closed box and series capacitor of third order for a driver: B3, or C3 by k.

    Source: coefficients of `closed_capacitor_polynomial` matched to the polynomial's, worked out
    here. With no mechanical loss alpha is 8 / (9 QT^2) - 1, the time 3 QT, f3 / fs 2 / (3 QT).

    Parameters
    ----------
    qes, qms : float
        Electrical Q with the source's resistance, and mechanical Q.
    k : float
        As in `polynomials.chebyshev_poles`; 1 for Butterworth.

    Returns
    -------
    WithCapacitor
        Volume ratio, time constant and f3.

    Raises
    ------
    ValueError
        When the driver's Q is too high for any box.
    """
    require_above_zero(qes=qes, qms=qms)
    target = coefficients(chebyshev_poles(3, k))
    _, c1, c2, _ = target
    loss, total = 1.0 / qms, 1.0 / qms + 1.0 / qes
    # p = w T, w the polynomial's unit over fs: p^3 - c2 p^2 + (c1 p - 1) loss / total = 0
    roots = np.roots([1.0, -c2, c1 * loss / total, -loss / total])
    p = max((float(r.real) for r in roots if abs(r.imag) < 1e-9), default=0.0)
    time = (c1 * p - 1.0) / total
    alpha = p**3 / time**2 - 1.0 if time > 0.0 else 0.0
    name = "B3" if k == 1.0 else "C3" if k < 1.0 else "SC3"
    if alpha <= 0.0:
        raise ValueError(f"the driver's Q is too high for a {name} behind a capacitor")
    f3 = p / time * half_power(target)
    return WithCapacitor(name, alpha, None, time, f3, ripple_db(3, k), k)


def vented_capacitor5(qes: float, qms: float, ql: float = math.inf) -> WithCapacitor:
    """Vented box and series capacitor of fifth order for a driver: C5, B5 or SC5 by its Q.

    Source: coefficients of `vented_capacitor_polynomial` matched to the polynomial's, worked out
    here. With no loss the B5 wants a QT of 0.5528, with alpha 0.528 and h 0.687.

    Parameters
    ----------
    qes, qms : float
        Electrical Q with the source's resistance, and mechanical Q.
    ql : float
        Q of the box's leakage at its tuning; infinite for none.

    Returns
    -------
    WithCapacitor
        Volume ratio, tuning ratio, time constant, f3, and k as its shape.

    Raises
    ------
    ValueError
        When no member of the family suits the driver.
    """
    require_above_zero(qes=qes, qms=qms, ql=ql)
    low, high = _LEAST_K, _GREATEST_K
    if not _residual(low, qes, qms, ql) > 0.0 > _residual(high, qes, qms, ql):
        raise ValueError("no vented box behind a capacitor gives this driver a fifth order")
    k = crossing(lambda k: _residual(k, qes, qms, ql), low, high)
    unit, time, h, alpha = _four_of_five(k, qes, qms, ql)
    if alpha <= 0.0:
        raise ValueError("no vented box behind a capacitor gives this driver a fifth order")
    name = "C5" if k < 1.0 else "SC5"
    f3 = unit * half_power(coefficients(chebyshev_poles(5, k)))
    return WithCapacitor(name, alpha, h, time, f3, ripple_db(5, k), k)


def _four_of_five(k: float, qes: float, qms: float, ql: float) -> tuple[float, float, float, float]:
    """Unit over fs, time, h and alpha from the coefficients of s^4, s^3, s and 1, iterated."""
    c = coefficients(chebyshev_poles(5, k))
    m, e = 1.0 / qms, 1.0 / qes
    w, leak, time = (m + e) / (c[1] - 1.0 / c[4]), 0.0, 1.0
    for _ in range(60):
        time = c[4] / w - m - (leak / (time * w**5) if leak else 0.0)
        if time <= 0.0 or w <= 0.0:
            return math.nan, math.nan, math.nan, math.nan
        leak = math.sqrt(time * w**5) / ql
        w = (1.0 / time + m + e + leak) / c[1]
    h = math.sqrt(time * w**5)
    spring = c[2] * w**2 - (m + leak) / time - e * leak
    return w, time, h, spring - 1.0 - h**2 - m * leak


def _residual(k: float, qes: float, qms: float, ql: float) -> float:
    """The coefficient of s^2 that the other four leave, less the wanted one; nan for no box."""
    w, time, h, alpha = _four_of_five(k, qes, qms, ql)
    if math.isnan(w):
        return math.nan
    made = vented_capacitor_polynomial(qes, qms, alpha, h, time, ql)
    return float(made[3] / w**3 - coefficients(chebyshev_poles(5, k))[3])

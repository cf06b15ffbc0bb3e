"""How force factor, stiffness and inductance change as the cone leaves its rest position.

Every curve is a factor on the small-signal figure, one at rest, over the displacement in m:
positive outward, away from the magnet. Outside the range it was fitted over, a curve is held at its
end value: a polynomial would run away there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero

POINTS = 513  # of every curve's table; a cubic between them is exact for a cubic polynomial
BL_AT_XMAX = 0.82  # after the criteria of IEC 62458, from memory
CMS_AT_XMAX = 0.75  # after the criteria of IEC 62458, from memory
REACH = 2.0  # of a shape, over xmax, where no damaging excursion is known: rule of thumb


@dataclass(frozen=True, eq=False)
class Curve:
    """A factor over displacement from `low` to `high` (m), as values and slopes on an even grid.

    `values` and `slopes` (per m) have shape (`POINTS`,); between them runs the cubic that has both.
    """

    low: float
    high: float
    values: FloatArray
    slopes: FloatArray

    def __post_init__(self) -> None:
        if not self.low < 0.0 < self.high:
            raise ValueError("a curve must reach to both sides of the rest position")
        if self.values.shape != (POINTS,) or self.slopes.shape != (POINTS,):
            raise ValueError(f"a curve has {POINTS} values and slopes")
        if not (np.all(np.isfinite(self.slopes)) and np.all(self.values > 0.0)):
            raise ValueError("a curve must stay above zero")
        self.values.setflags(write=False)
        self.slopes.setflags(write=False)

    def _place(self, displacement: npt.ArrayLike) -> tuple[npt.NDArray[np.intp], FloatArray, float]:
        """Cell, place in it from 0 to 1 and width of a cell, for displacements held in range."""
        step = (self.high - self.low) / (POINTS - 1)
        along = (np.clip(np.asarray(displacement, dtype=float), self.low, self.high) - self.low)
        along = along / step
        cell = np.minimum(along.astype(np.intp), POINTS - 2)
        return cell, np.asarray(along - cell), step

    def at(self, displacement: npt.ArrayLike) -> FloatArray:
        """Factor at displacements in m, any shape."""
        k, s, step = self._place(displacement)
        left, right = self.values[k], self.values[k + 1]
        rise = s * s * (3.0 - 2.0 * s)
        bend = s * (1.0 - s) * ((1.0 - s) * self.slopes[k] - s * self.slopes[k + 1])
        return np.asarray(left + rise * (right - left) + step * bend)

    def slope(self, displacement: npt.ArrayLike) -> FloatArray:
        """Derivative of `at` per m, any shape; zero outside the range."""
        x = np.asarray(displacement, dtype=float)
        k, s, step = self._place(x)
        rise = 6.0 * s * (1.0 - s) * (self.values[k + 1] - self.values[k]) / step
        bend = (1.0 - s) * (1.0 - 3.0 * s) * self.slopes[k]
        bend = bend - s * (2.0 - 3.0 * s) * self.slopes[k + 1]
        inside = (x >= self.low) & (x <= self.high)
        return np.asarray(np.where(inside, rise + bend, 0.0))

    def work(self, displacement: npt.ArrayLike) -> FloatArray:
        """Integral of factor times displacement from rest, m^2: a spring's energy per stiffness."""
        x = np.asarray(displacement, dtype=float)
        nodes = np.linspace(self.low, self.high, POINTS)
        whole = np.concatenate([[0.0], np.cumsum(self._between(nodes[:-1], nodes[1:]))])

        def from_low(where: FloatArray) -> FloatArray:
            held = np.clip(where, self.low, self.high)
            k, _, _ = self._place(held)
            ends = self.values[np.where(where > 0.0, POINTS - 1, 0)]
            beyond = ends * (where**2 - held**2) / 2.0
            return np.asarray(whole[k] + self._between(nodes[k], held) + beyond)

        return np.asarray(from_low(x) - from_low(np.zeros(1))[0])

    def _between(self, start: FloatArray, end: FloatArray) -> FloatArray:
        """The same integral inside single cells: Gauss and Legendre, three points, exact."""
        half, middle = (end - start) / 2.0, (end + start) / 2.0
        total = np.zeros(np.shape(start))
        for node, weight in ((-math.sqrt(0.6), 5.0 / 9.0), (0.0, 8.0 / 9.0),
                             (math.sqrt(0.6), 5.0 / 9.0)):
            x = middle + half * node
            total = total + weight * self.at(x) * x
        return np.asarray(total * half)


def _sampled(
    factor: Callable[[FloatArray], FloatArray], slope: Callable[[FloatArray], FloatArray],
    low: float, high: float,
) -> Curve:
    """A curve from a function and its derivative, divided by its value at rest."""
    if not (math.isfinite(low) and math.isfinite(high) and low < 0.0 < high):
        raise ValueError("a curve must reach to both sides of the rest position")
    x = np.linspace(low, high, POINTS)
    rest = float(factor(np.zeros(1))[0])
    if not rest > 0.0:
        raise ValueError("a curve must be above zero at rest")
    return Curve(low, high, factor(x) / rest, slope(x) / rest)


def constant(reach: float = 1.0) -> Curve:
    """A curve that is one everywhere.

    Parameters
    ----------
    reach : float
        Its range to both sides in m; no more than a name for how far it may be trusted.

    Returns
    -------
    Curve
        Ones.
    """
    require_above_zero(reach=reach)
    return Curve(-reach, reach, np.ones(POINTS), np.zeros(POINTS))


def polynomial(coefficients: Sequence[float], low: float, high: float) -> Curve:
    """A curve from the coefficients of a polynomial over the displacement.

    Parameters
    ----------
    coefficients : sequence of float
        Lowest power first, any unit over powers of m; only their ratio to the first counts.
    low, high : float
        The range in m it was fitted over, `low` below zero and `high` above.

    Returns
    -------
    Curve
        Held at its ends outside the range.

    Raises
    ------
    ValueError
        When it falls to zero inside the range.
    """
    law = np.polynomial.Polynomial(np.asarray(coefficients, dtype=float))
    slope = law.deriv()
    return _sampled(lambda x: np.asarray(law(x)), lambda x: np.asarray(slope(x)), low, high)


def table(displacement: npt.ArrayLike, values: npt.ArrayLike) -> Curve:
    """A curve through the points of a table: a cubic spline, its ends not knotted.

    Parameters
    ----------
    displacement : array_like
        In m, rising, shape (n,), three or more, from below zero to above.
    values : array_like
        Force factor, stiffness or inductance there, any unit, shape (n,).

    Returns
    -------
    Curve
        Held at its ends outside the table.

    Raises
    ------
    ValueError
        When the table is too short or does not rise, or the curve falls to zero.
    """
    from scipy.interpolate import CubicSpline

    x, y = np.asarray(displacement, dtype=float), np.asarray(values, dtype=float)
    if x.ndim != 1 or x.shape != y.shape or x.size < 3 or not np.all(np.diff(x) > 0.0):
        raise ValueError("a table has three or more points, rising in displacement")
    spline = CubicSpline(x, y)
    return _sampled(
        lambda at: np.asarray(spline(at), dtype=float),
        lambda at: np.asarray(spline(at, 1), dtype=float), float(x[0]), float(x[-1]),
    )


@dataclass(frozen=True, eq=False)
class Nonlinear:
    """The three curves of a driver: force factor, stiffness, inductance; constant if left out.

    One shape holds for the whole inductance, its lossy branch included (common practice, no
    source).
    """

    bl: Curve
    kms: Curve
    le: Curve

    @property
    def reach(self) -> tuple[float, float]:
        """The displacements (m) between which all three curves are known."""
        curves = (self.bl, self.kms, self.le)
        return max(curve.low for curve in curves), min(curve.high for curve in curves)


def linear() -> Nonlinear:
    """A driver whose figures do not change with displacement."""
    return Nonlinear(constant(), constant(), constant())


def assumed_force_factor(xmax: float, reach: float | None = None) -> Curve:
    """An assumed shape of the force factor: 82 % at the linear excursion, even about rest.

    The figure at xmax follows the criteria of IEC 62458 (from memory); the bell shape between and
    beyond is a rule of thumb. Being even, it makes no even harmonics: those need measured curves.

    Parameters
    ----------
    xmax : float
        One-way linear excursion in m.
    reach : float, optional
        One-way range in m, such as the damaging excursion; twice xmax when left out.

    Returns
    -------
    Curve
        0.82 at xmax.
    """
    return _bell(BL_AT_XMAX, xmax, reach)


def assumed_stiffness(xmax: float, reach: float | None = None) -> Curve:
    """An assumed shape of the stiffness: compliance 75 % at the linear excursion, even about rest.

    As `assumed_force_factor`: IEC 62458 from memory at xmax, the shape a rule of thumb.

    Parameters
    ----------
    xmax : float
        One-way linear excursion in m.
    reach : float, optional
        One-way range in m; twice xmax when left out.

    Returns
    -------
    Curve
        1 / 0.75 at xmax.
    """
    return _bell(1.0 / CMS_AT_XMAX, xmax, reach)


def _bell(at_xmax: float, xmax: float, reach: float | None) -> Curve:
    require_above_zero(xmax=xmax)
    far = REACH * xmax if reach is None else reach
    power = math.log(at_xmax) / xmax**2

    def factor(x: FloatArray) -> FloatArray:
        return np.exp(power * x**2)

    return _sampled(factor, lambda x: 2.0 * power * x * factor(x), -far, far)

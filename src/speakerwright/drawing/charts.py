"""Charts as plain data: axes, curves, limits and marks, ready for paper or for the screen."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from speakerwright.drawing.palette import PARTS
from speakerwright.words.evidence import Evidence

Floats = NDArray[np.float64]

DB_PER_DECADE = 50.0
"""Level, in dB, that is as long on paper as one decade of frequency.

IEC 60263 (from memory) allows 10, 25 and 50 dB to be as long as a decade; one of them on every
response chart keeps slopes alike: 24 dB per octave always has the same slant.
"""


def _frozen(values: ArrayLike) -> Floats:
    array = np.array(values, dtype=np.float64, copy=True)
    array.setflags(write=False)
    return array


@dataclass(frozen=True)
class Axis:
    """One axis of a chart.

    Parameters
    ----------
    label, unit : str
        What it shows and in which unit; the unit may be empty.
    low, high : float
        Ends, in `unit`; finite, `low` < `high`, both above zero on a logarithmic scale.
    scale : {"linear", "log"}
    step : float, optional
        Distance of labels on a linear scale; chosen when absent.
    """

    label: str
    unit: str
    low: float
    high: float
    scale: Literal["linear", "log"] = "linear"
    step: float | None = None

    def __post_init__(self) -> None:
        if self.scale not in ("linear", "log"):
            raise ValueError(f"an axis is linear or log, not {self.scale!r}")
        if not (math.isfinite(self.low) and math.isfinite(self.high) and self.low < self.high):
            raise ValueError(f"an axis needs finite ends, low before high: {self.low}, {self.high}")
        if self.scale == "log" and self.low <= 0.0:
            raise ValueError(f"a logarithmic axis starts above zero, not at {self.low}")
        if self.step is not None and not self.step > 0.0:
            raise ValueError(f"the step of an axis is above zero, not {self.step}")

    @property
    def heading(self) -> str:
        """Label and unit as they are printed: ``Frequency, Hz``."""
        return f"{self.label}, {self.unit}" if self.label and self.unit else self.label or self.unit

    def fraction(self, values: ArrayLike) -> Floats:
        """Where values lie along the axis: 0 at `low`, 1 at `high`; NaN where they have no place.

        Parameters
        ----------
        values : array_like, any shape, in `unit`

        Returns
        -------
        ndarray of the same shape
        """
        given = np.asarray(values, dtype=np.float64)
        if self.scale == "linear":
            return np.asarray((given - self.low) / (self.high - self.low))
        placed = np.where(given > 0.0, given, np.nan)
        return np.asarray(np.log(placed / self.low) / math.log(self.high / self.low))


@dataclass(frozen=True, eq=False)
class Curve:
    """One curve.

    Parameters
    ----------
    name : str
        Printed at its end.
    part : str
        Which part it belongs to, one of `palette.PARTS`: its colour.
    evidence : Evidence
        How sure it is: its line.
    x, y : ndarray, shape (n,)
        In the units of the axes; NaN interrupts the line.
    valid : (float, float), optional
        Range of x in which it is valid; greyed outside.
    axis : {"left", "right"}
    band : (array_like, array_like), optional
        Lower and upper edge of a tolerance, each shape (n,).
    """

    name: str
    part: str
    evidence: Evidence
    x: Floats
    y: Floats
    valid: tuple[float, float] | None = None
    axis: Literal["left", "right"] = "left"
    band: tuple[Floats, Floats] | None = None

    def __post_init__(self) -> None:
        put = object.__setattr__
        put(self, "x", _frozen(self.x))
        put(self, "y", _frozen(self.y))
        put(self, "evidence", Evidence(self.evidence))
        if self.x.ndim != 1 or self.x.shape != self.y.shape:
            raise ValueError(f"{self.name}: x {self.x.shape} and y {self.y.shape} do not match")
        if self.part not in PARTS:
            raise ValueError(f"{self.name}: {self.part!r} is not one of {', '.join(PARTS)}")
        if self.axis not in ("left", "right"):
            raise ValueError(f"{self.name}: its axis is left or right, not {self.axis!r}")
        if self.band is not None:
            edges = tuple(_frozen(edge) for edge in self.band)
            if any(edge.shape != self.x.shape for edge in edges):
                raise ValueError(f"{self.name}: its band does not match x {self.x.shape}")
            put(self, "band", edges)


@dataclass(frozen=True, eq=False)
class Region:
    """A shaded limit, with the reason that is written in it.

    `x` has shape (n,); `low` and `high` are numbers or arrays of that shape, in the unit of the
    left axis, and may be infinite.
    """

    x: Floats
    low: Floats | float
    high: Floats | float
    reason: str

    def __post_init__(self) -> None:
        put = object.__setattr__
        put(self, "x", _frozen(self.x))
        if self.x.ndim != 1:
            raise ValueError(f"a region's x has one dimension, not shape {self.x.shape}")
        for name in ("low", "high"):
            edge = np.broadcast_to(np.asarray(getattr(self, name), float), self.x.shape)
            put(self, name, _frozen(edge))


@dataclass(frozen=True)
class Mark:
    """A point with a word beside it; without `y`, a vertical line."""

    x: float
    y: float | None
    text: str


@dataclass(frozen=True, eq=False)
class Chart:
    """One chart: `key` names it for links and files, `caption` gives drive, distance and space."""

    key: str
    title: str
    x: Axis
    y: Axis
    curves: tuple[Curve, ...]
    regions: tuple[Region, ...] = ()
    marks: tuple[Mark, ...] = ()
    caption: str = ""
    right: Axis | None = None

    def __post_init__(self) -> None:
        for name in ("curves", "regions", "marks"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        if self.right is None and any(curve.axis == "right" for curve in self.curves):
            raise ValueError(f"{self.key}: a curve stands on the right axis, and there is none")

    @property
    def is_response(self) -> bool:
        """Whether it shows level in dB over a logarithmic frequency axis."""
        level = self.y.unit.split(" ")[0] == "dB" and self.y.scale == "linear"
        return level and self.x.scale == "log" and self.x.unit == "Hz"

    @property
    def height_over_width(self) -> float | None:
        """Height of the plotting field over its width on a response chart; else None.

        It keeps `DB_PER_DECADE` whatever the ends of the axes are.
        """
        if not self.is_response:
            return None
        decades = math.log10(self.x.high / self.x.low)
        return (self.y.high - self.y.low) / DB_PER_DECADE / decades


def frequency_axis(low: float = 20.0, high: float = 20000.0, label: str = "Frequency") -> Axis:
    """A logarithmic frequency axis with 1-2-5 labels; `low` and `high` in Hz, above zero."""
    return Axis(label, "Hz", float(low), float(high), "log")


def level_axis(low_db: float, high_db: float, label: str = "Level", unit: str = "dB") -> Axis:
    """A level axis that covers `low_db` to `high_db` in whole steps: 5 dB up to 40 dB, else 10 dB.

    Both ends are moved outwards to the next step, and the lower one on until 20 dB are covered.
    Raises ValueError when they are not finite.
    """
    if not (math.isfinite(low_db) and math.isfinite(high_db)):
        raise ValueError(f"a level axis needs finite ends: {low_db}, {high_db}")
    first, last = sorted((float(low_db), float(high_db)))
    step = 5.0 if last - first <= 40.0 else 10.0
    low, high = step * math.floor(first / step), step * math.ceil(last / step)
    return Axis(label, unit, min(low, high - 20.0), high, "linear", step)


def linear_axis(
    label: str, unit: str, values: Iterable[ArrayLike], *, zero: bool = True, step: float = 0.0
) -> Axis:
    """A linear axis that covers all finite `values`, from zero if asked, in whole steps."""
    found = [np.ravel(np.asarray(part, dtype=np.float64)) for part in values]
    every = np.concatenate(found) if found else np.zeros(0)
    every = every[np.isfinite(every)]
    low, high = (float(every.min()), float(every.max())) if every.size else (0.0, 1.0)
    if zero:
        low, high = min(low, 0.0), max(high, 0.0)
    if not low < high:
        high = low + max(abs(low), 1.0)
    step = step or nice_step(high - low)
    return Axis(label, unit, step * math.floor(low / step + 1e-9),
                step * math.ceil(high / step - 1e-9), "linear", step)


def nice_step(span: float, most: int = 8) -> float:
    """The smallest step of 1, 2 or 5 times a power of ten with at most `most` steps in `span`."""
    least = span / most
    power = 10.0 ** math.floor(math.log10(least))
    for lead in (1.0, 2.0, 5.0):
        if lead * power >= least * (1 - 1e-9):
            return lead * power
    return 10.0 * power


@dataclass(frozen=True)
class Ticks:
    """Labelled and unlabelled divisions of an axis, in its unit."""

    major: tuple[float, ...]
    labels: tuple[str, ...]
    minor: tuple[float, ...]


def ticks(axis: Axis, most: int = 12) -> Ticks:
    """Divisions of an axis, with at most about `most` labels.

    A logarithmic axis is labelled at 1, 2 and 5 (at 1 alone when that is too many, at a linear
    step when it is shorter than two such labels); its minor divisions are the whole digits.
    """
    if axis.scale == "log":
        found = _log_ticks(axis, most)
        if found is not None:
            return found
    step = axis.step or nice_step(axis.high - axis.low, min(most, 8))
    while (axis.high - axis.low) / step > 3 * most:
        step *= 2.0
    first = math.ceil(axis.low / step - 1e-9)
    last = math.floor(axis.high / step + 1e-9)
    major = tuple(step * count for count in range(first, last + 1))
    return Ticks(major, tuple(_number(value, axis.scale == "log") for value in major), ())


def _log_ticks(axis: Axis, most: int) -> Ticks | None:
    decades = range(math.floor(math.log10(axis.low)), math.ceil(math.log10(axis.high)) + 1)
    every = [(digit, 10.0**decade) for decade in decades for digit in range(1, 10)]
    inside = [(digit, digit * power) for digit, power in every
              if axis.low * (1 - 1e-9) <= digit * power <= axis.high * (1 + 1e-9)]
    major = [value for digit, value in inside if digit in (1, 2, 5)]
    if len(major) > most:
        major = [value for digit, value in inside if digit == 1]
        major = major[:: math.ceil(len(major) / most)]
    if len(major) < 2:
        return None
    minor = tuple(value for _, value in inside if value not in major)
    return Ticks(tuple(major), tuple(_number(value, True) for value in major), minor)


def _number(value: float, thousands: bool) -> str:
    """A label: ``2k`` for 2000 where thousands are shortened, a true minus, no stray digits."""
    if thousands and abs(value) >= 1000.0:
        return f"{_number(value / 1000.0, False)}k"
    text = f"{value:.6g}"
    if "e" in text and abs(value) < 1e6:
        text = f"{value:.9f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text.replace("-", "\u2212")


def evidence_used(chart: Chart) -> tuple[Evidence, ...]:
    """Which kinds of evidence the chart's curves rest on, weakest first."""
    used: set[Any] = {curve.evidence for curve in chart.curves}
    return tuple(kind for kind in Evidence if kind in used)

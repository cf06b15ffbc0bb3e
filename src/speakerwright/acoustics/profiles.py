"""Profiles of horns and tapered ducts: conical, exponential, hyperbolic; cutoff and resonances."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero


@dataclass(frozen=True)
class Profile:
    """A duct whose root of area r(x) obeys r'' = curvature times r: Salmon's family of horns.

    Source: V. Salmon, A new family of horns, JASA 17, 212 (1946) (memory). Made by `conical`,
    `exponential` and `hyperbolic`.

    Parameters
    ----------
    root : float
        Root of the area at the start, in m, above zero.
    slope : float
        Its derivative along x at the start, without unit.
    curvature : float
        In 1/m^2, 0 (cone or uniform duct) or above.
    length : float
        In m, above zero.

    Raises
    ------
    ValueError
        When a figure is out of range or the duct closes within its length.
    """

    root: float
    slope: float
    curvature: float
    length: float

    def __post_init__(self) -> None:
        require_above_zero(root=self.root, length=self.length)
        if not (math.isfinite(self.slope) and self.curvature >= 0.0):
            raise ValueError("slope must be finite and curvature not negative")
        if not self.root_and_slope(self.length)[0] > 0.0:
            raise ValueError("the duct closes within its length")

    def root_and_slope(self, x: float) -> tuple[float, float]:
        """Root of the area in m, and its slope, at x m from the start."""
        rate = math.sqrt(self.curvature)
        even = math.cosh(rate * x)
        odd = math.sinh(rate * x) / rate if rate > 0.0 else x
        return (self.root * even + self.slope * odd,
                self.curvature * self.root * odd + self.slope * even)

    def area(self, x: float) -> float:
        """Cross-section in m^2 at x m from the start."""
        return self.root_and_slope(x)[0] ** 2

    @property
    def volume(self) -> float:
        """Volume of air in m^3."""
        end, end_slope = self.root_and_slope(self.length)
        if self.curvature * self.length**2 < 1e-8:  # the law below would cancel
            return self.length * (self.root**2 + self.root * end + end**2) / 3.0
        invariant = self.curvature * self.root**2 - self.slope**2
        turned = end * end_slope - self.root * self.slope
        return (turned + invariant * self.length) / (2.0 * self.curvature)

    def cutoff(self, speed: float) -> float:
        """Frequency in Hz below which nothing travels in an endless such horn; 0 for a cone."""
        return speed * math.sqrt(self.curvature) / (2.0 * math.pi)

    def cut(self, count: int) -> tuple[Profile, ...]:
        """The same profile in `count` sections of equal length."""
        step = self.length / count
        starts = (self.root_and_slope(i * step) for i in range(count))
        return tuple(Profile(root, slope, self.curvature, step) for root, slope in starts)


def conical(start_area: float, end_area: float, length: float) -> Profile:
    """A cone, or a uniform duct where both areas are equal; widening or narrowing.

    Parameters
    ----------
    start_area, end_area : float
        In m^2, above zero.
    length : float
        In m, above zero.

    Returns
    -------
    Profile
        With curvature 0.
    """
    require_above_zero(start_area=start_area, end_area=end_area, length=length)
    root = math.sqrt(start_area)
    return Profile(root, (math.sqrt(end_area) - root) / length, 0.0, length)


def exponential(start_area: float, end_area: float, length: float) -> Profile:
    """An exponential duct, S = S0 exp(m x), widening or narrowing.

    Parameters
    ----------
    start_area, end_area : float
        In m^2, above zero.
    length : float
        In m, above zero.

    Returns
    -------
    Profile
        With curvature (m/2)^2.
    """
    require_above_zero(start_area=start_area, end_area=end_area, length=length)
    rate = math.log(end_area / start_area) / (2.0 * length)
    return Profile(math.sqrt(start_area), rate * math.sqrt(start_area), rate**2, length)


def hyperbolic(start_area: float, end_area: float, length: float, parameter: float) -> Profile:
    """A horn S = S0 (cosh x/x0 + T sinh x/x0)^2, widening.

    Source: Salmon 1946 (memory). T below 1 loads better just above cutoff; 1 is the exponential
    horn, 0 the catenoidal one; a large T tends to the cone.

    Parameters
    ----------
    start_area, end_area : float
        In m^2, the end the larger.
    length : float
        In m, above zero.
    parameter : float
        T, 0 or above.

    Returns
    -------
    Profile
        With curvature 1/x0^2.

    Raises
    ------
    ValueError
        For a narrowing duct or a negative T.
    """
    require_above_zero(start_area=start_area, end_area=end_area, length=length)
    if not (end_area > start_area and math.isfinite(parameter) and parameter >= 0.0):
        raise ValueError("a hyperbolic horn widens, and its parameter is 0 or above")
    ratio = math.sqrt(end_area / start_area)
    grown = (ratio + math.sqrt(ratio**2 - 1.0 + parameter**2)) / (1.0 + parameter)
    rate = math.log(grown) / length
    root = math.sqrt(start_area)
    return Profile(root, parameter * rate * root, rate**2, length)


def exponential_cutoff(rate: float, speed: float) -> float:
    """Cutoff of S = S0 exp(m x): m c / 4 pi.

    Source: Webster 1919; Olson.

    Parameters
    ----------
    rate : float
        m in 1/m, above zero.
    speed : float
        Of sound in m/s.

    Returns
    -------
    float
        Frequency in Hz.
    """
    require_above_zero(rate=rate, speed=speed)
    return rate * speed / (4.0 * math.pi)


def closed_open_modes(profile: Profile, speed: float, count: int = 3) -> FloatArray:
    """Resonances of a profile closed at its start and ideally open at its end, without losses.

    A uniform duct gives odd quarter waves, (2 n - 1) c / 4 L; a cone from near its apex, half
    waves. The open end's correction is to be added to the length beforehand.

    Parameters
    ----------
    profile : Profile
        The duct.
    speed : float
        Of sound in m/s.
    count : int
        How many, 1 or more.

    Returns
    -------
    ndarray
        Frequencies in Hz, shape (count,), ascending.
    """
    from scipy.optimize import brentq

    require_above_zero(speed=speed, count=count)
    ratio = profile.slope * profile.length / profile.root
    bent = profile.curvature * profile.length**2

    def flow(q: float) -> float:  # of the open end, over that of the closed one it would give
        angle = np.sqrt(complex(q))
        return float((np.cos(angle) + ratio * np.sinc(angle / math.pi)).real)

    edges = [-bent, *[(n * math.pi) ** 2 for n in range(1, count + 1)]]
    roots = [brentq(flow, *pair, xtol=1e-13) for pair in pairwise(edges)]
    k = np.sqrt(np.asarray(roots) + bent) / profile.length
    return np.asarray(k * speed / (2.0 * math.pi))

"""End corrections of openings that are not one round tube: several ports, rectangles, slots.

Lengths in m, low frequency and small amplitude, as in `ends`.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero


def mutual_end(radius: float, distance: float) -> float:
    """Extra correction of each of two like openings in one baffle: a^2 / (2 s).

    Source: far limit of the piston integral (Ingard 1953); 5 % low at s = 2.5 a.

    Parameters
    ----------
    radius : float
        In m.
    distance : float
        Between centres in m, two radii or more.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        When the openings overlap.
    """
    require_above_zero(radius=radius)
    if distance < 2.0 * radius * (1.0 - 1e-12):
        raise ValueError("the openings must not overlap")
    return radius**2 / (2.0 * distance)


def mutual_outside(radius: float, centres: npt.ArrayLike) -> FloatArray:
    """Extra outer correction of each of several like round ports in one baffle.

    The sum of a^2 / (2 s) over the other ports (Ingard 1953, far limit), all in phase.

    Parameters
    ----------
    radius : float
        In m.
    centres : array_like
        Centres in m, shape (n, 2).

    Returns
    -------
    ndarray
        Length in m of each port, shape (n,).

    Raises
    ------
    ValueError
        When two ports overlap or the shape is not (n, 2).
    """
    points = np.asarray(centres, dtype=float)
    if points.ndim != 2 or points.shape[1] != 2:
        raise ValueError("centres must be pairs of x and y")
    extra = [
        sum(mutual_end(radius, math.dist(here, there)) for j, there in enumerate(points) if j != i)
        for i, here in enumerate(points)
    ]
    return np.asarray(extra, dtype=float)


def mutual_inside(radius: float, centres: npt.ArrayLike) -> FloatArray:
    """Extra inner correction of each of several like free-ended round ports.

    The sum of a^2 / (4 s) over the other ports: free space in place of half space, before the
    walls of the box; a first estimate.

    Parameters
    ----------
    radius : float
        In m.
    centres : array_like
        Centres in m, shape (n, 2).

    Returns
    -------
    ndarray
        Length in m of each port, shape (n,).

    Raises
    ------
    ValueError
        When two ports overlap or the shape is not (n, 2).
    """
    return 0.5 * mutual_outside(radius, centres)


@lru_cache(maxsize=1)
def _gauss() -> tuple[FloatArray, FloatArray]:
    nodes, weights = np.polynomial.legendre.leggauss(96)
    return np.asarray(nodes, dtype=float), np.asarray(weights, dtype=float)


def twin_openings(radius: float, distance: float) -> float:
    """Extra correction of each of two like openings in one baffle, exactly for uniform velocity.

    Source: the piston integral (Ingard, JASA 25, 1037 (1953)) with the distribution of distances
    between two points of a disc; the mean over direction is one over an arithmetic-geometric mean.

    Parameters
    ----------
    radius : float
        In m.
    distance : float
        Between centres in m, two radii or more.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        When the openings overlap.
    """
    require_above_zero(radius=radius)
    s = distance / radius
    if s < 2.0 * (1.0 - 1e-12):
        raise ValueError("the openings must not overlap")
    nodes, weights = _gauss()
    d = nodes + 1.0
    density = 4.0 * d / math.pi * (np.arccos(d / 2.0) - d / 2.0 * np.sqrt(1.0 - d**2 / 4.0))
    mean, other = s + d, np.maximum(s - d, 0.0)
    for _ in range(12):
        mean, other = 0.5 * (mean + other), np.sqrt(mean * other)
    return radius * float(np.sum(weights * density / mean)) / 2.0


def rectangle_end(width: float, height: float) -> float:
    """End correction of a rectangular opening with uniform velocity in an infinite baffle.

    Source: Ingard, JASA 25, 1037 (1953), the piston integral in closed form.

    Parameters
    ----------
    width, height : float
        In m.

    Returns
    -------
    float
        Length in m.
    """
    require_above_zero(width=width, height=height)
    d = math.hypot(width, height)
    logs = width * math.log((height + d) / width) + height * math.log((width + d) / height)
    double = 2.0 * width * height * logs + 2.0 / 3.0 * (width**3 + height**3 - d**3)
    return double / (2.0 * math.pi * width * height)


def slit_in_duct_end(height: float, duct_height: float) -> float:
    """End correction of a slot along one wall of a wider duct, both as wide as each other.

    Source: Rayleigh's thin slit in a duct, with its image in the wall: (2 h / pi) ln cosec
    (pi h / 2 H), one end. A true step lies up to 0.04 h higher.

    Parameters
    ----------
    height : float
        Of the slot in m.
    duct_height : float
        Of the duct in m, `height` or more.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        When the slot is higher than the duct.
    """
    require_above_zero(height=height)
    if height > duct_height:
        raise ValueError("the slot must not be higher than the duct")
    return -2.0 * height / math.pi * math.log(math.sin(0.5 * math.pi * height / duct_height))


def like_rectangle_end(width: float, height: float, distance: float) -> float:
    """Extra correction of each of two like rectangles one above the other in one baffle.

    Source: the piston integral of Ingard, JASA 25, 1037 (1953), over both, uniform velocity.

    Parameters
    ----------
    width, height : float
        In m.
    distance : float
        Between their middles along the height in m, `height` or more.

    Returns
    -------
    float
        Length in m; half of it for two mouths in free space.

    Raises
    ------
    ValueError
        When the openings overlap.
    """
    require_above_zero(width=width, height=height)
    if distance < height * (1.0 - 1e-12):
        raise ValueError("the openings must not overlap")

    def double(high: float) -> float:
        return rectangle_end(width, high) * high if high > 1e-9 * height else 0.0

    both = double(distance + height) - 2.0 * double(distance) + double(distance - height)
    return 0.5 * both / height

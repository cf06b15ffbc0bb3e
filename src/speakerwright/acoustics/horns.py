"""Horns and tapered ducts as two-ports: conical, exponential, hyperbolic, and any by cones.

Plane waves in one dimension (Webster): a first sketch that says nothing of directivity, and may be
3 to 30 % off near cutoff against a full solution. Each end's area counts as a plane.
"""

from __future__ import annotations

import math
from functools import reduce

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics import ducts
from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray, radiation_impedance
from speakerwright.acoustics.profiles import Profile, conical

SEGMENTS = 16  # of a lossy profile: over a hundredfold area, within 2e-4 of the throat impedance


def infinite_horn(frequency_ratio: npt.ArrayLike, parameter: float = 1.0) -> ComplexArray:
    """Throat impedance of an endless hyperbolic horn over rho c / S.

    Source: Webster 1919 (exponential, T = 1); Salmon 1946 (memory) for other T:
    j mu / (sqrt(1 - mu^2) + T) with mu = f / fc. Without losses.

    Parameters
    ----------
    frequency_ratio : array_like
        Frequency over cutoff, shape (f,), 0 or above.
    parameter : float
        T, 0 or above.

    Returns
    -------
    ndarray of complex
        Shape (f,), without unit; not finite at cutoff where T is 0.
    """
    mu = np.asarray(frequency_ratio, dtype=float)
    gamma = np.sqrt((1.0 - mu**2).astype(complex))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(1j * mu / (gamma + parameter), dtype=complex)


def infinite_cone(kx: npt.ArrayLike) -> ComplexArray:
    """Throat impedance of an endless cone over rho c / S: j k x0 / (1 + j k x0).

    Source: Webster 1919; Olson. `kx` is the wave number times the distance of the throat from the
    apex. Without losses.

    Parameters
    ----------
    kx : array_like
        Shape (f,), 0 or above.

    Returns
    -------
    ndarray of complex
        Shape (f,), without unit.
    """
    reach = 1j * np.asarray(kx, dtype=float)
    return np.asarray(reach / (1.0 + reach), dtype=complex)


def section_two_port(
    profile: Profile, propagation: npt.ArrayLike, impedance: npt.ArrayLike
) -> ComplexArray:
    """Chain matrix of a profile filled with a fluid, (p1, U1) = M (p2, U2), U from 1 to 2.

    The exact solution of Webster's equation with r = sqrt(S), p = psi / r and
    psi'' = (curvature + propagation^2) psi. Its last term is written so that it does not cancel
    at low frequency, where it is the compliance of the air within.

    Parameters
    ----------
    profile : Profile
        The duct.
    propagation : array_like
        Propagation constant of the fluid in 1/m, shape (f,), not zero.
    impedance : array_like
        Its characteristic impedance in Pa s/m, shape (f,).

    Returns
    -------
    ndarray of complex
        Shape (f, 2, 2): [[1, Pa s/m^3], [m^3/(Pa s), 1]]; its determinant is 1.
    """
    gamma = np.asarray(propagation, dtype=complex)
    zc = np.asarray(impedance, dtype=complex)
    start, slope = profile.root, profile.slope
    end, end_slope = profile.root_and_slope(profile.length)
    length, curvature = profile.length, profile.curvature
    root = np.asarray(np.sqrt(curvature + gamma**2), dtype=complex)
    even, odd = np.cosh(root * length), length * _sinhc(np.asarray(root * length, dtype=complex))
    bend = math.sqrt(curvature)
    low, high = ((root - bend) * length) ** 2, ((root + bend) * length) ** 2
    spread = _divided(np.asarray(low, dtype=complex), np.asarray(high, dtype=complex))
    held = start * end * odd + 2.0 * (slope**2 - curvature * start**2) * length**3 * spread
    rows = [
        np.stack([(even * end - odd * end_slope) / start, gamma * zc * odd / (start * end)], -1),
        np.stack([gamma / zc * held, (even * start + odd * slope) / end], -1),
    ]
    return np.stack(rows, axis=-2)


def _sinhc(z: ComplexArray) -> ComplexArray:
    return np.asarray(np.sinc(1j * z / math.pi), dtype=complex)


def _divided(p: ComplexArray, q: ComplexArray) -> ComplexArray:
    """(h(p) - h(q)) / (p - q) of h(q) = sinh(sqrt q) / sqrt q, without cancelling."""
    p, q = np.broadcast_arrays(p, q)
    series = sum(
        sum(p**i * q ** (n - 1 - i) for i in range(n)) / math.factorial(2 * n + 1)
        for n in range(1, 7)
    )
    small = (np.abs(p) < 0.1) & (np.abs(q) < 0.1)
    close = np.abs(p - q) < 1e-4 * np.maximum(np.abs(p), np.abs(q))
    middle = np.where(small, 1.0, 0.5 * (p + q))
    slope = (np.cosh(np.sqrt(middle)) - _sinhc(np.sqrt(middle))) / (2.0 * middle)
    apart = np.where(small | close, 1.0, p - q)
    direct = (_sinhc(np.sqrt(p)) - _sinhc(np.sqrt(q))) / apart
    return np.asarray(np.where(small, series, np.where(close, slope, direct)))


def two_port(
    frequency: npt.ArrayLike, profile: Profile, air: Medium | None = None
) -> ComplexArray:
    """Chain matrix of a profile without losses, as `section_two_port`.

    Source: Webster 1919. Plane waves: below the first cross mode, and best where the walls open
    slowly.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    profile : Profile
        The duct.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        Shape (f, 2, 2).

    Raises
    ------
    ValueError
        For a frequency that is not above zero.
    """
    gas = air if air is not None else Air()
    f = _frequencies(frequency)
    return section_two_port(
        profile, 2j * math.pi * f / gas.speed, np.full(f.shape, gas.density * gas.speed)
    )


def lossy_two_port(
    frequency: npt.ArrayLike,
    profile: Profile,
    perimeters: tuple[float, float] | None = None,
    air: Air | None = None,
    segments: int = SEGMENTS,
) -> ComplexArray:
    """Chain matrix of a profile with loss by viscosity and heat at its wall.

    The profile is exact; the law of the wall (`ducts.line`, with its range) is held over each of
    `segments` sections at its middle, of second order in their length.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    profile : Profile
        The duct.
    perimeters : tuple of float, optional
        Of the cross-section at start and end in m; round when left out. Between, the perimeter
        over the root of the area runs straight.
    air : Air, optional
        The air; the default state when left out.
    segments : int
        Sections, 1 or more.

    Returns
    -------
    ndarray of complex
        Shape (f, 2, 2).
    """
    f = _frequencies(frequency)
    gas = air if air is not None else Air()
    end = profile.root_and_slope(profile.length)[0]
    start_shape = end_shape = 2.0 * math.sqrt(math.pi)
    if perimeters is not None:
        start_shape, end_shape = perimeters[0] / profile.root, perimeters[1] / end
    matrices = []
    for i, section in enumerate(profile.cut(segments)):
        area = section.area(0.5 * section.length)
        shape = start_shape + (end_shape - start_shape) * (i + 0.5) / segments
        propagation, impedance = ducts.line(f, area, shape * math.sqrt(area), gas)
        matrices.append(section_two_port(section, propagation, impedance * area))
    return reduce(np.matmul, matrices)


def stepped_two_port(
    frequency: npt.ArrayLike,
    position: npt.ArrayLike,
    area: npt.ArrayLike,
    perimeter: npt.ArrayLike | None = None,
    air: Air | None = None,
) -> ComplexArray:
    """Chain matrix of any profile by cones between given cross-sections.

    Of second order in the distance of the cross-sections: halve it until nothing changes.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    position : array_like
        Of the cross-sections in m, shape (n,), ascending, two or more.
    area : array_like
        In m^2, shape (n,), above zero.
    perimeter : array_like, optional
        In m, shape (n,); without it the walls take nothing.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        Shape (f, 2, 2).

    Raises
    ------
    ValueError
        For positions that do not ascend, or shapes that do not fit.
    """
    x, s = np.asarray(position, dtype=float), np.asarray(area, dtype=float)
    if x.ndim != 1 or x.size < 2 or s.shape != x.shape or np.any(np.diff(x) <= 0.0):
        raise ValueError("cross-sections need two or more ascending positions, each with an area")
    p = None if perimeter is None else np.broadcast_to(np.asarray(perimeter, dtype=float), x.shape)
    matrices = []
    for i in range(x.size - 1):
        cone = conical(float(s[i]), float(s[i + 1]), float(x[i + 1] - x[i]))
        if p is None:
            matrices.append(two_port(frequency, cone, air))
        else:
            ends = (float(p[i]), float(p[i + 1]))
            matrices.append(lossy_two_port(frequency, cone, ends, air, 1))
    return reduce(np.matmul, matrices)


def reversed_two_port(matrix: ComplexArray) -> ComplexArray:
    """The same reciprocal two-port seen from its other end.

    Parameters
    ----------
    matrix : ndarray of complex
        Chain matrix, shape (..., 2, 2), of determinant 1.

    Returns
    -------
    ndarray of complex
        Same shape.
    """
    turned = matrix.copy()
    turned[..., 0, 0], turned[..., 1, 1] = matrix[..., 1, 1], matrix[..., 0, 0]
    return turned


def throat_impedance(matrix: ComplexArray, load: npt.ArrayLike) -> ComplexArray:
    """Acoustic impedance at end 1 of a chain matrix with a load at end 2.

    Parameters
    ----------
    matrix : ndarray of complex
        Chain matrix, shape (f, 2, 2).
    load : array_like
        Acoustic impedance of the load in Pa s/m^3, shape (f,) or a number.

    Returns
    -------
    ndarray of complex
        In Pa s/m^3, shape (f,).
    """
    z = np.asarray(load, dtype=complex)
    return np.asarray(
        (matrix[..., 0, 0] * z + matrix[..., 0, 1]) / (matrix[..., 1, 0] * z + matrix[..., 1, 1])
    )


def mouth_load(
    frequency: npt.ArrayLike, area: float, air: Medium | None = None
) -> ComplexArray:
    """Acoustic impedance of a mouth in a large wall: a piston of the same area.

    Source: Rayleigh, as `pistons.radiation_impedance`.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    area : float
        In m^2, above zero.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        In Pa s/m^3, shape (f,).
    """
    require_above_zero(area=area)
    gas = air if air is not None else Air()
    k = 2.0 * math.pi * _frequencies(frequency) / gas.speed
    resistance, reactance = radiation_impedance(k * math.sqrt(area / math.pi))
    return np.asarray(gas.density * gas.speed / area * (resistance + 1j * reactance))


def pattern_control_frequency(width: float, angle_deg: float) -> float:
    """Frequency below which a flat-sided horn no longer holds its angle: K / (width times angle).

    Source: D. B. Keele, 51st AES Convention (1975), preprint 1038: K = 10^6 inch degree Hz.

    Parameters
    ----------
    width : float
        Of the mouth in the plane of the angle, in m.
    angle_deg : float
        Included wall angle in degrees.

    Returns
    -------
    float
        Frequency in Hz.
    """
    require_above_zero(width=width, angle_deg=angle_deg)
    return 1.0e6 * 0.0254 / (width * angle_deg)


def _frequencies(frequency: npt.ArrayLike) -> FloatArray:
    f = np.asarray(frequency, dtype=float)
    if np.any(f <= 0.0):
        raise ValueError("frequency must be above zero")
    return f

"""Small sources near reflecting planes and near each other: images, power, pressure at seats."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray


@dataclass(frozen=True)
class Boundary:
    """A reflecting plane at right angles to one axis, without end.

    Parameters
    ----------
    axis : int
        The axis it stands across: 0 for x, 1 for y, 2 for z.
    at : float
        Where it crosses that axis, in m.
    reflection : float
        Reflected over arriving sound pressure, -1 to 1; 1 is rigid. One real figure for every
        angle and frequency, which is an approximation for anything but a rigid plane.

    Raises
    ------
    ValueError
        For another axis, a place that is no number, or a reflection outside -1 to 1.
    """

    axis: int
    at: float
    reflection: float = 1.0

    def __post_init__(self) -> None:
        if self.axis not in (0, 1, 2):
            raise ValueError("the axis must be 0, 1 or 2")
        if not math.isfinite(self.at):
            raise ValueError("the plane's place must be finite")
        if not -1.0 <= self.reflection <= 1.0:
            raise ValueError("the reflection must lie between -1 and 1")


def images(
    sources: npt.ArrayLike, boundaries: Sequence[Boundary] = ()
) -> tuple[FloatArray, FloatArray]:
    """The sources and their images in up to three planes at right angles to each other.

    Elementary: each plane doubles what is there, so that an edge has four and a corner eight; the
    strength of an image is the product of the reflections of the planes it was mirrored in.

    Parameters
    ----------
    sources : array_like
        Places in m, shape (n, 3).
    boundaries : sequence of Boundary
        Planes of different axes, b of them.

    Returns
    -------
    tuple of ndarray
        Places, shape (2^b, n, 3), the sources themselves first, and strengths, shape (2^b,).

    Raises
    ------
    ValueError
        For two planes across one axis, or sources of another shape.
    """
    points = np.atleast_2d(np.asarray(sources, dtype=float))
    if points.ndim != 2 or points.shape[1] != 3:
        raise ValueError("places must have three coordinates each")
    if len({plane.axis for plane in boundaries}) != len(boundaries):
        raise ValueError("each plane must stand across another axis")
    found, strengths = points[np.newaxis], np.ones(1)
    for plane in boundaries:
        mirrored = found.copy()
        mirrored[..., plane.axis] = 2.0 * plane.at - mirrored[..., plane.axis]
        found = np.concatenate([found, mirrored])
        strengths = np.concatenate([strengths, plane.reflection * strengths])
    return found, strengths


def power_gain(
    frequency: npt.ArrayLike,
    distances: Sequence[float],
    speed: float,
    reflection: float = 1.0,
) -> FloatArray:
    """Power of a small source near planes over that in free space, at the same volume velocity.

    Source: Waterhouse, JASA 27, 247 (1955), and 30, 4 (1958); Allison, JAES 22(5) (1974) (laws
    from memory): 1 + sum of sin(2kd)/(2kd) over the distances to the planes, edges and corner
    they form. Tends to 2, 4 and 8 near one, two and three rigid planes and to 1 far from them.

    Parameters
    ----------
    frequency : array_like
        In Hz, shape (f,), 0 or above.
    distances : sequence of float
        From the source to up to three planes at right angles, in m, 0 or above.
    speed : float
        Of sound in m/s.
    reflection : float
        Of every plane, -1 to 1.

    Returns
    -------
    ndarray
        Ratio of powers, shape (f,).

    Raises
    ------
    ValueError
        For more than three distances, a negative one, or a reflection outside -1 to 1.
    """
    if len(distances) > 3 or any(not d >= 0.0 for d in distances):
        raise ValueError("give up to three distances, none below zero")
    planes = [Boundary(axis, -float(d), reflection) for axis, d in enumerate(distances)]
    return np.asarray(radiation_gain(frequency, np.zeros((1, 3)), speed, planes)[0], dtype=float)


def radiation_gain(
    frequency: npt.ArrayLike,
    sources: npt.ArrayLike,
    speed: float,
    boundaries: Sequence[Boundary] = (),
) -> FloatArray:
    """Radiation resistance of each of several equal small sources over that of one in free space.

    Source: elementary; Kinsler et al. (from memory): 1 + sum of sin(kr)/(kr) over the other
    sources and over all images. The mean over the sources, times their number, is the power of all
    over that of one; n close sources have n each, n^2 together, the pressure of 20 lg n.

    Parameters
    ----------
    frequency : array_like
        In Hz, shape (f,), 0 or above.
    sources : array_like
        Places in m of sources of one volume velocity, shape (n, 3).
    speed : float
        Of sound in m/s.
    boundaries : sequence of Boundary
        Up to three planes of different axes.

    Returns
    -------
    ndarray
        Ratio of resistances, shape (n, f).

    Raises
    ------
    ValueError
        For a speed that is not above zero, or as `images`.
    """
    require_above_zero(speed=speed)
    points = np.atleast_2d(np.asarray(sources, dtype=float))
    found, strengths = images(points, boundaries)
    flat = found.reshape(-1, 3)
    apart = np.linalg.norm(points[:, np.newaxis] - flat, axis=-1)
    wave = 2.0 * np.asarray(frequency, dtype=float) / speed  # k over pi, as np.sinc wants it
    weights = np.repeat(strengths, len(points))
    return np.asarray(
        np.einsum("m,nmf->nf", weights, np.sinc(apart[..., np.newaxis] * wave)), dtype=float
    )


def pressure_gain(
    frequency: npt.ArrayLike,
    sources: npt.ArrayLike,
    seats: npt.ArrayLike,
    speed: float,
    boundaries: Sequence[Boundary] = (),
    centre: npt.ArrayLike | None = None,
) -> ComplexArray:
    """Pressure at seats from equal small sources and their images over that of one in free space.

    Elementary: the sum of (r0/r) exp(-jk(r - r0)) times each image's strength, with r0 the direct
    path from `centre`: it is also the time reference. All sources have one volume velocity. Planes
    have no end; what the cabinets themselves shade is left out, so it holds where they are small
    against the wavelength.

    Parameters
    ----------
    frequency : array_like
        In Hz, shape (f,).
    sources : array_like
        Places in m, shape (n, 3).
    seats : array_like
        Places in m, shape (s, 3).
    speed : float
        Of sound in m/s.
    boundaries : sequence of Boundary
        Up to three planes of different axes.
    centre : array_like, optional
        Where the one source in free space stands, shape (3,); the mean of the sources when left
        out.

    Returns
    -------
    ndarray of complex
        Shape (s, f).

    Raises
    ------
    ValueError
        When a seat coincides with a source, a source and a seat stand on different sides of a
        plane, or as `images`.
    """
    require_above_zero(speed=speed)
    points = np.atleast_2d(np.asarray(sources, dtype=float))
    listeners = np.atleast_2d(np.asarray(seats, dtype=float))
    middle = points.mean(axis=0) if centre is None else np.asarray(centre, dtype=float)
    _one_side(points, listeners, boundaries)
    found, strengths = images(points, boundaries)
    weights = np.repeat(strengths, len(points))
    paths = np.linalg.norm(listeners[:, np.newaxis] - found.reshape(-1, 3), axis=-1)
    direct = np.linalg.norm(listeners - middle, axis=-1)[:, np.newaxis]
    if not np.all(paths > 0.0) or not np.all(direct > 0.0):
        raise ValueError("a seat must not stand where a source stands")
    wave = 2.0 * math.pi * np.asarray(frequency, dtype=float) / speed
    phase = (paths - direct)[..., np.newaxis] * wave
    part = (weights * direct / paths)[:, np.newaxis]
    return np.asarray(
        (part @ np.cos(phase) - 1j * (part @ np.sin(phase)))[:, 0], dtype=complex
    )


def _one_side(
    points: FloatArray, listeners: FloatArray, boundaries: Sequence[Boundary]
) -> None:
    for plane in boundaries:
        sides = np.concatenate([points, listeners])[:, plane.axis] - plane.at
        slack = 1e-9 * (1.0 + float(np.abs(sides).max()))
        if sides.min() < -slack and sides.max() > slack:
            raise ValueError("sources and seats must stand on one side of each plane")


def extra_path(source: npt.ArrayLike, seats: npt.ArrayLike, boundary: Boundary) -> FloatArray:
    """How much longer the way over one plane is than the direct way (elementary).

    The reflected sound cancels the direct one where this is half a wave, and strengthens it where
    it is a whole one.

    Parameters
    ----------
    source : array_like
        Place in m, shape (3,).
    seats : array_like
        Places in m, shape (s, 3).
    boundary : Boundary
        The plane.

    Returns
    -------
    ndarray
        In m, shape (s,).
    """
    found, _ = images(np.asarray(source, dtype=float)[np.newaxis], (boundary,))
    listeners = np.atleast_2d(np.asarray(seats, dtype=float))
    paths = np.linalg.norm(listeners[:, np.newaxis] - found[:, 0], axis=-1)
    return np.asarray(paths[:, 1] - paths[:, 0], dtype=float)


def cancelled_frequency(extra: npt.ArrayLike, speed: float) -> FloatArray:
    """Lowest frequency in Hz that a path longer by `extra` m cancels: c / (2 extra), elementary.

    Parameters
    ----------
    extra : array_like
        Extra path in m, above zero, any shape.
    speed : float
        Of sound in m/s.

    Returns
    -------
    ndarray
        In Hz, same shape; the odd multiples are cancelled too.
    """
    longer = np.asarray(extra, dtype=float)
    if not np.all(longer > 0.0):
        raise ValueError("the extra path must be above zero")
    return np.asarray(speed / (2.0 * longer), dtype=float)

"""What a moving rectangle in a baffle radiates: power by cells, and efficiency of modes."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.plates.fields import Modes

CELLS = 24  # along each side: enough for six to a wavelength of sound or of bending
_AT_ONCE = 16  # frequencies, to keep the arrays in the cache


def baffled_power(
    frequency: npt.ArrayLike, velocity: npt.ArrayLike, width: float, height: float,
    air: Medium | None = None,
) -> FloatArray:
    """Sound power of a moving rectangle in an infinite baffle, one side.

    Source: Rayleigh's integral over small pistons, P = rho omega^2 / (2 pi c) sum U U* sin(kd) / kd
    (Elliott and Johnson, JASA 94, 1993); the sum over pairs goes by their distance, through the
    autocorrelation of the velocity. For cells below a sixth of the wavelength.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, shape (f,).
    velocity : array_like
        Rms velocity of even cells in m/s, real or complex, shape (rows, columns, f).
    width, height : float
        Of the rectangle along columns and rows, in m.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray
        In W, shape (f,).

    Raises
    ------
    ValueError
        For shapes that do not fit.
    """
    f, moved = np.asarray(frequency, dtype=float), np.asarray(velocity, dtype=complex)
    if f.ndim != 1 or moved.ndim != 3 or moved.shape[2] != f.size:
        raise ValueError("velocity needs rows, columns and one value for each frequency")
    gas = air if air is not None else Air()
    rows, columns = moved.shape[:2]
    cell = width * height / (rows * columns)
    down = np.arange(rows + 1) * height / rows  # the other half of the pairs is its mirror image
    side = np.fft.fftfreq(2 * columns, 0.5 / columns) * width / columns
    apart = np.hypot(down[:, None], side[None, :])
    twice = np.full(rows + 1, 2.0)
    twice[[0, -1]] = 1.0
    first = np.ascontiguousarray(np.moveaxis(moved, 2, 0))
    found = np.empty(f.size)
    for start in range(0, f.size, _AT_ONCE):
        part = slice(start, start + _AT_ONCE)
        turned = np.fft.fft2(first[part], s=(2 * rows, 2 * columns))
        pairs = np.fft.ifft2(turned.real**2 + turned.imag**2).real[:, : rows + 1]
        alike = np.sinc(2.0 / gas.speed * f[part, None, None] * apart)  # sin(kd) / kd
        found[part] = np.einsum("fij,i,fij->f", pairs, twice, alike)
    flow = (2.0 * math.pi * f * cell) ** 2
    return np.asarray(gas.density * flow * found / (2.0 * math.pi * gas.speed), dtype=float)


def mode_efficiency(
    frequency: npt.ArrayLike, found: Modes, index: int, air: Medium | None = None,
    cells: int = CELLS,
) -> FloatArray:
    """Radiation efficiency of one mode: its power over that of a piston of its mean square.

    Source: as `baffled_power`; for simply supported even edges it is Wallace's.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, shape (f,); any, not only the mode's own.
    found : Modes
        The modes.
    index : int
        Which one, from 0.
    air : Medium, optional
        The air; the default state when left out.
    cells : int
        Along each side.

    Returns
    -------
    ndarray
        Without unit, shape (f,).
    """
    f = np.asarray(frequency, dtype=float)
    gas = air if air is not None else Air()
    field = found.field
    shape = found.cell_means(cells, cells)[index]
    wide, high = found.across, found.up
    square = float(np.einsum("ij,kl,ik,jl->", found.coefficients[index], found.coefficients[index],
                             wide.mass, high.mass, optimize=True))
    moved = np.broadcast_to(shape[:, :, None], (*shape.shape, f.size))
    power = baffled_power(f, moved, field.width, field.height, gas)
    return np.asarray(power / (gas.density * gas.speed * square), dtype=float)


def wallace_efficiency(
    frequency: npt.ArrayLike, width: float, height: float, across: int, up: int,
    air: Medium | None = None,
) -> FloatArray:
    """Radiation efficiency of a simply supported panel's mode in a baffle.

    Source: Wallace, JASA 51, 946 (1972): the far field's intensity over a hemisphere (law from
    memory), here by Gauss's rule. To k times the longer side of about 60.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, shape (f,).
    width, height : float
        Of the panel in m.
    across, up : int
        Half waves along width and height, 1 or more.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray
        Without unit, shape (f,).
    """
    require_above_zero(width=width, height=height)
    if across < 1 or up < 1:
        raise ValueError("a mode has one half wave or more along each side")
    k = 2.0 * math.pi * np.asarray(frequency, dtype=float) / (
        air if air is not None else Air()).speed
    points, weights = np.polynomial.legendre.leggauss(64)
    turn = 0.25 * math.pi * (points + 1.0)  # both angles run over a right angle
    rise, about = np.meshgrid(turn, turn, indexing="ij")
    solid = np.outer(weights, weights) * (0.25 * math.pi) ** 2 * np.sin(rise)
    along = k[:, None, None] * width * np.sin(rise) * np.cos(about)
    beside = k[:, None, None] * height * np.sin(rise) * np.sin(about)
    field = _sine_transform(along, across) * _sine_transform(beside, up)
    whole = np.sum(solid * field**2, axis=(1, 2))
    return np.asarray(4.0 * k**2 * width * height / math.pi**2 * whole, dtype=float)


def _sine_transform(alpha: FloatArray, m: int) -> FloatArray:
    """Fourier integral of sin(m pi x / a) over its length, its magnitude over a, at kappa a."""
    near = np.sinc(0.5 * (m - alpha / math.pi))
    far = np.sinc(0.5 * (m + alpha / math.pi))
    return np.asarray(0.5 * (near - (-1.0) ** m * far), dtype=float)

"""Complex density and stiffness of the air and of each lining, over frequency."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics import linings
from speakerwright.acoustics.air import Air, FloatArray
from speakerwright.acoustics.airmodes.chambers import Chamber, Lining
from speakerwright.acoustics.pistons import ComplexArray

LOSS = 0.01  # of the free air: a bare wooden box has a Q of about 100; rule of thumb


@dataclass(frozen=True, eq=False)
class Factors:
    """What multiplies each region's stiffness and mass, the air first; both (r, f).

    `stiffness` is 1 / density in m^3/kg; `mass` is omega^2 / bulk modulus in s^-2 / Pa.
    """

    stiffness: ComplexArray
    mass: ComplexArray

    def __post_init__(self) -> None:
        self.stiffness.setflags(write=False)
        self.mass.setflags(write=False)


def equivalent_fluid(
    frequency: npt.ArrayLike, lining: Lining, air: Air
) -> tuple[ComplexArray, ComplexArray]:
    """Complex density and bulk modulus of a lining by its law.

    Source: density is impedance times propagation constant over j omega, the modulus impedance
    times j omega over propagation constant; laws in `linings`.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    lining : Lining
        The lining.
    air : Air
        The air.

    Returns
    -------
    tuple of ndarray of complex
        In kg/m^3 and Pa, each (f,).
    """
    f = np.asarray(frequency, dtype=float)
    if lining.law == "miki":
        propagation, impedance = linings.miki(f, lining.fill.flow_resistivity, air)
    else:
        propagation, impedance = linings.relaxing(f, lining.fill, air)
    turn = 2j * math.pi * f
    return impedance * propagation / turn, impedance * turn / propagation


def factors(
    frequency: npt.ArrayLike, chamber: Chamber, air: Air, loss_factor: float = LOSS
) -> Factors:
    """What multiplies the matrices of a chamber's regions.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    chamber : Chamber
        The chamber.
    air : Air
        The air.
    loss_factor : float
        Of the free air's compliance: what walls, leaks and joints take away. 0 or above.

    Returns
    -------
    Factors
        Of the air and of each lining.

    Raises
    ------
    ValueError
        For a frequency not above zero, or a negative loss factor.
    """
    f = np.asarray(frequency, dtype=float)
    if f.ndim != 1 or np.any(f <= 0.0):
        raise ValueError("frequencies must be a row of numbers above zero")
    if loss_factor < 0.0:
        raise ValueError("the loss factor must not be negative")
    omega = 2.0 * math.pi * f
    stiff = air.density * air.speed**2
    inverse = [np.full(f.shape, 1.0 / air.density, dtype=complex)]
    mass = [omega**2 * (1.0 - 1j * loss_factor) / stiff]
    for lining in chamber.linings:
        density, modulus = equivalent_fluid(f, lining, air)
        inverse.append(1.0 / density)
        mass.append(omega**2 / modulus)
    return Factors(np.array(inverse), np.array(mass))


def fits(frequency: npt.ArrayLike, chamber: Chamber) -> npt.NDArray[np.bool_]:
    """Where each lining's law stands on measurements, "relaxing" being held to hold everywhere.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,).
    chamber : Chamber
        The chamber.

    Returns
    -------
    ndarray of bool
        Shape (f,): whether all linings are in their range.
    """
    f: FloatArray = np.asarray(frequency, dtype=float)
    good = np.ones(f.shape, dtype=bool)
    for lining in chamber.linings:
        if lining.law == "miki":
            good &= linings.within_fit(f, lining.fill.flow_resistivity)
    return good

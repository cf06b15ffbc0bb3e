"""What a chamber answers to volume velocities at its openings, and one opening closed by a load."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray


@dataclass(frozen=True, eq=False)
class ChamberResponse:
    """Pressure for volume velocity.

    Attributes
    ----------
    frequency : ndarray
        In Hz, shape (f,).
    openings : tuple of str
        Names of the openings.
    transfer : ndarray of complex
        Mean pressure over opening i for the volume velocity into the chamber at opening j, in
        Pa s/m^3, shape (o, o, f); symmetric. On the diagonal it holds the mass of the air that
        moves just within the opening: its inner end correction, for a face that moves evenly.
    mean : ndarray of complex
        Mean pressure over the whole chamber, in Pa s/m^3, shape (o, f).
    uniform : ndarray of complex
        The pressure if it were even, with no loss and no lining, in Pa s/m^3, shape (f,).
    fits : ndarray of bool
        Whether every lining's law stands on measurements there, shape (f,).
    """

    frequency: FloatArray
    openings: tuple[str, ...]
    transfer: ComplexArray
    mean: ComplexArray
    uniform: ComplexArray
    fits: npt.NDArray[np.bool_]

    def __post_init__(self) -> None:
        for each in (self.frequency, self.transfer, self.mean, self.uniform, self.fits):
            each.setflags(write=False)

    def pressure(self, at: str, source: str) -> ComplexArray:
        """Mean pressure over one opening for the volume velocity at another, Pa s/m^3, (f,)."""
        return np.asarray(self.transfer[self.number(at), self.number(source)], dtype=complex)

    def leakage_db(self, at: str, source: str) -> FloatArray:
        """Level of the pressure at an opening over the even pressure, dB, shape (f,).

        0 is what a box gives that is small against the wave; the opening passes so much more.
        """
        ratio = np.abs(self.pressure(at, source) / self.uniform)
        return np.asarray(20.0 * np.log10(ratio), dtype=float)

    def number(self, name: str) -> int:
        """Place of an opening among `openings`.

        Raises
        ------
        KeyError
            When there is none of this name.
        """
        if name not in self.openings:
            raise KeyError(f"the chamber has no opening {name!r}")
        return self.openings.index(name)


def uniform_pressure(
    frequency: npt.ArrayLike, volume: float, air: Medium | None = None
) -> ComplexArray:
    """Even pressure in a small closed box for a unit volume velocity: rho c^2 / (j omega V).

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    volume : float
        Of the air in m^3, above zero.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        In Pa s/m^3, shape (f,).

    Raises
    ------
    ValueError
        For a volume not above zero.
    """
    require_above_zero(volume=volume)
    gas = air if air is not None else Air()
    turn = 2j * math.pi * np.asarray(frequency, dtype=float)
    return np.asarray(gas.density * gas.speed**2 / (turn * volume), dtype=complex)


def port_impedance(
    frequency: npt.ArrayLike,
    area: float,
    length: float,
    resistance: float = 0.0,
    air: Medium | None = None,
) -> ComplexArray:
    """A port's own impedance as a mass and a resistance: j omega rho L / S + R.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,).
    area : float
        In m^2, above zero.
    length : float
        In m, above zero, with the outer end correction and without the inner one: the chamber's
        answer at the port holds that.
    resistance : float
        In Pa s/m^3.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        In Pa s/m^3, shape (f,).

    Raises
    ------
    ValueError
        For an area or length not above zero.
    """
    require_above_zero(area=area, length=length)
    gas = air if air is not None else Air()
    turn = 2j * math.pi * np.asarray(frequency, dtype=float)
    return np.asarray(turn * gas.density * length / area + resistance, dtype=complex)


def opened(response: ChamberResponse, name: str, impedance: npt.ArrayLike) -> ChamberResponse:
    """The same chamber with an impedance behind one opening in place of a still wall.

    Source: elementary; the opening takes in -p / Z.

    Parameters
    ----------
    response : ChamberResponse
        With the opening closed.
    name : str
        The opening.
    impedance : array_like of complex
        From the opening outwards in Pa s/m^3, shape (f,).

    Returns
    -------
    ChamberResponse
        Of all openings; the pressure at `name` over `impedance` is what leaves through it.

    Raises
    ------
    KeyError
        When there is no such opening.
    """
    port = response.number(name)
    load = np.asarray(impedance, dtype=complex)
    taken = response.transfer[port] / (response.transfer[port, port] + load)
    transfer = response.transfer - response.transfer[:, port, None, :] * taken[None]
    mean = response.mean - response.mean[port] * taken
    return ChamberResponse(response.frequency, response.openings, transfer, mean,
                           response.uniform, response.fits)

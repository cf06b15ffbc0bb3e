"""Perforated screens and grilles: their mass and resistance, and the sound they take."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray

INTERACTIONS = ("fok", "short")

# Fok's series in the root of the open area, by power; see `hole_interaction`
_FOK = (1.0, -1.40925, 0.0, 0.33818, 0.0, 0.06793, -0.02287, 0.03015, -0.01641, 0.01729,
        -0.01248, 0.01205, -0.00985)


@dataclass(frozen=True)
class Perforated:
    """A thin rigid sheet with round holes, evenly spread.

    Parameters
    ----------
    hole : float
        Diameter of a hole in m.
    open : float
        Open area over whole area, above 0 and at most 0.6, where the holes all but touch.
    thickness : float
        Of the sheet in m.

    Raises
    ------
    ValueError
        For a size that is not above zero or an open area out of range.
    """

    hole: float
    open: float
    thickness: float

    def __post_init__(self) -> None:
        require_above_zero(hole=self.hole, open_area=self.open, thickness=self.thickness)
        if self.open > 0.6:
            raise ValueError("the open area must be at most 60 %")


@dataclass(frozen=True, eq=False)
class LossTable:
    """What a screen's maker measured: loss in dB, above zero for less sound, over Hz, both (n,).

    Raises
    ------
    ValueError
        When the two do not fit, or frequencies do not ascend above zero.
    """

    frequency: FloatArray
    loss_db: FloatArray

    def __post_init__(self) -> None:
        frequency, loss = np.array(self.frequency, dtype=float), np.array(self.loss_db, dtype=float)
        if frequency.ndim != 1 or frequency.size == 0 or loss.shape != frequency.shape:
            raise ValueError("the table must have one loss for each of its frequencies")
        if not frequency[0] > 0.0 or not np.all(np.diff(frequency) > 0.0):
            raise ValueError("the table's frequencies must ascend above zero")
        if not np.all(np.isfinite(loss)):
            raise ValueError("the table's losses must be finite")
        for name, values in (("frequency", frequency), ("loss_db", loss)):
            values.setflags(write=False)
            object.__setattr__(self, name, values)


def hole_interaction(open_area: npt.ArrayLike, law: str = "fok") -> FloatArray:
    """What is left of a single hole's end correction where other holes stand around it.

    Source: "fok": Fok 1941 by its series in x, the root of the open area (coefficients read second
    hand, as coded in an open program); "short": 1 - 1.47 x + 0.47 x^3 (from memory). They differ
    by 2 % of a single hole's at 10 % open area.

    Parameters
    ----------
    open_area : array_like
        Open over whole area, 0 to 0.6, any shape.
    law : {"fok", "short"}
        Which of the two.

    Returns
    -------
    ndarray
        Factor, 1 for a single hole, falling with the open area; same shape.

    Raises
    ------
    ValueError
        For an open area out of range or another law.
    """
    share = np.asarray(open_area, dtype=float)
    if np.any(share < 0.0) or np.any(share > 0.6):
        raise ValueError("the open area must lie between 0 and 60 %")
    root = np.sqrt(share)
    if law == "fok":
        return np.asarray(np.polynomial.polynomial.polyval(root, _FOK), dtype=float)
    if law == "short":
        return np.asarray(1.0 - 1.47 * root + 0.47 * root**3, dtype=float)
    raise ValueError("the law must be fok or short")


def sheet_impedance(
    frequency: npt.ArrayLike, sheet: Perforated, air: Air | None = None, law: str = "fok"
) -> ComplexArray:
    """Pressure across a perforated sheet over the mean velocity through it.

    Source: Crandall 1926 for the air in a hole with viscous flow, Ingard 1953 for the ends: a
    piston's mass at each, 8/(3 pi) a with `hole_interaction`, and a resistance as if the hole were
    one diameter longer (laws from memory; authors differ by a factor of two on the resistance of
    the ends, and for a sheet thinner than its holes a piston's ends are up to 8 % too heavy).
    Holds for small amplitudes, and holes and their spacing small against the wavelength.

    Parameters
    ----------
    frequency : array_like
        In Hz, shape (f,), above zero.
    sheet : Perforated
        The sheet.
    air : Air, optional
        The air; the default state when left out.
    law : {"fok", "short"}
        Of the interaction of holes.

    Returns
    -------
    ndarray of complex
        In Pa s/m, shape (f,): resistance, and omega times mass per area.
    """
    from scipy.special import jve

    gas = air if air is not None else Air()
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=float)
    if np.any(omega <= 0.0):
        raise ValueError("frequency must be above zero")
    x = 0.5 * sheet.hole * np.sqrt(omega / gas.kinematic_viscosity) * np.exp(-0.25j * math.pi)
    channel = 1j * omega * gas.density * sheet.thickness / (1.0 - 2.0 * jve(1, x) / (x * jve(0, x)))
    ends = 8.0 / (3.0 * math.pi) * sheet.hole * float(hole_interaction(sheet.open, law))
    surface = np.sqrt(0.5 * omega * gas.density * gas.viscosity)
    return np.asarray(
        (channel + 1j * omega * gas.density * ends + 4.0 * surface) / sheet.open, dtype=complex
    )


def sheet_mass(sheet: Perforated, air: Air | None = None, law: str = "fok") -> float:
    """Mass per area of a perforated sheet without viscosity: rho (t + ends) over the open area.

    Parameters
    ----------
    sheet : Perforated
        The sheet.
    air : Air, optional
        The air; the default state when left out.
    law : {"fok", "short"}
        Of the interaction of holes; sources and range as `sheet_impedance`.

    Returns
    -------
    float
        In kg/m^2.
    """
    gas = air if air is not None else Air()
    ends = 8.0 / (3.0 * math.pi) * sheet.hole * float(hole_interaction(sheet.open, law))
    return gas.density * (sheet.thickness + ends) / sheet.open


def transmission(impedance: npt.ArrayLike, air: Air | None = None) -> ComplexArray:
    """Pressure behind a sheet over that without it, for a plane wave falling straight on it.

    Elementary: 1 / (1 + z / (2 rho c)); for a mass alone the loss is 10 lg(1 + (omega m / 2 rho
    c)^2). Sound thrown back from the sheet to the baffle and on again is left out: it makes a comb
    on top.

    Parameters
    ----------
    impedance : array_like
        Of the sheet in Pa s/m, shape (f,), as from `sheet_impedance`.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        Shape (f,).
    """
    gas = air if air is not None else Air()
    return np.asarray(1.0 / (1.0 + np.asarray(impedance) / (2.0 * gas.impedance)), dtype=complex)


def table_loss_db(frequency: npt.ArrayLike, table: LossTable) -> FloatArray:
    """Loss of a maker's table, interpolated over the logarithm of frequency, held at its ends.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, any shape.
    table : LossTable
        The table.

    Returns
    -------
    ndarray
        In dB, same shape.
    """
    f = np.asarray(frequency, dtype=float)
    return np.asarray(np.interp(np.log(f), np.log(table.frequency), table.loss_db), dtype=float)


def screen_transmission(
    frequency: npt.ArrayLike,
    sheet: Perforated | None,
    table: LossTable | None = None,
    air: Air | None = None,
) -> ComplexArray:
    """What a screen or grille lets through: by the maker's table if there is one, else the sheet.

    Parameters
    ----------
    frequency : array_like
        In Hz, shape (f,), above zero.
    sheet : Perforated or None
        What it is made of.
    table : LossTable, optional
        It wins, and says nothing about phase: the result is then real.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        Pressure over that without it, shape (f,); 1 when neither is given.
    """
    f = np.asarray(frequency, dtype=float)
    if table is not None:
        return np.asarray(10.0 ** (-table_loss_db(f, table) / 20.0), dtype=complex)
    if sheet is None:
        return np.ones(f.shape, dtype=complex)
    return transmission(sheet_impedance(f, sheet, air), air)

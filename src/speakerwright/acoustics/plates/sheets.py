"""Sheets a cabinet is built of, as plates: stiffness by grain, mass and loss, with their status.

Veneer, paint and lacquer on top are ignored.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero

MINDLIN_SHEAR = 5.0 / 6.0  # Reissner's shear factor of a solid section


@dataclass(frozen=True)
class Sheet:
    """A sheet of one thickness that bends as an orthotropic thin plate.

    Parameters
    ----------
    thickness : float
        As measured, in m.
    along, across : float
        Modulus of elasticity in bending, along and across the face grain, in Pa.
    shear : float
        Shear modulus in the plane of the sheet, in Pa.
    poisson : float
        Contraction across over stretch along the face grain, 0 to 0.5.
    density : float
        In kg/m^3.
    loss_factor : float
        Of bending, 0 to 0.5; the same at all frequencies.

    Raises
    ------
    ValueError
        For a size that is not above zero, or a number out of its range.
    """

    thickness: float
    along: float
    across: float
    shear: float
    poisson: float
    density: float
    loss_factor: float

    def __post_init__(self) -> None:
        require_above_zero(thickness=self.thickness, modulus_along=self.along,
                           modulus_across=self.across, shear_modulus=self.shear,
                           density=self.density)
        if not 0.0 <= self.poisson <= 0.5 or self.poisson**2 * self.across >= self.along:
            raise ValueError("Poisson's ratio must lie between 0 and 0.5 and fit the moduli")
        if not 0.0 <= self.loss_factor <= 0.5:
            raise ValueError("the loss factor must lie between 0 and 0.5")

    @property
    def bending_along(self) -> float:
        """Bending stiffness per width along the face grain in N m: E h^3 / 12 (1 - nu nu')."""
        return self.along * self._cube

    @property
    def bending_across(self) -> float:
        """Bending stiffness per width across the face grain in N m."""
        return self.across * self._cube

    @property
    def coupling(self) -> float:
        """What bending one way adds to the moment of the other, in N m: nu times that across."""
        return self.poisson * self.bending_across

    @property
    def twisting(self) -> float:
        """Twisting stiffness per width in N m: G h^3 / 12."""
        return self.shear * self.thickness**3 / 12.0

    @property
    def mass_per_area(self) -> float:
        """In kg/m^2."""
        return self.density * self.thickness

    @property
    def _cube(self) -> float:
        crossed = 1.0 - self.poisson**2 * self.across / self.along
        return self.thickness**3 / (12.0 * crossed)


@dataclass(frozen=True)
class Plies:
    """How a plywood is laid: alternating plies, the faces thinner where they are sanded, in m.

    `grain` is the modulus of a ply along its grain in Pa; across it counts as nothing.
    """

    grain: float
    inner: float
    face: float


@dataclass(frozen=True)
class Material:
    """What sheets of a name are made of, and where each figure comes from.

    `moduli` is along and across in Pa, or the plies they follow from; `losses` is the lowest, usual
    and highest loss factor met with: the usual one is a rule of thumb.
    """

    density: float
    moduli: tuple[float, float] | Plies
    shear: float
    poisson: float
    losses: tuple[float, float, float]
    status: str


def _even(modulus: float, poisson: float) -> float:
    return modulus / (2.0 * (1.0 + poisson))


MATERIALS: Mapping[str, Material] = MappingProxyType({
    "birch plywood": Material(
        680.0, Plies(grain=17.5e9, inner=1.4e-3, face=1.1e-3), 620e6, 0.1, (0.01, 0.02, 0.04),
        "moduli by lamination, which gives the Handbook of Finnish Plywood's table, itself from "
        "memory; shear modulus, density and loss from memory; Poisson's ratio a rule of thumb"),
    "poplar plywood": Material(
        450.0, Plies(grain=9.0e9, inner=2.6e-3, face=2.5e-3), 400e6, 0.1, (0.01, 0.02, 0.04),
        "rule of thumb throughout: weigh and tap a strip"),
    "MDF": Material(
        750.0, (3.59e9, 3.59e9), _even(3.59e9, 0.25), 0.25, (0.01, 0.02, 0.03),
        "modulus from FPL-GTR-190, table 12-1, from memory; loss from texts on building acoustics, "
        "from memory; density from memory; Poisson's ratio a rule of thumb"),
    "chipboard": Material(
        650.0, (3.45e9, 3.45e9), _even(3.45e9, 0.25), 0.25, (0.01, 0.02, 0.03),
        "modulus the middle of 2.76 to 4.14 GPa in FPL-GTR-190, table 12-1, from memory; loss and "
        "density from memory; Poisson's ratio a rule of thumb"),
    "OSB": Material(
        620.0, (5.4e9, 2.4e9), 1.0e9, 0.2, (0.01, 0.02, 0.04),
        "moduli the middles of 4.41 to 6.31 and 1.92 to 2.97 GPa in FPL-GTR-190, table 12-3, read; "
        "the rest a rule of thumb"),
    "laminated bamboo": Material(
        700.0, (9.6e9, 2.0e9), 0.8e9, 0.2, (0.01, 0.015, 0.03),
        "all strips one way; modulus along the middle of 8.3 to 10.9 GPa in J. Renewable Materials "
        "10(2), 2022, a review, read in the abstract; the rest a rule of thumb"),
})


def lamination_moduli(plies: npt.ArrayLike, grain: float) -> tuple[float, float]:
    """Moduli in bending of a plywood from its plies, along and across the face grain.

    Source: classical lamination of a beam, E = E0 I / (T^3 / 12) with the plies of one grain
    direction alone; gives the table of the Handbook of Finnish Plywood with 17.5 GPa.

    Parameters
    ----------
    plies : array_like
        Thicknesses from face to face in m, shape (n,), n odd and at least 3; the grain alternates.
    grain : float
        Modulus of a ply along its grain in Pa; across its grain it counts as nothing.

    Returns
    -------
    tuple of float
        Along and across, in Pa.

    Raises
    ------
    ValueError
        For an even count, fewer than three plies or a size that is not above zero.
    """
    ply = np.asarray(plies, dtype=float)
    if ply.ndim != 1 or ply.size < 3 or ply.size % 2 == 0:
        raise ValueError("plywood needs an odd number of plies, three or more")
    require_above_zero(thinnest_ply=float(np.min(ply)), grain_modulus=grain)
    faces = np.concatenate(([0.0], np.cumsum(ply))) - 0.5 * float(np.sum(ply))
    second = np.diff(faces**3) / 3.0
    whole = float(np.sum(second))
    return grain * float(np.sum(second[::2])) / whole, grain * float(np.sum(second[1::2])) / whole


def plies_for(thickness: float, plies: Plies, count: int | None = None) -> FloatArray:
    """Plies of a plywood of a measured thickness: the nearest usual build, stretched to fit.

    Parameters
    ----------
    thickness : float
        As measured, in m, 3 to 40 mm.
    plies : Plies
        How it is laid.
    count : int, optional
        As counted at the edge; the nearest odd number to the usual build when left out.

    Returns
    -------
    ndarray
        Thicknesses in m, shape (n,).

    Raises
    ------
    ValueError
        For a thickness out of range.
    """
    if not 3e-3 <= thickness <= 40e-3:
        raise ValueError("the thickness of plywood must lie between 3 and 40 mm")
    usual = 2.0 + (thickness - 2.0 * plies.face) / plies.inner
    number = count if count is not None else max(3, 2 * round((usual - 1.0) / 2.0) + 1)
    build = np.full(number, plies.inner)
    build[[0, -1]] = plies.face
    return np.asarray(build * thickness / float(np.sum(build)), dtype=float)


def sheet_of(material: str, thickness: float, plies: int | None = None) -> Sheet:
    """A sheet of a known material.

    Values and their status: `MATERIALS`. Sheets of one name differ by 10 % and more in stiffness
    (rule of thumb).

    Parameters
    ----------
    material : str
        A name in `MATERIALS`.
    thickness : float
        As measured, in m, 3 to 40 mm.
    plies : int, optional
        Of a plywood, as counted at the edge.

    Returns
    -------
    Sheet
        With the usual loss factor.

    Raises
    ------
    ValueError
        For an unknown material or a thickness out of range.
    """
    if material not in MATERIALS:
        raise ValueError(f"no stiffness is known for {material}; known: {', '.join(MATERIALS)}")
    if not 3e-3 <= thickness <= 40e-3:
        raise ValueError("the thickness of a sheet must lie between 3 and 40 mm")
    known = MATERIALS[material]
    if isinstance(known.moduli, Plies):
        along, across = lamination_moduli(
            plies_for(thickness, known.moduli, plies), known.moduli.grain)
    else:
        along, across = known.moduli
    return Sheet(thickness, along, across, known.shear, known.poisson, known.density,
                 known.losses[1])


def isotropic(
    thickness: float, modulus: float, poisson: float, density: float, loss_factor: float
) -> Sheet:
    """A sheet alike in all directions: the shear modulus follows from the modulus.

    Parameters
    ----------
    thickness : float
        In m.
    modulus : float
        Of elasticity, in Pa.
    poisson : float
        Poisson's ratio, 0 to 0.5.
    density : float
        In kg/m^3.
    loss_factor : float
        Of bending, 0 to 0.5.

    Returns
    -------
    Sheet
        The sheet.
    """
    return Sheet(thickness, modulus, modulus, _even(modulus, poisson), poisson, density,
                 loss_factor)


def sanded_thickness_limits(nominal: float) -> tuple[float, float]:
    """Thinnest and thickest a sanded plywood of a nominal thickness may be.

    Source: EN 315, read second hand: t - (0.4 mm + 0.03 t) to t + (0.2 mm + 0.03 t).

    Parameters
    ----------
    nominal : float
        In m, above zero.

    Returns
    -------
    tuple of float
        In m.
    """
    require_above_zero(nominal_thickness=nominal)
    return nominal - (0.4e-3 + 0.03 * nominal), nominal + (0.2e-3 + 0.03 * nominal)


def critical_frequency(sheet: Sheet, air: Medium | None = None) -> tuple[float, float]:
    """Where bending waves run as fast as sound, along and across the grain.

    Source: Cremer: f = c^2 / (2 pi) sqrt(m / B).

    Parameters
    ----------
    sheet : Sheet
        The sheet.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    tuple of float
        In Hz.
    """
    square = (air if air is not None else Air()).speed ** 2 / (2.0 * math.pi)
    mass = sheet.mass_per_area
    return (square * math.sqrt(mass / sheet.bending_along),
            square * math.sqrt(mass / sheet.bending_across))


def thick_plate_ratio(wave_number: npt.ArrayLike, sheet: Sheet, through: float) -> FloatArray:
    """Frequency of a plate that also shears through its thickness over that of a thin one.

    Source: Mindlin 1951, simply supported, with Reissner's 5/6; the lower root of D k^4 - w^2 (m +
    m D k^2 / S + I k^2) + w^4 m I / S = 0. For an even sheet; for plywood take its mean stiffness
    and a `through` of a few hundred MPa at most (rolling shear, rule of thumb). Clamped edges lower
    it further.

    Parameters
    ----------
    wave_number : array_like
        Of the bending in rad/m, any shape, above zero: pi sqrt((m/a)^2 + (n/b)^2).
    sheet : Sheet
        The sheet; its stiffness is taken as the geometric mean of both directions.
    through : float
        Shear modulus through the thickness in Pa.

    Returns
    -------
    ndarray
        Below 1, same shape.
    """
    require_above_zero(shear_modulus_through=through)
    square = np.asarray(wave_number, dtype=float) ** 2
    bending = math.sqrt(sheet.bending_along * sheet.bending_across)
    turning = sheet.thickness**2 / 12.0 * square  # rotary inertia over mass
    shearing = bending * square / (MINDLIN_SHEAR * through * sheet.thickness)
    # in units of the thin plate's square: 1 - y (1 + shearing + turning) + y^2 shearing turning = 0
    middle = 1.0 + shearing + turning
    root = np.sqrt(middle**2 - 4.0 * shearing * turning)
    return np.asarray(np.sqrt(2.0 / (middle + root)), dtype=float)

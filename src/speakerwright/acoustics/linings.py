"""Fibrous fill and linings: the equivalent fluid, a filled duct, a filled or lined box.

Two laws fit to measured fibres at middle frequencies (`delany_bazley`, `miki`) and one that holds
down to the lowest (`relaxing`), which boxes and lines use.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray

FIT_RANGE = (0.01, 1.0)  # of frequency over flow resistivity, in m^3/kg: Delany and Bazley 1970
HEAT_SPREAD = 2.0  # thermal over viscous permeability, thin fibres across the flow (memory)


@dataclass(frozen=True)
class Fill:
    """A fibrous fill that hardly takes up volume.

    Parameters
    ----------
    flow_resistivity : float
        Static, in Pa s/m^2, above zero.
    bulk_density : float, optional
        In kg/m^3. When given, the fibres are free to move with the air; without it they stand
        still.

    Raises
    ------
    ValueError
        When a figure is not above zero.
    """

    flow_resistivity: float
    bulk_density: float | None = None

    def __post_init__(self) -> None:
        require_above_zero(flow_resistivity=self.flow_resistivity)
        if self.bulk_density is not None:
            require_above_zero(bulk_density=self.bulk_density)


# Rules of thumb, no source: a packing half or twice as dense changes them two- to fourfold.
TRADE_FILLS: Mapping[str, Fill] = MappingProxyType({
    "polyester wadding, loose": Fill(1.0e3, 8.0),
    "polyester wadding, packed": Fill(3.0e3, 16.0),
    "long-fibre wool, teased": Fill(1.5e3, 8.0),
    "wool felt": Fill(3.0e4, 120.0),
    "glass wool, loose": Fill(6.0e3, 15.0),
    "glass wool, board": Fill(1.5e4, 35.0),
    "rock wool, board": Fill(1.5e4, 45.0),
})


def within_fit(frequency: npt.ArrayLike, flow_resistivity: float) -> npt.NDArray[np.bool_]:
    """Where `delany_bazley` and `miki` stand on measurements: 0.01 to 1 of f / sigma.

    Source: Delany and Bazley 1970, kept by Miki 1990 (read second hand).

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,).
    flow_resistivity : float
        In Pa s/m^2.

    Returns
    -------
    ndarray of bool
        Shape (f,).
    """
    require_above_zero(flow_resistivity=flow_resistivity)
    ratio = np.asarray(frequency, dtype=float) / flow_resistivity
    return np.asarray((ratio >= FIT_RANGE[0]) & (ratio <= FIT_RANGE[1]))


def delany_bazley(
    frequency: npt.ArrayLike, flow_resistivity: float, air: Air | None = None
) -> tuple[ComplexArray, ComplexArray]:
    """Equivalent fluid of a fibrous material that stands still.

    Source: M. E. Delany and E. N. Bazley, Applied Acoustics 3, 105 (1970) (read second hand). A fit
    within `within_fit`; below it the law is not passive.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    flow_resistivity : float
        In Pa s/m^2.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    tuple of ndarray of complex
        Propagation constant in 1/m and characteristic impedance in Pa s/m, each (f,).
    """
    f, x, gas = _start(frequency, flow_resistivity, air)
    index = 1.0 + 10.8 * x**-0.70 - 10.3j * x**-0.59
    impedance = gas.impedance * (1.0 + 9.08 * x**-0.75 - 11.9j * x**-0.73)
    return _complex(2j * math.pi * f / gas.speed * index), _complex(impedance)


def miki(
    frequency: npt.ArrayLike, flow_resistivity: float, air: Air | None = None
) -> tuple[ComplexArray, ComplexArray]:
    """Equivalent fluid of a fibrous material that stands still.

    Source: Y. Miki, J. Acoust. Soc. Jpn. (E) 11, 19 (1990) (read second hand): the measurements
    of Delany and Bazley by a law that keeps passive further down. Range: `within_fit`.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    flow_resistivity : float
        In Pa s/m^2.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    tuple of ndarray of complex
        Propagation constant in 1/m and characteristic impedance in Pa s/m, each (f,).
    """
    f, x, gas = _start(frequency, flow_resistivity, air)
    index = 1.0 + 7.81 * x**-0.618 - 11.41j * x**-0.618
    impedance = gas.impedance * (1.0 + 5.50 * x**-0.632 - 8.43j * x**-0.632)
    return _complex(2j * math.pi * f / gas.speed * index), _complex(impedance)


def _complex(values: npt.ArrayLike) -> ComplexArray:
    return np.asarray(values, dtype=complex)


def _start(
    frequency: npt.ArrayLike, flow_resistivity: float, air: Air | None
) -> tuple[FloatArray, FloatArray, Air]:
    f = np.asarray(frequency, dtype=float)
    require_above_zero(flow_resistivity=flow_resistivity)
    if np.any(f <= 0.0):
        raise ValueError("frequency must be above zero")
    return f, 1.0e3 * f / flow_resistivity, air if air is not None else Air()


def effective_density(
    frequency: npt.ArrayLike, fill: Fill, air: Air | None = None
) -> ComplexArray:
    """Complex density of the air among the fibres, drag included.

    Source: D. K. Wilson, JASA 94, 1136 (1993), the relaxation law (read second hand), its time
    2 rho / sigma from the static drag. Fibres of a bulk density move with the air by that drag
    alone (after J. S. Bradbury, JAES 24, 162 (1976), and R. Panneton, JASA 122, EL217 (2007);
    both from memory): their mass lies beside the drag.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    fill : Fill
        The fibres.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        In kg/m^3, shape (f,); times j omega it tends to the flow resistivity at low frequency
        where the fibres stand still.
    """
    f, _, gas = _start(frequency, fill.flow_resistivity, air)
    delay = 2j * math.pi * f * 2.0 * gas.density / fill.flow_resistivity
    drag = gas.density / (np.sqrt(1.0 + delay) - 1.0)
    if fill.bulk_density is not None:
        drag = drag * fill.bulk_density / (drag + fill.bulk_density)
    return np.asarray(gas.density + drag, dtype=complex)


def bulk_modulus(frequency: npt.ArrayLike, fill: Fill, air: Air | None = None) -> ComplexArray:
    """Complex stiffness of the air among the fibres: isothermal at low frequency, then adiabatic.

    Source: Wilson 1993 (read second hand). Its time is that of the drag times the Prandtl number
    and `HEAT_SPREAD`, that heat reaches fibres lying across the flow more easily than the flow
    passes them (from memory, held within 12 % of `miki` where that is valid). In doubt:
    the fibres' heat capacity is taken as endless (a light fill warms with the air and falls short
    of the isothermal limit) and the fill as even; real fills reach a ratio of 1.15 to 1.35 (rule
    of thumb), where this law reaches 1.4.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    fill : Fill
        The fibres.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        In Pa, shape (f,), from the static pressure at low frequency to rho c^2.
    """
    f, _, gas = _start(frequency, fill.flow_resistivity, air)
    time = 2.0 * gas.density / fill.flow_resistivity * gas.prandtl * HEAT_SPREAD
    share = (gas.heat_ratio - 1.0) / np.sqrt(1.0 + 2j * math.pi * f * time)
    return np.asarray(gas.density * gas.speed**2 / (1.0 + share), dtype=complex)


def relaxing(
    frequency: npt.ArrayLike, fill: Fill, air: Air | None = None
) -> tuple[ComplexArray, ComplexArray]:
    """Equivalent fluid of a fill by `effective_density` and `bulk_modulus`; passive everywhere.

    Within 12 % of `miki` in attenuation and 11 % in phase over its whole range, fibres at rest.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    fill : Fill
        The fibres.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    tuple of ndarray of complex
        Propagation constant in 1/m and characteristic impedance in Pa s/m, each (f,).
    """
    density = effective_density(frequency, fill, air)
    stiffness = bulk_modulus(frequency, fill, air)
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=float)
    propagation = 1j * omega * np.sqrt(density / stiffness)
    return _complex(propagation), _complex(np.sqrt(density * stiffness))


def line(
    frequency: npt.ArrayLike, area: float, fill: Fill, air: Air | None = None
) -> tuple[ComplexArray, ComplexArray]:
    """Propagation constant and acoustic impedance of a duct filled fully; its walls count nothing.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    area : float
        Of the cross-section in m^2, above zero.
    fill : Fill
        The fibres.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    tuple of ndarray of complex
        In 1/m and Pa s/m^3, each (f,).
    """
    require_above_zero(area=area)
    propagation, impedance = relaxing(frequency, fill, air)
    return propagation, impedance / area


def box_compliance(
    frequency: npt.ArrayLike,
    volume: float,
    share: float,
    fill: Fill,
    air: Air | None = None,
    face: float | None = None,
) -> ComplexArray:
    """Complex acoustic compliance of a box, part of it filled; its impedance is 1 / (j omega C).

    The air that is free has rho c^2. The fill takes the pressure evenly, or, where the area
    `face` is given through which the sound enters it, as a layer before a hard wall: then the flow
    into it loses by drag as well. Boxes small against the wavelength.

    Parameters
    ----------
    frequency : array_like
        Frequencies in Hz, shape (f,), above zero.
    volume : float
        Net volume in m^3, above zero.
    share : float
        Part of the volume that is filled, 0 to 1.
    fill : Fill
        The fibres.
    air : Air, optional
        The air; the default state when left out.
    face : float, optional
        Area in m^2 of the fill towards the free air.

    Returns
    -------
    ndarray of complex
        In m^3/Pa, shape (f,); the imaginary part is negative and is the loss.

    Raises
    ------
    ValueError
        For a share outside 0 to 1, or another figure not above zero.
    """
    require_above_zero(volume=volume)
    if not 0.0 <= share <= 1.0:
        raise ValueError("the filled share must lie between 0 and 1")
    gas = air if air is not None else Air()
    f, _, _ = _start(frequency, fill.flow_resistivity, gas)
    within = share * volume / bulk_modulus(f, fill, gas)
    if face is not None and share > 0.0:
        require_above_zero(face=face)
        reach = relaxing(f, fill, gas)[0] * share * volume / face
        within = within * np.tanh(reach) / reach
    return np.asarray((1.0 - share) * volume / (gas.density * gas.speed**2) + within)


def volume_ratio(compliance: npt.ArrayLike, volume: float, air: Air | None = None) -> FloatArray:
    """Volume of free air of the same compliance, over the box's own: 1 to about 1.4.

    A layer with a `face` may pass it near its own resonance.

    Parameters
    ----------
    compliance : array_like of complex
        In m^3/Pa, shape (f,).
    volume : float
        Net volume in m^3.
    air : Air, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray
        Shape (f,).
    """
    require_above_zero(volume=volume)
    gas = air if air is not None else Air()
    return np.asarray(np.real(compliance) * gas.density * gas.speed**2 / volume, dtype=float)


def absorption_q(compliance: npt.ArrayLike) -> FloatArray:
    """Q of the absorption in a filled box: reactance over resistance of its impedance.

    Source: R. H. Small, JAES 20(10), 1972: QA = 1 / (omega C R), absorption in series.

    Parameters
    ----------
    compliance : array_like of complex
        In m^3/Pa, shape (f,).

    Returns
    -------
    ndarray
        Shape (f,); infinite without loss.
    """
    c = np.asarray(compliance, dtype=complex)
    with np.errstate(divide="ignore"):
        return np.asarray(np.real(c) / np.abs(np.imag(c)), dtype=float)

"""A field driven by a driver's box pressure and frame: how it moves, and how loud it is.

The field lies in an infinite baffle and so does the driver; the edges of the box are left out. The
sound's own damping and mass on the panel are left out too: wood in air is heavy against both. The
lines that hold the field stand still: the box as a whole does not recoil. Signs count outwards, and
amplitudes are rms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray
from speakerwright.acoustics.plates.fields import Edges, Field, Modes, modes
from speakerwright.acoustics.plates.radiation import CELLS, baffled_power

MODES_PART_WAY = 60  # of a field with edges held part way; their peaks need no more


@dataclass(frozen=True, eq=False)
class Drive:
    """What moves a field: a pressure all over it and a force at a place, both from one driver.

    Parameters
    ----------
    frequency : ndarray
        In Hz, ascending or not, above zero, shape (f,).
    volume_velocity : ndarray of complex
        Of the driver in m^3/s, out of its front, shape (f,); no zeros.
    pressure : ndarray of complex
        Inside the box in Pa, shape (f,); uniform, so below the first air mode of the box only.
    force : ndarray of complex
        On the field in N, outwards, shape (f,).
    place : tuple of float, optional
        Where the force acts, x and y in m; without it there must be no force.

    Raises
    ------
    ValueError
        When shapes differ, a frequency is not above zero, a volume velocity is zero or a force has
        no place.
    """

    frequency: FloatArray
    volume_velocity: ComplexArray
    pressure: ComplexArray
    force: ComplexArray
    place: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "frequency", np.array(self.frequency, dtype=float))
        for name in ("volume_velocity", "pressure", "force"):
            values = np.array(getattr(self, name), dtype=complex)
            if values.shape != self.frequency.shape or self.frequency.ndim != 1:
                raise ValueError("a drive needs one value for each of its frequencies")
            object.__setattr__(self, name, values)
        if np.any(self.frequency <= 0.0):
            raise ValueError("frequency must be above zero")
        if np.any(self.volume_velocity == 0.0):
            raise ValueError("the driver's volume velocity must not be zero")
        if self.place is None and np.any(self.force != 0.0):
            raise ValueError("a force needs a place")
        for name in ("frequency", "volume_velocity", "pressure", "force"):
            getattr(self, name).setflags(write=False)


@dataclass(frozen=True, eq=False)
class PanelLevel:
    """A field's sound against the driver's, in dB, over frequency in Hz, each (f,).

    `clamped_db` and `supported_db` are the bracket of edges. `worst_db` is the loudest of both and
    of every edge held part way between them: a panel is quiet only where this is quiet.
    """

    frequency: FloatArray
    clamped_db: FloatArray
    supported_db: FloatArray
    worst_db: FloatArray

    def __post_init__(self) -> None:
        for name in ("frequency", "clamped_db", "supported_db", "worst_db"):
            getattr(self, name).setflags(write=False)


def box_pressure(
    frequency: npt.ArrayLike, volume_velocity: npt.ArrayLike, volume: float,
    air: Medium | None = None,
) -> ComplexArray:
    """Pressure inside a closed box from a driver's volume velocity out of its front.

    Elementary: p = -rho c^2 U / (j omega V), adiabatic, without lining or leaks. Holds below the
    first air mode of the box; from half of it on the pressure is no longer even.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, shape (f,).
    volume_velocity : array_like
        In m^3/s, shape (..., f).
    volume : float
        Net volume in m^3.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray of complex
        In Pa, shape (..., f).
    """
    require_above_zero(volume=volume)
    gas = air if air is not None else Air()
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=float)
    flow = np.asarray(volume_velocity, dtype=complex)
    return np.asarray(-gas.density * gas.speed**2 * flow / (1j * omega * volume), dtype=complex)


def reaction_force(
    frequency: npt.ArrayLike, volume_velocity: npt.ArrayLike, area: float, moving_mass: float
) -> ComplexArray:
    """Force of a driver's frame on its panel, outwards: the moving mass thrown the other way.

    Elementary: F = -j omega M U / S. The box pressure on the cone comes back through the frame as
    well: count it by letting the pressure act over the whole field, the driver's opening included.

    Parameters
    ----------
    frequency : array_like
        In Hz, shape (f,).
    volume_velocity : array_like
        In m^3/s, shape (..., f).
    area : float
        Radiating area of the driver in m^2.
    moving_mass : float
        With its air, in kg.

    Returns
    -------
    ndarray of complex
        In N, shape (..., f).
    """
    require_above_zero(area=area, moving_mass=moving_mass)
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=float)
    flow = np.asarray(volume_velocity, dtype=complex)
    return np.asarray(-1j * omega * moving_mass * flow / area, dtype=complex)


def amplitudes(
    found: Modes, drive: Drive, loss_factor: float | None = None,
    span: tuple[FloatArray, FloatArray] | None = None,
) -> ComplexArray:
    """Amplitude of each mode: modal force over (omega_n^2 (1 + j eta) - omega^2).

    Elementary (Cremer): hysteretic damping, the same loss factor for all modes. Exact for the
    elements when `found` holds all their modes.

    Parameters
    ----------
    found : Modes
        Modes of the field, n of them.
    drive : Drive
        What moves it.
    loss_factor : float, optional
        The sheet's own when left out; edges and glue raise it.
    span : tuple of ndarray, optional
        Lowest and highest frequency each mode may have, in Hz, each (n,): a mode then rings
        wherever it may, which is an upper bound and no response.

    Returns
    -------
    ndarray of complex
        Of deflection, in m kg^(1/2), shape (n, f).
    """
    eta = found.field.sheet.loss_factor if loss_factor is None else loss_factor
    forced = found.volume[:, None] * drive.pressure
    if drive.place is not None:
        forced = forced + found.at(*drive.place)[:, None] * drive.force
    own = found.frequency[:, None]
    if span is not None:
        own = np.clip(drive.frequency, span[0][:, None], span[1][:, None])
    stiff = (2.0 * math.pi * own) ** 2 * (1.0 + 1j * eta)
    return np.asarray(forced / (stiff - (2.0 * math.pi * drive.frequency) ** 2), dtype=complex)


def panel_volume_velocity(
    found: Modes, drive: Drive, loss_factor: float | None = None
) -> ComplexArray:
    """Volume velocity of a driven field: all that counts while it is small against the wavelength.

    Parameters
    ----------
    found : Modes
        Modes of the field.
    drive : Drive
        What moves it.
    loss_factor : float, optional
        The sheet's own when left out.

    Returns
    -------
    ndarray of complex
        Outwards, in m^3/s, shape (f,); at a small distance too, `pistons` makes it a pressure.
    """
    omega = 2.0 * math.pi * drive.frequency
    return np.asarray(
        1j * omega * (found.volume @ amplitudes(found, drive, loss_factor)), dtype=complex)


def volume_compliance(found: Modes) -> float:
    """Volume a field gives way by per pressure, at rest: it adds to the box's own compliance.

    Parameters
    ----------
    found : Modes
        All modes of a field that is held.

    Returns
    -------
    float
        In m^3/Pa; the box's own is V / (rho c^2).
    """
    return float(np.sum((found.volume / (2.0 * math.pi * found.frequency)) ** 2))


def level_against_driver_db(
    found: Modes, drive: Drive, air: Medium | None = None, cells: int = CELLS,
    loss_factor: float | None = None, span: tuple[FloatArray, FloatArray] | None = None,
) -> FloatArray:
    """Sound power of a field over that of the driver as a small source in the same baffle.

    So it is the panel's mean level over the half space against the driver's on its axis. 0 dB would
    be a panel as loud as the driver.

    Parameters
    ----------
    found : Modes
        Modes of the field, all of them.
    drive : Drive
        What moves it.
    air : Medium, optional
        The air; the default state when left out.
    cells : int
        Along each side.
    loss_factor : float, optional
        The sheet's own when left out.
    span : tuple of ndarray, optional
        As in `amplitudes`.

    Returns
    -------
    ndarray
        In dB, shape (f,).
    """
    gas = air if air is not None else Air()
    omega = 2.0 * math.pi * drive.frequency
    shapes = found.cell_means(cells, cells).reshape(len(found.frequency), -1)
    moved = (shapes.T @ (1j * omega * amplitudes(found, drive, loss_factor, span))).reshape(
        cells, cells, -1)
    power = baffled_power(drive.frequency, moved, found.field.width, found.field.height, gas)
    driver = gas.density * (omega * np.abs(drive.volume_velocity)) ** 2 / (
        2.0 * math.pi * gas.speed)
    with np.errstate(divide="ignore"):
        return np.asarray(10.0 * np.log10(power / driver), dtype=float)


def panel_level_db(
    field: Field, drive: Drive, air: Medium | None = None, *, part_way: int = 4,
    elements: int = 8, cells: int = CELLS, loss_factor: float | None = None,
) -> PanelLevel:
    """A field's sound against the driver's, bracketed between clamped and simply supported edges.

    The field's own edges are set aside: what a glued joint holds is not known beforehand. A real
    edge rings somewhere between the two frequencies, where neither bound peaks, so that the louder
    of the two is no upper bound. `worst_db` therefore lets every mode ring anywhere between its
    frequencies with the one edge and with the other; shapes come from edges held part way.

    Parameters
    ----------
    field : Field
        The field.
    drive : Drive
        What moves it.
    air : Medium, optional
        The air; the default state when left out.
    part_way : int
        How many edges part way, 0 to 40; with 4 the upper bound is right to about 3 dB.
    elements, cells : int
        Along each side.
    loss_factor : float, optional
        The sheet's own when left out.

    Returns
    -------
    PanelLevel
        In dB.

    Raises
    ------
    ValueError
        For `part_way` out of range.
    """
    if not 0 <= part_way <= 40:
        raise ValueError("edges part way must be 0 to 40")
    unit = math.sqrt(field.bending[0] * field.bending[1]) / min(field.width, field.height)
    supported, clamped = (modes(field.held(Edges.all(edge)), None, elements)
                          for edge in ("supported", "clamped"))
    path = [supported, *(
        modes(field.held(Edges.all("supported", unit * part)), MODES_PART_WAY, elements)
        for part in np.geomspace(1.0, 100.0, part_way)), clamped]
    levels = [level_against_driver_db(end, drive, air, cells, loss_factor)
              for end in (clamped, supported)]
    swept = [level_against_driver_db(found, drive, air, cells, loss_factor, span)
             for found, span in zip(path, _spans(path), strict=True)]
    worst = np.max(np.array(levels + swept), axis=0)
    return PanelLevel(np.array(drive.frequency), levels[0], levels[1], worst)


def _spans(path: list[Modes]) -> list[tuple[FloatArray, FloatArray]]:
    """From half way below to half way above each edge of a path, mode by mode in order."""
    spans = []
    for k, found in enumerate(path):
        own = found.frequency
        ends = []
        for other in (path[max(k - 1, 0)], path[min(k + 1, len(path) - 1)]):
            near = own.copy()
            both = min(len(own), len(other.frequency))
            near[:both] = np.sqrt(own[:both] * other.frequency[:both])
            ends.append(near)
        spans.append((np.minimum(*ends), np.maximum(*ends)))
    return spans

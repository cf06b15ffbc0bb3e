"""A rectangular field of a panel: how its edges, braces and masses make it ring.

Thin orthotropic plate (Kirchhoff) in tensor Hermite elements. Not in it: fields that are not
rectangles, cut-outs, shear through the thickness (`sheets.thick_plate_ratio`), the air's own mass
and stiffness, and panels that move one another through joints and braces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.plates.elements import EDGES, Edge, Line, line, nodes_between
from speakerwright.acoustics.plates.sheets import Sheet

THICKEST = 0.2  # thickness over the shorter side beyond which a thin plate says little


@dataclass(frozen=True)
class Edges:
    """How the four edges of a field are held; x to the right, y up.

    `rotation` is what supported edges hold against turning, in N (moment per angle and length): 0
    leaves them free to turn, very much clamps them.
    """

    left: Edge = "clamped"
    right: Edge = "clamped"
    bottom: Edge = "clamped"
    top: Edge = "clamped"
    rotation: float = 0.0

    def __post_init__(self) -> None:
        if any(edge not in EDGES for edge in (self.left, self.right, self.bottom, self.top)):
            raise ValueError("an edge must be clamped, supported or free")
        if not 0.0 <= self.rotation < math.inf:
            raise ValueError("what edges hold against turning must be finite and not negative")

    @classmethod
    def all(cls, edge: Edge, rotation: float = 0.0) -> Edges:
        """Four alike."""
        return cls(edge, edge, edge, edge, rotation)


@dataclass(frozen=True)
class Brace:
    """A brace as a line right across a field.

    Parameters
    ----------
    runs : {"x", "y"}
        Along which side it runs.
    at : float
        Its place along the other side, in m.
    stiffness : float
        E times second moment of area in N m^2; infinite for a line that does not move at all.
    twist : float
        Torsional stiffness G J in N m^2.
    mass_per_length : float
        In kg/m.

    Raises
    ------
    ValueError
        For a side that is neither, or a negative number.
    """

    runs: Literal["x", "y"]
    at: float
    stiffness: float = math.inf
    twist: float = 0.0
    mass_per_length: float = 0.0

    def __post_init__(self) -> None:
        if self.runs not in ("x", "y"):
            raise ValueError("a brace must run along x or y")
        if not (self.stiffness >= 0.0 and 0.0 <= self.twist < math.inf
                and 0.0 <= self.mass_per_length < math.inf):
            raise ValueError("a brace's stiffness and mass must not be negative")


@dataclass(frozen=True)
class PointMass:
    """A mass (kg) screwed on at one place (m): a driver, a crossover, a bag of sand."""

    x: float
    y: float
    mass: float

    def __post_init__(self) -> None:
        require_above_zero(mass=self.mass)


@dataclass(frozen=True)
class Field:
    """A rectangular field of a panel between the lines that hold its edges.

    Parameters
    ----------
    width, height : float
        Free spans along x and y in m; the thickness at most a fifth of the shorter.
    sheet : Sheet
        What it is made of.
    edges : Edges
        How it is held.
    grain : {"x", "y"}
        Along which side the face grain runs.
    braces : tuple of Brace
        Lines across it.
    masses : tuple of PointMass
        What is screwed to it.

    Raises
    ------
    ValueError
        For sizes out of range or a brace or mass outside the field.
    """

    width: float
    height: float
    sheet: Sheet
    edges: Edges = Edges()
    grain: Literal["x", "y"] = "y"
    braces: tuple[Brace, ...] = ()
    masses: tuple[PointMass, ...] = ()

    def __post_init__(self) -> None:
        require_above_zero(width=self.width, height=self.height)
        if self.sheet.thickness > THICKEST * min(self.width, self.height):
            raise ValueError("the field is too small for its thickness to count as a thin plate")
        if self.grain not in ("x", "y"):
            raise ValueError("the grain must run along x or y")
        for brace in self.braces:
            if not 0.0 < brace.at < (self.height if brace.runs == "x" else self.width):
                raise ValueError("a brace must lie within the field")
        for point in self.masses:
            if not (0.0 <= point.x <= self.width and 0.0 <= point.y <= self.height):
                raise ValueError("a mass must lie within the field")

    @property
    def area(self) -> float:
        """In m^2."""
        return self.width * self.height

    @property
    def bending(self) -> tuple[float, float]:
        """Bending stiffness along x and y in N m."""
        along, across = self.sheet.bending_along, self.sheet.bending_across
        return (along, across) if self.grain == "x" else (across, along)

    def held(self, edges: Edges) -> Field:
        """The same field with its edges held otherwise."""
        return replace(self, edges=edges)


@dataclass(frozen=True, eq=False)
class Modes:
    """Modes of a field, each of modal mass one (kg).

    Parameters
    ----------
    field : Field
        The field.
    frequency : ndarray
        In Hz, ascending, shape (n,); zero for a field that is held nowhere.
    coefficients : ndarray
        Shape (n, dx, dy), over the shapes of both lines.
    across, up : Line
        The lines along x and y.
    """

    field: Field
    frequency: FloatArray
    coefficients: FloatArray
    across: Line
    up: Line

    def __post_init__(self) -> None:
        self.frequency.setflags(write=False)
        self.coefficients.setflags(write=False)

    @property
    def volume(self) -> FloatArray:
        """Volume each mode displaces per unit of its amplitude, in m^2/kg^(1/2), shape (n,)."""
        means = self.cell_means(1, 1)[:, 0, 0]
        return np.asarray(means * self.field.area, dtype=float)

    def at(self, x: float, y: float) -> FloatArray:
        """Deflection of each mode at a place (m) in kg^(-1/2), shape (n,)."""
        row, column = self.across.shapes([x])[0], self.up.shapes([y])[0]
        return np.asarray(np.einsum("nij,i,j->n", self.coefficients, row, column), dtype=float)

    def cell_means(self, columns: int, rows: int) -> FloatArray:
        """Mean deflection over even cells, shape (n, rows, columns), in kg^(-1/2)."""
        wide, high = _means(self.across, columns), _means(self.up, rows)
        return np.asarray(high @ np.swapaxes(wide @ self.coefficients, 1, 2), dtype=float)


def _means(along: Line, cells: int) -> FloatArray:
    """Mean of each shape over even cells, (cells, d): Gauss's rule between cell and node ends."""
    ends = np.union1d(np.linspace(0.0, along.length, cells + 1), along.nodes)
    points, weights = np.polynomial.legendre.leggauss(2)
    size = np.diff(ends)
    at = (ends[:-1, None] + 0.5 * size[:, None] * (1.0 + points)).ravel()
    values = (0.5 * size[:, None] * weights).ravel()[:, None] * along.shapes(at)
    cell = np.minimum((at / along.length * cells).astype(int), cells - 1)
    found = np.zeros((cells, values.shape[1]))
    np.add.at(found, cell, values)
    return found * cells / along.length


def modes(field: Field, count: int | None = None, elements: int = 8) -> Modes:
    """Modes of a field.

    Source: thin orthotropic plate (Leissa, NASA SP-160, chapter 9) in the elements of Bogner, Fox
    and Schmit 1965. Frequencies come from above; with 8 elements a side the first is right to
    0.02 % and one of four half waves along a side to 0.4 %; a sharp load or mass converges slower.

    Parameters
    ----------
    field : Field
        The field.
    count : int, optional
        How many; all that the elements have when left out (then sums over modes are exact for
        them).
    elements : int
        About how many along each side, 2 to 24; braces make nodes.

    Returns
    -------
    Modes
        Ascending.

    Raises
    ------
    ValueError
        For elements out of range.
    """
    from scipy.linalg import eigh

    if not 2 <= elements <= 24:
        raise ValueError("elements along a side must be 2 to 24")
    wide, high = _lines(field, elements)
    stiffness, mass = _plate(field, wide, high)
    for brace in field.braces:
        _add_brace(brace, wide, high, stiffness, mass)
    for point in field.masses:
        shape = np.kron(wide.shapes([point.x])[0], high.shapes([point.y])[0])
        mass += point.mass * np.outer(shape, shape)
    size = len(mass)
    last = size if count is None else min(count, size)
    squares, vectors = eigh(stiffness, mass, subset_by_index=(0, last - 1),
                            overwrite_a=True, overwrite_b=True, check_finite=False)
    frequency = np.sqrt(np.maximum(squares, 0.0)) / (2.0 * math.pi)
    shape_of = vectors.T.reshape(last, len(wide.kept), len(high.kept))
    return Modes(field, frequency, np.ascontiguousarray(shape_of), wide, high)


def _lines(field: Field, elements: int) -> tuple[Line, Line]:
    edges = field.edges
    found = []
    for length, runs, first, last in ((field.width, "y", edges.left, edges.right),
                                      (field.height, "x", edges.bottom, edges.top)):
        crossing = [brace for brace in field.braces if brace.runs == runs]
        rigid = [brace.at for brace in crossing if math.isinf(brace.stiffness)]
        nodes = nodes_between(length, [brace.at for brace in crossing], elements)
        found.append(line(nodes, first, last, rigid))
    return found[0], found[1]


def _plate(field: Field, wide: Line, high: Line) -> tuple[FloatArray, FloatArray]:
    """Strain and kinetic energy: Leissa, NASA SP-160, eq. 9.8, with what edges hold to turning."""
    (Dx, Dy), D1, Dk = field.bending, field.sheet.coupling, field.sheet.twisting
    crossed = np.kron(wide.cross, high.cross.T)
    stiffness = (
        Dx * np.kron(wide.bend, high.mass) + Dy * np.kron(wide.mass, high.bend)
        + D1 * (crossed + crossed.T) + 4.0 * Dk * np.kron(wide.slope, high.slope))
    edges = field.edges
    if edges.rotation > 0.0:
        turned_x = _turned(wide, edges.left, edges.right)
        turned_y = _turned(high, edges.bottom, edges.top)
        stiffness += edges.rotation * (np.kron(turned_x, high.mass) + np.kron(wide.mass, turned_y))
    mass = field.sheet.mass_per_area * np.kron(wide.mass, high.mass)
    return np.asarray(stiffness, dtype=float), np.asarray(mass, dtype=float)


def _turned(along: Line, first: Edge, last: Edge) -> FloatArray:
    found = np.zeros_like(along.mass)
    for edge, place in ((first, 0.0), (last, along.length)):
        if edge == "supported":
            slope = along.shapes([place], 1)[0]
            found += np.outer(slope, slope)
    return found


def _add_brace(
    brace: Brace, wide: Line, high: Line, stiffness: FloatArray, mass: FloatArray
) -> None:
    along, other = (wide, high) if brace.runs == "x" else (high, wide)
    value, slope = (np.outer(s, s) for s in (other.shapes([brace.at], d)[0] for d in (0, 1)))

    def product(lengthwise: FloatArray, crosswise: FloatArray) -> FloatArray:
        both = (lengthwise, crosswise) if brace.runs == "x" else (crosswise, lengthwise)
        return np.asarray(np.kron(*both), dtype=float)

    if math.isfinite(brace.stiffness):
        stiffness += brace.stiffness * product(along.bend, value)
        mass += brace.mass_per_length * product(along.mass, value)
    stiffness += brace.twist * product(along.slope, slope)


def batten_stiffness(
    modulus: float, width: float, depth: float, sheet: Sheet
) -> tuple[float, float]:
    """Bending stiffness of a batten glued on its edge to a panel, lower and upper bound.

    Elementary: lower, bent about its own middle; upper, about the panel's middle, as if the panel
    could not stretch. A good glue line lies between.

    Parameters
    ----------
    modulus : float
        Of elasticity along the batten, in Pa.
    width : float
        Of the glue line in m.
    depth : float
        Away from the panel, in m.
    sheet : Sheet
        The panel.

    Returns
    -------
    tuple of float
        In N m^2.
    """
    require_above_zero(modulus=modulus, width=width, depth=depth)
    own = modulus * width * depth**3 / 12.0
    lever = 0.5 * (depth + sheet.thickness)
    return own, own + modulus * width * depth * lever**2


def frequency_parameter(found: Modes, bending: float) -> npt.NDArray[np.float64]:
    """Leissa's frequency parameter, omega a^2 sqrt(m / D), with a the width.

    Parameters
    ----------
    found : Modes
        The modes.
    bending : float
        The stiffness D it is counted in, in N m.

    Returns
    -------
    ndarray
        Without unit, shape (n,).
    """
    field = found.field
    root = math.sqrt(field.sheet.mass_per_area / bending)
    return np.asarray(2.0 * math.pi * found.frequency * field.width**2 * root, dtype=float)

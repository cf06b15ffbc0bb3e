"""What a chamber is made of: its outline, plates with windows, blocks, linings, openings.

All lengths in m in one frame: x to the right, y from the front to the back, z up; the origin is
wherever the caller likes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.linings import Fill

Axis = Literal["x", "y", "z"]
Wall = Literal["left", "right", "front", "back", "bottom", "top"]
Law = Literal["miki", "relaxing"]
Pair = tuple[float, float]
Point = tuple[float, float, float]

AXES: tuple[Axis, ...] = ("x", "y", "z")
WALLS: dict[Wall, tuple[int, int]] = {  # the axis across it, and its low or high end
    "left": (0, 0), "right": (0, 1), "front": (1, 0), "back": (1, 1), "bottom": (2, 0),
    "top": (2, 1),
}


@dataclass(frozen=True)
class Rectangle:
    """A rectangle in a plane by two corners, in the two axes of the plane in the order x, y, z.

    Raises
    ------
    ValueError
        When the second corner does not lie above the first in both.
    """

    lower: Pair
    upper: Pair

    def __post_init__(self) -> None:
        if not all(a < b for a, b in zip(self.lower, self.upper, strict=True)):
            raise ValueError("a rectangle's upper corner must lie above its lower corner")

    @property
    def sides(self) -> Pair:
        """Its two sides in m."""
        return self.upper[0] - self.lower[0], self.upper[1] - self.lower[1]

    @property
    def area(self) -> float:
        """In m^2."""
        return self.sides[0] * self.sides[1]


@dataclass(frozen=True)
class Plate:
    """A flat plate in the chamber: a brace, a shelf, a partial wall.

    Parameters
    ----------
    across : str
        The axis that passes through it: "z" for a shelf.
    start, thickness : float
        Its first face along that axis, and its thickness.
    span : Rectangle, optional
        What it covers; the chamber's whole section when left out.
    windows : tuple of Rectangle
        Openings. A round one by a rectangle of its area: `square`.
    """

    across: Axis
    start: float
    thickness: float
    span: Rectangle | None = None
    windows: tuple[Rectangle, ...] = ()

    def __post_init__(self) -> None:
        require_above_zero(thickness=self.thickness)


@dataclass(frozen=True)
class Block:
    """A solid with six faces along the axes, by two corners: a magnet, a post, a port's tube."""

    lower: Point
    upper: Point

    def __post_init__(self) -> None:
        if not all(a < b for a, b in zip(self.lower, self.upper, strict=True)):
            raise ValueError("a block's upper corner must lie above its lower corner")


def square(centre: Pair, radius: float) -> Rectangle:
    """The square with the area of a circle.

    Parameters
    ----------
    centre : tuple of float
        In the axes of the plane, m.
    radius : float
        In m, above zero.

    Returns
    -------
    Rectangle
        Its sides are sqrt(pi) radii.

    Raises
    ------
    ValueError
        For a radius not above zero.
    """
    require_above_zero(radius=radius)
    half = 0.5 * math.sqrt(math.pi) * radius
    return Rectangle((centre[0] - half, centre[1] - half), (centre[0] + half, centre[1] + half))


def round_block(start: Point, along: Axis, radius: float, length: float) -> Block:
    """The block with the volume of a cylinder.

    Parameters
    ----------
    start : tuple of float
        Centre of the end with the lower coordinate, m.
    along : str
        Axis of the cylinder.
    radius, length : float
        In m, above zero.

    Returns
    -------
    Block
        As long as the cylinder, its section the square of the same area.

    Raises
    ------
    ValueError
        For a radius or length not above zero.
    """
    require_above_zero(radius=radius, length=length)
    axis = AXES.index(along)
    half = [0.5 * math.sqrt(math.pi) * radius] * 3
    half[axis] = 0.0
    lower = [c - h for c, h in zip(start, half, strict=True)]
    upper = [c + h for c, h in zip(start, half, strict=True)]
    upper[axis] += length
    return Block((lower[0], lower[1], lower[2]), (upper[0], upper[1], upper[2]))


@dataclass(frozen=True)
class Lining:
    """A fibrous layer on a wall; it takes its room from the air.

    Parameters
    ----------
    wall : str
        "left", "right", "front", "back", "bottom" or "top".
    thickness : float
        In m, square to the wall.
    fill : Fill
        Its fibres. Only the law "relaxing" knows of a bulk density.
    law : str
        "miki", or "relaxing" that also holds far below the range of measurements.
    """

    wall: Wall
    thickness: float
    fill: Fill
    law: Law = "miki"

    def __post_init__(self) -> None:
        require_above_zero(thickness=self.thickness)
        if self.wall not in WALLS:
            raise ValueError(f"{self.wall!r} is no wall; walls are {', '.join(WALLS)}")
        if self.law not in ("miki", "relaxing"):
            raise ValueError(f"{self.law!r} is no law; laws are miki and relaxing")


@dataclass(frozen=True)
class Patch:
    """A piece of a surface through which air is moved evenly: a circle or a rectangle.

    Parameters
    ----------
    centre : tuple of float
        On a wall, or on a face of a plate or block.
    radius : float, optional
        Of a circle.
    size : tuple of float, optional
        Extents of a rectangle along x, y and z; the one across the surface counts nothing.
    """

    centre: Point
    radius: float | None = None
    size: Point | None = None

    def __post_init__(self) -> None:
        if (self.radius is None) == (self.size is None):
            raise ValueError("a patch has a radius or a size, one of them")
        if self.radius is not None:
            require_above_zero(radius=self.radius)

    @property
    def reach(self) -> Point:
        """Half its extents along x, y and z, in m."""
        if self.radius is not None:
            return self.radius, self.radius, self.radius
        assert self.size is not None
        return 0.5 * self.size[0], 0.5 * self.size[1], 0.5 * self.size[2]


@dataclass(frozen=True)
class Opening:
    """A driver's cone or a port's mouth: patches that share one volume velocity by their areas."""

    name: str
    patches: tuple[Patch, ...]

    def __post_init__(self) -> None:
        if not self.patches:
            raise ValueError(f"the opening {self.name!r} has no patch")


@dataclass(frozen=True)
class Chamber:
    """A prism of air and what stands in it.

    Parameters
    ----------
    outline : tuple of (float, float)
        Corners of the section in order, in the two axes across `along` in the order x, y, z.
        Notches and ledges are blocks, not corners.
    start, end : float
        Where the prism begins and ends along its axis.
    along : str
        That axis; "y" for an outline seen from the front.
    plates, blocks, linings, openings : tuple
        Where two linings meet in an edge, the first has it.
    """

    outline: tuple[Pair, ...]
    start: float
    end: float
    along: Axis = "y"
    plates: tuple[Plate, ...] = ()
    blocks: tuple[Block, ...] = ()
    linings: tuple[Lining, ...] = ()
    openings: tuple[Opening, ...] = ()

    def __post_init__(self) -> None:
        if len(self.outline) < 3:
            raise ValueError("an outline has three corners or more")
        if not self.start < self.end:
            raise ValueError("a chamber must end beyond its start")
        names = [opening.name for opening in self.openings]
        if len(set(names)) < len(names):
            raise ValueError("two openings have the same name")

    @property
    def lower(self) -> Point:
        """The lowest coordinates, m."""
        firsts, seconds = zip(*self.outline, strict=True)
        return self._in_order(min(firsts), min(seconds), self.start)

    @property
    def upper(self) -> Point:
        """The highest coordinates, m."""
        firsts, seconds = zip(*self.outline, strict=True)
        return self._in_order(max(firsts), max(seconds), self.end)

    @property
    def plane(self) -> tuple[int, int]:
        """Numbers of the outline's two axes."""
        first, second = (k for k in range(3) if k != AXES.index(self.along))
        return first, second

    def _in_order(self, first: float, second: float, along: float) -> Point:
        place = {self.plane[0]: first, self.plane[1]: second, AXES.index(self.along): along}
        return place[0], place[1], place[2]


def box_chamber(
    lower: Point,
    upper: Point,
    plates: tuple[Plate, ...] = (),
    blocks: tuple[Block, ...] = (),
    linings: tuple[Lining, ...] = (),
    openings: tuple[Opening, ...] = (),
) -> Chamber:
    """A rectangular chamber.

    Parameters
    ----------
    lower, upper : tuple of float
        Two corners (x, y, z) in m.
    plates, blocks, linings, openings : tuple
        As in `Chamber`.

    Returns
    -------
    Chamber
        Its prism runs along y.

    Raises
    ------
    ValueError
        When the upper corner does not lie above the lower one.
    """
    (x0, y0, z0), (x1, y1, z1) = lower, upper
    if not (x0 < x1 and y0 < y1 and z0 < z1):
        raise ValueError("a chamber's upper corner must lie above its lower corner")
    outline = ((x0, z0), (x1, z0), (x1, z1), (x0, z1))
    return Chamber(outline, y0, y1, "y", plates, blocks, linings, openings)

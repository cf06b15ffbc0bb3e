"""What a closed rectangular box does to the flow of a small mouth in it: all images at once.

At low frequency a mouth's flow swells evenly into the box. Its potential is that of a point source,
all its images in the six walls, and the even swelling, with the mean over the box for zero: the
box's one compliance stands for that mean. Near walls lengthen the end correction; the box's own
finite size shortens it, since the flow need not go to infinity.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.limits import require_above_zero

Place = tuple[float, float, float]


@dataclass(frozen=True)
class Enclosure:
    """A rectangular box by its clear width, height and depth (m); places count from a corner."""

    width: float
    height: float
    depth: float

    def __post_init__(self) -> None:
        require_above_zero(width=self.width, height=self.height, depth=self.depth)

    @property
    def volume(self) -> float:
        """Volume in m^3."""
        return self.width * self.height * self.depth

    def holds(self, place: Place) -> bool:
        """Whether a place lies inside or on the walls."""
        return all(0.0 <= x <= side for x, side in zip(place, self._sides, strict=True))

    @property
    def _sides(self) -> tuple[float, float, float]:
        return self.width, self.height, self.depth


def image_sum(box: Enclosure, source: Place, at: Place) -> float:
    """Sum of one over distance of all images of a point source, the mean over the box for zero.

    The source itself counts too, unless `at` is `source`: then its own infinite part is left out.

    Source: Ewald, Ann. Phys. 64, 253 (1921), the sum over a lattice parted in two that converge
    fast, here for the box mirrored in its walls. A point in the middle of a cube of side L has
    -2.837297 / L (the known constant of a simple cubic lattice).

    Parameters
    ----------
    box : Enclosure
        The box.
    source, at : tuple of float
        Places (x, y, z) in m, inside the box or on its walls.

    Returns
    -------
    float
        Sum in 1/m; the potential of a unit flow is this over 4 pi.

    Raises
    ------
    ValueError
        For a place outside the box.
    """
    from scipy.special import erfc

    if not (box.holds(source) and box.holds(at)):
        raise ValueError("places must be inside the box")
    sides = (box.width, box.height, box.depth)
    split = 1.8 / box.volume ** (1.0 / 3.0)
    squares = _image_squares(sides, source, at, 4.2 / split)
    near = squares > 1e-24 * box.volume ** (2.0 / 3.0)
    distance = np.sqrt(squares[near])
    images = float(np.sum(erfc(split * distance) / distance))
    own = -2.0 * split / math.sqrt(math.pi) * int(np.count_nonzero(~near))
    even = math.pi / (split**2 * box.volume)
    return float(images + own - even + _waves(sides, source, at, split))


def _image_squares(
    sides: tuple[float, ...], source: Place, at: Place, reach: float
) -> FloatArray:
    """Squares of the distances (m^2) from the images of a source within reach, flat."""
    axes = []
    for side, s, x in zip(sides, source, at, strict=True):
        count = math.ceil((reach + side) / (2.0 * side))
        shifts = 2.0 * side * np.arange(-count, count + 1)
        axes.append(np.concatenate([(x - s - shifts) ** 2, (x + s - shifts) ** 2]))
    a, b, c = axes
    squares = (a[:, None, None] + b[:, None] + c).ravel()
    return np.asarray(squares[squares < reach**2])


def _waves(sides: tuple[float, ...], source: Place, at: Place, split: float) -> float:
    """The slow part of the sum, over the box's own standing waves, times 4 pi."""
    squares, weights = [], []
    for side, s, x in zip(sides, source, at, strict=True):
        count = math.ceil(2.0 * split * 4.2 * side / math.pi)
        k = math.pi / side * np.arange(count + 1)
        weight = 2.0 * np.cos(k * s) * np.cos(k * x)
        weight[0] = 1.0
        squares.append(k**2)
        weights.append(weight)
    (a, b, c), (p, q, r) = squares, weights
    square = (a[:, None, None] + b[:, None] + c).ravel()[1:]
    weight = (p[:, None, None] * q[:, None] * r).ravel()[1:]
    total = np.sum(weight * np.exp(-square / (4.0 * split**2)) / square)
    return 4.0 * math.pi * float(total) / (sides[0] * sides[1] * sides[2])


def enclosed_end(area: float, box: Enclosure, source: Place, at: Place | None = None) -> float:
    """End correction that a whole box gives a small mouth, over that in open space.

    Parameters
    ----------
    area : float
        Of the source's mouth in m^2, small against the walls' distances.
    box : Enclosure
        The box.
    source, at : tuple of float
        Centre of the mouth, and of another one that feels it; the mouth itself when left out.

    Returns
    -------
    float
        Length in m, of either sign.

    Raises
    ------
    ValueError
        For a place outside the box.
    """
    require_above_zero(area=area)
    return area / (4.0 * math.pi) * image_sum(box, source, source if at is None else at)

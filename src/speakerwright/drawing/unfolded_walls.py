"""A cabinet's walls laid side by side with the fields they are split into, shaded by level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.drawing.marks import TEXT_MM, Area, Text, text_wide
from speakerwright.drawing.sheets import Drawing, folded, laid_out

SHADES = ((-20.0, "#c98f86"), (-30.0, "#e0bfa0"), (-40.0, "#eadfc4"), (-np.inf, "#eef1f4"))
"""Fill of a field by its level in dB, from the loudest down."""
PLAIN = "#ffffff"
WOOD = "#b4b7ba"
_GAP_MM = 7.0
_LINE_MM = 3.6
_WIDTH_MM = 165.0
_TALLEST_MM = 88.0


@dataclass(frozen=True, eq=False)
class Patch:
    """One field: its corners (n, 2) in the wall's own mm, its level in dB, what is written in it.

    The words are given from the fullest to the shortest; the first that fits is written.
    """

    corners: NDArray[np.float64]
    level_db: float | None
    words: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, eq=False)
class Wall:
    """One wall: its name, its outline (n, 2) in mm, and its fields."""

    name: str
    outline: NDArray[np.float64]
    patches: tuple[Patch, ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        wide, high = np.ptp(self.outline, axis=0)
        return float(wide), float(high)


def shade(level_db: float | None) -> str:
    """The fill of a field by its level; white for none."""
    if level_db is None:
        return PLAIN
    return next(fill for least, fill in SHADES if level_db >= least)


def unfolded_walls(
    key: str, title: str, walls: Sequence[Wall], note: str = "", system: str = "metric"
) -> Drawing:
    """Walls in rows beside one another, each with its fields, seen from outside.

    Parameters
    ----------
    key, title : str
        Of the drawing.
    walls : sequence of Wall
        Not empty.
    note : str
        What else stands in the caption, after what the shades mean.
    system : {"metric", "inch"}
        Only named in the caption; nothing is dimensioned.

    Returns
    -------
    Drawing
        Without scale, at the largest size at which every wall fits on a line of the page.

    Raises
    ------
    ValueError
        Without a wall.
    """
    if not walls:
        raise ValueError("there is no wall to draw")
    tallest = max(wall.size[1] for wall in walls)
    widest = max(wall.size[0] for wall in walls)
    every = sum(wall.size[0] for wall in walls)
    ratio = max(tallest / _TALLEST_MM, widest / (_WIDTH_MM - 4.0),
                every / (2.0 * _WIDTH_MM - 3.0 * _GAP_MM * len(walls) / 2.0))
    items: list[Any] = []
    x = top = lowest = 0.0
    for wall in walls:
        wide, high = (size / ratio for size in wall.size)
        column = max(wide, text_wide(wall.name))
        if x and x + column > _WIDTH_MM - 1.0:
            x, top = 0.0, lowest - _GAP_MM
        items += _wall(wall, ratio, x, top - _LINE_MM - high)
        lowest = min(lowest, top - _LINE_MM - high)
        x += column + _GAP_MM
    wide = max(_right(item) for item in items)
    shades = ("Shades: from \u221220 dB, \u221230 dB, \u221240 dB up, and below; "
              "white is not judged.")
    return laid_out(key, title, 0, items, (0.0, lowest, wide, 0.0), width_mm=_WIDTH_MM,
                    note=f"{shades}\n{note}", system=system, projected=False)


def _wall(wall: Wall, ratio: float, x: float, y: float) -> list[Any]:
    origin = wall.outline.min(axis=0)

    def placed(points: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray((points - origin) / ratio + (x, y), dtype=np.float64)

    high = wall.size[1] / ratio
    made: list[Any] = [Text((x, y + high + 1.0), wall.name),
                       Area((placed(wall.outline),), WOOD, "outline")]
    for patch in wall.patches:
        corners = placed(patch.corners)
        made.append(Area((corners,), shade(patch.level_db), "thin"))
        made += _words(patch, corners)
    return made


def _words(patch: Patch, corners: NDArray[np.float64]) -> list[Text]:
    """The fullest words that fit, in the middle."""
    wide, high = np.ptp(corners, axis=0)
    x, y = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    for wish in patch.words:
        lines = [part for line in wish for part in folded(line, float(wide) - 1.0)]
        fits = len(lines) * _LINE_MM <= high - 0.6 and all(
            text_wide(line) <= wide - 0.8 for line in wish for line in line.split("\n"))
        if fits and len(lines) == len(wish):
            first = float(y) + 0.5 * (len(lines) - 1) * _LINE_MM - 0.5 * TEXT_MM
            return [Text((float(x), first - k * _LINE_MM), line, anchor="middle")
                    for k, line in enumerate(lines)]
    return []


def _right(item: Any) -> float:
    if isinstance(item, Text):
        return float(item.box()[2])
    return float(max(ring[:, 0].max() for ring in item.rings))

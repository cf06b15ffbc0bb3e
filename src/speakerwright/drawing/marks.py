"""What a workshop drawing is made of: lines by meaning, areas, hatches, words, arrows, balloons.

All in millimetres on paper, x to the right and y upwards. Line widths and dashes follow the
meanings of ISO 128-2 (from memory), letters those of ISO 3098 (from memory), where the size of a
letter is the height of its capitals.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.drawing.lettering import clean, text_width_mm

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Floats = NDArray[np.float64]

TEXT_MM = 2.5
"""Height of the capitals of all words on a drawing; nothing is lettered smaller."""
CAPITALS = 0.66
"""Height of a capital of Source Sans Pro over its size (read from the font file)."""
DIAMETER = "Ø"
"""The sign before a diameter: the letter, since the typeface lacks the sign U+2300."""
_POINT_MM = 25.4 / 72.0
_BOLD = 1.08  # how much wider the bold face is set, at most


@dataclass(frozen=True)
class LineKind:
    """Width of a line and its dashes (stroke, gap, ...), in mm."""

    width_mm: float
    dashes_mm: tuple[float, ...] = ()


KINDS: dict[str, LineKind] = {
    "outline": LineKind(0.5),
    "thin": LineKind(0.25),
    "hidden": LineKind(0.25, (2.0, 0.8)),
    "centre": LineKind(0.18, (5.0, 0.8, 0.5, 0.8)),
    "dimension": LineKind(0.18),
    "hatch": LineKind(0.13),
}
"""Lines by their meaning."""


@dataclass(frozen=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    kind: str = "outline"


@dataclass(frozen=True, eq=False)
class Path:
    """A line through points of shape (n, 2); closed where it comes back to its start."""

    points: Floats
    kind: str = "outline"
    closed: bool = False


@dataclass(frozen=True, eq=False)
class Area:
    """A region of rings, each of shape (n, 2), filled by the even-odd rule.

    `fill` is a colour or empty; `kind` is the line round it or empty.
    """

    rings: tuple[Floats, ...]
    fill: str = "#ffffff"
    kind: str = ""


@dataclass(frozen=True)
class Circle:
    """A circle with its true radius."""

    centre: Point
    radius: float
    kind: str = "outline"
    fill: str = ""


@dataclass(frozen=True)
class Arc:
    """Part of a circle, anticlockwise from one angle to the other."""

    centre: Point
    radius: float
    start_deg: float
    end_deg: float
    kind: str = "outline"


@dataclass(frozen=True)
class Text:
    """One line of text; `at` is on its baseline, at the start, middle or end of the text.

    `turned` text runs upwards, to be read from the right. ValueError below `TEXT_MM`.
    """

    at: Point
    text: str
    height_mm: float = TEXT_MM
    anchor: str = "start"
    turned: bool = False
    bold: bool = False
    backed: bool = False

    def __post_init__(self) -> None:
        if self.height_mm < TEXT_MM:
            raise ValueError(f"text of {self.height_mm} mm is too small to read on a drawing")

    @property
    def size_mm(self) -> float:
        """Size of the typeface."""
        return self.height_mm / CAPITALS

    @property
    def width(self) -> float:
        """Length of the line of text."""
        return text_wide(self.text, self.height_mm, bold=self.bold)

    def box(self) -> Box:
        """Left, bottom, right and top of the text with its descenders."""
        shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * self.width
        low, high = -0.2 * self.size_mm, self.height_mm
        x, y = self.at
        if self.turned:
            return x - high, y - shift, x - low, y - shift + self.width
        return x - shift, y + low, x - shift + self.width, y + high


@dataclass(frozen=True, eq=False)
class Hatch:
    """Hatching of a region at an angle, `spacing_mm` between its lines."""

    region: BaseGeometry
    angle_deg: float = 45.0
    spacing_mm: float = 1.4

    def lines(self) -> list[tuple[Point, Point]]:
        """The strokes, cut exactly at the region's edge, in a fixed order."""
        return _strokes(self.region, math.radians(self.angle_deg), self.spacing_mm)


@dataclass(frozen=True)
class Dimension:
    """The distance between two points along x, or along y where `upright`.

    The dimension line runs at `line_at` (y, or x where upright); its text stands on it, and can
    be read from the bottom or the right. `text_at` is where
    the text's middle is along it, by default the middle of the line.
    """

    first: Point
    second: Point
    line_at: float
    text: str
    upright: bool = False
    text_at: float | None = None

    def marks(self) -> list[Any]:
        """The lines, arrows and text it is made of."""
        ends = [point[1] if self.upright else point[0] for point in (self.first, self.second)]
        feet = [point[0] if self.upright else point[1] for point in (self.first, self.second)]
        made: list[Any] = [
            Line(place(end, foot + math.copysign(0.8, self.line_at - foot), self.upright),
                 place(end, self.line_at + math.copysign(1.2, self.line_at - foot), self.upright),
                 "dimension")
            for end, foot in zip(ends, feet, strict=True)
        ]
        low, high = sorted(ends)
        made += arrow_line(low, high, self.line_at, upright=self.upright)
        middle = (low + high) / 2.0 if self.text_at is None else self.text_at
        made.append(Text(beside(middle, self.line_at, self.upright), self.text, anchor="middle",
                         turned=self.upright))
        return made


@dataclass(frozen=True)
class CentreMark:
    """Crossing centre lines that reach `reach` to each side of a point."""

    at: Point
    reach: float

    def marks(self) -> list[Any]:
        """Its two lines: chain lines, or plain ones where they would be too short for a chain."""
        kind = "centre" if self.reach > 4.0 else "dimension"
        x, y = self.at
        return [Line((x - self.reach, y), (x + self.reach, y), kind),
                Line((x, y - self.reach), (x, y + self.reach), kind)]


@dataclass(frozen=True)
class Balloon:
    """A part's number in a ring, with a leader to a dot on the part."""

    at: Point
    number: str
    tip: Point
    radius: float = 3.0

    def marks(self) -> list[Any]:
        """Leader, dot, ring and number."""
        x, y = self.at
        away = math.hypot(self.tip[0] - x, self.tip[1] - y)
        made: list[Any] = []
        if away > self.radius:
            share = self.radius / away
            edge = (x + share * (self.tip[0] - x), y + share * (self.tip[1] - y))
            made = [Line(edge, self.tip, "dimension"), dot(self.tip)]
        ring = Circle(self.at, self.radius, "thin", "#ffffff")
        return [*made, ring, Text((x, y - TEXT_MM / 2.0), self.number, anchor="middle")]


@dataclass(frozen=True)
class Leader:
    """A line from a note to what it names; it ends in an arrow on an edge, or a dot in an area."""

    points: tuple[Point, ...]
    ends_in: str = "arrow"

    def marks(self) -> list[Any]:
        """Its lines and its end."""
        made: list[Any] = [Path(np.array(self.points), "dimension")]
        (x0, y0), tip = self.points[-2], self.points[-1]
        if self.ends_in == "dot":
            return [*made, dot(tip)]
        return [*made, arrow_head(tip, (tip[0] - x0, tip[1] - y0))]


def text_wide(text: str, height_mm: float = TEXT_MM, *, bold: bool = False) -> float:
    """How wide a line of text is set, in mm, when its capitals are `height_mm` high."""
    wide = text_width_mm(clean(text), height_mm / CAPITALS / _POINT_MM)
    return wide * (_BOLD if bold else 1.0)


def place(along: float, across: float, upright: bool) -> Point:
    """A point from its place along a dimension line and across it."""
    return (across, along) if upright else (along, across)


def beside(along: float, line_at: float, upright: bool) -> Point:
    """Where a text's baseline stands on a dimension line: above it, or to its left."""
    return place(along, line_at + (-1.0 if upright else 1.0), upright)


def dot(at: Point) -> Circle:
    """The dot at the end of a leader."""
    return Circle(at, 0.45, "", "#1a1a1a")


def arrow_head(tip: Point, direction: Point, length: float = 2.0) -> Area:
    """A filled arrow head of 15 degrees that points along `direction`."""
    long = math.hypot(*direction) or 1.0
    ux, uy = direction[0] / long, direction[1] / long
    half = length * math.tan(math.radians(7.5))
    bx, by = tip[0] - length * ux, tip[1] - length * uy
    ring = np.array([tip, (bx - half * uy, by + half * ux), (bx + half * uy, by - half * ux)])
    return Area((ring,), "#1a1a1a")


def arrow_line(low: float, high: float, line_at: float, *, upright: bool) -> list[Any]:
    """A dimension line with arrows inside its ends, or outside where it is short."""
    inside = high - low >= 6.0
    reach = 0.0 if inside else 4.0
    made: list[Any] = [Line(place(low - reach, line_at, upright),
                            place(high + reach, line_at, upright), "dimension")]
    for end, sign in ((low, -1.0), (high, 1.0)):
        way = sign if inside else -sign
        made.append(arrow_head(place(end, line_at, upright), place(way, 0.0, upright)))
    return made


def region_area(region: BaseGeometry, fill: str = "#ffffff", kind: str = "") -> Area:
    """A polygon of one or more parts as an `Area`."""
    return Area(tuple(rings_of(region)), fill, kind)


def rings_of(region: BaseGeometry) -> list[Floats]:
    """All rings of a polygon of one or more parts, outer ones and holes."""
    found: list[Floats] = []
    for part in getattr(region, "geoms", [region]):
        if part.geom_type == "Polygon" and not part.is_empty:
            for ring in (part.exterior, *part.interiors):
                found.append(np.asarray(ring.coords, dtype=float)[:-1, :2])
        elif part.geom_type in ("MultiPolygon", "GeometryCollection"):
            found += rings_of(part)
    return found


def _strokes(
    region: BaseGeometry, angle: float, spacing_mm: float
) -> list[tuple[Point, Point]]:
    from shapely import MultiLineString, intersection

    if region.is_empty:
        return []
    along = np.array([math.cos(angle), math.sin(angle)])
    across = np.array([-along[1], along[0]])
    left, low, right, high = region.bounds
    corners = np.array([(left, low), (right, low), (right, high), (left, high)])
    offsets, spans = corners @ across, corners @ along
    first = math.ceil(offsets.min() / spacing_mm)
    last = math.floor(offsets.max() / spacing_mm)
    lines = [(spans.min() * along + k * spacing_mm * across,
              spans.max() * along + k * spacing_mm * across) for k in range(first, last + 1)]
    if not lines:
        return []
    cut = intersection(MultiLineString(lines), region)
    found = []
    for piece in getattr(cut, "geoms", [cut]):
        if piece.geom_type == "LineString" and piece.length > 0.02:
            ends = sorted((float(x), float(y)) for x, y in (piece.coords[0], piece.coords[-1]))
            found.append((ends[0], ends[1]))
    return sorted(found)


Mark = (Line | Path | Area | Circle | Arc | Text | Hatch | Dimension | CentreMark | Balloon
        | Leader)


def simple(items: Sequence[Any]) -> list[Any]:
    """Dimensions, leaders and the like taken apart into lines, areas, circles and texts."""
    found: list[Any] = []
    for item in items:
        taken = getattr(item, "marks", None)
        found += simple(taken()) if taken is not None else [item]
    return found


def boxes(items: Sequence[Any]) -> list[tuple[str, Box]]:
    """Every text of some items with its box."""
    return [(item.text, item.box()) for item in simple(items) if isinstance(item, Text)]


def extent(items: Sequence[Any]) -> Box:
    """Left, bottom, right and top of all items; ValueError when there are none."""
    found: list[Floats] = []
    for item in simple(items):
        if isinstance(item, Line):
            found.append(np.array([item.start, item.end]))
        elif isinstance(item, Path):
            found.append(item.points)
        elif isinstance(item, Area):
            found += list(item.rings)
        elif isinstance(item, (Circle, Arc)):
            found.append(np.array(item.centre) + item.radius * np.array([[-1, -1], [1, 1]]))
        elif isinstance(item, Text):
            found.append(np.array(item.box()).reshape(2, 2))
    if not found:
        raise ValueError("nothing is drawn")
    every = np.concatenate(found)
    (left, low), (right, high) = every.min(axis=0), every.max(axis=0)
    return float(left), float(low), float(right), float(high)


def moved(items: Sequence[Any], dx: float, dy: float) -> list[Any]:
    """Items taken apart and shifted on the paper."""
    by = np.array([dx, dy])
    found: list[Any] = []
    for item in simple(items):
        if isinstance(item, Line):
            found.append(Line(_shift(item.start, dx, dy), _shift(item.end, dx, dy), item.kind))
        elif isinstance(item, Path):
            found.append(Path(item.points + by, item.kind, item.closed))
        elif isinstance(item, Area):
            found.append(Area(tuple(ring + by for ring in item.rings), item.fill, item.kind))
        elif isinstance(item, Hatch):
            from shapely.affinity import translate

            found.append(Hatch(translate(item.region, dx, dy), item.angle_deg, item.spacing_mm))
        else:
            found.append(_moved_round(item, dx, dy))
    return found


def _moved_round(item: Any, dx: float, dy: float) -> Any:
    if isinstance(item, Text):
        return replace(item, at=_shift(item.at, dx, dy))
    return replace(item, centre=_shift(item.centre, dx, dy))


def _shift(point: Point, dx: float, dy: float) -> Point:
    return point[0] + dx, point[1] + dy

"""The parts of which sketches of loadings are made: walls, drivers, ports, fill, moving air.

All in mm on paper. What moves has its part's colour; walls are cut and hatched.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from speakerwright.drawing.marks import Area, Hatch, Path, Point, region_area
from speakerwright.drawing.palette import colour

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

WALL_MM = 2.4
ARROW_MM = 9.0
"""How far moving air reaches out of an opening."""
LIP_MM = 1.3
"""How far a driver's frame stands beyond its hole."""
MOST = 3
"""No more ports or radiators than this are drawn; the note says how many there are."""
SHAPE = "The front is on the left. {} The shape is not the cabinet's."
AS_VOLUMES = "Areas of air are in proportion to volumes."
Note = tuple[str, Point, str]


@dataclass(frozen=True, eq=False)
class Seen:
    """What is drawn, what is noted of it (text, where, how the leader ends), and the caption."""

    items: Sequence[Any]
    notes: Sequence[Note]
    caption: str


@dataclass(frozen=True)
class Cone:
    """A cone in section: its middle in the wall's face, its way outward, its diameter.

    `deep` is how far it reaches behind that face.
    """

    at: Point
    facing: Point
    across: float
    deep: float

    def spot(self, out: float, up: float) -> Point:
        """A place `out` of the face and `up` across it."""
        (x, y), (u, v) = self.at, self.facing
        return x + out * u + up * v, y + out * v - up * u

    def ring(self, points: Iterable[Point]) -> Any:
        """Places as an array of shape (n, 2)."""
        return np.array([self.spot(*point) for point in points])

    @property
    def body(self) -> BaseGeometry:
        """What it takes of the air behind its face."""
        from shapely import Polygon

        half = self.across / 2.0
        return Polygon(self.ring([(0.0, half), (-self.deep, 0.5 * half), (-self.deep, -0.5 * half),
                                  (0.0, -half)]))


def cone_of(at: Point, facing: Point, across: float, room: float) -> Cone:
    """A driver's cone, no deeper than `room`."""
    return Cone(at, facing, across, min(0.42 * across, room))


def driver(cone: Cone) -> list[Any]:
    """A driver in section: frame, surround, cone, dust cap and magnet."""
    half, deep = cone.across / 2.0, cone.deep
    plate, gap = -0.58 * deep, 0.52 * half
    made: list[Any] = []
    for side in (1.0, -1.0):
        made.append(Path(cone.ring([(0.0, side * half), (plate, side * gap)]), "thin"))
    magnet = [(plate, gap), (-deep, gap), (-deep, -gap), (plate, -gap)]
    made.append(Area((cone.ring(magnet),), "#b4b7ba", "thin"))
    return [*made, *_moving(cone, "low", plate + 0.06 * deep)]


def radiator(cone: Cone) -> list[Any]:
    """A passive radiator in section: a cone without a motor, with a mass on it."""
    made = _moving(cone, "port", -0.55 * cone.deep)
    heavy, back = 0.16 * cone.across, -0.55 * cone.deep
    block = [(back, heavy), (back - 1.4, heavy), (back - 1.4, -heavy), (back, -heavy)]
    return [*made, Area((cone.ring(block),), "#4d4d4d")]


def _moving(cone: Cone, part: str, apex: float) -> list[Any]:
    """Lip, surround, cone and cap, down to `apex` behind the face."""
    half, tone = cone.across / 2.0, colour(part)
    edge, neck = 0.86 * half, 0.3 * half
    made: list[Any] = []
    for side in (1.0, -1.0):
        lip = [(0.0, side * half), (0.7, side * half), (0.7, side * (half + LIP_MM)),
               (0.0, side * (half + LIP_MM))]
        made.append(Area((cone.ring(lip),), "#4d4d4d"))
        middle, roll = side * (half + edge) / 2.0, (half - edge) / 2.0
        bow = [(0.35 + 1.1 * roll * math.sin(a), middle + side * roll * math.cos(a))
               for a in np.linspace(0.0, math.pi, 9)]
        made.append(Path(cone.ring(bow), "outline"))
    skin = [(0.35, edge), (apex, neck), (apex, -neck), (0.35, -edge), (-0.55, -edge),
            (apex - 0.8, -neck), (apex - 0.8, neck), (-0.55, edge)]
    cap = [(apex + 0.35 * neck * math.cos(a), neck * math.sin(a))
           for a in np.linspace(-0.5 * math.pi, 0.5 * math.pi, 9)]
    return [*made, Area((cone.ring(skin),), tone), Area((cone.ring(cap),), tone)]


def walls(wood: BaseGeometry) -> list[Any]:
    """Wood that is cut: white, hatched and outlined."""
    return [region_area(wood), Hatch(wood, 45.0), region_area(wood, "", "outline")]


def pipe(axis: Sequence[Point], opening: float, wall: float = 0.9) -> tuple[Any, Any]:
    """Bore and wall of a tube along an axis with square turns, as regions."""
    from shapely import LineString

    run = LineString(axis)
    bore, outside = (run.buffer(half, cap_style="flat", join_style="mitre")
                     for half in (opening / 2.0, opening / 2.0 + wall))
    return bore, outside.difference(bore)


def tube(region: BaseGeometry) -> list[Any]:
    """A port's wall in its part's colour."""
    return [region_area(region, colour("port")), region_area(region, "", "thin")]


def blow(at: Point, way: Point, part: str = "low", long: float = ARROW_MM - 2.0) -> Area:
    """Air that moves: an arrow from `at` along a unit `way`."""
    (x, y), (u, v) = at, way
    shape = [(0.0, 0.35), (long - 2.6, 0.35), (long - 2.6, 1.25), (long, 0.0),
             (long - 2.6, -1.25), (long - 2.6, -0.35), (0.0, -0.35)]
    return Area((np.array([(x + s * u - t * v, y + s * v + t * u) for s, t in shape]),),
                colour(part))


def blows(at: Point, way: Point, across: float, part: str, long: float = ARROW_MM - 2.0
          ) -> list[Any]:
    """Arrows over an opening `across` wide: one in a narrow one, up to three."""
    (x, y), (u, v) = at, way
    count = 1 if across < 6.0 else 2 if across < 16.0 else 3
    places = [0.0] if count == 1 else np.linspace(-0.3 * across, 0.3 * across, count)
    return [blow((x - s * v, y + s * u), way, part, long) for s in places]


def fill(region: BaseGeometry) -> list[Any]:
    """Fibrous fill in a region: waves, as wadding is drawn."""
    from shapely import LineString, intersection

    if region.is_empty:
        return []
    left, low, right, high = region.bounds
    x = np.arange(math.floor(left) - 1.0, right + 1.0, 0.3)
    made: list[Any] = []
    for k in range(math.floor(low / 2.6), math.ceil(high / 2.6) + 1):
        wave = 2.6 * k + 0.55 * np.sin(2.0 * math.pi * (x / 3.0 + 0.5 * k))
        cut = intersection(LineString(np.column_stack([x, wave])), region.buffer(-0.7))
        made += [Path(np.asarray(piece.coords), "hatch") for piece in getattr(cut, "geoms", [cut])
                 if piece.geom_type == "LineString" and piece.length > 1.0]
    return made


def share_of(region: BaseGeometry, share: float) -> BaseGeometry:
    """The right-hand part of a region that holds a share of its area."""
    from shapely import box

    left, low, right, high = region.bounds
    start, end = left, right
    for _ in range(30):
        middle = (start + end) / 2.0
        held = region.intersection(box(middle, low, right, high)).area
        start, end = (middle, end) if held > share * region.area else (start, middle)
    return region.intersection(box(start, low, right, high))


def free_spot(region: BaseGeometry) -> Point:
    """The middle of the largest circle that fits into a region."""
    from shapely import maximum_inscribed_circle

    x, y = maximum_inscribed_circle(region, 0.1).coords[0]
    return float(x), float(y)


def held(value: float, low: float, high: float) -> float:
    """A value brought between two limits, the upper one counting first."""
    return min(max(value, low), high)


def bore_mm(area: float, reduction: float) -> float:
    """Diameter on paper of a round area in m², `reduction` in mm on paper per m."""
    return 2.0 * math.sqrt(area / math.pi) * reduction

"""Weight and safety of a cabinet: does it stand, who can lift it, what would it hang on? SI.

Arithmetic for the plan, never an approval. Forces are told as the mass that weighs as much.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.safety import balance, hanging, lifting
from speakerwright.acoustics.safety.lifting import Coupling, Lift
from speakerwright.cabinet.result import CabinetResult
from speakerwright.cabinet.shape import Pair, area_and_middle, level_span
from speakerwright.design.document import Design
from speakerwright.design.sections.fixtures import Handle
from speakerwright.solids.meshes import centroid

FRICTION = 0.3  # of feet or wood on a floor, the low end: rule of thumb
TABLE = 0.75  # m, how high it is lifted from the ground, a table's height: rule of thumb
NEAR, NEAR_LOW = 0.20, 0.25  # m, ankles to the load, and with hands lower than 0.25 m; from memory
LOW_HANDS = 0.25  # m; from memory
HANDY = (0.40, 0.30)  # m, the widest and highest box that is easily held; from memory
INDEX_ALL, INDEX_SOME = 3.0, 1.0  # lifting index: too much for nearly all, and for some
HANGS = ("wall", "recess")
SLING_DEG = 45.0  # of a sling's legs from upright, an example
WAYS: dict[str, Pair] = {
    "forward": (0.0, -1.0), "backward": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}


@dataclass(frozen=True)
class Standing:
    """A cabinet on the ground: the corners it stands on (x, y), mass in kg, its centre; m.

    `height` of the centre and `top` count from the ground, which lies `rise` under the bottom.
    """

    ground: tuple[Pair, ...]
    mass: float
    x: float
    y: float
    height: float
    top: float
    rise: float

    def lever(self, way: str) -> float:
        """From the centre to the edge of the ground in a direction of `WAYS`, m; below zero
        outside.

        Elementary: over an edge with the normal n it tips where lever(n) / cos(way, n) is least.
        """
        corners, here = np.asarray(self.ground), np.array([self.x, self.y])
        sides = np.roll(corners, -1, axis=0) - corners
        out = np.column_stack((sides[:, 1], -sides[:, 0]))
        within = np.sum(out * (corners - here), axis=1)
        toward = out @ np.array(WAYS[way])
        ahead = toward > 1e-12
        return float(np.min(within[ahead] / toward[ahead]))

    def angle_deg(self, way: str) -> float:
        """Slope (degrees) at which it tips downhill in a direction."""
        return balance.tipping_angle_deg(self.lever(way), self.height)

    def push(self, way: str) -> float:
        """Level push (N) at the top that tips it; 0 where it falls by itself."""
        return balance.tipping_force(self.mass, max(self.lever(way), 0.0), self.top)


@dataclass(frozen=True)
class Wind:
    """What a steady wind does first: its speed in m/s without margin, and what happens."""

    speed: float
    what: str


@dataclass(frozen=True)
class Lifting:
    """Lifting from the ground to a table: hands, grip, limits in kg, lifting indices.

    `share` is what the one of two who bears more bears, in kg. A limit of 0 and an infinite index
    say that the equation knows no such lift.
    """

    handles: bool
    grip: Coupling
    hands: float
    alone_limit: float
    alone_index: float
    share: float
    two_limit: float
    two_index: float
    team_limit: float


@dataclass(frozen=True)
class Hanging:
    """Two points at the sides: loads on them with upright and with leaning legs, and breaking; N.

    `alone` is the breaking load of what holds the whole cabinet by itself.
    """

    loads: tuple[float, float]
    leaning: float
    breaking: float
    leaning_breaking: float
    alone: float


def standing(design: Design, result: CabinetResult) -> Standing | None:
    """How it stands on its feet, or on its bottom where it has none.

    Parameters
    ----------
    design : Design
    result : CabinetResult

    Returns
    -------
    Standing or None
        Feet count at their middles, on the safe side. None where its mass is not known, where its
        bottom is an edge, or where something reaches below what it would stand on.
    """
    cabinet, sizes = design.decided.cabinet, result.settled.sizes
    if cabinet is None or result.mass_kg is None or result.centre_mm is None:
        return None
    feet = [centroid(body.solid) for body in result.bodies if body.kind == "foot"]
    rise = cabinet.feet.height if cabinet.feet is not None and feet else 0.0
    under = min(z for _, z in sizes.shape.corners)
    if min(panel.bounding_box[2] for panel in result.panels) < 1e3 * (under - rise) - 0.5:
        return None
    if feet:
        ground = _around([(x / 1e3, y / 1e3) for x, y, _ in feet])
    else:
        xs = [x for x, z in sizes.shape.corners if z < under + 1e-6]
        ground = tuple((x, y) for x, y in (
            (min(xs), 0.0), (max(xs), 0.0), (max(xs), sizes.depth), (min(xs), sizes.depth)))
        if max(xs) - min(xs) < 1e-3:
            return None
    x, y, z = (value / 1e3 for value in result.centre_mm)
    if z - under + rise <= 0.0:  # a driver hangs below a box far too small for it
        return None
    high = max(z for _, z in sizes.shape.corners) - under
    return Standing(ground, result.mass_kg, x, y, z - under + rise, high + rise, rise)


def _around(spots: list[Pair]) -> tuple[Pair, ...]:
    """Places in order, anticlockwise seen from above with x to the right and y up the page."""
    x0 = sum(x for x, _ in spots) / len(spots)
    y0 = sum(y for _, y in spots) / len(spots)
    return tuple(sorted(spots, key=lambda spot: math.atan2(spot[1] - y0, spot[0] - x0)))


def wind(design: Design, result: CabinetResult, stands: Standing) -> Wind:
    """The least steady wind, square on a face, that tips it or slides it.

    Parameters
    ----------
    design : Design
        Its air is the wind's.
    result : CabinetResult
    stands : Standing

    Returns
    -------
    Wind
        With a drag coefficient and a friction that are rules of thumb.
    """
    shape = result.settled.sizes.shape
    heights = [z for _, z in shape.corners]
    under, top = min(heights), max(heights)
    climate = design.decided.brief.air
    air = Air(climate.temperature, climate.pressure, climate.humidity)
    side = ((shape.front(under), under), (shape.back(under), under), (shape.back(top), top),
            (shape.front(top), top))
    found = []
    for way in WAYS:
        area, middle = area_and_middle(shape.corners if way.endswith("ward") else side)
        lever = max(stands.lever(way), 0.0)
        tips = balance.tipping_wind(stands.mass, lever, middle - under + stands.rise, area, air=air)
        slides = math.sqrt(balance.sliding_force(stands.mass, FRICTION)
                           / balance.wind_force(1.0, area, air=air))
        found += [Wind(tips, f"tips it {toward(way)}"), Wind(slides, f"slides it {toward(way)}")]
    return min(found, key=lambda one: one.speed)


def toward(way: str) -> str:
    """A direction of `WAYS` in words."""
    return way if way.endswith("ward") else f"to the {way}"


# --- lifting --------------------------------------------------------------------------------


def lifts(design: Design, result: CabinetResult) -> Lifting | None:
    """Lifting it from the ground to a table, alone and by two, by the revised NIOSH equation.

    Alone one stands before the front, the back, or (without handles) a side, whichever brings the
    centre of gravity nearest; two stand at its ends: at the handles, or along its longer side.

    Parameters
    ----------
    design : Design
    result : CabinetResult

    Returns
    -------
    Lifting or None
        None where the mass is not known.
    """
    cabinet, sizes = design.decided.cabinet, result.settled.sizes
    if cabinet is None or result.mass_kg is None or result.centre_mm is None:
        return None
    pair = _side_handles(cabinet.handles)
    feet = any(body.kind == "foot" for body in result.bodies)
    rise = cabinet.feet.height if cabinet.feet is not None and feet else 0.0
    mass, (x, y, _) = result.mass_kg, (value / 1e3 for value in result.centre_mm)
    corners = sizes.shape.corners
    under = min(z for _, z in corners)
    low = min(handle.at[1] for handle in pair) if pair else under
    hands = low - under + rise
    handy = (sizes.width <= HANDY[0] and sizes.height <= HANDY[1])
    grip = grip_of(bool(pair), handy)
    away = min(y, sizes.depth - y)
    if not pair:
        away = min(away, 0.5 * sizes.width - abs(x))
    # what hangs out of a wrong design can bring its middle before its own front
    limit, each = (_limit(distance, hands, grip) for distance in (max(away, 0.0), 0.0))
    if pair or sizes.width >= sizes.depth:
        ends = [at for at, _ in (level_span(corners, low) if pair else corners)]
        share = max(_shares(mass, x, min(ends), max(ends)))
    else:
        share = max(_shares(mass, y, 0.0, sizes.depth))
    return Lifting(
        bool(pair), grip, hands, limit, mass / limit if limit else math.inf, share, each,
        share / each if each else math.inf,
        lifting.team_capability(each, 2) if each else 0.0)


def grip_of(handles: bool, handy: bool) -> Coupling:
    """The grip in the words of the equation's coupling, from its manual as remembered.

    Parameters
    ----------
    handles : bool
        Whether each hand has a handle.
    handy : bool
        Whether it is no wider and higher than a box that is easily held.
    """
    if handles:
        return "good" if handy else "fair"
    return "fair" if handy else "poor"


def _side_handles(handles: tuple[Handle, ...]) -> tuple[Handle, ...]:
    """The handles at the sides, where there is one on both."""
    pair = tuple(handle for handle in handles if handle.on in ("left", "right"))
    return pair if len({handle.on for handle in pair}) == 2 else ()


def _limit(away: float, hands: float, grip: Coupling) -> float:
    """The lower of the recommended weights at the start and at the end, kg.

    Source: reach of the hands by NIOSH 94-110 as remembered: the load's middle behind its near
    face, and 0.20 m from the ankles to that face (0.25 m with low hands).
    """
    return min(
        lifting.recommended_weight(Lift(
            away + (NEAR_LOW if at < LOW_HANDS else NEAR), at, TABLE, grip=grip))
        for at in (hands, hands + TABLE))


def _shares(mass: float, centre: float, first: float, second: float) -> tuple[float, float]:
    if not first < centre < second:
        return mass, 0.0
    return lifting.lift_share(mass, centre, first, second)


# --- hanging --------------------------------------------------------------------------------


def hung(design: Design, result: CabinetResult) -> Hanging | None:
    """What two points at its sides would bear; None where the place asks for no hanging.

    Parameters
    ----------
    design : Design
    result : CabinetResult
    """
    if design.decided.brief.place.kind not in HANGS:
        return None
    if result.mass_kg is None or result.centre_mm is None:
        return None
    mass, xs = result.mass_kg, [x for x, _ in result.settled.sizes.shape.corners]
    loads = hanging.two_point_loads(mass, result.centre_mm[0] / 1e3, min(xs), max(xs))
    leaning = max(loads) / math.cos(math.radians(SLING_DEG))
    return Hanging(loads, leaning, hanging.breaking_load(max(loads)),
                   hanging.breaking_load(leaning),
                   hanging.breaking_load(hanging.sling_tension(mass, 1)))


def burns(design: Design) -> tuple[tuple[str, str], ...]:
    """What may burn, and where it is decided: lining, grille and screen.

    Parameters
    ----------
    design : Design
    """
    cabinet, place = design.decided.cabinet, design.decided.brief.place
    found = []
    if cabinet is not None:
        found += [(f"cabinet.chambers.{name}.lining", f"the lining of {name}")
                  for name, chamber in cabinet.chambers.items() if chamber.lining is not None]
        if cabinet.grille is not None:
            found.append(("cabinet.grille", "the grille's cloth"))
    if place.before != "nothing":
        found.append(("brief.place.before", f"the {place.before}"))
    return tuple(found)

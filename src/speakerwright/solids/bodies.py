"""Bodies that are no panels: drivers, horns, ports, fasteners, as solids in place.

A body on the baffle is placed by its centre there, `at`: (x, z) on the front face y = 0, or a
world point (x, y, z); and by `inside`, the direction into the cabinet. Depths are counted from
that face along that direction. What is open to the front (a cone, a horn's mouth, a port's bore)
is solid here: its air belongs to the outside.

Round bodies have 96 facets with a corner straight across (see `placed`). In a hole of just their
own diameter they touch it exactly as long as the panel's axis u is level or upright; in a panel
turned otherwise facets cross by some hundredths of a mm: give the hole its clearance, and
`chambers` a seal above it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from speakerwright.solids.densities import DENSITIES
from speakerwright.solids.meshes import Manifold, Point, cut, joined, prism, stack
from speakerwright.solids.panels import Panel
from speakerwright.solids.shapes import (
    FloatArray,
    Polygon,
    require_above_zero,
    ring,
    segments_for,
)

Profile: TypeAlias = tuple[tuple[float, float], ...]  # (depth, radius), depth not falling
At: TypeAlias = Sequence[float]
Size: TypeAlias = "float | tuple[float, float]"  # a diameter, or width and height

BACKWARDS: Point = (0.0, 1.0, 0.0)
MAGNET_SHARE = 0.75  # of a driver's mass; rule of thumb
STEEL, TUBE_MATERIAL = "steel", "PVC"


@dataclass(frozen=True, eq=False)
class Body:
    """A solid that is no panel.

    Attributes
    ----------
    name : str
        Its name, unique in the cabinet.
    solid : Manifold
        What it takes from the air, world mm.
    kind : str
        driver, horn, port, air plug, fastener, magnet, or another word.
    mass_kg : float or None
        Its mass, when known.
    part_of : str
        Bodies of one name here are one thing and are not tested against each other; "" for none.
    envelope : Manifold or None
        The room it needs, where that is more than `solid`; collisions and clearances use it.
    centre : tuple of float or None
        Its centre of gravity, world mm, where that is not the solid's centroid.
    enters : frozenset of str
        Names of the parts that it is meant to go into, as a screw does.
    shown : Manifold or None
        How it looks, where that is not `solid`: a port's tube without the air in it.
    """

    name: str
    solid: Manifold
    kind: str
    mass_kg: float | None = None
    part_of: str = ""
    envelope: Manifold | None = None
    centre: Point | None = None
    enters: frozenset[str] = field(default_factory=frozenset)
    shown: Manifold | None = None

    @property
    def drawn(self) -> Manifold:
        """What a drawing shows: `shown`, or its solid."""
        return self.solid if self.shown is None else self.shown

    @property
    def room(self) -> Manifold:
        """The room it needs: its envelope, or its solid."""
        return self.solid if self.envelope is None else self.envelope


def placed(at: At, inside: Point = BACKWARDS) -> FloatArray:
    """Body axes to world, shape (3, 4): x across, y, z along `inside`, and the place.

    x is level (square to `inside` and to up), for upright bodies world x; for a body on the front
    it is world x and y points down.
    """
    along = np.array(inside, dtype=float)
    require_above_zero(length_of_the_direction=float(np.linalg.norm(along)))
    along /= np.linalg.norm(along)
    across = np.cross(along, (0.0, 0.0, 1.0))
    if np.linalg.norm(across) < 1e-9:
        across = np.array((1.0, 0.0, 0.0)) - along[0] * along
    across /= np.linalg.norm(across)
    place = (at[0], 0.0, at[1]) if len(at) == 2 else at
    return np.column_stack((across, np.cross(along, across), along, place))


def _on_axis(place: FloatArray, depth: float) -> Point:
    x, y, z = place[:, 3] + depth * place[:, 2]
    return float(x), float(y), float(z)


def _turned(profile: Profile) -> Manifold:
    """The solid that a profile sweeps about its axis, in body axes."""
    kept = [p for p, before in zip(profile, (None, *profile), strict=False) if p != before]
    corners = segments_for(2.0 * max(r for _, r in kept))
    return stack([_level(ring(2.0 * r, corners), depth) for depth, r in kept])


def _level(flat: FloatArray, depth: float) -> FloatArray:
    return np.column_stack((flat, np.full(len(flat), depth)))


def profile_volume(profile: Profile, beyond: float = -math.inf) -> float:
    """Volume that a profile sweeps deeper than `beyond`, mm³: the sum of its frusta."""
    total = 0.0
    for (s0, r0), (s1, r1) in pairwise(profile):
        if s1 <= max(beyond, s0):
            continue
        cut = max(beyond, s0)
        a = r0 + (r1 - r0) * (cut - s0) / (s1 - s0)
        total += math.pi * (s1 - cut) * (a * a + a * r1 + r1 * r1) / 3.0
    return total


def _basket(girth: float, mouth: float, end: float, depth: float) -> Profile:
    """A basket's profile: nominal radii times `girth`, but nowhere beyond what passes the hole."""
    if girth <= 1.0 or end >= mouth:
        g = min(girth, 1.0)
        return ((0.0, g * mouth), (depth, g * end))
    if girth * end >= mouth:
        return ((0.0, mouth), (depth, mouth))
    knee = depth * (mouth - mouth / girth) / (mouth - end)
    return ((0.0, mouth), (knee, mouth), (depth, girth * end))


def _girth(volume: float, mouth: float, end: float, depth: float, magnet: float,
           beyond: float) -> float:
    """The girth at which basket and magnet together displace `volume`, by bisection."""
    def displaced(girth: float) -> float:
        return magnet + profile_volume(_basket(girth, mouth, end, depth), beyond)

    low, high = 0.02, max(1.0, mouth / end)
    if not displaced(low) <= volume <= displaced(high):
        raise ValueError(
            f"a displaced volume of {volume:.0f} mm³ does not fit this driver: its magnet and "
            f"cut-out leave {displaced(low):.0f} to {displaced(high):.0f} mm³"
        )
    for _ in range(100):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if displaced(middle) < volume else (low, middle)
    return 0.5 * (low + high)


def cone_driver(name: str, frame: float, cutout: float, flange: float, depth: float,
                magnet_diameter: float, magnet_height: float, at: At, recess: float = 0.0,
                volume: float | None = None, *, behind: float | None = None,
                inside: Point = BACKWARDS, mass_kg: float | None = None,
                part_of: str = "") -> Body:
    """A cone driver: flange disc, basket as a frustum, magnet as a cylinder.

    Parameters
    ----------
    name : str
        Its name.
    frame, cutout : float
        Outer diameter of the flange, and of the hole that the basket passes, mm.
    flange : float
        Thickness of the flange, mm; it lies before its seat.
    depth : float
        From the flange's seat to the back of the magnet, mm.
    magnet_diameter, magnet_height : float
        mm; the magnet ends the depth.
    at : sequence of float
        Centre on the face: (x, z) on the front, or a world point.
    recess : float
        Depth of the seat below the face, mm; 0 when the flange lies on the face.
    volume : float or None
        Stated displaced volume, mm³. The basket's girth is scaled to meet it; magnet and depth
        stay. The envelope keeps at least the unscaled girth.
    behind : float or None
        Depth below the face from which `volume` is counted, mm: the baffle's thickness where the
        figure leaves out what stays in the hole; by default from the seat.
    inside : tuple of float
        Direction into the cabinet.
    mass_kg, part_of
        As in `Body`.

    Raises
    ------
    ValueError
        For sizes that do not fit, or a volume that magnet and cut-out do not allow.

    Notes
    -----
    The centre of gravity has 75 % of the mass in the magnet (rule of thumb).
    """
    require_above_zero(frame=frame, cutout=cutout, flange=flange, depth=depth,
                       magnet_diameter=magnet_diameter, magnet_height=magnet_height)
    if not (cutout < frame and magnet_height < depth and recess >= 0.0):
        raise ValueError(f"{name}: the cut-out must be below the frame, the magnet below the depth")
    mouth, end, length = 0.5 * cutout, 0.5 * magnet_diameter, depth - magnet_height

    def whole(girth: float) -> Profile:
        basket = _basket(girth, mouth, end, length)
        return ((recess - flange, 0.5 * frame), (recess, 0.5 * frame),
                *((recess + s, r) for s, r in basket),
                (recess + length, end), (recess + depth, end))

    girth = 1.0
    if volume is not None:
        start = 0.0 if behind is None else behind - recess
        magnet = profile_volume(((length, end), (depth, end)), start)
        girth = _girth(volume, mouth, end, length, magnet, start)
    place = placed(at, inside)
    centre = recess + MAGNET_SHARE * (depth - 0.5 * magnet_height) + (1 - MAGNET_SHARE) * length / 2
    return Body(
        name, _turned(whole(girth)).transform(place), "driver", mass_kg, part_of,
        _turned(whole(1.0)).transform(place) if girth < 1.0 else None, _on_axis(place, centre),
    )


def compression_driver(name: str, diameter: float, length: float, at: At, *,
                       inside: Point = BACKWARDS, mass_kg: float | None = None,
                       part_of: str = "") -> Body:
    """A compression driver as a cylinder from its exit flange at `at` along `inside`, mm."""
    return cylinder_body(name, diameter, length, at, inside, kind="driver", mass_kg=mass_kg,
                         part_of=part_of)


def _pair(size: Size) -> tuple[float, float]:
    return size if isinstance(size, tuple) else (size, size)


def _outline_ring(size: Size, extra: float = 0.0) -> FloatArray:
    """Corners of a circle (one number) or of a rectangle (two), mm."""
    if not isinstance(size, tuple):
        return ring(size + 2.0 * extra)
    half = np.array((0.5 * size[0] + extra, 0.5 * size[1] + extra))
    return np.asarray(half * ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)))


def horn(name: str, throat: float, mouth: Size, length: float, flange: Size,
         flange_thickness: float, at: At, recess: float = 0.0, *, wall: float = 4.0,
         driver: tuple[float, float] | None = None, inside: Point = BACKWARDS,
         mass_kg: float | None = None, part_of: str = "") -> Body:
    """A horn by its outer shell: flat and conical faces from mouth to throat, its driver behind.

    Between a rectangle and a circle these are a triangle from every side and a part of a cone from
    every corner, as a transition piece of sheet metal is folded. A real flare is slimmer between
    its ends, so the shell takes a little more room and more air than the horn does.

    Parameters
    ----------
    name : str
        Its name.
    throat : float
        Throat diameter, mm.
    mouth, flange : float or tuple of float
        Diameter of a round one, or (width, height), mm; the flange must be larger than the mouth.
    length : float
        From the front of the flange to the throat's end, mm.
    flange_thickness : float
        mm; the flange lies before its seat.
    at, inside
        Centre on the face and direction into the cabinet; width is level.
    recess : float
        Depth of the seat below the face, mm.
    wall : float
        Wall of the shell, mm.
    driver : tuple of float or None
        Diameter and length of the driver at the throat, mm.
    mass_kg, part_of
        As in `Body`.

    Raises
    ------
    ValueError
        For sizes that do not fit.
    """
    require_above_zero(throat=throat, length=length, flange_thickness=flange_thickness, wall=wall,
                       width=_pair(mouth)[0], height=_pair(mouth)[1])
    if not flange_thickness < length:
        raise ValueError(f"{name}: the flange is thicker than the horn is long")
    front, back = recess - flange_thickness, recess - flange_thickness + length
    if min(f - m for f, m in zip(_pair(flange), _pair(mouth), strict=True)) <= 2.0 * wall:
        raise ValueError(f"{name}: the flange must be wider than the mouth with its walls")
    hull = Manifold.hull_points(np.concatenate([
        _level(_outline_ring(mouth, wall), front), _level(_outline_ring(throat, wall), back)]))
    parts = [prism(Polygon(_outline_ring(flange)), front, recess),
             hull.trim_by_plane((0.0, 0.0, 1.0), 0.5 * (front + recess))]
    if driver is not None:
        parts.append(prism(Polygon(_outline_ring(driver[0])), back, back + driver[1]))
    return Body(name, joined(parts).transform(placed(at, inside)), "horn", mass_kg, part_of)


def tube(bore: float, wall: float, length: float, at: At, inside_start: float = 0.0, *,
         name: str = "port", inside: Point = BACKWARDS, mass_kg: float | None = None,
         part_of: str = "") -> Body:
    """A port's tube with the air in it.

    Parameters
    ----------
    bore, wall : float
        Inner diameter and wall, mm; the wall may be 0, for a bare hole.
    length : float
        Length of the port's air, from the face at `at` to the inner end, mm.
    at, inside
        Centre of the mouth and direction into the cabinet.
    inside_start : float
        Where the tube's wall begins below the face, mm: 0 for a tube set into a hole of its own
        outer diameter, the baffle's thickness for one glued behind a hole of its bore.
    name : str
        Its name.
    mass_kg : float or None
        Its mass; by default that of its wall in PVC.
    part_of : str
        As in `Body`.
    """
    require_above_zero(bore=bore, length=length)
    if not wall >= 0.0:
        raise ValueError(f"{name}: the wall must be 0 or more, not {wall:g}")
    if not 0.0 <= inside_start < length:
        raise ValueError(f"{name}: the tube must begin before its inner end")
    inner, outer = 0.5 * bore, 0.5 * bore + wall
    profile: Profile = ((0.0, inner), (inside_start, inner), (inside_start, outer), (length, outer))
    if inside_start == 0.0:
        profile = profile[2:]
    if mass_kg is None:
        ring_area = math.pi * (outer**2 - inner**2)
        mass_kg = ring_area * (length - inside_start) * 1e-9 * DENSITIES[TUBE_MATERIAL]
    place, past = placed(at, inside), 1.0
    if wall == 0.0:
        return Body(name, _turned(profile).transform(place), "port", mass_kg, part_of)
    bored = cut(_turned(profile), [_turned(((-past, inner), (length + past, inner)))])
    if inside_start > 0.0:  # the hole's own length is the panel's to show
        bored = bored.trim_by_plane((0.0, 0.0, 1.0), inside_start)
    return Body(name, _turned(profile).transform(place), "port", mass_kg, part_of,
                shown=bored.transform(place))


def air_plug(panel: Panel, label: str, *, part_of: str = "") -> Body:
    """What closes an opening of a panel for the sake of the air: the mouth of a slot port.

    Raises
    ------
    ValueError
        When the panel has no opening of this label.
    """
    for feature in panel.features:
        if feature.kind == "through" and feature.label == label:
            solid = prism(feature.shape, -panel.thickness, 0.0)
            return Body(f"{panel.name}, {label}", solid.transform(panel.placement.matrix[:3]),
                        "air plug", 0.0, part_of)
    raise ValueError(f"{panel.name} has no opening called {label}")


def box_body(name: str, low: Point, high: Point, *, kind: str = "box",
             mass_kg: float | None = None, part_of: str = "") -> Body:
    """A box between two opposite corners, world mm."""
    require_above_zero(width=high[0] - low[0], depth=high[1] - low[1], height=high[2] - low[2])
    size = (high[0] - low[0], high[1] - low[1], high[2] - low[2])
    return Body(name, Manifold.cube(size).translate(low), kind, mass_kg, part_of)


def cylinder_body(name: str, diameter: float, length: float, at: At,
                  direction: Point = BACKWARDS, *, kind: str = "cylinder",
                  mass_kg: float | None = None, part_of: str = "") -> Body:
    """A cylinder from the centre of one end along a direction, mm."""
    require_above_zero(diameter=diameter, length=length)
    solid = _turned(((0.0, 0.5 * diameter), (length, 0.5 * diameter)))
    return Body(name, solid.transform(placed(at, direction)), kind, mass_kg, part_of)


def _fastener(name: str, profile: Profile, at: At, direction: Point, part_of: str,
              enters: Iterable[str]) -> Body:
    solid = _turned(profile).transform(placed(at, direction))
    mass_kg = profile_volume(profile) * 1e-9 * DENSITIES[STEEL]
    return Body(name, solid, "fastener", mass_kg, part_of, enters=frozenset(enters))


def screw(diameter: float, length: float, head: tuple[float, float], at: At, direction: Point, *,
          countersunk: bool = False, name: str = "screw", enters: Iterable[str] = (),
          part_of: str = "") -> Body:
    """A screw of steel, its thread as a plain cylinder.

    Parameters
    ----------
    diameter, length : float
        Of the shank, mm. The length is counted from the face, a countersunk head included.
    head : tuple of float
        Diameter and height of the head, mm.
    at : sequence of float
        Where its axis meets the face under the head (over the head when countersunk).
    direction : tuple of float
        Into the wood.
    countersunk : bool
        Whether the head is a cone below the face.
    name, part_of
        As in `Body`.
    enters : iterable of str
        Names of the parts it goes into on purpose.
    """
    require_above_zero(diameter=diameter, length=length, head=head[0] - diameter, height=head[1])
    wide, r = 0.5 * head[0], 0.5 * diameter
    profile: Profile = ((-head[1], wide), (0.0, wide), (0.0, r), (length, r))
    if countersunk:
        if not head[1] < length:
            raise ValueError(f"{name}: the head is higher than the screw is long")
        profile = ((0.0, wide), (head[1], r), (length, r))
    return _fastener(name, profile, at, direction, part_of, enters)


def insert(name: str, hole: tuple[float, float], collar: tuple[float, float], at: At,
           direction: Point = BACKWARDS, *, part_of: str = "") -> Body:
    """A threaded insert that fills its hole, with what stands out of it on the far side.

    Parameters
    ----------
    name : str
        Its name.
    hole : tuple of float
        Diameter and depth of the hole, mm.
    collar : tuple of float
        Diameter and height of what stands out beyond the hole, the bolt's end included, mm.
    at : sequence of float
        Centre of the hole on the near face.
    direction : tuple of float
        Into the wood.
    part_of : str
        As in `Body`.
    """
    r, wide = 0.5 * hole[0], 0.5 * collar[0]
    require_above_zero(diameter=r, depth=hole[1], collar=wide, height=collar[1])
    profile: Profile = ((0.0, r), (hole[1], r), (hole[1], wide), (hole[1] + collar[1], wide))
    return _fastener(name, profile, at, direction, part_of, ())


def t_nut(barrel_diameter: float, barrel_length: float, flange_diameter: float,
          flange_thickness: float, at: At, direction: Point, *, name: str = "T-nut",
          enters: Iterable[str] = (), part_of: str = "") -> Body:
    """A T-nut of steel, its bore filled by its bolt.

    Parameters
    ----------
    barrel_diameter, barrel_length, flange_diameter, flange_thickness : float
        mm; the flange lies on the face, the barrel in the wood.
    at : sequence of float
        Where its axis meets the face under the flange.
    direction : tuple of float
        Into the wood, along the barrel.
    name, part_of
        As in `Body`.
    enters : iterable of str
        Names of the parts that its prongs or barrel go into on purpose.
    """
    require_above_zero(barrel_diameter=barrel_diameter, barrel_length=barrel_length,
                       flange_thickness=flange_thickness,
                       flange_beyond_the_barrel=flange_diameter - barrel_diameter)
    wide, r = 0.5 * flange_diameter, 0.5 * barrel_diameter
    profile = ((-flange_thickness, wide), (0.0, wide), (0.0, r), (barrel_length, r))
    return _fastener(name, profile, at, direction, part_of, enters)

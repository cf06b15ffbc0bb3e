"""The fields that the walls of closed chambers are split into by what stands against them.

A wall's free face is what neither its neighbours nor dividers cover. Braces and slot boards that
are glued to it split it along their lines; rods hold it at points and count as nothing, and so does
what is not glued. A brace that crosses only a part of a face splits that part: where the part ends
no line holds it, which is said, and the field before that cut is kept beside it. A field that is no
rectangle is taken as one of the same area and aspect. Millimetres, but for `Field`, which is SI.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from speakerwright.acoustics.plates.fields import THICKEST, Field, PointMass
from speakerwright.acoustics.plates.sheets import Sheet, sheet_of
from speakerwright.cabinet.shape import Pair
from speakerwright.cabinet.sizes import Room, Sizes
from speakerwright.solids.joints import Joint
from speakerwright.solids.meshes import Point
from speakerwright.solids.panels import Bounds, Panel
from speakerwright.solids.shapes import FloatArray, Polygon

FRAME = ("side", "shoulder", "top", "bottom")
WALLS = (*FRAME, "baffle", "back")
NEAR_END = 40.0
"""A brace that ends nearer than this to a face's edge counts as reaching it, mm: rule of thumb."""
MOSTLY_OPEN = 0.5
"""A field with more than this share of openings has no wood left to ring: rule of thumb."""
TOLD_OPEN = 0.02
DUST = 1.0  # mm²
FIRST, LAST = ("baffle", "floor", "left side"), ("back", "ceiling", "right side")
TOLD = {
    "cut": "A brace crosses only a part of this face. Where the part ends nothing holds it, so its "
           "frequencies are upper bounds; its level also counts the face as if not split there.",
    "shape": "It is no rectangle and is taken as one of the same area and aspect.",
    "hole": "A driver's cut-out is not taken out of it: the driver is a mass on a whole sheet, and "
            "its frame, which stiffens it much, is left out. So it is shown and not judged.",
    "small": "It is too small for its thickness to bend as a thin plate: stiffer than any other.",
    "open": "It is mostly opening.",
}


@dataclass(frozen=True, eq=False)
class Face:
    """The free inner face of one wall in one chamber, in the panel's own (u, v)."""

    panel: Panel
    room: str
    shape: Polygon


@dataclass(frozen=True)
class Mount:
    """A driver or horn screwed to a field at a place in the field's own axes, m."""

    name: str
    x: float
    y: float


@dataclass(frozen=True)
class PanelField:
    """One field of one wall.

    Attributes
    ----------
    name : str
        Such as "left side, between floor and brace 1".
    panel, role, room : str
        The wall, what it does, and the chamber behind it.
    outline : tuple
        Corners (u, v) in the panel, mm.
    bounds : tuple of float
        The rectangle it is taken as, in the panel: u0 v0 u1 v1, mm.
    corners : tuple of points
        That rectangle on the wall's outside face, in the cabinet's frame, mm.
    held_by : tuple of str
        What holds it: at low u, high u, low v, high v.
    field : Field or None
        As a plate, x along u and y along v; None where it is none, which `notes` tell.
    before_cut : Field or None
        The field before a cut that no line holds.
    area : float
        Of what it stands for, m^2.
    area_before_cut : float
        m^2.
    mounts : tuple of Mount
        What is screwed to it.
    notes : tuple of str
        What is simplified, in sentences.
    """

    name: str
    panel: str
    role: str
    room: str
    outline: tuple[Pair, ...]
    bounds: Bounds
    corners: tuple[Point, ...]
    held_by: tuple[str, str, str, str]
    field: Field | None
    before_cut: Field | None
    area: float
    area_before_cut: float
    mounts: tuple[Mount, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def judged(self) -> bool:
        """Whether the plate is its likeness: not where a driver's frame stiffens a hole in it."""
        return self.field is not None and not self.mounts

    @property
    def open_cut(self) -> bool:
        """Whether it ends at a cut that no line holds."""
        return self.area_before_cut > self.area


@dataclass(frozen=True)
class Strip:
    """What covers a face along a line: `along` is 0 where it runs along u, 1 along v."""

    name: str
    along: int
    low: float
    high: float
    start: float
    end: float

    def band(self, bounds: Bounds) -> Polygon:
        """It, run on over all of some bounds."""
        u0, v0, u1, v1 = bounds
        return (shapely.box(u0, self.low, u1, self.high) if self.along == 0
                else shapely.box(self.low, v0, self.high, v1))


@dataclass(frozen=True, eq=False)
class _Cell:
    shape: Polygon
    held: tuple[str, str, str, str]
    before: Polygon | None = None


def fields(
    panels: Sequence[Panel], joints: Iterable[Joint], sizes: Sizes,
    masses: Mapping[str, float | None] | None = None,
) -> tuple[PanelField, ...]:
    """Every field of every wall of a cabinet's closed chambers.

    Parameters
    ----------
    panels : sequence of Panel
        The cabinet's panels, with their cut-outs.
    joints : iterable of Joint
        Who stands against whom.
    sizes : Sizes
        The rooms with their inner outlines.
    masses : mapping, optional
        Mass (kg) of each driver or horn by the name its cut-out gives for its mate; None where it
        is not known: then its force still has its place.

    Returns
    -------
    tuple of PanelField
        In the order of rooms and panels, from low u and v.
    """
    met = tuple(joints)
    several = len(sizes.closed_rooms) > 1
    return tuple(
        _field(face, cell, masses or {}, several)
        for face in faces(panels, sizes)
        for cell in _cells(face, strips(face, met, panels))
    )


def faces(panels: Sequence[Panel], sizes: Sizes) -> tuple[Face, ...]:
    """The free inner faces of the walls around every closed chamber.

    Parameters
    ----------
    panels : sequence of Panel
        The cabinet's panels.
    sizes : Sizes
        The rooms with their inner outlines.

    Returns
    -------
    tuple of Face
        In the order of rooms, then of panels.
    """
    found = []
    for room in sizes.closed_rooms:
        for panel in panels:
            if panel.role not in WALLS:
                continue
            shape = _face(panel, room, sizes)
            if shape is not None:
                found.append(Face(panel, room.name, shape))
    return tuple(found)


def _face(panel: Panel, room: Room, sizes: Sizes) -> Polygon | None:
    corners = [(1e3 * x, 1e3 * z) for x, z in room.section]

    def front(z: float) -> float:
        return 1e3 * sizes.shape.front(1e-3 * z, sizes.sheet)

    def back(z: float) -> float:
        return 1e3 * sizes.shape.back(1e-3 * z, sizes.sheet)

    if panel.role in ("baffle", "back"):
        deep = front if panel.role == "baffle" else back
        flat = _flat(panel, [(x, deep(z), z) for x, z in corners])
        return flat if panel.blank.contains(flat.centroid) else None
    for k, one in enumerate(corners):
        other = corners[(k + 1) % len(corners)]
        ends = np.array([(one[0], 0.0, one[1]), (other[0], 0.0, other[1])])
        off = (ends - np.array(panel.placement.origin)) @ np.array(panel.placement.normal)
        if np.all(np.abs(off + panel.thickness) < 1e-3):
            return _flat(panel, [
                (one[0], front(one[1]), one[1]), (other[0], front(other[1]), other[1]),
                (other[0], back(other[1]), other[1]), (one[0], back(one[1]), one[1])])
    return None


def _flat(panel: Panel, world: Sequence[Point]) -> Polygon:
    return Polygon(np.round(panel.placement.to_local(world)[:, :2], 6))


def strips(face: Face, joints: Iterable[Joint], panels: Sequence[Panel]) -> tuple[Strip, ...]:
    """What is glued against a face inside the chamber, as strips along u or v.

    Parameters
    ----------
    face : Face
        The face.
    joints : iterable of Joint
        Of the cabinet.
    panels : sequence of Panel
        Of the cabinet; what stands against a face and is no wall, divider or batten splits it.

    Returns
    -------
    tuple of Strip
        Those that cover something of it.
    """
    passed_over = {p.name for p in panels if p.role in (*WALLS, "divider", "batten")}
    name, found = face.panel.name, []
    for joint in joints:
        if name not in (joint.host, joint.guest) or not joint.glued:
            continue
        other = joint.other(name)
        if other in passed_over:
            continue
        ends = face.panel.placement.to_local([joint.start, joint.end])[:, :2]
        along = 0 if abs(ends[1, 0] - ends[0, 0]) >= abs(ends[1, 1] - ends[0, 1]) else 1
        middle = float(ends[:, 1 - along].mean())
        strip = Strip(other, along, middle - 0.5 * joint.width, middle + 0.5 * joint.width,
                      float(ends[:, along].min()), float(ends[:, along].max()))
        if shapely.intersection(strip.band(face.shape.bounds), face.shape).area > DUST:
            found.append(strip)
    return tuple(found)


def across(face: Face, axis: int) -> int:
    """Which of a face's own axes (0 for u, 1 for v) runs most along one of the cabinet's axes."""
    placement = face.panel.placement
    return 0 if abs(placement.u[axis]) > abs(placement.v[axis]) else 1


def _cells(face: Face, against: tuple[Strip, ...]) -> list[_Cell]:
    found = _split(_Cell(face.shape, _ends(face.panel)), against)
    return sorted(found, key=lambda cell: (cell.shape.bounds[1], cell.shape.bounds[0]))


def _split(cell: _Cell, against: tuple[Strip, ...]) -> list[_Cell]:
    """Cut a cell along every strip; first along those that cross it, then at ends of others."""
    seen = [(strip, *_uncovered(cell.shape, strip)) for strip in against
            if _covers(cell.shape, strip)]
    for strip, before, after in seen:
        if before <= NEAR_END and after <= NEAR_END:
            rest = tuple(s for s in against if s is not strip)
            low, high = (_beside(cell, strip.along, strip.low, strip.name, below=True),
                         _beside(cell, strip.along, strip.high, strip.name, below=False))
            return [one for part in (low, high) if part is not None
                    for one in _split(part, rest)]
    if not seen:
        return [cell]
    strip, before, _ = max(seen, key=lambda each: -each[1] - each[2])
    at = strip.start if before > NEAR_END else strip.end
    whole = replace(cell, before=cell.shape if cell.before is None else cell.before)
    parts = (_beside(whole, 1 - strip.along, at, f"end of {strip.name}", below=side)
             for side in (True, False))
    return [one for part in parts if part is not None for one in _split(part, against)]


def _covers(shape: Polygon, strip: Strip) -> bool:
    """Whether a strip splits a cell: it is no stub in it, or as long as it."""
    band = shapely.intersection(strip.band(shape.bounds), shape)
    if band.area <= DUST:
        return False
    low, high = _along(band, strip.along)
    met = min(high, strip.end) - max(low, strip.start)
    return met > min(NEAR_END, (high - low) * (1.0 - 1e-6))


def _uncovered(shape: Polygon, strip: Strip) -> tuple[float, float]:
    """How much of a cell's width a strip leaves before its start and after its end."""
    low, high = _along(shapely.intersection(strip.band(shape.bounds), shape), strip.along)
    return strip.start - low, high - strip.end


def _along(shape: Polygon, along: int) -> tuple[float, float]:
    bounds = shape.bounds
    return float(bounds[along]), float(bounds[along + 2])


def _beside(cell: _Cell, along: int, at: float, name: str, *, below: bool) -> _Cell | None:
    """What of a cell lies on one side of a line along u (0) or v (1)."""
    box = list(cell.shape.bounds)
    box[1 - along + (2 if below else 0)] = at
    if box[3 - along] <= box[1 - along]:
        return None
    shape = shapely.intersection(cell.shape, shapely.box(*box))
    if not isinstance(shape, Polygon) or shape.area <= DUST:
        return None
    held = list(cell.held)
    held[2 * (1 - along) + (1 if below else 0)] = name
    return replace(cell, shape=shape, held=(held[0], held[1], held[2], held[3]))


def _ends(panel: Panel) -> tuple[str, str, str, str]:
    """What bounds a wall's free face at low and high u, low and high v."""
    u, v = np.array(panel.placement.u), np.array(panel.placement.v)
    words = [_end(way) for way in (-u, u, -v, v)]
    return words[0], words[1], words[2], words[3]


def _end(way: FloatArray) -> str:
    axis = int(np.argmax(np.abs(way)))
    first = (FIRST[2], FIRST[0], FIRST[1])[axis]  # along x, y, z
    last = (LAST[2], LAST[0], LAST[1])[axis]
    return last if way[axis] > 0.0 else first


def _field(
    face: Face, cell: _Cell, masses: Mapping[str, float | None], several: bool
) -> PanelField:
    panel, sheet, notes = face.panel, _sheet(face.panel), list[str]()
    rectangle = _rectangle(cell.shape)
    if abs(shapely.box(*cell.shape.bounds).area - cell.shape.area) > DUST:
        notes.append(TOLD["shape"])
    if cell.before is not None:
        notes.append(TOLD["cut"])
    mounts, weights = _mounted(panel, cell.shape, rectangle, masses)
    if mounts:
        notes.append(TOLD["hole"])
    open_share = shapely.intersection(panel.openings, cell.shape).area / cell.shape.area
    plate = None
    if sheet is None:
        notes.append(f"No stiffness is known for {panel.material} of this thickness.")
    elif open_share > MOSTLY_OPEN:
        notes.append(TOLD["open"])
    else:
        plate = _plate(panel, rectangle, sheet, weights)
        if plate is None:
            notes.append(TOLD["small"])
        elif open_share > TOLD_OPEN and not mounts:
            notes.append(f"Openings over {100.0 * open_share:.0f} % of it are not taken out.")
    before = None
    if plate is not None and sheet is not None and cell.before is not None:
        whole = _rectangle(cell.before)
        before = _plate(panel, whole, sheet, _mounted(panel, cell.before, whole, masses)[1])
    ring = shapely.orient_polygons(cell.shape).exterior.coords[:-1]
    u0, v0, u1, v1 = rectangle
    world = panel.placement.to_world([(u0, v0, 0.0), (u1, v0, 0.0), (u1, v1, 0.0), (u0, v1, 0.0)])
    return PanelField(
        _name(face, cell, several), panel.name, panel.role, face.room,
        tuple((float(u), float(v)) for u, v in ring), rectangle,
        tuple((float(x), float(y), float(z)) for x, y, z in world), cell.held, plate, before,
        1e-6 * float(cell.shape.area),
        1e-6 * float((cell.before or cell.shape).area), mounts, tuple(notes))


def _sheet(panel: Panel) -> Sheet | None:
    try:
        return sheet_of(panel.material, 1e-3 * panel.thickness)
    except ValueError:
        return None


def _rectangle(shape: Polygon) -> Bounds:
    """The shape's own bounds, or of the rectangle of its area and aspect about its middle."""
    u0, v0, u1, v1 = shape.bounds
    share = math.sqrt(shape.area / ((u1 - u0) * (v1 - v0)))
    if share > 1.0 - 1e-9:
        return float(u0), float(v0), float(u1), float(v1)
    half_u, half_v = 0.5 * share * (u1 - u0), 0.5 * share * (v1 - v0)
    u, v = shape.centroid.x, shape.centroid.y
    return float(u - half_u), float(v - half_v), float(u + half_u), float(v + half_v)


def _mounted(
    panel: Panel, shape: Polygon, rectangle: Bounds, masses: Mapping[str, float | None]
) -> tuple[tuple[Mount, ...], tuple[PointMass, ...]]:
    """What has its cut-out's middle in a cell, in the axes of its rectangle, with its mass."""
    largest: dict[str, Polygon] = {}
    for feature in panel.features:
        mate = feature.mate
        if feature.kind == "through" and mate is not None and mate in masses and (
                mate not in largest or feature.shape.area > largest[mate].area):
            largest[mate] = feature.shape
    u0, v0, u1, v1 = rectangle
    mounts, weights = [], []
    for name, cut in largest.items():
        middle = cut.centroid
        if not shape.contains(middle):
            continue
        x = 1e-3 * min(max(middle.x - u0, 0.0), u1 - u0)
        y = 1e-3 * min(max(middle.y - v0, 0.0), v1 - v0)
        mounts.append(Mount(name, round(x, 9), round(y, 9)))
        mass = masses[name]
        if mass is not None and mass > 0.0:
            weights.append(PointMass(round(x, 9), round(y, 9), mass))
    return tuple(mounts), tuple(weights)


def _plate(
    panel: Panel, rectangle: Bounds, sheet: Sheet, weights: tuple[PointMass, ...]
) -> Field | None:
    u0, v0, u1, v1 = rectangle
    width, height = round(1e-3 * (u1 - u0), 9), round(1e-3 * (v1 - v0), 9)
    if sheet.thickness > THICKEST * min(width, height):
        return None
    return Field(width, height, sheet, grain="x" if panel.grain == "u" else "y", masses=weights)


def _name(face: Face, cell: _Cell, several: bool) -> str:
    whole = _ends(face.panel)
    spans = []
    for k in (2, 0):
        low, high = cell.held[k], cell.held[k + 1]
        if (low, high) != whole[k:k + 2]:
            if low in LAST or high in FIRST:
                low, high = high, low
            spans.append(f"between {low} and {high}")
    name = f"{face.panel.name} of {face.room}" if several else face.panel.name
    return ", ".join([name, *spans])

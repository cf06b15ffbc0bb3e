"""What is cut into a panel, as it lies on the sheet: from the datum, on the face that is seen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.drawing.dimensions import diameter_text, length_text
from speakerwright.drawing.hole_groups import BoltCircle, Row, bolt_circles, rows

if TYPE_CHECKING:
    from speakerwright.solids.panels import Panel

Floats = NDArray[np.float64]
_SAME_MM = 0.02


@dataclass(frozen=True, eq=False)
class Seen:
    """A feature in mm from the datum; `near` is whether it is cut from the seen face."""

    shape: Any
    circle: tuple[float, float, float] | None
    depth: float | None
    near: bool
    label: str


@dataclass(frozen=True, eq=False)
class Face:
    """A panel as seen on one face: outline and features from the datum, its lower left corner."""

    side: str
    outline: Any
    features: tuple[Seen, ...]
    grain: str | None

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        return float(self.outline.bounds[2]), float(self.outline.bounds[3])


@dataclass(frozen=True)
class Note:
    """A note to one or more features, the places it may point to, and how its leader ends."""

    text: str
    tips: tuple[tuple[float, float], ...]
    ends_in: str


def worked_face(panel: Panel) -> str:
    """The face a panel is worked on: inside where it has pockets there, otherwise outside."""
    inner = any(f.kind != "through" and f.face == "inside" for f in panel.features)
    return "inside" if inner else "outside"


def seen_face(panel: Panel, side: str | None = None) -> Face:
    """A panel from the face that is worked (or from `side`), mirrored if that is the inside."""
    from shapely.affinity import affine_transform

    side = side or worked_face(panel)
    left, low, right, _ = panel.outline.bounds
    flip = -1.0 if side == "inside" else 1.0
    start = -right if side == "inside" else left
    matrix = (flip, 0.0, 0.0, 1.0, -start, -low)

    def turned(circle: tuple[float, float, float] | None) -> tuple[float, float, float] | None:
        return None if circle is None else (flip * circle[0] - start, circle[1] - low, circle[2])

    features = tuple(
        Seen(affine_transform(f.shape, matrix), turned(f.circle), f.depth,
             f.kind == "through" or f.face == side, f.label) for f in panel.features
    )
    return Face(side, affine_transform(panel.outline, matrix), features, panel.grain)


@dataclass(frozen=True, eq=False)
class Holes:
    """Round features of one kind: bolt circles, rows and single ones, as indices of features."""

    circles: tuple[BoltCircle, ...]
    rows: tuple[Row, ...]
    single: tuple[int, ...]


def hole_kinds(face: Face) -> list[Holes]:
    """All round features sorted into patterns, kind by kind."""
    kinds: dict[tuple[float, float, bool], list[int]] = {}
    for index, seen in enumerate(face.features):
        if seen.circle is not None:
            key = (round(seen.circle[2], 2), round(seen.depth or 0.0, 2), seen.near)
            kinds.setdefault(key, []).append(index)
    found = []
    for (size, _, _), members in sorted(kinds.items()):
        points = np.array([_centre(face.features[index]) for index in members])
        centres = sorted({_centre(seen) for seen in face.features
                          if seen.circle is None or seen.circle[2] > size + _SAME_MM})
        circles, rest = bolt_circles(points, centres)
        lines, rest = rows(points, rest)
        found.append(Holes(
            tuple(BoltCircle(tuple(members[i] for i in c.members), c.centre, c.diameter,
                             c.start_deg) for c in circles),
            tuple(Row(tuple(members[i] for i in r.members), r.pitch) for r in lines),
            tuple(members[i] for i in rest)))
    return found


def _centre(seen: Seen) -> tuple[float, float]:
    if seen.circle is not None:
        return seen.circle[0], seen.circle[1]
    left, low, right, high = seen.shape.bounds
    return (left + right) / 2.0, (low + high) / 2.0


def hole_notes(face: Face, kinds: Sequence[Holes], system: str) -> list[Note]:
    """What is said of the round features: ``8 × Ø 8.5 through on Ø 298, first at 22.5°``."""
    notes: list[Note] = []
    for kind in kinds:
        for circle in kind.circles:
            text = _round_text(face.features[circle.members[0]], len(circle.members), system)
            angle = f"{circle.start_deg:.1f}".removesuffix(".0")
            notes.append(_round_note(
                f"{text} on {diameter_text(circle.diameter, system)}, first at {angle}°",
                face, circle.members))
        for row in kind.rows:
            text = _round_text(face.features[row.members[0]], len(row.members), system)
            notes.append(_round_note(f"{text}, pitch {length_text(row.pitch, system)}", face,
                                     row.members))
        alike: dict[str, list[int]] = {}
        for index in kind.single:
            alike.setdefault(face.features[index].label, []).append(index)
        for members in alike.values():
            notes.append(_round_note(_round_text(face.features[members[0]], len(members), system),
                                     face, members))
    return notes


def _round_text(seen: Seen, count: int, system: str) -> str:
    assert seen.circle is not None
    many = f"{count} × " if count > 1 else ""
    comma = "" if seen.depth is None else ","
    return (f"{_called(seen)}{many}{diameter_text(seen.circle[2], system)}{comma} "
            f"{_depth_text(seen, system)}")


def _round_note(text: str, face: Face, members: Sequence[int]) -> Note:
    """A note that points to the edge of a hole, on its right-hand side."""
    tips = []
    for index in members:
        circle = face.features[index].circle
        assert circle is not None
        tips.append((circle[0] + circle[2] / 2.0 * math.cos(math.radians(35.0)),
                     circle[1] + circle[2] / 2.0 * math.sin(math.radians(35.0))))
    return Note(text, tuple(tips), "arrow")


def shape_notes(face: Face, system: str) -> list[Note]:
    """What is said of the other features, one note for all that are alike."""
    alike: dict[str, list[Seen]] = {}
    for seen in face.features:
        if seen.circle is None:
            alike.setdefault(_shape_text(face, seen, system), []).append(seen)
    notes = []
    for text, some in alike.items():
        tips = []
        for seen in some:
            spot = seen.shape.representative_point()
            tips.append((float(spot.x), float(spot.y)))
        many = f"{len(some)} × " if len(some) > 1 else ""
        notes.append(Note(many + text, tuple(tips), "dot"))
    return notes


def _shape_text(face: Face, seen: Seen, system: str) -> str:
    left, low, right, high = seen.shape.bounds
    size = (right - left, high - low)
    whole = [size[k] > 0.75 * face.size[k] for k in (0, 1)]
    if seen.depth is not None and whole != [True, True] and any(whole):
        told = f"{length_text(min(size), system)} wide"
    else:
        told = f"{length_text(size[0], system)} × {length_text(size[1], system)}"
    radius = corner_radius(seen.shape)
    rounded = f", corners R {length_text(radius, system)}" if radius else ""
    return f"{_called(seen)}{told}, {_depth_text(seen, system)}{rounded}"


def _called(seen: Seen) -> str:
    return f"{seen.label}: " if seen.label.strip() else ""


def _depth_text(seen: Seen, system: str) -> str:
    if seen.depth is None:
        return "through"
    side = "" if seen.near else " from the other face"
    return f"{length_text(seen.depth, system)} deep{side}"


def corner_radius(shape: Any) -> float:
    """The corner radius of a rounded rectangle, mm; 0 for any other shape.

    Found from the area its corners lack, (4 - pi) r², and held against that very shape.
    """
    from shapely import box

    whole = box(*shape.bounds)
    lacks = float(whole.area - shape.area)
    if lacks < 0.5:
        return 0.0
    radius = math.sqrt(lacks / (4.0 - math.pi))
    left, low, right, high = shape.bounds
    if 2.0 * radius > min(right - left, high - low) - 1e-6:
        return 0.0
    rounded = box(left + radius, low + radius, right - radius, high - radius).buffer(
        radius, quad_segs=32)
    return radius if rounded.symmetric_difference(shape).area < 0.05 * lacks else 0.0


def edge_places(shape: Any) -> tuple[list[float], list[float]]:
    """The places along x and y that fix a shape: its corners, or its straight edges.

    A shape with many corners (rounded, with reliefs) is fixed by its level and upright edges
    longer than a sixth of its size, and where it has none by its extent.
    """
    simple = shape.simplify(0.01)
    ring = np.asarray(simple.exterior.coords)
    if len(ring) <= 9:
        return sorted(set(ring[:, 0].tolist())), sorted(set(ring[:, 1].tolist()))
    left, low, right, high = shape.bounds
    found: tuple[list[float], list[float]] = ([], [])
    for start, end in pairwise(ring):
        run = np.abs(end - start)
        for axis, size in ((0, high - low), (1, right - left)):
            if run[axis] < 0.02 and run[1 - axis] > size / 6.0:
                found[axis].append(float(start[axis]))
    return (sorted(set(found[0])) or [left, right]), (sorted(set(found[1])) or [low, high])

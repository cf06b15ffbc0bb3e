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
from speakerwright.solids.bevels import bevels, degrees_text

if TYPE_CHECKING:
    from speakerwright.solids.panels import Panel

Floats = NDArray[np.float64]
_SAME_MM = 0.02
_MOST_CORNERS = 16  # of an outline whose every corner has its ordinates
_LEAST_TURN_DEG = 0.05  # between two edges that make a corner


@dataclass(frozen=True, eq=False)
class Seen:
    """A feature in mm from the datum; `near` is whether it is cut from the seen face."""

    shape: Any
    circle: tuple[float, float, float] | None
    depth: float | None
    near: bool
    label: str


@dataclass(frozen=True)
class Tilted:
    """A bevelled edge in mm from the datum: the ends of the edge of the face that ends further in.

    `near` is whether that is the face that is seen; `out` points out of the panel.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    out: tuple[float, float]
    angle_deg: float
    set_back: float
    near: bool
    longer: str


@dataclass(frozen=True, eq=False)
class Face:
    """A panel as seen on one face: its blank and features from the datum, its lower left corner."""

    side: str
    outline: Any
    features: tuple[Seen, ...]
    grain: str | None
    edges: tuple[Tilted, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        return float(self.outline.bounds[2]), float(self.outline.bounds[3])

    @property
    def drawn(self) -> Any:
        """What is left of the outline beside openings that are not round."""
        from shapely import difference, union_all

        gone = [seen.shape.buffer(1e-6, join_style="mitre") for seen in self.features
                if seen.depth is None and seen.circle is None]
        return difference(self.outline, union_all(gone)) if gone else self.outline


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
    left, low, right, _ = panel.blank.bounds
    flip = -1.0 if side == "inside" else 1.0
    start = -right if side == "inside" else left
    matrix = (flip, 0.0, 0.0, 1.0, -start, -low)

    def turned(circle: tuple[float, float, float] | None) -> tuple[float, float, float] | None:
        return None if circle is None else (flip * circle[0] - start, circle[1] - low, circle[2])

    def spot(point: tuple[float, float]) -> tuple[float, float]:
        return flip * point[0] - start, point[1] - low

    features = tuple(
        Seen(affine_transform(f.shape, matrix), turned(f.circle), f.depth,
             f.kind == "through" or f.face == side, f.label) for f in panel.features
    )
    edges = tuple(
        Tilted(spot(edge.far[0]), spot(edge.far[1]), (flip * edge.out[0], edge.out[1]),
               edge.angle_deg, edge.set_back, edge.shorter == side, edge.longer)
        for edge in bevels(panel))
    return Face(side, affine_transform(panel.blank, matrix), features, panel.grain, edges)


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
    size, slant_deg = size_and_slant(seen.shape)
    whole = [size[k] > 0.75 * face.size[k] for k in (0, 1)]
    if seen.depth is not None and (slant_deg or (whole != [True, True] and any(whole))):
        told = f"{length_text(min(size), system)} wide"
    else:
        told = f"{length_text(size[0], system)} × {length_text(size[1], system)}"
    radius = corner_radius(seen.shape)
    rounded = f", corners R {length_text(radius, system)}" if radius else ""
    return f"{_called(seen)}{told}, {_depth_text(seen, system)}{rounded}{_stop_text(face, seen)}"


def _stop_text(face: Face, seen: Seen) -> str:
    """Whether a dado ends before one edge, or both."""
    if seen.depth is None or not seen.label.startswith("dado"):
        return ""
    others = [other.shape for other in face.features
              if other is not seen and other.near == seen.near and other.depth is not None]
    ends = _free_ends(face.outline, seen.shape, others)
    return {0: "", 1: ", stopped", 2: ", stopped at both ends"}[ends]


def _free_ends(outline: Any, shape: Any, others: Sequence[Any]) -> int:
    """How many ends of a long shape lie inside an outline, and not against other pockets."""
    from shapely import difference, union_all

    ring = np.asarray(shape.minimum_rotated_rectangle.exterior.coords)
    sides = [(ring[k], ring[k + 1]) for k in range(4)]
    short = sorted(sides, key=lambda side: math.dist(*side))[:2]
    inner = difference(outline, union_all(others)).buffer(-0.5)
    return sum(bool(_point(0.5 * (a + b)).within(inner)) for a, b in short)


def _point(place: Floats) -> Any:
    from shapely import Point

    return Point(place)


def size_and_slant(shape: Any) -> tuple[tuple[float, float], float]:
    """Size of a shape along x and y, and by how much its long side is out of both, degrees.

    One that lies aslant is measured along and across its own long side; 0 for one that does not.
    """
    left, low, right, high = shape.bounds
    size = (float(right - left), float(high - low))
    tight = shape.minimum_rotated_rectangle
    if tight.geom_type != "Polygon" or tight.area > 0.999 * size[0] * size[1]:
        return size, 0.0
    ring = np.asarray(tight.exterior.coords)
    runs = ring[1:3] - ring[:2]
    lengths = np.hypot(runs[:, 0], runs[:, 1])
    run = runs[int(np.argmax(lengths))]
    angle = math.degrees(math.atan2(run[1], run[0])) % 180.0
    if shape.area < 0.9 * tight.area or min(angle % 90.0, -angle % 90.0) < 0.02:
        return size, 0.0  # no strip
    return (float(lengths.max()), float(lengths.min())), angle


def edge_notes(face: Face) -> list[Note]:
    """What is said of edges that are bevelled, and of those that lie aslant."""
    alike: dict[str, list[tuple[float, float]]] = {}
    for edge in face.edges:
        text = f"bevel {degrees_text(edge.angle_deg)}, longer {edge.longer}"
        alike.setdefault(text, []).append(((edge.start[0] + edge.end[0]) / 2.0,
                                           (edge.start[1] + edge.end[1]) / 2.0))
    ring = corners_of(face.outline)
    for k, (x1, y1) in enumerate(ring if len(ring) <= _MOST_CORNERS else ring[:0]):
        x0, y0 = ring[k - 1]
        angle = math.degrees(math.atan2(abs(y1 - y0), abs(x1 - x0)))
        if not 0.02 < angle < 89.98:
            continue
        off = f"{degrees_text(90.0 - angle)} off upright" if angle > 45.0 else (
            f"{degrees_text(angle)} off level")
        alike.setdefault(f"edge {off}", []).append(((x0 + x1) / 2.0, (y0 + y1) / 2.0))
    return [Note(f"{len(tips)} × {text}" if len(tips) > 1 else text, tuple(tips), "arrow")
            for text, tips in alike.items()]


def corners_of(outline: Any) -> list[tuple[float, float]]:
    """The corners of an outline, in order; a rounded one has very many."""
    ring = np.asarray(outline.simplify(0.01).exterior.coords)[:-1, :2]
    runs = ring - np.roll(ring, 1, axis=0)
    heading = np.degrees(np.arctan2(runs[:, 1], runs[:, 0]))
    turn = (np.roll(heading, -1) - heading + 180.0) % 360.0 - 180.0
    return [(float(x), float(y)) for (x, y), by in zip(ring, turn, strict=True)
            if abs(by) > _LEAST_TURN_DEG]


def outline_places(outline: Any) -> tuple[list[float], list[float]]:
    """The places along x and y that fix an outline: its corners', where they are not too many."""
    corners = corners_of(outline)
    if len(corners) > _MOST_CORNERS:
        return edge_places(outline)
    return sorted({x for x, _ in corners}), sorted({y for _, y in corners})


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

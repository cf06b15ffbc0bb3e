"""A panel as it lies on the table: which face is up, and every operation seen from there.

Lengths in mm. The datum (0, 0) is the lower left corner of the panel's bounding rectangle as seen
from the face that is up. Seen from the inside, left and right are exchanged against a drawing
from the outside; that is the panel turned over, not its mirror image.

A panel with bevelled edges is cut square as its blank, which holds both faces; where a face ends
inside the blank its edge is shown for reference, and the angle is written on it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from speakerwright.cutting.sheet import Placed
from speakerwright.solids.bevels import Bevel, bevels, degrees_text, outline_of, side_of
from speakerwright.solids.panels import Face, Feature, Panel
from speakerwright.solids.shapes import Polygon

LARGEST_DRILL = 13.0
"""Round through holes up to this are drilled, larger ones are cut, mm: a usual drill chuck;
common practice, no source."""

REFERENCE = "REFERENCE"
FACE_EDGE = "REFERENCE_FACE_{}"
"""The layer of a face's edges that lie inside the blank."""

LEAST_BEVEL_DEG = 0.05
"""Less is square to any saw, degrees; a rule of thumb."""

Circle = tuple[float, float, float]
Move = Callable[[float, float], tuple[float, float]]


@dataclass(frozen=True, eq=False)
class Operation:
    """One thing to cut, in the plane of the face that is up.

    `kind` is ``outline``, ``through``, ``pocket``, ``drill`` or ``reference`` (not cut, only
    shown); `circle` the exact centre and diameter of a round one; `depth` None right through.
    """

    kind: str
    layer: str
    shape: Any
    circle: Circle | None
    depth: float | None
    label: str

    def moved(self, move: Move) -> Operation:
        """The same operation elsewhere: `move` keeps lengths."""
        circle = self.circle
        if circle is not None:
            circle = (*move(circle[0], circle[1]), circle[2])
        return Operation(self.kind, self.layer, moved(self.shape, move), circle, self.depth,
                         self.label)

    @property
    def rings(self) -> list[list[tuple[float, float]]]:
        """Closed rings of its shape, each without its last point."""
        rings = (self.shape.exterior, *self.shape.interiors)
        return [[(float(x), float(y)) for x, y in ring.coords[:-1]] for ring in rings]


@dataclass(frozen=True)
class Tilt:
    """A bevelled edge as it lies: which edge, its angle from square, which face is longer there.

    `start` and `end` are those of the shorter face's edge, which ends `set_back` before the longer
    one; `out` is the outward direction.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    out: tuple[float, float]
    angle_deg: float
    set_back: float
    longer_up: bool

    @property
    def side(self) -> str:
        """Which edge it is, as it lies."""
        return side_of(*self.out)

    @property
    def text(self) -> str:
        """Its angle, as it is written on a drawing."""
        return degrees_text(self.angle_deg)

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of the shorter face's edge."""
        return 0.5 * (self.start[0] + self.end[0]), 0.5 * (self.start[1] + self.end[1])

    def moved(self, move: Move) -> Tilt:
        """The same edge elsewhere: `move` keeps lengths."""
        start, end = move(*self.start), move(*self.end)
        (x0, y0), (x1, y1) = move(0.0, 0.0), move(*self.out)
        return Tilt(start, end, (x1 - x0, y1 - y0), self.angle_deg, self.set_back,
                    self.longer_up)


@dataclass(frozen=True, eq=False)
class SetUp:
    """A panel on the table with one face up, and what is cut from there.

    `width` and `height` are those of its blank's bounding rectangle; `second` is true when the
    panel has been cut out already and is turned over for its other face. `tilts` are its bevelled
    edges, which are cut when all else is.
    """

    panel: Panel
    face: Face
    second: bool
    width: float
    height: float
    operations: tuple[Operation, ...]
    tilts: tuple[Tilt, ...] = ()


def number(value: float) -> str:
    """A length in a layer's name: one digit after the point, or up to three where needed."""
    text = f"{value:.3f}".rstrip("0")
    return text + "0" if text.endswith(".") else text


def layer(feature: Feature) -> str:
    """The layer of a feature: operation, diameter of a drill, depth and face.

    ``THROUGH``, ``POCKET_6.0_INSIDE``, ``DRILL_8.5_THROUGH``, ``DRILL_5.0_12.0_INSIDE``.
    """
    face = feature.face.upper()
    if feature.depth is None:
        drill = _circle(feature) if _drilled(feature) else None
        return "THROUGH" if drill is None else f"DRILL_{number(drill[2])}_THROUGH"
    depth = number(feature.depth)
    if feature.kind == "drill" and feature.circle is not None:
        return f"DRILL_{number(feature.circle[2])}_{depth}_{face}"
    return f"POCKET_{depth}_{face}"


def moved(shape: Any, move: Move) -> Any:
    """A polygon with every corner moved."""
    return type(shape)(
        [move(x, y) for x, y in shape.exterior.coords],
        [[move(x, y) for x, y in ring.coords] for ring in shape.interiors],
    )


def set_ups(panel: Panel) -> tuple[SetUp, ...]:
    """The panel's set-ups: one, or two when blind cuts are made from both faces.

    The face with more blind cuts is up first (the inside when both have as many, the outside when
    there are none), and all that goes right through is cut with it.
    """
    blind = [f.face for f in panel.features if f.depth is not None]
    inside = blind.count("inside")
    first: Face = "inside" if inside and inside >= len(blind) - inside else "outside"
    other: Face = "outside" if first == "inside" else "inside"
    found = [_set_up(panel, first, second=False)]
    if other in blind:
        found.append(_set_up(panel, other, second=True))
    return tuple(found)


def onto_sheet(one: SetUp, placed: Placed) -> tuple[Operation, ...]:
    """The operations of a set-up where its panel lies on a sheet."""
    move = _lying(one, placed)
    return tuple(operation.moved(move) for operation in one.operations)


def tilts_on_sheet(one: SetUp, placed: Placed) -> tuple[Tilt, ...]:
    """The bevelled edges of a set-up where its panel lies on a sheet."""
    move = _lying(one, placed)
    return tuple(tilt.moved(move) for tilt in one.tilts)


def _lying(one: SetUp, placed: Placed) -> Move:
    def straight(x: float, y: float) -> tuple[float, float]:
        return placed.x + x, placed.y + y

    def turned(x: float, y: float) -> tuple[float, float]:
        return placed.x + one.height - y, placed.y + x

    return turned if placed.turned else straight


def _set_up(panel: Panel, face: Face, *, second: bool) -> SetUp:
    u0, v0, u1, v1 = (float(edge) for edge in panel.blank.bounds)

    def move(u: float, v: float) -> tuple[float, float]:
        return (u - u0 if face == "outside" else u1 - u), v - v0

    found = [_outline(panel, second=second), *_face_edges(panel)]
    if not second:
        found += [_opening(ring) for ring in panel.outline.interiors]
    for feature in panel.features:
        if feature.face == face if feature.depth is not None else not second:
            found.append(_operation(feature))
    tilts = tuple(_tilt(bevel, face).moved(move) for bevel in bevels(panel)
                  if bevel.angle_deg > LEAST_BEVEL_DEG)
    return SetUp(panel, face, second, u1 - u0, v1 - v0, tuple(one.moved(move) for one in found),
                 tilts)


def _outline(panel: Panel, *, second: bool) -> Operation:
    whole = Polygon(panel.blank.exterior)
    if second:
        return Operation("reference", REFERENCE, whole, None, None, "outline, already cut")
    return Operation("outline", f"OUTLINE_{number(panel.thickness)}", whole, None,
                     panel.thickness, "outline")


def _face_edges(panel: Panel) -> list[Operation]:
    """The edges of every face that ends inside the blank."""
    faces: tuple[Face, ...] = ("outside", "inside")
    whole = Polygon(panel.blank.exterior)
    edges = {face: outline_of(panel, face) for face in faces} if panel.bevels else {}
    return [Operation("reference", FACE_EDGE.format(face.upper()), edge, None, None,
                      f"edge of the {face} face, bevelled after cutting")
            for face, edge in edges.items() if whole.area - edge.area > 1e-6]


def _tilt(bevel: Bevel, up: Face) -> Tilt:
    return Tilt(*bevel.far, bevel.out, bevel.angle_deg, bevel.set_back, bevel.longer == up)


def _opening(ring: Any) -> Operation:
    return Operation("through", "THROUGH", Polygon(ring), None, None, "opening")


def _operation(feature: Feature) -> Operation:
    kind = "drill" if feature.kind == "drill" or _drilled(feature) else feature.kind
    return Operation(kind, layer(feature), feature.shape, _circle(feature), feature.depth,
                     feature.label)


def _circle(feature: Feature) -> Circle | None:
    """The exact circle; none where the panel's edge cuts into it."""
    return feature.circle if feature.overrun is None else None


def _drilled(feature: Feature) -> bool:
    circle = _circle(feature)
    return feature.depth is None and circle is not None and circle[2] <= LARGEST_DRILL

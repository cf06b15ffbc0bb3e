"""Sketches of loadings along which sound takes its time: line, front horn, open baffle."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from speakerwright.drawing.dimensions import length_text
from speakerwright.drawing.loading_sketch import (
    LoadingSketch,
    SketchDuct,
    area_words,
    driver_words,
    fill_words,
    long_said,
    needed,
    said,
)
from speakerwright.drawing.loading_sketch_parts import (
    SHAPE,
    WALL_MM,
    Note,
    Seen,
    blows,
    bore_mm,
    cone_of,
    driver,
    fill,
    held,
    share_of,
    walls,
)
from speakerwright.drawing.marks import (
    Area,
    CentreMark,
    Circle,
    Dimension,
    Path,
    Point,
    arrow_head,
)

LEFT: Point = (-1.0, 0.0)
RIGHT: Point = (1.0, 0.0)
UP: Point = (0.0, 1.0)
HIGH_MM = 56.0
BOARD_MM = 1.8
LIP_ROOM_MM = 2.4


def line(sketch: LoadingSketch) -> Seen:
    """A line folded once: closed above on the left, its mouth above on the right."""
    from shapely import Polygon, box

    needed(sketch, "duct")
    duct = sketch.duct
    assert duct is not None
    start, end = _legs(duct)
    turn = (start + end) / 2.0
    left, right = WALL_MM, WALL_MM + start + end + BOARD_MM
    high = HIGH_MM
    board = Polygon([(left + start, high), (left + start + BOARD_MM, high),
                     (left + turn + BOARD_MM, turn), (left + turn, turn)])
    inside = box(left, 0.0, right, high).difference(board)
    reduction = 2.0 * high / duct.length
    across = held(bore_mm(sketch.cone_area, reduction), 10.0, 26.0)
    first = duct.driver_at <= 0.5
    along = held(high * abs(1.0 - 2.0 * duct.driver_at), across / 2.0 + 3.5,
                 high - across / 2.0 - 3.5)
    cone = cone_of((0.0 if first else right + WALL_MM, along), LEFT if first else RIGHT, across,
                   0.75 * (turn if along < high / 2.0 else start if first else end) + WALL_MM)
    hole = box(-1.0, along - across / 2.0, left + 0.1, along + across / 2.0) if first else box(
        right - 0.1, along - across / 2.0, right + WALL_MM + 1.0, along + across / 2.0)
    outside = box(0.0, -WALL_MM, right + WALL_MM, high + WALL_MM)
    mouth = box(left + start + BOARD_MM, high - 0.1, right, high + WALL_MM + 1.0)
    items: list[Any] = walls(outside.difference(inside).difference(hole).difference(mouth))
    if sketch.fill_share is not None:
        held_air = _filled(sketch.fill_share, left, left + turn, right, high)
        items += fill(inside.intersection(held_air).difference(cone.body))
    axis = [(left + start / 2.0, high), (left + turn / 2.0, turn / 2.0),
            (right - turn / 2.0, turn / 2.0), (right - end / 2.0, high + WALL_MM)]
    items += [Path(np.array(axis), "centre"), *driver(cone),
              *blows((cone.at[0] + 2.0 * cone.facing[0], along), cone.facing, across, "low"),
              *blows((right - end / 2.0, high + WALL_MM + 1.0), UP, end, "port")]
    tips = ((axis[2][0] + axis[3][0]) / 2.0, high / 2.0), (right - 0.2 * end, high)
    return Seen(items, _line_notes(sketch, duct, cone.spot(-cone.deep, 0.0), *tips,
                                   (left + 0.8 * start, high - 3.0)),
                SHAPE.format("The line is drawn folded once, its depth into the page even."))


def _legs(duct: SketchDuct) -> tuple[float, float]:
    """Widths on paper of the line at its closed end and at its mouth, as its areas are."""
    natural = 2.0 * HIGH_MM / duct.length * (duct.area + duct.mouth_area) / math.sqrt(
        0.5 * (duct.area + duct.mouth_area))
    both = held(natural, 26.0, 42.0)
    start = held(both * duct.area / (duct.area + duct.mouth_area), 5.0, both - 5.0)
    return start, both - start


def _filled(share: float, left: float, middle: float, right: float, high: float) -> Any:
    """The first share of the line's length, counted down the left leg and up the right one."""
    from shapely import box, unary_union

    if share <= 0.5:
        return box(left, high * (1.0 - 2.0 * share), middle + BOARD_MM, high)
    return unary_union([box(left, 0.0, middle + BOARD_MM, high),
                        box(middle, 0.0, right, high * (2.0 * share - 1.0))])


def _line_notes(sketch: LoadingSketch, duct: SketchDuct, motor: Point, along: Point, mouth: Point,
                closed: Point) -> list[Note]:
    system = sketch.system
    far = f", at {100.0 * duct.driver_at:.0f}\u202f% of the length" if duct.driver_at else ""
    notes: list[Note] = [
        (f"line {long_said(duct.length, system)} along its axis, "
         f"{area_words(duct.area, duct.mouth_area, system)}, {sketch.called} "
         f"{said(sketch.resonance, 'frequency', system)}", along, "dot"),
        (driver_words(sketch) + far, motor, "arrow"),
        (f"mouth {said(duct.mouth_area, 'area', system)}", mouth, "dot"),
    ]
    if sketch.fill_share is not None:
        notes.append((fill_words(sketch.fill_share, "length, from the closed end"), closed, "dot"))
    return notes


def horn(sketch: LoadingSketch) -> Seen:
    """A horn before the cone, drawn as a round one, and the closed volume behind."""
    from shapely import Polygon, box

    needed(sketch, "duct", "volume")
    duct, volume = sketch.duct, sketch.volume
    assert duct is not None
    assert volume is not None
    cube = volume ** (1.0 / 3.0)
    natural = 62.0 / (duct.length + cube)
    widest = bore_mm(duct.mouth_area, 1.0)
    reduction = held(natural, 32.0 / widest, 50.0 / widest)
    long = held(duct.length * natural, 20.0, 42.0)
    throat, mouth = bore_mm(duct.area, reduction), widest * reduction
    across = held(bore_mm(sketch.cone_area, reduction), 9.0, 34.0)
    gap = held(duct.before / sketch.cone_area * reduction, 1.8, 9.0)
    edge = _flare(duct, max(throat, 1.6), mouth, long)
    flare = Polygon([*edge, *[(x, -y) for x, y in reversed(edge)]])
    before = box(long - 0.1, -across / 2.0, long + gap, across / 2.0)
    face = long + gap
    tall = max(across + 2.0 * LIP_ROOM_MM, held(cube * reduction, 12.0, 44.0))
    deep = held((cube * reduction) ** 2 / tall, 7.0, 26.0)
    rear = box(face + WALL_MM, -tall / 2.0, face + WALL_MM + deep, tall / 2.0)
    cone = cone_of((face, 0.0), LEFT, across, 0.8 * deep + WALL_MM)
    hole = box(face - 0.1, -across / 2.0, face + WALL_MM + 0.1, across / 2.0)
    front = flare.union(before)
    shell = front.buffer(WALL_MM, join_style="mitre").union(
        rear.buffer(WALL_MM, join_style="mitre"))
    wood = shell.difference(front).difference(rear).difference(hole)
    wood = wood.difference(box(-50.0, -200.0, 0.0, 200.0))
    items: list[Any] = walls(wood)
    if sketch.fill_share is not None:
        items += fill(share_of(rear.difference(cone.body), sketch.fill_share))
    items += [Path(np.array([(-3.0, 0.0), (long, 0.0)]), "centre"), *driver(cone),
              *blows((-2.0, 0.0), LEFT, mouth, "port")]
    return Seen(items, _horn_notes(sketch, duct, volume, {
        "horn": (edge[8][0], 0.7 * edge[8][1]),
        "before": (long + gap / 2.0, 0.36 * across),
        "driver": cone.spot(-0.8 * cone.deep, 0.26 * across),
        "rear": (face + WALL_MM + deep - 3.0, -tall / 2.0 + 3.5),
        "fill": (face + WALL_MM + deep - 2.0, tall / 2.0 - 2.5)}),
        SHAPE.format("The horn is drawn round and straight."))


def _flare(duct: SketchDuct, throat: float, mouth: float, long: float) -> list[Point]:
    """The horn's upper edge from mouth to throat, its root of the area by its profile."""
    share = np.linspace(0.0, 1.0, 41)
    if duct.profile == "exponential":
        radius = 0.5 * mouth * (throat / mouth) ** share
    else:
        radius = 0.5 * (mouth + (throat - mouth) * share)
    return [(float(x), float(y)) for x, y in zip(share * long, radius, strict=True)]


def _horn_notes(sketch: LoadingSketch, duct: SketchDuct, volume: float, tips: dict[str, Point]
                ) -> list[Note]:
    system = sketch.system
    named = f", {sketch.called.removeprefix('horn ')} {said(sketch.resonance, 'frequency', system)}"
    of_rear = sketch.called == "resonance"  # a cone's flare has no cutoff
    notes: list[Note] = [
        (f"{duct.profile} horn {long_said(duct.length, system)}, throat to mouth "
         f"{area_words(duct.area, duct.mouth_area, system)}{'' if of_rear else named}",
         tips["horn"], "dot"),
        (driver_words(sketch), tips["driver"], "arrow"),
        (f"rear {said(volume, 'volume', system)}, closed{named if of_rear else ''}",
         tips["rear"], "dot"),
    ]
    if duct.before > 0.0:
        notes.append((f"air before the cone {said(duct.before, 'volume', system)}",
                      tips["before"], "dot"))
    if sketch.fill_share is not None:
        notes.append((fill_words(sketch.fill_share, "air behind"), tips["fill"], "dot"))
    return notes


def open_baffle(sketch: LoadingSketch) -> Seen:
    """A board seen from the front with its sizes, and in section with the air that it parts."""
    from shapely import box

    needed(sketch, "baffle")
    board = sketch.baffle
    assert board is not None
    reduction = min(50.0 / board.height, 30.0 / board.width)
    wide = held(board.width * reduction, 8.0, 30.0)
    high = held(board.height * reduction, 16.0, 50.0)
    share = (board.x / board.width, board.z / board.height)
    across = held(bore_mm(sketch.cone_area, reduction), 6.0, 0.8 * min(wide, high))
    up = held(share[1] * high, across / 2.0 + 1.6, high - across / 2.0 - 1.6)
    aside = held(share[0] * wide, across / 2.0 + 1.0, wide - across / 2.0 - 1.0)
    cone = cone_of((0.0, up), LEFT, across, 14.0)
    hole = box(-1.0, up - across / 2.0, WALL_MM + 1.0, up + across / 2.0)
    edge = -12.0 - wide
    items: list[Any] = [*walls(box(0.0, 0.0, WALL_MM, high).difference(hole)), *driver(cone),
                        *blows((-2.0, up), LEFT, across, "low"),
                        *blows((cone.deep + 1.5, up), RIGHT, across, "low")]
    items += _around(cone.deep, up + 0.5 * across + 1.5, high)
    items += _seen_from_the_front(sketch, (edge, wide, high), (edge + aside, up), across)
    system = sketch.system
    notes: list[Note] = [
        (f"{driver_words(sketch)}, resonance {said(sketch.resonance, 'frequency', system)}",
         cone.spot(-cone.deep, -0.2 * across), "arrow"),
        ("the rear, in opposite phase", (cone.deep + 5.0, up + 0.15 * across), "dot"),
        (f"front to rear count as {said(board.path, 'length', system)} apart",
         (WALL_MM / 2.0 + 2.0, high + 3.6), "dot"),
    ]
    return Seen(items, notes, "Seen from the front, and in section with the front on the left. "
                              "The driver is drawn where it stands.")


def _around(deep: float, up: float, high: float) -> list[Any]:
    """The way of the air from the front around the upper edge to the rear."""
    angles = np.linspace(math.pi, 0.0, 41)
    middle, half = (deep + 2.0 - 3.0) / 2.0, (deep + 2.0 + 3.0) / 2.0
    rise = np.sin(angles) ** 0.5
    points = np.column_stack([middle + half * np.cos(angles), up + (high + 4.0 - up) * rise])
    (x0, y0), (x1, y1) = points[-3], points[-1]
    return [Path(points, "hidden"),
            arrow_head((float(x1), float(y1)), (float(x1 - x0), float(y1 - y0)))]


def _seen_from_the_front(sketch: LoadingSketch, sizes: tuple[float, float, float], at: Point,
                         across: float) -> list[Any]:
    board, system = sketch.baffle, sketch.system
    assert board is not None
    edge, wide, high = sizes
    frame = np.array([(edge, 0.0), (edge + wide, 0.0), (edge + wide, high), (edge, high)])
    texts = [length_text(1e3 * value, system)
             for value in (board.x, board.width, board.z, board.height)]
    x, z = at
    return [
        Area((frame,), "#ffffff", "outline"), Circle(at, across / 2.0, "outline"),
        CentreMark(at, across / 2.0 + 1.5),
        Dimension((edge, 0.0), (x, z), -7.0, texts[0]),
        Dimension((edge, 0.0), (edge + wide, 0.0), -13.0, texts[1]),
        Dimension((edge, 0.0), (x, z), edge - 5.0, texts[2], True),
        Dimension((edge, 0.0), (edge, high), edge - 11.0, texts[3], True),
    ]

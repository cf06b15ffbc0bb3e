"""Openings that a port can have in a box: what is tried, where it stands, and whether it has room.

Sizes of the trade and the room around a port are rules of thumb. Whether a port meets the driver's
magnet or a brace is for the cabinet to say.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Any

from speakerwright.bass.inputs import ChamberInput, Seat
from speakerwright.design.sections.ports import Port

INCH = 0.0254
BORES: Mapping[str, tuple[float, ...]] = {  # of tubes in the trade: common practice, no source
    "metric": (0.050, 0.068, 0.075, 0.100, 0.110, 0.125, 0.150, 0.160),
    "inch": (2 * INCH, 3 * INCH, 4 * INCH, 5 * INCH, 6 * INCH),
}
ACROSS: Mapping[str, tuple[float, ...]] = {  # heights of slots from side to side
    "metric": (0.020, 0.025, 0.030, 0.040, 0.050, 0.060, 0.080, 0.100, 0.120),
    "inch": (0.75 * INCH, INCH, 1.5 * INCH, 2 * INCH, 2.5 * INCH, 3 * INCH, 4 * INCH, 5 * INCH),
}
ON_FLOOR: Mapping[str, tuple[tuple[float, float], ...]] = {  # widths and heights
    "metric": tuple((w, h) for h in (0.040, 0.070) for w in (0.100, 0.150, 0.200, 0.300)),
    "inch": tuple((w * INCH, h * INCH) for h in (1.5, 3.0) for w in (4, 6, 8, 12)),
}
COUNTS = (1, 2, 3, 4)
WALL = 0.003  # of a tube, m
PITCH = 1.5  # bores that each tube takes of the box's width
FLOOR_ROOM = 0.040  # m from the chamber's floor to the lowest tube, as the cabinet places a row


def openings(seat: Seat, like: Port, system: str = "metric") -> tuple[Port, ...]:
    """The openings to try in a box: tubes of the trade in a row, slots across and on the floor.

    Parameters
    ----------
    seat : Seat
        The box's clear sizes, m; only as many tubes stand in a row as its width takes.
    like : Port
        The decided port, whose rounding and grille the others keep.
    system : {"metric", "inch"}
        Whose sizes are tried.

    Returns
    -------
    tuple of Port
        Straight, with neither tuning nor length.
    """
    return tuple(_openings(seat, like, system))


def _openings(seat: Seat, like: Port, system: str) -> Iterator[Port]:
    keep: dict[str, Any] = {"flare": like.flare, "open_share": like.open_share}
    for bore in BORES[system]:
        for count in COUNTS:
            tube = Port.model_construct(shape="round", count=count, bore=bore, wall=WALL, **keep)
            apart = None if count == 1 else _centres(seat, tube)
            if count == 1 or seat.width is None or count * pitch(tube) <= seat.width * 1.000001:
                yield tube.model_copy(update={"centres": apart})
    board: dict[str, Any] = {"shape": "slot", "count": 1, "wall": seat.baffle, **keep}
    if seat.width is not None:
        for height in ACROSS[system]:
            if height <= seat.width:
                yield Port.model_construct(width=seat.width, height=height, walls_shared=3, **board)
    for width, height in ON_FLOOR[system]:
        if seat.width is None or width + 2.0 * (seat.baffle + height) <= seat.width:
            yield Port.model_construct(width=width, height=height, walls_shared=1, **board)


def pitch(port: Port) -> float:
    """What one tube takes of the width, m."""
    bore = port.bore or 0.0
    return max(PITCH * bore, bore + 2.0 * (port.wall + port.flare))


def _centres(seat: Seat, tube: Port) -> float:
    if stays(seat, tube):
        return min(math.dist(p, q) for p, q in combinations(seat.mouths, 2))
    return pitch(tube)


def stays(seat: Seat, port: Port) -> bool:
    """Whether a port can stand where the decided one stands: as many tubes, each with room."""
    if port.shape != "round" or len(seat.mouths) != port.count:
        return False
    half = 0.5 * pitch(port)
    clear = [min(x, seat.width - x) for x, _ in seat.mouths if seat.width is not None]
    clear += [min(z, seat.height - z) for _, z in seat.mouths if seat.height is not None]
    apart = [math.dist(p, q) for p, q in combinations(seat.mouths, 2)]
    return all(c >= half - 1e-9 for c in clear) and all(d >= 2.0 * half - 1e-9 for d in apart)


def mouths(seat: Seat, port: Port) -> tuple[tuple[float, float], ...]:
    """Where a port's mouths stand (m, from the left and lower inside).

    Where the decided ones stand if they have room there, else in a row in the middle above the
    floor, a slot that shares walls on it. Empty where the decided ones' places are not known.
    """
    if stays(seat, port) or not seat.mouths:
        return seat.mouths
    if seat.width is None:
        return ()
    if port.shape == "round":
        up = FLOOR_ROOM + port.wall + 0.5 * (port.bore or 0.0)
    else:
        up = 0.5 * (port.height or 0.0)
    step = port.centres or 0.0
    return tuple((0.5 * seat.width + (k - 0.5 * (port.count - 1)) * step, up)
                 for k in range(port.count))


def has_room(inputs: ChamberInput, port: Port) -> bool:
    """Whether a row stands clear of the walls, and in a vented box beside the cone on the baffle.

    The cone counts with its effective area only; a driver's frame is wider.
    """
    wide, high = _outer(port)
    width, height = inputs.seat.width, inputs.seat.height
    if width is not None and wide > width * (1.0 + 1e-6):
        return False
    if height is not None and high > height:
        return False
    if inputs.chamber.loading != "vented" or width is None or height is None:
        return True
    cone = 2.0 * math.sqrt(inputs.motor.sd / math.pi)
    return high + cone <= height or wide + cone <= width


def _outer(port: Port) -> tuple[float, float]:
    """Width and height (m) of a row with the room around it, from the floor up."""
    if port.shape == "round":
        one = pitch(port)
        high = FLOOR_ROOM + port.wall + 0.5 * (port.bore or 0.0) + 0.5 * one
        return (port.count - 1) * (port.centres or one) + one, high
    width, height = port.width or 0.0, port.height or 0.0
    one = width + (0 if port.walls_shared == 3 else 2) * port.wall
    return (one + (port.count - 1) * (port.centres or one),
            height + (1 if port.walls_shared else 2) * port.wall)


def bent_room(seat: Seat, port: Port, half: float, length: float) -> float | None:
    """Clear room (m) before the inner end of a port bent once, None where it does not go in.

    It goes back to the rear wall and then up, a single tube also sideways; `length` counts along
    the middle of the bore, the bend a mitre. `half` (m) is the least room that its end needs: a
    tube's radius, a slot's height.
    """
    if seat.behind_mouth is None or seat.height is None:
        return None
    if port.shape == "round":
        outer, start = half + port.wall, FLOOR_ROOM + port.wall + half
        if stays(seat, port):
            start = max(z for _, z in seat.mouths)
        across = seat.height - start
        if port.count == 1 and seat.width is not None:
            across = max(across, 0.5 * seat.width)
    else:
        outer = 0.5 * half
        across = seat.height - outer
    second = max(length - (seat.behind_mouth - outer), outer)
    clear = across - second
    return clear if length - second > seat.baffle and clear >= half else None


def section(port: Port, area: float) -> float:
    """What a metre of all tubes takes from the inside with its walls, m²; `area` is of one."""
    if port.shape == "round":
        return port.count * math.pi * (math.sqrt(area / math.pi) + port.wall) ** 2
    height = (port.height or 0.0) + (1 if port.walls_shared else 2) * port.wall
    width = (port.width or 0.0) + (0 if port.walls_shared == 3 else 2) * port.wall
    return port.count * width * height


def same(one: Port, other: Port) -> bool:
    """Whether two ports have the same openings, whatever they are tuned to."""
    names = ("shape", "count", "bore", "inner_bore", "width", "height", "walls_shared", "bends",
             "wall", "flare", "open_share")
    return all(_near(getattr(one, name), getattr(other, name)) for name in names)


def _near(one: Any, other: Any) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-9)
    return bool(one == other)


def board_per_length(port: Port) -> float:
    """Board (m²) that a metre of slots takes: what lies over and under, and the cheeks."""
    width, height = port.width or 0.0, port.height or 0.0
    if port.walls_shared == 3:
        return port.count * width
    boards = 1 if port.walls_shared else 2
    return port.count * (boards * (width + 2.0 * port.wall) + 2.0 * height)

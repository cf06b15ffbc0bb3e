"""The cabinet's sizes, with one left free until the net volume is closed. SI."""

from __future__ import annotations

from dataclasses import dataclass

from speakerwright.cabinet.shape import Pair, Shape, area_and_middle, shape_of
from speakerwright.design.sections.cabinet import Cabinet


@dataclass(frozen=True)
class Room:
    """A chamber's clear space: sizes in m, and the height of its floor above the outside bottom.

    In a shaped cabinet `width` and `depth` are means: with the height they make up its volume.
    `section` has the corners (x, z) of its inner outline, anticlockwise seen from the front;
    an `open` one has no back.
    """

    name: str
    width: float
    depth: float
    height: float
    floor: float
    section: tuple[Pair, ...] = ()
    open: bool = False

    @property
    def gross(self) -> float:
        """Volume between the sheets, m³."""
        return self.width * self.depth * self.height

    @property
    def middle(self) -> float:
        """Height of its middle above the outside bottom, m."""
        return self.floor + 0.5 * self.height


@dataclass(frozen=True)
class Sizes:
    """Outside sizes, sheet, and the rooms from bottom to top; m."""

    width: float
    height: float
    depth: float
    sheet: float
    rooms: tuple[Room, ...]
    shape: Shape

    def room(self, name: str) -> Room | None:
        """A room by name."""
        return next((room for room in self.rooms if room.name == name), None)

    @property
    def closed_rooms(self) -> tuple[Room, ...]:
        """The rooms that have a back."""
        return tuple(room for room in self.rooms if not room.open)

    @property
    def hollow(self) -> bool:
        """Whether every room has width, depth and height."""
        return all(min(room.width, room.depth, room.height) > 0.0 for room in self.rooms)

    @property
    def behind_front(self) -> float:
        """From the baffle's front face to the inner face of the back, m; at the bottom."""
        return self.depth - self.sheet

    def behind_front_at(self, height: float) -> float:
        """From the baffle's front face to the inner face of the back at a height, m."""
        if self.shape.upright:
            return self.behind_front
        return self.shape.back(height, self.sheet) - self.shape.front(height)


@dataclass(frozen=True)
class Settled:
    """Sizes with the free one closed: the rounds it took, and the last one's relative move.

    `unseen` (m³) is what the solids take beyond the stated displacements; `why` says why walls of
    these sizes cannot be made, where that is so.
    """

    sizes: Sizes
    free: str | None
    rounds: int
    left_over: float
    closed: bool
    unseen: float = 0.0
    why: str = ""


def room_names(cabinet: Cabinet, chambers: tuple[str, ...]) -> tuple[str, ...]:
    """The rooms from bottom to top: as the cabinet lists them, else the bass's chambers."""
    return tuple(cabinet.chambers) or chambers or ("main",)


def closing_room(cabinet: Cabinet, chambers: tuple[str, ...]) -> str:
    """The room whose net volume a free size closes."""
    names = room_names(cabinet, chambers)
    wanted = cabinet.closes
    if wanted is not None and wanted in names:
        return wanted
    return next((name for name in names if name in chambers), names[0])


def free_size(cabinet: Cabinet, chambers: tuple[str, ...]) -> str | None:
    """Which size is left free: width, height, depth, or None when all are decided."""
    if cabinet.depth is None:
        return "depth"
    if cabinet.width is None and not cabinet.outline.points:
        return "width"
    if cabinet.height is not None or cabinet.outline.points:
        return None
    names = room_names(cabinet, chambers)
    decided = all(
        name in cabinet.chambers and cabinet.chambers[name].height is not None for name in names
    )
    return None if decided else "height"


def resolve(cabinet: Cabinet, chambers: tuple[str, ...], free: float | None) -> Sizes:
    """The sizes with the free clear size (m) put in: of width, depth, or the open room's height."""
    names, t = room_names(cabinet, chambers), cabinet.sheet
    which = free_size(cabinet, chambers)
    if cabinet.outline.points:
        return _by_points(cabinet, names, free)
    width = cabinet.width if cabinet.width is not None else (free or 0.0) + 2.0 * t
    depth = cabinet.depth if cabinet.depth is not None else (free or 0.0) + 2.0 * t
    heights = {
        name: cabinet.chambers[name].height if name in cabinet.chambers else None for name in names
    }
    sheets = (len(names) + 1) * t
    if cabinet.height is not None:
        rest = cabinet.height - sheets - sum(h for h in heights.values() if h is not None)
    else:
        rest = free or 0.0
    opened = [name for name, height in heights.items() if height is None]
    if len(opened) > 1 and cabinet.height is not None:  # they share what is left
        rest /= len(opened)
    filled = {name: rest if height is None else height for name, height in heights.items()}
    if which == "height" or cabinet.height is None:
        height = sheets + sum(filled.values())
    else:
        height = cabinet.height
    shape = shape_of(cabinet, width, height, depth)
    return Sizes(width, height, depth, t, _rooms(cabinet, shape, names, filled, t), shape)


def _by_points(cabinet: Cabinet, names: tuple[str, ...], free: float | None) -> Sizes:
    """The sizes of an outline given by its corners; its height is shared out to the rooms."""
    t = cabinet.sheet
    depth = cabinet.depth if cabinet.depth is not None else (free or 0.0) + 2.0 * t
    shape = shape_of(cabinet, 0.0, 0.0, depth)
    xs, zs = zip(*shape.corners, strict=True)
    inner = shape.inner(t) or ((0.0, 0.0),)
    low, high = min(z for _, z in inner), max(z for _, z in inner)
    heights = {n: cabinet.chambers[n].height if n in cabinet.chambers else None for n in names}
    opened = [n for n, height in heights.items() if height is None]
    rest = high - low - (len(names) - 1) * t - sum(h for h in heights.values() if h is not None)
    share = rest / max(len(opened), 1)
    filled = {n: share if height is None else height for n, height in heights.items()}
    rooms = _rooms(cabinet, shape, names, filled, low)
    return Sizes(max(xs) - min(xs), max(zs), depth, t, rooms, shape)


def _rooms(cabinet: Cabinet, shape: Shape, names: tuple[str, ...],
           heights: dict[str, float], floor: float) -> tuple[Room, ...]:
    rooms, t = [], cabinet.sheet
    for name in names:
        height = heights[name]
        section = shape.between(t, floor, floor + height)
        area, middle = area_and_middle(section)
        width = area / height if area else 0.0
        depth = shape.clear_depth(middle, t)
        if shape.plain:  # exact to the last digit
            width, depth = shape.corners[1][0] - shape.corners[0][0] - 2.0 * t, shape.depth - 2 * t
        opened = name in cabinet.chambers and cabinet.chambers[name].open
        rooms.append(Room(name, width, depth, height, floor, section, opened))
        floor += height + t
    return tuple(rooms)


def with_clear(
    cabinet: Cabinet, chambers: tuple[str, ...], which: str, name: str, gross: float
) -> float:
    """The free clear size (m) at which a room has a gross volume (m³), other sizes kept."""
    low, high = 0.0, 0.25
    if plain(cabinet):
        room = resolve(cabinet, chambers, 0.3).room(name)
        assert room is not None
        if which == "height":
            return gross / (room.width * room.depth)
        other = room.depth if which == "width" else room.width
        return gross / (room.height * other)

    def found(free: float) -> float:
        room = resolve(cabinet, chambers, free).room(name)
        return -1.0 if room is None else room.gross

    while found(high) < gross and high < 20.0:
        low, high = high, 2.0 * high
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if found(middle) < gross else (low, middle)
    return 0.5 * (low + high)


def plain(cabinet: Cabinet) -> bool:
    """Whether the section decides a rectangular box."""
    outline = cabinet.outline
    return not (outline.points or outline.top_width is not None or outline.front_lean
                or outline.back_lean)

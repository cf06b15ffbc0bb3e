"""The box's sizes, with one left free until the net volume is closed. SI."""

from __future__ import annotations

from dataclasses import dataclass

from speakerwright.design.sections.cabinet import Cabinet


@dataclass(frozen=True)
class Room:
    """A chamber's clear space: sizes in m, and the height of its floor above the outside bottom."""

    name: str
    width: float
    depth: float
    height: float
    floor: float

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

    def room(self, name: str) -> Room | None:
        """A room by name."""
        return next((room for room in self.rooms if room.name == name), None)

    @property
    def hollow(self) -> bool:
        """Whether every room has width, depth and height."""
        return all(min(room.width, room.depth, room.height) > 0.0 for room in self.rooms)

    @property
    def behind_front(self) -> float:
        """From the baffle's front face to the inner face of the back, m."""
        return self.depth - self.sheet


@dataclass(frozen=True)
class Settled:
    """Sizes with the free one closed: the rounds it took, and the last one's relative move.

    `unseen` (m³) is what the solids take beyond the stated displacements.
    """

    sizes: Sizes
    free: str | None
    rounds: int
    left_over: float
    closed: bool
    unseen: float = 0.0


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
    for name in ("width", "depth"):
        if getattr(cabinet, name) is None:
            return name
    if cabinet.height is not None:
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
    rooms, floor = [], t
    for name in names:
        rooms.append(Room(name, width - 2.0 * t, depth - 2.0 * t, filled[name], floor))
        floor += filled[name] + t
    return Sizes(width, height, depth, t, tuple(rooms))


def with_clear(which: str, room: Room, gross: float) -> float:
    """The free clear size (m) at which a room has a gross volume (m³), other sizes kept."""
    if which == "height":
        return gross / (room.width * room.depth)
    if which == "width":
        return gross / (room.height * room.depth)
    return gross / (room.height * room.width)

"""How loud the walls of a cabinet are against what its bass radiates, field by field.

Every field is bracketed between clamped and simply supported edges. It is driven by the pressure in
the box, the same all over, and where a driver is screwed on by that driver's reaction. So it holds
up to the lowest air mode of the box and no further. Each field radiates by itself, as from a baffle
around it; a wall that stands in a recess or against another radiates elsewhere.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from speakerwright.acoustics.air import Air, FloatArray, Medium
from speakerwright.acoustics.airmodes.threads import one_thread
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray
from speakerwright.acoustics.plates.driven import (
    Drive,
    PanelLevel,
    box_pressure,
    panel_level_db,
    reaction_force,
)
from speakerwright.acoustics.plates.fields import Edges, Field, modes
from speakerwright.cabinet.fields import PanelField
from speakerwright.cabinet.sizes import Room
from speakerwright.words.findings import Finding, judge, unknown

QUIET_DB = -20.0
"""A field that stays this far below the driver is quiet: rule of thumb."""
TIGHT_DB = 3.0  # the upper bound is right to about this
FIRSTS = 3
FINE, COARSE = 6, 4  # elements along a side: for frequencies, for levels
LEAST_CELLS, MOST_CELLS = 8, 24
THUMB = "rule of thumb"


@dataclass(frozen=True, eq=False)
class ChamberDrive:
    """What the bass of one chamber does to its walls, in plain figures at one voltage.

    Parameters
    ----------
    room : str
        The chamber.
    frequency : ndarray
        In Hz, ascending, shape (f,); 1/36 octave shows a peak of wood well.
    volume_velocity : ndarray of complex
        Of all its drivers, out of their fronts, in m^3/s rms, shape (f,).
    net_volume : float
        Of the air inside, in m^3.
    area, moving_mass : float
        Of all its drivers, in m^2 and kg with the air's.
    lowest, highest : float
        Ends of the band it is used in, Hz.
    valid_to : float
        Up to where the pressure inside is even: the lowest air mode, Hz.
    drivers : tuple of str
        Names of its drivers, as the mounts of fields have them.
    pressure : ndarray of complex, optional
        Inside, in Pa rms, shape (f,); that of a closed box of bare air when left out.
    radiated : ndarray of complex, optional
        Volume velocity of all that radiates, driver and port; the driver's when left out. Levels
        count against this.
    """

    room: str
    frequency: FloatArray
    volume_velocity: ComplexArray
    net_volume: float
    area: float
    moving_mass: float
    lowest: float
    highest: float
    valid_to: float
    drivers: tuple[str, ...] = ()
    pressure: ComplexArray | None = None
    radiated: ComplexArray | None = None

    def __post_init__(self) -> None:
        require_above_zero(net_volume=self.net_volume, area=self.area,
                           moving_mass=self.moving_mass, valid_to=self.valid_to)

    @property
    def judged(self) -> FloatArray:
        """Which frequencies lie in its band and below the lowest air mode, shape (f,)."""
        return within(self.frequency, self.lowest, min(self.highest, self.valid_to))


def within(frequency: FloatArray, lowest: float, highest: float) -> FloatArray:
    """Which frequencies lie in a band, both ends counted; boolean, shape (f,)."""
    slack = 1.0 + 1e-9
    return np.asarray((frequency * slack >= lowest) & (frequency <= highest * slack))


@dataclass(frozen=True, eq=False)
class RoomAnswer:
    """The walls of one chamber: levels (m, f) in dB against what the chamber radiates.

    `members` are the places of its fields in the answer's, `rows` those of them that are judged.
    """

    room: str
    frequency: FloatArray
    members: tuple[int, ...]
    rows: tuple[int, ...]
    clamped_db: FloatArray
    supported_db: FloatArray
    worst_db: FloatArray
    lowest: float
    highest: float
    valid_to: float

    def sum_db(self, which: str = "worst") -> FloatArray:
        """All judged fields by power, in dB, (f,); of "clamped", "supported" or "worst"."""
        levels = getattr(self, f"{which}_db")[list(self.rows)]
        return np.asarray(10.0 * np.log10(np.sum(10.0 ** (0.1 * levels), axis=0)))

    @property
    def judged(self) -> FloatArray:
        """Which frequencies are judged, shape (f,)."""
        return within(self.frequency, self.lowest, min(self.highest, self.valid_to))

    def peak(self, row: int) -> tuple[float, float]:
        """Highest level (dB) of one field by its upper bound where it is judged, and where (Hz).

        ValueError where nothing is judged.
        """
        level = np.where(self.judged, self.worst_db[row], -np.inf)
        if not np.isfinite(level).any():
            raise ValueError(f"nothing of the band of {self.room} is judged")
        k = int(np.argmax(level))
        return float(level[k]), float(self.frequency[k])

    @property
    def loudest(self) -> int | None:
        """Row of the loudest judged field; None where nothing is judged."""
        if not self.rows or not self.judged.any():
            return None
        return max(self.rows, key=lambda row: self.peak(row)[0])


@dataclass(frozen=True, eq=False)
class PanelAnswer:
    """All fields with their first frequencies (n, 3) in Hz, and the chambers that drive them.

    NaN stands for a field that is no plate.
    """

    fields: tuple[PanelField, ...]
    clamped: FloatArray
    supported: FloatArray
    rooms: tuple[RoomAnswer, ...]

    def peak_of(self, index: int) -> tuple[float, float] | None:
        """Highest level (dB) of a field where it is judged, and where; None where there is none."""
        for room in self.rooms:
            if index in room.members and room.judged.any():
                return room.peak(room.members.index(index))
        return None


class Walls:
    """Works fields out under given drives; what is alike is worked out once."""

    def __init__(self, drives: Sequence[ChamberDrive], air: Medium | None = None) -> None:
        self.drives = {drive.room: drive for drive in drives}
        self.air = air if air is not None else Air()
        self._firsts: dict[Field, tuple[FloatArray, FloatArray]] = {}
        self._levels: dict[object, PanelLevel] = {}
        self._inside = {room: self._driven(drive) for room, drive in self.drives.items()}

    def _driven(self, drive: ChamberDrive) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """What counts as radiated, pressure inside, and reaction of all drivers together."""
        flow = drive.volume_velocity
        inside = drive.pressure if drive.pressure is not None else box_pressure(
            drive.frequency, flow, drive.net_volume, self.air)
        thrown = reaction_force(drive.frequency, flow, drive.area, drive.moving_mass)
        return drive.radiated if drive.radiated is not None else flow, inside, thrown

    def answer(self, found: Sequence[PanelField]) -> PanelAnswer:
        """First frequencies and levels of some fields."""
        with one_thread():  # matrices this small only wait for each other in several
            return self._answer(found)

    def _answer(self, found: Sequence[PanelField]) -> PanelAnswer:
        both = [self.firsts(each.field) for each in found]
        rooms = []
        for name, drive in self.drives.items():
            members = tuple(k for k, each in enumerate(found)
                            if each.room == name and each.field is not None)
            levels = [self.level(found[k]) for k in members]
            size = (len(members), drive.frequency.size)
            rooms.append(RoomAnswer(
                name, drive.frequency, members,
                tuple(row for row, k in enumerate(members) if found[k].judged),
                np.array([level.clamped_db for level in levels]).reshape(size),
                np.array([level.supported_db for level in levels]).reshape(size),
                np.array([level.worst_db for level in levels]).reshape(size),
                drive.lowest, drive.highest, drive.valid_to))
        return PanelAnswer(tuple(found), np.array([c for c, _ in both]).reshape(-1, FIRSTS),
                           np.array([s for _, s in both]).reshape(-1, FIRSTS), tuple(rooms))

    def firsts(self, field: Field | None) -> tuple[FloatArray, FloatArray]:
        """First frequencies of a field, clamped and supported, Hz, each (3,)."""
        if field is None:
            return np.full(FIRSTS, np.nan), np.full(FIRSTS, np.nan)
        if field not in self._firsts:
            clamped, supported = (
                modes(field.held(Edges.all(edge)), FIRSTS, FINE).frequency
                for edge in ("clamped", "supported"))
            self._firsts[field] = clamped, supported
        return self._firsts[field]

    def level(self, one: PanelField) -> PanelLevel:
        """A field's level; where a cut of it is held by no line the worse of both stands.

        Its share of the field before the cut goes by area.
        """
        assert one.field is not None
        drive = self.drives[one.room]
        own = self._level(one.field, one, drive)
        if one.before_cut is None:
            return own
        plain = self._level(one.before_cut, None, drive)
        share_db = 10.0 * np.log10(one.area / one.area_before_cut)
        return PanelLevel(own.frequency.copy(), own.clamped_db.copy(), own.supported_db.copy(),
                          np.maximum(own.worst_db, plain.worst_db + share_db))

    def _level(self, field: Field, one: PanelField | None, drive: ChamberDrive) -> PanelLevel:
        radiated, inside, thrown = self._inside[drive.room]
        mounts = [m for m in one.mounts if m.name in drive.drivers] if one is not None else []
        share = len(mounts) / max(len(drive.drivers), 1)
        place = (float(np.mean([m.x for m in mounts])),
                 float(np.mean([m.y for m in mounts]))) if mounts else None
        key = (drive.room, field, place, share)
        if key not in self._levels:
            force = share * thrown if place is not None else np.zeros_like(thrown)
            moved = Drive(drive.frequency, radiated, inside, force, place)
            self._levels[key] = panel_level_db(
                field, moved, self.air, elements=COARSE, cells=self._cells(field, drive))
        return self._levels[key]

    def _cells(self, field: Field, drive: ChamberDrive) -> int:
        """Cells along a side, each below a sixth of the shortest wave."""
        longest = max(field.width, field.height)
        wanted = int(np.ceil(6.0 * longest * float(drive.frequency[-1]) / self.air.speed))
        return min(max(wanted, LEAST_CELLS), MOST_CELLS)


def panel_answer(
    found: Sequence[PanelField], drives: Sequence[ChamberDrive], air: Medium | None = None
) -> PanelAnswer:
    """First frequencies of every field, and its level where a chamber's bass drives it.

    Frequencies with 6 elements a side, right to 0.1 %; levels with 4, right to some tenths of a dB
    below the third mode, the upper bound to about 3 dB (`panel_level_db`). Several drivers on one
    field act in their middle.

    Parameters
    ----------
    found : sequence of PanelField
        The fields.
    drives : sequence of ChamberDrive
        One for each chamber with bass.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    PanelAnswer
        In the order of the fields.
    """
    return Walls(drives, air).answer(found)


def lowest_air_mode(room: Room, air: Medium | None = None) -> float:
    """Frequency of a chamber's lowest air mode by its longest clear side, in Hz.

    Elementary: c / 2 L between hard walls; braces with windows lower it, which is not in here.

    Parameters
    ----------
    room : Room
        The chamber.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    float
        In Hz.
    """
    across = [x for x, _ in room.section] or [0.0, room.width]
    longest = max(max(across) - min(across), room.depth, room.height)
    return (air if air is not None else Air()).speed / (2.0 * longest)


def box_modes(
    sides: tuple[float, float, float], highest: float, air: Medium | None = None
) -> FloatArray:
    """Frequencies of the air modes of a hard rectangular box.

    Source: Kuttruff, Room Acoustics, eq. 3.16 (law from memory): f = c / 2 sqrt(sum (n / L)^2).

    Parameters
    ----------
    sides : tuple of float
        Clear, in m.
    highest : float
        Up to where, in Hz.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    ndarray
        Ascending, without that of zero Hz.
    """
    require_above_zero(shortest_side=min(sides))
    half = 0.5 * (air if air is not None else Air()).speed
    counts = [np.arange(int(highest * side / half) + 1) / side for side in sides]
    grid = np.meshgrid(*counts, indexing="ij")
    found = half * np.sqrt(sum(part**2 for part in grid)).ravel()
    return np.asarray(np.sort(found[(found > 0.0) & (found <= highest)]), dtype=float)


def judged_panels(answer: PanelAnswer) -> tuple[Finding, ...]:
    """`panel_quiet` for every chamber with bass: its loudest field by the upper bound."""
    return tuple(_judged(answer, room) for room in answer.rooms)


def _judged(answer: PanelAnswer, room: RoomAnswer) -> Finding:
    where = f"cabinet.chambers.{room.room}"
    row = room.loudest
    if row is None:
        return unknown(
            "panel_quiet", where, f"Nothing of the band of {room.room} lies below its lowest air "
            "mode, up to which walls are judged, or none of its walls is a plain plate.",
            "Knock on the walls of a test box, or measure close to them.", kind="level")
    level, at = room.peak(row)
    figures: Mapping[str, tuple[float, str]] = {
        "at": (at, "frequency"), "end": (min(room.highest, room.valid_to), "frequency"),
        "all": (float(np.max(room.sum_db()[room.judged])), "level")}
    beyond = ("" if room.highest <= room.valid_to else
              " Above {end} the air inside is no longer even and nothing is judged.")
    return judge(
        "panel_quiet", where, level, "level", at_most=QUIET_DB, tight=TIGHT_DB,
        says=f"The loudest wall is the {answer.fields[room.members[row]].name}: at worst {{value}} "
        f"against the driver, at {{at}}; all walls but the driver's own field {{all}}.{beyond}",
        try_this="Split it unevenly: see 'speakerwright cabinet brace'.",
        source=f"plates between clamped and supported edges; limit: {THUMB}", figures=figures)


def panels_unknown(rooms: Sequence[str]) -> tuple[Finding, ...]:
    """`panel_quiet` while nobody asked for it."""
    return tuple(
        unknown("panel_quiet", f"cabinet.chambers.{room}", "How loud the walls are is worked out "
                "on request.", "'speakerwright cabinet panels', or the cabinet page.", kind="level")
        for room in rooms)

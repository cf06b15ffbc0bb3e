"""Where braces would stand better: places tried against the first frequencies that they leave.

A brace in the middle makes two equal fields, which ring together; uneven ones ring apart. Lengths
in m; places as the design file counts them.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from speakerwright.acoustics.air import FloatArray, Medium
from speakerwright.acoustics.airmodes.threads import one_thread
from speakerwright.acoustics.plates.fields import THICKEST, Edges, Field, modes
from speakerwright.acoustics.plates.sheets import Sheet, sheet_of
from speakerwright.cabinet.fields import Face, Strip, across, faces, strips
from speakerwright.cabinet.quiet_panels import box_modes
from speakerwright.cabinet.sizes import Sizes
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel
from speakerwright.words.units import show

RATIO = 1.1
"""Least ratio of the first frequencies of two fields side by side: rule of thumb."""
OFF_AIR = 0.02
"""Least distance of a field's first frequency from an air mode, as a share: rule of thumb."""
STEPS = {1: 0.002, 2: 0.005, 3: 0.01, 4: 0.02}  # m, of places tried by how many braces
GIVEN_UP = 0.1
"""Most of the lowest field's frequency that is given up to keep off the air: rule of thumb."""
AIR_TO = 800.0
"""Above this the air modes of a box lie closer than a wall's peaks are wide, Hz: rule of thumb."""
LEAST_GAP = 0.06  # m between braces, for a hand and a clamp: rule of thumb
SAMPLES = 16
ELEMENTS = 5
BRACED = {"shelf": ("side", "shoulder", "baffle", "back"),
          "upright": ("baffle", "back", "top", "bottom")}
AXES = {"shelf": 2, "upright": 0}
"""The cabinet's axis across which braces of a kind stand."""


@dataclass(frozen=True)
class WallStrip:
    """A wall that new braces split: its clear span along them (m), its sheet, its grain.

    `grain` says whether the face grain runs along the braces or across them.
    """

    name: str
    span: float
    sheet: Sheet
    grain: str = "across"


@dataclass(frozen=True)
class Kept:
    """From where to where something stands in the way of a brace's middle, m.

    A brace there starts `behind` it, counted from the front; None where it cannot stand at all.
    """

    low: float
    high: float
    name: str
    behind: float | None = None


@dataclass(frozen=True)
class Space:
    """Where braces of one kind can stand in a chamber, in m.

    Parameters
    ----------
    room, kind : str
        The chamber; shelf or upright.
    low, high : float
        Ends of the clear space across the braces, as the design file counts places: for a shelf
        from the chamber's floor, for an upright right of the middle.
    thickness : float
        Of a brace.
    walls : tuple of WallStrip
        What they split.
    sides : tuple of float
        The chamber's clear sides, for its air modes.
    keep_out : tuple of Kept
        What stands in the way.
    """

    room: str
    kind: str
    low: float
    high: float
    thickness: float
    walls: tuple[WallStrip, ...]
    sides: tuple[float, float, float]
    keep_out: tuple[Kept, ...] = ()

    def behind(self, at: float) -> float | None:
        """Where a brace at a place starts behind the front, m; None right behind the baffle."""
        met = [kept.behind for kept in self.keep_out
               if kept.low < at < kept.high and kept.behind is not None]
        return max(met, default=None)


@dataclass(frozen=True)
class Proposed:
    """Places for braces of one kind, and why.

    `closest` is the least ratio of first frequencies of two fields side by side, `off_air` the
    least distance of one from an air mode as a share, `lowest` the lowest of them by clamped edges
    in Hz. `meets` says whether both limits are kept; `behind` is where each starts behind the
    front, None right behind the baffle; `kept` is what stood in the way.
    """

    room: str
    kind: str
    at: tuple[float, ...]
    closest: float
    off_air: float
    lowest: float
    meets: bool
    behind: tuple[float | None, ...]
    kept: tuple[Kept, ...] = ()


def propose(space: Space, count: int, air: Medium | None = None) -> Proposed | None:
    """Places for some braces so that no fields side by side, nor field and air, ring together.

    Of all places on a grid (2 mm for one brace, 5, 10 and 20 mm for two, three and four) those
    count whose fields side by side have first frequencies of a ratio of `RATIO` or more, with
    clamped and with simply supported edges. The highest that the lowest field can ring is not given
    up by more than `GIVEN_UP`; within that it takes the one whose lowest field rings highest among
    those whose first frequencies lie `OFF_AIR` or more off every air mode of the box up to
    `AIR_TO`, and where there is none the one that lies farthest off. Where the ratio is never kept,
    the largest there is stands.

    Parameters
    ----------
    space : Space
        Where they can stand.
    count : int
        How many, 1 to 4.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    Proposed or None
        None where there is no room for so many.

    Raises
    ------
    ValueError
        For a count out of range.
    """
    if count not in STEPS:
        raise ValueError("braces are proposed one to four at a time")
    if not space.walls:
        return None
    places = _places(space, STEPS[count])
    tried = np.array(list(itertools.combinations(places, count))).reshape(-1, count)
    gaps = _gaps(space, tried)
    tried, gaps = (part[np.all(gaps >= _least_gap(space), axis=1)] for part in (tried, gaps))
    if not len(tried):
        return None
    found = _found(space, gaps, air)
    return _told(space, tried[found.best], found, found.best)


def judged_places(space: Space, at: Sequence[float], air: Medium | None = None) -> Proposed:
    """How braces at given places do by the measure of `propose`.

    Parameters
    ----------
    space : Space
        Where they stand; places that are kept out are judged all the same.
    at : sequence of float
        Their places, m.
    air : Medium, optional
        The air; the default state when left out.

    Returns
    -------
    Proposed
        With `at` in ascending order.
    """
    tried = np.sort(np.array([at], dtype=float), axis=1)
    return _told(space, tried[0], _found(space, _gaps(space, tried), air), 0)


@dataclass(frozen=True, eq=False)
class _Found:
    closest: FloatArray
    off_air: FloatArray
    lowest: FloatArray

    @property
    def best(self) -> int:
        """Which of them `propose` takes."""
        apart = self.closest >= RATIO
        if not apart.any():
            return int(np.argmax(self.closest))
        high = apart & (self.lowest >= (1.0 - GIVEN_UP) * self.lowest[apart].max())
        clear = high & (self.off_air >= OFF_AIR)
        if clear.any():
            return int(np.argmax(np.where(clear, self.lowest, -np.inf)))
        return int(np.argmax(np.where(high, self.off_air, -np.inf)))


def _places(space: Space, step: float) -> FloatArray:
    """The grid of places that are left by what keeps braces out, counted from the lower end."""
    count = int((space.high - space.low) / step + 1e-9)
    found = space.low + step * np.arange(1, count + 1)
    for kept in space.keep_out:
        if kept.behind is None:
            found = found[(found <= kept.low) | (found >= kept.high)]
    return np.asarray(np.round(found, 6), dtype=float)


def _least_gap(space: Space) -> float:
    thickest = max(wall.sheet.thickness for wall in space.walls)
    return max(LEAST_GAP, 1.001 * thickest / THICKEST)


def _gaps(space: Space, at: FloatArray) -> FloatArray:
    """Clear gaps beside braces at places (n, count), shape (n, count + 1)."""
    half = 0.5 * space.thickness
    ends = np.ones((len(at), 1))
    edges = np.hstack((ends * (space.low - half), at, ends * (space.high + half)))
    return np.asarray(np.diff(edges, axis=1) - space.thickness, dtype=float)


def _found(space: Space, gaps: FloatArray, air: Medium | None) -> _Found:
    with one_thread():  # matrices this small only wait for each other in several
        firsts = np.array([line(gaps) for wall in space.walls for line in _lines(space, wall)])
    ratios = np.exp(np.abs(np.diff(np.log(firsts), axis=-1)))
    air_modes = box_modes(space.sides, AIR_TO, air)
    return _Found(ratios.min(axis=(0, -1)) if ratios.size else np.full(len(gaps), np.inf),
                  _off(air_modes, firsts), firsts[::2].min(axis=(0, -1)))


def _off(air_modes: FloatArray, firsts: FloatArray) -> FloatArray:
    """Distance of the nearest air mode from any of the firsts (walls, n, gaps), shape (n,).

    Firsts beyond all that is counted of the air are clear.
    """
    if not air_modes.size:
        return np.full(firsts.shape[1], np.inf)
    place = np.searchsorted(air_modes, firsts)
    below = air_modes[np.clip(place - 1, 0, None)]
    above = air_modes[np.clip(place, None, air_modes.size - 1)]
    near = np.minimum(np.abs(firsts / below - 1.0), np.abs(firsts / above - 1.0))
    near = np.where(firsts > (1.0 + OFF_AIR) * AIR_TO, np.inf, near)
    return np.asarray(near.min(axis=(0, 2)), dtype=float)


class _Line:
    """First frequency of a field over the gap, log against log between samples."""

    def __init__(self, wall: WallStrip, low: float, high: float, clamped: bool) -> None:
        gap = np.geomspace(low, high, SAMPLES)
        edges = Edges.all("clamped" if clamped else "supported")
        grain: Literal["x", "y"] = "x" if wall.grain == "across" else "y"
        self.gap = np.log(gap)
        self.first = np.log([float(modes(
            Field(float(g), wall.span, wall.sheet, edges, grain), 1, ELEMENTS).frequency[0])
            for g in gap])

    def __call__(self, gap: FloatArray) -> FloatArray:
        return np.asarray(np.exp(np.interp(np.log(gap), self.gap, self.first)), dtype=float)


def _lines(space: Space, wall: WallStrip) -> tuple[_Line, _Line]:
    low, high = _least_gap(space), max(space.high - space.low, 1.01 * _least_gap(space))
    return _line(wall, low, high, True), _line(wall, low, high, False)


@lru_cache(maxsize=64)
def _line(wall: WallStrip, low: float, high: float, clamped: bool) -> _Line:
    return _Line(wall, low, high, clamped)


def _told(space: Space, at: FloatArray, found: _Found, k: int) -> Proposed:
    closest, off, lowest = (float(part[k]) for part in (found.closest, found.off_air,
                                                        found.lowest))
    return Proposed(space.room, space.kind, tuple(float(round(x, 6)) for x in at), closest, off,
                    lowest, closest >= RATIO and off >= OFF_AIR,
                    tuple(space.behind(float(x)) for x in at), space.keep_out)


def reasons(proposed: Proposed, system: str = "metric") -> tuple[str, ...]:
    """Why braces stand where they are proposed, in sentences."""
    closest, off = proposed.closest, proposed.off_air

    def length(value: float) -> str:
        return show(value, "length", system)

    made = [
        f"Fields side by side have first frequencies at least {closest:.2f} to 1 apart"
        + ("." if closest >= RATIO else f"; {RATIO:g} to 1 is wanted."),
        f"All first frequencies lie above {AIR_TO:g} Hz, where no air mode is counted."
        if np.isinf(off) else
        f"The first frequency nearest to an air mode of the box is {100.0 * off:.1f} % off"
        + ("." if off >= OFF_AIR else f"; {100.0 * OFF_AIR:g} % is wanted."),
        f"The lowest field rings at {proposed.lowest:.0f} Hz with clamped edges.",
    ]
    made += [f"From {length(kept.low)} to {length(kept.high)} is left to {kept.name}."
             for kept in proposed.kept if kept.behind is None]
    for k, (at, start) in enumerate(zip(proposed.at, proposed.behind, strict=True)):
        if start is not None:
            names = " and ".join(kept.name for kept in proposed.kept
                                 if kept.behind is not None and kept.low < at < kept.high)
            made.append(f"Brace {k + 1} starts {length(start)} behind the front, to clear {names}; "
                        "in front of that it holds nothing.")
    return tuple(made)


def space_of(
    panels: Sequence[Panel], joints: Sequence[Joint], sizes: Sizes, room: str, kind: str,
    keep_out: Iterable[Kept] = (), *, thickness: float | None = None,
) -> Space:
    """Where braces of a kind can stand in a chamber, and the walls that they split.

    Walls that are split already the other way count piece by piece. The baffle is not counted: the
    driver on it makes its fields unlike all others.

    Parameters
    ----------
    panels, joints, sizes
        Of the cabinet without the braces that are to be placed anew.
    room, kind : str
        The chamber; shelf or upright.
    keep_out : iterable of Kept
        What stands in the way of a brace's middle.
    thickness : float, optional
        Of a brace in m; that of the walls when left out.

    Returns
    -------
    Space
        With every piece of a wall by its mean span; what is alike once, what is no plate not at
        all.

    Raises
    ------
    ValueError
        For an unknown kind or chamber.
    """
    here = sizes.room(room)
    if kind not in BRACED:
        raise ValueError("braces are proposed as shelf or upright")
    if here is None:
        raise ValueError(f"there is no chamber {room}")
    low, high = (0.0, here.height) if kind == "shelf" else (-0.5 * here.width, 0.5 * here.width)
    bare = Space(room, kind, low, high, thickness or sizes.sheet, (),
                 (here.width, here.depth, here.height), tuple(keep_out))
    walls: dict[WallStrip, None] = {}
    for face in faces(panels, sizes):
        if face.room == room and face.panel.role in BRACED[kind] and face.panel.role != "baffle":
            for wall in _pieces(face, strips(face, joints, panels), across(face, AXES[kind])):
                walls.setdefault(wall)
    alike = {(wall.span, wall.sheet, wall.grain): wall for wall in reversed(walls)}
    return replace(bare, walls=tuple(reversed(alike.values())))


def _pieces(face: Face, against: Sequence[Strip], way: int) -> list[WallStrip]:
    """A wall between what splits it the other way already, by its mean span."""
    panel, bounds = face.panel, face.shape.bounds
    try:
        sheet = sheet_of(panel.material, 1e-3 * panel.thickness)
    except ValueError:
        return []
    low = float(bounds[1 - way])
    mean = float(face.shape.area) / float(bounds[way + 2] - bounds[way])
    taken = sorted((s.low, s.high) for s in against if s.along == way)
    ends = [low, *(end for pair in taken for end in pair), low + mean]
    grain = "across" if panel.grain == ("u", "v")[way] else "along"
    spans = [1e-3 * (b - a) for a, b in zip(ends[::2], ends[1::2], strict=True)]
    return [WallStrip(panel.name, round(span, 6), sheet, grain) for span in spans
            if span > sheet.thickness / THICKEST]

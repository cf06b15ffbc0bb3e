"""What is searched: families of candidates, each a grid over one driver in one loading.

A family's cells are its volumes, front volumes and tunings; each cell is combined with every port
and every high-pass of the family, since neither changes what must be solved. A candidate is known
by its number: counted through the families in order, then cells, ports and high-passes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.bass.inputs import ChamberInput
from speakerwright.bass.port import PortCase
from speakerwright.bass.result import Need
from speakerwright.circuits.parts import Real
from speakerwright.design.sections.bass import BassChamber, HighPass, Port
from speakerwright.design.sections.loadings import FrontChamber

Numbers = NDArray[np.int64]

SEARCHED = ("closed", "vented", "passive-radiator", "band-pass-4")
CELLS = 192
"""Cells in one chunk of work: small enough to stay in a processor's cache."""


@dataclass(frozen=True)
class Bounds:
    """What a candidate may be; volumes in m³.

    `inside` is the largest net volume with all that stands in it, infinite where the brief does
    not bound it. `behind_port` (m) is the room behind a port's mouth, None where it is not
    decided; then a port is at most as long as a cube of the same air is wide (rule of thumb).
    `short_db` and `short_share` are how far headroom and lowest frequency may miss the brief,
    `peak_db` how far the response of a box that does not pass a band may stand above its
    asymptote (rules of thumb).
    """

    inside: float = math.inf
    behind_port: float | None = None
    short_db: float = 3.0
    short_share: float = 0.12
    peak_db: float = 3.0


@dataclass(frozen=True)
class Tube:
    """A port without its tuning: one opening of `count`, sizes in m."""

    shape: str
    count: int = 1
    bore: float | None = None
    width: float | None = None
    height: float | None = None
    wall: float = 0.003
    centres: float | None = None
    walls_shared: int = 0

    def port(self, tuning: float) -> Port:
        """The section of a port of this opening tuned to a frequency in Hz."""
        return Port.model_construct(**vars(self), tuning=tuning)

    @property
    def area(self) -> float:
        """Area of all openings, m²."""
        if self.bore is not None:
            return self.count * math.pi * self.bore**2 / 4.0
        return self.count * (self.width or 0.0) * (self.height or 0.0)

    @property
    def section(self) -> float:
        """What a metre of all tubes takes from the inside with its walls, m²."""
        if self.bore is not None:
            return self.count * math.pi * (self.bore + 2.0 * self.wall) ** 2 / 4.0
        height = (self.height or 0.0) + (1 if self.walls_shared else 2) * self.wall
        width = (self.width or 0.0) + (0 if self.walls_shared == 3 else 2) * self.wall
        return self.count * height * width

    def ends(self, inputs: ChamberInput) -> float:
        """Both end corrections in m, with nothing in front of the inner end."""
        case = PortCase(self.port(50.0), 1.0, inputs.air, replace(inputs.seat, behind_mouth=None),
                        inputs.on_floor)
        return case.inner_end(1.0) + case.outer_end()


@dataclass(frozen=True)
class Guard:
    """A protective high-pass, Butterworth: its order, and its corner as a share.

    Of the tuning where there is one that unloads the cone, else of the brief's lowest frequency.
    """

    order: int
    share: float


@dataclass(frozen=True)
class Family:
    """One driver record with a count and a wiring in one loading, and the grids of the rest.

    `inputs` has everything but the chamber's volume, port, passive radiators' mass and filter.
    `price` is for all drive units and passive radiators of one cabinet, None where one has none;
    `body` (m³) is what they take from the inside. `fronts` are front volumes as shares of the
    volume behind; `tunings` are those of the box, of the passive radiators or of the front chamber.
    A grid that a loading does not have holds one None.
    """

    record: str
    inputs: ChamberInput
    loading: str
    price: float | None
    body: float
    volumes: tuple[float, ...]
    fronts: tuple[float | None, ...] = (None,)
    tunings: tuple[float | None, ...] = (None,)
    tubes: tuple[Tube | None, ...] = (None,)
    guards: tuple[Guard | None, ...] = (None,)
    passive: str | None = None

    @property
    def cells(self) -> int:
        """How many circuits it needs."""
        return len(self.volumes) * len(self.fronts) * len(self.tunings)

    @property
    def inner(self) -> int:
        """How many candidates there are to a cell."""
        return len(self.tubes) * len(self.guards)

    @property
    def size(self) -> int:
        """How many candidates it has."""
        return self.cells * self.inner


@dataclass(frozen=True)
class Chunk:
    """A piece of work: the cells from `start` to `stop` of one family, from candidate `first`."""

    family: Family
    need: Need
    bounds: Bounds
    first: int
    start: int
    stop: int


@dataclass(frozen=True)
class Candidate:
    """One candidate: what is decided (SI), from a family's grids.

    `filter_order` and `filter_frequency` (Hz) are of the protective high-pass; `added_mass` (kg)
    is on each passive radiator.
    """

    number: int
    record: str
    count: int
    wiring: str
    loading: str
    volume: float
    front_volume: float | None
    tuning: float | None
    tube: Tube | None
    filter_order: int | None
    filter_frequency: float | None
    passive: str | None
    passive_count: int | None
    added_mass: float | None


@dataclass(frozen=True)
class Space:
    """All that is searched for one chamber.

    `key` stands for everything a result rests on; `left_out` says which records and loadings are
    not searched, and why.
    """

    key: str
    chamber: str
    families: tuple[Family, ...]
    need: Need
    bounds: Bounds
    left_out: tuple[str, ...] = ()

    @cached_property
    def firsts(self) -> tuple[int, ...]:
        """The number of each family's first candidate, and that after the last."""
        return (0, *np.cumsum([family.size for family in self.families]).tolist())

    @property
    def size(self) -> int:
        """How many candidates there are."""
        return self.firsts[-1]

    @property
    def cells(self) -> int:
        """How many circuits there are."""
        return sum(family.cells for family in self.families)

    def chunks(self) -> tuple[Chunk, ...]:
        """The work in pieces, the same for any number of workers."""
        return tuple(self._chunks())

    def _chunks(self) -> Iterator[Chunk]:
        for family, first in zip(self.families, self.firsts, strict=False):
            for start in range(0, family.cells, CELLS):
                yield Chunk(family, self.need, self.bounds, first + start * family.inner, start,
                            min(start + CELLS, family.cells))

    def find(self, number: int) -> tuple[Family, Candidate]:
        """The candidate of a number, with its family."""
        if not 0 <= number < self.size:
            raise ValueError(f"there is no candidate {number}")
        which = int(np.searchsorted(self.firsts, number, side="right")) - 1
        family = self.families[which]
        return family, candidate(family, self.need, self.firsts[which], number)


@dataclass(frozen=True, eq=False)
class Cells:
    """Some cells (m,) of a family: volumes and front volumes (m³), tunings (Hz), masses (kg).

    None where the loading has no such thing.
    """

    volume: Real
    front: Real | None
    tuning: Real | None
    added_mass: Real | None


def significant(values: Any, digits: int = 3) -> Real:
    """Values above zero rounded to some significant digits, as a maker would write them."""
    given = np.asarray(values, dtype=np.float64)
    scale = 10.0 ** (digits - 1 - np.floor(np.log10(given)))
    return np.asarray(np.round(given * scale) / scale)


def cells_of(family: Family, start: int, stop: int) -> Cells:
    """The cells from `start` to `stop` of a family, its volumes counted slowest."""
    shape = (len(family.volumes), len(family.fronts), len(family.tunings))
    v, w, t = np.unravel_index(np.arange(start, stop), shape)
    volume = np.array(family.volumes)[v]
    front = tuning = mass = None
    if family.fronts[0] is not None:
        front = significant(volume * np.array(family.fronts, dtype=np.float64)[w])
    if family.tunings[0] is not None:
        tuning = np.array(family.tunings, dtype=np.float64)[t]
    if family.inputs.passive is not None and tuning is not None:
        mass = _mass_added(family.inputs, volume, tuning)
    return Cells(volume, front, tuning, mass)


def _mass_added(inputs: ChamberInput, volume: Real, tuning: Real) -> Real:
    """Mass (kg) on each passive radiator for a tuning, to a tenth of a gram; below 0 for none."""
    drone, air = inputs.passive, inputs.air
    assert drone is not None
    box = air.density * air.speed**2 / volume
    stiffness = drone.count * drone.sd**2 * box + 1.0 / drone.cms
    return np.asarray(np.round(stiffness / (2.0 * math.pi * tuning) ** 2 - drone.mass, 4))


def corner(guard: Guard | None, tuning: Real | None, loading: str, lowest: float) -> Real | None:
    """Corner (Hz) of a high-pass; it follows the tuning where that unloads the cone below."""
    if guard is None:
        return None
    if tuning is not None and loading in ("vented", "passive-radiator"):
        return significant(guard.share * tuning)
    return significant(guard.share * lowest)


def candidate(family: Family, need: Need, first: int, number: int) -> Candidate:
    """The candidate of a number in a family whose first is `first`."""
    cell, inner = divmod(number - first, family.inner)
    k, g = divmod(inner, len(family.guards))
    cells, tube, guard = cells_of(family, cell, cell + 1), family.tubes[k], family.guards[g]
    frequency = _one(corner(guard, cells.tuning, family.loading, need.lowest))
    drone = family.inputs.passive
    return Candidate(
        number, family.record, family.inputs.count, family.inputs.wiring, family.loading,
        float(cells.volume[0]), _one(cells.front), _one(cells.tuning), tube,
        None if guard is None else guard.order, frequency,
        family.passive, None if drone is None else drone.count, _one(cells.added_mass),
    )


def _one(values: Real | None) -> float | None:
    return None if values is None else float(np.ravel(values)[0])


def chamber_input_of(family: Family, found: Candidate) -> ChamberInput:
    """What a candidate's bass is worked out from in full."""
    inputs, drone = family.inputs, family.inputs.passive
    if drone is not None and found.added_mass is not None:
        drone = replace(drone, mass=drone.mass + found.added_mass)
    return replace(inputs, chamber=_chamber(inputs.chamber, found), passive=drone)


def _chamber(plain: BassChamber, found: Candidate) -> BassChamber:
    decided: dict[str, Any] = {"loading": found.loading, "volume": found.volume}
    if found.tube is not None and found.tuning is not None:
        port = found.tube.port(found.tuning)
        if found.front_volume is not None:
            decided["front"] = FrontChamber.model_construct(volume=found.front_volume, port=port)
        else:
            decided["port"] = port
    if found.filter_order is not None:
        decided["high_pass"] = HighPass.model_construct(
            order=found.filter_order, frequency=found.filter_frequency)
    return plain.model_copy(update=decided)

"""The search space of one chamber of a design: which families, on which grids.

Every number here that bounds or divides a grid is a rule of thumb.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from speakerwright.bass.inputs import ChamberInput, Seat, chamber_input
from speakerwright.bass.result import Need
from speakerwright.bass.search.space import (
    SEARCHED,
    Bounds,
    Family,
    Guard,
    Space,
    Tube,
    significant,
)
from speakerwright.design.document import Design
from speakerwright.design.motor import Incomplete, figure
from speakerwright.design.records import Record
from speakerwright.design.sections.drivers import DriverChoice
from speakerwright.design.sections.loadings import Passive
from speakerwright.design.values import digest, nearest
from speakerwright.words.errors import DesignError, DesignErrors

VERSION = 1
"""Counted up when the search comes to give something else for the same design."""

VOLUME_SPAN = (0.125, 2.0)  # of the drivers' Vas together
TUNING_SPAN = (0.6, 1.6)  # of the brief's lowest frequency
FRONT_SPAN = (0.9, 4.0)
FRONT_SHARES = (0.35, 0.6, 1.0, 1.7)
BORES = (0.05, 0.068, 0.1, 0.125, 0.15)
SLOT_HEIGHTS = (0.025, 0.04, 0.06, 0.09)
SLOT_WIDTH = 0.3  # where the cabinet's width is not decided
SPACING = 1.5  # bores from centre to centre
NEEDED = (Guard(2, 0.75), Guard(4, 0.75), Guard(4, 0.9))
OPTIONAL = (None, Guard(2, 0.75))
SHEET = 0.018


@dataclass(frozen=True)
class Asked:
    """What is to be searched; everything there is where nothing is said.

    `volumes` and `tunings` are how many steps each grid has.
    """

    records: tuple[str, ...] = ()
    loadings: tuple[str, ...] = SEARCHED
    counts: tuple[int, ...] = (1, 2)
    volumes: int = 16
    tunings: int = 10

    @property
    def key(self) -> str:
        """Digest of what is asked."""
        return digest(asdict(self))


def key_of(design: Design, name: str, asked: Asked) -> str:
    """Digest of everything that a search for one chamber rests on; cheap to ask."""
    decided = design.decided
    chamber, cabinet = decided.bass[name], decided.cabinet
    records = {n: r.key for n, r in design.records.items() if r.what != "horn"}
    return digest([
        VERSION, asked.key, decided.brief.key, None if cabinet is None else
        [cabinet.width, cabinet.height, cabinet.depth, cabinet.sheet, cabinet.closes,
         {n: room.height for n, room in cabinet.chambers.items()}],
        chamber.losses.key, chamber.source_resistance, list(chamber.loads), name,
        list(decided.bass),
        {n: over.key for n, over in decided.crossover.items()}, records,
    ])


def space_of(
    design: Design, name: str, seat: Seat, need: Need, asked: Asked | None = None
) -> Space:
    """The search space of a chamber.

    Parameters
    ----------
    design : Design
    name : str
        The chamber's name.
    seat : Seat
        The room that the cabinet's decided sizes leave; None in it for what they leave free.
    need : Need
        What the brief asks of this chamber.
    asked : Asked, optional

    Raises
    ------
    DesignErrors
        For a chamber, record or loading that there is not.
    """
    wanted = asked if asked is not None else Asked()
    _check(design, name, wanted)
    left_out: list[str] = []
    bounds = _bounds(design, seat)
    ground = _Ground(design, name, seat, need, bounds, wanted)
    families = tuple(
        family for record, count, wiring in list(_choices(design, wanted, left_out))
        for loading in wanted.loadings
        for family in _families(ground, _Choice(record, count, wiring, loading))
    )
    if "passive-radiator" in wanted.loadings and not _drones(design):
        left_out.append("No passive radiator is searched: no record of one has all its figures.")
    return Space(key_of(design, name, wanted), name, families, need, bounds, tuple(left_out))


def _check(design: Design, name: str, asked: Asked) -> None:
    errors = []
    if name not in design.decided.bass:
        errors.append(_unknown("bass", f"chamber '{name}'", name, [*design.decided.bass]))
    cones = [n for n, record in design.records.items() if record.type == "cone"]
    errors += [_unknown("records", f"record of a cone driver '{record}'", record, cones)
               for record in asked.records if record not in cones]
    errors += [_unknown("loadings", f"loading '{loading}' to search", loading, [*SEARCHED])
               for loading in asked.loadings if loading not in SEARCHED]
    if errors:
        raise DesignErrors(errors)


def _unknown(where: str, what: str, word: str, known: list[str]) -> DesignError:
    near = nearest(word, known)
    hint = f"Did you mean '{near}'?" if near else f"Known: {', '.join(known) or 'none'}."
    return DesignError(where, f"there is no {what}.", hint)


@dataclass(frozen=True)
class _Choice:
    record: str
    count: int
    wiring: str
    loading: str


def _choices(
    design: Design, asked: Asked, left_out: list[str]
) -> Iterator[tuple[str, int, str]]:
    """Every record, count and wiring; what lacks a figure is told."""
    for name, record in sorted(design.records.items()):
        if record.type != "cone" or (asked.records and name not in asked.records):
            continue
        missing = _missing(record)
        if missing:
            left_out.append(f"{record.name} is not searched: its record does not give or imply "
                            f"{', '.join(missing)}.")
            continue
        if record.price is None:
            left_out.append(f"{record.name} has no price in its record, so it comes last.")
        for count in asked.counts:
            for wiring in ("single",) if count == 1 else ("parallel", "series"):
                yield name, count, wiring


def _missing(record: Record) -> tuple[str, ...]:
    """Figures without which a limit or the circuit is not known."""
    from speakerwright.acoustics.air import Air
    from speakerwright.design.motor import motor

    missing: tuple[str, ...] = ()
    try:
        motor(record, Air())
    except Incomplete as error:
        missing = error.missing
    return (*missing, *(n for n in ("xmax", "power") if figure(record, n)[0] is None))


def _drones(design: Design) -> list[str]:
    """Records of passive radiators whose figures are all there."""
    from speakerwright.acoustics.air import Air
    from speakerwright.design.motor import suspended

    found = []
    for name, record in sorted(design.records.items()):
        if record.what != "passive radiator" or figure(record, "xmax")[0] is None:
            continue
        try:
            suspended(record, Air())
        except Incomplete:
            continue
        found.append(name)
    return found


def _bounds(design: Design, seat: Seat) -> Bounds:
    size, cabinet = design.decided.brief.size, design.decided.cabinet
    sheet = SHEET if cabinet is None else cabinet.sheet
    inside = math.inf
    if size.width is not None and size.height is not None and size.depth is not None:
        clear = [max(x - 2.0 * sheet, 0.0) for x in (size.width, size.height, size.depth)]
        inside = math.prod(clear)
    room = seat.behind_mouth
    if room is None and size.depth is not None:
        room = max(size.depth - sheet, 0.0)
    return Bounds(inside=inside, behind_port=room)


# --- families -------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Ground:
    """What all families of a space share."""

    design: Design
    name: str
    seat: Seat
    need: Need
    bounds: Bounds
    asked: Asked


def _families(ground: _Ground, choice: _Choice) -> Iterator[Family]:
    """One driver in one loading: one family, or one for every passive radiator."""
    if choice.loading != "passive-radiator":
        yield from _family(ground, choice, None)
        return
    for drone in _drones(ground.design):
        for count in ground.asked.counts:
            yield from _family(ground, choice, Passive.model_construct(record=drone, count=count))


def _family(ground: _Ground, choice: _Choice, passive: Passive | None) -> Iterator[Family]:
    """A family, or none where no volume lies within the bounds."""
    design, asked = ground.design, ground.asked
    inputs = template(design, ground.name, ground.seat, choice.record, choice.count,
                      choice.wiring, passive)
    vas = inputs.motor.vas(inputs.air) * choice.count
    most = min(VOLUME_SPAN[1] * vas, ground.bounds.inside)
    volumes = _grid(VOLUME_SPAN[0] * vas, most, asked.volumes)
    if not volumes:
        return
    bodies = [(design.record(choice.record), choice.count)]
    if passive is not None:
        bodies.append((design.record(passive.record), passive.count))
    yield Family(
        choice.record, inputs, choice.loading, _price(bodies),
        sum((record.body.volume or 0.0) * count for record, count in bodies),
        volumes, passive=None if passive is None else passive.record,
        **_axes(choice.loading, inputs, ground.need, asked),
    )


def _price(bodies: list[tuple[Record, int]]) -> float | None:
    total = 0.0
    for record, count in bodies:
        if record.price is None:
            return None
        total += record.price * count
    return total


def _axes(loading: str, inputs: ChamberInput, need: Need, asked: Asked) -> dict[str, Any]:
    """The grids that a loading has besides its volumes."""
    needed: tuple[Guard | None, ...] = NEEDED
    optional: tuple[Guard | None, ...] = OPTIONAL
    if inputs.hand_over is not None:  # the hand-over from below protects it
        needed = optional = (None,)
    tunings = _grid(TUNING_SPAN[0] * need.lowest, TUNING_SPAN[1] * need.lowest, asked.tunings)
    if loading == "closed":
        return {"guards": optional}
    if loading == "passive-radiator":
        return {"tunings": tunings, "guards": needed}
    if loading == "vented":
        return {"tunings": tunings, "guards": needed, "tubes": tubes(inputs.seat)}
    fronts = _grid(FRONT_SPAN[0] * need.lowest, FRONT_SPAN[1] * need.lowest, asked.tunings)
    return {"fronts": FRONT_SHARES, "tunings": fronts, "guards": optional,
            "tubes": tubes(replace(inputs.seat, width=None, height=None))}


def _grid(low: float, high: float, steps: int) -> tuple[float, ...]:
    """A geometric grid, each step rounded as a maker would write it; empty where there is none."""
    if not low <= high:
        return ()
    found = significant(np.geomspace(low, high, max(steps, 1)))
    return tuple(dict.fromkeys(found.tolist()))


def tubes(seat: Seat) -> tuple[Tube, ...]:
    """The ports to try: one or two round ones of every bore, and slots across the box.

    Without a decided width a slot is 300 mm wide and shares one wall.
    """
    found = [Tube("round", 1, bore=bore) for bore in BORES]
    found += [Tube("round", 2, bore=bore, centres=SPACING * bore) for bore in BORES]
    across = seat.width is not None
    width = seat.width if seat.width is not None else SLOT_WIDTH
    found += [
        Tube("slot", 1, width=width, height=height, wall=seat.baffle,
             walls_shared=3 if across else 1)
        for height in SLOT_HEIGHTS if height <= width
    ]
    return tuple(found)


def template(
    design: Design, name: str, seat: Seat, record: str, count: int, wiring: str,
    passive: Passive | None = None,
) -> ChamberInput:
    """A chamber's inputs with another record in it, and nothing else decided about the box."""
    decided = design.decided
    job = decided.bass[name].loads[0]
    choice = DriverChoice.model_construct(record=record, count=count, wiring=wiring)
    bare: Mapping[str, Any] = dict.fromkeys(
        ("port", "front", "line", "horn", "baffle", "fill", "high_pass"))
    chamber = decided.bass[name].model_copy(
        update={**bare, "loading": "closed", "volume": None, "passive": passive})
    changed = decided.model_copy(update={
        "drivers": {**decided.drivers, job: choice}, "bass": {**decided.bass, name: chamber}})
    return chamber_input(replace(design, decided=changed), name, seat)

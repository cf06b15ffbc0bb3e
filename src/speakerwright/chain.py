"""One design snapshot in, every stage's result out: who reads what, and what is kept.

Results flow drivers -> brief -> sizes -> bass -> cabinet -> cutting -> plan. One loop is allowed
and lives here: `settle` finds a free size of the cabinet together with the port's length. Each
result is kept in one bounded memo under a key made of digests of what it rests on; nothing hashes
or compares an array. What only some designs need (solids, layouts) is imported when needed.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from speakerwright import __version__
from speakerwright.acoustics.air import Air
from speakerwright.bass import stage as bass
from speakerwright.bass.inputs import Seat
from speakerwright.bass.port import PortCase, length_for
from speakerwright.bass.result import BassResult, ChamberResult, Need
from speakerwright.brief import stage as brief
from speakerwright.brief.result import BriefResult
from speakerwright.cabinet.inputs import BuiltPort, displaced
from speakerwright.cabinet.sizes import (
    Settled,
    Sizes,
    closing_room,
    free_size,
    resolve,
    with_clear,
)
from speakerwright.design.document import Design
from speakerwright.design.motor import Incomplete
from speakerwright.design.values import digest
from speakerwright.drivers import stage as drivers
from speakerwright.drivers.stage import DriversResult
from speakerwright.plan.stage import Results, publish, system_of
from speakerwright.words.blocks import Chapter
from speakerwright.words.findings import Finding, Verdict, with_reason, worst
from speakerwright.words.stages import built

if TYPE_CHECKING:
    from speakerwright.cabinet.result import CabinetResult
    from speakerwright.cutting.stage import CuttingResult

T = TypeVar("T")


class Memo:
    """Results under their keys, the least recently used given up first; counts its calls."""

    def __init__(self, most: int = 256) -> None:
        self.most = most
        self.kept: OrderedDict[str, Any] = OrderedDict()
        self.calls: dict[str, int] = {}

    def get(self, function: str, key: Any, make: Callable[[], T]) -> T:
        """The result for a key, made once."""
        full = digest([function, __version__, key])
        if full in self.kept:
            self.kept.move_to_end(full)
            found: T = self.kept[full]
            return found
        self.calls[function] = self.calls.get(function, 0) + 1
        made = make()
        self.kept[full] = made
        if len(self.kept) > self.most:
            self.kept.popitem(last=False)
        return made


@dataclass(frozen=True, eq=False)
class Workup:
    """Everything worked out from one design; None for what was not asked for or not decided."""

    design: Design
    brief: BriefResult
    drivers: DriversResult
    settled: Settled | None
    bass: BassResult
    cabinet: CabinetResult | None
    cutting: CuttingResult | None
    findings: Mapping[str, tuple[Finding, ...]]

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """The findings of all stages, in the order of work."""
        return tuple(finding for found in self.findings.values() for finding in found)

    def verdict(self, stage: str) -> Verdict:
        """The worst verdict of one stage."""
        return worst(self.findings.get(stage, ()))

    @property
    def stops(self) -> bool:
        """Whether some finding stops publishing."""
        return any(finding.stops for finding in self.all_findings)


MEMO = Memo()


def work(design: Design, memo: Memo | None = None, *, last: str = "cutting") -> Workup:
    """Work a design out, up to the stage named `last`; what has not changed is taken from the memo.

    While a hand is on a slider of the bass, nobody waits for solids and layouts.
    """
    kept = memo if memo is not None else MEMO
    decided = design.decided
    found_drivers, found_brief = _first(design, kept)
    settled = kept.get("settle", _settle_key(design), lambda: settle(design))
    found_bass = _bass(design, found_brief, settled, kept)
    wanted = built()[: built().index(last) + 1] if last in built() else built()
    cabinet = cutting = None
    if settled is not None and "cabinet" in wanted:
        cabinet = _cabinet(design, settled, found_bass, kept)
    if cabinet is not None and decided.cutting is not None and "cutting" in wanted:
        cutting = _cutting(design, cabinet, kept)
    findings = {
        "brief": found_brief.findings,
        "drivers": found_drivers.findings,
        "bass": found_bass.findings,
        "cabinet": () if cabinet is None else cabinet.findings,
        "cutting": () if cutting is None else cutting.findings,
    }
    if settled is not None and not settled.closed:
        findings["cabinet"] = (_unsettled(settled),)
    accepted = {
        stage: tuple(_accepted(design, found)) for stage, found in findings.items()
    }
    return Workup(design, found_brief, found_drivers, settled, found_bass, cabinet, cutting,
                  accepted)


def _first(design: Design, kept: Memo) -> tuple[DriversResult, BriefResult]:
    decided = design.decided
    found = kept.get(
        "drivers",
        [{job: choice.key for job, choice in decided.drivers.items()}, _named_keys(design),
         {name: over.key for name, over in decided.crossover.items()}, decided.brief.air.key],
        lambda: drivers.work(design),
    )
    cost = _budget_cost(design, found)
    low, high = found.least_sensitive_db, found.most_sensitive_db
    return found, kept.get(
        "brief", [decided.brief.key, low, high, cost],
        lambda: brief.work(decided.brief, low, high, cost),
    )


def _named_keys(design: Design) -> dict[str, str]:
    """Keys of the records that some driver or horn is."""
    named = {name for choice in design.decided.drivers.values()
             for name in (choice.record, choice.horn) if name is not None}
    return {name: key for name, key in _record_keys(design).items() if name in named}


def _record_keys(design: Design) -> dict[str, str]:
    return {name: record.key for name, record in design.records.items()}


def _budget_cost(design: Design, found: DriversResult) -> float | None:
    budget = design.decided.brief.budget
    if budget is None or found.cost is None:
        return None
    return found.cost * budget.cabinets


def _accepted(design: Design, found: tuple[Finding, ...]) -> Iterator[Finding]:
    for finding in found:
        reason = design.decided.accepted.get(finding.name)
        yield finding if reason is None else with_reason(finding, reason.reason, reason.value)


def _bass(
    design: Design, found: BriefResult, settled: Settled | None, kept: Memo
) -> BassResult:
    chambers: dict[str, ChamberResult] = {}
    findings: list[Finding] = []
    decided, records = design.decided, _record_keys(design)
    for name, chamber in decided.bass.items():
        job = chamber.loads[0]
        choice = decided.drivers[job]
        seat, need = seat_of(settled, name), need_of(design, found, name)
        key = [name, chamber.key, choice.key, records[choice.record], vars(seat), vars(need),
               decided.brief.place.key, decided.brief.amplifier.key, decided.brief.air.key,
               {n: o.key for n, o in decided.crossover.items()}]
        try:
            result = kept.get("bass", key, lambda: bass.work(design, name, seat, need))  # noqa: B023
        except Incomplete as error:
            findings.append(_not_worked_out(design, name, error))
            continue
        chambers[name] = result
        findings += result.findings
    return BassResult(chambers, tuple(findings))


def _not_worked_out(design: Design, name: str, error: Incomplete) -> Finding:
    record = design.record(design.decided.drivers[design.decided.bass[name].loads[0]].record)
    return Finding(
        "chamber_worked_out", f"bass.{name}", Verdict.FAILS, None, None, "ratio",
        f"The record of {record.name} does not give or imply {', '.join(error.missing)}.",
        "Type more of the datasheet into the record.",
    )


def seat_of(settled: Settled | None, chamber: str) -> Seat:
    """The room that the cabinet's sizes leave a chamber's port and magnet."""
    if settled is None or not settled.closed:
        return Seat()
    return _seat(settled.sizes, chamber)


def _seat(sizes: Sizes, chamber: str) -> Seat:
    room = sizes.room(chamber)
    return Seat(
        behind_mouth=sizes.behind_front, depth=sizes.depth - 2.0 * sizes.sheet,
        width=sizes.width - 2.0 * sizes.sheet, height=None if room is None else room.height,
        baffle=sizes.sheet,
    )


ROUNDS = 60
CLOSE = 1e-9  # of the free size
SOLID_ROUNDS = 4
SOLID_CLOSE = 3e-5  # of the net volume, as the solids leave it


def _settle_key(design: Design) -> Any:
    decided = design.decided
    return [
        None if decided.cabinet is None else decided.cabinet.key,
        {name: [b.volume, None if b.port is None else b.port.key, list(b.loads)]
         for name, b in decided.bass.items()},
        {job: [c.key] for job, c in decided.drivers.items()},
        {job: m.key for job, m in decided.directivity.items()},
        {name: r.body.key for name, r in design.records.items()},
        decided.brief.air.key, decided.brief.place.key,
    ]


def settle(design: Design) -> Settled | None:
    """The cabinet's sizes, a free one closed on its net volume with the port's length in the loop.

    A bounded number of rounds: the size gives the room behind the port, the room gives the port's
    length, the length what the port displaces, and that the size. None without a cabinet.
    """
    cabinet = design.decided.cabinet
    if cabinet is None:
        return None
    chambers = tuple(design.decided.bass)
    which = free_size(cabinet, chambers)
    if which is None:
        return Settled(resolve(cabinet, chambers, None), None, 0, 0.0, True)
    name = closing_room(cabinet, chambers)
    if name not in design.decided.bass:
        return Settled(resolve(cabinet, chambers, 0.3), which, 0, 1.0, False)
    found = _closed(design, which, name, 0.0)
    for _ in range(SOLID_ROUNDS):
        if not found.closed:
            break
        over = _over(design, found, name)
        if abs(over) < SOLID_CLOSE * design.decided.bass[name].volume:
            break
        again = _closed(design, which, name, found.unseen - over)
        found = replace(again, rounds=found.rounds + again.rounds)
    return found


def _closed(design: Design, which: str, name: str, unseen: float) -> Settled:
    """Close one free size; `unseen` (m³) is what stands in the room beyond the stated figures."""
    cabinet = design.decided.cabinet
    assert cabinet is not None
    chambers = tuple(design.decided.bass)
    volume, free, moved = design.decided.bass[name].volume, 0.3, 1.0
    for round_ in range(1, ROUNDS + 1):
        sizes = resolve(cabinet, chambers, free)
        room = sizes.room(name)
        if room is None or min(room.width, room.depth, room.height) <= 0.0:
            return Settled(sizes, which, round_, moved, False)
        taken = sum(v for _, v in displaced(design, sizes, room, _ports_now(design, sizes)))
        wanted = with_clear(which, room, volume + taken + unseen)
        moved = abs(wanted / free - 1.0)
        free = wanted
        if moved < CLOSE:
            sizes = resolve(cabinet, chambers, free)
            return Settled(sizes, which, round_, moved, True, unseen)
    return Settled(resolve(cabinet, chambers, free), which, ROUNDS, moved, False)


def _over(design: Design, found: Settled, name: str) -> float:
    """By how much (m³) the solids leave more air than asked, for rebates and odd bodies."""
    from speakerwright.cabinet import stage as cabinet

    net = cabinet.net_volumes(design, found.sizes, _ports_now(design, found.sizes)).get(name)
    return 0.0 if net is None else net - design.decided.bass[name].volume


def _ports_now(design: Design, sizes: Sizes) -> dict[str, BuiltPort]:
    """Every chamber's ports at their length in a cabinet of these sizes."""
    climate, place = design.decided.brief.air, design.decided.brief.place
    air = Air(climate.temperature, climate.pressure, climate.humidity)
    found = {}
    for name, chamber in design.decided.bass.items():
        port = chamber.port
        if port is None:
            continue
        case = PortCase(port, chamber.volume, air, _seat(sizes, name),
                        place.kind in ("floor", "corner"))
        length = port.length
        if length is None and port.tuning is not None:
            length = length_for(case, port.tuning)
            if length is None:
                free = replace(case, effects=replace(case.effects, facing=False))
                length = length_for(free, port.tuning)
        found[name] = built_port(port, length if length is not None else sizes.sheet)
    return found


def built_port(port: Any, length: float) -> BuiltPort:
    """A chamber's port as the cabinet builds it."""
    return BuiltPort(port.shape, port.count, length, port.bore, port.width, port.height,
                     port.wall, port.centres, port.walls_shared)


def _unsettled(settled: Settled) -> Finding:
    return Finding(
        "sizes_settle", "cabinet", Verdict.FAILS, None, None, "length",
        f"The free {settled.free} finds no size at which the net volume closes.",
        "Ask for another volume, or decide other sizes.",
    )


def _cabinet(
    design: Design, settled: Settled, found: BassResult, kept: Memo
) -> CabinetResult | None:
    from speakerwright.cabinet import stage as cabinet

    if not settled.closed:
        return None
    ports = {
        name: built_port(chamber.inputs.chamber.port, chamber.port.length)
        for name, chamber in found.chambers.items()
        if chamber.port is not None
    }
    decided = design.decided
    key = [_settle_key(design), {name: vars(port) for name, port in ports.items()},
           decided.brief.size.key, _named_keys(design)]
    return kept.get("cabinet", key, lambda: cabinet.work(design, settled, ports))


def _cutting(design: Design, found: CabinetResult, kept: Memo) -> CuttingResult:
    from speakerwright.cutting import stage as cutting

    section, cabinet = design.decided.cutting, design.decided.cabinet
    if section is None or cabinet is None:
        raise ValueError("nothing to cut")
    copies = design.decided.brief.system.cabinets
    key = [section.key, copies, [_panel_key(panel) for panel in found.panels]]
    return kept.get(
        "cutting", key, lambda: cutting.work(section, found.panels, cabinet.sheet, copies)
    )


def _panel_key(panel: Any) -> Any:
    """What the cutting of a panel rests on: its outline, thickness and cuts, to a nanometre."""
    return [
        panel.name, panel.outline.wkt, panel.thickness, panel.material, panel.grain,
        [[f.kind, f.shape.wkt, f.face, f.depth, f.label, f.circle] for f in panel.features],
    ]


def need_of(design: Design, found: BriefResult, chamber: str) -> Need:
    """What the brief asks of one chamber: its band ends at the hand-overs of its driver."""
    decided = design.decided
    job = decided.bass[chamber].loads[0]
    lowest, highest = decided.brief.lowest, decided.brief.highest or 1000.0
    drop = decided.brief.lowest_drop
    for name, over in decided.crossover.items():
        low, high = name.split("_")
        if low == job:
            highest = min(highest, over.frequency)
        if high == job:
            lowest, drop = over.frequency, 6.1
    return Need(
        peak_db=found.governing.needed_peak_db,
        average_db=found.governing.needed_average_db,
        spectrum=decided.brief.level.spectrum,
        lowest=lowest,
        lowest_drop_db=drop,
        highest=highest,
    )


def chapters(workup: Workup, system: str | None = None) -> dict[str, Chapter]:
    """Each worked-out stage's chapter, in the order of work, in a system of units."""
    from speakerwright.bass.chapter import chapter as bass_chapter
    from speakerwright.brief.chapter import chapter as brief_chapter
    from speakerwright.drivers.chapter import chapter as drivers_chapter

    design = workup.design
    currency = design.decided.plan.currency
    system = system or system_of(design)
    needs = {name: need_of(design, workup.brief, name) for name in workup.bass.chambers}
    found = {
        "brief": brief_chapter(design.decided.brief, workup.brief, currency, system),
        "drivers": drivers_chapter(workup.drivers, currency, system),
        "bass": bass_chapter(workup.bass, needs, design.decided.brief.place.kind, system),
    }
    if workup.cabinet is not None:
        from speakerwright.cabinet.chapter import chapter as cabinet_chapter

        found["cabinet"] = cabinet_chapter(design, workup.cabinet, system)
    if workup.cutting is not None:
        from speakerwright.cutting.chapter import chapter as cutting_chapter

        found["cutting"] = cutting_chapter(workup.cutting, currency, system)
    return found


def plan_pdf(workup: Workup) -> bytes:
    """The plan as PDF bytes; the same for the same design on any day and machine."""
    results = Results(workup.brief, workup.drivers, workup.bass, workup.cabinet, workup.cutting)
    return publish(workup.design, results, tuple(chapters(workup).values()), workup.findings)


def cut_files(workup: Workup) -> dict[str, bytes]:
    """The files that cut the wood, by relative name; empty without a cutting section."""
    if workup.cutting is None:
        return {}
    from speakerwright.cutting.files import files

    return files(workup.cutting)

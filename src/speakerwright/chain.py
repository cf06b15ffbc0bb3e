"""One design snapshot in, every stage's result out: who reads what, and what is kept.

Results flow drivers -> brief -> bass. Each is kept in one bounded memo under a key made of digests
of what it rests on; nothing hashes or compares an array.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from speakerwright import __version__
from speakerwright.bass import stage as bass
from speakerwright.bass.inputs import Seat
from speakerwright.bass.result import BassResult, ChamberResult, Need
from speakerwright.brief import stage as brief
from speakerwright.brief.result import BriefResult
from speakerwright.cabinet.shell import clear
from speakerwright.design.document import Design
from speakerwright.design.motor import Incomplete
from speakerwright.design.values import digest
from speakerwright.drivers import stage as drivers
from speakerwright.drivers.stage import DriversResult
from speakerwright.plan.stage import publish, system_of
from speakerwright.words.blocks import Chapter
from speakerwright.words.findings import Finding, Verdict, with_reason, worst

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
    """Everything worked out from one design."""

    design: Design
    brief: BriefResult
    drivers: DriversResult
    bass: BassResult
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


def work(design: Design, memo: Memo | None = None) -> Workup:
    """Work a design out; what has not changed since is taken from the memo."""
    kept = memo if memo is not None else MEMO
    decided = design.decided
    records = {name: record.key for name, record in design.records.items()}
    found_drivers = kept.get(
        "drivers",
        [{job: choice.key for job, choice in decided.drivers.items()}, records,
         {name: over.key for name, over in decided.crossover.items()}, decided.brief.air.key],
        lambda: drivers.work(design),
    )
    cost = _budget_cost(design, found_drivers)
    found_brief = kept.get(
        "brief",
        [decided.brief.key, found_drivers.least_sensitive_db, found_drivers.most_sensitive_db,
         cost],
        lambda: brief.work(
            decided.brief, found_drivers.least_sensitive_db, found_drivers.most_sensitive_db, cost
        ),
    )
    found_bass = _bass(design, found_brief, kept, records)
    findings = {
        "brief": found_brief.findings,
        "drivers": found_drivers.findings,
        "bass": found_bass.findings,
    }
    accepted = {stage: tuple(_accepted(design, found)) for stage, found in findings.items()}
    return Workup(design, found_brief, found_drivers, found_bass, accepted)


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
    design: Design, found: BriefResult, kept: Memo, records: Mapping[str, str]
) -> BassResult:
    chambers: dict[str, ChamberResult] = {}
    findings: list[Finding] = []
    decided = design.decided
    for name, chamber in decided.bass.items():
        job = chamber.loads[0]
        choice = decided.drivers[job]
        seat, need = seat_of(design, name), need_of(design, found, name)
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


def seat_of(design: Design, chamber: str) -> Seat:
    """The room that the cabinet's decided sizes leave a chamber's port and magnet."""
    cabinet = design.decided.cabinet
    if cabinet is None:
        return Seat()
    space = clear(cabinet, chamber)
    return Seat(
        behind_mouth=space.behind_front, depth=space.depth, width=space.width,
        height=space.height, baffle=space.sheet, braces=space.braces,
    )


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
    return {
        "brief": brief_chapter(design.decided.brief, workup.brief, currency, system),
        "drivers": drivers_chapter(workup.drivers, currency, system),
        "bass": bass_chapter(workup.bass, needs, design.decided.brief.place.kind, system),
    }


def plan_pdf(workup: Workup) -> bytes:
    """The plan as PDF bytes; the same for the same design on any day and machine."""
    results = (workup.brief, workup.drivers, workup.bass)
    return publish(workup.design, results, tuple(chapters(workup).values()), workup.findings)

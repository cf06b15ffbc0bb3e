"""What is worked out, from one design snapshot, stage by stage.

Results flow drivers -> brief -> sizes -> bass -> cabinet -> cutting -> plan. One loop is allowed
and lives here: `settle` finds a free size of the cabinet together with the port's length. Each
result is kept in one bounded memo under a key made of digests of what it rests on; nothing hashes
or compares an array. What only some designs need (solids, layouts) is imported when needed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from speakerwright.bass import stage as bass
from speakerwright.bass.result import BassResult, ChamberResult, Need
from speakerwright.brief import stage as brief
from speakerwright.brief.result import BriefResult
from speakerwright.cabinet.sizes import Settled
from speakerwright.chain.memo import MEMO, Memo
from speakerwright.chain.sizing import built_port, seat_of, settle, settle_key
from speakerwright.design.document import Design
from speakerwright.design.motor import Incomplete
from speakerwright.drivers import stage as drivers
from speakerwright.drivers.stage import DriversResult
from speakerwright.words.findings import Finding, Verdict, with_reason, worst
from speakerwright.words.stages import built

if TYPE_CHECKING:
    from speakerwright.cabinet.result import CabinetResult
    from speakerwright.cutting.stage import CuttingResult

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


def work(design: Design, memo: Memo | None = None, *, last: str = "cutting") -> Workup:
    """Work a design out, up to the stage named `last`; what has not changed is taken from the memo.

    While a hand is on a slider of the bass, nobody waits for solids and layouts: up to the bass a
    free size of the cabinet is closed on stated volumes only.
    """
    kept = memo if memo is not None else MEMO
    decided = design.decided
    found_drivers, found_brief = _first(design, kept)
    wanted = built()[: built().index(last) + 1] if last in built() else built()
    solids = "cabinet" in wanted
    settled = kept.get(
        "settle", settle_key(design, solids=solids), lambda: settle(design, solids=solids)
    )
    found_bass = _bass(design, found_brief, settled, kept)
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
         {name: over.key for name, over in decided.crossover.items()}, decided.brief.air.key,
         {name: None if chamber.passive is None else chamber.passive.key
          for name, chamber in decided.bass.items()}],
        lambda: drivers.work(design),
    )
    cost = _budget_cost(design, found)
    low, high = found.least_sensitive_db, found.most_sensitive_db
    return found, kept.get(
        "brief", [decided.brief.key, low, high, cost],
        lambda: brief.work(decided.brief, low, high, cost),
    )


def _named_keys(design: Design) -> dict[str, str]:
    """Keys of the records that some driver, horn or passive radiator is."""
    named = {name for choice in design.decided.drivers.values()
             for name in (choice.record, choice.horn) if name is not None}
    named |= {chamber.passive.record for chamber in design.decided.bass.values()
              if chamber.passive is not None}
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


def with_findings(workup: Workup, stage: str, found: tuple[Finding, ...]) -> Workup:
    """The workup with more findings of a stage: those of what is worked out on request.

    Recorded reasons count for them as for all others.
    """
    more = tuple(_accepted(workup.design, found))
    return replace(workup, findings={**workup.findings,
                                     stage: (*workup.findings.get(stage, ()), *more)})


def _bass(
    design: Design, found: BriefResult, settled: Settled | None, kept: Memo
) -> BassResult:
    chambers: dict[str, ChamberResult] = {}
    findings: list[Finding] = []
    decided, records = design.decided, _record_keys(design)
    for name, chamber in decided.bass.items():
        job = chamber.loads[0]
        choice = decided.drivers[job]
        seat, need = seat_of(design, settled, name), need_of(design, found, name)
        drone = None if chamber.passive is None else records[chamber.passive.record]
        key = [name, chamber.key, choice.key, records[choice.record], drone, vars(seat),
               vars(need),
               decided.brief.place.key, decided.brief.amplifier.key, decided.brief.air.key,
               decided.brief.seats.key, decided.brief.system.key,
               None if decided.brief.screen is None else decided.brief.screen.key,
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


def _unsettled(settled: Settled) -> Finding:
    if settled.why:
        says = f"Walls of these sizes cannot be cut: {settled.why}."
    elif settled.free is None:
        says = "The sheets leave no room inside: some chamber has no height, width or depth."
    else:
        says = f"The free {settled.free} finds no size at which the net volume closes."
    return Finding("sizes_settle", "cabinet", Verdict.FAILS, None, None, "length", says,
                   "Ask for another volume, or decide other sizes.")


def _cabinet(
    design: Design, settled: Settled, found: BassResult, kept: Memo
) -> CabinetResult | None:
    from speakerwright.cabinet import stage as cabinet

    if not settled.closed:
        return None
    ports = {
        name: built_port(chamber.inputs.chamber.port, chamber.port.length, settled.sizes.sheet)
        for name, chamber in found.chambers.items()
        if chamber.port is not None
    }
    decided = design.decided
    key = [settle_key(design), {name: vars(port) for name, port in ports.items()},
           decided.brief.size.key, decided.brief.room is None, _named_keys(design)]
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
        panel.name, panel.outline.wkt, list(panel.bevels), panel.thickness, panel.material,
        panel.grain,
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

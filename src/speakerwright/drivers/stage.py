"""Work out the drivers: motors, agreement, throats, hand-overs, cost and mass."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from speakerwright.acoustics.air import Air
from speakerwright.design.document import Design
from speakerwright.design.motor import Incomplete, Motor, figure, motor
from speakerwright.design.records import Record, Throat
from speakerwright.design.sections.drivers import DriverChoice
from speakerwright.drivers.agreement import Relation, relations
from speakerwright.words.evidence import Evidence
from speakerwright.words.findings import Finding, Verdict, judge, unknown

AGREES = 0.05  # of the figure: rule of thumb
AGREES_DB = 1.0  # rule of thumb


@dataclass(frozen=True, eq=False)
class JobResult:
    """One job: its record and horn, motor, relations, sensitivity of all its drivers together.

    `sensitivity_db` is for 2.83 V at 1 m at the terminals of the whole job; `load` its resistance
    in Ω; None where the record does not say.
    """

    job: str
    choice: DriverChoice
    record: Record
    horn: Record | None
    motor: Motor | None
    relations: tuple[Relation, ...]
    sensitivity_db: float | None
    sensitivity_from: Evidence
    load: float | None


@dataclass(frozen=True, eq=False)
class DriversResult:
    """All jobs, what they cost and weigh per cabinet, and the findings.

    `units` are all drive units, horns and passive radiators of one cabinet, each with its count.
    """

    jobs: Mapping[str, JobResult]
    units: tuple[tuple[Record, int], ...]
    cost: float | None
    mass: float | None
    findings: tuple[Finding, ...]

    @property
    def least_sensitive_db(self) -> float | None:
        """The least sensitive job's level for 2.83 V at 1 m, dB."""
        return min(self._known(), default=None)

    @property
    def most_sensitive_db(self) -> float | None:
        """The most sensitive job's level for 2.83 V at 1 m, dB."""
        return max(self._known(), default=None)

    def _known(self) -> list[float]:
        return [j.sensitivity_db for j in self.jobs.values() if j.sensitivity_db is not None]


def work(design: Design) -> DriversResult:
    """Work out every job of a design."""
    climate = design.decided.brief.air
    air = Air(climate.temperature, climate.pressure, climate.humidity)
    jobs = {
        job: _job(job, choice, design, air) for job, choice in design.decided.drivers.items()
    }
    findings = [finding for job in jobs.values() for finding in _judged(job)]
    findings += _hand_overs(design, jobs)
    units = tuple(_units(design, jobs))
    return DriversResult(jobs, units, _total(units, "price"), _total(units, "mass"),
                         tuple(findings))


def _units(design: Design, jobs: Mapping[str, JobResult]) -> Iterator[tuple[Record, int]]:
    for job in jobs.values():
        for record in (job.record, job.horn):
            if record is not None:
                yield record, job.choice.count
    for chamber in design.decided.bass.values():
        if chamber.passive is not None:
            yield design.record(chamber.passive.record), chamber.passive.count


def _job(job: str, choice: DriverChoice, design: Design, air: Air) -> JobResult:
    record = design.record(choice.record)
    horn = design.record(choice.horn) if choice.horn is not None else None
    try:
        completed: Motor | None = motor(record, air)
    except Incomplete:
        completed = None
    level, evidence = _sensitivity(record, completed, choice, air)
    load = None
    if completed is not None:
        n = choice.count
        load = completed.coil.re * (n if choice.wiring == "series" else 1.0 / n)
    return JobResult(
        job, choice, record, horn, completed, relations(record, air), level, evidence, load
    )


def _sensitivity(
    record: Record, completed: Motor | None, choice: DriverChoice, air: Air
) -> tuple[float | None, Evidence]:
    """For 2.83 V across the whole job: in parallel n drivers add 20 lg n, in series nothing."""
    import math

    level, evidence = figure(record, "sensitivity")
    if level is None and completed is not None and record.type != "compression":
        level, evidence = completed.coil.sensitivity_2v83_db(air), Evidence.SIMULATED
    if level is None:
        return None, evidence
    gain = 20.0 * math.log10(choice.count) if choice.wiring == "parallel" else 0.0
    return level + gain, evidence


def _total(units: tuple[tuple[Record, int], ...], name: str) -> float | None:
    total = 0.0
    for record, count in units:
        value = getattr(record, name)
        if value is None:
            return None
        total += value * count
    return total


def _judged(job: JobResult) -> Iterator[Finding]:
    where = f"records.{job.choice.record}"
    for relation in job.relations:
        yield _relation(job, where, relation)
    if job.motor is None and job.record.type in ("cone", "dome"):
        yield unknown(
            "record_complete", where,
            f"The record of {job.record.name} does not determine its motor.",
            "Type fs, Qms, Qes, Vas, Sd and Re, or the mechanical figures.",
        )
    if job.record.type == "compression":
        yield from _throat(job)
    if job.horn is not None and job.record.exit is None:
        yield Finding(
            "exit_matches_throat", f"drivers.{job.job}.horn", Verdict.FAILS, None, None, "length",
            f"{job.record.name} has no exit, so it cannot drive {job.horn.name}.",
            "Choose a compression driver or leave the horn out.", Evidence.DATASHEET,
        )


def _relation(job: JobResult, where: str, relation: Relation) -> Finding:
    level = relation.kind == "level"
    shown = relation.kind if relation.kind != "length" else "length"
    name = relation.figure
    return judge(
        "record_agrees", f"{where}.datasheet.{name}",
        abs(relation.off) if level else 100.0 * abs(relation.off),
        "level" if level else "percent",
        at_most=AGREES_DB if level else 100.0 * AGREES, tight=0.4,
        says=f"{job.record.name}: {name} is {{typed}} as typed and {{implied}} from "
        f"{', '.join(relation.from_figures)}, {{value}} apart.",
        try_this="Look at the datasheet again, or measure; nothing is corrected for you.",
        evidence=relation.evidence, source=f"{relation.source}; the limit is a rule of thumb",
        figures={"typed": (relation.typed, shown), "implied": (relation.implied, shown)},
    )


def _throat(job: JobResult) -> Iterator[Finding]:
    where = f"drivers.{job.job}.horn"
    if job.horn is None or job.record.exit is None:
        yield Finding(
            "exit_matches_throat", where, Verdict.FAILS, None, None, "length",
            f"{job.record.name} is a compression driver without a horn.",
            "Name a horn record.", Evidence.DATASHEET,
        )
        return
    assert job.horn.throat is not None
    exit_, throat = job.record.exit, job.horn.throat
    yield judge(
        "exit_matches_throat", where, abs(exit_.diameter - throat.diameter), "length",
        at_most=0.0005, tight=0.5,
        says="The driver's exit of {exit} and the horn's throat of {throat} differ by {value}.",
        try_this="Choose a horn for this exit, or an adaptor that the horn's maker offers.",
        evidence=Evidence.DATASHEET, source="a step of half a millimetre: rule of thumb",
        figures={"exit": (exit_.diameter, "length"), "throat": (throat.diameter, "length")},
    )
    yield _bolts(where, exit_, throat)


def _bolts(where: str, exit_: Throat, throat: Throat) -> Finding:
    rule = "exit_bolts_match"
    pairs = [(exit_.bolts, throat.bolts), (exit_.bolt, throat.bolt),
             (exit_.bolt_circle, throat.bolt_circle)]
    if any(one is None or other is None for one, other in pairs):
        return unknown(
            rule, where, "The bolts between driver and horn are not all in the records.",
            "Type bolts, bolt and bolt_circle for the exit and the throat.", kind="length",
        )
    same = pairs[0][0] == pairs[0][1] and pairs[1][0] == pairs[1][1]
    apart = abs((exit_.bolt_circle or 0.0) - (throat.bolt_circle or 0.0))
    return judge(
        rule, where, apart if same else 1.0, "length", at_most=0.0005, tight=0.5,
        says=f"The driver takes {exit_.bolts} × {exit_.bolt} on {{exit}}, the horn "
        f"{throat.bolts} × {throat.bolt} on {{throat}}.",
        try_this="Choose a horn with this pattern or an adaptor plate.",
        evidence=Evidence.DATASHEET, source="bolt pattern of both records",
        figures={"exit": (exit_.bolt_circle or 0.0, "length"),
                 "throat": (throat.bolt_circle or 0.0, "length")},
    )


def _hand_overs(design: Design, jobs: Mapping[str, JobResult]) -> Iterator[Finding]:
    """Does each hand-over lie inside both drivers' stated ranges?"""
    for name, over in design.decided.crossover.items():
        low, high = name.split("_")
        where = f"crossover.{name}.frequency"
        upper = jobs[high].record
        least, _ = figure(upper, "minimum_crossover")
        span = upper.datasheet.range
        least = least if least is not None else span[0] if span else None
        if least is None:
            yield unknown("hand_over_above", where,
                          f"{upper.name} states no lowest frequency.",
                          "Type range or minimum_crossover into its record.", kind="frequency")
        else:
            yield judge(
                "hand_over_above", where, over.frequency, "frequency", at_least=least, tight=0.03,
                says=f"{upper.name} takes over at {{value}}; its record allows {{limit}} and up.",
                try_this="Hand over higher, or choose a driver that goes lower.",
                evidence=Evidence.DATASHEET, source="record, at its stated slope",
            )
        below = jobs[low].record.datasheet.range
        if below is not None:
            yield judge(
                "hand_over_below", where, over.frequency, "frequency", at_most=below[1], tight=0.1,
                says=f"{jobs[low].record.name} hands over at {{value}}; its record goes to "
                "{limit}.",
                try_this="Hand over lower, or choose a driver that goes higher.",
                evidence=Evidence.DATASHEET, source="record",
            )

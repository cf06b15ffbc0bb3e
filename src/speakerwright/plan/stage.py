"""The plan: cover, chapters, findings and cautions, set as one PDF."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from speakerwright.bass.result import BassResult
from speakerwright.brief.result import BriefResult
from speakerwright.design.document import Design
from speakerwright.drivers.stage import DriversResult
from speakerwright.plan.cautions import cautions
from speakerwright.plan.costs import costs
from speakerwright.plan.document import Cover, Printed, printed
from speakerwright.words.blocks import Block, Chapter, Findings, Heading, Paragraph
from speakerwright.words.findings import Finding, Verdict, worst
from speakerwright.words.units import show

if TYPE_CHECKING:
    from speakerwright.cabinet.result import CabinetResult
    from speakerwright.cutting.stage import CuttingResult

SYSTEMS = {"mm": "metric", "inch": "inch"}


@dataclass(frozen=True, eq=False)
class Results:
    """What the plan reads; None for a stage that the design does not decide."""

    brief: BriefResult
    drivers: DriversResult
    bass: BassResult
    cabinet: CabinetResult | None = None
    cutting: CuttingResult | None = None


def system_of(design: Design) -> str:
    """The reader's system of units, as the plan's section decides it."""
    return SYSTEMS[design.decided.plan.units]


def publish(
    design: Design,
    results: Results,
    chapters: Sequence[Chapter],
    findings: Mapping[str, tuple[Finding, ...]],
    **more: Any,
) -> Printed:
    """The plan, the same for the same design; `pictures` and `tell` are those of `printed`."""
    decided, system = design.decided.plan, system_of(design)
    last = [
        costs(design, results.drivers, results.cabinet, results.cutting, system),
        findings_chapter(findings),
        Chapter("plan", "Cautions", cautions(mass=_mass(results), system=system)),
    ]
    return printed(
        cover(design, results, findings), [*chapters, *last], paper=decided.paper, system=system,
        **more,
    )


_TUNED = {"tuning": "tuned to", "front tuning": "front tuned to"}


def cover(
    design: Design,
    results: Results,
    findings: Mapping[str, tuple[Finding, ...]],
) -> Cover:
    """The cover: title, what it is for, and the figures a reader asks first."""
    decided, brief, system = design.decided.plan, design.decided.brief, system_of(design)
    found, bass = results.brief, results.bass
    key: list[tuple[str, str]] = [
        ("Level at the seats", f"{show(brief.level.average, 'level')} "
         f"({brief.level.weighting}), peaks {show(brief.level.crest, 'level')} above"),
        ("Asked of one cabinet at 1 m", f"{show(found.governing.needed_peak_db, 'level')} "
         "(sine at the programme's peak)"),
    ]
    for name, chamber in bass.chambers.items():
        label = "Bass" if len(bass.chambers) == 1 else f"Bass, {name}"
        asked = chamber.inputs.chamber
        box = asked.loading.replace("-", " ")
        if asked.volume is not None:
            box += f", {show(asked.volume, 'volume', system)} net"
        tuned = ("" if chamber.qtc is not None else
                 f", {_TUNED.get(chamber.circuit.called, chamber.circuit.called)} "
                 f"{show(chamber.resonance, 'frequency')}")
        key.append((label, box + tuned))
        key.append((f"{label}: −6 dB and −10 dB at",
                    f"{show(chamber.cutoffs['f6'], 'frequency')} and "
                    f"{show(chamber.cutoffs['f10'], 'frequency')}"))
        for path, port in chamber.ports.items():
            which = "port" if path == "port" else "front port"
            key.append((f"{label}: {which} to cut",
                        f"{port.count} × {show(port.length, 'length', system)}"))
    key += _wood(results, decided.currency, system)
    key.append(("Findings", _tally(findings)))
    return Cover(
        title=decided.title,
        subtitle=brief.use,
        version=decided.version,
        date=decided.date,
        licence=decided.licence or "",
        author=decided.author or "",
        key_figures=tuple(key),
        notes=decided.notes,
    )


def _mass(results: Results) -> float | None:
    return None if results.cabinet is None else results.cabinet.mass_kg


def _wood(results: Results, currency: str, system: str) -> list[tuple[str, str]]:
    """Outside size, mass and sheets, where the design decides them."""
    rows = []
    if results.cabinet is not None:
        sizes = results.cabinet.settled.sizes
        size = " × ".join(show(v, "length", system)
                          for v in (sizes.width, sizes.height, sizes.depth))
        mass = "" if results.cabinet.mass_kg is None else (
            f", about {show(results.cabinet.mass_kg, 'mass', system)}")
        rows.append(("Outside, width × height × depth", size + mass))
    if results.cutting is not None:
        cost = results.cutting.cost
        price = "" if cost is None else f", {cost:.0f} {currency}"
        rows.append(("Sheets for the whole system", f"{len(results.cutting.sheets)}{price}"))
    return rows


def _tally(findings: Mapping[str, tuple[Finding, ...]]) -> str:
    every = [finding for found in findings.values() for finding in found]
    counts = [(verdict, sum(f.verdict is verdict for f in every)) for verdict in Verdict]
    return ", ".join(f"{count} {verdict}" for verdict, count in counts if count)


def findings_chapter(findings: Mapping[str, tuple[Finding, ...]]) -> Chapter:
    """All findings, stage by stage; a recorded reason is printed with its finding."""
    blocks: list[Block] = [
        Paragraph(
            "Every finding with its margin: a difference in dB for levels, a share of the limit "
            "for everything else."
        )
    ]
    for stage, found in findings.items():
        if not found:
            continue
        blocks.append(Heading(f"{stage.capitalize()}: {worst(found)}"))
        blocks.append(Findings(_grouped(found)))
    return Chapter("plan", "Findings", tuple(blocks))


def _grouped(found: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Worst first; of the record's many agreeing relations only what does not simply hold."""
    order = {verdict: k for k, verdict in enumerate(
        (Verdict.FAILS, Verdict.UNKNOWN, Verdict.TIGHT, Verdict.HOLDS))}
    kept = [f for f in found if f.rule != "record_agrees" or f.verdict is not Verdict.HOLDS]
    return tuple(sorted(kept, key=lambda finding: order[finding.verdict]))

"""What a design that is worked out gives: chapters, the plan, and the files that cut the wood."""

from __future__ import annotations

from speakerwright.chain.flow import Workup, need_of
from speakerwright.plan.stage import Results, publish, system_of
from speakerwright.words.blocks import Chapter


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

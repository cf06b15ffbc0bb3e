"""What a design that is worked out gives: chapters, the plan, and the files that cut the wood."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from speakerwright.chain.flow import Workup, need_of, work
from speakerwright.design.document import Design
from speakerwright.plan.document import Printed
from speakerwright.plan.stage import Results, publish, system_of
from speakerwright.words.blocks import Chapter

if TYPE_CHECKING:
    from speakerwright.chain.requests import Request, Tell
    from speakerwright.chain.store import Outcome

PRINTING = 1
"""Counted up when a plan is printed otherwise from the same design."""


def _silent(_: float, __: str) -> None:
    pass


def chapters(
    workup: Workup, system: str | None = None, tell: Callable[[float, str], None] = _silent, *,
    quick: bool = False,
) -> dict[str, Chapter]:
    """Each worked-out stage's chapter, in the order of work, in a system of units.

    `quick` leaves out what a hand on a slider should not wait for: how the bass plays loud, and
    its named alignments.
    """
    from speakerwright.bass.chapter import chapter as bass_chapter
    from speakerwright.brief.chapter import chapter as brief_chapter
    from speakerwright.chain.loud import loud_inputs
    from speakerwright.drivers.chapter import chapter as drivers_chapter

    design = workup.design
    currency = design.decided.plan.currency
    system = system or system_of(design)
    needs = {name: need_of(design, workup.brief, name) for name in workup.bass.chambers}
    found = {
        "brief": brief_chapter(design.decided.brief, workup.brief, currency, system),
        "drivers": drivers_chapter(workup.drivers, currency, system),
        "bass": bass_chapter(workup.bass, needs, design.decided.brief.place.kind, system,
                             None if quick else loud_inputs(workup)),
    }
    if workup.cabinet is not None:
        from speakerwright.cabinet.chapter import chapter as cabinet_chapter

        tell(0.1, "Drawing the cabinet.")
        found["cabinet"] = cabinet_chapter(design, workup.cabinet, system)
    if workup.cutting is not None:
        from speakerwright.cutting.chapter import chapter as cutting_chapter

        tell(0.9, "Drawing the sheets.")
        found["cutting"] = cutting_chapter(workup.cutting, currency, system)
    return found


def plan_pdf(workup: Workup, tell: Tell = _silent) -> bytes:
    """The plan as PDF bytes; the same for the same design on any day and machine."""
    return _printed(workup, tell, pictures=False).pdf


def plan_request(design: Design) -> Request:
    """The design's plan, with pictures of its pages, to be worked out on request."""
    from speakerwright.chain.requests import Request

    return Request("plan", PRINTING, plan_made, (design,))


def plan_made(design: Design, *, tell: Tell) -> Outcome:
    """The plan as the file `plan.pdf` and its pages as `page-1.png` and so on.

    `data` says how many `pages` there are, and by `stops` whether it is a draft only.
    """
    from speakerwright.chain.store import Outcome

    tell(0.1, "Working the design out.")
    workup = work(design)
    made = _printed(workup, lambda share, says: tell(0.35 + 0.65 * share, says), pictures=True)
    pages = {f"page-{k}.png": page for k, page in enumerate(made.pages, 1)}
    return Outcome({"pages": len(pages), "stops": workup.stops}, {},
                   {"plan.pdf": made.pdf, **pages})


def _printed(workup: Workup, tell: Tell, *, pictures: bool) -> Printed:
    drawn = chapters(workup, tell=lambda share, says: tell(0.45 * share, says))
    results = Results(workup.brief, workup.drivers, workup.bass, workup.cabinet, workup.cutting)
    return publish(workup.design, results, tuple(drawn.values()), workup.findings,
                   pictures=pictures, tell=lambda share, says: tell(0.45 + 0.55 * share, says))


def cut_files(workup: Workup) -> dict[str, bytes]:
    """The files that cut the wood, by relative name; empty without a cutting section."""
    if workup.cutting is None:
        return {}
    from speakerwright.cutting.files import files

    return files(workup.cutting)

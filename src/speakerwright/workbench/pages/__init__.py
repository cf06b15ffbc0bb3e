"""The pages of the workbench, one for every stage that is built."""

from __future__ import annotations

from collections.abc import Callable

from speakerwright.workbench.bench import Bench
from speakerwright.workbench.pages import bass, brief, cabinet, cutting, drivers, plan

PAGES: dict[str, Callable[[Bench], None]] = {
    "brief": brief.page,
    "drivers": drivers.page,
    "bass": bass.page,
    "cabinet": cabinet.page,
    "cutting": cutting.page,
    "plan": plan.page,
}

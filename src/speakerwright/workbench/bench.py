"""What one tab has before it: its session, what is worked out, and who wants to know."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from nicegui import Client, background_tasks, ui

from speakerwright import chain
from speakerwright.design.document import Design
from speakerwright.drawing.charts import Chart
from speakerwright.plan.stage import system_of
from speakerwright.words.blocks import Chapter
from speakerwright.words.findings import Finding, Verdict, worst
from speakerwright.words.stages import built
from speakerwright.workbench import recovery
from speakerwright.workbench.latest import Latest
from speakerwright.workbench.requests import Jobs
from speakerwright.workbench.session import Session, stage_of

LOG = logging.getLogger("speakerwright")
AHEAD = 0.03
"""How long curves are sent ahead of words and figures, s: two frames of a screen."""
SLOW_STAGES = ("cabinet", "cutting", "plan")


@dataclass
class Workshop:
    """One folder's workbench: its results, and the names of the tabs that are open."""

    folder: Path
    memo: chain.Memo = field(default_factory=chain.Memo)
    tabs: dict[str, Bench] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Picture:
    """What the live part of a design comes to: results, curves by chamber, and chapters."""

    workup: chain.Workup
    charts: Mapping[str, tuple[Chart, ...]]
    chapters: Mapping[str, Chapter]


def picture(design: Design, memo: chain.Memo, system: str) -> Picture:
    """Work out what is live, with its curves and tables; runs in a thread."""
    workup = chain.work(design, memo, last="bass")
    return Picture(workup, curves(workup, system), live_chapters(workup, system))


def curves(workup: chain.Workup, system: str) -> dict[str, tuple[Chart, ...]]:
    """The charts of every chamber that could be worked out."""
    from speakerwright.bass.chapter import SPACE
    from speakerwright.bass.charts import charts

    place = workup.design.decided.brief.place.kind
    return {
        name: charts(chamber, chain.need_of(workup.design, workup.brief, name),
                     SPACE.get(place, "half space"), system)
        for name, chamber in workup.bass.chambers.items()
    }


def live_chapters(workup: chain.Workup, system: str) -> dict[str, Chapter]:
    """The chapters of the live stages, for their tables."""
    return chain.chapters(
        chain.Workup(workup.design, workup.brief, workup.drivers, None, workup.bass, None, None,
                     workup.findings), system, quick=True)


class Bench:
    """One tab at work.

    `live` is the newest picture, `whole` the last complete work-up; `behind` says that the design
    has moved on since `whole`.
    """

    def __init__(self, shop: Workshop, session: Session, client: Client) -> None:
        self.shop, self.session, self.client = shop, session, client
        self.system = system_of(session.design)
        self.live: Picture | None = None
        self.whole: chain.Workup | None = None
        self.fault = ""
        self.page = ""
        self.wanted = ""
        self.jobs = Jobs(shop.folder, client)
        self.fields: dict[str, Any] = {}
        self._frame: list[Callable[[], None]] = []
        self._page: list[Callable[[], None]] = []
        self._curves: list[Callable[[], None]] = []
        self.latest = Latest(session, self._work_live, self._work_whole, self._show, self._failed)
        session.watchers.append(self._edited)

    # --- telling ----------------------------------------------------------------------------------

    def watch(self, show: Callable[[], None], *, frame: bool = False, curves: bool = False) -> None:
        """Call `show` now and whenever the design or what is worked out changes.

        What shows `curves` is called before all else, and a moment before it after a step.
        """
        (self._frame if frame else self._curves if curves else self._page).append(show)
        show()

    def new_page(self, name: str) -> None:
        """Forget the last page's watchers and fields."""
        self.page = name
        self._page.clear()
        self._curves.clear()
        self.fields.clear()

    def tell(self) -> None:
        """Have everything shown again."""
        if self.client.is_deleted:
            self.latest.close()
            return
        with self.client:
            for show in [*self._curves, *self._frame, *self._page]:
                show()

    async def _tell_curves_first(self, found: Any) -> None:
        """Send the curves ahead: what else is shown takes the browser as long as they do."""
        if self._curves and not self.client.is_deleted:
            with self.client:
                for show in list(self._curves):
                    show()
            await asyncio.sleep(AHEAD)
        if self.live is found:  # else a newer one tells all
            self.tell()

    def say(self, text: str) -> None:
        """Say something in passing."""
        with self.client:
            ui.notify(text, position="bottom", timeout=6000, classes="sw-notice")

    # --- working out ------------------------------------------------------------------------------

    def start(self) -> None:
        """Begin to work out what is newest."""
        background_tasks.create(self.latest.run(), name="newest design")

    def close(self) -> None:
        """End this tab's work; its unsaved edits stay kept."""
        self.latest.close()
        self.jobs.close()
        if self.shop.tabs.get(self.session.name) is self:
            del self.shop.tabs[self.session.name]

    def refresh(self) -> None:
        """Work everything out again as it is shown now, for another system of units."""
        self.session.revision += 1
        self.latest.poke()
        self.tell()

    def _work_live(self, design: Design) -> Picture:
        return picture(design, self.shop.memo, self.system)

    def _work_whole(self, design: Design) -> chain.Workup:
        return chain.work(design, self.shop.memo)

    def _show(self, revision: int, found: Any, whole: bool) -> None:
        self.fault = ""
        if whole:
            self.whole = found
        else:
            self.live = found
            background_tasks.create(self._tell_curves_first(found), name="curves first")
            return
        self.tell()

    def _failed(self, error: Exception) -> None:
        LOG.error("working out failed", exc_info=error)
        self.fault = (f"Speakerwright met a fault of its own ({type(error).__name__}) at these "
                      "values; the design may be fine. The log says more.")
        self.tell()

    def _edited(self) -> None:
        self.latest.poke()
        self.tell()

    # --- what is known ----------------------------------------------------------------------------

    @property
    def behind(self) -> bool:
        """Whether cabinet and cutting are not those of the newest design yet."""
        return self.whole is None or self.latest.behind

    @property
    def current(self) -> chain.Workup | None:
        """The complete work-up of the newest design, or None while it is being made."""
        return None if self.behind else self.whole

    def findings(self) -> dict[str, tuple[Finding, ...]]:
        """Findings of every stage, the newest known."""
        found: dict[str, tuple[Finding, ...]] = {}
        for stage in built():
            live = None if self.live is None else self.live.workup
            source = self.whole if stage in SLOW_STAGES or live is None else live
            found[stage] = () if source is None else source.findings.get(stage, ())
        return found

    def verdict(self, stage: str) -> Verdict | None:
        """A stage's verdict; None while it is worked out."""
        if stage in SLOW_STAGES and self.behind:
            return None
        if self.live is None:
            return None
        found = self.findings()
        if stage == "plan":
            every = tuple(f for each in found.values() for f in each)
            return Verdict.FAILS if any(f.stops for f in every) else worst(every)
        return worst(found[stage])

    def decides(self, stage: str) -> bool:
        """Whether the design decides anything about a stage."""
        decided = self.session.design.decided
        return bool(getattr(decided, stage))

    # --- going places -----------------------------------------------------------------------------

    def go(self, path: str) -> None:
        """Show the page that owns a path, and point at its field."""
        stage = stage_of(path)
        self.wanted = path
        if stage == self.page:
            self.arrive()
        else:
            ui.navigate.to(f"/{stage}")

    def arrive(self) -> None:
        """Point at the field that was asked for, or the nearest one to it."""
        path, self.wanted = self.wanted, ""
        if not path:
            return
        inside = [p for p in self.fields if p == path or p.startswith(f"{path}.")]
        around = sorted((p for p in self.fields if path.startswith(f"{p}.")), key=len)
        family = [p for p in self.fields if p.startswith(path.rsplit(".", 1)[0])]
        found = (inside or around[::-1] or family)[:1]
        if found:
            self.fields[found[0]].point()

    def name_tab(self, name: str) -> recovery.Left | None:
        """Keep this tab's unsaved edits under its own name; what it left when it was last open.

        A tab that is loaded again takes over from what it was before.
        """
        before = self.shop.tabs.get(name)
        if before is not None:
            before.session.name = ""
            before.latest.close()
            before.jobs.close()
        self.session.name = name
        self.shop.tabs[name] = self
        return recovery.read(self.shop.folder, name, mine=True)

"""What is worked out on request: a button, how far it is, a way to stop it, and what came of it.

The work runs in a process of its own, and edits stay live meanwhile. What is shown for an earlier
state of the design says so until it is asked for again.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from nicegui import Client, background_tasks, ui

from speakerwright.chain.requests import (
    Cancelled,
    Failed,
    Progress,
    Request,
    Running,
    recall,
    start,
)
from speakerwright.chain.store import Outcome, Store
from speakerwright.design.document import Design
from speakerwright.workbench.parts import Button, Words, box

if TYPE_CHECKING:
    from speakerwright.workbench.bench import Bench

LOG = logging.getLogger("speakerwright")
LOOK = 0.1
"""How often a tab looks how far its work is, s: a rule of thumb."""


class Job:
    """One thing that a tab can ask for: what runs for it, and what came of it last.

    `outcome` was worked out for `key`; `said` is what there is to say of the last attempt.
    """

    def __init__(self, store: Store, client: Client) -> None:
        self._store, self._client = store, client
        self._running: Running | None = None
        self._asked: Request | None = None
        self._stopped = False
        self.outcome: Outcome | None = None
        self.key = ""
        self.said = ""
        self.watcher: Callable[[], None] = lambda: None

    @property
    def busy(self) -> bool:
        """Whether something runs for it."""
        return self._asked is not None

    def progress(self) -> Progress:
        """How far it is."""
        return Progress(0.0, "Starting.") if self._running is None else self._running.progress()

    def ask(self, request: Request) -> None:
        """Begin to work it out; nothing happens while it is busy."""
        if self.busy:
            return
        self._asked, self._stopped, self.said = request, False, ""
        background_tasks.create(self._work(request), name=f"asked for {request.name}")

    def recall(self, request: Request) -> None:
        """Show what is kept for a request, if anything is, without working it out."""
        if not self.busy and self.key != request.key:
            background_tasks.create(self._look(request), name=f"looks for {request.name}")

    def cancel(self) -> None:
        """Stop what runs; what came of it before stays."""
        self._stopped = True
        if self._running is not None:
            self._running.cancel()

    async def _look(self, request: Request) -> None:
        found = await asyncio.to_thread(recall, request, self._store)
        if found is not None and not self.busy and self.outcome is None:
            self.outcome, self.key = found, request.key
            self._tell()

    async def _work(self, request: Request) -> None:
        try:
            running = await asyncio.to_thread(start, request, self._store)
            self._running = running
            while not running.done:
                if self._stopped or self._client.is_deleted:
                    running.cancel()
                self._tell()
                await asyncio.sleep(LOOK)
            self.outcome, self.key = running.result(0.0), request.key
        except Cancelled:
            self.said = "Stopped. Nothing of it was kept."
        except Failed as error:
            self.said = str(error)
            if error.trace:
                LOG.error("working out %s failed\n%s", request.name, error.trace)
        finally:
            self._running = self._asked = None
            self._tell()

    def _tell(self) -> None:
        if not self._client.is_deleted:
            with self._client:
                self.watcher()


class Jobs:
    """All that a tab can ask for, by name; they outlast the page that shows them."""

    def __init__(self, folder: Path, client: Client) -> None:
        self._store, self._client = Store(folder), client
        self._jobs: dict[str, Job] = {}

    def job(self, name: str) -> Job:
        """The one of this name."""
        if name not in self._jobs:
            self._jobs[name] = Job(self._store, self._client)
        return self._jobs[name]

    def close(self) -> None:
        """Stop all that runs."""
        for job in self._jobs.values():
            job.cancel()


class OnRequest:
    """A button for something slow, its progress while it runs, and what came of it.

    Parameters
    ----------
    bench : Bench
    name : str
        One of each name may stand on a page; what runs under it goes on when the page is left.
    words, tip : str
        What stands on the button, and what is said of it.
    request : function of Design
        What is asked for; called whenever the design changes, so it must be quick.
    draw : function of Outcome
        Draws what came of it, inside the part that is made for it.
    ready : function, optional
        Whether it may be asked for now.
    told : function, optional
        Called when something starts or ends, and when the design changes.
    """

    def __init__(
        self, bench: Bench, name: str, words: str, request: Callable[[Design], Request],
        draw: Callable[[Outcome], None], *, tip: str = "", ready: Callable[[], bool] = lambda: True,
        told: Callable[[], None] = lambda: None,
    ) -> None:
        self.bench, self.job = bench, bench.jobs.job(name)
        self._request, self._draw, self._ready, self._told = request, draw, ready, told
        self._drawn: Outcome | None = None
        self._busy = False
        with box("sw-row sw-ask-row") as self.row:
            self.button = Button(words, self._ask, classes="sw-strong", tip=tip)
            with box("sw-row sw-progress") as self.going:
                self.bar = ui.element("progress").props("max=1")
                self.bar.props["aria-label"] = words
                self.says = Words("", "span", "sw-quietly")
                Button("Cancel", self.job.cancel, tip="Stop it; what was there before stays")
        self.note = Words("", "p", "sw-asked").props("aria-live=polite")
        self.place = box("sw-outcome")
        self.job.watcher = self._look
        bench.watch(self.show)
        self.job.recall(request(bench.session.design))

    @property
    def outcome(self) -> Outcome | None:
        """What came of it last, for whatever state of the design."""
        return self.job.outcome

    @property
    def fresh(self) -> bool:
        """Whether what is shown belongs to the design as it is now."""
        return self.outcome is not None and self.job.key == self._key()

    def show(self) -> None:
        """Show what runs, what came of it, and whether it is of this state of the design."""
        job = self.job
        self._busy = job.busy
        self.going.set_visibility(job.busy)
        self.button.enable(not job.busy and self._ready())
        if job.outcome is not None and job.outcome is not self._drawn:
            self._drawn = job.outcome
            self.place.clear()
            with self.place:
                self._draw(job.outcome)
        stale = job.outcome is not None and not self.fresh
        (self.place.classes if stale else _taker(self.place))("is-stale")
        self.note.set_text(job.said or (
            "This is for an earlier state of the design; ask for it again." if stale else ""))
        self.note.set_visibility(bool(self.note.text))
        self._told()

    def _key(self) -> str:
        return self._request(self.bench.session.design).key

    def _ask(self) -> None:
        self.job.ask(self._request(self.bench.session.design))
        self.show()

    def _look(self) -> None:
        if self.row.is_deleted:
            return
        if self._busy != self.job.busy or self.job.outcome is not self._drawn:
            self.show()
        now = self.job.progress()
        if self.bar.props.get("value") != round(now.fraction, 3):
            self.bar.props["value"] = round(now.fraction, 3)
            self.bar.update()
        self.says.set_text(now.says)


def _taker(place: ui.element) -> Callable[[str], ui.element]:
    return lambda name: place.classes(remove=name)

"""Pictures of what is worked out, made in a thread for the newest result and never twice."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Executor
from typing import Generic, TypeVar

from nicegui import background_tasks, ui

from speakerwright import chain
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.latest import SLOW

T = TypeVar("T")
PAUSE = 0.15
"""How long no newer step must have come for a drawing, s: a rule of thumb."""
PATIENCE = 5
"""After how many such moments it is shown all the same."""


class Drawn(Generic[T]):
    """One picture of the whole design at a time; when it is shown, the newest one follows.

    Parameters
    ----------
    bench : Bench
        The tab.
    part : ui.element
        What shows it; when it is gone, nothing is shown any more.
    source : function of Workup
        The result that the picture is made of; None when there is none.
    draw : function of (Workup, system)
        Makes it; called in a thread.
    show : function of T
        Shows it; called on the page.
    executor : Executor or None
        Where it is made; by default one after the other with all else that is slow.
    """

    def __init__(
        self, bench: Bench, part: ui.element, source: Callable[[chain.Workup], object],
        draw: Callable[[chain.Workup, str], T], show: Callable[[T], None],
        executor: Executor | None = SLOW,
    ) -> None:
        self.bench, self._part, self._executor = bench, part, executor
        self._source, self._draw, self._show = source, draw, show
        self._seen: tuple[object, str] | None = None
        self._busy = False
        bench.watch(self.look)

    def look(self) -> None:
        """Make the newest picture, unless one is being made."""
        current, system = self.bench.current, self.bench.system
        source = None if current is None else self._source(current)
        if current is None or source is None or self._busy:
            return
        if self._seen is not None and source is self._seen[0] and system == self._seen[1]:
            return
        self._busy = True
        background_tasks.create(self._make(current, source, system), name="picture")

    async def _make(self, current: chain.Workup, source: object, system: str) -> None:
        loop = asyncio.get_running_loop()
        try:
            made = await loop.run_in_executor(self._executor, self._draw, current, system)
        finally:
            self._busy = False
        self._seen = (source, system)
        if self._part.is_deleted or self.bench.client.is_deleted:
            return
        with self.bench.client:
            self._show(made)
            self.look()


class AtEase:
    """What costs more than a step of a slider allows: shown when no newer step came for a moment.

    A hand that goes on and on sees it now and then.

    Parameters
    ----------
    bench : Bench
        The tab.
    part : ui.element
        What shows it; when it is gone, nothing is shown any more.
    show : function
        Shows what belongs to the newest live picture; called on the page.
    """

    def __init__(self, bench: Bench, part: ui.element, show: Callable[[], None]) -> None:
        self.bench, self._part, self._show = bench, part, show
        self._seen: object = None
        self._waiting = False
        bench.watch(self.look)

    def look(self) -> None:
        """Show it at once the first time; afterwards, wait for a pause."""
        live, first = self.bench.live, self._seen is None
        if live is None or live is self._seen:
            return
        self._seen = live
        if first:
            self._show()
        elif not self._waiting:
            self._waiting = True
            background_tasks.create(self._wait(), name="at ease")

    async def _wait(self) -> None:
        for _ in range(PATIENCE):
            seen = self._seen
            await asyncio.sleep(PAUSE)
            if seen is self._seen:
                break
        self._waiting = False
        if self._part.is_deleted or self.bench.client.is_deleted:
            return
        with self.bench.client:
            self._show()

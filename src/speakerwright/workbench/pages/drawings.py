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

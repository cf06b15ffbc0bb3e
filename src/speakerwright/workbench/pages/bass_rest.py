"""What follows the hand at a distance: worked out in a thread once it rests, where it is looked at.

It never takes from the curves that a slider moves, and nothing is worked out in a part that is
folded.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any
from weakref import WeakKeyDictionary

from nicegui import background_tasks
from nicegui.events import GenericEventArguments

from speakerwright.workbench.bench import Bench
from speakerwright.workbench.parts import folded

LOG = logging.getLogger("speakerwright")
REST = 0.2
"""How long nothing must change before it is worked out, s: a rule of thumb."""

_OPEN: WeakKeyDictionary[Bench, set[str]] = WeakKeyDictionary()


class Folded:
    """A part that is opened by its title, and stays as it was left when the page is built again."""

    def __init__(self, bench: Bench, name: str, title: str) -> None:
        self._open = _OPEN.setdefault(bench, set())
        self.name = name
        self.told: Callable[[], None] = lambda: None
        self.part = folded(title, opened=name in self._open, classes="sw-all").mark(name)
        self.part.on("toggle", self._toggled, js_handler="(e) => emit(e.target.open)")

    @property
    def opened(self) -> bool:
        """Whether it can be looked at."""
        return self.name in self._open

    @contextmanager
    def inside(self) -> Iterator[None]:
        """Build what stands in it."""
        with self.part:
            yield

    def _toggled(self, event: GenericEventArguments) -> None:
        (self._open.add if event.args else self._open.discard)(self.name)
        self.told()


class Rested:
    """Works out the newest of something, in a thread, once the hand rests.

    Parameters
    ----------
    bench : Bench
    part : Folded
        Where it is looked at; nothing is worked out while that is closed.
    rests_on : function
        What it rests on, compared by identity; None where there is nothing to work out.
    work : function
        Of that; runs in a thread.
    show : function
        Of what came of it, on the page.
    """

    def __init__(
        self, bench: Bench, part: Folded, rests_on: Callable[[], Any], work: Callable[[Any], Any],
        show: Callable[[Any], None],
    ) -> None:
        self._bench, self._part, self._rests_on = bench, part, rests_on
        self._work, self._show = work, show
        self._done: Any = None
        self._busy = False
        part.told = self.look
        bench.watch(self.look)

    def look(self) -> None:
        """See whether there is something newer to work out."""
        if not self._busy and self._wanted() is not None:
            self._busy = True
            background_tasks.create(self._run(), name=f"works out {self._part.name}")

    def _wanted(self) -> Any:
        """The newest that is not shown yet, or None."""
        if self._bench.client.is_deleted or self._part.part.is_deleted or not self._part.opened:
            return None
        newest = self._rests_on()
        return None if newest is self._done else newest

    async def _run(self) -> None:
        try:
            while (wanted := self._wanted()) is not None:
                await asyncio.sleep(REST)
                if self._wanted() is not wanted:
                    continue
                try:
                    found = await asyncio.to_thread(self._work, wanted)
                except Exception:
                    LOG.exception("working out %s failed", self._part.name)
                    found = None
                self._done = wanted
                if not (self._bench.client.is_deleted or self._part.part.is_deleted):
                    with self._bench.client:
                        self._show(found)
        finally:
            self._busy = False

"""The newest design, worked out off the event loop: what is live first, what is slow at rest.

One loop computes the newest design until none is newer. What is slow starts when no edit has come
for a moment; when one comes meanwhile, the slow result is dropped.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Executor, ThreadPoolExecutor
from typing import Any

from speakerwright.design.document import Design
from speakerwright.workbench.session import Session

Show = Callable[[int, Any, bool], None]
Work = Callable[[Design], Any]

REST = 0.5
"""How long no edit must come before slow work starts, s: a rule of thumb."""


class Latest:
    """Works out a session's newest design.

    Parameters
    ----------
    session : Session
    live, full : function of Design
        The quick part, and everything. Called in threads.
    show : function of (revision, result, whole)
        Called on the event loop, never with a revision older than the last one shown.
    fault : function of Exception
        Called when working out fails in a way that nobody foresaw.
    executors : pair of Executor, optional
        Where the two run; a thread each by default.
    rest : float
        Seconds without an edit before `full` starts.
    """

    def __init__(
        self, session: Session, live: Work, full: Work, show: Show,
        fault: Callable[[Exception], None], *,
        executors: tuple[Executor, Executor] | None = None, rest: float = REST,
    ) -> None:
        self.session = session
        self._live, self._full, self._show, self._fault = live, full, show, fault
        self._executors = executors or (LIVE, SLOW)
        self._rest = rest
        self._event = asyncio.Event()
        self._shown = {"live": 0, "full": 0}
        self._slow: asyncio.Task[None] | None = None
        self._closed = False

    def poke(self) -> None:
        """Say that there may be something newer."""
        self._event.set()

    def close(self) -> None:
        """End the loop."""
        self._closed = True
        self._event.set()

    @property
    def behind(self) -> bool:
        """Whether the whole of the newest design is not shown yet."""
        return self._shown["full"] != self.session.revision

    async def run(self) -> None:
        """Compute until closed."""
        self._event.set()
        while not self._closed:
            await self._event.wait()
            self._event.clear()
            while not self._closed and self._shown["live"] != self.session.revision:
                await self._one("live", self._live, self._executors[0])
            try:
                await asyncio.wait_for(self._event.wait(), self._rest)
                continue
            except TimeoutError:
                pass
            if self.behind and (self._slow is None or self._slow.done()):
                self._slow = asyncio.ensure_future(self._settle())

    async def _settle(self) -> None:
        await self._one("full", self._full, self._executors[1])
        if self.behind:
            self._event.set()

    async def _one(self, which: str, work: Work, executor: Executor) -> None:
        revision, design = self.session.revision, self.session.design
        try:
            found = await asyncio.get_running_loop().run_in_executor(executor, work, design)
        except Exception as error:
            self._shown[which] = revision  # not again before the next edit
            self._fault(error)
            return
        if which == "full" and revision != self.session.revision:
            return
        self._shown[which] = revision
        if which == "full":
            self._shown["live"] = revision
        if not self._closed:
            self._show(revision, found, which == "full")


LIVE = ThreadPoolExecutor(1, thread_name_prefix="live")
SLOW = ThreadPoolExecutor(1, thread_name_prefix="slow")

"""Which other ports would give a chamber's tuning, each with a button that takes it over."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable

from nicegui import background_tasks

from speakerwright.bass import ports_shown
from speakerwright.bass.portfit import ORDER, PortProposal, nothing_fits, proposals
from speakerwright.bass.result import ChamberResult
from speakerwright.chain import need_of
from speakerwright.words.blocks import Table
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.pages.bass_rest import Folded
from speakerwright.workbench.pages.forms import change
from speakerwright.workbench.parts import Button, Html, Words, blocks_html, box, folded

LOG = logging.getLogger("speakerwright")

Found = tuple[PortProposal, ...]


class Ports:
    """A button, and the ports that fit in their order; worked out in a thread."""

    def __init__(self, bench: Bench, chamber: str, title: str) -> None:
        self.bench, self.chamber = bench, chamber
        self.found: Found = ()
        self._result: ChamberResult | None = None
        self._busy = False
        self.part = Folded(bench, f"ports:{chamber}", title)
        with self.part.inside():
            Words("Round tubes of the trade in a row, and slots across the box and on its floor, "
                  "straight or with one bend, each worked out in its place for the tuning that "
                  "is decided.", "p", "sw-quietly")
            with box("sw-row sw-ask-row"):
                self.button = Button("Which ports fit?", self.ask, classes="sw-strong").mark(
                    f"ports:{chamber}:ask")
            self.note = Words("", "p", "sw-asked").props("aria-live=polite")
            self.place = box("sw-outcome")
        bench.watch(self.look)

    def ask(self) -> None:
        """Begin to work them out for the chamber as it is now."""
        if self._busy or self._now() is None:
            return
        self._busy = True
        self.look()
        background_tasks.create(self._run(), name=f"looks for ports of {self.chamber}")

    def look(self) -> None:
        """Say what goes on, and whether what is shown is of the chamber as it is now."""
        now = self._now()
        self.button.enable(not self._busy and now is not None)
        stale = self._result is not None and now is not self._result
        self.place.classes("is-stale") if stale else self.place.classes(remove="is-stale")
        self.note.set_text(
            "Working them out." if self._busy else
            "This is for an earlier state of the design; ask for it again." if stale else "")
        self.note.set_visibility(bool(self.note.text))

    def _now(self) -> ChamberResult | None:
        live = self.bench.live
        found = None if live is None else live.workup.bass.chambers.get(self.chamber)
        return None if found is None or found.port is None else found

    async def _run(self) -> None:
        live, result = self.bench.live, self._now()
        try:
            if live is None or result is None:
                return
            workup, system = live.workup, self.bench.system
            need = need_of(workup.design, workup.brief, self.chamber)
            prices = ports_shown.prices_of(workup.design)
            found = await asyncio.to_thread(proposals, result, need, prices=prices, system=system)
            if not (self.bench.client.is_deleted or self.part.part.is_deleted):
                with self.bench.client:
                    self._show(result, found, system)
        except Exception:
            LOG.exception("looking for ports of %s failed", self.chamber)
        finally:
            self._busy = False
            if not (self.bench.client.is_deleted or self.part.part.is_deleted):
                with self.bench.client:
                    self.look()

    def _show(self, result: ChamberResult, found: Found, system: str) -> None:
        self._result, self.found = result, found
        fitting = [each for each in found if each.fits]
        rest = [each for each in found if not each.fits]
        currency = self.bench.session.design.decided.plan.currency
        self.place.clear()
        with self.place:
            if fitting:
                made = ports_shown.table(fitting, system, currency,
                                         f"{ports_shown.CAPTION} {ORDER}", wide=True)
                self._table(fitting, made, system)
                Html(blocks_html(ports_shown.doubts(fitting, system)), classes="sw-blocks")
            else:
                Words(nothing_fits(found, system), "p")
            if rest:
                with folded(f"Those that do not fit: {len(rest)}"):
                    Html(blocks_html([ports_shown.why_not(rest, system)]), classes="sw-blocks")

    def _table(self, found: list[PortProposal], made: Table, system: str) -> None:
        with box("sw-scroll").props("tabindex=0"), box("sw-table", "table"):
            with box(tag="thead"), box(tag="tr"):
                Words("choose", "th").props("scope=col")
                for k, head in enumerate(made.heads):
                    Words(head, "th", "n" if k in made.numbers else "").props("scope=col")
            with box(tag="tbody"):
                for number, (each, row) in enumerate(zip(found, made.rows, strict=True)):
                    with box(tag="tr"):
                        with box(tag="td"):
                            if not each.now:
                                Button("Take this one", self._taker(each, system),
                                       classes="sw-quiet").mark(f"port:{self.chamber}:{number}")
                        for k, text in enumerate(row):
                            Words(text, "td", "n" if k in made.numbers else "")
        Words(made.caption, "p", "sw-caption")

    def _taker(self, found: PortProposal, system: str) -> Callable[[], None]:
        return lambda: self.take(found, system)

    def take(self, found: PortProposal, system: str) -> None:
        """Put one into the design, as one step of undo."""
        design = self.bench.session.design
        if self._result is None or self.chamber not in design.decided.bass:
            return
        wanted = ports_shown.changes(design, self.chamber, self._result, found, system)
        if wanted:
            change(self.bench, wanted, f"bass.{self.chamber}.port.shape")

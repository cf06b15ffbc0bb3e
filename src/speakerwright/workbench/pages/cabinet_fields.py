"""The cabinet's walls and braces: how quiet the fields are, what braces buy, better places."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable

from nicegui import background_tasks

from speakerwright import chain
from speakerwright.cabinet import panels_shown
from speakerwright.cabinet.brace_places import reasons
from speakerwright.cabinet.panels_shown import Offer
from speakerwright.chain.panels import (
    braces_written,
    offers,
    panels_in,
    panels_request,
)
from speakerwright.chain.store import Outcome
from speakerwright.words.blocks import Figure, Points
from speakerwright.words.errors import DesignErrors
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.charts import LiveChart
from speakerwright.workbench.pages.bass_rest import Folded
from speakerwright.workbench.pages.forms import change
from speakerwright.workbench.parts import (
    Button,
    Html,
    Words,
    blocks_html,
    box,
    figure_html,
    folded,
)
from speakerwright.workbench.requests import OnRequest

LOG = logging.getLogger("speakerwright")


def fields_part(bench: Bench) -> None:
    """A folded part of the cabinet page: the walls on request, and proposals for braces."""
    part = Folded(bench, "braces", "Braces: how quiet the walls are")
    with part.inside():
        Words(panels_shown.HOW, "p", "sw-quietly")
        OnRequest(bench, "cabinet walls", "Work the walls out", panels_request, _drawer(bench),
                  tip="It takes some seconds; it goes on while you work")
        with box("sw-group sw-after"):
            Words("Where braces would stand better", "h3")
            Proposals(bench, part)


def _drawer(bench: Bench) -> Callable[[Outcome], None]:
    def draw(outcome: Outcome) -> None:
        found, system = panels_in(outcome), bench.system
        currency = bench.session.design.decided.plan.currency
        with box("sw-two sw-tight-two"):
            for block in panels_shown.drawings(found, system):
                with box("sw-part"):
                    if isinstance(block, Figure):
                        Html(figure_html(block), classes="sw-drawings")
                    else:
                        Html(blocks_html([block]), classes="sw-blocks")
        if found.gains:
            Html(blocks_html([panels_shown.gain_table(found.gains, system, currency)]),
                 classes="sw-blocks")
        with box("sw-charts"):
            for room in found.now.rooms:
                if room.loudest is not None:
                    LiveChart(panels_shown.chart(found.now, room))
        with folded("Every field"):
            Html(blocks_html([panels_shown.field_table(found.now, system),
                              *panels_shown.told(found.now)]), classes="sw-blocks")

    return draw


class Proposals:
    """A button, and proposed braces in a table, each with a button that takes them over."""

    def __init__(self, bench: Bench, part: Folded) -> None:
        self.bench, self.part = bench, part
        self.found: tuple[Offer, ...] = ()
        self._for: chain.Workup | None = None
        self._busy = False
        Words("Uneven places, tried so that no fields side by side ring together and, where there "
              "is such a place, none rings with the air in the plain box. Taking one over replaces "
              "the chamber's braces of its kind; undo brings them back.", "p", "sw-quietly")
        with box("sw-row sw-ask-row"):
            self.button = Button("Propose braces", self.ask, classes="sw-strong").mark("braces:ask")
        self.note = Words("", "p", "sw-asked").props("aria-live=polite")
        self.place = box("sw-outcome")
        bench.watch(self.look)

    def ask(self) -> None:
        """Begin to look for the cabinet as it is now."""
        if self._busy or self._now() is None:
            return
        self._busy = True
        self.look()
        background_tasks.create(self._run(), name="looks for braces")

    def look(self) -> None:
        """Say what goes on, and whether what is shown is of the cabinet as it is now."""
        now = self._now()
        self.button.enable(not self._busy and now is not None)
        stale = self._for is not None and not self._same(now)
        self.place.classes("is-stale") if stale else self.place.classes(remove="is-stale")
        self.note.set_text(
            "Looking for places." if self._busy else
            "This is for an earlier state of the design; ask for it again." if stale else "")
        self.note.set_visibility(bool(self.note.text))

    def _now(self) -> chain.Workup | None:
        current = self.bench.current
        return None if current is None or current.cabinet is None else current

    def _same(self, now: chain.Workup | None) -> bool:
        return (now is not None and self._for is not None and now.cabinet is self._for.cabinet)

    async def _run(self) -> None:
        current, says = self._now(), ""
        try:
            if current is None:
                return
            found: tuple[Offer, ...] = ()
            try:
                found = await asyncio.to_thread(self._worked, current)
            except DesignErrors as error:
                says = " ".join(str(one) for one in error.errors)
            if not (self.bench.client.is_deleted or self.part.part.is_deleted):
                with self.bench.client:
                    self._show(current, found, says)
        except Exception:
            LOG.exception("looking for braces failed")
        finally:
            self._busy = False
            if not (self.bench.client.is_deleted or self.part.part.is_deleted):
                with self.bench.client:
                    self.look()

    def _worked(self, current: chain.Workup) -> tuple[Offer, ...]:
        """Proposals for every closed chamber with bass; runs in a thread."""
        cabinet = current.cabinet
        assert cabinet is not None
        closed = {room.name for room in cabinet.settled.sizes.closed_rooms}
        rooms = [name for name in current.bass.chambers if name in closed] or [""]
        return tuple(offer for room in rooms for offer in offers(current, room))

    def _show(self, current: chain.Workup, found: tuple[Offer, ...], says: str) -> None:
        self._for, self.found = current, found
        self.place.clear()
        with self.place:
            if not found:
                Words(says or "No brace finds room between what stands inside.", "p")
                return
            self._table(found)
            with folded("Why they stand there"):
                for offer in found:
                    Words(self._title(offer), "h4")
                    Html(blocks_html([Points(reasons(offer.proposed, self.bench.system))]),
                         classes="sw-blocks")

    def _title(self, offer: Offer) -> str:
        count = len(offer.proposed.at)
        kinds = {"shelf": "shelves", "upright": "uprights"}
        kind = offer.proposed.kind if count == 1 else kinds[offer.proposed.kind]
        return f"{count} {kind} in {offer.proposed.room}"

    def _table(self, found: tuple[Offer, ...]) -> None:
        made = panels_shown.offer_table(found, self.bench.system)
        with box("sw-scroll").props("tabindex=0"), box("sw-table", "table"):
            with box(tag="thead"), box(tag="tr"):
                Words("choose", "th").props("scope=col")
                for k, head in enumerate(made.heads):
                    Words(head, "th", "n" if k in made.numbers else "").props("scope=col")
            with box(tag="tbody"):
                for number, (offer, row) in enumerate(zip(found, made.rows, strict=True)):
                    with box(tag="tr"):
                        with box(tag="td"):
                            Button("Take these" if len(offer.proposed.at) > 1 else "Take it",
                                   self._taker(offer), classes="sw-quiet",
                                   tip=f"Take over {self._title(offer)}").mark(f"brace:{number}")
                        for k, text in enumerate(row):
                            Words(text, "td", "n" if k in made.numbers else "")
        Words(made.caption, "p", "sw-caption")

    def _taker(self, offer: Offer) -> Callable[[], None]:
        return lambda: self.take(offer)

    def take(self, offer: Offer) -> None:
        """Put proposed braces into the design, as one step of undo."""
        change(self.bench, braces_written(self.bench.session.design, offer.proposed),
               "cabinet.braces")

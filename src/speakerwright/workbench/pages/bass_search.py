"""The search for a bass on its page: asked for, stopped, and its front to choose from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from nicegui import ui

from speakerwright.bass.search import table
from speakerwright.bass.search.found import Found, Member
from speakerwright.bass.search.take import changes
from speakerwright.chain.requests import Request
from speakerwright.chain.search import found_in, search_request
from speakerwright.chain.store import Outcome
from speakerwright.design.document import Design
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.pages.forms import change
from speakerwright.workbench.parts import Button, Html, Words, blocks_html, box, folded
from speakerwright.workbench.requests import OnRequest

MOST = 25
"""Rows shown at a time; a rule of thumb."""

Key = Callable[[Member], Any]
SORTS: dict[str, Key] = {
    "net volume": lambda m: m.candidate.volume,
    "tuning": lambda m: m.candidate.tuning or 0.0,
    "cost": lambda m: (m.cost is None, m.cost or 0.0),
    "size": lambda m: m.size,
    "lowest": lambda m: m.extension,
    "headroom": lambda m: -m.headroom_db,
}
"""What the front can be sorted by, best first; otherwise it keeps the search's own order."""


def searches(bench: Bench) -> None:
    """A search for every chamber, folded."""
    names = list(bench.session.design.decided.bass)
    for name in names:
        with folded("Search for a box" if len(names) == 1 else f"Search for chamber {name}",
                    classes="sw-all"):
            Search(bench, name)


class Search:
    """One chamber's search: a button, how far it is, and the front with a button to take each."""

    def __init__(self, bench: Bench, chamber: str) -> None:
        self.bench, self.chamber = bench, chamber
        self.found: Found | None = None
        self.order = ""
        self._rows: ui.element | None = None
        self._heads: dict[str, ui.element] = {}
        Words("Every cone driver of the project's records with all its figures, one or two of "
              "them, closed, vented, with passive radiators and as a band-pass box, over volumes, "
              "tunings, ports and protective high-passes, against the brief. Candidates are "
              "screened first; those that may be best are worked out in full.", "p",
              "sw-quietly")
        self.asked = OnRequest(
            bench, f"search {chamber}", "Search", self._request, self._draw,
            tip="It takes some seconds to minutes; it goes on while you work",
        )

    def _request(self, design: Design) -> Request:
        return search_request(design, self.chamber, folder=self.bench.shop.folder)

    def _draw(self, outcome: Outcome) -> None:
        found = self.found = found_in(outcome)
        currency = self.bench.session.design.decided.plan.currency
        made = table.chapter(found, currency, self.bench.system, MOST)
        if not found.members:
            Html(blocks_html(made.blocks), classes="sw-blocks")
            return
        Words(table.counts(found), "p")
        self._front(found)
        with folded("How far the screen was from the full results"):
            Html(blocks_html(made.blocks[2:]), classes="sw-blocks")

    def _front(self, found: Found) -> None:
        with box("sw-scroll").props("tabindex=0"), box("sw-table", "table"):
            with box(tag="thead"), box(tag="tr"):
                Words("choose", "th").props("scope=col")
                for k, head in enumerate(table.HEADS):
                    self._head(head, "n" if k in table.NUMBERS else "")
            self._rows = box(tag="tbody")
        Words(table.caption(found, MOST), "p", "sw-caption")
        self._fill()

    def _head(self, head: str, classes: str) -> None:
        if head not in SORTS:
            Words(head, "th", classes).props("scope=col")
            return
        with box(classes, "th").props("scope=col") as cell:
            Button(head, lambda: self.sort(head), classes="sw-quiet",
                   tip=f"Sort by {head}").mark(f"sort:{head}")
        self._heads[head] = cell

    def sort(self, head: str) -> None:
        """Sort by a head; by the search's own order when it is so already."""
        self.order = "" if self.order == head else head
        for name, cell in self._heads.items():
            cell.props["aria-sort"] = (
                "none" if name != self.order else
                "descending" if name == "headroom" else "ascending")
            cell.update()
        self._fill()

    def _fill(self) -> None:
        assert self.found is not None
        assert self._rows is not None
        members = self.found.members
        if self.order:
            members = tuple(sorted(members, key=SORTS[self.order]))
        currency = self.bench.session.design.decided.plan.currency
        self._rows.clear()
        with self._rows:
            for member in members[:MOST]:
                with box(tag="tr"):
                    with box(tag="td"):
                        Button("Take this one", self._taker(member), classes="sw-quiet").mark(
                            f"take:{member.candidate.number}")
                    for k, text in enumerate(table.row(member, currency, self.bench.system)):
                        Words(text, "td", "n" if k in table.NUMBERS else "")

    def _taker(self, member: Member) -> Callable[[], None]:
        return lambda: self.take(member)

    def take(self, member: Member) -> None:
        """Put one into the design, as one step of undo."""
        wanted = changes(self.bench.session.design, self.chamber, member.candidate)
        change(self.bench, wanted, f"bass.{self.chamber}.loading")

"""The named alignments of a chamber's driver, each with a button that puts it into the design."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from speakerwright.bass.alignment import Proposal, Refused, proposals, refusals, table
from speakerwright.bass.result import ChamberResult
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.pages.bass_first import aligned
from speakerwright.workbench.pages.bass_rest import Folded, Rested
from speakerwright.workbench.pages.chambers import make
from speakerwright.workbench.parts import Button, Words, box, folded

Found = tuple[tuple[Proposal, ...], tuple[Refused, ...]]


class Alignments:
    """A table of the alignments that the driver gives, and below it those that it does not."""

    def __init__(self, bench: Bench, chamber: str, title: str) -> None:
        self.bench, self.chamber = bench, chamber
        self.found: tuple[Proposal, ...] = ()
        self._shown: Any = None
        self.part = Folded(bench, f"alignments:{chamber}", title)
        with self.part.inside():
            self.place = box()
            with self.place:
                Words("Working it out.", "p", "sw-quietly")
        Rested(bench, self.part, self._chamber, work, self._show)

    def _chamber(self) -> ChamberResult | None:
        live = self.bench.live
        return None if live is None else live.workup.bass.chambers.get(self.chamber)

    def _show(self, found: Found | None) -> None:
        shown = (found, self.bench.system)
        if shown == self._shown:
            return  # a volume or a tuning was turned, on which none of this rests
        self._shown = shown
        self.place.clear()
        with self.place:
            if found is None:
                Words("They could not be worked out.", "p", "sw-quietly")
                return
            self._draw(*found)

    def _draw(self, found: tuple[Proposal, ...], refused: tuple[Refused, ...]) -> None:
        self.found = found
        made = table(found, self.bench.system)
        if found:
            with box("sw-scroll").props("tabindex=0"), box("sw-table", "table"):
                with box(tag="thead"), box(tag="tr"):
                    Words("choose", "th").props("scope=col")
                    for k, head in enumerate(made.heads):
                        Words(head, "th", "n" if k in made.numbers else "").props("scope=col")
                with box(tag="tbody"):
                    for proposal, row in zip(found, made.rows, strict=True):
                        self._row(proposal, row, made.numbers)
            Words(made.caption, "p", "sw-caption")
        else:
            Words("This driver gives none.", "p", "sw-quietly")
        if refused:
            with folded(f"Not for this driver: {len(refused)}"), box("", "ul"):
                for one in refused:
                    Words(f"{one.name}: {one.reason[:1].lower()}{one.reason[1:]}"
                          if not one.reason.startswith("QT") else f"{one.name}: {one.reason}", "li")

    def _row(self, proposal: Proposal, row: tuple[str, ...], numbers: tuple[int, ...]) -> None:
        with box(tag="tr"):
            with box(tag="td"):
                Button("Use it", self._user(proposal), classes="sw-quiet",
                       tip=f"Take {proposal.name} over: volume, tuning and filter").mark(
                    f"align:{proposal.name}")
            for k, text in enumerate(row):
                Words(text, "td", "n" if k in numbers else "")

    def _user(self, proposal: Proposal) -> Callable[[], None]:
        return lambda: self.use(proposal)

    def use(self, proposal: Proposal) -> None:
        """Put one into the design, as one step of undo."""
        make(self.bench, lambda now: (aligned(now, self.chamber, proposal), ""),
             f"bass.{self.chamber}.loading")


def work(chamber: ChamberResult) -> Found:
    """The alignments of a chamber's driver and those that it does not give; for a thread."""
    return proposals(chamber.inputs), refusals(chamber.inputs)

"""Plan: what the builder holds in hand, and what still stops it."""

from __future__ import annotations

import asyncio
import secrets
from collections import OrderedDict
from collections.abc import Callable

from nicegui import app, ui
from starlette.responses import Response

from speakerwright import chain
from speakerwright.words.findings import Finding
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import Field, field_for
from speakerwright.workbench.latest import SLOW
from speakerwright.workbench.pages.forms import change
from speakerwright.workbench.parts import Button, Html, Words, box, mark
from speakerwright.workbench.session import written

MADE: OrderedDict[str, bytes] = OrderedDict()
"""The last few plans made, by a word that cannot be guessed."""

MOST = 4


def route() -> None:
    """Serve the plans made in this run to whoever knows their word; nothing is kept by a browser.
    """

    @app.get("/made/{word}/plan.pdf")
    def _made(word: str) -> Response:
        data = MADE.get(word)
        if data is None:
            return Response("It is not there any more.", 404, media_type="text/plain")
        return Response(data, media_type="application/pdf", headers={
            "Cache-Control": "no-store", "Content-Disposition": "inline; filename=plan.pdf"})


def page(bench: Bench) -> None:
    """What stops it, the plan itself, and how it is titled."""
    Plan(bench)
    _fields(bench)


class Plan:
    """What stops the plan, and the plan when it is asked for."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._for = ""
        self._word = ""
        self._told: object = None
        self.stops = box("sw-part")
        with box("sw-row sw-first"):
            self.make = Button("Make the plan", self.made, classes="sw-strong",
                               tip="Set the whole plan as a PDF; it takes a few seconds")
            self.load = Button("Download it", self._download)
            self.state = Words("", "span", "sw-quietly").props("aria-live=polite")
        self.frame = box("sw-part")
        self._busy = False
        bench.watch(self.show)

    def show(self) -> None:
        """Show what stops the plan, and whether the one made is still of this design."""
        bench = self.bench
        stops = [f for each in bench.findings().values() for f in each if f.stops]
        told = (bench.behind, [(f.name, f.text(bench.system)) for f in stops])
        if told != self._told:
            self._told = told
            self.stops.clear()
            with self.stops:
                self._tell(stops)
        ready = bench.current is not None and not self._busy
        self.make.enable(ready)
        stale = bool(self._word) and self._for != bench.session.design.key + bench.system
        self.load.enable(bool(self._word) and not stale and not stops)
        self.state.set_text(
            "Setting the plan." if self._busy else
            "The design has changed since; make it again." if stale else
            "Working the design out." if bench.current is None else
            "A draft can be looked at; it is not for building from." if stops else "")

    def _tell(self, stops: list[Finding]) -> None:
        if not stops:
            if self.bench.current is not None:
                Words("Nothing stops this plan.", "p")
            return
        Words("What stops it", "h2")
        with box("", "ul"):
            for finding in stops:
                with box("sw-stop", "li"):
                    Html(mark(finding.verdict), tag="span")
                    Words(finding.text(self.bench.system), "span")
                    self._go(finding.where)

    def _go(self, where: str) -> None:
        Button("Show the value", lambda: self.bench.go(where), classes="sw-quiet")

    async def made(self) -> None:
        """Make the plan and show it in the page."""
        bench, current = self.bench, self.bench.current
        if current is None or self._busy:
            return
        self._busy = True
        self.show()
        key = current.design.key + bench.system
        try:
            data = await asyncio.get_running_loop().run_in_executor(SLOW, chain.plan_pdf, current)
        finally:
            self._busy = False
        if bench.client.is_deleted or self.frame.is_deleted:
            return
        self._word, self._for = keep(data), key
        with bench.client:
            self.frame.clear()
            with self.frame:
                view = box("sw-frame", "iframe")
                view.props["src"] = f"/made/{self._word}/plan.pdf"
                view.props["title"] = "The plan"
            self.show()

    def _download(self) -> None:
        data = MADE.get(self._word)
        if data is None:
            self.bench.say("It is not there any more; make it again.")
            return
        ui.download.content(data, "plan.pdf", "application/pdf")


def keep(data: bytes) -> str:
    """Keep a plan for its page; the word that leads to it."""
    word = secrets.token_urlsafe(16)
    MADE[word] = data
    while len(MADE) > MOST:
        MADE.popitem(last=False)
    return word


def _fields(bench: Bench) -> None:
    with box("sw-all"):
        Words("How it is titled and printed", "h2")
        with box("sw-fields"):
            for path, label, hint in (
                ("title", "Title", ""), ("version", "Version", "0.1"),
                ("date", "Date", "2026-01-01"), ("author", "Author", ""), ("units", "Units", ""),
                ("paper", "Paper", ""), ("currency", "Currency", "EUR"),
            ):
                field_for(bench, f"plan.{path}", label, hint=hint,
                          default={"units": "mm", "paper": "a4"}.get(path, ""))
        Field(bench, "plan.licence", "Licence: what a reader may do with it", lines=2)
        notes = written(bench.session.design, "plan.notes") or []
        for k in range(len(notes)):
            Field(bench, f"plan.notes.{k}", f"Note {k + 1} on the cover", lines=2)
        Button("Add a note", lambda: change(bench, {"plan.notes": [*notes, "A note."]}),
               classes="sw-quiet")
        _accepted(bench)


def _accepted(bench: Bench) -> None:
    accepted = bench.session.design.decided.accepted
    if not accepted:
        return
    Words("Accepted in spite of a finding", "h3")
    for name, given in accepted.items():
        with box("sw-row"):
            Words(f"{name}: {given.reason}", "span", "sw-grow")
            Button("Take it back", _taker(bench, name), classes="sw-quiet")


def _taker(bench: Bench, name: str) -> Callable[[], None]:
    def act() -> None:
        kept = {n: v for n, v in bench.session.design.raw["accepted"].items() if n != name}
        change(bench, {"accepted": kept or None})

    return act

"""Plan: what the builder holds in hand, and what still stops it."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable

from nicegui import app, ui
from starlette.responses import Response

from speakerwright import chain
from speakerwright.chain.store import Outcome
from speakerwright.words.findings import Finding
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import Field, field_for
from speakerwright.workbench.pages.forms import change
from speakerwright.workbench.parts import Button, Html, Words, box, mark
from speakerwright.workbench.requests import OnRequest
from speakerwright.workbench.session import written

MADE: OrderedDict[str, Outcome] = OrderedDict()
"""The last few plans shown, by a word that cannot be guessed."""

MOST = 4
PDF = "plan.pdf"


def route() -> None:
    """Serve the pages of the plans shown in this run to whoever knows their word.

    What is kept in a project's folder may have come from a stranger: it is a picture or nothing.
    """

    @app.get("/made/{word}/{name}.png")
    def _made(word: str, name: str) -> Response:
        outcome = MADE.get(word)
        data = None if outcome is None else outcome.files.get(f"{name}.png")
        if data is None:
            return Response("It is not there any more.", 404, media_type="text/plain")
        return Response(data, media_type="image/png", headers={
            "Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"})


def page(bench: Bench) -> None:
    """What stops it, the plan itself, and how it is titled."""
    Plan(bench)
    _fields(bench)


class Plan:
    """What stops the plan, and the plan when it is asked for."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._word = ""
        self._told: object = None
        self.load: Button | None = None
        self.stops = box("sw-part")
        with box("sw-part"):
            self.state = Words("", "p", "sw-quietly").props("aria-live=polite")
            self.asked = OnRequest(
                bench, "plan", "Make the plan", chain.plan_request, self._draw,
                tip="Set the whole plan; it takes a few seconds",
                ready=lambda: bench.current is not None, told=self._ready,
            )
            with self.asked.row:
                self.load = Button("Download the PDF", self._download)
                self.load.move(target_index=1)
        bench.watch(self.show)

    def show(self) -> None:
        """Show what stops the plan."""
        bench = self.bench
        stops = self._stops()
        told = (bench.behind, [(f.name, f.text(bench.system)) for f in stops])
        if told != self._told:
            self._told = told
            self.stops.clear()
            with self.stops:
                self._tell(stops)
        self.state.set_text(
            "Working the design out." if bench.current is None else
            "A draft can be looked at; it is not for building from." if stops else "")
        self.state.set_visibility(bool(self.state.text))
        self._ready()

    def _stops(self) -> list[Finding]:
        return [f for each in self.bench.findings().values() for f in each if f.stops]

    def _ready(self) -> None:
        """Only a plan of this design as it is now, that nothing stops, is to be handed on."""
        if self.load is not None:
            whole = self.bench.current
            self.load.enable(self.asked.fresh and whole is not None and not whole.stops)

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

    def _draw(self, outcome: Outcome) -> None:
        """The plan's pages, each loaded when it comes into view."""
        self._word = keep(outcome)
        count = sum(name.startswith("page-") for name in outcome.files)
        with box("sw-pages").props('tabindex=0 role=group aria-label="The pages of the plan"'):
            for k in range(1, count + 1):
                name = f"page-{k}.png"
                with box("sw-sheet", "figure"):
                    picture = box("", "img")
                    picture.props["src"] = f"/made/{self._word}/{name}"
                    picture.props["alt"] = f"Page {k} of the plan"
                    picture.props["loading"] = "lazy"
                    picture.props["width"], picture.props["height"] = size(outcome.files[name])
                    Words(f"{k} of {count}", "figcaption")

    def _download(self) -> None:
        outcome = self.asked.outcome
        if outcome is not None and PDF in outcome.files:
            ui.download.content(outcome.files[PDF], PDF, "application/pdf")


def size(picture: bytes) -> tuple[int, int]:
    """Width and height of a page's picture in dots, so that its place is kept; else as A4's."""
    if picture[:8] != b"\x89PNG\r\n\x1a\n" or len(picture) < 24:
        return 1191, 1684
    return int.from_bytes(picture[16:20], "big"), int.from_bytes(picture[20:24], "big")


def keep(outcome: Outcome) -> str:
    """Keep a plan for its page; the word that leads to it."""
    word = secrets.token_urlsafe(16)
    MADE[word] = outcome
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

"""Cabinet: the thing itself, what it is built of, and whether everything fits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from speakerwright import chain
from speakerwright.words.blocks import Figure, Heading, Paragraph
from speakerwright.words.units import show as show_value
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import Field, Turn
from speakerwright.workbench.pages.cabinet_decided import decided
from speakerwright.workbench.pages.cabinet_fields import fields_part
from speakerwright.workbench.pages.cabinet_quiet import air_part
from speakerwright.workbench.pages.cabinet_safety import TITLE, safety_part
from speakerwright.workbench.pages.cabinet_solid import MovableFront, Solid, collided
from speakerwright.workbench.pages.drawings import Drawn
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
from speakerwright.workbench.session import written

if TYPE_CHECKING:
    from speakerwright.cabinet.sizes import Settled

__all__ = ["collided", "drawn", "page", "settled_now"]

SIZES = (("width", "Width outside"), ("height", "Height outside"), ("depth", "Depth outside"))


def page(bench: Bench) -> None:
    """The cabinet in the round, its sizes, drawings and figures."""
    if bench.session.design.decided.cabinet is None:
        _begin(bench)
        return
    with box("sw-bench"):
        for name, label in SIZES:
            _size(bench, name, label)
        Turn(bench, "cabinet.sheet", "Sheet", octaves=0.6)
    state = Words("", "p", "sw-quietly sw-state").props("aria-live=polite")
    with box("sw-round"):
        Solid(bench)
        MovableFront(bench)
    decided(bench)
    fields_part(bench)
    air_part(bench)
    safety_part(bench)
    with box("sw-part sw-after"):
        _drawings(bench)

    def show() -> None:
        waiting = bench.behind or bench.whole is None or bench.whole.cabinet is None
        missing = not bench.behind and bench.whole is not None and bench.whole.cabinet is None
        state.set_text("There is no such cabinet: see what is found on the right." if missing
                       else _meanwhile(bench) if waiting else "")

    bench.watch(show)


def settled_now(bench: Bench) -> Settled | None:
    """The newest sizes: closed on the solids, or while those are awaited on stated volumes."""
    if bench.current is not None:
        return bench.current.settled
    newest = bench.whole if bench.live is None else bench.live.workup
    return None if newest is None else newest.settled


def _meanwhile(bench: Bench) -> str:
    found = settled_now(bench)
    if found is None or not found.closed:
        return "Working it out; what is shown is the one before."
    sizes = " × ".join(show_value(getattr(found.sizes, name), "length", bench.system)
                       for name, _ in SIZES)
    return f"{sizes} outside; the solid follows when the hand rests."


def _begin(bench: Bench) -> None:
    Words("No cabinet is decided yet. A box of sheet is settled on the bass's net volume: give two "
          "of width, height and depth, and the third follows.", "p")
    Button("Begin with a box", lambda: change(bench, {
        "cabinet": {"width": "220 mm", "depth": "280 mm", "sheet": "18 mm",
                    "material": "birch plywood"}}), classes="sw-strong")


def _size(bench: Bench, name: str, label: str) -> None:
    """An outside size to turn, or one that follows from the others, with what it comes to."""
    path = f"cabinet.{name}"
    if written(bench.session.design, path) is not None:
        Turn(bench, path, label, octaves=0.6)
        return
    field = Field(bench, path, label, hint="follows")

    def show() -> None:
        found = settled_now(bench)
        if found is not None and found.closed:
            told = f"follows: {show_value(getattr(found.sizes, name), 'length', bench.system)}"
            if field.input.props.get("placeholder") != told:
                field.input.props["placeholder"] = told
                field.input.update()

    bench.watch(show)


def _drawings(bench: Bench) -> None:
    """Figures first; then the drawings of the cabinet that is shown."""
    tables = Html(classes="sw-blocks sw-twos")
    with folded("General drawings", opened=True, classes="sw-all"):
        general = Html(classes="sw-drawings")
    with folded("Panels, one by one", classes="sw-all"):
        panels = Html(classes="sw-drawings")

    def show(made: tuple[str, str, str]) -> None:
        for part, html in zip((tables, general, panels), made, strict=True):
            part.show(html)

    Drawn(bench, general, lambda current: current.cabinet, drawn, show)


def drawn(current: chain.Workup, system: str) -> tuple[str, str, str]:
    """Tables, general drawings and panels of a cabinet as HTML; runs in a thread."""
    from speakerwright.cabinet.chapter import chapter

    assert current.cabinet is not None
    parts: dict[str, list[Any]] = {"tables": [], "general": [], "panels": [], "by itself": []}
    part = "tables"
    for block in chapter(current.design, current.cabinet, system).blocks:
        if isinstance(block, Heading):
            part = {"General drawings": "general", "Panels, one by one": "panels",
                    TITLE: "by itself"}.get(block.text, "tables")
            if part != "tables":
                continue
        if not isinstance(block, Paragraph) or part == "tables":
            parts[part].append(block)
    return (blocks_html(parts["tables"], pictures=True),
            "".join(figure_html(b) for b in parts["general"] if isinstance(b, Figure)),
            "".join(figure_html(b) for b in parts["panels"] if isinstance(b, Figure)))

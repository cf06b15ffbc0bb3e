"""Cutting: which sheets, what they cost, how they are laid out, and the files that cut them."""

from __future__ import annotations

import asyncio
import io
import zipfile
from html import escape

from nicegui import ui

from speakerwright import chain
from speakerwright.words.blocks import Figure, Heading
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import ChoiceField, Field
from speakerwright.workbench.latest import SLOW
from speakerwright.workbench.pages.drawings import Drawn
from speakerwright.workbench.pages.forms import change, entries
from speakerwright.workbench.parts import (
    Button,
    Html,
    Words,
    blocks_html,
    box,
    figure_html,
    folded,
)

TOOLS = {"saw": "a saw", "router": "a router"}
GRAINS = {"along": "along the sheet's", "free": "any way"}


def page(bench: Bench) -> None:
    """Layouts, cut list, files; the sheets at hand and the tool."""
    if bench.session.design.decided.cutting is None:
        _begin(bench)
        return
    with box("sw-row sw-first"):
        files = Button("Download the cut files", lambda: download(bench), classes="sw-strong",
                       tip="Cut list, a drawing of every panel and sheet, in one archive")
        state = Words("", "span", "sw-quietly").props("aria-live=polite")

    def show() -> None:
        current = bench.current
        ready = current is not None and current.cutting is not None and not current.stops
        files.enable(ready)
        state.set_text(
            "Working it out." if current is None else
            "Something fails: see the findings, or accept them with a reason." if current.stops
            else "There is no cabinet to cut." if current.cutting is None else "")

    bench.watch(show)
    with box("sw-part"):
        _layouts(bench)
    _fields(bench)


def _begin(bench: Bench) -> None:
    if bench.session.design.decided.cabinet is None:
        Words("There is nothing to cut before a cabinet is decided.", "p")
        ui.link("Go to the cabinet", "/cabinet")
        return
    Words("No sheet is at hand yet.", "p")
    Button("Begin with one kind of sheet", lambda: change(bench, {
        "cutting": {"tool": "saw", "sheets": [
            {"name": "birch plywood 18 mm", "size": ["2440 mm", "1220 mm"]}]}}),
        classes="sw-strong")


def _layouts(bench: Bench) -> None:
    """Cut list and layouts."""
    sheets = Html(classes="sw-drawings")
    tables = Html(classes="sw-blocks sw-after")
    with folded("Order of cuts, offcuts, cautions", classes="sw-all"):
        order = Html(classes="sw-blocks")

    def show(made: tuple[str, str, str]) -> None:
        for part, html in zip((sheets, tables, order), made, strict=True):
            part.show(html)

    Drawn(bench, sheets, lambda current: current.cutting, drawn, show)


def drawn(current: chain.Workup, system: str) -> tuple[str, str, str]:
    """Layouts, lists, and the order of cuts as HTML; runs in a thread."""
    from speakerwright.cutting.chapter import chapter

    assert current.cutting is not None
    blocks = chapter(current.cutting, current.design.decided.plan.currency, system).blocks
    figures = [block for block in blocks if isinstance(block, Figure)]
    titled = "".join(
        f"<div><p class=sw-caption>{escape(block.caption)}</p>{figure_html(block)}</div>"
        for block in figures)
    words = [block for block in blocks if not isinstance(block, Figure)]
    cut = next((k for k, block in enumerate(words)
                if isinstance(block, Heading) and block.text == "Order of cuts"), len(words))
    return titled, blocks_html(words[:cut]), blocks_html(words[cut + 1 :])


async def download(bench: Bench) -> None:
    """Send the cut files as one archive."""
    current = bench.current
    if current is None or current.stops:
        return
    data = await asyncio.get_running_loop().run_in_executor(SLOW, archive, current)
    with bench.client:
        ui.download.content(data, "cut-files.zip", "application/zip")


def archive(current: chain.Workup) -> bytes:
    """The cut files as a zip archive, the same bytes for the same design."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in sorted(chain.cut_files(current).items()):
            out.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)
    return held.getvalue()


def _fields(bench: Bench) -> None:
    with folded("Everything that is decided here", opened=True, classes="sw-all"):
        with box("sw-group"):
            Words("How it is cut", "h3")
            with box("sw-fields"):
                ChoiceField(bench, "cutting.tool", "With", TOOLS, default="saw")
                Field(bench, "cutting.kerf", "Width of one cut", hint="the tool's usual")
                Field(bench, "cutting.spacing", "Between parts, at least", hint="the tool's usual")
                Field(bench, "cutting.margin", "Trimmed off every edge", hint="10 mm")
                ChoiceField(bench, "cutting.grain", "Panels' grain", GRAINS, default="along")
        entries(bench, "Sheets at hand", "cutting.sheets", [
            ("name", "Sheet"), ("size.0", "Along the grain"), ("size.1", "Across"),
            ("price", "Price", {"hint": "a plain number"}), ("count", "How many",
                                                             {"hint": "as wanted"}),
            ("thickness", "Thickness", {"hint": "the cabinet's"}),
            ("material", "Material", {"hint": "any"}),
        ], lambda n: {"name": f"sheet {n + 1}", "size": ["2440 mm", "1220 mm"]}, "Add a sheet",
            least=1)

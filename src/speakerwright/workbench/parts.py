"""Small plain parts of a page: text, buttons, choices, marks of verdicts, tables from blocks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from html import escape
from typing import Any

from nicegui import ui
from nicegui.elements.mixins.text_element import TextElement
from nicegui.events import GenericEventArguments

from speakerwright.drawing.palette import VERDICTS
from speakerwright.words.blocks import (
    Block,
    Caution,
    Figure,
    Findings,
    Heading,
    Paragraph,
    Points,
    Table,
)
from speakerwright.words.findings import Verdict

_TITLE = re.compile(r"<title>([^<\"]*)</title>")


class Words(TextElement):
    """Text in an element of any tag."""

    def __init__(self, text: str = "", tag: str = "p", classes: str = "") -> None:
        super().__init__(tag=tag, text=text)
        self.classes(classes)


class Button(TextElement):
    """A plain button with words on it."""

    def __init__(
        self, text: str, on_click: Callable[[], Any], *, tip: str = "", classes: str = "",
    ) -> None:
        super().__init__(tag="button", text=text)
        self.props("type=button").classes(f"sw-button {classes}")
        if tip:
            self.props["title"] = tip
        self.on("click", lambda: on_click())  # a coroutine is awaited by the page

    def enable(self, usable: bool) -> None:
        """Make it usable or not."""
        if usable == bool(self.props.get("disabled")):
            if usable:
                del self.props["disabled"]
            else:
                self.props["disabled"] = True
            self.update()


class Pick(ui.element):
    """A list to pick one word from; `on_pick` gets the value."""

    def __init__(
        self, options: Mapping[str, str], value: str, on_pick: Callable[[str], Any],
        name: str, classes: str = "",
    ) -> None:
        super().__init__("select")
        self.classes(f"sw-pick {classes}")
        self.props["aria-label"] = name
        self.props["value"] = value
        self._on_pick = on_pick
        self._entries: dict[str, str] = {}
        self.offer(options)
        self.on("change", self._picked, js_handler="(e) => emit(e.target.value)")

    def offer(self, options: Mapping[str, str]) -> None:
        """Offer other words."""
        if dict(options) == self._entries:
            return
        self._entries = dict(options)
        self.clear()
        with self:
            for value, words in options.items():
                Words(words, "option").props["value"] = value

    def show(self, value: str) -> None:
        """Show a value as picked."""
        if self.props.get("value") != value:
            self.props["value"] = value
            self.update()

    def _picked(self, event: GenericEventArguments) -> None:
        self.props["value"] = event.args
        self._on_pick(str(event.args))


def box(classes: str = "", tag: str = "div") -> ui.element:
    """A plain container."""
    return ui.element(tag).classes(classes)


def folded(title: str, *, opened: bool = False, classes: str = "") -> ui.element:
    """A part that opens under its title; use it as a context."""
    part = box(f"sw-folded {classes}", "details")
    if opened:
        part.props["open"] = True
    with part:
        if "sw-all" in classes:
            with box(tag="summary"):
                Words(title, "h2")
        else:
            Words(title, "summary")
    return part


def mark(verdict: Verdict | None, *, words: bool = True) -> str:
    """A verdict as shape, colour and word in HTML; no verdict yet is told in words."""
    if verdict is None:
        return '<span class="sw-mark sw-working">working</span>'
    seen = VERDICTS[verdict]
    word = f"<span>{escape(seen.word.lower())}</span>" if words else ""
    return (
        f'<span class="sw-mark sw-{verdict.value}"><svg viewBox="0 0 12 12" aria-hidden="true">'
        f'<path d="{seen.path}" fill="currentColor" fill-rule="evenodd"/></svg>{word}</span>'
    )


def blocks_html(blocks: Iterable[Block], *, pictures: bool = False) -> str:
    """Blocks of a chapter as HTML; figures only with `pictures`, and findings never."""
    return "".join(_block(block, pictures) for block in blocks)


def _block(block: Block, pictures: bool) -> str:  # noqa: PLR0911
    if isinstance(block, Heading):
        return f"<h3>{escape(block.text)}</h3>"
    if isinstance(block, Paragraph):
        return f"<p>{escape(block.text)}</p>"
    if isinstance(block, Points):
        return "<ul>" + "".join(f"<li>{escape(item)}</li>" for item in block.items) + "</ul>"
    if isinstance(block, Table):
        return table_html(block)
    if isinstance(block, Caution):
        return (f'<p class="sw-caution"><strong>{escape(block.subject)}.</strong> '
                f"{escape(block.text)}</p>")
    if isinstance(block, Figure) and pictures:
        return figure_html(block)
    assert isinstance(block, (Figure, Findings))
    return ""


def figure_html(figure: Figure) -> str:
    """A figure whose picture is SVG, with its caption for those who cannot see it."""
    picture = str(figure.picture)
    title = _TITLE.search(picture)
    words = escape(figure.caption) or (title[1] if title else "Drawing")
    return f'<figure class="sw-drawing" role="img" aria-label="{words}">{picture}</figure>'


def table_html(table: Table) -> str:
    """A table; one whose second head is empty is a list of names and values."""
    pairs = len(table.heads) == 2 and not table.heads[1]
    numbers = set(table.numbers)
    side = [' class="n"' if k in numbers else "" for k in range(len(table.heads))]
    head = "".join(f"<th scope=col{side[k]}>{escape(text)}</th>"
                   for k, text in enumerate(table.heads))
    rows = []
    for row in table.rows:
        cells = [f"<td{side[k]}>{escape(text)}</td>" for k, text in enumerate(row)]
        if pairs:
            cells[0] = f"<th scope=row>{escape(row[0])}</th>"
        rows.append(f"<tr>{''.join(cells)}</tr>")
    top = "" if pairs else f"<thead><tr>{head}</tr></thead>"
    caption = f"<p class=sw-caption>{escape(table.caption)}</p>" if table.caption else ""
    kind = "sw-pairs" if pairs else "sw-table"
    return (f'<div class="sw-scroll" tabindex="0"><table class="{kind}">{top}'
            f"<tbody>{''.join(rows)}</tbody></table></div>{caption}")


class Html(ui.html):
    """HTML of our own making; all text in it is escaped where it is made."""

    def __init__(self, content: str = "", classes: str = "", tag: str = "div") -> None:
        super().__init__(content, sanitize=False, tag=tag)
        self.classes(classes)

    def show(self, content: str) -> None:
        """Show other content; nothing is sent when it is the same."""
        if content != self.content:
            self.set_content(content)

"""Help of a page: what it asks, the keys, its rules, and the stage's own page of the docs."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

from nicegui import ui

from speakerwright.words.rules import RULES
from speakerwright.words.stages import Stage
from speakerwright.workbench.parts import Button, Html, Words, box, folded

SHIPPED = Path(__file__).parent / "docs"
TREE = Path(__file__).parents[3] / "docs"
"""In an installed package the docs stand beside this module, put there when it is built; in the
source tree there is the one copy that they are built from."""

KEYS = (
    ("Ctrl+Z", "take the last edit back"),
    ("Ctrl+Shift+Z", "bring it back"),
    ("Ctrl+S", "save"),
    ("H", "hold the curves as they are"),
    ("Enter", "take what was typed into a field"),
    ("Escape", "show the field's own value again"),
    ("Arrow keys", "turn a slider, move the cursor over a curve, or a part on the front"),
    ("0 on a chart", "show the whole axis again"),
)
UNITS = ("A field takes any unit that measures the thing: 305 mm, 12 in, 11 7/8 in, 92 L, 3 ft^3. "
         "A plain number takes the unit that stands there. Decimals have a point, not a comma.")


def page_of(name: str) -> str | None:
    """The text of a page of the docs, or None where it was not shipped."""
    for folder in (SHIPPED, TREE):
        path = folder / f"{name}.md"
        if path.is_file():
            return path.read_text("utf-8")
    return None


@cache
def rendered(name: str) -> str:
    """A page of the docs as HTML, without its title; empty where there is none.

    HTML in it is shown as text. Pictures and links to other pages are left as words: nothing here
    leads away from the page that is being helped.
    """
    from markdown_it import MarkdownIt

    text = page_of(name)
    if text is None:
        return ""
    reader: Any = MarkdownIt("commonmark", {"html": False}).enable("table")
    for kind in ("link_open", "link_close"):
        reader.add_render_rule(kind, lambda *_: "")
    reader.add_render_rule("image", lambda *_: "")
    made = reader.render(re.sub(r"\A# .*\n", "", text))
    made = re.sub(r"<(/?)h([2-5])>", lambda m: f"<{m[1]}h{int(m[2]) + 1}>", made)
    return str(made.replace("<table>", '<div class="sw-scroll" tabindex="0"><table>')
               .replace("</table>", "</table></div>"))


def show_help(stage: Stage | None) -> None:
    """Open the help of a stage's page."""
    held = ui.dialog(value=True)
    title = "Help" if stage is None else f"Help: {stage.name}"
    held.props["aria-label"] = title
    held.on("hide", held.delete)
    with held, box("sw-dialog sw-help"):
        with box("sw-row sw-help-head"):
            Words(title, "h2", "sw-grow")
            Button("Close", held.close)
        if stage is not None:
            Words(stage.question, "p")
        with box("sw-keys", "dl"):
            for key, does in KEYS:
                Words(key, "dt")
                Words(does, "dd")
        Words(UNITS, "p", "sw-quietly")
        if stage is not None:
            _rules(stage)
            text = rendered(stage.name)
            if text:
                with folded("How it is worked out", opened=True, classes="sw-all"):
                    Html(text, classes="sw-blocks sw-doc")
        text = rendered("workbench")
        if text:
            with folded("The workbench", classes="sw-all"):
                Html(text, classes="sw-blocks sw-doc")


def _rules(stage: Stage) -> None:
    rules = [rule for rule in RULES.values() if rule.stage == stage.name]
    if not rules:
        return
    with folded("What is judged here, and why", classes="sw-all"):
        for rule in rules:
            Words(rule.asks, "h3")
            Words(rule.why, "p", "sw-quietly")

"""Blocks and findings in a terminal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from html import unescape
from typing import TYPE_CHECKING, Any

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text

from speakerwright.words.blocks import (
    Block,
    Caution,
    Chapter,
    Figure,
    Findings,
    Heading,
    Paragraph,
    Points,
    Table,
)
from speakerwright.words.findings import Finding, Verdict, worst

if TYPE_CHECKING:
    from speakerwright.chain.requests import Tell

MARKS = {
    Verdict.HOLDS: ("●", "holds", "green"),
    Verdict.TIGHT: ("▲", "tight", "yellow"),
    Verdict.FAILS: ("■", "fails", "red"),
    Verdict.UNKNOWN: ("?", "unknown", "cyan"),
}


def console() -> Console:
    """A console that neither highlights numbers nor reads markup in a design's text."""
    return Console(highlight=False, markup=False, emoji=False, soft_wrap=False)


def print_chapter(chapter: Chapter, findings: tuple[Finding, ...], system: str) -> None:
    """One stage's chapter, then its findings."""
    out = console()
    out.print(Text(chapter.title, style="bold"))
    for block in chapter.blocks:
        _block(out, block, system)
    if findings:
        out.print()
        _findings(out, [f for f in findings if f.verdict is not Verdict.HOLDS], system)
        holding = sum(f.verdict is Verdict.HOLDS for f in findings)
        out.print(Text(f"{holding} of {len(findings)} findings hold.", style="dim"))


def _block(out: Console, block: Block, system: str) -> None:
    if isinstance(block, Heading):
        out.print(Text(f"\n{block.text}", style="bold"))
    elif isinstance(block, Paragraph):
        out.print(Text(block.text))
    elif isinstance(block, Points):
        for item in block.items:
            out.print(Text(f"– {item}"))
    elif isinstance(block, Table):
        _table(out, block)
    elif isinstance(block, Findings):
        _findings(out, list(block.items), system)
    elif isinstance(block, Caution):
        out.print(Padding(Text.assemble((f"{block.subject}: ", "bold"), block.text), (1, 0, 0, 2)))
    elif isinstance(block, Figure):
        title = block.caption if isinstance(block.picture, str) else block.picture.title
        if isinstance(block.picture, str) and not title:
            title = unescape("".join(re.findall(r"<title>([^<]*)</title>", block.picture)[:1]))
        out.print(Text(f"  [{title}; see the plan]" if title else "", style="dim"))


def _table(out: Console, block: Table) -> None:
    grid = Grid(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, header_style="dim")
    for k, head in enumerate(block.heads):
        grid.add_column(head, justify="right" if k in block.numbers else "left")
    for row in block.rows:
        grid.add_row(*[Text(cell) for cell in row])
    out.print(grid)
    if block.caption:
        out.print(Text(block.caption, style="dim italic"))


def _findings(out: Console, findings: list[Finding], system: str) -> None:
    for finding in findings:
        mark, word, colour = MARKS[finding.verdict]
        head = Text.assemble((f"{mark} {word:7}", colour), (f" {finding.where}", "bold"),
                             (f"  {finding.rule}", "dim"))
        if finding.margin is not None:
            head.append(f"  margin {finding.margin_text(system)}", "dim")
        out.print(head)
        out.print(Padding(Text(finding.text(system)), (0, 0, 0, 10)))
        if finding.accepted:
            out.print(Padding(Text(f"Accepted: {finding.accepted}"), (0, 0, 0, 10)))
        elif finding.verdict is not Verdict.HOLDS and finding.try_this:
            out.print(Padding(Text(finding.advice(system), style="dim"), (0, 0, 0, 10)))


def print_findings(workup: Any, system: str, *, every: bool) -> None:
    """All findings that do not simply hold (or every one), and a line per stage."""
    out = console()
    shown = [f for f in workup.all_findings if every or f.verdict is not Verdict.HOLDS]
    _findings(out, shown, system)
    if shown:
        out.print()
    for stage, found in workup.findings.items():
        mark, word, colour = MARKS[worst(found)]
        counts = ", ".join(
            f"{n} {v}" for v in Verdict if (n := sum(f.verdict is v for f in found))
        )
        out.print(Text.assemble((f"{mark} {word:7}", colour), f" {stage:9} {counts}"))


def print_stops(workup: Any, system: str) -> None:
    """What stops the plan, and how to go on."""
    out = console()
    _findings(out, [f for f in workup.all_findings if f.stops], system)
    out.print(Text("No plan was written. Change the design, record a reason with "
                   "'speakerwright accept', or print a draft with --draft."))


@contextmanager
def progress(words: str) -> Iterator[Tell]:
    """A bar on the standard error stream while something slow is worked out, for who watches.

    What it gives is called with how far it is (0 to 1) and a sentence of what is being done.
    """
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    out = Console(stderr=True, highlight=False, markup=False, emoji=False)
    columns = (TextColumn("{task.description}", markup=False), BarColumn(24),
               TimeElapsedColumn())
    with Progress(*columns, console=out, transient=True, disable=not out.is_terminal) as bar:
        task = bar.add_task(words, total=1.0)

        def tell(fraction: float, says: str) -> None:
            bar.update(task, completed=fraction, description=says)

        yield tell

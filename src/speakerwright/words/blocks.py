"""The blocks that stages hand to the plan: text, tables, charts, drawings, cautions.

A stage says what is to be printed; only the plan knows how it is set. Text is plain; quantities
are already in the reader's units. A figure's picture is SVG.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from speakerwright.words.findings import Finding


@dataclass(frozen=True)
class Heading:
    """A heading inside a chapter."""

    text: str


@dataclass(frozen=True)
class Paragraph:
    """Running text."""

    text: str


@dataclass(frozen=True)
class Points:
    """A list of short points."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table: heads, rows of text, and which columns are numbers (set right)."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True)
class Figure:
    """A picture: a chart (`drawing.charts.Chart`) or SVG text, with its caption."""

    picture: Any
    caption: str


@dataclass(frozen=True)
class Findings:
    """Findings, printed with shape, word and reason."""

    items: tuple[Finding, ...]


@dataclass(frozen=True)
class Caution:
    """A caution to the reader, with its subject in a word or two."""

    subject: str
    text: str


Block = Heading | Paragraph | Points | Table | Figure | Findings | Caution


@dataclass(frozen=True)
class Chapter:
    """One stage's chapter of the plan."""

    stage: str
    title: str
    blocks: tuple[Block, ...]

"""The plan as a PDF: blocks in, pages out, the same bytes whenever and wherever it is made."""

from __future__ import annotations

import datetime
import json
import re
import shutil
import tempfile
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import unescape
from importlib import resources
from itertools import pairwise
from pathlib import Path
from typing import Any

from speakerwright.drawing.charts import Chart, evidence_used
from speakerwright.drawing.palette import LINE_WORDS, VERDICTS, ground
from speakerwright.drawing.print_charts import svg
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
from speakerwright.words.findings import Finding, Verdict

TEXT_WIDTH_MM = 165.0
"""Width of the text, and of a chart, on every paper."""

PICTURE_PPI = 144.0
"""Dots per inch of a page's picture, enough for a dense screen: a rule of thumb."""

_PAPER_WIDTH_MM = {"a4": 210.0, "us-letter": 215.9}
_TALLEST_MM = 205.0
_FACES = ("Regular", "It", "Semibold", "Bold", "BoldIt")
_UNITS_MM = {"": 25.4 / 96, "px": 25.4 / 96, "pt": 25.4 / 72, "mm": 1.0, "cm": 10.0, "in": 25.4}
_LONG = 1500  # characters; a box longer than this may be broken over two pages


@dataclass(frozen=True)
class Cover:
    """What stands on the first page.

    `date` is the design's own (``2025-03-01`` or a date), `key_figures` are pairs of a name and
    its value in the reader's units, `notes` are paragraphs.
    """

    title: str
    subtitle: str = ""
    version: str = ""
    date: datetime.date | str = ""
    licence: str = ""
    author: str = ""
    key_figures: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Printed:
    """The plan as PDF bytes, and each of its pages as a PNG picture."""

    pdf: bytes
    pages: tuple[bytes, ...]


def _silent(_: float, __: str) -> None:
    pass


def pdf(
    cover: Cover, chapters: Sequence[Chapter], *, paper: str = "a4", system: str = "metric"
) -> bytes:
    """The plan as PDF bytes.

    Parameters
    ----------
    cover : Cover
    chapters : sequence of Chapter
        In the order in which they are printed.
    paper : {"a4", "us-letter"}
    system : {"metric", "inch"}
        The reader's units, for findings; all other words come in the reader's units already.

    Returns
    -------
    bytes
        Equal for equal input, whatever the day, the directory, the locale and the time zone.

    Raises
    ------
    ValueError
        For an unknown paper or system, or a picture that is no SVG.
    TypeError
        For a block of an unknown type.
    """
    return printed(cover, chapters, paper=paper, system=system, pictures=False).pdf


def printed(
    cover: Cover, chapters: Sequence[Chapter], *, paper: str = "a4", system: str = "metric",
    pictures: bool = True, tell: Callable[[float, str], None] = _silent,
) -> Printed:
    """The plan as PDF bytes and, with `pictures`, as a picture of every page.

    Arguments and errors are those of `pdf`; `tell` is called with how far it is (0 to 1) and a
    sentence of what is being done.
    """
    if paper not in _PAPER_WIDTH_MM:
        raise ValueError(f"paper is one of {', '.join(_PAPER_WIDTH_MM)}, not {paper!r}")
    if system not in ("metric", "inch"):
        raise ValueError(f"the system is metric or inch, not {system!r}")
    data = _data(cover, chapters, paper, system, tell)
    tell(0.9, "Setting the pages.")
    return _typeset(data, _day(cover.date), pictures)


def _typeset(data: dict[str, Any], day: datetime.date | None, pictures: bool) -> Printed:
    """Let typst set the sheet with its data, with our fonts only and the design's own date."""
    import typst
    from font_source_sans_pro import font_directory

    moment = datetime.datetime(1970, 1, 1, tzinfo=datetime.UTC)
    if day is not None:
        moment = datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC)
    sheet = resources.files("speakerwright.plan").joinpath("sheet.typ").read_bytes()
    with tempfile.TemporaryDirectory() as folder:
        # The package holds each face twice; one of each keeps the choice out of typst's hands.
        for face in _FACES:
            name = f"SourceSansPro-{face}.otf"
            shutil.copyfile(Path(font_directory) / name, Path(folder) / name)
        fonts = typst.Fonts(
            include_system_fonts=False, include_embedded_fonts=True, font_paths=[folder]
        )
        text = Path(folder) / "sheet.typ"
        text.write_bytes(sheet)
        compiler = typst.Compiler(
            input=str(text), root=folder, font_paths=fonts, ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data, ensure_ascii=True, allow_nan=False)},
        )
        made, _ = compiler.compile_with_warnings(format="pdf", timestamp=moment)
        pages = (compiler.compile(format="png", ppi=PICTURE_PPI, timestamp=moment)
                 if pictures else [])
    assert isinstance(made, bytes)
    if isinstance(pages, bytes):  # of one page
        pages = [pages]
    return Printed(made, tuple(pages or ()))


def _data(
    cover: Cover, chapters: Sequence[Chapter], paper: str, system: str,
    tell: Callable[[float, str], None],
) -> dict[str, Any]:
    """All that the sheet needs, as plain data."""
    made = []
    for k, chapter in enumerate(chapters):
        title = one_line(chapter.title or chapter.stage.capitalize(), 24)
        tell(0.9 * k / len(chapters), f"Drawing the figures of {title}.")
        made.append({"title": title, "blocks": _blocks(chapter.blocks, system)})
    notes = (cover.notes,) if isinstance(cover.notes, str) else cover.notes
    length = sum(len(note) for note in notes) // 90 + len(notes) + 2 * len(cover.key_figures)
    fits = len(chapters) <= 12 and length + 2 * len(chapters) <= 34
    return {
        "paper": paper,
        "margin_mm": (_PAPER_WIDTH_MM[paper] - TEXT_WIDTH_MM) / 2.0,
        "tones": {name: ground(name) for name in ("ink", "quiet", "grid")},
        "contents": "" if len(chapters) < 2 else "cover" if fits else "page",
        "cover": _cover(cover, notes),
        "chapters": made,
    }


def _blocks(blocks: Sequence[Block], system: str) -> list[dict[str, Any]]:
    """A chapter's blocks; a paragraph that leads to a figure stays on its page."""
    made = [_block(block, system) for block in blocks]
    for one, after in pairwise(made):
        if one["kind"] == "paragraph":
            one["leads"] = after["kind"] == "figure"
    return made


def _cover(cover: Cover, notes: Sequence[str]) -> dict[str, Any]:
    day = _day(cover.date)
    title = one_line(cover.title, 20)
    version = f"Version {one_line(cover.version)}" if cover.version else ""
    line = " · ".join(
        word for word in (version, one_line(str(cover.date)), one_line(cover.author),
                          one_line(cover.licence)) if word
    )
    return {
        "title": title,
        "name": one_line(cover.title, 10**9),
        "subtitle": one_line(cover.subtitle, 40),
        "short": _short(one_line(cover.title, 10**9), 80),
        "version": _short(version, 30),
        "date": _short(one_line(str(cover.date)), 40),
        "author": one_line(cover.author, 10**9),
        "day": None if day is None else {"year": day.year, "month": day.month, "day": day.day},
        "line": line,
        "figures": [[plain(name, 24), plain(value, 24)] for name, value in cover.key_figures],
        "notes": [plain(note) for note in notes if note.strip()],
    }


def _day(date: datetime.date | str) -> datetime.date | None:
    if isinstance(date, datetime.date):
        return date
    try:
        return datetime.date.fromisoformat(date.strip())
    except ValueError:
        return None


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def plain(text: str, longest: int = 60) -> str:
    """Text as it can be set: no control characters, and long words may be broken.

    A word of more than `longest` characters gets zero-width spaces, at which a line may end.
    """
    whole = str(text).encode("utf-8", "replace").decode("utf-8")
    whole = re.sub(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufeff]", "", whole)
    whole = whole.replace("\t", " ")
    every = min(8, longest)
    return re.sub(rf"\S{{{longest + 1},}}", lambda word: _breakable(word[0], every), whole)


def _breakable(word: str, every: int) -> str:
    return "\u200b".join(word[start : start + every] for start in range(0, len(word), every))


def one_line(text: str, longest: int = 60) -> str:
    """`plain` text on one line, for titles, heads and captions."""
    return " ".join(plain(text, longest).split("\n"))


def _block(block: Block, system: str) -> dict[str, Any]:
    makers: dict[type, Callable[[Any], dict[str, Any]]] = {
        Heading: lambda item: {
            "kind": "heading" if item.text.strip() else "nothing", "text": one_line(item.text, 40),
        },
        Paragraph: lambda item: {
            "kind": "paragraph" if item.text.strip() else "nothing", "text": plain(item.text),
        },
        Points: lambda item: {
            "kind": "points" if item.items else "nothing",
            "items": [plain(point) for point in item.items],
        },
        Table: _table,
        Figure: _figure,
        Findings: lambda item: {
            "kind": "findings", "items": [_finding(found, system) for found in item.items],
        },
        Caution: lambda item: {
            "kind": "caution", "subject": one_line(item.subject), "text": plain(item.text),
            "long": len(item.text) > _LONG,
        },
    }
    maker = makers.get(type(block))
    if maker is None:
        raise TypeError(f"a plan has no block of type {type(block).__name__}")
    return maker(block)


def _table(table: Table) -> dict[str, Any]:
    """A table with every row made as long as the longest, so that ragged ones can be set."""
    columns = max([len(table.heads), *(len(row) for row in table.rows)])
    longest = max(3, min(24, 72 // max(columns, 1)))

    def full(row: Sequence[str]) -> list[str]:
        return [plain(cell, longest) for cell in row] + [""] * (columns - len(row))

    return {
        "kind": "table",
        "columns": columns,
        "heads": full(table.heads) if any(table.heads) else [],
        "rows": [full(row) for row in table.rows],
        "caption": one_line(table.caption),
        "numbers": list(table.numbers),
        "breakable": any(len(cell) > 500 for row in table.rows for cell in row),
        "repeat": sum(len(head) for head in table.heads) <= 300,
    }


def _figure(figure: Figure) -> dict[str, Any]:
    captions = [figure.caption]
    if isinstance(figure.picture, Chart):
        chart = figure.picture
        text, alt = svg(chart, TEXT_WIDTH_MM), chart.title
        if chart.caption not in figure.caption:
            captions.append(chart.caption)
        captions.append("; ".join(LINE_WORDS[kind] for kind in evidence_used(chart)))
    else:
        text = str(figure.picture)
        alt = figure.caption or _title_of(text)
    width_mm, height_mm = picture_size(text)
    scale = min(1.0, TEXT_WIDTH_MM / width_mm, _TALLEST_MM / height_mm)
    said = [caption.strip() for caption in captions if caption.strip()]
    return {
        "kind": "figure",
        "svg": text,
        "alt": one_line(alt, 10**9),
        "width_mm": width_mm * scale,
        "caption": one_line(" ".join(_sentence(caption) for caption in said)),
    }


def _title_of(text: str) -> str:
    """What an SVG picture calls itself; a drawing that carries its own caption needs no other."""
    found = re.search(r"<title>([^<]*)</title>", text)
    return unescape(found[1]) if found else ""


def _sentence(text: str) -> str:
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".?:" else text + "."


def picture_size(text: str) -> tuple[float, float]:
    """Width and height of an SVG picture in mm; ValueError when the text is no SVG with a size."""
    try:
        root = ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError) as error:
        raise ValueError(f"the picture is not SVG: {error}") from None
    if root.tag.rpartition("}")[2] != "svg":
        raise ValueError(f"the picture is not SVG but {root.tag}")
    box = [float(number) for number in re.split(r"[\s,]+", root.get("viewBox", "").strip())
           if number]
    sizes = []
    for index, name in enumerate(("width", "height")):
        match = re.fullmatch(r"\s*([\d.eE+-]+)\s*(px|pt|mm|cm|in|)\s*", root.get(name, ""))
        if match:
            sizes.append(float(match[1]) * _UNITS_MM[match[2]])
        elif len(box) == 4:
            sizes.append(box[2 + index] * _UNITS_MM["px"])
    if len(sizes) != 2 or not min(sizes) > 0.0:
        raise ValueError("the picture has no width and height")
    return sizes[0], sizes[1]


def _finding(finding: Finding, system: str) -> dict[str, Any]:
    from speakerwright.words.units import show

    mark = VERDICTS[finding.verdict]
    figures = []
    if finding.value is not None:
        figures.append(f"Value {show(finding.value, finding.kind, system)}")
    if finding.limit is not None:
        figures.append(f"limit {show(finding.limit, finding.kind, system)}")
    if finding.margin is not None:
        figures.append(f"margin {finding.margin_text(system)}")
    if figures:
        figures.append(str(finding.evidence))
    figures.append(finding.where)
    says = finding.text(system)
    advice = "" if finding.verdict is Verdict.HOLDS else finding.advice(system)
    accepted = f"Accepted by the designer: {finding.accepted}" if finding.accepted else ""
    return {
        "mark": mark.svg(),
        "word": mark.word,
        "tone": mark.light,
        "says": plain(says, 50),
        "figures": plain(" · ".join(part for part in figures if part), 50),
        "advice": plain(advice, 50),
        "accepted": plain(accepted, 50),
        "long": len(says) + len(advice) + len(accepted) > _LONG,
    }

"""The three codes: colour says which part, line says how sure, a mark says the verdict.

The colours were searched for so that every two of them stay apart for readers with full
protanopia, deuteranopia and tritanopia as well as for all others, and so that all differ in
lightness, which a grey print keeps. Each stands out against its ground by at least 3 to 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from speakerwright.words.evidence import Evidence
from speakerwright.words.findings import Verdict

Theme = Literal["light", "dark"]

PARTS = ("low", "mid", "high", "port", "sum", "target", "limit")
"""The parts a curve can belong to: drivers, port or passive radiator, sum, target, limit."""

_PARTS: dict[str, dict[str, str]] = {
    "light": {
        "low": "#0d2982",
        "mid": "#1c8c78",
        "high": "#ad8e17",
        "port": "#8c4bbb",
        "sum": "#1a1a1a",
        "target": "#4d4050",
        "limit": "#99342b",
    },
    "dark": {
        "low": "#277edc",
        "mid": "#4df39a",
        "high": "#b68e09",
        "port": "#e3adfa",
        "sum": "#f2f2f2",
        "target": "#9daea3",
        "limit": "#aa4758",
    },
}

_GROUND: dict[str, dict[str, str]] = {
    "light": {
        "paper": "#ffffff",
        "ink": "#1a1a1a",
        "quiet": "#5f6368",
        "grid": "#d4d7da",
        "faint": "#eceef0",
        "outside": "#b4b7ba",
    },
    "dark": {
        "paper": "#16181b",
        "ink": "#f2f2f2",
        "quiet": "#a4a9ae",
        "grid": "#3a3e43",
        "faint": "#26292d",
        "outside": "#5c6167",
    },
}


def colour(part: str, theme: Theme = "light") -> str:
    """The colour of a part, one of `PARTS`, as ``#rrggbb``; KeyError for any other word."""
    return _PARTS[theme][part]


def ground(what: str, theme: Theme = "light") -> str:
    """The colour of what is no part, as ``#rrggbb``.

    `what` is ``paper``, ``ink``, ``quiet`` (axes and their words), ``grid``, ``faint`` (minor
    grid) or ``outside`` (a curve beyond its valid range).
    """
    return _GROUND[theme][what]


LINES: dict[Evidence, tuple[float, ...]] = {
    Evidence.DATASHEET: (1.0, 1.6),
    Evidence.SIMULATED: (5.0, 2.0),
    Evidence.MEASURED: (),
}
"""Dashes by evidence: stroke and gap in line widths; empty for a solid line."""

LINE_WORDS: dict[Evidence, str] = {
    Evidence.DATASHEET: "dotted: from a datasheet",
    Evidence.SIMULATED: "dashed: simulated",
    Evidence.MEASURED: "solid: measured",
}
"""What each line says, in words."""


@dataclass(frozen=True)
class VerdictMark:
    """A verdict's mark: the name of its shape, its word, its colours and its outline.

    `path` is SVG path data in a box of 12 by 12, filled by the even-odd rule, so that the four
    shapes differ without their colours.
    """

    shape: str
    word: str
    light: str
    dark: str
    path: str

    def svg(self, theme: Theme = "light") -> str:
        """The mark alone, as an SVG picture of 12 by 12."""
        fill = self.light if theme == "light" else self.dark
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" width="12" height="12" viewBox="0 0 12 12">'
            f'<path d="{self.path}" fill="{fill}" fill-rule="evenodd"/></svg>'
        )


_DISC = "M6 0.8A5.2 5.2 0 1 1 6 11.2A5.2 5.2 0 1 1 6 0.8Z"
_HOLE = "M6 2.4A3.6 3.6 0 1 1 6 9.6A3.6 3.6 0 1 1 6 2.4Z"

VERDICTS: dict[Verdict, VerdictMark] = {
    Verdict.HOLDS: VerdictMark("disc", "Holds", "#1f7a5c", "#5cc49c", _DISC),
    Verdict.TIGHT: VerdictMark(
        "triangle", "Tight", "#8a5a00", "#e3b341", "M6 0.8L11.6 10.8L0.4 10.8Z"
    ),
    Verdict.FAILS: VerdictMark(
        "cross", "Fails", "#b3261e", "#ff7b72",
        "M2.4 0.6L6 4.2L9.6 0.6L11.4 2.4L7.8 6L11.4 9.6L9.6 11.4L6 7.8L2.4 11.4L0.6 9.6L4.2 6"
        "L0.6 2.4Z",
    ),
    Verdict.UNKNOWN: VerdictMark("ring", "Unknown", "#5f6368", "#a4a9ae", _DISC + _HOLE),
}
"""Shape, word and colour of every verdict, always used together."""

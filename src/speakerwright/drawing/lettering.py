"""Letters for print: the one typeface, its measure, and text made fit to be set."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

FAMILY = "Source Sans Pro"
TEXT_PT = 8.0
"""Size of all small words, in points; nothing is printed smaller."""

_POINT_MM = 25.4 / 72.0
_SPACES = "\u00a0\u202f\u2009"


def clean(text: str) -> str:
    """One line of text without what no picture can hold: control characters, halves of pairs."""
    whole = text.encode("utf-8", "replace").decode("utf-8")
    letters = (" " if letter in "\n\r\t" else letter for letter in whole)
    return "".join(letter for letter in letters if letter.isprintable() or letter in _SPACES)


def font(size_pt: float, *, bold: bool = False) -> Any:
    """The typeface for the painting library, from our own file whatever the machine has."""
    import font_source_sans_pro as files
    from matplotlib.font_manager import FontProperties

    path = files.font_files_otf["SourceSansProBold" if bold else "SourceSansPro"]
    weight = "bold" if bold else "normal"
    return FontProperties(family=FAMILY, fname=path, size=size_pt, weight=weight)


@lru_cache(maxsize=4096)
def text_width_mm(text: str, size_pt: float = TEXT_PT) -> float:
    """How wide a line of text is set, in mm, at `size_pt` points."""
    import warnings

    import font_source_sans_pro as files
    from matplotlib.font_manager import get_font

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a letter that the face lacks has a box's width
        face = get_font(files.font_files_otf["SourceSansPro"])
        face.set_size(size_pt * 10.0, 72)
        face.set_text(clean(text), 0.0)
        wide, _ = face.get_width_height()
    return float(wide) / 64.0 / 10.0 * _POINT_MM


def shortened(text: str, width_mm: float, size_pt: float = TEXT_PT) -> str:
    """Text as far as it fits in `width_mm`, with an ellipsis where it is cut."""
    text = clean(text)
    if text_width_mm(text, size_pt) <= width_mm:
        return text
    fits, over = 0, len(text)
    while over - fits > 1:
        middle = (fits + over) // 2
        if text_width_mm(text[:middle] + "…", size_pt) <= width_mm:
            fits = middle
        else:
            over = middle
    return text[:fits].rstrip() + "…"


def wrapped(text: str, lines: int) -> list[str]:
    """Text broken at spaces into at most `lines` lines of about the same length."""
    words = text.split(" ")
    most = max(len(text) / lines, max(len(word) for word in words))
    while True:
        found = [words[0]]
        for word in words[1:]:
            if len(found[-1]) + 1 + len(word) <= most:
                found[-1] += f" {word}"
            else:
                found.append(word)
        if len(found) <= lines:
            return found
        most += 1

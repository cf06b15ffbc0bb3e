"""The files of cutting: a drawing per panel and set-up, two per sheet, and the cut list."""

from __future__ import annotations

import re
import unicodedata

from speakerwright.cutting.cutlist import csv_text
from speakerwright.cutting.dxf import panel_dxf, sheet_dxf
from speakerwright.cutting.stage import CuttingResult
from speakerwright.cutting.svg import sheet_svg


def files(result: CuttingResult) -> dict[str, bytes]:
    """Every file by its relative name, the same bytes for the same result.

    Parameters
    ----------
    result : CuttingResult

    Returns
    -------
    dict of str to bytes
        ``cut-list.csv``, ``panels/NAME.dxf`` (and ``panels/NAME-second-face.dxf`` for a panel
        that is turned over), ``sheets/N-NAME.dxf`` and ``sheets/N-NAME.svg``.
    """
    found = {"cut-list.csv": csv_text(result.rows).encode("utf-8")}
    taken: set[str] = set()
    for panel in result.panels:
        name = _unused(file_name(panel.name), taken)
        for one in result.set_ups[panel.name]:
            end = "-second-face" if one.second else ""
            found[f"panels/{name}{end}.dxf"] = panel_dxf(one)
    for k, sheet in enumerate(result.sheets, 1):
        name = f"sheets/{k}-{file_name(sheet.stock.name)}"
        title = f"Sheet {k} of {len(result.sheets)}: {sheet.stock.name}"
        found[f"{name}.dxf"] = sheet_dxf(sheet, result.first, title)
        found[f"{name}.svg"] = sheet_svg(sheet, result.first, title).encode("utf-8")
    return found


def file_name(name: str) -> str:
    """A name as every file system takes it: small letters, digits and hyphens."""
    letters = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:60].strip("-") or "unnamed"


def _unused(name: str, taken: set[str]) -> str:
    """The name, with a number where another panel has it, or it looks like a second face."""
    fresh, k = name, 2
    while fresh in taken or fresh.endswith("-second-face"):
        fresh, k = f"{name}-{k}", k + 1
    taken.add(fresh)
    return fresh

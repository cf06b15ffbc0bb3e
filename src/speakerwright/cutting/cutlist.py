"""The cut list: every different board once, with its count, sizes and what is cut into it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

from speakerwright.cutting.sameness import mirrored, same
from speakerwright.solids.bevels import told
from speakerwright.solids.panels import Feature, Panel
from speakerwright.words.units import THIN, show

HEADS = ("part", "count", "length_mm", "width_mm", "thickness_mm", "material", "grain", "notes")


@dataclass(frozen=True, eq=False)
class Row:
    """One kind of board: the panels that are it, and how many of it to cut.

    `length` lies along the grain, or along the longer side where the grain does not matter; mm.
    Both are those of the blank, which is cut square before its edges are bevelled.
    `mirror_of` names the part of which it is the mirror image.
    """

    panels: tuple[Panel, ...]
    count: int
    length: float
    width: float
    mirror_of: str | None = None

    @property
    def part(self) -> str:
        """The names of its panels."""
        return ", ".join(panel.name for panel in self.panels)

    @property
    def thickness(self) -> float:
        """Thickness, mm."""
        return self.panels[0].thickness

    @property
    def material(self) -> str:
        """What it is made of."""
        return self.panels[0].material

    @property
    def grain(self) -> str:
        """``length`` or ``any``."""
        return "any" if self.panels[0].grain is None else "length"

    def notes(self, system: str = "metric") -> str:
        """Its bevels, what is cut into it and what it mirrors, in the reader's units.

        Edges are named as they are seen from the outside.
        """
        panel = self.panels[0]
        found = [f"mirror image of {self.mirror_of}"] if self.mirror_of else []
        if not _rectangular(panel):
            found.append("not a rectangle: see its drawing")
        found += told(panel)
        said: dict[str, int] = {}
        for feature in panel.features:
            words = described(feature, system)
            said[words] = said.get(words, 0) + 1
        found += [words if n == 1 else f"{n} × {words}" for words, n in said.items()]
        return "; ".join(found)


def rows(panels: Sequence[Panel], copies: int = 1) -> tuple[Row, ...]:
    """Every different board of a cabinet, in the order of the panels; `copies` cabinets."""
    groups: list[list[Panel]] = []
    for panel in panels:
        mine = next((group for group in groups if same(group[0], panel)), None)
        if mine is None:
            groups.append([panel])
        else:
            mine.append(panel)
    found: list[Row] = []
    for group in groups:
        twin = next((row for row in found if mirrored(row.panels[0], group[0])), None)
        found.append(Row(tuple(group), len(group) * copies, *along_grain(group[0]),
                         twin.part if twin else None))
    return tuple(found)


def along_grain(panel: Panel) -> tuple[float, float]:
    """Size along the grain and across it, mm; the longer side first where there is no grain."""
    u, v = panel.bounding_size
    if panel.grain is None:
        return max(u, v), min(u, v)
    return (u, v) if panel.grain == "u" else (v, u)


def described(feature: Feature, system: str = "metric") -> str:
    """A feature in a few words: what for, how large, how deep, from which face."""
    circle = feature.circle if feature.overrun is None else None
    if circle is not None:
        size = f"⌀{plain(circle[2], system)}"
    else:
        x0, y0, x1, y1 = feature.shape.bounds
        size = f"{plain(x1 - x0, system)} × {plain(y1 - y0, system)}"
    if feature.depth is None:
        return f"{feature.label} {size} through"
    return f"{feature.label} {size}, {plain(feature.depth, system)} deep from the {feature.face}"


def csv_text(found: Sequence[Row]) -> str:
    """The cut list as comma-separated values, sizes in mm, one line per kind of board."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(HEADS)
    for row in found:
        writer.writerow((_safe(row.part), row.count, f"{row.length:.1f}", f"{row.width:.1f}",
                         f"{row.thickness:.1f}", _safe(row.material), row.grain,
                         _safe(row.notes())))
    return stream.getvalue()


def _safe(text: str) -> str:
    """Text that a spreadsheet will not take for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def _rectangular(panel: Panel) -> bool:
    u, v = panel.bounding_size
    return bool(u * v - panel.blank.area < 0.01 * (u + v))


def size(value: float, system: str = "metric") -> str:
    """A length in mm for a reader, with its unit."""
    return f"{plain(value, system)}{THIN}{'in' if system == 'inch' else 'mm'}"


def plain(value: float, system: str = "metric") -> str:
    """A length in mm for a reader, without its unit and without idle zeros."""
    text = show(value / 1000.0, "length", system).rpartition(THIN)[0]
    return text.removesuffix(".0")

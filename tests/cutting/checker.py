"""An independent check of a layout: its own arithmetic, nothing taken from the maker's."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import combinations

from speakerwright.cutting.layout import Layout, Part
from speakerwright.cutting.sheet import SheetLayout, Stock

TINY = 1e-6


def faults(layout: Layout, parts: Sequence[Part], stock: Sequence[Stock], gap: float,
           margin: float) -> list[str]:
    """Everything that is wrong with a layout, in words; empty when it is sound."""
    found: list[str] = []
    by_name = {part.name: part for part in parts}
    names = [placed.name for sheet in layout.sheets for placed in sheet.placed]
    names += [left.part.name for left in layout.unplaced]
    if sorted(names) != sorted(by_name):
        found.append("not every part is placed exactly once")
    for kind in stock:
        used = sum(sheet.stock == kind for sheet in layout.sheets)
        if kind.count is not None and used > kind.count:
            found.append(f"{used} sheets of {kind.name}, and there are {kind.count}")
    for sheet in layout.sheets:
        found += _sheet_faults(sheet, by_name, gap, margin)
    return found


def _sheet_faults(sheet: SheetLayout, by_name: dict[str, Part], gap: float,
                  margin: float) -> list[str]:
    found = []
    for one in sheet.placed:
        part = by_name[one.name]
        lies = (part.height, part.width) if one.turned else (part.width, part.height)
        if (one.width, one.height) != lies:
            found.append(f"{one.name} has changed its size")
        if not (part.turned if one.turned else part.upright):
            found.append(f"{one.name} lies against the grain")
        if (one.x < margin - TINY or one.y < margin - TINY
                or one.x + one.width > sheet.stock.length - margin + TINY
                or one.y + one.height > sheet.stock.width - margin + TINY):
            found.append(f"{one.name} lies in the margin")
    for a, b in combinations(sheet.placed, 2):
        apart = max(a.x - b.x - b.width, b.x - a.x - a.width,
                    a.y - b.y - b.height, b.y - a.y - a.height)
        if apart < gap - TINY:
            found.append(f"{a.name} and {b.name} are {apart} apart")
    closed = sheet.part_area + sheet.offcut_area + sheet.cut_area + sheet.trim_area
    if abs(closed - sheet.stock.area) > 1e-9 * sheet.stock.area:
        found.append("the areas do not add up to the sheet")
    return found + _saw_faults(sheet)


def _saw_faults(sheet: SheetLayout) -> list[str]:
    """Saw the sheet by its list of cuts and compare what lies on the table with the parts."""
    table = [(0.0, 0.0, sheet.stock.length, sheet.stock.width)]
    trims = []
    for cut in sheet.cuts:
        x, y, w, h = cut.piece.x, cut.piece.y, cut.piece.width, cut.piece.height
        here = [p for p in table if _same(p, (x, y, w, h))]
        if not here:
            return [f"cut {cut.number} cuts a piece that is not there"]
        table.remove(here[0])
        at, end = cut.at, cut.at + cut.takes
        if cut.kind == "rip":
            near, far = (x, y, w, at), (x, y + end, w, h - end)
        else:
            near, far = (x, y, at, h), (x + end, y, w - end, h)
        for word, piece in zip(cut.gives, (near, far), strict=True):
            if piece[2] > TINY and piece[3] > TINY:
                (trims if word == "trim" else table).append(piece)
            elif word not in ("", "trim"):
                return [f"cut {cut.number} gives no {word}"]
    wanted = [(p.x, p.y, p.width, p.height) for p in (*sheet.placed, *sheet.offcuts)]
    for piece in wanted:
        here = [p for p in table if _same(p, piece)]
        if not here:
            return ["the saw does not give what the layout shows"]
        table.remove(here[0])
    return ["the saw leaves pieces that the layout does not show"] if table else []


def _same(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return all(abs(p - q) < TINY for p, q in zip(a, b, strict=True))


def fewest_sheets(parts: Sequence[Part], stock: Stock, gap: float, margin: float) -> int:
    """The fewest equal sheets by trying every edge-to-edge cutting of every subset: tiny cases."""
    size = (stock.length - 2 * margin, stock.width - 2 * margin)
    every = range(1, len(parts) + 1)
    groups = [frozenset(g) for n in every for g in combinations(range(len(parts)), n)]
    fits = [g for g in groups if _cuts_to(g, *size, tuple(parts), gap)]

    @cache
    def needed(group: frozenset[int]) -> int:
        if not group:
            return 0
        first = min(group)
        return 1 + min(needed(group - s) for s in fits if first in s and s <= group)

    return needed(frozenset(range(len(parts))))


@cache
def _cuts_to(group: frozenset[int], w: float, h: float, parts: tuple[Part, ...],
             gap: float) -> bool:
    """Whether a piece can be cut into a group of parts, by trying every first cut."""
    if len(group) == 1:
        (k,) = group
        return any(a <= w + TINY and b <= h + TINY for _, a, b in parts[k].ways)
    if sum(parts[k].width * parts[k].height for k in group) > w * h:
        return False
    first = min(group)
    for size in range(len(group) - 1):
        for chosen in combinations(sorted(group - {first}), size):
            one = frozenset((first, *chosen))
            for a, b in ((one, group - one), (group - one, one)):
                if any(_cuts_to(a, at, h, parts, gap)
                       and _cuts_to(b, w - at - gap, h, parts, gap)
                       for at in _sums(a, parts, gap, True) if at < w):
                    return True
                if any(_cuts_to(a, w, at, parts, gap)
                       and _cuts_to(b, w, h - at - gap, parts, gap)
                       for at in _sums(a, parts, gap, False) if at < h):
                    return True
    return False


def _sums(group: frozenset[int], parts: tuple[Part, ...], gap: float, along: bool) -> list[float]:
    """Every place where a cut can lie: sums of sizes of parts with gaps between them."""
    sums = {0.0}
    for k in group:
        sizes = {a if along else b for _, a, b in parts[k].ways}
        sums |= {s + size + (gap if s else 0.0) for s in sums for size in sizes}
    return sorted(sums - {0.0})

"""Parts on sheets by cuts that run from edge to edge, so that a panel saw can follow.

Lengths in mm. On a sheet x runs along the grain from the lower left corner, y across it. Parts are
placed by their bounding rectangles, turned by 90 degrees only where they may be, never mirrored.

Every sheet is a tree of cuts: a piece gives up a part at its lower left corner by two cuts at
most, and what is left are two smaller pieces. Many greedy starts (orders of the parts, rules for
choosing a piece and for the direction of the first cut) and then exchanges in the best order; the
same input gives the same layout, always.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from speakerwright.cutting.sheet import (
    EPS,
    Piece,
    Rectangle,
    SheetLayout,
    Stock,
    sheet_layout,
)

USEFUL_SHORT = 100.0
"""Short side from which an offcut is worth keeping, mm: a rule of thumb."""

EXCHANGES = 800
"""Exchanges tried in the best orders; a quarter of a second for 27 parts."""

_SEED = 20_406


@dataclass(frozen=True)
class Part:
    """A rectangle to be cut: its sizes as drawn, and how it may lie on a sheet.

    `width` lies along the sheet's grain when the part is upright, `height` when it is turned.
    """

    name: str
    width: float
    height: float
    upright: bool = True
    turned: bool = True

    def __post_init__(self) -> None:
        if not (self.width > 0.0 and self.height > 0.0):
            raise ValueError(f"{self.name}: its sizes are above zero")
        if not (self.upright or self.turned):
            raise ValueError(f"{self.name}: it may lie no way at all")

    @property
    def ways(self) -> tuple[tuple[bool, float, float], ...]:
        """The ways it may lie: turned or not, size along the grain, size across."""
        found = []
        if self.upright:
            found.append((False, self.width, self.height))
        if self.turned and not (self.upright and self.width == self.height):
            found.append((True, self.height, self.width))
        return tuple(found)

    def fits(self, stock: Stock, margin: float) -> bool:
        """Whether it fits on an empty sheet."""
        length, width = stock.length - 2 * margin, stock.width - 2 * margin
        return any(w <= length + EPS and h <= width + EPS for _, w, h in self.ways)


@dataclass(frozen=True)
class Unplaced:
    """A part without a place, and why: ``too large`` or ``no sheet left``."""

    part: Part
    why: str


@dataclass(frozen=True)
class Layout:
    """Sheets with their parts and cuts, and parts that found no place."""

    sheets: tuple[SheetLayout, ...]
    unplaced: tuple[Unplaced, ...]

    @property
    def cost(self) -> float | None:
        """Price of all sheets; None when one has none."""
        prices = [sheet.stock.price for sheet in self.sheets]
        return None if None in prices else sum(price for price in prices if price is not None)

    @property
    def area(self) -> float:
        """Area of all sheets, mm²."""
        return sum(sheet.stock.area for sheet in self.sheets)

    @property
    def waste(self) -> float:
        """Share of the sheets' area that lies under no part's rectangle."""
        area = self.area
        return 1.0 - sum(sheet.part_area for sheet in self.sheets) / area if area else 0.0

    def useful_offcuts(self) -> tuple[tuple[int, Rectangle], ...]:
        """Offcuts worth keeping, each with its sheet's index, the largest first."""
        found = [(k, cut) for k, sheet in enumerate(self.sheets) for cut in sheet.offcuts
                 if min(cut.width, cut.height) >= USEFUL_SHORT]
        return tuple(sorted(found, key=lambda pair: (-pair[1].area, pair[0], pair[1].x)))


@dataclass
class _Open:
    """A sheet while it is filled: which stock, its pieces, and those still free."""

    kind: int
    root: Piece
    free: list[Piece]


@dataclass(frozen=True)
class _Rule:
    """One start: how a free piece is chosen, how the first cut runs, which stock is opened."""

    fit: str
    split: str
    kinds: tuple[int, ...]


_Tried = tuple[tuple[float, ...], int, list[Part], _Rule]


def layout(parts: Sequence[Part], stock: Sequence[Stock], gap: float, margin: float) -> Layout:
    """Place parts on sheets with little waste; the same result for the same input.

    Parameters
    ----------
    parts : sequence of Part
    stock : sequence of Stock
        Kinds of sheets of one thickness and material.
    gap : float
        Least distance between parts, mm: kerf or spacing, whichever is larger; at least 0.
    margin : float
        Trimmed off every edge of a sheet, mm; at least 0.

    Returns
    -------
    Layout
        Parts that fit no sheet, or for which no sheet is left, stand in `unplaced`.

    Raises
    ------
    ValueError
        For a negative gap or margin, or two parts of one name.
    """
    if gap < 0.0 or margin < 0.0:
        raise ValueError("gap and margin are not negative")
    if len({part.name for part in parts}) != len(parts):
        raise ValueError("two parts have one name")
    small = [part for part in parts if any(part.fits(kind, margin) for kind in stock)]
    large = [Unplaced(part, "too large") for part in parts if part not in small]
    if not small:
        return Layout((), tuple(large))
    best = _search(small, tuple(stock), gap, margin)
    return replace(best, unplaced=(*large, *best.unplaced))


def _search(parts: list[Part], stock: tuple[Stock, ...], gap: float, margin: float) -> Layout:
    """The best of all starts and of exchanges in the best orders."""
    tried: list[_Tried] = []
    orders = _orders(parts)
    for rule in _rules(stock):
        for order in orders:
            found = _score(_fill(order, stock, rule, gap, margin), stock)
            tried.append((found, len(tried), order, rule))
    tried.sort(key=lambda item: item[:2])
    best = tried[0]
    dice = random.Random(_SEED)
    for k in range(min(EXCHANGES, 40 * (len(parts) - 2))):
        base = best if k % 3 else tried[k % min(8, len(tried))]
        order = _exchanged(base[2], dice)
        found = _score(_fill(order, stock, base[3], gap, margin), stock)
        if found < best[0]:
            best = (found, -1, order, base[3])
    leading = [best, *(_first(tried, kinds) for kinds in _openings(stock) if len(stock) > 1)]
    filled = []
    for _, _, order, rule in leading:
        opened, left = _fill(order, stock, rule, gap, margin)
        filled.append((_cheaper(opened, parts, stock, gap, margin), left))
    opened, left = min(filled, key=lambda made: _score(made, stock))
    return Layout(
        tuple(sheet_layout(stock[one.kind], one.root, gap, margin) for one in opened),
        tuple(Unplaced(part, "no sheet left") for part in left),
    )


def _first(tried: list[_Tried], kinds: tuple[int, ...]) -> _Tried:
    """The best start that opens kinds of sheets in this order."""
    return next(item for item in tried if item[3].kinds == kinds)


def _orders(parts: list[Part]) -> list[list[Part]]:
    """Orders in which parts are placed, the larger first in some sense."""
    def across(part: Part) -> float:
        return min(h for _, _, h in part.ways)

    keys = (
        lambda p: (-p.width * p.height, -max(p.width, p.height)),
        lambda p: (-max(p.width, p.height), -min(p.width, p.height)),
        lambda p: (-min(p.width, p.height), -max(p.width, p.height)),
        lambda p: (-across(p), -p.width * p.height),
        lambda p: (-p.width - p.height, -p.width),
    )
    found: list[list[Part]] = []
    for key in keys:
        order = sorted(parts, key=lambda p: (key(p), p.name))
        if order not in found:
            found.append(order)
    return found


def _rules(stock: tuple[Stock, ...]) -> list[_Rule]:
    """Every rule of choice, with every sensible order in which kinds of sheets are opened."""
    several = len(stock) > 1
    splits = ("rip", "cross", "short") if several else ("rip", "cross", "short", "long", "large")
    fits = ("area",) if several else ("area", "side", "low")
    return [_Rule(fit, split, kinds) for kinds in _openings(stock) for fit in fits
            for split in splits]


def _openings(stock: tuple[Stock, ...]) -> list[tuple[int, ...]]:
    if len(stock) <= 3:
        return list(permutations(range(len(stock))))
    by_area = sorted(range(len(stock)), key=lambda k: -stock[k].area)
    by_price = sorted(range(len(stock)), key=lambda k: ((stock[k].price or 0.0) / stock[k].area, k))
    return [tuple(by_area), tuple(reversed(by_area)), tuple(by_price)]


def _exchanged(order: list[Part], dice: random.Random) -> list[Part]:
    """A copy with one part moved elsewhere, or two exchanged."""
    changed = list(order)
    a, b = int(dice.random() * len(order)), int(dice.random() * len(order))
    if dice.random() < 0.5:
        changed.insert(b, changed.pop(a))
    else:
        changed[a], changed[b] = changed[b], changed[a]
    return changed


def _score(filled: tuple[list[_Open], list[Part]], stock: tuple[Stock, ...]) -> tuple[float, ...]:
    """Smaller is better: parts left over, price or area, sheets, and waste in many bits."""
    opened, left = filled
    area = sum(stock[one.kind].area for one in opened)
    prices = [stock[one.kind].price for one in opened]
    price = area if None in prices else sum(p for p in prices if p is not None)
    lumps = sum((piece.width * piece.height) ** 2 for one in opened for piece in one.free)
    return (sum(part.width * part.height for part in left), price, len(opened), -lumps)


def _fill(
    order: Sequence[Part], stock: tuple[Stock, ...], rule: _Rule, gap: float, margin: float
) -> tuple[list[_Open], list[Part]]:
    """Place parts one by one; sheets with their trees, and parts for which none was left."""
    opened: list[_Open] = []
    left: list[Part] = []
    for part in order:
        spot = _spot(part, opened, rule.fit)
        if spot is None:
            fresh = _opened(part, opened, stock, rule, margin)
            if fresh is None:
                left.append(part)
                continue
            opened.append(fresh)
            spot = _spot(part, opened[-1:], rule.fit)
            assert spot is not None
            spot = (len(opened) - 1, *spot[1:])
        sheet, piece, turned, w, h = spot
        opened[sheet].free.remove(piece)
        opened[sheet].free += piece.take(part.name, turned, w, h, gap, rule.split)
    return opened, left


def _opened(
    part: Part, opened: list[_Open], stock: tuple[Stock, ...], rule: _Rule, margin: float
) -> _Open | None:
    for kind in rule.kinds:
        sheet = stock[kind]
        used = sum(one.kind == kind for one in opened)
        if part.fits(sheet, margin) and (sheet.count is None or used < sheet.count):
            root = Piece(margin, margin, sheet.length - 2 * margin, sheet.width - 2 * margin)
            return _Open(kind, root, [root])
    return None


def _spot(
    part: Part, opened: Sequence[_Open], fit: str
) -> tuple[int, Piece, bool, float, float] | None:
    """The free piece and the way to lie that leave least by the rule; earlier sheets first."""
    best, found = None, None
    for k, sheet in enumerate(opened):
        for piece in sheet.free:
            for turned, w, h in part.ways:
                right, above = piece.width - w, piece.height - h
                if right < -EPS or above < -EPS:
                    continue
                if fit == "area":
                    cost = piece.width * piece.height - w * h
                elif fit == "side":
                    cost = min(right, above)
                else:
                    cost = piece.y + h
                key = (cost, k, piece.y, piece.x, turned)
                if best is None or key < best:
                    best, found = key, (k, piece, turned, w, h)
    return found


def _cheaper(
    opened: list[_Open], parts: list[Part], stock: tuple[Stock, ...], gap: float, margin: float
) -> list[_Open]:
    """Each sheet's parts on a cheaper (or smaller) kind of sheet, where they fit on one."""
    if len(stock) < 2:
        return opened
    priced = all(kind.price is not None for kind in stock)

    def worth(kind: int) -> float:
        return (stock[kind].price or 0.0) if priced else stock[kind].area

    by_name = {part.name: part for part in parts}
    result = list(opened)
    for k, one in enumerate(opened):
        mine = [by_name[placed.name] for placed in one.root.placed()]
        for kind in sorted(range(len(stock)), key=worth):
            used = sum(other.kind == kind for other in result)
            limit = stock[kind].count
            if worth(kind) >= worth(one.kind) or (limit is not None and used >= limit):
                continue
            smaller = _on_one(mine, replace(stock[kind], count=1), gap, margin)
            if smaller is not None:
                result[k] = replace(smaller, kind=kind)
                break
    return result


def _on_one(parts: list[Part], stock: Stock, gap: float, margin: float) -> _Open | None:
    """All parts on one sheet, if some start manages it."""
    for order in _orders(parts):
        for rule in _rules((stock,)):
            opened, left = _fill(order, (stock,), rule, gap, margin)
            if not left:
                return opened[0]
    return None



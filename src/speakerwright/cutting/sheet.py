"""One sheet cut up: pieces, the cuts between them, the parts and the offcuts. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

EPS = 1e-6
"""A part may be larger than its piece by this much and still fits, mm: rounding only."""


@dataclass(frozen=True)
class Stock:
    """A kind of sheet: sizes along and across the grain, price, and how many there are."""

    name: str
    length: float
    width: float
    price: float | None = None
    count: int | None = None

    @property
    def area(self) -> float:
        """Area of the whole sheet, mm²."""
        return self.length * self.width


@dataclass(frozen=True)
class Rectangle:
    """A rectangle on a sheet by its lower left corner and its sizes along and across the grain."""

    x: float
    y: float
    width: float
    height: float

    @property
    def area(self) -> float:
        """Its area, mm²."""
        return self.width * self.height


@dataclass(frozen=True)
class Placed:
    """A part on a sheet: its rectangle as it lies, and whether it is turned by 90 degrees.

    A turned part is turned anticlockwise: what was its right side is now its top.
    """

    name: str
    x: float
    y: float
    width: float
    height: float
    turned: bool

    @property
    def rectangle(self) -> Rectangle:
        """The rectangle that it covers."""
        return Rectangle(self.x, self.y, self.width, self.height)


@dataclass(frozen=True)
class Cut:
    """One cut through a piece from edge to edge.

    A ``rip`` runs along the grain, a ``cross`` cut across it. `at` is the finished size of the
    piece on the near side (below a rip, left of a cross cut); the cut then takes `takes`, and the
    rest is the other piece. `gives` names both: a part, ``trim``, ``offcut``, ``piece`` (to be
    cut further), or nothing where the cut takes all the rest.
    """

    number: int
    kind: str
    piece: Rectangle
    at: float
    takes: float
    gives: tuple[str, str]

    @property
    def sides(self) -> tuple[Rectangle, Rectangle]:
        """The pieces on the near and on the far side."""
        p, end = self.piece, self.at + self.takes
        if self.kind == "rip":
            return (Rectangle(p.x, p.y, p.width, self.at),
                    Rectangle(p.x, p.y + end, p.width, p.height - end))
        return (Rectangle(p.x, p.y, self.at, p.height),
                Rectangle(p.x + end, p.y, p.width - end, p.height))

    @property
    def area(self) -> float:
        """Area that the cut takes, mm²."""
        return self.takes * (self.piece.width if self.kind == "rip" else self.piece.height)


@dataclass
class Piece:
    """A piece of a sheet while the sheet is filled: uncut, cut in two, or a part."""

    x: float
    y: float
    width: float
    height: float
    kind: str = ""
    at: float = 0.0
    takes: float = 0.0
    near: Piece | None = field(default=None, repr=False)
    far: Piece | None = field(default=None, repr=False)
    part: Placed | None = None

    def __eq__(self, other: object) -> bool:
        return self is other

    __hash__ = None  # type: ignore[assignment]

    def take(
        self, name: str, turned: bool, w: float, h: float, gap: float, split: str
    ) -> list[Piece]:
        """Cut a part out of the lower left corner; the pieces that stay free.

        `split` says how the first cut runs: ``rip``, ``cross``, ``short`` (rip where the piece
        is left shorter across than along), ``long`` (the contrary), ``large`` (so that the larger
        free piece is as large as it can be).
        """
        free: list[Piece] = []
        kinds = ("rip", "cross") if self._rips(w, h, split) else ("cross", "rip")
        piece = self
        for kind in kinds:
            rest = piece.height - h if kind == "rip" else piece.width - w
            if rest <= EPS:
                continue
            piece = piece._cut(kind, h if kind == "rip" else w, min(gap, rest), free)
        piece.part = Placed(name, piece.x, piece.y, w, h, turned)
        return free

    def _rips(self, w: float, h: float, split: str) -> bool:
        right, above = self.width - w, self.height - h
        if split in ("rip", "cross"):
            return split == "rip"
        if split == "large":
            return self.width * above >= self.height * right
        return (above <= right) == (split == "short")

    def _cut(self, kind: str, at: float, takes: float, free: list[Piece]) -> Piece:
        """Cut this piece in two; the near piece, with the far one added to `free`."""
        self.kind, self.at, self.takes = kind, at, takes
        start = at + takes
        if kind == "rip":
            self.near = Piece(self.x, self.y, self.width, at)
            rest = (self.x, self.y + start, self.width, self.height - start)
        else:
            self.near = Piece(self.x, self.y, at, self.height)
            rest = (self.x + start, self.y, self.width - start, self.height)
        if rest[2] > EPS and rest[3] > EPS:
            self.far = Piece(*rest)
            free.append(self.far)
        return self.near

    def placed(self) -> Iterator[Placed]:
        """All parts in this piece."""
        if self.part is not None:
            yield self.part
        for piece in (self.near, self.far):
            if piece is not None:
                yield from piece.placed()

    def leaves(self) -> Iterator[Piece]:
        """All pieces that are neither cut further nor parts: offcuts."""
        if self.near is None and self.part is None:
            yield self
        for piece in (self.near, self.far):
            if piece is not None:
                yield from piece.leaves()

    def inner(self) -> Iterator[Piece]:
        """All pieces that are cut further, each before what it is cut into."""
        if self.near is not None:
            yield self
            for piece in (self.near, self.far):
                if piece is not None:
                    yield from piece.inner()

    @property
    def rectangle(self) -> Rectangle:
        """The rectangle that it covers."""
        return Rectangle(self.x, self.y, self.width, self.height)

    @property
    def word(self) -> str:
        """What it is after all cuts: a part's name, ``piece`` or ``offcut``."""
        if self.part is not None:
            return self.part.name
        return "offcut" if self.near is None else "piece"


@dataclass(frozen=True)
class SheetLayout:
    """A sheet with its parts, its cuts in the order of sawing, and its offcuts."""

    stock: Stock
    margin: float
    gap: float
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    offcuts: tuple[Rectangle, ...]

    @property
    def part_area(self) -> float:
        """Area under the parts' rectangles, mm²."""
        return sum(part.width * part.height for part in self.placed)

    @property
    def offcut_area(self) -> float:
        """Area of all offcuts, mm²."""
        return sum(offcut.area for offcut in self.offcuts)

    @property
    def cut_area(self) -> float:
        """Area that the cuts between parts take, mm²."""
        return sum(cut.area for cut in self.cuts if "trim" not in cut.gives)

    @property
    def trim_area(self) -> float:
        """Area that the margins take, mm²."""
        length, width = self.stock.length, self.stock.width
        return 2.0 * self.margin * (length + width - 2.0 * self.margin)

    @property
    def waste(self) -> float:
        """Share of the sheet that lies under no part's rectangle."""
        return 1.0 - self.part_area / self.stock.area


def sheet_layout(stock: Stock, root: Piece, gap: float, margin: float) -> SheetLayout:
    """A filled sheet as plain figures: parts, cuts in order, offcuts."""
    cuts = list(_trims(stock, margin))
    for piece in root.inner():
        assert piece.near is not None
        far = piece.far.word if piece.far is not None else ""
        cuts.append(Cut(len(cuts) + 1, piece.kind, piece.rectangle, piece.at, piece.takes,
                        (piece.near.word, far)))
    placed = sorted(root.placed(), key=lambda part: (part.y, part.x))
    return SheetLayout(stock, margin, gap, tuple(placed), tuple(cuts),
                       tuple(leaf.rectangle for leaf in root.leaves()))


def _trims(stock: Stock, margin: float) -> Iterator[Cut]:
    """Four cuts that take the margins off: both long edges, then both short ones."""
    if margin <= EPS:
        return
    length, width = stock.length, stock.width
    inner = width - 2.0 * margin
    yield Cut(1, "rip", Rectangle(0.0, 0.0, length, width), 0.0, margin, ("trim", "piece"))
    yield Cut(2, "rip", Rectangle(0.0, margin, length, width - margin), inner, margin,
              ("piece", "trim"))
    yield Cut(3, "cross", Rectangle(0.0, margin, length, inner), 0.0, margin, ("trim", "piece"))
    yield Cut(4, "cross", Rectangle(margin, margin, length - margin, inner),
              length - 2.0 * margin, margin, ("piece", "trim"))

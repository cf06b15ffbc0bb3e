"""An assembly taken apart by straight moves, and so the order in which it goes together. mm.

Along one direction it is known of every pair of parts whether one lies ahead of the other
(`pieces`). A part comes free together with all that lies ahead of it, and what lies ahead of that:
the smallest group that can leave this way. Where no group short of the whole can leave in any
direction, the parts are locked. Blocking graphs of this kind are treated by Wilson and Latombe
(1994), "Geometric reasoning about mechanical assembly" (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from speakerwright.solids.assembly import Part, room
from speakerwright.solids.joints import Joint
from speakerwright.solids.meshes import Point, grown
from speakerwright.solids.panels import Panel
from speakerwright.solids.pieces import Pile, box_of, pieces_of

AXES: tuple[Point, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
PRESSED = 0.3  # of a joint's direction along the way: below it the joint is slid, rule of thumb
# What comes off first, by role: the back closes the cabinet, the baffle lies on the bench.
# Common practice, no source.
_OFF = {"back": 1, "side": 2, "shoulder": 2, "top": 3, "bottom": 3, "divider": 4, "brace": 4,
        "slot board": 4, "batten": 4, "baffle": 6}
_LOOSE, _OTHER, _ROD = 0, 3, 4
_INNER = ("brace", "slot board", "batten")
_TOUCH = 0.01  # mm between parts that touch
_SPECK = 1.0  # mm² of contact that holds nothing


@dataclass(frozen=True)
class Move:
    """One move: the parts that leave as one, in which direction (length one), what stays."""

    parts: tuple[str, ...]
    away: Point
    stays: tuple[str, ...]


@dataclass(frozen=True)
class Blocked:
    """What blocks a part in a direction."""

    part: str
    away: Point
    by: tuple[str, ...]


@dataclass(frozen=True)
class Order:
    """How an assembly comes apart.

    Attributes
    ----------
    moves : tuple of Move
        In the order of taking apart; reversed, with `away` turned round, the order of assembly.
    locked : tuple of str
        The fewest parts found that hold each other in every direction; empty when all comes apart.
    blocks : tuple of Blocked
        For each locked part and direction, the locked parts that are in its way.
    overlaps : tuple of pairs of str
        Parts that are in one place to begin with; they hold each other.
    rests : tuple of pairs of str
        Rods and inner sheets, and what each lies on without a joint between them.
    """

    moves: tuple[Move, ...]
    locked: tuple[str, ...] = ()
    blocks: tuple[Blocked, ...] = ()
    overlaps: tuple[tuple[str, str], ...] = ()
    rests: tuple[tuple[str, str], ...] = ()

    @property
    def assembly(self) -> tuple[Move, ...]:
        """The moves in the order of assembly; `away` still points out."""
        return self.moves[::-1]


def taken_apart(parts: Sequence[Part], held: Sequence[Joint] = ()) -> Order:
    """Take an assembly apart by straight moves, a builder's last part first.

    Parameters
    ----------
    parts : sequence of Panel or Body
        World mm, names unlike each other. A body counts by its convex hull: leave drivers and
        other hardware out, they are mounted last.
    held : sequence of Joint
        What holds them; where any is given, a rod or inner sheet is also held by what it lies on
        without one. Moves that leave the rest joined are preferred, then single parts, then what a
        builder puts on last (what is not glued, the back, the sides), then directions in which
        joints open rather than slide. Joints of parts that are not there are passed over.

    Returns
    -------
    Order
        The same for the same parts in the same order.

    Raises
    ------
    ValueError
        When two parts have one name.

    Notes
    -----
    Directions are the six axes and every panel's normal both ways; where these do not do, the
    joints' directions too. Every move goes on without end, past all that stays: a part that comes
    out only round a corner counts as held. Parts that touch do not hold each other, nor do shadows
    that overlap by less than `pieces.SLIDING`.
    """
    names = [part.name for part in parts]
    if len(set(names)) != len(names):
        raise ValueError("two parts have one name")
    order = _Search(parts, held, quick=True).order()
    # holes that nothing stands in were taken for wood; look again before calling it locked
    return _Search(parts, held, quick=False).order() if order.locked else order


class _Search:
    """One assembly; sets of parts are bits of whole numbers."""

    def __init__(self, parts: Sequence[Part], held: Sequence[Joint], *, quick: bool) -> None:
        self.parts = parts
        self.names = [part.name for part in parts]
        index = {name: k for k, name in enumerate(self.names)}
        self.joints = [(index[j.host], index[j.guest], j) for j in held
                       if j.host in index and j.guest in index]
        self.beside = [0] * len(parts)
        self.rests = list(self._rests()) if self.joints else []
        for a, b in [*((a, b) for a, b, joint in self.joints if joint.glued), *self.rests]:
            self.beside[a] |= 1 << b
            self.beside[b] |= 1 << a
        self.ranks = [self._rank(k) for k in range(len(parts))]
        self.quick = quick
        self.clashes: set[tuple[int, int]] = set()
        self._ways: dict[Point, list[int]] = {}

    def order(self) -> Order:
        """The whole order."""
        moves: list[Move] = []
        locked = 0
        waiting = [(1 << len(self.parts)) - 1] if self.parts else []
        while waiting:
            whole = waiting.pop()
            if whole.bit_count() < 2:
                continue
            best = self._best(whole)
            if best is None:
                locked = locked or self._core(whole)
                continue
            group, way = best
            moves.append(Move(self._named(group), _plain(way), self._named(whole & ~group)))
            waiting += [whole & ~group, group]  # the group is taken apart first
        pairs = tuple((self.names[a], self.names[b]) for a, b in sorted(self.clashes))
        rests = tuple((self.names[a], self.names[b]) for a, b in self.rests)
        return Order(tuple(moves), self._named(locked), tuple(self._blocks(locked)), pairs, rests)

    @cached_property
    def _pile(self) -> Pile:
        boxes = [box_of(part) for part in self.parts]
        return Pile.of([
            pieces_of(part, [*boxes[:k], *boxes[k + 1:]] if self.quick else None)
            for k, part in enumerate(self.parts)])

    @cached_property
    def _first(self) -> tuple[Point, ...]:
        """The axes and the panels' normals, each once whichever way it points."""
        normals = [part.placement.normal for part in self.parts if isinstance(part, Panel)]
        return _unlike([*AXES, *normals])

    @cached_property
    def _more(self) -> tuple[Point, ...]:
        """The joints' directions that are none of the first."""
        return _unlike([*self._first, *(joint.into for _, _, joint in self.joints)])[
            len(self._first):]

    def _along(self, axis: Point) -> Iterator[tuple[Point, list[int]]]:
        """Both ways along an axis, with what lies ahead of each part."""
        back = (-axis[0], -axis[1], -axis[2])
        if axis not in self._ways:
            ahead, overlap = self._pile.ahead(axis)
            self.clashes |= {(int(a), int(b)) for a, b in np.argwhere(overlap) if a < b}
            self._ways[axis] = [_bits(row) for row in ahead]
            self._ways[back] = [_bits(column) for column in ahead.T]
        yield axis, self._ways[axis]
        yield back, self._ways[back]

    def _best(self, whole: int) -> tuple[int, Point] | None:
        """The group that leaves first and its direction; None where nothing can."""
        for axes in (self._first, self._more):
            found = []
            for axis in axes:
                for way, ahead in self._along(axis):
                    for group in sorted({_reach(k, ahead, whole) for k in _each(whole)}):
                        if group != whole:
                            found.append(self._smaller(group, whole, way))
            if found:
                keys = [(self._cost(group, whole, way), k) for k, (group, way) in enumerate(found)]
                return found[min(keys)[1]]
        return None

    def _smaller(self, group: int, whole: int, way: Point) -> tuple[int, Point]:
        """The group, or what it leaves behind moved the other way, where that is less."""
        rest = whole & ~group
        if (rest.bit_count(), -self._last(rest)) < (group.bit_count(), -self._last(group)):
            return rest, (-way[0], -way[1], -way[2])
        return group, way

    def _cost(self, group: int, whole: int, way: Point) -> tuple[float, ...]:
        rest = whole & ~group
        torn = self._runs(group) + self._runs(rest) - self._runs(whole) - 1
        rank = max(self.ranks[k] for k in _each(group))
        return (max(torn, 0), group.bit_count(), rank, -self._last(group),
                round(self._slid(group, rest, way), 3))

    def _last(self, group: int) -> int:
        """The last of a group in the order of the parts."""
        return group.bit_length()

    def _slid(self, group: int, rest: int, way: Point) -> float:
        """Area of the joints that a move rubs along instead of opening, mm²."""
        return sum(joint.area for a, b, joint in self.joints
                   if ((group >> a & 1 and rest >> b & 1) or (group >> b & 1 and rest >> a & 1))
                   and abs(float(np.dot(joint.into, way))) < PRESSED)

    def _runs(self, group: int) -> int:
        """How many pieces a group falls into by its joints."""
        count = 0
        while group:
            group &= ~_reach(group.bit_length() - 1, self.beside, group)
            count += 1
        return count

    def _rank(self, k: int) -> int:
        part = self.parts[k]
        if not isinstance(part, Panel):
            return _ROD if part.kind == "rod" else _LOOSE
        mine = [joint for a, b, joint in self.joints if k in (a, b)]
        loose = mine and part.role != "batten" and not any(joint.glued for joint in mine)
        return _LOOSE if loose else _OFF.get(part.role, _OTHER)

    def _rests(self) -> Iterator[tuple[int, int]]:
        """Rods and inner sheets, with what they lie on most of all without a joint."""
        boxes = [np.array(box_of(part)) for part in self.parts]
        for k, part in enumerate(self.parts):
            if not (part.role in _INNER if isinstance(part, Panel) else part.kind == "rod"):
                continue
            met = {a + b - k for a, b, _ in self.joints if k in (a, b)}
            near = [j for j, box in enumerate(boxes) if j != k and j not in met
                    and (box[:3] < boxes[k][3:] + _TOUCH).all()
                    and (box[3:] > boxes[k][:3] - _TOUCH).all()]
            if not near:
                continue
            skin = grown(room(part), _TOUCH)
            areas = [float((skin ^ room(self.parts[j])).volume()) / _TOUCH for j in near]
            yield from ((k, j) for j, area in zip(near, areas, strict=True)
                        if area > max(_SPECK, 0.5 * max(areas)))

    def _core(self, whole: int) -> int:
        """The fewest of some locked parts, dropped one by one, that still are locked."""
        pairs = (1 << a | 1 << b for a in _each(whole) for b in _each(whole) if a < b)
        pair = next((pair for pair in pairs if self._best(pair) is None), 0)
        if pair:
            return pair
        for k in _each(whole):
            less = whole & ~(1 << k)
            if less.bit_count() > 1 and self._best(less) is None:
                whole = less
        return whole

    def _blocks(self, locked: int) -> Iterator[Blocked]:
        for k in _each(locked):
            for axis in (*self._first, *self._more):
                for way, ahead in self._along(axis):
                    yield Blocked(self.names[k], _plain(way), self._named(ahead[k] & locked))

    def _named(self, group: int) -> tuple[str, ...]:
        return tuple(self.names[k] for k in _each(group))


def _each(group: int) -> Iterator[int]:
    while group:
        low = group & -group
        yield low.bit_length() - 1
        group ^= low


def _bits(row: Iterable[bool]) -> int:
    return sum(1 << k for k, there in enumerate(row) if there)


def _reach(start: int, links: Sequence[int], within: int) -> int:
    """All that is reached from one part by links, itself too."""
    found, fresh = 0, 1 << start
    while fresh:
        found |= fresh
        after = 0
        for k in _each(fresh):
            after |= links[k]
        fresh = after & within & ~found
    return found


def _unlike(ways: Sequence[Point]) -> tuple[Point, ...]:
    """Directions without those that repeat one, forward or backward."""
    found: list[Point] = []
    for way in ways:
        if all(abs(abs(float(np.dot(way, other))) - 1.0) > 1e-9 for other in found):
            found.append(_plain(way))
    return tuple(found)


def _plain(way: Point) -> Point:
    x, y, z = (0.0 if abs(v) < 1e-12 else float(v) for v in way)
    return x, y, z

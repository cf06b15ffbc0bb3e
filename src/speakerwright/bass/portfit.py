"""Which ports give a chamber's tuning and fit its box: round tubes and slots, each solved in place.

Every opening is solved with all corrections in force, and the chamber with it. The net volume is
kept: what a larger port takes from the box must be given back to it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from speakerwright.bass.inputs import Seat
from speakerwright.bass.judgement import PRACTICE
from speakerwright.bass.limits import PORT_SPEED_LIMIT
from speakerwright.bass.port import PortCase, length_for, tuning_of
from speakerwright.bass.port_openings import (
    bent_room,
    board_per_length,
    has_room,
    openings,
    same,
)
from speakerwright.bass.port_trial import case_of
from speakerwright.bass.port_trial import tried as tried_in
from speakerwright.bass.result import ChamberResult, Need
from speakerwright.design.sections.ports import Port
from speakerwright.words.units import show

__all__ = ["OBSTACLES", "ORDER", "PortProposal", "Prices", "measures", "nothing_fits",
           "openings", "proposals"]

BEND = 0.5  # what a bend adds to the strain: rule of thumb
QUIET = 10.0  # m/s, unnoticed: common practice, no source; slower is no better
QUIET_PIPE = 0.1  # of the cone's flow; less is no better: rule of thumb
PIPE_LIMIT_DB = 0.0  # as loud as the cone: rule of thumb, as in what is found of a port
FREE_GAP = 3.0  # of the radius or height; more is no better: rule of thumb

OBSTACLES: Mapping[str, str] = {
    "tunes": "cannot tune the box so",
    "thin": "would be shorter than the baffle is thick",
    "beside": "have no room beside the walls and the cone",
    "depth": "are too long for the box, also with a bend",
    "speed": "pass the air too fast",
    "pipe": "sound too loud at their own pipe resonance",
}
"""What can keep a port from fitting, as it is said of several ports."""

ORDER = (
    "Those that no other one beats in every figure come first, then by strain, a rule of thumb: "
    f"air speed over {PORT_SPEED_LIMIT:g} m/s ({PRACTICE}), length over the side of a cube of "
    "the box's air, the pipe's flow over the cone's, the port's radius or height over the room "
    "behind it, cost over the dearest, and a half for a bend."
)
"""How the order comes about, for a caption."""


@dataclass(frozen=True)
class Prices:
    """What material costs, in the plan's currency; None and nothing where it is not known.

    `sheet` is per m² of the slot's board; `tubes` are pairs of a bore (m) and the price per m.
    """

    sheet: float | None = None
    tubes: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class PortProposal:
    """One opening for a chamber's tuning. SI; None where it does not come to that.

    `gap` is clear behind the inner end, of a bent port before it; `gap_ratio` is that over the
    port's radius or height. `speed` is the air's peak at the brief's peak, `pipe` the first pipe
    resonance and `pipe_db` the port's flow there against the cone's. `volume` is what it takes
    from the inside, `board` (m²) what a slot takes of the sheet. `strain` is the score: less is
    better. `beaten` says that another one that fits is as good in everything and better in
    something. `obstacle` is a word of `OBSTACLES`, empty where the port fits. `known` says whether
    its room is; `now` marks the port that is decided.
    """

    port: Port
    fits: bool
    obstacle: str = ""
    says: str = ""
    length: float | None = None
    gap: float | None = None
    gap_ratio: float | None = None
    speed: float | None = None
    pipe: float | None = None
    pipe_db: float | None = None
    volume: float | None = None
    board: float | None = None
    cost: float | None = None
    strain: float | None = None
    beaten: bool = False
    doubt: str = ""
    known: bool = True
    now: bool = False
    figures: Mapping[str, tuple[float, str]] = field(default_factory=dict, compare=False)

    @property
    def area(self) -> float:
        """Area of all openings at the front, m²."""
        return self.port.count * _area(self.port)

    def verdict(self, system: str = "metric") -> str:
        """Whether it fits and what speaks against it, as a sentence in the reader's units."""
        shown = {name: show(value, kind, system) for name, (value, kind) in self.figures.items()}
        return self.says.format(**shown)

    def name(self, system: str = "metric") -> str:
        """The opening in a few words."""
        port, bent = self.port, ", bent" if self.port.bends else ""
        if port.shape == "round":
            many = "tube" if port.count == 1 else f"{port.count} tubes"
            return f"{many} of {_sizes(system, port.bore)}{bent}"
        what = {3: "slot", 1: "floor slot"}.get(port.walls_shared, "free slot")
        many = what if port.count == 1 else f"{port.count} {what}s"
        return f"{many} {_sizes(system, port.width, port.height)}{bent}"


def _sizes(system: str, *sizes: float | None) -> str:
    """Sizes across as a maker says them: the unit once, no zeros behind the point."""
    shown = [show(size, "length", system).split("\u202f") for size in sizes]
    numbers = [number.removesuffix(".0") for number, *_ in shown]
    return f"{' × '.join(numbers)}\u202f{shown[-1][-1]}"


def _area(port: Port) -> float:
    """Area of one opening at the front, m²."""
    if port.shape == "round":
        return math.pi * (port.bore or 0.0) ** 2 / 4.0
    return (port.width or 0.0) * (port.height or 0.0)


# --- one port in its box --------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Ask:
    """What is asked for: a chamber, its need, the tuning (Hz) and what material costs."""

    result: ChamberResult
    need: Need
    tuning: float
    prices: Prices

    @property
    def seat(self) -> Seat:
        return self.result.inputs.seat


def _no(port: Port, obstacle: str, says: str, **lengths: float) -> PortProposal:
    """A port that does not go in, for a reason with some lengths (m) in it."""
    figures = {name: (value, "length") for name, value in lengths.items()}
    return PortProposal(port, False, obstacle, says, lengths.get("length"), figures=figures)


def _proposed(ask: _Ask, opening: Port, *, now: bool = False) -> PortProposal:
    """One opening, straight where it goes in so and else with one bend."""
    port = opening.model_copy(update={"tuning": ask.tuning, "length": None})
    if not now and not has_room(ask.result.inputs, port):
        return _no(port, "beside", "It has no room beside the walls and the cone.")
    case = case_of(ask.result.inputs, port)
    length = length_for(case, ask.tuning)
    shown = length if length is not None else length_for(
        replace(case, effects=replace(case.effects, facing=False)), ask.tuning)
    if shown is None:
        lower = tuning_of(case, 1e-6) < ask.tuning
        return _no(port, "tunes", "Even as a bare hole it tunes lower." if lower
                   else "Even 20 m of it tune higher.")
    if shown < ask.seat.baffle:
        return _no(port, "thin", "It would be {length} long, and the baffle is {baffle} thick.",
                   length=shown, baffle=ask.seat.baffle)
    return _in_depth(ask, port, case, length) or _no(
        port, "depth", "It would be {length} long; {most} leave its own "
        + ("radius" if port.shape == "round" else "height")
        + " of {half} clear behind it, and no single bend makes it fit.",
        length=shown, half=case.half_height,
        most=max((ask.seat.behind_mouth or 0.0) - case.half_height, 0.0))


def _in_depth(
    ask: _Ask, port: Port, case: PortCase, length: float | None
) -> PortProposal | None:
    """A port that goes in by its depth, with its chamber solved; None where it does not."""
    room, half = ask.seat.behind_mouth, case.half_height
    if length is not None and (room is None or port.bends > 1):
        return _solved(ask, port, length, None, half)
    if not port.bends and length is not None and room is not None and room - length >= half:
        return _solved(ask, port, length, room - length, half)
    bent = port.model_copy(update={"bends": 1})
    along = length_for(case_of(ask.result.inputs, bent), ask.tuning)
    clear = None if along is None else bent_room(ask.seat, bent, half, along)
    return None if along is None or clear is None else _solved(ask, bent, along, clear, half)


def _solved(
    ask: _Ask, port: Port, length: float, gap: float | None, half: float
) -> PortProposal:
    """A port that goes in: whether it also holds by its air speed and its pipe resonance."""
    found = tried_in(ask.result, ask.need, port, length)
    board = None
    if port.shape == "slot":
        board = board_per_length(port) * max(length - ask.seat.baffle, 0.0)
    made = PortProposal(
        port, True, length=length, gap=gap, gap_ratio=None if gap is None else gap / half,
        speed=found.speed, pipe=found.pipe, pipe_db=found.pipe_db, volume=found.volume,
        board=board, cost=_cost(port, length, board, ask.prices), doubt=found.doubt,
        known=gap is not None,
    )
    if found.speed is not None and found.speed > PORT_SPEED_LIMIT:
        return replace(made, fits=False, obstacle="speed", says="At the brief's peak its air "
                       f"moves at {{speed}}; {{limit}} is the most ({PRACTICE}).",
                       figures={"speed": (found.speed, "speed"),
                                "limit": (PORT_SPEED_LIMIT, "speed")})
    if found.pipe_db > PIPE_LIMIT_DB:
        return replace(made, fits=False, obstacle="pipe", says="At its own pipe resonance near "
                       "{at} its air moves {level} against the cone.",
                       figures={"at": (found.pipe, "frequency"), "level": (found.pipe_db, "level")})
    says = "It fits" if made.known else "Whether it goes in is not known"
    return replace(made, says=f"{says}; a doubt: {made.doubt}." if made.doubt else f"{says}.")


def _cost(port: Port, length: float, board: float | None, prices: Prices) -> float | None:
    if board is not None:
        return None if prices.sheet is None else board * prices.sheet
    each = next((p for bore, p in prices.tubes if abs(bore - (port.bore or 0.0)) < 5e-4), None)
    return None if each is None else each * length * port.count


# --- which are best -------------------------------------------------------------------------------


def proposals(
    result: ChamberResult, need: Need, limit: int | None = None, *, prices: Prices | None = None,
    system: str = "metric", tried: Sequence[Port] | None = None,
) -> tuple[PortProposal, ...]:
    """Ports that give a chamber its tuning, those that fit first, the best of them first.

    A port fits when it goes into the box with its own radius or height clear behind it, its air
    stays below `limits.PORT_SPEED_LIMIT` at the brief's peak, and its pipe below the cone. Of
    those that fit, the ones that no other beats come first: one beats another that is nowhere
    better in speed, length, pipe resonance, room behind, volume taken, bends and (where all are
    known) cost. Within each group the order is by strain, the sum of `measures` but for the
    volume: a rule of thumb. Those that do not fit follow by air speed, then by length.

    Parameters
    ----------
    result : ChamberResult
        A chamber with a port behind the cone.
    need : Need
        What the brief asks of it.
    limit : int, optional
        How many to give; all without.
    prices : Prices, optional
        Of tubes and board.
    system : {"metric", "inch"}
        Whose sizes are tried.
    tried : sequence of Port, optional
        What is tried instead of `openings`; the decided port is always tried.

    Returns
    -------
    tuple of PortProposal
        Empty for a chamber without a port behind the cone.
    """
    decided = result.inputs.chamber.port
    if result.port is None or decided is None:
        return ()
    ask = _Ask(result, need, decided.tuning or result.port.tuning, prices or Prices())
    listed = openings(ask.seat, decided, system) if tried is None else tried
    made = [replace(_proposed(ask, decided, now=True), now=True)]
    made += [_proposed(ask, port) for port in listed if not same(port, decided)]
    return tuple(_ranked(made, result.inputs.chamber.net_volume)[:limit])


def _ranked(made: list[PortProposal], volume: float) -> list[PortProposal]:
    fitting = [each for each in made if each.fits]
    costs = [each.cost for each in fitting]
    dearest = None if None in costs else max((c for c in costs if c is not None), default=None)
    sized = [(each, measures(each, volume, dearest)) for each in fitting]
    judged = [
        replace(each, strain=math.fsum(own[:-1]), beaten=any(_beats(one, own) for _, one in sized))
        for each, own in sized
    ]
    judged.sort(key=lambda p: (p.beaten, p.strain, _key(p)))
    rest = [each for each in made if not each.fits]
    rest.sort(key=lambda p: (p.speed is None, p.speed or 0.0, p.length is None, p.length or 0.0,
                             _key(p)))
    return judged + rest


def measures(made: PortProposal, volume: float, dearest: float | None = None) -> tuple[float, ...]:
    """What ports that fit are compared by; less is better, and what is good enough counts alike.

    Parameters
    ----------
    made : PortProposal
    volume : float
        Net volume of the box, m³.
    dearest : float, optional
        The highest cost among them, where every cost is known.

    Returns
    -------
    tuple of float
        Air speed over its limit; length over the side of a cube of the box's air; the pipe's flow
        over the cone's; the port's radius or height over the room behind it; cost over the
        dearest; 0.5 for a bend; volume taken over the box's, which goes with length and area.
    """
    pipe = 0.0 if made.pipe_db is None else 10.0 ** (made.pipe_db / 20.0)
    return (
        max(made.speed or 0.0, QUIET) / PORT_SPEED_LIMIT,
        (made.length or 0.0) / volume ** (1.0 / 3.0),
        max(pipe, QUIET_PIPE),
        1.0 / min(made.gap_ratio or FREE_GAP, FREE_GAP),
        made.cost / dearest if made.cost is not None and dearest else 0.0,
        BEND * made.port.bends,
        (made.volume or 0.0) / volume,
    )


def _beats(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one != other and all(a <= b for a, b in zip(one, other, strict=True))


def _key(made: PortProposal) -> tuple[Any, ...]:
    port = made.port
    return port.shape, port.count, made.area, port.height or 0.0, port.bends, not made.now


def nothing_fits(found: Sequence[PortProposal], system: str = "metric") -> str:
    """What to say when none of the ports tried fits: how many for what reason, and the nearest.

    Empty when one fits or none was tried.
    """
    if not found or any(each.fits for each in found):
        return ""
    counts = {word: sum(each.obstacle == word for each in found) for word in OBSTACLES}
    reasons = ", ".join(f"{n} {OBSTACLES[word]}" for word, n in counts.items() if n)
    near = found[0]
    return (f"None of the {len(found)} ports that were tried fits: {reasons}. The nearest is "
            f"{near.name(system)}. {near.verdict(system)}")

"""The search itself: screen all, keep what may be on the front, work those out in full.

The pieces of work and every choice between them depend on the space alone, so one worker or many
find the same front in the same order.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass

import numpy as np

from speakerwright.bass.result import Need
from speakerwright.bass.search.figures import scores
from speakerwright.bass.search.found import Found, Member, differences, in_order, member
from speakerwright.bass.search.front import Band, Flags, beaten, front, may_stand
from speakerwright.bass.search.full import Full, worked_out
from speakerwright.bass.search.part import Keeper, Keeping, Part
from speakerwright.bass.search.screen import picked
from speakerwright.bass.search.space import Bounds, Candidate, Family, Numbers, Space
from speakerwright.bass.search.workers import InProcess, through
from speakerwright.circuits.parts import Real

BATCH = 12
"""Candidates in one piece of full work: about a tenth of a second."""

SCREENING = 0.15
"""The share of the whole that screening is taken for: a rule of thumb."""

Tell = Callable[[float, str], None]


def _silent(_: float, __: str) -> None:
    pass


def search(
    space: Space, executor: Executor | None = None, at_once: int = 1, *,
    band: Band | None = None, keeping: Keeping | None = None, tell: Tell = _silent,
) -> Found:
    """Search a space.

    Parameters
    ----------
    space : Space
    executor : Executor, optional
        Who does the work; this process without one. See `workers.executor_for`.
    at_once : int
        How many pieces of work it does at once.
    band : Band, optional
        How far the screen is taken to be from the full result.
    keeping : Keeping, optional
        Where what is done is kept, and read back from; to be named by the space's key.
    tell : callable
        Called with how far it is (0 to 1) and a sentence. What it raises ends the search: so it
        is stopped. What is done by then is kept.

    Returns
    -------
    Found
        The same, in the same order, for any executor, and whether it was stopped or not.
    """
    keeper = Keeper(keeping, space.size, len(space.chunks()))
    worker = executor if executor is not None else InProcess()
    sure_to = band if band is not None else Band()
    try:
        _screen(space, worker, at_once, sure_to, keeper, tell)
        kept = _kept(keeper.part)
        _work_out(space, worker, at_once, kept, keeper, tell)
        if not _standing(kept, keeper.part).any():
            _work(space, worker, at_once, _nearest(keeper.part), keeper, lambda: None)
    finally:
        keeper.keep()
    return _found(space, kept, keeper.part)


def _screen(
    space: Space, executor: Executor, at_once: int, band: Band, keeper: Keeper, tell: Tell
) -> None:
    chunks = space.chunks()
    left = [k for k in range(len(chunks)) if k not in keeper.part.picked]
    tasks = [(chunks[k], k, band) for k in left]
    says = f"Screening {space.size:,} candidates.".replace(",", "\u202f")
    tell(0.0, says)
    for _, found in through(executor, picked, tasks, at_once):
        keeper.part.picked[found.chunk] = found
        keeper.told()
        tell(SCREENING * len(keeper.part.picked) / len(chunks), says)


@dataclass(frozen=True, eq=False)
class Kept:
    """What the screen hands on, by number: figures, scores and their widths, each (n, 4)."""

    numbers: Numbers
    values: Real
    scores: Real
    widths: Real

    @property
    def best(self) -> Real:
        """Scores at the good end of their band."""
        return np.asarray(self.scores - self.widths)


def _kept(part: Part) -> Kept:
    """What may be on the front of all chunks together."""
    chunks = [part.picked[k] for k in sorted(part.picked)]
    if not chunks:
        none = np.empty((0, 4))
        return Kept(np.empty(0, dtype=np.int64), none, none, none)
    numbers = np.concatenate([p.numbers for p in chunks])
    values, widths = (np.concatenate(each) for each in (
        [p.values for p in chunks], [p.widths for p in chunks]))
    found = scores(values)
    stands = may_stand(found, widths, np.concatenate([p.sure for p in chunks]))
    return Kept(numbers[stands], values[stands], found[stands], widths[stands])


def _work_out(
    space: Space, executor: Executor, at_once: int, kept: Kept, keeper: Keeper, tell: Tell
) -> None:
    """Work out the screen's front, then whatever those may not beat, until nothing is left."""
    part = keeper.part
    left = np.ones(len(kept.numbers), dtype=bool)
    batch = front(kept.scores)
    while left.any():
        done, more = int(np.sum(~left)), int(np.sum(left))

        def told(before: int = done, rest: int = more) -> None:
            worked = len(part.fulls)
            tell(SCREENING + (1.0 - SCREENING) * worked / max(worked + rest - before, worked, 1),
                 f"Working out {worked} of at most {worked + rest}.")

        _work(space, executor, at_once, kept.numbers[batch], keeper, told)
        left &= ~batch
        rest = np.flatnonzero(left)
        left[rest] = ~beaten(kept.best[rest], _full_scores(kept, part)[_standing(kept, part)])
        rest = np.flatnonzero(left)
        batch = np.zeros_like(left)
        batch[rest] = front(kept.best[rest])


def _full_scores(kept: Kept, part: Part) -> Real:
    """Scores (n, 4) in full of what is worked out; infinite for what is not."""
    found = np.full(kept.scores.shape, np.inf)
    worked = [(k, part.fulls[number].values) for k, number in enumerate(kept.numbers.tolist())
              if number in part.fulls]
    if worked:
        found[[k for k, _ in worked]] = scores(np.array([values for _, values in worked]))
    return found


def _standing(kept: Kept, part: Part) -> Flags:
    """Which candidates (n,) are worked out and are answers to the brief."""
    return np.array([number in part.fulls and not part.fulls[number].off
                     for number in kept.numbers.tolist()], dtype=bool)


def _work(
    space: Space, executor: Executor, at_once: int, numbers: Numbers, keeper: Keeper,
    told: Callable[[], None],
) -> None:
    """Work some candidates out in full, unless they are already."""
    wanted = [number for number in numbers.tolist() if number not in keeper.part.fulls]
    tasks = [(tuple(space.find(number) for number in wanted[k : k + BATCH]),
              space.need, space.bounds) for k in range(0, len(wanted), BATCH)]
    for _, found in through(executor, worked, tasks, at_once):
        keeper.part.fulls.update({full.number: full for full in found})
        keeper.told()
        told()


def worked(
    jobs: tuple[tuple[Family, Candidate], ...], need: Need, bounds: Bounds
) -> tuple[Full, ...]:
    """Work some candidates out: the function that workers run."""
    return tuple(worked_out(family, candidate, need, bounds) for family, candidate in jobs)


def _nearest(part: Part) -> Numbers:
    """The candidate that misses the brief least by the screen, where any can be built."""
    found = min(part.picked.values(), key=lambda p: (p.nearest_short_db, p.nearest), default=None)
    if found is None or not np.isfinite(found.nearest_short_db):
        return np.empty(0, dtype=np.int64)
    return np.array([found.nearest])


def _found(space: Space, kept: Kept, part: Part) -> Found:
    full, stands = _full_scores(kept, part), _standing(kept, part)
    on_front = np.zeros_like(stands)
    on_front[stands] = front(full[stands])
    members: list[Member] = []
    fallen: list[Member] = []
    for k in np.flatnonzero(on_front | front(kept.scores)):
        number = int(kept.numbers[k])
        off = "" if on_front[k] else "another is better in full"
        one = _member(space, part, number, "" if part.fulls[number].off else off)
        (members if on_front[k] else fallen).append(one)
    nearest = None
    if not members:
        nearest = next((_member(space, part, int(n)) for n in _nearest(part)), None)
    values = [part.fulls[int(n)].values for n in kept.numbers[stands]]
    return Found(
        space.key, space.chamber, in_order(members), in_order(fallen), nearest, space.size,
        space.cells, len(part.fulls),
        differences(kept.values[stands], kept.widths[stands], np.reshape(values, (-1, 4))),
        space.left_out,
    )


def _member(space: Space, part: Part, number: int, off: str = "") -> Member:
    return member(space.find(number)[1], part.fulls[number], space.need, off)

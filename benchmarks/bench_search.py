"""How fast the search for a bass is; `python benchmarks/bench_search.py`. See docs/bass-search.md.

Goal: the screen takes at least 2000 candidates a second on one core. Times of the screen and of
one candidate in full are those of the processor, so that other work on the machine counts little;
those of a whole search are by the clock.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from speakerwright.bass.search.found import Found
from speakerwright.bass.search.front import Band
from speakerwright.bass.search.run import search
from speakerwright.bass.search.screen import picked
from speakerwright.bass.search.space import Space
from speakerwright.bass.search.workers import executor_for
from speakerwright.chain.search import search_space
from speakerwright.design.file import read_project

EXAMPLES = Path(__file__).parents[1] / "examples"
GOAL = 2000.0


def screen_rate(space: Space, rounds: int = 3) -> tuple[float, float]:
    """Candidates and circuits a second, the best of some rounds."""
    least = float("inf")
    for _ in range(rounds):
        begun = time.process_time()
        for k, chunk in enumerate(space.chunks()):
            picked(chunk, k, Band())
        least = min(least, time.process_time() - begun)
    return space.size / least, space.cells / least


def whole(space: Space, workers: int) -> tuple[Found, float, float]:
    """A whole search, its time by the clock, and the processor's time of this process."""
    clock, begun = time.perf_counter(), time.process_time()
    with executor_for(workers) as (executor, at_once):
        found = search(space, executor, at_once)
    return found, time.perf_counter() - clock, time.process_time() - begun


def main() -> None:
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("--workers", type=int, default=2)
    workers = given.parse_args().workers
    for name in ("desk-pair", "harbour-hall", "barn-sub"):
        space = search_space(read_project(EXAMPLES / name).design, "main")
        rate, circuits = screen_rate(space)
        found, alone, busy = whole(space, 1)
        many, together, _ = whole(space, workers)
        print(f"{name}: {space.size} candidates, {space.cells} circuits; screened at "
              f"{rate:,.0f} candidates/s ({circuits:,.0f} circuits/s)")
        print(f"  {found.worked_out} worked out in full, {1e3 * busy / found.worked_out:.1f} ms "
              f"each; whole search {alone:.1f} s alone, {together:.1f} s with {workers}; "
              f"front {len(found.members)}, {found.meeting} meet the brief; "
              f"same {found == many}")
        for each in found.differences:
            print(f"  {each.figure}: {each.largest:+.4f} at most, {each.outside} outside the band")
        if rate < GOAL:
            raise SystemExit(f"{name}: {rate:.0f} candidates a second is below {GOAL:.0f}")


if __name__ == "__main__":
    main()

"""The whole search: complete, the same for any number of workers, stopped and taken up again."""

from __future__ import annotations

from concurrent.futures import Future
from dataclasses import replace

import numpy as np
import pytest

from bass.search.spaces import SMALL, TINY, design, space
from speakerwright.bass.search import gather
from speakerwright.bass.search import run as running
from speakerwright.bass.search.figures import scores
from speakerwright.bass.search.found import Found
from speakerwright.bass.search.front import NO_BAND, front
from speakerwright.bass.search.full import worked_out
from speakerwright.bass.search.part import Keeping, Part
from speakerwright.bass.search.run import search
from speakerwright.bass.search.workers import InProcess, executor_for, through
from speakerwright.chain.requests import run
from speakerwright.chain.search import found_in, search_request
from speakerwright.chain.store import Store
from speakerwright.words.errors import DesignErrors


@pytest.fixture
def few(monkeypatch):
    """Fewer ports and front chambers, so that all can be worked out."""
    monkeypatch.setattr(gather, "BORES", (0.1, 0.15))
    monkeypatch.setattr(gather, "SLOT_HEIGHTS", (0.06,))
    monkeypatch.setattr(gather, "FRONT_SHARES", (0.6, 1.7))


def numbers(found: Found) -> list[int]:
    return [member.candidate.number for member in found.members]


def test_the_front_is_that_of_all_candidates_worked_out(few):
    """Every candidate of a small space in full, all pairs compared: nothing is missed."""
    where = space("barn-sub", replace(TINY, volumes=4, tunings=3), drone=False)
    fulls = [worked_out(*where.find(n), where.need, where.bounds) for n in range(where.size)]
    able = [full for full in fulls if not full.off]
    found = search(where)
    best = front(scores(np.array([full.values for full in able])))
    expected = {full.number for full, on_front in zip(able, best, strict=True) if on_front}
    assert len(expected) > 10
    assert set(numbers(found)) == expected
    assert found.worked_out < 0.5 * where.size
    assert [d.outside for d in found.differences] == [0, 0, 0]


def test_without_a_guard_band_some_of_the_front_would_be_missed(few):
    """So the band is needed: the screen's own front lacks members of the full one."""
    where = space("barn-sub", replace(SMALL, tunings=6, counts=(1,)), drone=False)
    with_band, without = search(where), search(where, band=NO_BAND)
    assert without.worked_out < with_band.worked_out
    assert set(numbers(with_band)) - set(numbers(without))
    assert {d.figure for d in without.differences if d.outside} == {
        "size", "extension", "headroom"}


def test_members_come_in_order_and_fallen_ones_say_why():
    found = search(space())
    keys = [(not m.meets, m.cost, m.size, m.extension, -m.headroom_db) for m in found.members]
    assert keys == sorted(keys)
    assert found.meeting == sum(m.meets for m in found.members) > 0
    assert all(not m.off for m in found.members)
    assert found.fallen
    assert all(m.off and not m.meets for m in found.fallen)
    assert found.nearest is None
    first = found.members[0]
    assert first.headroom_db >= 0
    assert first.extension <= 60.0


def test_a_brief_that_nothing_meets_is_answered_with_the_nearest(few):
    loud = design().with_value("brief.level.average", "101 dB")
    from speakerwright.chain.search import search_space

    where = search_space(loud, "main", TINY)
    found = search(where)
    assert found.members == ()
    assert found.nearest is not None
    assert found.nearest.headroom_db < -3
    screened = [worked_out(*where.find(n), where.need, where.bounds) for n in range(where.size)]
    best = max(f.values[3] for f in screened if f.off.startswith("it misses"))
    assert found.nearest.headroom_db > best - 3.0


# --- workers --------------------------------------------------------------------------------------


def test_two_processes_find_the_same():
    where = space(asked=TINY)
    with executor_for(2) as (executor, at_once):
        assert at_once == 2
        assert search(where, executor, at_once) == search(where)


def test_a_cluster_of_two_finds_the_same():
    distributed = pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    where = space(asked=TINY)
    with (distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=False,
                                   dashboard_address=None, protocol="tcp") as cluster,
          executor_for(cluster=cluster.scheduler_address) as (executor, at_once)):
        assert at_once == 2
        assert search(where, executor, at_once) == search(where)


def test_a_cluster_that_does_not_answer_is_told(monkeypatch):
    pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    monkeypatch.setattr("speakerwright.bass.search.workers.PATIENCE", 0.3)
    with (pytest.raises(DesignErrors, match="no scheduler answers at"),
          executor_for(cluster="tcp://127.0.0.1:9")):
        pass


class Shuffled(InProcess):
    """Hands results over in the wrong order, as several workers do."""

    def __init__(self) -> None:
        self.held: list[tuple[Future, tuple]] = []
        self.most = 0

    def submit(self, fn, /, *args, **kwargs):
        future: Future = Future()
        self.held.append((future, (fn, args)))
        self.most = max(self.most, len(self.held))
        if len(self.held) == 6:
            for waiting, (function, given) in reversed(self.held):
                waiting.set_result(function(*given))
            self.held.clear()
        return future


def test_results_in_another_order_give_the_same():
    given = [(k,) for k in range(12)]
    executor = Shuffled()
    found = dict(through(executor, lambda k: k * k, given, at_once=3))
    assert found == {k: k * k for k in range(12)}
    assert executor.most == 6


def test_a_failing_task_ends_it_and_the_rest_is_given_up():
    done = []

    def task(k):
        done.append(k)
        if k == 2:
            raise ArithmeticError("no")

    with pytest.raises(ArithmeticError):
        list(through(InProcess(), task, [(k,) for k in range(50)], at_once=1))
    assert done == [0, 1, 2]


# --- stopped and taken up again -------------------------------------------------------------------


class Stopped(Exception):
    pass


class Kept:
    """A place to keep what is done, and how much was."""

    def __init__(self) -> None:
        self.held = None

    @property
    def keeping(self) -> Keeping:
        def write(data, arrays) -> None:
            self.held = (data, arrays)

        return Keeping(lambda: self.held, write)


def stop_after(count: int):
    told = []

    def tell(fraction: float, says: str) -> None:
        told.append((fraction, says))
        if len(told) == count:
            raise Stopped

    return tell


@pytest.mark.parametrize("after", [2, 9, 20])
def test_a_stopped_search_goes_on_where_it_was(after, monkeypatch):
    where = space(asked=SMALL)
    whole, counted = search(where), []
    monkeypatch.setattr(running, "picked", lambda *a: counted.append(1) or PICKED(*a))
    monkeypatch.setattr(running, "worked", lambda *a: counted.append(len(a[0])) or WORKED(*a))
    kept = Kept()
    with pytest.raises(Stopped):
        search(where, keeping=kept.keeping, tell=stop_after(after))
    part = Part.read(*kept.held)
    assert len(part.picked) == min(after - 1, len(where.chunks()))
    before = sum(counted)
    assert before
    assert search(where, keeping=kept.keeping) == whole
    assert sum(counted) == len(where.chunks()) + whole.worked_out  # nothing was done twice
    assert search(where, keeping=kept.keeping) == whole
    assert sum(counted) == len(where.chunks()) + whole.worked_out  # nor again


PICKED, WORKED = running.picked, running.worked


def test_progress_rises_to_the_end():
    told = []
    search(space(asked=SMALL), tell=lambda fraction, says: told.append((fraction, says)))
    screening = [f for f, says in told if says.startswith("Screening")]
    assert screening == sorted(screening)
    assert screening[-1] == pytest.approx(0.15)
    assert told[-1][0] == pytest.approx(1.0)
    assert all(0.0 <= f <= 1.0 for f, _ in told)


@pytest.mark.parametrize("held", [
    ({}, {}), ({"nearest": [[0, 1, 2.0, 5]], "fulls": []}, {"numbers": np.arange(2)}),
    ({"nearest": 7, "fulls": []}, {}), ({"nearest": [], "fulls": [[1, [2.0], "", [], None]]}, {}),
    ({"nearest": [[10**6, 1, 2.0, 0]], "fulls": []},
     {"numbers": np.arange(0), "values": np.empty((0, 4)), "widths": np.empty((0, 4)),
      "sure": np.empty(0, dtype=bool)}),
])
def test_what_was_kept_and_is_torn_is_passed_over(held):
    kept = Kept()
    kept.held = held
    where = space(asked=TINY)
    assert search(where, keeping=kept.keeping) == search(where)


def test_a_request_is_kept_in_the_project_and_read_back(tmp_path):
    request = search_request(design(), "main", TINY, folder=tmp_path)
    told = []
    first = run(request, Store(tmp_path), lambda fraction, says: told.append(says))
    again = run(request, Store(tmp_path), lambda *_: pytest.fail("it ran again"))
    assert found_in(again) == found_in(first) == search(space(asked=TINY, drone=False))
    assert told[0] == "Looking at the design."
    kept = sorted(p.name.split("-")[0] for p in (tmp_path / ".work" / "results").iterdir())
    assert kept == ["bass_search", "bass_search_part"]


def test_the_answer_does_not_rest_on_who_works_or_where(tmp_path):
    plain = search_request(design(), "main", TINY)
    other = search_request(design(), "main", TINY, folder=tmp_path, workers=4, cluster="tcp://x:1")
    assert plain.key == other.key
    assert search_request(design().with_value("brief.lowest", "61 Hz"), "main", TINY).key != (
        plain.key)

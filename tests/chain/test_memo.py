"""One memo, asked by one thread and by several."""

from __future__ import annotations

import threading

from speakerwright.chain import Memo


def test_a_result_is_made_once_and_the_longest_unused_goes_first():
    memo = Memo(most=2)
    assert [memo.get("f", k, lambda k=k: [k]) for k in (1, 2, 1, 3)] == [[1], [2], [1], [3]]
    assert memo.calls == {"f": 3}
    memo.get("f", 1, lambda: [0])
    assert memo.calls == {"f": 3}
    memo.get("f", 2, lambda: [2])
    assert memo.calls == {"f": 4}


def test_a_result_may_ask_for_another_while_it_is_made():
    memo = Memo()
    assert memo.get("outer", 1, lambda: memo.get("inner", 1, lambda: 5) + 1) == 6


def test_two_threads_that_make_one_result_get_the_same():
    memo, both, found = Memo(), threading.Barrier(2, timeout=5.0), []

    def make():
        both.wait()  # both are at it before either is done
        return object()

    def ask():
        found.append(memo.get("f", 1, make))

    _together(ask, ask)
    assert found[0] is found[1]
    assert memo.calls == {"f": 2}


def test_many_threads_keep_the_bound_and_the_count():
    memo, found = Memo(most=8), []

    def asker(offset):
        def ask():
            for k in range(400):
                n = (k + offset) % 12
                found.append((n, memo.get("f", n, lambda n=n: n)))
        return ask

    _together(*(asker(n) for n in range(4)))
    assert len(found) == 1600
    assert all(n == got for n, got in found)
    assert len(memo.kept) == 8


def test_the_lock_is_held_while_the_kept_results_change():
    """A memo whose dict is asked by a second thread in the middle of a change waits."""
    memo = Memo(most=1)
    seen = []

    class Watched(type(memo.kept)):
        def move_to_end(self, key, last=True):
            seen.append(memo._lock.locked())
            super().move_to_end(key, last)

        def popitem(self, last=True):
            seen.append(memo._lock.locked())
            return super().popitem(last)

    memo.kept = Watched()
    for k in (1, 1, 2):
        memo.get("f", k, lambda: 0)
    assert seen == [True] * 4


def _together(*calls):
    threads = [threading.Thread(target=call) for call in calls]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

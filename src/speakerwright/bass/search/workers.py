"""Who does the work: this process, others on this machine, or a cluster; one interface for all."""

from __future__ import annotations

import contextlib
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from typing import Any, TypeVar

from speakerwright import __version__
from speakerwright.words.errors import refuse

T = TypeVar("T")
AHEAD = 2
"""Pieces of work that wait for each worker, so that none stands idle: a rule of thumb."""

PATIENCE = 10
"""How long a cluster may take to answer, s: a rule of thumb."""


class InProcess(Executor):
    """Does what is submitted at once, in this process."""

    def submit(self, fn: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:
        """Run it; what it raises is kept in the future, an interrupt ends all."""
        future: Future[T] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future


@contextlib.contextmanager
def executor_for(workers: int = 1, cluster: str | None = None) -> Iterator[tuple[Executor, int]]:
    """An executor and how many work at once.

    Parameters
    ----------
    workers : int
        Processes on this machine; 1 works in this one, as does a process that may start none.
    cluster : str, optional
        The address of a cluster's scheduler, like ``tcp://host:8786``; `workers` is not used then.

    Raises
    ------
    DesignErrors
        When nobody answers there, when it has other versions, or when the library is not there.
    """
    if cluster is not None:
        with _cluster(cluster) as found:
            yield found
        return
    if workers <= 1 or not _may_have_children():
        yield InProcess(), 1
        return
    import multiprocessing

    pool = ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), _deaf)
    try:
        yield pool, workers
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    pool.shutdown()


def cores() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _may_have_children() -> bool:
    import multiprocessing

    return not multiprocessing.current_process().daemon


def _deaf() -> None:
    """The keyboard's interrupt is for the process that asked."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def version() -> str:
    """The version that a worker has."""
    return __version__


@contextlib.contextmanager
def _cluster(address: str) -> Iterator[tuple[Executor, int]]:
    try:
        import distributed
    except ImportError:
        raise refuse("cluster", "the library for clusters is not installed.",
                     "Install speakerwright[cluster].") from None
    client_of: Any = distributed.Client  # it has no types
    try:
        client = client_of(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError, TypeError):
        raise refuse("cluster", f"no scheduler answers at {address!r}.",
                     "Write its address like tcp://host:8786.") from None
    with client:
        threads = client.nthreads()
        if not threads:
            raise refuse("cluster", "its scheduler has no workers.", "Start one.")
        try:
            others = {found for found in client.run(version).values() if found != __version__}
        except Exception:
            raise refuse("cluster", "some of its workers cannot run Speakerwright.",
                         f"Install version {__version__} there.") from None
        if others:
            raise refuse("cluster", f"its workers have version {', '.join(sorted(others))}, "
                         f"here it is {__version__}.", "Install the same one everywhere.")
        yield client.get_executor(), sum(threads.values())


def through(
    executor: Executor, function: Callable[..., T], tasks: Sequence[tuple[Any, ...]], at_once: int
) -> Iterator[tuple[int, T]]:
    """Each task's place and result as it is ready; a bounded number is under way at any time.

    When the caller goes away, or a task fails, what has not begun is given up.
    """
    pending: dict[Future[T], int] = {}
    following = iter(enumerate(tasks))
    try:
        while True:
            for k, task in following:
                pending[executor.submit(function, *task)] = k
                if len(pending) >= AHEAD * at_once or at_once == 1:
                    break
            if not pending:
                return
            done, _ = wait(pending, return_when=FIRST_COMPLETED)
            for future in sorted(done, key=pending.__getitem__):
                yield pending.pop(future), future.result()
    finally:
        for future in pending:
            future.cancel()

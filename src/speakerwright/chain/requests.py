"""What takes longer than a hand waits for: asked for, worked out elsewhere, kept under its key.

A request names a pure function at the top of a module and what it is given. It runs in a process of
its own, with progress and a way to stop it, or in this one with the same progress; what it gave is
kept in the project's work folder and read back without running.
"""

from __future__ import annotations

import contextlib
import os
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from speakerwright import __version__
from speakerwright.chain.store import Outcome, Store
from speakerwright.design.values import digest
from speakerwright.words.errors import DesignErrors

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.context import SpawnProcess

Tell = Callable[[float, str], None]
"""Says how far it is: a fraction from 0 to 1, and a short sentence of what is being done."""

PAUSE = 0.05
"""The least time between two messages of progress from another process, s: a rule of thumb."""

PATIENCE = 0.5
"""How long a stopped process may take to clear up before it is killed, s: a rule of thumb."""


class Cancelled(Exception):
    """It was stopped before it had a result."""


class Failed(Exception):
    """It could not be worked out; says why in a sentence. `trace` is for the log."""

    def __init__(self, says: str, trace: str = "") -> None:
        super().__init__(says)
        self.trace = trace


@dataclass(frozen=True)
class Progress:
    """How far it is (0 to 1), and what is being done."""

    fraction: float
    says: str


@dataclass(frozen=True, eq=False)
class Request:
    """Something slow to be worked out.

    Parameters
    ----------
    name : str
        A stable word of small letters, digits and underscores.
    version : int
        Counted up when the function comes to give something else for the same arguments.
    function : callable
        ``function(*arguments, tell=...) -> Outcome``: pure, and at the top of a module.
    arguments : tuple
        Each with a `key` that stands for all of it, like a design, or plain data.
    """

    name: str
    version: int
    function: Callable[..., Outcome]
    arguments: tuple[Any, ...] = ()

    @cached_property
    def key(self) -> str:
        """Digest of the function, its version and its arguments; TypeError for one without key."""
        given = [getattr(argument, "key", argument) for argument in self.arguments]
        where = f"{self.function.__module__}.{self.function.__qualname__}"
        return digest([self.name, where, self.version, __version__, given])

    def made(self, tell: Tell) -> Outcome:
        """Work it out, here and now."""
        return self.function(*self.arguments, tell=tell)


def _silent(_: float, __: str) -> None:
    pass


def recall(request: Request, store: Store | None) -> Outcome | None:
    """What is kept for a request; None when it must be worked out."""
    return None if store is None else store.read(request.name, request.key)


def run(request: Request, store: Store | None = None, tell: Tell = _silent) -> Outcome:
    """Work a request out in this process, or read back what is kept; keep what was made.

    Errors are those of the function; an interrupt by the keyboard ends it.
    """
    found = recall(request, store)
    if found is None:
        found = request.made(tell)
        if store is not None:
            store.write(request.name, request.key, found)
    return found


def start(request: Request, store: Store | None = None) -> Running:
    """Begin to work a request out in a process of its own; at once done when it is kept."""
    found = recall(request, store)
    running = Running(request)
    if found is not None:
        running._end(outcome=found)
    else:
        running._begin(store)
    return running


class Running:
    """A request being worked out in another process. Made by `start`."""

    def __init__(self, request: Request) -> None:
        self.request = request
        self._progress = Progress(0.0, "Starting.")
        self._outcome: Outcome | None = None
        self._error: Exception | None = None
        self._over = threading.Event()
        self._stopped = 0.0
        self._process: SpawnProcess | None = None
        self._lock = threading.Lock()

    @property
    def done(self) -> bool:
        """Whether it has ended, in whatever way; its process is gone then."""
        return self._over.is_set()

    def progress(self) -> Progress:
        """How far it is."""
        return self._progress

    def cancel(self) -> None:
        """End the process soon; nothing happens when it has ended."""
        with self._lock:
            if self.done or self._stopped or self._process is None:
                return
            self._stopped = time.monotonic()
            self._process.terminate()

    def result(self, timeout: float | None = None) -> Outcome:
        """Wait for the result.

        Raises `TimeoutError` when `timeout` (s) has passed, `Cancelled`, or `Failed`.
        """
        if not self._over.wait(timeout):
            raise TimeoutError
        if self._error is not None:
            raise self._error
        assert self._outcome is not None
        return self._outcome

    def _begin(self, store: Store | None) -> None:
        import multiprocessing

        spawn = multiprocessing.get_context("spawn")
        ours, theirs = spawn.Pipe(duplex=False)
        try:
            packed = _pickled((self.request, store))
            self._process = spawn.Process(target=_child, args=(theirs, packed), daemon=True,
                                          name=self.request.name)
            self._process.start()
        except Exception as error:  # what cannot be sent, or no process to be had
            ours.close()
            self._end(error=Failed(f"No other process can be given this: {error}."))
            return
        finally:
            theirs.close()
        threading.Thread(target=self._listen, args=(ours, self._process), daemon=True,
                         name=f"listens to {self.request.name}").start()

    def _listen(self, pipe: Connection, process: SpawnProcess) -> None:
        """Take what the process sends until it ends."""
        from multiprocessing import connection

        outcome: Outcome | None = None
        error: Exception | None = None
        with contextlib.suppress(EOFError, OSError), pipe:
            while True:
                if pipe.poll(0.1):
                    kind, *told = pipe.recv()
                    if kind == "progress":
                        self._heard(*told)
                    elif kind == "failed":
                        error = Failed(*told)
                    else:
                        outcome = told[0]
                elif self._stopped and time.monotonic() - self._stopped > PATIENCE:
                    with self._lock:
                        process.kill()
        connection.wait([process.sentinel], PATIENCE)
        with self._lock:  # so that no other thread signals a process that is gone
            if process.is_alive():
                process.kill()
            process.join()
        self._conclude(outcome, error, process.exitcode)
        process.close()

    def _heard(self, fraction: float, says: str) -> None:
        last = self._progress
        forward = max(last.fraction, fraction if 0.0 <= fraction <= 1.0 else 0.0)
        self._progress = Progress(forward, says)

    def _conclude(
        self, outcome: Outcome | None, error: Exception | None, status: int | None
    ) -> None:
        if outcome is not None:
            self._end(outcome=outcome)
        elif self._stopped:
            self._end(error=Cancelled())
        else:
            self._end(error=error or Failed(
                f"Its process ended without a result (status {status}); perhaps memory ran out."))

    def _end(self, *, outcome: Outcome | None = None, error: Exception | None = None) -> None:
        with self._lock:
            self._outcome, self._error = outcome, error
            self._process = None
            if outcome is not None:
                self._progress = Progress(1.0, "Done.")
            self._over.set()


# --- in the other process -------------------------------------------------------------------------


class _Stop(BaseException):
    """Raised where the process stands when it is told to end, so that it clears up."""


class _Sender:
    """Sends the newest progress, at most every `PAUSE`, so that no function can flood the pipe."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self._lock = threading.Lock()
        self._new = threading.Event()
        self._latest = (0.0, "")
        threading.Thread(target=self._run, daemon=True).start()

    def tell(self, fraction: float, says: str) -> None:
        self._latest = (float(fraction), str(says))
        self._new.set()

    def send(self, *message: Any) -> None:
        with self._lock, contextlib.suppress(OSError):  # nobody may listen any more
            self._pipe.send(message)

    def _run(self) -> None:
        while True:
            self._new.wait()
            self._new.clear()
            self.send("progress", *self._latest)
            time.sleep(PAUSE)


def _child(pipe: Connection, packed: bytes) -> None:
    """Work a request out and send what comes of it: the whole life of the other process."""
    import pickle

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the keyboard's interrupt is the parent's
    signal.signal(signal.SIGTERM, _stop)
    _end_with_the_parent()
    sender = _Sender(pipe)
    with contextlib.suppress(_Stop):
        try:
            request, store = pickle.loads(packed)  # from the parent, never from disk
            sender.send("done", run(request, store, sender.tell))
        except DesignErrors as error:
            sender.send("failed", " ".join(str(one) for one in error.errors))
        except Exception as error:
            sender.send("failed", *_own_fault(error))


def _stop(*_: Any) -> None:
    raise _Stop


def _own_fault(error: Exception) -> tuple[str, str]:
    import traceback

    says = (f"Speakerwright met a fault of its own ({type(error).__name__}) while it worked this "
            "out; the design may be fine. The log says more.")
    return says, "".join(traceback.format_exception(error))


def _end_with_the_parent() -> None:
    """See to it that the process does not outlive the one that asked."""
    from multiprocessing import connection, parent_process

    parent = parent_process()

    def watch() -> None:
        if parent is not None:
            connection.wait([parent.sentinel])
            os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def _pickled(value: Any) -> bytes:
    """For another process of ours only; a frozen view of a dict travels as the dict."""
    from multiprocessing.reduction import ForkingPickler

    ForkingPickler.register(MappingProxyType, _frozen_view)
    return bytes(ForkingPickler.dumps(value))


def _frozen_view(view: Any) -> tuple[Any, tuple[Any]]:
    return _viewed, (dict(view),)


def _viewed(entries: dict[str, Any]) -> Any:
    return MappingProxyType(entries)

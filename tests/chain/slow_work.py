"""Functions as they are asked for: at the top of a module that another process can import."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import numpy as np

from speakerwright.chain.store import Outcome
from speakerwright.words.errors import refuse


def squares(count, *, tell):
    for k in range(count):
        tell(k / count, f"Squaring {k}.")
    return Outcome({"count": count, "process": os.getpid()},
                   {"squares": np.arange(count, dtype=float) ** 2}, {"note.txt": b"squared"})


def lasting(mark, seconds, *, tell):
    """Leaves a mark, then lasts; clears up when it is stopped."""
    path = Path(mark)
    path.write_text(str(os.getpid()))
    try:
        for k in range(int(seconds / 0.02)):
            tell(0.02 * k / seconds, "Lasting.")
            time.sleep(0.02)
    finally:
        path.with_suffix(".cleared").touch()
    return Outcome({"lasted": seconds})


def deaf(mark, *, tell):
    """Will not be told to end."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    Path(mark).write_text(str(os.getpid()))
    tell(0.5, "Deaf.")
    time.sleep(60.0)
    return Outcome()


def refused(*, tell):
    raise refuse("bass.main.volume", "it is too small for this.", "Ask for more.")


def faulty(*, tell):
    return Outcome({"share": 1 / 0})


def gone(*, tell):
    os._exit(7)


def flooding(count, *, tell):
    for k in range(count):
        tell(k / count, f"Step {k} of {count}.")
    tell(float("nan"), "Nothing.")
    tell(0.1, "Going back.")
    return Outcome()

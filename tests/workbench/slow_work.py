"""A slow function as another process can import it."""

from __future__ import annotations

import time

from speakerwright.chain.requests import Request
from speakerwright.chain.store import Outcome


def counted(key, seconds, *, tell):
    for k in range(20):
        tell(k / 20, f"Counting {k}.")
        time.sleep(seconds / 20)
    if seconds < 0.01:
        return Outcome({"share": 1 / 0})
    return Outcome({"key": key})


def request_for(design, seconds=0.4):
    return Request("counted", 1, counted, (design.key, seconds))

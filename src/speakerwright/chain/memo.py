"""Results under their keys: one bounded memo that looks at keys only."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

from speakerwright import __version__
from speakerwright.design.values import digest

T = TypeVar("T")


class Memo:
    """Results under their keys, the least recently used given up first; counts its calls.

    Threads may share it. What two of them ask for at once is made twice, and both get the one that
    was ready first.
    """

    def __init__(self, most: int = 256) -> None:
        self.most = most
        self.kept: OrderedDict[str, Any] = OrderedDict()
        self.calls: dict[str, int] = {}
        self._lock = threading.Lock()

    def get(self, function: str, key: Any, make: Callable[[], T]) -> T:
        """The result for a key, made once."""
        full = digest([function, __version__, key])
        with self._lock:
            if full in self.kept:
                self.kept.move_to_end(full)
                found: T = self.kept[full]
                return found
            self.calls[function] = self.calls.get(function, 0) + 1
        made = make()  # not under the lock: making one result may ask for another
        with self._lock:
            made = self.kept.setdefault(full, made)
            self.kept.move_to_end(full)
            while len(self.kept) > self.most:
                self.kept.popitem(last=False)
        return made


MEMO = Memo()

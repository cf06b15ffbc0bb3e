"""Results under their keys: one bounded memo that looks at keys only."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

from speakerwright import __version__
from speakerwright.design.values import digest

T = TypeVar("T")


class Memo:
    """Results under their keys, the least recently used given up first; counts its calls."""

    def __init__(self, most: int = 256) -> None:
        self.most = most
        self.kept: OrderedDict[str, Any] = OrderedDict()
        self.calls: dict[str, int] = {}

    def get(self, function: str, key: Any, make: Callable[[], T]) -> T:
        """The result for a key, made once."""
        full = digest([function, __version__, key])
        if full in self.kept:
            self.kept.move_to_end(full)
            found: T = self.kept[full]
            return found
        self.calls[function] = self.calls.get(function, 0) + 1
        made = make()
        self.kept[full] = made
        if len(self.kept) > self.most:
            self.kept.popitem(last=False)
        return made


MEMO = Memo()

"""What a search has done so far, as plain data that can be kept and taken up again."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.bass.search.full import Full
from speakerwright.bass.search.screen import Picked

Arrays = Mapping[str, NDArray[Any]]
Read = Callable[[], "tuple[Mapping[str, Any], Arrays] | None"]
Write = Callable[[Mapping[str, Any], Arrays], object]

EVERY = 2.0
"""How often what is done is kept, s: a rule of thumb."""


@dataclass(frozen=True)
class Keeping:
    """Where a search keeps what it has done: how to read it back, and how to write it."""

    read: Read
    write: Write


@dataclass
class Part:
    """Chunks screened, by their place, and candidates worked out in full, by their number."""

    picked: dict[int, Picked] = field(default_factory=dict)
    fulls: dict[int, Full] = field(default_factory=dict)

    def plain(self) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
        """All of it as plain data and arrays."""
        chunks = [self.picked[k] for k in sorted(self.picked)]
        data = {
            "nearest": [[p.chunk, p.nearest, p.nearest_short_db, len(p.numbers)] for p in chunks],
            "fulls": [[f.number, list(f.values), f.off, list(f.fails), f.port_length]
                      for _, f in sorted(self.fulls.items())],
        }
        empty = [np.empty((0, 4))]
        arrays: dict[str, NDArray[Any]] = {
            "numbers": np.concatenate([np.empty(0, dtype=np.int64), *(p.numbers for p in chunks)]),
            "values": np.concatenate(empty + [p.values for p in chunks]),
            "widths": np.concatenate(empty + [p.widths for p in chunks]),
            "sure": np.concatenate([np.empty(0, dtype=bool), *(p.sure for p in chunks)]),
        }
        return data, arrays

    @classmethod
    def read(cls, data: Mapping[str, Any], arrays: Arrays) -> Part:
        """What `plain` gave; raises KeyError, TypeError or ValueError for anything else."""
        made, start = cls(), 0
        for chunk, nearest, short_db, count in data["nearest"]:
            stop = start + int(count)
            numbers, values, widths, sure = (
                arrays[name][start:stop] for name in ("numbers", "values", "widths", "sure"))
            if len(numbers) != count:
                raise ValueError("some candidates are missing")
            made.picked[int(chunk)] = Picked(
                int(chunk), numbers, values, widths, sure, int(nearest), float(short_db))
            start = stop
        for number, values, off, fails, length in data["fulls"]:
            cost, size, reach, headroom = (float(value) for value in values)
            made.fulls[int(number)] = Full(
                int(number), (cost, size, reach, headroom), str(off), tuple(map(str, fails)),
                None if length is None else float(length))
        return made

    def fits(self, candidates: int, chunks: int) -> bool:
        """Whether it can be of a space of so many candidates in so many chunks."""
        named = [*self.fulls, *(p.nearest for p in self.picked.values())]
        for found in self.picked.values():
            named += found.numbers.tolist()
        return all(0 <= k < chunks for k in self.picked) and all(
            0 <= number < candidates for number in named)


class Keeper:
    """Keeps a part from time to time, and at the end.

    What was kept is taken up where it can be of a space of `candidates` in `chunks`.
    """

    def __init__(self, keeping: Keeping | None, candidates: int, chunks: int) -> None:
        self._keeping, self.part = keeping, Part()
        self._last, self._new = time.monotonic(), False
        found = None if keeping is None else keeping.read()
        if found is not None:
            try:
                part = Part.read(*found)
            except (KeyError, TypeError, ValueError):
                return
            if part.fits(candidates, chunks):
                self.part = part

    def told(self) -> None:
        """Something was added."""
        self._new = True
        if time.monotonic() - self._last > EVERY:
            self.keep()

    def keep(self) -> None:
        """Keep what is there now."""
        if self._keeping is not None and self._new:
            self._keeping.write(*self.part.plain())
            self._new = False
        self._last = time.monotonic()

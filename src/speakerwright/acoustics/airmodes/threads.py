"""One thread for the dense parts of sparse solves: many small products, which threads only slow.

Measured on two busy cores: eight complex solves of 4,000 unknowns took 0.4 s of processor time
with one thread and 3 to 26 s with two, which wait for each other.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

_NAMES = tuple(tuple(f"scipy_openblas_{way}_num_threads{end}" for way in ("get", "set"))
               for end in ("", "64_"))


@contextmanager
def one_thread() -> Iterator[None]:
    """While it lasts, numpy's and scipy's linear algebra uses one thread, in the whole process.

    Nothing changes where they were built on another library.
    """
    before = [(setter, int(getter())) for getter, setter in _switches()]
    for setter, _ in before:
        setter(1)
    try:
        yield
    finally:
        for setter, count in before:
            setter(count)


@lru_cache(maxsize=1)
def _switches() -> tuple[tuple[Any, Any], ...]:
    """What reads and sets the number of threads of the libraries that wheels carry beside them."""
    import numpy as np
    import scipy.linalg

    found = []
    for package in (Path(np.__file__).parents[1] / "numpy.libs",
                    Path(scipy.linalg.__file__).parents[2] / "scipy.libs"):
        for path in sorted(package.glob("libscipy_openblas*")):
            try:
                library = ctypes.CDLL(str(path))
            except OSError:
                continue
            found += [(getattr(library, getter), getattr(library, setter))
                      for getter, setter in _NAMES
                      if hasattr(library, getter) and hasattr(library, setter)]
    return tuple(found)

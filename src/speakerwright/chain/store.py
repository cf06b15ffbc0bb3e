"""Slow results in the project's work folder, each a file of plain data under its key.

A folder may come from a stranger: nothing that is read here can run, names no other file, and
unpacks to more than its bound. Every file may be deleted at any time.
"""

from __future__ import annotations

import contextlib
import io
import json
import math
import os
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.design.file import write_bytes
from speakerwright.words.errors import DesignErrors

WORK = ".work"
RESULTS = "results"
FORMAT = 1
LARGEST = 200_000_000
"""Bytes of one result when it is unpacked; a larger one is neither kept nor read."""

_FILE = re.compile(r"[a-z0-9_]{1,60}-[0-9a-f]{32}\.npz")
_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_.-]{0,79}")
_KINDS = "biufc"


@dataclass(frozen=True, eq=False)
class Outcome:
    """What a slow function gives: plain data that can be kept.

    `data` is what JSON can hold, `arrays` are numeric and become read-only, `files` are bytes.
    Names of arrays and files are of letters, digits, points, dashes and underscores.
    """

    data: Mapping[str, Any] = field(default_factory=dict)
    arrays: Mapping[str, NDArray[Any]] = field(default_factory=dict)
    files: Mapping[str, bytes] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for array in self.arrays.values():
            array.setflags(write=False)


@dataclass(frozen=True)
class Store:
    """A project's kept results, bounded in number and in bytes; the longest unused goes first.

    Parameters
    ----------
    folder : Path
        The project's folder.
    most, most_bytes : int
        How many results are kept, and how many bytes they may take on disk.
    """

    folder: Path
    most: int = 40
    most_bytes: int = 400_000_000

    def read(self, name: str, key: str) -> Outcome | None:
        """The result kept under a name and a key; None where there is none that can be trusted."""
        path = self._path(name, key)
        try:
            if path.is_symlink() or not path.is_file() or not self._inside():
                return None
            if path.stat().st_size > LARGEST:
                return None
            with zipfile.ZipFile(path) as packed:
                outcome = _unpacked(packed, name, key)
        except Exception:  # torn or foreign: of any kind, and only to be passed over
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return outcome

    def write(self, name: str, key: str, outcome: Outcome) -> bool:
        """Keep a result, whole or not at all; False where the folder takes none."""
        path = self._path(name, key)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            if not self._inside():
                return False
            data = _packed(outcome, name, key)
            if len(data) > min(LARGEST, self.most_bytes):
                return False
            write_bytes(path, data)
        except (OSError, DesignErrors):
            return False
        self._prune()
        return True

    def _path(self, name: str, key: str) -> Path:
        label = f"{name}-{key}.npz"
        if not _FILE.fullmatch(label):
            raise ValueError(f"no result can be kept as {label!r}")
        return self.folder / WORK / RESULTS / label

    def _inside(self) -> bool:
        """Whether the work folder is really in the project, and no link out of it."""
        there = (self.folder / WORK / RESULTS).resolve()
        return there.is_relative_to(self.folder.resolve())

    def _prune(self) -> None:
        found = []
        with contextlib.suppress(OSError):
            for path in (self.folder / WORK / RESULTS).iterdir():
                if _FILE.fullmatch(path.name):
                    about = path.lstat()
                    found.append((about.st_mtime_ns, about.st_size, path))
        total = 0
        for k, (_, size, path) in enumerate(sorted(found, reverse=True)):
            total += size
            if k >= self.most or total > self.most_bytes:
                with contextlib.suppress(OSError):
                    path.unlink()


def _packed(outcome: Outcome, name: str, key: str) -> bytes:
    """A result as the bytes of one zip file, in which arrays are as numpy's own format has them."""
    parts: dict[str, bytes] = {}
    for label, array in outcome.arrays.items():
        if array.dtype.kind not in _KINDS:
            raise ValueError(f"{label} is no array of numbers")
        held = io.BytesIO()
        np.lib.format.write_array(held, array, version=(1, 0), allow_pickle=False)
        parts[f"arrays/{_checked(label)}.npy"] = held.getvalue()
    for label, data in outcome.files.items():
        parts[f"files/{_checked(label)}"] = data
    about = {"format": FORMAT, "name": name, "key": key, "data": outcome.data}
    parts["about.json"] = json.dumps(about, allow_nan=True).encode()
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as packed:
        for label, data in parts.items():
            packed.writestr(zipfile.ZipInfo(label), data, zipfile.ZIP_DEFLATED, 1)
    return held.getvalue()


def _checked(label: str) -> str:
    if not _NAME.fullmatch(label):
        raise ValueError(f"{label!r} is no name for a part of a result")
    return label


def _unpacked(packed: zipfile.ZipFile, name: str, key: str) -> Outcome | None:
    members = packed.infolist()
    if sum(member.file_size for member in members) > LARGEST:
        return None
    about = json.loads(packed.read("about.json"))
    if (about["format"], about["name"], about["key"]) != (FORMAT, name, key):
        return None
    arrays, files = {}, {}
    for member in members:
        kind, _, label = member.filename.partition("/")
        if kind == "arrays":
            arrays[_checked(label.removesuffix(".npy"))] = _array(packed.read(member))
        elif kind == "files":
            files[_checked(label)] = packed.read(member)
    if not isinstance(about["data"], dict):
        return None
    return Outcome(about["data"], arrays, files)


def _array(data: bytes) -> NDArray[Any]:
    """An array of numbers whose head promises exactly what follows it."""
    held = io.BytesIO(data)
    if np.lib.format.read_magic(held) != (1, 0):
        raise ValueError("another version of the array format")
    shape, columns_first, kind = np.lib.format.read_array_header_1_0(held)
    if kind.kind not in _KINDS or kind.itemsize * math.prod(shape) != len(data) - held.tell():
        raise ValueError("the array is not what its head says")
    flat = np.frombuffer(held.read(), dtype=kind)
    return flat.reshape(shape, order="F" if columns_first else "C")

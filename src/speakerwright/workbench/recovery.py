"""Edits that are not saved yet, kept in the project's work folder: no restart loses them."""

from __future__ import annotations

import contextlib
import datetime
import json
import os
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from speakerwright.design.file import still_runs, write_text
from speakerwright.words.errors import DesignErrors

WORK = ".work"
_NAME = re.compile(r"session-([A-Za-z0-9-]{1,80})\.json")


@dataclass(frozen=True)
class Left:
    """Unsaved edits that an earlier tab left: its name, when, and the changes by path."""

    name: str
    when: datetime.datetime
    changes: Mapping[str, Any]


def keep(folder: Path, name: str, changes: Mapping[str, Any]) -> bool:
    """Keep unsaved edits under a tab's name, or clear them when there are none; whether it went."""
    path = _path(folder, name)
    try:
        if not changes:
            path.unlink(missing_ok=True)
            return True
        path.parent.mkdir(exist_ok=True)
        data = {"format": 1, "process": os.getpid(),
                "changes": [[where, _plain(value)] for where, value in changes.items()]}
        write_text(path, json.dumps(data, ensure_ascii=False, indent=1))
    except (OSError, DesignErrors):  # a folder that cannot be written keeps nothing, and says so
        return False
    return True


def left(folder: Path, live: Collection[str] = ()) -> tuple[Left, ...]:
    """What earlier tabs left, the newest first; not what a running one is at work on."""
    found = []
    with contextlib.suppress(OSError):
        for path in (folder / WORK).iterdir():
            match = _NAME.fullmatch(path.name)
            one = None if match is None or match[1] in live else read(folder, match[1])
            if one is not None:
                found.append(one)
    return tuple(sorted(found, key=lambda each: each.when, reverse=True))


def read(folder: Path, name: str, *, mine: bool = False) -> Left | None:
    """One tab's unsaved edits; None where there are none, or another running process has them."""
    path = _path(folder, name)
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        process = int(data["process"])
        if not mine and process != os.getpid() and still_runs(process):
            return None
        changes = {str(where): _toml(value) for where, value in data["changes"]}
        when = datetime.datetime.fromtimestamp(path.stat().st_mtime)
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return Left(name, when, changes) if changes else None


def forget(folder: Path, name: str) -> None:
    """Throw away what one tab left."""
    with contextlib.suppress(OSError):
        _path(folder, name).unlink(missing_ok=True)


def _path(folder: Path, name: str) -> Path:
    return folder / WORK / f"session-{name}.json"


def _plain(value: Any) -> Any:
    if isinstance(value, datetime.date):
        return {"a date": value.isoformat()}
    if isinstance(value, Mapping):
        return {name: _plain(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [_plain(inner) for inner in value]
    return value


def _toml(value: Any) -> Any:
    if isinstance(value, dict):
        if set(value) == {"a date"}:
            return datetime.date.fromisoformat(value["a date"])
        return {name: _toml(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [_toml(inner) for inner in value]
    return value

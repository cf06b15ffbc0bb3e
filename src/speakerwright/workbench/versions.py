"""Named versions of a design with its records, each one file in the project's work folder."""

from __future__ import annotations

import contextlib
import datetime
import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from speakerwright.design.document import Design
from speakerwright.design.file import Project, TextFile, write_text
from speakerwright.design.migrate import migrated, migrated_record
from speakerwright.design.patch import patched
from speakerwright.words.errors import refuse
from speakerwright.workbench.recovery import WORK

VERSIONS = "versions"
_NAME = re.compile(r"[\w()+,-](?:[\w()+,. -]{0,58}[\w()+,-])?")


@dataclass(frozen=True)
class Version:
    """A version by its name, and when it was made."""

    name: str
    made: datetime.datetime


def found(folder: Path) -> tuple[Version, ...]:
    """All versions, the newest first."""
    every = []
    with contextlib.suppress(OSError):
        for path in (folder / WORK / VERSIONS).iterdir():
            if path.suffix == ".toml" and _NAME.fullmatch(path.stem):
                made = datetime.datetime.fromtimestamp(path.stat().st_mtime)
                every.append(Version(path.stem, made))
    return tuple(sorted(every, key=lambda version: (version.made, version.name), reverse=True))


def free_name(folder: Path, wish: str) -> str:
    """The name wished for, with a number where it is taken."""
    name, k = wish, 2
    while _path(folder, name).exists():
        name, k = f"{wish} {k}", k + 1
    return name


def keep(project: Project, design: Design, name: str) -> None:
    """Write a version: the texts as a save would write them.

    Raises `DesignErrors` when the name is taken or none, or the file cannot be written.
    """
    if not _NAME.fullmatch(name):
        raise refuse("version", "this is no name for a version.",
                     "Use letters, digits, spaces and hyphens, up to 60.")
    path = _path(project.folder, name)
    if path.exists():
        raise refuse("version", f"there is a version '{name}' already.", "Choose another name.")
    lines = [f"design = {_quoted(_text(project.file, design.raw))}", "", "[records]"]
    lines += [f"{_quoted(record)} = {_quoted(_text(file, design.raw_records[record]))}"
              for record, file in project.records.items()]
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        says = f"the folder for versions cannot be made: {(error.strerror or '').lower()}."
        raise refuse("version", says, "Nothing was written.") from None
    write_text(path, "\n".join(lines) + "\n", where=f"version '{name}'")


def read(folder: Path, name: str) -> tuple[dict[str, Any], dict[str, tuple[str, dict[str, Any]]]]:
    """A version's parsed design, and its records as text and parsed; raises `DesignErrors`."""
    try:
        data = tomllib.loads(_path(folder, name).read_text(encoding="utf-8"))
        raw = migrated(tomllib.loads(data["design"]))
        records = {record: (text, migrated_record(tomllib.loads(text)))
                   for record, text in data["records"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        raise refuse("version", f"the version '{name}' cannot be read.",
                     f"Look into {WORK}/{VERSIONS}.") from None
    return raw, records


def _path(folder: Path, name: str) -> Path:
    return folder / WORK / VERSIONS / f"{name}.toml"


def _text(file: TextFile, raw: Mapping[str, Any]) -> str:
    return patched(file.text, tomllib.loads(file.text), raw, file.path.name)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")

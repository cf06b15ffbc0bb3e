"""The project folder on disk: read once, patched where a value changed, written whole or not.

The text on disk and the design are two objects. Saving changes only the values that differ, in the
unit and manner in which they were written, and keeps every other byte.
"""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path
from typing import Any

from speakerwright.design.document import Decided, Design
from speakerwright.design.migrate import migrated
from speakerwright.design.patch import patched
from speakerwright.design.records import Record
from speakerwright.words.errors import DesignError, DesignErrors, refuse

DESIGN = "design.toml"
RECORDS = "records"
LARGEST = 1_000_000  # bytes of one text file


@dataclass(frozen=True)
class TextFile:
    """One file as it was read: where, its text, and the digest of its bytes."""

    path: Path
    text: str
    digest: str


@dataclass(frozen=True, eq=False)
class Project:
    """A folder as it was read: the design file, the records, and the design they make."""

    folder: Path
    file: TextFile
    records: Mapping[str, TextFile]
    design: Design


def read_project(folder: Path) -> Project:
    """Read a project folder (or the path of its design file).

    Raises `DesignErrors` with everything that is wrong in any of its files.
    """
    folder = Path(folder)
    if folder.name == DESIGN and not folder.is_dir():
        folder = folder.parent
    if not folder.exists():
        raise refuse(str(folder), "there is no such folder.", "Check the path.")
    if not folder.is_dir():
        raise refuse(str(folder), "it is not a project folder.", f"Name the folder of {DESIGN}.")
    errors: list[DesignError] = []
    file = _text(folder / DESIGN, DESIGN, errors)
    raw = _toml(file, DESIGN, errors)
    records, raw_records = {}, {}
    for path in _record_paths(folder / RECORDS, errors):
        where = f"{RECORDS}/{path.name}"
        text = _text(path, where, errors)
        parsed = _toml(text, where, errors)
        if text is not None and parsed is not None:
            records[path.stem], raw_records[path.stem] = text, parsed
    if raw is not None:
        try:
            design = Design.read(migrated(raw), raw_records)
        except DesignErrors as more:
            errors += more.errors
    if errors:
        raise DesignErrors(errors)
    assert file is not None
    return Project(folder, file, records, design)


def _record_paths(folder: Path, errors: list[DesignError]) -> list[Path]:
    try:
        if not folder.exists():
            return []
        return sorted(path for path in folder.iterdir() if path.suffix == ".toml")
    except OSError as error:
        errors.append(DesignError(RECORDS, _reason(error), "Check the folder."))
        return []


def _reason(error: OSError) -> str:
    names: dict[type[OSError], str] = {
        FileNotFoundError: "there is no such file.",
        PermissionError: "reading or writing it is not permitted.",
        IsADirectoryError: "it is a folder, not a file.",
        NotADirectoryError: "part of its path is a file, not a folder.",
    }
    for kind, says in names.items():
        if isinstance(error, kind):
            return says
    if isinstance(error, OSError) and error.errno == 40:  # ELOOP
        return "it is a link that leads to itself."
    return f"the system says: {(error.strerror or 'it cannot be read').lower()}."


def _text(path: Path, where: str, errors: list[DesignError]) -> TextFile | None:
    try:
        if path.is_dir():
            raise IsADirectoryError
        if path.exists() and not path.is_file():
            errors.append(DesignError(where, "it is not a plain file.", "Name a text file."))
            return None
        if path.stat().st_size > LARGEST:
            errors.append(DesignError(where, "it is larger than 1 MB.", "Is it a design file?"))
            return None
        data = path.read_bytes()
    except OSError as error:
        hint = "Make one with 'speakerwright new'." if where == DESIGN else "Check the file."
        errors.append(DesignError(where, _reason(error), hint))
        return None
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        errors.append(
            DesignError(where, f"it is not UTF-8 text (line {line}).", "Save it as UTF-8.")
        )
        return None
    if text.startswith("\ufeff"):
        errors.append(DesignError(where, "it starts with a byte order mark.", "Save without it."))
        return None
    return TextFile(path, text, _digest(data))


def _digest(data: bytes) -> str:
    return blake2b(data, digest_size=16).hexdigest()


def _toml(file: TextFile | None, where: str, errors: list[DesignError]) -> dict[str, Any] | None:
    if file is None:
        return None
    try:
        return tomllib.loads(file.text)
    except tomllib.TOMLDecodeError as error:
        errors.append(DesignError(where, f"it is not valid TOML: {_say(error)}.", "Mend it there."))
    except RecursionError:
        errors.append(DesignError(where, "it is nested too deeply.", "Flatten it."))
    except ValueError as error:
        errors.append(DesignError(where, f"it holds a value out of range: {error}.", "Mend it."))
    return None


def _say(error: tomllib.TOMLDecodeError) -> str:
    text = str(error)
    return text[:1].lower() + text[1:].rstrip(".")


def save(project: Project, design: Design) -> Project:
    """Write the values that changed and return the project as it now stands on disk.

    Raises `DesignErrors`, and writes nothing at all, when a file changed underneath, cannot be
    written, or cannot be patched faithfully.
    """
    writes = dict(_changes(project, design))
    errors = [problem for file in writes for problem in _moved(file, project)]
    if errors:
        raise DesignErrors(errors)
    for file, text in writes.items():
        write_text(file.path, text, where=_where(file, project))
    return read_project(project.folder) if writes else project


def _changes(project: Project, design: Design) -> Iterator[tuple[TextFile, str]]:
    before = project.design
    text = patched(project.file.text, before.raw, design.raw, Decided, DESIGN)
    if text != project.file.text:
        yield project.file, text
    for name, file in project.records.items():
        where = f"{RECORDS}/{file.path.name}"
        text = patched(
            file.text, before.raw_records[name], design.raw_records[name], Record, where
        )
        if text != file.text:
            yield file, text


def _where(file: TextFile, project: Project) -> str:
    return str(file.path.relative_to(project.folder))


def _moved(file: TextFile, project: Project) -> Iterator[DesignError]:
    try:
        now = _digest(file.path.read_bytes())
    except OSError as error:
        yield DesignError(_where(file, project), _reason(error), "Nothing was written.")
        return
    if now != file.digest:
        yield DesignError(
            _where(file, project), "it was changed by someone else since it was read.",
            "Nothing was written; read it again and repeat your change.",
        )


def write_text(path: Path, text: str, *, where: str = "") -> None:
    """Write a text file whole or not at all (see `write_bytes`)."""
    write_bytes(path, text.encode("utf-8"), where=where)


def write_bytes(path: Path, data: bytes, *, where: str = "") -> None:
    """Write a file whole or not at all: beside it, flushed to disk, then renamed over it.

    A link is followed, so the file it leads to is replaced. Raises `DesignErrors`.
    """
    try:
        target = path.resolve()
        mode = target.stat().st_mode & 0o777 if target.exists() else 0o644
        if target.exists() and not os.access(target, os.W_OK):
            raise PermissionError
        handle, beside = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            Path(beside).chmod(mode)
            Path(beside).replace(target)
        except BaseException:
            Path(beside).unlink(missing_ok=True)
            raise
    except (OSError, RuntimeError) as error:
        reason = _reason(error) if isinstance(error, OSError) else "it is a link to itself."
        raise refuse(where or str(path), reason, "Nothing was written.") from None

"""The project folder on disk: read once, patched where a value changed, written whole or not.

The text on disk and the design are two objects. Saving changes only the values that differ, in the
unit and manner in which they were written, and keeps every other byte.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import tempfile
import time
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path
from typing import Any

from speakerwright.design.complaints import shown_path
from speakerwright.design.document import Design, checked_records
from speakerwright.design.migrate import migrated, migrated_record
from speakerwright.design.patch import patched, same
from speakerwright.design.values import too_deep
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
    folder = _project_folder(Path(folder))
    errors: list[DesignError] = []
    file = _text(folder / DESIGN, DESIGN, errors)
    raw = _toml(file, DESIGN, errors)
    records, raw_records, unread = {}, {}, []
    for path in _record_paths(folder / RECORDS, errors):
        where = f"{RECORDS}/{path.name}"
        text = _text(path, where, errors)
        parsed = _record(_toml(text, where, errors), path.stem, errors)
        if text is not None and parsed is not None:
            records[path.stem], raw_records[path.stem] = text, parsed
        else:
            unread.append(path.stem)
    try:
        if raw is not None:
            design = Design.read(migrated(raw), raw_records, unread)
        else:
            checked_records(raw_records, errors)
    except DesignErrors as more:
        errors += more.errors
    if errors:
        raise DesignErrors(errors)
    assert file is not None
    return Project(folder, file, records, design)


def _project_folder(folder: Path) -> Path:
    try:
        if folder.name == DESIGN and not folder.is_dir():
            folder = folder.parent
        if folder.is_dir():
            return folder
        there = folder.exists()
    except (OSError, ValueError) as error:
        says = _reason(error) if isinstance(error, OSError) else "no path can hold this."
        raise refuse(shortened(folder), says, "Check the path.") from None
    if there:
        says = "it is not a project folder."
        raise refuse(shortened(folder), says, f"Name the folder of {DESIGN}.")
    raise refuse(shortened(folder), "there is no such folder.", "Check the path.")


def shortened(path: Path) -> str:
    """A path for one line of an error: printable, and cut in the middle when it is very long."""
    text = str(path)
    text = text if text.isprintable() else ascii(text)
    return text if len(text) <= 200 else f"{text[:80]}...{text[-80:]}"


def _record_paths(folder: Path, errors: list[DesignError]) -> list[Path]:
    try:
        if not folder.exists():
            return []
        return sorted(
            path for path in folder.iterdir()
            if path.suffix == ".toml" and not path.name.startswith(".")
        )
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
    if error.errno == errno.ELOOP:
        return "it is a link that leads to itself."
    if error.errno == errno.ENAMETOOLONG:
        return "its name is too long."
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
        gone = where == DESIGN and isinstance(error, FileNotFoundError)
        hint = "Make one with 'speakerwright new'." if gone else "Check the file."
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
        raw = tomllib.loads(file.text)
        if not too_deep(raw):
            return raw
        errors.append(DesignError(where, "it is nested too deeply.", "Flatten it."))
    except tomllib.TOMLDecodeError as error:
        errors.append(DesignError(where, f"it is not valid TOML: {_say(error)}.", "Mend it there."))
    except RecursionError:
        errors.append(DesignError(where, "it is nested too deeply.", "Flatten it."))
    except ValueError:  # a date that no calendar has, or a number of thousands of digits
        errors.append(DesignError(where, "it holds a date or number out of range.", "Mend it."))
    return None


def _record(
    raw: dict[str, Any] | None, name: str, errors: list[DesignError]
) -> dict[str, Any] | None:
    """A record in the present format."""
    if raw is None:
        return None
    try:
        return migrated_record(raw, shown_path([RECORDS, name, "format"]))
    except DesignErrors as more:
        errors += more.errors
        return None


def _say(error: tomllib.TOMLDecodeError) -> str:
    text = str(error)
    text = text if text.isprintable() else ascii(text)[1:-1]
    return (text[:1].lower() + text[1:].rstrip("."))[:200]


def save(project: Project, design: Design) -> Project:
    """Write the values that changed and return the project as it now stands on disk.

    Raises `DesignErrors`, and writes nothing at all, when a file changed underneath, cannot be
    written, or cannot be patched faithfully.
    """
    writes = dict(_changes(project, design))
    errors = [problem for file in writes for problem in _moved(file, project)]
    if errors:
        raise DesignErrors(errors)
    replace_all([(file.path, text.encode("utf-8"), _where(file, project))
                 for file, text in writes.items()])
    new = {file.path: TextFile(file.path, text, _digest(text.encode("utf-8")))
           for file, text in writes.items()}
    return Project(
        project.folder,
        new.get(project.file.path, project.file),
        {name: new.get(file.path, file) for name, file in project.records.items()},
        design,
    )


def _changes(project: Project, design: Design) -> Iterator[tuple[TextFile, str]]:
    before = project.design
    asked = [(project.file, before.raw, design.raw)]
    asked += [(file, before.raw_records[name], design.raw_records[name])
              for name, file in project.records.items()]
    for file, old, new in asked:
        if same(old, new):
            continue
        # against what stands there, so that a file of an older format is brought along
        text = patched(file.text, tomllib.loads(file.text), new, _where(file, project))
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
    """Write a text file whole or not at all (see `replace_all`)."""
    write_bytes(path, text.encode("utf-8"), where=where)


def write_bytes(path: Path, data: bytes, *, where: str = "") -> None:
    """Write one file whole or not at all (see `replace_all`)."""
    replace_all([(path, data, where)])


def replace_all(writes: Sequence[tuple[Path, bytes, str]]) -> None:
    """Write files (path, bytes, name for errors), each whole or not at all, or none of them.

    All are first written beside their places and flushed to disk, then renamed into them. A link
    is followed, so the file it leads to is replaced. What a killed save left behind is swept up.
    Raises `DesignErrors`.
    """
    ready: list[tuple[Path, Path]] = []
    where = ""
    try:
        for path, data, name in writes:
            where = name or shortened(path)
            ready.append(_beside(path, data))
        for beside, target in ready:
            beside.replace(target)
    except (OSError, RuntimeError) as error:
        reason = _reason(error) if isinstance(error, OSError) else "it is a link to itself."
        raise refuse(where, reason, "Nothing was written.") from None
    finally:
        for beside, _ in ready:
            beside.unlink(missing_ok=True)


def _beside(path: Path, data: bytes) -> tuple[Path, Path]:
    """The bytes in a hidden file beside their place, on disk; that file and the place."""
    target = path.resolve()
    if target.is_dir():
        raise IsADirectoryError
    there = target.exists()
    if there and not os.access(target, os.W_OK):
        raise PermissionError
    _sweep(target)
    handle, name = tempfile.mkstemp(
        prefix=f".{target.name}.{os.getpid()}.", suffix=".part", dir=target.parent
    )
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        beside.chmod(target.stat().st_mode & 0o777 if there else 0o644)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    return beside, target


def _sweep(target: Path) -> None:
    """Take away what earlier, killed saves of this file left beside it."""
    left = re.compile(rf"\.{re.escape(target.name)}\.(\d+)\.[a-z0-9_]{{8}}\.part")
    with contextlib.suppress(OSError):  # another save may sweep at the same time
        for path in target.parent.iterdir():
            match = left.fullmatch(path.name)
            if match is not None and not _at_it(int(match[1]), path):
                path.unlink(missing_ok=True)


def _at_it(process: int, path: Path) -> bool:
    """Whether the process that writes this file may still be at it."""
    runs = still_runs(process)
    if runs is None:  # a save takes far less than a minute
        return time.time() - path.stat().st_mtime < 60.0
    return runs


def still_runs(process: int) -> bool | None:
    """Whether a process of this number runs; None where there is no harmless way to ask."""
    if process == os.getpid():
        return True
    if os.name != "posix":
        return None
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True

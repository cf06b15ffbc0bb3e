"""A new record beside a design: checked as text, written as a file of its own, taken in."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from hashlib import blake2b
from pathlib import Path
from typing import Any

from speakerwright.design.document import Design, checked_records
from speakerwright.design.file import RECORDS, TextFile, write_text
from speakerwright.design.migrate import migrated_record
from speakerwright.words.errors import DesignError, DesignErrors, refuse

_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")


def file_name(wish: str) -> str:
    """A record's file name made of a name: small letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", wish.casefold()).strip("-")[:60].strip("-")


def checked(name: str, text: str, design: Design) -> dict[str, Any]:
    """The parsed text of a new record; raises `DesignErrors` with everything wrong with it."""
    where = f"{RECORDS}.{name}"
    if not _NAME.fullmatch(name):
        raise refuse(where, "this is no name for a record.",
                     "Use small letters, digits and hyphens.")
    if name in design.raw_records:
        raise refuse(where, f"there is a record '{name}' already.", "Choose another name.")
    try:
        raw = migrated_record(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        says = f"it is not valid TOML: {said[:1].lower()}{said[1:]}."
        raise refuse(where, says, "Mend it there.") from None
    except (ValueError, RecursionError):
        raise refuse(where, "it cannot be read.", "Look for odd dates or numbers.") from None
    errors: list[DesignError] = []
    checked_records({name: raw}, errors)
    if errors:
        raise DesignErrors(errors)
    return raw


def write(
    folder: Path, name: str, text: str, design: Design
) -> tuple[TextFile, dict[str, Any]]:
    """Check and write a new record's file; the file as it would be read, and what it says."""
    raw = checked(name, text, design)
    path = folder / RECORDS / f"{name}.toml"
    if path.exists() or path.is_symlink():
        raise refuse(f"{RECORDS}.{name}", "there is a file of this name already.",
                     "Choose another name, or read the folder again.")
    try:
        path.parent.mkdir(exist_ok=True)
    except OSError as error:
        says = f"the folder of records cannot be made: {(error.strerror or '').lower()}."
        raise refuse(RECORDS, says, "Nothing was written.") from None
    text = text if text.endswith("\n") else f"{text}\n"
    write_text(path, text, where=f"{RECORDS}/{name}.toml")
    digest = blake2b(text.encode("utf-8"), digest_size=16).hexdigest()
    return TextFile(path, text, digest), raw


def with_record(design: Design, name: str, raw: Mapping[str, Any]) -> Design:
    """The design with one more record beside it."""
    return Design.read(design.raw, {**design.raw_records, name: raw})

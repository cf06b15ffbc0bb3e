"""The design as it is decided: one frozen model of the file, with the records it names."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Any

from pydantic import Field, ValidationError

from speakerwright.design.complaints import kind_at, sentences, shown_path
from speakerwright.design.crossing import crossing, did_you_mean
from speakerwright.design.patch import as_written
from speakerwright.design.records import Record
from speakerwright.design.sections.bass import BassChamber
from speakerwright.design.sections.brief import Brief
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.design.sections.crossover import HandOver
from speakerwright.design.sections.cutting import Cutting
from speakerwright.design.sections.directivity import Mounting
from speakerwright.design.sections.drivers import DriverChoice
from speakerwright.design.sections.plan import PlanSection
from speakerwright.design.values import (
    Number,
    Quantity,
    Section,
    Sentence,
    Whole,
    digest,
    nearest,
    plain,
    too_deep,
)
from speakerwright.words.errors import DesignError, DesignErrors, refuse


class Accepted(Section):
    """A recorded reason to publish over a failing finding, with the value it was given for."""

    reason: Sentence
    value: Annotated[float, Number()]


class Decided(Section):
    """The design file: every decided value, each with one owner."""

    format: Annotated[int, Whole(1, 1000)]  # `migrate` sees to it
    brief: Brief
    drivers: dict[str, DriverChoice]
    bass: dict[str, BassChamber] = Field(default_factory=dict)
    directivity: dict[str, Mounting] = Field(default_factory=dict)
    cabinet: Cabinet | None = None
    cutting: Cutting | None = None
    crossover: dict[str, HandOver] = Field(default_factory=dict)
    plan: PlanSection
    accepted: dict[str, Accepted] = Field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Design:
    """One snapshot of a design: what the file says, checked, and the records beside it.

    `raw` and `raw_records` are the parsed TOML; `with_value` gives a changed copy.
    """

    raw: Mapping[str, Any]
    raw_records: Mapping[str, Mapping[str, Any]]
    decided: Decided
    records: Mapping[str, Record]

    @classmethod
    def read(
        cls,
        raw: Mapping[str, Any],
        raw_records: Mapping[str, Mapping[str, Any]],
        unread: Collection[str] = (),
    ) -> Design:
        """Check parsed TOML; raises `DesignErrors` with everything that is wrong.

        `unread` names records that stand beside the design but could not be read.
        """
        errors: list[DesignError] = []
        decided = _validate(Decided, raw, "", errors)
        records = checked_records(raw_records, errors)
        errors += crossing(raw, raw_records, unread)
        if errors or decided is None:
            raise DesignErrors(_unknown_first(errors))
        return cls(
            MappingProxyType(plain(raw)), MappingProxyType(plain(raw_records)), decided,
            MappingProxyType(records),
        )

    @cached_property
    def key(self) -> str:
        """Digest of everything decided."""
        return digest([self.decided.key, {n: r.key for n, r in self.records.items()}])

    def value(self, path: str) -> Any:
        """The written value at a dotted path; raises `DesignErrors` when there is none."""
        node, parts = _descend(self.raw, self.raw_records, path)
        for part in parts:
            try:
                node = node[int(part)] if isinstance(node, list) else node[part]
            except (KeyError, IndexError, ValueError, TypeError):
                raise refuse(path, "there is no such value.", _near(node, part)) from None
        return node

    def with_value(self, path: str, value: Any) -> Design:
        """A copy with the written value at a dotted path changed (or, for None, taken out)."""
        return self.with_values({path: value})

    def with_values(self, changes: Mapping[str, Any]) -> Design:
        """A copy with the written values at several dotted paths changed, all at once.

        None takes a value out; tables that a path needs are made. A name that holds a dot stands
        in double quotes. Raises `DesignErrors` with everything that is wrong with the result.
        """
        raw, raw_records = plain(self.raw), plain(self.raw_records)
        made: list[DesignError] = []
        for path, value in changes.items():
            if too_deep(value):
                raise refuse(path, "it is nested too deeply.", "Flatten it.")
            node, parts = _descend(raw, raw_records, path)
            _change(node, parts, plain(value), path, made)
        try:
            return Design.read(raw, raw_records)
        except DesignErrors as wrong:
            raise DesignErrors((*made, *wrong.errors)) from None

    def with_quantity(self, path: str, value: float) -> Design:
        """A copy with a quantity at a dotted path changed to a value in SI.

        It is written in the unit and manner of what stands there, or in the usual unit of its
        kind. Raises `DesignErrors` when no quantity belongs there.
        """
        if not isinstance(self.marker(path), Quantity):
            raise refuse(path, "it takes no quantity.", "Give it as it is written.")
        try:
            there = self.value(path)
        except DesignErrors:
            there = None
        _, parts = _descend(self.raw, self.raw_records, path)
        return self.with_value(path, as_written(_model(path), parts, float(value), there))

    def marker(self, path: str) -> Any:
        """What a value at a dotted path must be (`Quantity`, `Text`, ...), or None."""
        return kind_at(_model(path), _descend(self.raw, self.raw_records, path)[1])

    def record(self, name: str) -> Record:
        """A record by name."""
        return self.records[name]

    def accept(self, path: str, reason: str, value: float) -> Design:
        """A copy that records a reason for a failing finding, and the value it is given for."""
        accepted = {**self.raw.get("accepted", {}), path: {"reason": reason, "value": value}}
        return self.with_value("accepted", accepted)


def _model(path: str) -> Any:
    parts = split_path(path)
    return Record if parts[0] == "records" and len(parts) > 2 else Decided


_PART = re.compile(r'"([^"]*)"|([^."]*)')


def split_path(path: str) -> list[str]:
    """The names in a dotted path; one that holds a dot stands in double quotes."""
    parts, at = [], 0
    while True:
        match = _PART.match(path, at)
        assert match is not None  # the second form matches nothing at all
        parts.append(match[2] if match[1] is None else match[1])
        at = match.end()
        if at == len(path):
            return parts
        if path[at] != ".":
            raise refuse(path, "its quotes do not fit.", 'Write it like a."b.c".d.')
        at += 1


def _descend(raw: Any, raw_records: Any, path: str) -> tuple[Any, list[str]]:
    parts = split_path(path)
    if parts[0] == "records" and len(parts) > 2:
        if parts[1] not in raw_records:
            hint = did_you_mean(parts[1], raw_records)
            raise refuse(path, f"there is no record '{parts[1]}'.", hint)
        return raw_records[parts[1]], parts[2:]
    return raw, parts


def _change(
    node: Any, parts: list[str], value: Any, path: str, made: list[DesignError]
) -> None:
    """Change one value in place; tables made on the way are kept in `made` as suspects."""
    for part in parts[:-1]:
        if isinstance(node, dict) and part not in node:
            if value is None:
                return
            near = _near(node, part)
            if near:
                made.append(DesignError(path, f"there is no '{part}' yet.", near))
            node[part] = {}
        lists = isinstance(node, list)
        node = _entry(node, part, path) if lists else _table(node, part, path)[part]
    last = parts[-1]
    if isinstance(node, list):
        _entry(node, last, path)
        if value is None:
            del node[int(last)]
        else:
            node[int(last)] = value
    elif value is None:
        _table(node, last, path).pop(last, None)
    else:
        _table(node, last, path)[last] = value


def _table(node: Any, part: str, path: str) -> dict[str, Any]:
    if not isinstance(node, dict):
        raise refuse(path, f"'{part}' lies inside a plain value.", "Shorten the path.")
    return node


def _entry(node: list[Any], part: str, path: str) -> Any:
    if not part.isdecimal() or int(part) >= len(node):
        count = f"It has {len(node)}, counted from 0."
        raise refuse(path, f"there is no entry '{part}'.", count)
    return node[int(part)]


def _near(node: Any, part: str) -> str:
    near = nearest(part, list(node)) if isinstance(node, Mapping) else None
    return f"Did you mean '{near}'?" if near else ""


def _validate(model: Any, raw: Any, where: str, errors: list[DesignError]) -> Any:
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        errors += sentences(error, model, where)
    except RecursionError:
        errors.append(DesignError(where, "it is nested too deeply.", "Flatten it."))
    return None


def checked_records(
    raw_records: Mapping[str, Mapping[str, Any]], errors: list[DesignError]
) -> dict[str, Record]:
    """The records that can be read; what is wrong with the others is added to `errors`."""
    found = {}
    for name, text in sorted(raw_records.items()):
        record = _validate(Record, text, shown_path(["records", name]), errors)
        if record is not None:
            found[name] = record
    return found


_UNKNOWN = ("is not a known name", "there is no ", "knows no such")


def _unknown_first(errors: list[DesignError]) -> list[DesignError]:
    return sorted(errors, key=lambda error: not any(word in error.says for word in _UNKNOWN))



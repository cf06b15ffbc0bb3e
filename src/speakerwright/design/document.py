"""The design as it is decided: one frozen model of the file, with the records it names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Any

from pydantic import Field, ValidationError

from speakerwright.design.complaints import sentences
from speakerwright.design.migrate import FORMAT
from speakerwright.design.records import Record
from speakerwright.design.sections.bass import BassChamber
from speakerwright.design.sections.brief import Brief
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.design.sections.crossover import HandOver
from speakerwright.design.sections.drivers import DriverChoice
from speakerwright.design.sections.plan import PlanSection
from speakerwright.design.values import (
    Section,
    Sentence,
    Whole,
    digest,
    nearest,
    plain,
)
from speakerwright.words.errors import DesignError, DesignErrors, refuse


class Accepted(Section):
    """A recorded reason to publish over a failing finding, with the value it was given for."""

    reason: Sentence
    value: float


class Decided(Section):
    """The design file: every decided value, each with one owner."""

    format: Annotated[int, Whole(1, FORMAT)]
    brief: Brief
    drivers: dict[str, DriverChoice]
    bass: dict[str, BassChamber] = Field(default_factory=dict)
    cabinet: Cabinet | None = None
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
        cls, raw: Mapping[str, Any], raw_records: Mapping[str, Mapping[str, Any]]
    ) -> Design:
        """Check parsed TOML; raises `DesignErrors` with everything that is wrong."""
        errors: list[DesignError] = []
        decided = _validate(Decided, raw, "", errors)
        records = {}
        for name, text in sorted(raw_records.items()):
            record = _validate(Record, text, f"records.{name}", errors)
            if record is not None:
                records[name] = record
        if decided is not None:
            errors += _crossing(decided, records, set(raw_records))
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
        node, parts = self._root(path)
        for part in parts:
            try:
                node = node[int(part)] if isinstance(node, list) else node[part]
            except (KeyError, IndexError, ValueError, TypeError):
                raise refuse(path, "there is no such value.", self._near(node, part)) from None
        return node

    def with_value(self, path: str, value: Any) -> Design:
        """A copy with the written value at a dotted path changed (or, for None, taken out)."""
        raw, raw_records = plain(self.raw), plain(self.raw_records)
        root, parts = _descend(raw, raw_records, path)
        for part in parts[:-1]:
            root = _step(root, part, path)
        _put(root, parts[-1], value, path)
        return Design.read(raw, raw_records)

    def _root(self, path: str) -> tuple[Any, list[str]]:
        return _descend(dict(self.raw), dict(self.raw_records), path)

    def _near(self, node: Any, part: str) -> str:
        near = nearest(part, list(node)) if isinstance(node, Mapping) else None
        return f"Did you mean '{near}'?" if near else ""

    def record(self, name: str) -> Record:
        """A record by name."""
        return self.records[name]

    def accept(self, path: str, reason: str, value: float) -> Design:
        """A copy that records a reason for a failing finding."""
        accepted = {**self.raw.get("accepted", {}), path: {"reason": reason, "value": value}}
        return self.with_value("accepted", accepted)

    def replaced(self, **changes: Any) -> Design:
        """A copy with attributes replaced (for tests of the chain's keys)."""
        return replace(self, **changes)


def _descend(raw: Any, raw_records: Any, path: str) -> tuple[Any, list[str]]:
    parts = path.split(".")
    if parts[0] == "records" and len(parts) > 2:
        if parts[1] not in raw_records:
            raise refuse(path, f"there is no record '{parts[1]}'.")
        return raw_records[parts[1]], parts[2:]
    return raw, parts


def _step(node: Any, part: str, path: str) -> Any:
    if isinstance(node, list):
        if part.isdigit() and int(part) < len(node):
            return node[int(part)]
        raise refuse(path, f"there is no entry '{part}'.")
    if not isinstance(node, dict):
        raise refuse(path, f"'{part}' lies inside a plain value.")
    return node.setdefault(part, {})


def _put(node: Any, part: str, value: Any, path: str) -> None:
    if isinstance(node, list) and part.isdigit() and int(part) < len(node):
        node[int(part)] = value
    elif not isinstance(node, dict):
        raise refuse(path, f"'{part}' lies inside a plain value.")
    elif value is None:
        node.pop(part, None)
    else:
        node[part] = value


def _validate(model: Any, raw: Any, where: str, errors: list[DesignError]) -> Any:
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        errors += sentences(error, model, where)
    except RecursionError:
        errors.append(DesignError(where, "it is nested too deeply.", "Flatten it."))
    return None


def _unknown_first(errors: list[DesignError]) -> list[DesignError]:
    return sorted(errors, key=lambda error: "is not a known name" not in error.says)


def _crossing(
    decided: Decided, records: Mapping[str, Record], known: set[str]
) -> Iterator[DesignError]:
    """What two sections must agree on."""
    if not decided.drivers:
        yield DesignError("drivers", "the design has no drivers.", "Add [drivers.low].")
    yield from _named_records(decided, records, known)
    loaded: dict[str, str] = {}
    for chamber, bass in decided.bass.items():
        for job in bass.loads:
            where = f"bass.{chamber}.loads"
            if job not in decided.drivers:
                yield DesignError(where, f"there is no driver '{job}'.", _did(job, decided.drivers))
            elif job in loaded:
                yield DesignError(where, f"'{job}' is already in '{loaded[job]}'.", "Choose one.")
            loaded[job] = chamber
    for name in decided.crossover:
        jobs = name.split("_")
        if len(jobs) != 2 or any(job not in decided.drivers for job in jobs):
            yield DesignError(
                f"crossover.{name}", "a hand-over is named after two drivers.",
                f"Name it like low_high, from: {', '.join(decided.drivers)}.",
            )
    if decided.cabinet is not None:
        for name in decided.cabinet.chambers:
            if name not in decided.bass:
                yield DesignError(f"cabinet.chambers.{name}", "the bass knows no such chamber.",
                                  _did(name, decided.bass))


def _named_records(
    decided: Decided, records: Mapping[str, Record], known: set[str]
) -> Iterator[DesignError]:
    for job, choice in decided.drivers.items():
        for part, name, what in (
            ("record", choice.record, "driver"),
            ("horn", choice.horn, "horn"),
        ):
            where = f"drivers.{job}.{part}"
            if name is None:
                continue
            if name not in known:
                yield DesignError(where, f"there is no records/{name}.toml.", _did(name, known))
            elif name in records and records[name].what != what:
                yield DesignError(where, f"'{name}' is a {records[name].what}, not a {what}.",
                                  "Name another record.")


def _did(name: str, known: Any) -> str:
    near = nearest(name, list(known))
    if near:
        return f"Did you mean '{near}'?"
    return f"Known: {', '.join(sorted(known))}." if known else ""

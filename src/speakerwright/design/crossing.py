"""What several sections and the records must agree on, asked of the file as it is written.

These questions are put to the parsed text, so that they are answered even where a section has
other faults; whatever is not of the expected form is left to the sections.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from typing import Any

from speakerwright.design.complaints import shown_path
from speakerwright.design.values import nearest
from speakerwright.words.errors import DesignError
from speakerwright.words.units import UnitError, parse, quoted

_JOB = re.compile(r"[^\W_][^\W_-]*(?:-[^\W_-]+)*")
_CHAMBER = re.compile(r"[\w-]{1,40}")
_RECORD = re.compile(r"[\w -]{1,100}")


def crossing(
    raw: Mapping[str, Any],
    raw_records: Mapping[str, Mapping[str, Any]],
    unread: Collection[str] = (),
) -> Iterator[DesignError]:
    """Everything on which sections contradict each other or the records.

    `unread` names records that exist but could not be read.
    """
    drivers, bass = _tables(raw, "drivers"), _tables(raw, "bass")
    if raw.get("drivers") == {}:
        yield DesignError("drivers", "the design has no drivers.", "Add [drivers.low].")
    yield from _names(drivers, bass, raw_records)
    yield from _named_records(drivers, bass, raw_records, unread)
    yield from _loads(drivers, bass)
    yield from _hand_overs(drivers, _tables(raw, "crossover"))
    yield from _mounted(drivers, _tables(raw, "directivity"))
    yield from _rooms(bass, raw.get("cabinet"))


def _tables(raw: Mapping[str, Any], name: str) -> dict[str, Mapping[str, Any]]:
    found = raw.get(name)
    if not isinstance(found, Mapping):
        return {}
    return {key: inner for key, inner in found.items() if isinstance(inner, Mapping)}


def _names(
    drivers: Collection[str], bass: Collection[str], records: Collection[str]
) -> Iterator[DesignError]:
    for section, names, allowed, hint in (
        ("drivers", drivers, _JOB, "Use letters, digits and hyphens."),
        ("bass", bass, _CHAMBER, "Use letters, digits, hyphens and underscores."),
        ("records", records, _RECORD, "Use letters, digits, spaces, hyphens and underscores."),
    ):
        for name in names:
            if not allowed.fullmatch(name) or len(name) > 100:
                yield DesignError(
                    shown_path([section, name]), f"{quoted(name)} cannot serve as a name.", hint
                )


_KINDS = ("driver", "horn", "passive radiator")


def _named_records(
    drivers: Mapping[str, Mapping[str, Any]],
    bass: Mapping[str, Mapping[str, Any]],
    records: Mapping[str, Mapping[str, Any]],
    unread: Collection[str],
) -> Iterator[DesignError]:
    named = [(choice, part, what, ["drivers", job, part]) for job, choice in drivers.items()
             for part, what in (("record", "driver"), ("horn", "horn"))]
    named += [(chamber["passive"], "record", "passive radiator",
               ["bass", name, "passive", "record"])
              for name, chamber in bass.items() if isinstance(chamber.get("passive"), Mapping)]
    for table, part, what, path in named:
        name, where = table.get(part), shown_path(path)
        if not isinstance(name, str) or not name.strip() or name in unread:
            continue
        if name not in records:
            yield DesignError(where, f"there is no record {quoted(name)}.",
                              did_you_mean(name, {*records, *unread}))
            continue
        found = records[name].get("what")
        if found in _KINDS and found != what:
            yield DesignError(where, f"'{name}' is a {found}, not a {what}.",
                              "Name another record.")


def _mounted(
    drivers: Mapping[str, Mapping[str, Any]], mounted: Mapping[str, Mapping[str, Any]]
) -> Iterator[DesignError]:
    for job, mounting in mounted.items():
        where = shown_path(["directivity", job])
        if job not in drivers:
            yield DesignError(where, f"there is no driver {quoted(job)}.",
                              did_you_mean(job, drivers))
            continue
        at, count = mounting.get("at"), drivers[job].get("count", 1)
        if isinstance(at, list) and at and isinstance(count, int) and len(at) != count:
            places = f"{len(at)} place{'s' if len(at) > 1 else ''}"
            wanted = f"{count} driver{'s' if count > 1 else ''}"
            yield DesignError(f"{where}.at", f"it names {places} for {wanted}.",
                              "Name one place for each.")


def _rooms(bass: Collection[str], cabinet: Any) -> Iterator[DesignError]:
    """The cabinet's chambers hold every chamber of the bass; ports, braces and so on name one."""
    if not isinstance(cabinet, Mapping):
        return
    rooms = list(_tables(cabinet, "chambers")) or list(bass)
    named: list[tuple[list[str], Any]] = [
        (["cabinet", "ports", name], name) for name in _tables(cabinet, "ports")
    ]
    braces = cabinet.get("braces")
    for k, brace in enumerate(braces if isinstance(braces, list) else ()):
        if isinstance(brace, Mapping):
            named.append((["cabinet", "braces", str(k), "chamber"], brace.get("chamber")))
    if "closes" in cabinet:
        named.append((["cabinet", "closes"], cabinet["closes"]))
    for path, name in named:
        if isinstance(name, str) and name not in rooms:
            yield DesignError(shown_path(path), f"the cabinet has no chamber {quoted(name)}.",
                              did_you_mean(name, rooms))
    for name in bass:
        if name not in rooms:
            yield DesignError(shown_path(["cabinet", "chambers"]),
                              f"it has no room for the bass's chamber {quoted(name)}.",
                              f"Add [cabinet.chambers.{name}].")


def _loads(
    drivers: Mapping[str, Any], bass: Mapping[str, Mapping[str, Any]]
) -> Iterator[DesignError]:
    loaded: dict[str, str] = {}
    for chamber, asked in bass.items():
        jobs, where = asked.get("loads"), shown_path(["bass", chamber, "loads"])
        jobs = [job for job in jobs if isinstance(job, str)] if isinstance(jobs, list) else []
        for job in jobs:
            if job not in drivers:
                yield DesignError(where, f"there is no driver {quoted(job)}.",
                                  did_you_mean(job, drivers))
            elif job in loaded:
                yield DesignError(where, f"'{job}' is already in '{loaded[job]}'.", "Choose one.")
            loaded.setdefault(job, chamber)
        if len(jobs) > 1:
            yield DesignError(where, "several jobs in one chamber are not worked out.",
                              "Name one; several drivers of one record are its count.")


def _hand_overs(
    drivers: Mapping[str, Any], crossover: Mapping[str, Mapping[str, Any]]
) -> Iterator[DesignError]:
    lowest: dict[str, float] = {}
    highest: dict[str, float] = {}
    for name, over in crossover.items():
        jobs, where = name.split("_"), shown_path(["crossover", name])
        if len(jobs) != 2 or jobs[0] == jobs[1] or any(job not in drivers for job in jobs):
            known = f", from: {', '.join(drivers)}" if drivers else ""
            yield DesignError(where, "a hand-over is named after two drivers.",
                              f"Name it like low_high{known}.")
            continue
        try:
            frequency = parse(over.get("frequency", ""), "frequency")
        except (UnitError, TypeError):
            continue
        lowest[jobs[1]] = max(lowest.get(jobs[1], 0.0), frequency)
        highest[jobs[0]] = min(highest.get(jobs[0], float("inf")), frequency)
    for job in lowest:
        if job in highest and lowest[job] >= highest[job]:
            yield DesignError(
                "crossover", f"nothing is left for '{job}': it hands over below where it takes "
                "over.", "Look at both frequencies and at the names.",
            )


def did_you_mean(name: str, known: Collection[str]) -> str:
    """A hint for a name that is not known: the nearest one, or all of a few."""
    near = nearest(name, list(known))
    if near:
        return f"Did you mean '{near}'?"
    return f"Known: {', '.join(sorted(known)[:12])}." if known else ""

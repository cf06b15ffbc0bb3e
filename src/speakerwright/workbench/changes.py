"""What differs between two designs, as written values by their paths."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from speakerwright.design.document import Design
from speakerwright.design.patch import same


def differences(before: Design, after: Design) -> dict[str, Any]:
    """The values to change in `before` to get `after`: path to written value, None to take out.

    Lists count as one value where their lengths differ. Records that only one of them has are left
    out.
    """
    found = dict(_between(before.raw, after.raw, ()))
    for name in before.raw_records:
        if name in after.raw_records:
            found |= dict(
                _between(before.raw_records[name], after.raw_records[name], ("records", name))
            )
    return found


def _between(before: Any, after: Any, path: tuple[str, ...]) -> Iterator[tuple[str, Any]]:
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for name in before:
            if name not in after:
                yield dotted((*path, name)), None
        for name in after:
            if name not in before:
                yield dotted((*path, name)), after[name]
            else:
                yield from _between(before[name], after[name], (*path, name))
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for k, (old, new) in enumerate(zip(before, after, strict=True)):
            yield from _between(old, new, (*path, str(k)))
    elif not same(before, after):
        yield dotted(path), after


def dotted(parts: tuple[str, ...]) -> str:
    """A dotted path; a name that holds a dot, or is empty, stands in double quotes."""
    return ".".join(f'"{part}"' if "." in part or not part else part for part in parts)


_TURNS = frozenset({"loading", "shape", "record", "horn", "type", "what", "law"})
_SAYS = frozenset({"kind", "runs", "on"})
_SET_IN = frozenset({"braces", "rods", "handles", "terminal", "board"})
_EITHER = frozenset({"tuning", "length", "bore", "width", "height", "depth"})


def outline(raw: Any, path: tuple[str, ...] = ()) -> frozenset[Any]:
    """Which tables and lists there are, and which words and values say what fields belong.

    Two designs of one outline are shown by the same fields.
    """
    found: set[Any] = set()
    entries = raw.items() if isinstance(raw, Mapping) else enumerate(raw)
    for name, value in entries:
        here = (*path, str(name))
        if isinstance(value, (Mapping, list)):
            found |= {here} | outline(value, here)
        elif name in _TURNS or (name in _SAYS and _SET_IN & set(path[-2:])):
            found.add((*here, str(value)))
        elif name in _EITHER and path and path[-1] in ("port", "cabinet"):
            found.add(here)
    return frozenset(found)

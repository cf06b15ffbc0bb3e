"""Patch a TOML text so that only changed values change, written as they were written before."""

from __future__ import annotations

import datetime
import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from speakerwright.design.complaints import kind_at
from speakerwright.design.layout import Block, Layout, Path, Statement, layout
from speakerwright.design.values import Quantity, Text, plain
from speakerwright.words.errors import refuse
from speakerwright.words.units import UnitError, write_like

_GONE = object()
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def as_written(model: Any, path: list[str], value: Any, sample: Any) -> Any:
    """A value as the file writes it: an SI number becomes text in the unit of `sample`."""
    kind = kind_at(model, path)
    if isinstance(kind, Quantity) and isinstance(value, (int, float)):
        try:
            return write_like(float(value), kind.kind, sample if isinstance(sample, str) else None)
        except UnitError:
            return write_like(float(value), kind.kind, None)
    return value


def from_text(text: str, marker: Any = None) -> Any:
    """A value typed on a command line: TOML where it is TOML, else the text itself.

    Where `marker` says that text belongs, only quoted text is taken as TOML, so that a version
    such as 0.2 stays text.
    """
    try:
        read = tomllib.loads(f"value = {text}")
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        return text
    value = read["value"]
    if len(read) > 1 or (isinstance(marker, Text) and not isinstance(value, str)):
        return text
    return value


def patched(
    text: str, before: Mapping[str, Any], after: Mapping[str, Any], where: str
) -> str:
    """The text with the values that differ between `before` and `after` replaced in place.

    Raises `DesignErrors` when the text cannot be patched without touching anything else.
    """
    changes = list(_differences(before, after, ()))
    result = text
    try:
        for path, old, new in changes:
            result = _applied(result, path, old, new)
    except (LookupError, ValueError):  # the text is laid out in a way that is not foreseen
        raise refuse(where, "the change cannot be written faithfully.", "Nothing was written."
                     ) from None
    if changes:
        _prove(result, after, where)
    return result


def _differences(before: Any, after: Any, path: Path) -> Iterator[tuple[Path, Any, Any]]:
    """Every place that differs, as (path, old, new); what is missing is `_GONE`."""
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for name in before:
            if name not in after:
                yield (*path, name), before[name], _GONE
        for name in after:
            if name not in before:
                yield (*path, name), _GONE, after[name]
            else:
                yield from _differences(before[name], after[name], (*path, name))
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for k, (old, new) in enumerate(zip(before, after, strict=True)):
            yield from _differences(old, new, (*path, str(k)))
    elif not same(before, after):
        yield path, before, after


def _applied(text: str, path: Path, old: Any, new: Any) -> str:
    here = layout(text)
    if new is _GONE:
        return _kept(_without(here, path), path[:-1])
    if old is _GONE:
        return _with(here, path, new)
    if path in here.values:
        span = here.values[path]
        if span.what == "list" and isinstance(new, list) and old and same(new[: len(old)], old):
            end = here.values[(*path, str(len(old) - 1))].end
            return text[:end] + "".join(f", {_toml(one)}" for one in new[len(old):]) + text[end:]
        return text[: span.start] + _toml(new, text[span.start : span.end]) + text[span.end :]
    if path in here.lists and isinstance(new, list):
        return _relisted(text, path, old, new)
    return _with(layout(_without(here, path)), path, new)


def _kept(text: str, path: Path) -> str:
    """The text with an empty table where taking out its last value took the table along."""
    here = layout(text)
    places = [*(block.path for block in here.blocks), *here.values]
    if any(place[: len(path)] == path for place in places):
        return text
    return _with(here, path, {})


def _relisted(text: str, path: Path, old: list[Any], new: list[Any]) -> str:
    """An array of tables with other entries: those that stay the same at its front are kept."""
    kept = 0
    while kept < min(len(old), len(new)) and same(old[kept], new[kept]):
        kept += 1
    for k in reversed(range(kept, len(old))):
        text = _without(layout(text), (*path, str(k)))
    if not new:
        return _with(layout(text), path, [])
    for entry in new[kept:]:
        here = layout(text)
        family = here.within(path) or here.within(path[:-1]) or here.blocks[:1]
        text = _insert_block(here, family[-1].end, _blocks(_names(here, path), entry, "[[", "]]"))
    return text


# --- taking out -----------------------------------------------------------------------------------


def _without(here: Layout, path: Path) -> str:
    if any(_inside(path, inside, m.path) for inside, ms in here.members.items() for m in ms):
        return _without_members(here, path)
    spans = [(block.start, block.end) for block in here.within(path)] if path else []
    spans += [(s.start, s.end) for block in here.blocks if block.path[: len(path)] != path
              for s in block.statements if s.path[: len(path)] == path]
    if not spans:
        raise LookupError(path)
    text = here.text
    for start, end in sorted(spans, reverse=True):
        text = _cut(text, start, end)
    return text


def _cut(text: str, start: int, end: int) -> str:
    """Take lines out, and one of two blank lines that then meet."""
    before, after = text[:start], text[end:]
    blank = re.match(r"[ \t]*\r?\n", after)
    if blank is not None and (not before or re.search(r"\n[ \t]*\r?\n\Z", before)):
        after = after[blank.end() :]
    elif not after:
        before = re.sub(r"(\r?\n)(?:[ \t]*\r?\n)+\Z", r"\1", before)
    return before + after


def _inside(path: Path, braces: Path, member: Path) -> bool:
    """Whether a member of braces that stand around `path` says it, or a part of it."""
    return len(braces) < len(path) and member[: len(path)] == path


def _without_members(here: Layout, path: Path) -> str:
    for inside, members in here.members.items():
        for k, member in enumerate(members):
            if _inside(path, inside, member.path):
                return _without_members(layout(_without_member(here, inside, k)), path)
    return here.text


def _without_member(here: Layout, inside: Path, k: int) -> str:
    members, text = here.members[inside], here.text
    if k > 0:
        return text[: members[k - 1].end] + text[members[k].end :]
    if len(members) > 1:
        return text[: members[0].start] + text[members[1].start :]
    return text[: members[0].start].rstrip(" \t") + text[members[0].end :].lstrip(" \t")


# --- putting in -----------------------------------------------------------------------------------


def _with(here: Layout, path: Path, new: Any) -> str:
    parent, name = path[:-1], path[-1]
    if parent in here.values and here.values[parent].what == "inline":
        return _with_member(here, parent, name, new)
    block = next((b for b in here.blocks if b.path == parent), None)
    dotted = [s for s in here.statements() if s.path[: len(parent)] == parent
              and len(s.table) < len(parent)] if parent else []
    if dotted:
        return _insert_statement(here, dotted[-1], path[len(dotted[-1].table):], new)
    if _is_table(new) or _is_tables(new):
        return _with_table(here, path, new)
    if block is None:  # the table stands only in the headers of its parts
        family = here.within(parent)
        if not family:
            raise LookupError(path)
        return _insert_block(here, family[0].start, _blocks(_names(here, parent), {name: new}))
    if block.statements:
        return _insert_statement(here, block.statements[-1], (name,), new)
    return _insert_lines(here, block.head_end, [f"{_indent(here.text, block.start)}"
                                                f"{_name((name,))} = {_toml(new)}"])


def _with_table(here: Layout, path: Path, new: Any) -> str:
    family = here.within(path[:-1])
    last = _last_of_family(here, family) if family and len(path) > 1 else here.blocks[-1]
    names = _names(here, path)
    if _is_tables(new):
        lines = [line for entry in new for line in (*_blocks(names, entry, "[[", "]]"), "")][:-1]
    else:
        lines = _blocks(names, new)
    return _insert_block(here, last.end, lines)


def _names(here: Layout, path: Path) -> Path:
    """A path as a header writes it: without the numbers of list entries."""
    return tuple(part for k, part in enumerate(path) if path[:k] not in here.lists)


def _last_of_family(here: Layout, family: list[Block]) -> Block:
    """The last block of those that stand together from the family's first one on."""
    at = here.blocks.index(family[0])
    while at + 1 < len(here.blocks) and here.blocks[at + 1] in family:
        at += 1
    return here.blocks[at]


def _with_member(here: Layout, parent: Path, name: str, new: Any) -> str:
    members, span, text = here.members[parent], here.values[parent], here.text
    written = f"{_name((name,))} = {_toml(new)}"
    if members:
        end = members[-1].end
        return f"{text[:end]}, {written}{text[end:]}"
    return f"{text[:span.start]}{{ {written} }}{text[span.end:]}"


def _insert_statement(here: Layout, after: Statement, names: Path, new: Any) -> str:
    line = f"{_indent(here.text, after.start)}{_name(names)} = {_toml(new)}"
    return _insert_lines(here, after.end, [line])


def _insert_lines(here: Layout, at: int, lines: list[str]) -> str:
    before, after = here.text[:at], here.text[at:]
    end = _newline(here.text)
    if before and not before.endswith("\n"):
        return before + end + end.join(lines) + after
    return before + "".join(f"{line}{end}" for line in lines) + after


def _insert_block(here: Layout, at: int, lines: list[str]) -> str:
    """Lines of a new table, with a blank line before and, where text follows, after."""
    before, after = here.text[:at], here.text[at:]
    if before.strip() and not re.search(r"\n[ \t]*\r?\n\Z", before):
        lines = ["", *lines]
    if after.strip() and not re.match(r"[ \t]*\r?\n", after):
        lines = [*lines, ""]
    return _insert_lines(here, at, lines)


def _blocks(
    names: Path, table: Mapping[str, Any], opens: str = "[", closes: str = "]"
) -> list[str]:
    """A table as lines: its header, its values, then its sub-tables."""
    lines = [f"{opens}{_name(names)}{closes}"]
    lines += [f"{_name((name,))} = {_toml(value)}" for name, value in table.items()
              if not _is_table(value)]
    for name, value in table.items():
        if _is_table(value):
            lines += ["", *_blocks((*names, name), value)]
    return lines


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(map(_is_table, value))


def _indent(text: str, at: int) -> str:
    return re.compile(r"[ \t]*").match(text, at)[0]  # type: ignore[index]


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


# --- values as TOML -------------------------------------------------------------------------------


def _name(parts: Path) -> str:
    return ".".join(part if _BARE.fullmatch(part) else _quoted(part) for part in parts)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _toml(value: Any, old: str = "") -> str:
    """A value as TOML writes it; text keeps the literal quotes of the old one where it can."""
    if isinstance(value, str):
        literal = old.startswith("'") and value.isprintable() and "'" not in value
        return f"'{value}'" if literal else _quoted(value)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, Mapping):
        inside = ", ".join(f"{_name((name,))} = {_toml(inner)}" for name, inner in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    raise ValueError(f"{type(value).__name__} cannot be written")


def _prove(text: str, after: Mapping[str, Any], where: str) -> None:
    """Read the patched text back: it must say what was meant, or nothing is written."""
    try:
        again = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        again = {}
    if not same(again, plain(after)):
        raise refuse(where, "the change cannot be written faithfully.", "Nothing was written.")


def same(one: Any, other: Any) -> bool:
    """Whether two pieces of parsed TOML say the same, types included."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return type(one) is type(other) and one == other

"""Patch a TOML text so that only changed values change, written as they were written before."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from speakerwright.design.complaints import kind_at
from speakerwright.design.migrate import migrated
from speakerwright.design.values import Quantity, plain
from speakerwright.words.errors import DesignErrors, refuse
from speakerwright.words.units import BARE, UnitError, write_like

_GONE = object()


def as_written(model: Any, path: list[str], value: Any, sample: Any) -> Any:
    """A value as the file writes it: an SI number becomes text in the unit of `sample`."""
    kind = kind_at(model, path)
    if isinstance(kind, Quantity) and isinstance(value, (int, float)) and kind.kind not in BARE:
        try:
            like = sample if isinstance(sample, str) else None
            return write_like(float(value), kind.kind, like)
        except UnitError:
            return write_like(float(value), kind.kind, None)
    return value


def from_text(text: str) -> Any:
    """A value typed on a command line: TOML where it is TOML, else the text itself."""
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        return text


def patched(
    text: str, before: Mapping[str, Any], after: Mapping[str, Any], model: Any, where: str
) -> str:
    """The text with the values that differ between `before` and `after` replaced in place.

    Raises `DesignErrors` when the text cannot be patched without touching anything else.
    """
    changes = list(_differences(before, after, []))
    if not changes:
        return text
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(text)
    except TOMLKitError:
        document = None
    if document is None or tomlkit.dumps(document) != text:
        raise refuse(where, "its layout cannot be kept while saving.", "Nothing was written.")
    for path, value in changes:
        _apply(document, path, value, model)
    result = tomlkit.dumps(document)
    _prove(result, after, where)
    return result


def _differences(before: Any, after: Any, path: list[str]) -> Iterator[tuple[list[str], Any]]:
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for name in before:
            if name not in after:
                yield [*path, name], _GONE
        for name in after:
            if name not in before:
                yield [*path, name], after[name]
            else:
                yield from _differences(before[name], after[name], [*path, name])
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for k, (old, new) in enumerate(zip(before, after, strict=True)):
            yield from _differences(old, new, [*path, str(k)])
    elif type(before) is not type(after) or before != after:
        yield path, after


def _apply(document: Any, path: list[str], value: Any, model: Any) -> None:
    node = document
    for part in path[:-1]:
        node = node[int(part)] if part.isdigit() and not isinstance(node, Mapping) else node[part]
    last: Any = path[-1]
    if last.isdigit() and not isinstance(node, Mapping):
        last = int(last)
    if value is _GONE:
        node.remove(last)
        return
    old = node[last] if isinstance(last, int) or last in node else None
    node[last] = _item(as_written(model, path, plain(value), _bare(old)), old)


def _bare(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item


def _item(value: Any, old: Any) -> Any:
    """A new item that keeps the old one's quotes, spaces and comment."""
    import tomlkit
    from tomlkit.items import String, StringType

    if isinstance(value, str) and isinstance(old, String):
        literal = old._t is StringType.SLL and "'" not in value
        item = tomlkit.string(value, literal=literal, escape=not literal)
    else:
        item = tomlkit.item(value)
    if hasattr(old, "trivia") and hasattr(item, "trivia"):
        item.trivia.comment_ws = old.trivia.comment_ws
        item.trivia.comment = old.trivia.comment
        item.trivia.trail = old.trivia.trail
        item.trivia.indent = old.trivia.indent
    return item


def _prove(text: str, after: Mapping[str, Any], where: str) -> None:
    """Read the patched text back: it must say what was meant, or nothing is written."""
    try:
        again = tomllib.loads(text)
        if "format" in again and where.endswith("design.toml"):
            again = migrated(again)
    except (tomllib.TOMLDecodeError, DesignErrors):
        again = {}
    if not _same(again, plain(after)):
        raise refuse(where, "the change cannot be written faithfully.", "Nothing was written.")


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return type(one) is type(other) and one == other

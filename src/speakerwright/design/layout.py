"""Where everything stands in a TOML text: statements, headers, and the span of every value.

The text has already been read by a TOML reader, so it is known to be valid; here only places are
found, so that one value can be replaced and every other character kept.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field

Path = tuple[str, ...]  # names, and the numbers of list entries as text

_KEY_PART = re.compile(r'"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|[A-Za-z0-9_-]+')
_DOT = re.compile(r"[ \t]*\.[ \t]*")
_BLANK = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")  # between the entries of a list
_LINE_REST = re.compile(r"[ \t]*(?:#[^\n]*)?(?:\n|\Z)|[ \t]*\r\n")
_TEXT = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}(?!")'
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d[^\s,\]}#]*|[^\s,\]}#]+")


@dataclass(frozen=True)
class Value:
    """A value's span in the text; `what` is ``plain``, ``list`` or ``inline``."""

    start: int
    end: int
    what: str


@dataclass(frozen=True)
class Member:
    """One ``name = value`` inside braces: its full path, from its name to its value's end."""

    path: Path
    start: int
    end: int


@dataclass(frozen=True)
class Statement:
    """One ``name = value`` on lines of its own, from its first line's start past its last line."""

    path: Path
    table: Path
    start: int
    end: int


@dataclass
class Block:
    """A header with the statements under it; the root's block has no header line."""

    path: Path
    start: int
    head_end: int
    statements: list[Statement] = field(default_factory=list)

    @property
    def end(self) -> int:
        """Past the last statement's line (or the header's, when it has none)."""
        return self.statements[-1].end if self.statements else self.head_end


@dataclass
class Layout:
    """Every block in the order of the text, every value by its path, members by their braces."""

    text: str
    blocks: list[Block] = field(default_factory=list)
    values: dict[Path, Value] = field(default_factory=dict)
    members: dict[Path, list[Member]] = field(default_factory=dict)
    lists: dict[Path, int] = field(default_factory=dict)  # arrays of tables: entries so far

    def statements(self) -> Iterator[Statement]:
        """All statements in the order of the text."""
        for block in self.blocks:
            yield from block.statements

    def within(self, path: Path) -> list[Block]:
        """Blocks whose header names this path or something inside it."""
        return [block for block in self.blocks if block.path[: len(path)] == path]


def layout(text: str) -> Layout:
    """Find every block, statement and value of a valid TOML text."""
    found = Layout(text, [Block((), 0, 0)])
    at = 0
    while at < len(text):
        start = at
        at = _after(_BLANK, text, at)
        if at < len(text) and text[at] == "[":
            at = _header(found, start, at)
        elif at < len(text) and text[at] not in "#\r\n":
            at = _statement(found, start, at)
        at = _after(_LINE_REST, text, at)
    return found


def _after(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    if match is None:
        raise ValueError(f"unexpected text at {at}")
    return match.end()


def _key(text: str, at: int) -> tuple[Path, int]:
    parts = []
    while True:
        match = _KEY_PART.match(text, at)
        if match is None:
            raise ValueError(f"no name at {at}")
        raw = match[0]
        parts.append(tomllib.loads(f"x = {raw}")["x"] if raw[0] in "\"'" else raw)
        dot = _DOT.match(text, match.end())
        if dot is None:
            return tuple(parts), match.end()
        at = dot.end()


def _header(found: Layout, start: int, at: int) -> int:
    brackets = 2 if found.text.startswith("[[", at) else 1
    names, at = _key(found.text, _after(_BLANK, found.text, at + brackets))
    at = _after(_BLANK, found.text, at) + brackets
    path: Path = ()
    for k, name in enumerate(names):
        path = (*path, name)
        if brackets == 2 and k == len(names) - 1:
            found.lists[path] = found.lists.get(path, 0) + 1
        if path in found.lists:
            path = (*path, str(found.lists[path] - 1))
    found.blocks.append(Block(path, start, _after(_LINE_REST, found.text, at)))
    return at


def _statement(found: Layout, start: int, at: int) -> int:
    block = found.blocks[-1]
    names, at = _key(found.text, at)
    at = _after(_BLANK, found.text, at) + 1  # the equals sign
    path = (*block.path, *names)
    at = _value(found, path, _after(_BLANK, found.text, at))
    block.statements.append(
        Statement(path, block.path, start, _after(_LINE_REST, found.text, at))
    )
    return at


def _value(found: Layout, path: Path, at: int) -> int:
    text, start, what = found.text, at, "plain"
    if text[at] == "[":
        at, what = _list(found, path, at), "list"
    elif text[at] == "{":
        at, what = _inline(found, path, at), "inline"
    else:
        at = _after(_TEXT if text[at] in "\"'" else _SCALAR, text, at)
    found.values[path] = Value(start, at, what)
    return at


def _list(found: Layout, path: Path, at: int) -> int:
    text, k = found.text, 0
    at = _after(_GAP, text, at + 1)
    while text[at] != "]":
        at = _after(_GAP, text, _value(found, (*path, str(k)), at))
        if text[at] == ",":
            at = _after(_GAP, text, at + 1)
        k += 1
    return at + 1


def _inline(found: Layout, path: Path, at: int) -> int:
    text = found.text
    members = found.members.setdefault(path, [])
    at = _after(_GAP, text, at + 1)
    while text[at] != "}":
        start = at
        names, at = _key(text, at)
        at = _after(_BLANK, text, _after(_BLANK, text, at) + 1)
        at = _value(found, (*path, *names), at)
        members.append(Member((*path, *names), start, at))
        at = _after(_GAP, text, at)
        if text[at] == ",":
            at = _after(_GAP, text, at + 1)
    return at + 1

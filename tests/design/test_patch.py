"""Saving changes one value and keeps every other byte, however the file is laid out."""

from __future__ import annotations

import datetime
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.design.layout import layout
from speakerwright.design.patch import from_text, patched
from speakerwright.design.values import Text
from speakerwright.words.errors import DesignErrors

ODD = '''\
# A file that uses every way of writing that the format has.
format = 1   # a comment behind a value
"quoted key" = 'literal \\ text'
dotted.one.two = 3
dotted.one.three = "3 mm" # kept
	tabbed	=	"1 in"
when = 2026-03-01
moment = 1979-05-27 07:32:00
exact = 1979-05-27T07:32:00.5-07:00
text = """
several "quotes" and \\
   a [bracket] # no comment
"""
raw = \'\'\'
it's raw = {\'\'\'
sums = [ 1, 2,3 , # one
  4, # four
]
deep = [["1 Hz", "2 dB"], ["3 Hz", "4 dB"]]
inline = { a = 1, b = { c = "x}", d = [1, 2] }, "e.f" = true }
empty = {}
none = []

[table]
  indented = 1
  # a comment inside

  again = 2.50   # two

[table.sub]
x = "1"

# before the list
[[list]]
name = "one"
[list.part]
y = 1
[[list]]
name = "two"

[[list.inner]]
z = 1
[[list.inner]]
z = 2

["odd table".'x.y']
q = "\\u00e9 \\"é\\""

[last]
end = 1e3'''


def leaves(node, path=()):
    if isinstance(node, dict) and node:
        for name, inner in node.items():
            yield from leaves(inner, (*path, name))
    elif isinstance(node, list) and node:
        for k, inner in enumerate(node):
            yield from leaves(inner, (*path, str(k)))
    else:
        yield path


def changed(raw, path, value):
    """A deep copy with one leaf changed."""
    if not path:
        return value
    if isinstance(raw, list):
        k = int(path[0])
        return [*raw[:k], changed(raw[k], path[1:], value), *raw[k + 1 :]]
    return {**raw, path[0]: changed(raw[path[0]], path[1:], value)}


def without(raw, path):
    if len(path) == 1:
        return {name: inner for name, inner in raw.items() if name != path[0]}
    if isinstance(raw, list):
        k = int(path[0])
        return [*raw[:k], without(raw[k], path[1:]), *raw[k + 1 :]]
    return {**raw, path[0]: without(raw[path[0]], path[1:])}


LEAVES = sorted(leaves(tomllib.loads(ODD)))
TABLES = [("table",), ("table", "sub"), ("list", "0"), ("list", "1", "inner", "0"), ("inline",),
          ("inline", "b"), ("dotted", "one"), ("dotted",), ("empty",), (), ("last",),
          ("odd table", "x.y"), ("odd table",), ("list", "0", "part")]
SCALARS = st.one_of(
    st.integers(-(10**6), 10**6), st.booleans(), st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(codec="utf-8"), max_size=20), st.dates(),
)


def same(one, other):
    return repr(one) == repr(other) and one == other


def test_the_layout_finds_every_leaf_and_its_exact_text():
    found = layout(ODD)
    raw = tomllib.loads(ODD)
    for path in LEAVES:
        span = found.values[path]
        read = tomllib.loads(f"x = {ODD[span.start : span.end]}")["x"]
        node = raw
        for part in path:
            node = node[int(part)] if isinstance(node, list) else node[part]
        assert same(read, node), path


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@settings(max_examples=150, deadline=None)
@given(path=st.sampled_from(LEAVES), value=SCALARS)
def test_one_value_changes_and_nothing_around_it(end, path, value):
    text = ODD.replace("\n", end)
    raw = tomllib.loads(text)
    after = changed(raw, path, value)
    result = patched(text, raw, after, "odd.toml")
    span = layout(text).values[path]
    assert result.startswith(text[: span.start])
    assert result.endswith(text[span.end :])
    assert same(tomllib.loads(result), after)


@settings(max_examples=150, deadline=None)
@given(table=st.sampled_from(TABLES), value=SCALARS,
       name=st.sampled_from(["new", "new key", "é", "", "7"]))
def test_a_value_put_in_is_one_insertion(table, name, value):
    raw = tomllib.loads(ODD)
    after = _with(raw, table, name, value)
    result = patched(ODD, raw, after, "odd.toml")
    assert same(_sorted(tomllib.loads(result)), _sorted(after))
    assert _is_insertion(ODD, result), result


def _with(raw, table, name, value):
    node = raw
    for part in table:
        node = node[int(part)] if isinstance(node, list) else node[part]
    return changed(raw, table, {**node, name: value})


def _sorted(node):
    """The same data with the names of every table in order, to compare by their text."""
    if isinstance(node, dict):
        return {name: _sorted(node[name]) for name in sorted(node)}
    return [_sorted(inner) for inner in node] if isinstance(node, list) else node


def _is_insertion(old, new):
    front = next((k for k, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), len(old))
    ends = zip(reversed(old), reversed(new), strict=False)
    back = next((k for k, (a, b) in enumerate(ends) if a != b), len(old))
    return front + back >= len(old)


@pytest.mark.parametrize("path", [p for p in LEAVES if not p[-1].isdigit()], ids=".".join)
def test_a_value_taken_out_leaves_the_rest(path):
    raw = tomllib.loads(ODD)
    after = without(raw, path)
    result = patched(ODD, raw, after, "odd.toml")
    assert same(tomllib.loads(result), after)
    gone = [line for line in ODD.splitlines() if line not in result.splitlines()]
    assert len(gone) <= 4  # one line, or the lines of one value written over several
    for comment in ("# A file that", "# a comment inside", "# before the list"):
        assert comment in result


@pytest.mark.parametrize(
    "path", [("table",), ("table", "sub"), ("list",), ("odd table",), ("last",), ("inline",),
             ("dotted",), ("list", "0", "part"), ("inline", "b"), ("list", "1", "inner")],
    ids=".".join,
)
def test_a_table_taken_out_leaves_the_rest(path):
    raw = tomllib.loads(ODD)
    after = without(raw, path)
    result = patched(ODD, raw, after, "odd.toml")
    assert same(tomllib.loads(result), after)
    assert "# before the list" in result
    assert result.startswith("# A file that")


def test_a_new_table_of_two_levels_goes_in_as_lines_of_its_own():
    raw = tomllib.loads(ODD)
    after = {**raw, "fresh": {"a": 1, "sub": {"b": "2 mm", "deeper": {"c": True}}}}
    result = patched(ODD, raw, after, "odd.toml")
    assert result == ODD + (
        '\n\n[fresh]\na = 1\n\n[fresh.sub]\nb = "2 mm"\n\n[fresh.sub.deeper]\nc = true'
    )


def test_a_new_sub_table_stands_behind_its_parent():
    raw = tomllib.loads(ODD)
    after = changed(raw, ("table",), {**raw["table"], "more": {"b": 1}})
    result = patched(ODD, raw, after, "odd.toml")
    assert result == ODD.replace(
        '[table.sub]\nx = "1"\n', '[table.sub]\nx = "1"\n\n[table.more]\nb = 1\n'
    )


def test_a_list_of_tables_grows_and_shrinks_at_its_end():
    raw = tomllib.loads(ODD)
    entry = {"name": "three", "part": {"y": 2}}
    after = {**raw, "list": [*raw["list"], entry]}
    grown = patched(ODD, raw, after, "odd.toml")
    assert grown == ODD.replace(
        "z = 2\n", 'z = 2\n\n[[list]]\nname = "three"\n\n[list.part]\ny = 2\n'
    )
    back = patched(grown, after, raw, "odd.toml")
    assert tomllib.loads(back) == raw
    assert back == ODD


def test_a_list_grows_behind_its_last_entry_and_keeps_its_comments():
    raw = tomllib.loads(ODD)
    result = patched(ODD, raw, {**raw, "sums": [1, 2, 3, 4, 5]}, "odd.toml")
    assert result == ODD.replace("  4, # four", "  4, 5, # four")


def test_the_last_value_of_a_table_leaves_an_empty_table_behind():
    text = "a.b.c = 1\n[d.e]\nf = 2\n"
    raw = tomllib.loads(text)
    for after in ({**raw, "a": {"b": {}}}, {**raw, "d": {"e": {}}}, {**raw, "d": {}},
                  {**raw, "a": {}}):
        assert tomllib.loads(patched(text, raw, after, "odd.toml")) == after


def test_without_a_change_the_text_is_the_same_object():
    raw = tomllib.loads(ODD)
    assert patched(ODD, raw, raw, "odd.toml") is ODD


def test_a_change_that_does_not_fit_the_text_is_refused():
    raw = tomllib.loads(ODD)
    with pytest.raises(DesignErrors) as caught:
        patched(ODD, {**raw, "ghost": {"a": 1}}, {**raw, "ghost": {"a": 2}}, "odd.toml")
    (error,) = caught.value.errors
    assert error.where == "odd.toml"
    assert "cannot be written faithfully" in error.says


@pytest.mark.parametrize(
    ("typed", "read"),
    [("60 L", "60 L"), ('"60 L"', "60 L"), ("7", 7), ("0.38", 0.38), ("true", True),
     ('["low"]', ["low"]), ("2026-03-01", datetime.date(2026, 3, 1)), ("", ""),
     ("1\nother = 2", "1\nother = 2"), ("[" * 2000, "[" * 2000), ("{ a = 1 }", {"a": 1})],
)
def test_what_is_typed_on_a_command_line(typed, read):
    assert from_text(typed) == read


def test_text_stays_text_where_text_belongs():
    assert from_text("0.2", Text(40)) == "0.2"
    assert from_text('"0.2"', Text(40)) == "0.2"


def test_the_example_is_laid_out_as_read():
    root = Path(__file__).parents[2] / "examples" / "harbour-hall"
    for path in (root / "design.toml", *sorted((root / "records").glob("*.toml"))):
        text = path.read_text(encoding="utf-8")
        assert set(leaves(tomllib.loads(text))) <= set(layout(text).values)

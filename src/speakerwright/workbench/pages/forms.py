"""Groups of fields, and lists of tables that can be lengthened and shortened."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from nicegui import ui

from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import Absent, field_for, remove_button
from speakerwright.workbench.parts import Button, Words, box
from speakerwright.workbench.session import written

Row = tuple[str, str] | tuple[str, str, Mapping[str, Any]]
"""What follows the group's path, the label, and what else the field takes."""


def group(
    bench: Bench, title: str, path: str, rows: Sequence[Row], note: str = ""
) -> ui.element:
    """A titled group of fields whose paths begin alike."""
    with box("sw-group") as part:
        Words(title, "h3")
        if note:
            Words(note, "p", "sw-quietly")
        with box("sw-fields"):
            for row in rows:
                more = dict(row[2]) if len(row) == 3 else {}
                field_for(bench, f"{path}.{row[0]}" if path else row[0], row[1], **more)
    return part


def table_group(
    bench: Bench, title: str, path: str, rows: Sequence[Row], first: Any, words: str,
    note: str = "",
) -> None:
    """A group whose table may be absent: a button puts it in with `first`, another takes it out."""
    if written(bench.session.design, path) is None:
        with box("sw-group") as part:
            Words(title, "h3")
            if note:
                Words(note, "p", "sw-quietly")
            remove_button(bench, words, {path: first})
        Absent(bench, path, part)
        return
    with group(bench, title, path, rows, note):
        remove_button(bench, "Leave it out", {path: None})


def entries(
    bench: Bench, title: str, path: str, rows: Sequence[Row] | Callable[[int], Sequence[Row]],
    fresh: Callable[[int], Any], words: str, *, least: int = 0, note: str = "",
    first: Callable[[int], Any] | None = None,
) -> None:
    """A list of tables: one line of fields each, a button to add one and to take one out.

    `rows` may follow from an entry's number; `first` puts a control of its own before them.
    """
    there = written(bench.session.design, path) or []
    with box("sw-group"):
        Words(title, "h3")
        if note:
            Words(note, "p", "sw-quietly")
        for k in range(len(there)):
            with box("sw-entry"):
                with box("sw-fields"):
                    if first is not None:
                        first(k)
                    for row in rows(k) if callable(rows) else rows:
                        more = dict(row[2]) if len(row) == 3 else {}
                        field_for(bench, f"{path}.{k}.{row[0]}", row[1], **more)
                if len(there) > least:
                    _remove(bench, path, k)
        Button(words, lambda: _append(bench, path, fresh), classes="sw-quiet")


def fresh_name(bench: Bench, path: str, word: str) -> str:
    """A name that no entry of a list has yet: the word with the next number."""
    taken = {entry.get("name") for entry in written(bench.session.design, path) or []}
    return next(f"{word} {k}" for k in range(len(taken) + 1, 2 * len(taken) + 3)
                if f"{word} {k}" not in taken)


def _append(bench: Bench, path: str, fresh: Callable[[int], Any]) -> None:
    there = written(bench.session.design, path) or []
    change(bench, {path: [*there, fresh(len(there))]})


def _remove(bench: Bench, path: str, k: int) -> None:
    def act() -> None:
        there = list(written(bench.session.design, path) or [])
        del there[k]
        if change(bench, {path: there or None}):  # what was typed in vain goes with its entry
            for wrong in [w for w in bench.session.wrong if w.startswith(f"{path}.")]:
                bench.session.forget_wrong(wrong)

    Button("Take it out", act, classes="sw-quiet")


class NewName:
    """A field for the name of something that is not there yet."""

    def __init__(self, label: str, wish: str, mark: str) -> None:
        with box("sw-field") as part:
            name = f"n{part.id}"
            Words(label, "label").props(f"for={name}")
            self.input = ui.input(value=wish).props(
                f"for={name} dense borderless hide-bottom-space autocomplete=off spellcheck=false")
        self.input.mark(mark)

    @property
    def text(self) -> str:
        """What stands in it."""
        return (self.input.value or "").strip()


def change(bench: Bench, changes: Mapping[str, Any], field: str = "") -> bool:
    """Make several changes as one step of undo; a refusal is told. Whether it was taken."""
    key = field or next(iter(changes))
    taken = bench.session.edit_many(changes, key)
    if not taken:
        bench.say(bench.session.wrong.pop(key).sentence)
    bench.session.commit()
    return taken

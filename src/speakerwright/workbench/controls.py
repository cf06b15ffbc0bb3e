"""Fields and turning controls: one decided value each, by its path.

What is typed is taken on Enter or when the field is left; what cannot be taken stays in the field
with the sentence under it. A slider edits live, and its release makes one step of undo.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

from nicegui import ui
from nicegui.events import GenericEventArguments

from speakerwright.design.document import Design
from speakerwright.design.patch import from_text
from speakerwright.design.values import Choice, Quantity, Text, Whole, YesNo
from speakerwright.words.errors import DesignErrors
from speakerwright.words.units import BARE, KINDS, UnitError, split, to_unit, write_like
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.parts import Button, Pick, Words, box
from speakerwright.workbench.session import written
from speakerwright.workbench.steady import SteadySlider, SteadyText
from speakerwright.workbench.typed import as_written

_STEPS = 400


def shown(value: Any) -> str:
    """A written value as a field shows it: as it stands in the file."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(shown(one) for one in value)
    return str(value)


def read(design: Design, path: str, typed: str, *, listed: bool = False) -> Any:
    """What is meant by a typed text at a path; None for an empty one.

    A plain number takes the unit of the quantity that stands there.
    """
    text = typed.strip()
    if not text:
        return None
    if listed:
        return [_one(design, f"{path}.{k}", part.strip(), None)
                for k, part in enumerate(text.split(",")) if part.strip()]
    return _one(design, path, text, written(design, path))


def _one(design: Design, path: str, text: str, there: Any) -> Any:
    marker = design.marker(path)
    if isinstance(marker, Text):
        return text
    if isinstance(marker, Quantity) and marker.kind not in BARE:
        return as_written(text, marker.kind, split(there)[1] if isinstance(there, str) else "")
    return from_text(text, marker)


class Field:
    """A labelled field for one written value."""

    def __init__(
        self, bench: Bench, path: str, label: str, *, listed: bool = False, hint: str = "",
        wide: bool = False, lines: int = 0, typing: bool = False,
    ) -> None:
        self.bench, self.path, self.listed = bench, path, listed
        self._dirty, self._live = False, typing
        with box(f"sw-field {'sw-wide' if wide or lines else ''}") as self.part:
            self.part.props["data-path"] = path
            name = f"f{self.part.id}"
            Words(label, "label").props(f"for={name}")
            wrong = bench.session.wrong.get(path)
            text = wrong.text if wrong else shown(written(bench.session.design, path))
            # given at once: a value set afterwards could overtake a hand that types early
            self.input = SteadyText(text, path, lines=lines, pause=0.25 if typing else 0.0).props(
                f'for={name} dense borderless hide-bottom-space autocomplete=off spellcheck=false')
            self.input.props["placeholder"] = hint or example(bench.session.design, path)
            self.wrong = Words("", "p", "sw-wrong").props("role=alert")
        self.input.mark(path)
        self.input.on_value_change(self._typed)
        self.input.on("typed", lambda event: self.input.heard(event.args))
        self.input.on("blur", self._left)
        self.input.on("keydown.enter", self._left)
        self.input.on("keydown.escape", self._given_up)
        bench.fields[path] = self
        bench.watch(self.show)

    def show(self) -> None:
        """Show what the design says, or what was typed in vain; never over a hand that types."""
        wrong = self.bench.session.wrong.get(self.path)
        self.wrong.set_text("" if wrong is None else wrong.sentence)
        self.wrong.set_visibility(wrong is not None)
        if wrong is not None:
            self.part.classes("is-wrong")
            text = wrong.text
        else:
            self.part.classes(remove="is-wrong")
            text = shown(written(self.bench.session.design, self.path))
        if not self._dirty and self.input.value != text:
            self._set(text)

    def _set(self, text: str) -> None:
        self._echo = True
        self.input.set_value(text)
        self._echo = False

    _echo = False

    def _typed(self) -> None:
        if self._echo:
            return
        self._dirty = True
        if self._live:
            self._edit()

    def _left(self, event: GenericEventArguments) -> None:
        self.input.heard(event.args)
        self.take()

    def _given_up(self, event: GenericEventArguments) -> None:
        self.input.heard(event.args)
        self.give_up()

    def _edit(self) -> bool:
        session, typed = self.bench.session, self.input.value or ""
        try:
            value = read(session.design, self.path, typed, listed=self.listed)
        except (DesignErrors, UnitError, ValueError):
            value = typed
        if value is None and written(session.design, self.path) is None:
            session.forget_wrong(self.path)
            return True
        return session.edit(self.path, value, typed)

    def take(self) -> None:
        """Take what was typed, as one step of undo."""
        if not self._dirty:
            return
        self._dirty = False
        self._edit()
        self.bench.session.commit()
        self.show()

    def give_up(self) -> None:
        """Show the design's value again."""
        self._dirty = False
        self.bench.session.forget_wrong(self.path)
        self.show()

    def point(self) -> None:
        """Bring the field into view and focus it."""
        point_at(self.path)


def point_at(path: str) -> None:
    """Open, scroll to and focus the field of a path."""
    ui.run_javascript(f"swPoint({json.dumps(path)})")


def example(design: Design, path: str) -> str:
    """How a value at a path is written, for an empty field."""
    marker = design.marker(path)
    if isinstance(marker, Quantity):
        return f"like {KINDS[marker.kind].example}"
    return "like 2" if isinstance(marker, Whole) else ""


class ChoiceField:
    """A labelled list of words for one written value."""

    def __init__(
        self, bench: Bench, path: str, label: str, options: Mapping[str, str] | None = None, *,
        default: str = "", none: str = "",
    ) -> None:
        self.bench, self.path, self.default = bench, path, default
        marker = bench.session.design.marker(path)
        self._yes_no = isinstance(marker, YesNo)
        words = options or _words(marker)
        if none:
            words = {"": none, **words}
        with box("sw-field") as part:
            part.props["data-path"] = path
            Words(label, "span", "sw-label")
            self.pick = Pick(words, self._value(), self._picked, label)
            self.wrong = Words("", "p", "sw-wrong").props("role=alert")
        self.pick.mark(path)
        bench.fields[path] = self
        bench.watch(self.show)

    def _value(self) -> str:
        value = shown(written(self.bench.session.design, self.path))
        return value or self.default

    def show(self) -> None:
        """Show what the design says."""
        wrong = self.bench.session.wrong.get(self.path)
        self.wrong.set_text("" if wrong is None else wrong.sentence)
        self.wrong.set_visibility(wrong is not None)
        self.pick.show(self._value() if wrong is None else wrong.text)

    def _picked(self, word: str) -> None:
        value: Any = (word == "yes") if self._yes_no else (word or None)
        self.bench.session.edit(self.path, value, word)
        self.bench.session.commit()
        self.show()

    def point(self) -> None:
        """Bring the field into view and focus it."""
        point_at(self.path)


def _words(marker: Any) -> dict[str, str]:
    if isinstance(marker, YesNo):
        return {"yes": "yes", "no": "no"}
    if isinstance(marker, Choice):
        return {word: word for word in marker.words}
    return {}


def field_for(bench: Bench, path: str, label: str, **more: Any) -> Any:
    """The control that belongs to the kind of value at a path."""
    marker = bench.session.design.marker(path)
    if isinstance(marker, (Choice, YesNo)):
        allowed = {name: value for name, value in more.items() if name in ("default", "none")}
        return ChoiceField(bench, path, label, **allowed)
    more.pop("default", None), more.pop("none", None)
    return Field(bench, path, label, **more)


class Absent:
    """Where a table would stand that is not decided: its button is what is pointed at."""

    def __init__(self, bench: Bench, path: str, part: ui.element) -> None:
        self.path = path
        part.props["data-path"] = path
        bench.fields[path] = self

    def point(self) -> None:
        """Bring the button into view and focus it."""
        point_at(self.path)


class Turn:
    """A field with a slider beneath it: what one turns beside the curve that it moves.

    The slider spans a few times the value at which it was made, evenly in octaves, or for levels a
    few decibels about it.
    """

    def __init__(self, bench: Bench, path: str, label: str, *, octaves: float = 1.6,
                 span_db: float = 12.0) -> None:
        self.bench, self.path = bench, path
        marker = bench.session.design.marker(path)
        assert isinstance(marker, Quantity)
        self.marker = marker
        self._octaves, self._span_db = octaves, span_db
        with box("sw-turn"):
            self.field = Field(bench, path, label)
            self._ends()
            self.slider = SteadySlider(_STEPS, self._at())
            self.slider.props["aria-label"] = f"{label}, slider"
        self.slider.mark(f"turn:{path}")
        self.slider.on_value_change(self._turned)
        self.slider.on("turned", lambda event: self.slider.heard(event.args))
        self.slider.on("change", self._let_go)
        bench.watch(self.show)

    def _si(self) -> float | None:
        there = written(self.bench.session.design, self.path)
        return None if there is None else self.marker.read(there)

    def _ends(self) -> None:
        value = self._si()
        if self.marker.kind == "level":
            middle = value if value is not None else 0.0
            self.low, self.high = middle - self._span_db, middle + self._span_db
            self.low = max(self.low, self.marker.low)
            return
        middle = value if value else 1.0
        self.low, self.high = middle / 2.0**self._octaves, middle * 2.0**self._octaves
        self.high = min(self.high, self.marker.high)

    def _evenly(self) -> bool:
        """Whether it runs evenly from end to end, and not in octaves."""
        return self.marker.kind == "level"

    def _let_go(self, event: GenericEventArguments) -> None:
        self.slider.heard(event.args)
        self.bench.session.commit()

    def _at(self) -> int:
        if self._hand is not None and self._hand[1] == written(self.bench.session.design,
                                                               self.path):
            return self._hand[0]
        value = self._si()
        if value is None:
            return 0
        if not self.low <= value <= self.high:
            self._ends()
        if self._evenly():
            share = (value - self.low) / (self.high - self.low)
        else:
            share = math.log(value / self.low) / math.log(self.high / self.low)
        return round(_STEPS * share)

    def show(self) -> None:
        """Stand where the design's value is."""
        at = self._at()
        if self.slider.value != at:
            self._echo = True
            self.slider.set_value(at)
            self._echo = False

    _echo = False
    _hand: tuple[int, Any] | None = None  # the step at which a hand left it, and what that wrote

    def _turned(self) -> None:
        if self._echo or self.slider.value == self._at():
            return
        share = self.slider.value / _STEPS
        if self._evenly():
            value = self.low + share * (self.high - self.low)
        else:
            value = self.low * (self.high / self.low) ** share
        there = written(self.bench.session.design, self.path)
        text = rounded(value, self.marker.kind, there)
        self._hand = (self.slider.value, text)
        if text != there:
            self.bench.session.edit(self.path, text)
            self.show()


def rounded(value: float, kind: str, there: Any) -> str | float:
    """A value in SI as a hand would set it: three digits in the unit that stands there.

    Levels go in tenths of a decibel; what is written in fractions stays in sixteenths.
    """
    if kind in BARE:
        return float(f"{value:.3g}")
    unit, manner = KINDS[kind].unit, "decimal"
    if isinstance(there, str):
        _, unit, manner = split(there)
    number = to_unit(value, kind, unit)
    if manner == "fraction":
        sixteenths = round(16.0 * number) / 16.0
        scale = (value / number) if number else 1.0
        return write_like(sixteenths * scale, kind, there)
    text = f"{number:.1f}" if kind == "level" else f"{float(f'{number:.3g}'):.12g}"
    return f"{text} {unit}"


def remove_button(bench: Bench, words: str, changes: Mapping[str, Any], *, field: str = "",
                  tip: str = "") -> Button:
    """A button that makes several changes as one edit; a refusal is told under `field`."""

    def act() -> None:
        if not bench.session.edit_many(changes, field):
            wrong = bench.session.wrong.pop(field or next(iter(changes)))
            bench.say(wrong.sentence)
        bench.session.commit()

    return Button(words, act, tip=tip, classes="sw-quiet")

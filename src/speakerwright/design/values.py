"""Types of decided values: quantities with units, counts, texts, choices; and one base section."""

from __future__ import annotations

import difflib
import json
import math
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from speakerwright.words.units import BARE, KINDS, UnitError, parse, quoted, show, with_article


def wrong(says: str, try_this: str = "") -> PydanticCustomError:
    """A complaint of a value's type: what is so, and what to do about it."""
    return PydanticCustomError("said", "{says}", {"says": says, "try_this": try_this})


@dataclass(frozen=True)
class Quantity:
    """A written quantity of a kind, held in SI, between bounds in SI.

    `low` is excluded when `above` is true.
    """

    kind: str
    low: float = 0.0
    high: float = float("inf")
    above: bool = True

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, written: Any) -> float:
        """The SI value of what is written; a sentence when it cannot be."""
        if isinstance(written, bool) or not isinstance(written, (str, int, float)):
            example = KINDS[self.kind].example
            like = example if self.kind in BARE else f'"{example}"'
            raise wrong(
                f"{quoted(written)} is not {with_article(self.kind)}.", f"Write it like {like}."
            )
        try:
            value = parse(written, self.kind)
        except UnitError as error:
            raise wrong(str(error)) from None
        if value < self.low or (self.above and value == self.low) or value > self.high:
            raise wrong(f"{quoted(written)} is out of range.", self._range())
        return value

    def _range(self) -> str:
        low = show(self.low, self.kind) if self.kind not in BARE else f"{self.low:g}"
        if self.high == float("inf"):
            return f"It must be {'above' if self.above else 'at least'} {low}."
        high = show(self.high, self.kind) if self.kind not in BARE else f"{self.high:g}"
        return f"It must be {'above' if self.above else 'from'} {low} and at most {high}."


@dataclass(frozen=True)
class Whole:
    """A whole number between bounds."""

    low: int
    high: int

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, written: Any) -> int:
        """The number; a sentence when it is none or out of range."""
        if isinstance(written, bool) or not isinstance(written, int):
            raise wrong(f"{quoted(written)} is not a whole number.", "Write it like 2.")
        if not self.low <= written <= self.high:
            span = f"from {self.low} to {self.high}" if self.low < self.high else f"{self.low}"
            raise wrong(f"{quoted(written)} is out of range.", f"It must be {span}.")
        return written


@dataclass(frozen=True)
class Number:
    """A plain finite number of either sign."""

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, written: Any) -> float:
        """The number; a sentence when it is none or not finite."""
        if isinstance(written, bool) or not isinstance(written, (int, float)):
            raise wrong(f"{quoted(written)} is not a number.", "Write it like 0.012.")
        if abs(written) > 1e300 or not math.isfinite(written):
            raise wrong(f"{quoted(written)} is not a finite number.", "Write it like 0.012.")
        return float(written)


@dataclass(frozen=True)
class YesNo:
    """True or false, and nothing that merely looks like it."""

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, written: Any) -> bool:
        """True or false; a sentence when it is something else."""
        if not isinstance(written, bool):
            raise wrong(f"{quoted(written)} is neither true nor false.", "Write true or false.")
        return written


# control characters and surrogates, and those that turn the direction of writing or end a line
_HIDDEN = frozenset({"Cc", "Cs"})
_TURNS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u2028\u2029")


@dataclass(frozen=True)
class Text:
    """Text of a bounded length without control characters; one line unless `lines`."""

    most: int = 200
    lines: bool = False

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, written: Any) -> str:
        """The text; a sentence when it is none, empty or too long."""
        if not isinstance(written, str):
            raise wrong(f"{quoted(written)} is not text.", "Write it in quotes.")
        if not written.strip():
            raise wrong("it is empty.", "Say something or leave it out.")
        if len(written) > self.most:
            raise wrong(
                f"it is {len(written)} characters long.", f"Keep it to {self.most} at most."
            )
        if "\n" in written and not self.lines:
            raise wrong("it runs over several lines.", "Write it on one line.")
        if any(_hidden(c) for c in written):
            raise wrong("it holds control characters.", "Take them out.")
        return written


def _hidden(character: str) -> bool:
    if character in "\n\t":
        return False
    return character in _TURNS or unicodedata.category(character) in _HIDDEN


@dataclass(frozen=True)
class Choice:
    """One of a few words."""

    words: tuple[str, ...]

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, written: Any) -> str:
        """The word; a sentence with the nearest known one when it is not among them."""
        if isinstance(written, str) and written in self.words:
            return written
        near = nearest(written, self.words) if isinstance(written, str) else None
        hint = f"Did you mean '{near}'? " if near else ""
        raise wrong(
            f"{quoted(written)} is not one of the words known here.",
            f"{hint}Known: {', '.join(self.words)}.",
        )


def nearest(word: str, known: Sequence[str]) -> str | None:
    """The known name nearest to a mistyped one, if any is near."""
    found = difflib.get_close_matches(word[:80], list(known), n=1, cutoff=0.55)
    return found[0] if found else None


Length = Annotated[float, Quantity("length", high=20.0)]
LengthOrZero = Annotated[float, Quantity("length", above=False, high=20.0)]
Distance = Annotated[float, Quantity("distance", high=1000.0)]
Area = Annotated[float, Quantity("area", high=10.0)]
Volume = Annotated[float, Quantity("volume", high=50.0)]
VolumeOrZero = Annotated[float, Quantity("volume", above=False, high=50.0)]
RoomVolume = Annotated[float, Quantity("room volume", high=1e6)]
Frequency = Annotated[float, Quantity("frequency", high=200e3)]
Seconds = Annotated[float, Quantity("time", high=60.0)]
Duration = Annotated[float, Quantity("duration", high=24 * 3600.0)]
Mass = Annotated[float, Quantity("mass", high=1000.0)]
MovingMass = Annotated[float, Quantity("moving mass", high=5.0)]
Compliance = Annotated[float, Quantity("compliance", high=1.0)]
MechanicalResistance = Annotated[float, Quantity("mechanical resistance", high=1e4)]
ForceFactor = Annotated[float, Quantity("force factor", high=200.0)]
Resistance = Annotated[float, Quantity("resistance", high=1e6)]
ResistanceOrZero = Annotated[float, Quantity("resistance", above=False, high=1e6)]
Inductance = Annotated[float, Quantity("inductance", high=1.0)]
Capacitance = Annotated[float, Quantity("capacitance", high=1.0)]
Voltage = Annotated[float, Quantity("voltage", high=1000.0)]
Current = Annotated[float, Quantity("current", high=1000.0)]
Power = Annotated[float, Quantity("power", high=1e5)]
Speed = Annotated[float, Quantity("speed", high=340.0)]
Angle = Annotated[float, Quantity("angle", low=-180.0, high=180.0, above=False)]
Temperature = Annotated[float, Quantity("temperature", low=-20.0, high=50.0, above=False)]
Pressure = Annotated[float, Quantity("pressure", low=50e3, high=120e3, above=False)]
Decibel = Annotated[float, Quantity("level", low=-200.0, high=200.0, above=False)]
DecibelOrZero = Annotated[float, Quantity("level", high=100.0, above=False)]
Percent = Annotated[float, Quantity("percent", high=100.0)]
Ratio = Annotated[float, Quantity("ratio", high=1e4)]
Money = Annotated[float, Quantity("money", above=False, high=1e7)]
Count = Annotated[int, Whole(1, 64)]
Name = Annotated[str, Text(120)]
Sentence = Annotated[str, Text(2000, lines=True)]


class Section(BaseModel):
    """A part of the design file or of a record: frozen, and no unknown names."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    @property
    def key(self) -> str:
        """Digest of the decided values."""
        return digest(self.model_dump(mode="json"))


def digest(value: Any) -> str:
    """Digest of plain data by its canonical JSON."""
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return blake2b(text.encode(), digest_size=16).hexdigest()


DEEPEST = 20  # tables and lists inside each other; the format itself needs six


def too_deep(raw: Any) -> bool:
    """Whether something lies deeper than any design has it; asked without recursion."""
    level: list[Any] = [raw]
    for _ in range(DEEPEST):
        level = [
            inner
            for outer in level if isinstance(outer, (dict, list))
            for inner in (outer.values() if isinstance(outer, dict) else outer)
        ]
        if not level:
            return False
    return True


def problems(found: Sequence[tuple[str, str, str]]) -> PydanticCustomError:
    """Several things wrong in one section, as (path inside it, what is so, what to do)."""
    return PydanticCustomError("several", "{n} problems", {"n": len(found), "found": list(found)})


def plain(value: Any) -> Any:
    """Deep plain copy of parsed TOML (dict, list, scalars)."""
    if isinstance(value, Mapping):
        return {str(name): plain(inner) for name, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(inner) for inner in value]
    return value

"""Quantities as makers write them, to SI and back; pint does the arithmetic inside.

A file says ``"305 mm"``, ``"11 7/8 in"``, ``"48 Hz"``, ``"92 L"``; the program holds floats in SI.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

THIN = "\u202f"  # narrow no-break space before a unit
MINUS = "\u2212"  # the minus sign a reader sees; a file may hold it or a hyphen


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its SI unit, an example, and the unit and digits it is shown in."""

    name: str
    si: str
    example: str
    unit: str
    digits: int
    imperial: str = ""


_KINDS = (
    Kind("length", "m", "305 mm", "mm", 1, "in"),
    Kind("distance", "m", "11 m", "m", 2, "ft"),
    Kind("area", "m^2", "531 cm^2", "cm^2", 1, "in^2"),
    Kind("volume", "m^3", "92 L", "L", 2, "ft^3"),
    Kind("room volume", "m^3", "990 m^3", "m^3", 0, "ft^3"),
    Kind("frequency", "Hz", "48 Hz", "Hz", 1),
    Kind("time", "s", "1.1 s", "s", 2),
    Kind("short time", "s", "8 ms", "ms", 1),
    Kind("duration", "s", "4 h", "h", 1),
    Kind("mass", "kg", "6.8 kg", "kg", 2, "lb"),
    Kind("moving mass", "kg", "50 g", "g", 2),
    Kind("compliance", "m/N", "0.2 mm/N", "mm/N", 3),
    Kind("stiffness", "N/m", "5 N/mm", "N/mm", 2),
    Kind("mechanical resistance", "kg/s", "2.8 kg/s", "kg/s", 2),
    Kind("force factor", "T*m", "15.2 T m", "T m", 2),
    Kind("resistance", "ohm", "8 ohm", "ohm", 2),
    Kind("inductance", "H", "0.45 mH", "mH", 3),
    Kind("capacitance", "F", "330 uF", "uF", 1),
    Kind("voltage", "V", "90 V", "V", 1),
    Kind("current", "A", "22 A", "A", 1),
    Kind("power", "W", "500 W", "W", 0),
    Kind("speed", "m/s", "17 m/s", "m/s", 1),
    Kind("excursion", "m", "6.5 mm", "mm", 2),
    Kind("angle", "deg", "40 deg", "deg", 0),
    Kind("thermal resistance", "K/W", "0.6 K/W", "K/W", 2),
    Kind("temperature", "degC", "20 degC", "degC", 1),
    Kind("pressure", "Pa", "101.325 kPa", "kPa", 3),
    Kind("level", "dB", "95 dB", "dB", 1),
    Kind("percent", "%", "50 %", "%", 1),
    Kind("ratio", "", "0.38", "", 3),
    Kind("count", "", "2", "", 0),
    Kind("money", "", "139", "", 0),
)
KINDS: dict[str, Kind] = {kind.name: kind for kind in _KINDS}
BARE = frozenset({"ratio", "count", "money"})  # written as plain numbers
_PLAIN = {"level": ("dB",), "percent": ("%",), "angle": ("deg", "°")}
_DIGIT = "[0-9]"
_NUMBER = rf"[+-]?(?:{_DIGIT}+\.?{_DIGIT}*|\.{_DIGIT}+)(?:[eE][+-]?{_DIGIT}+)?"
_QUANTITY = re.compile(
    rf"\s*(?:(?P<sign>[+-]?)(?:(?P<whole>{_DIGIT}+)(?:\s|-))?(?P<over>{_DIGIT}+)/(?P<under>{_DIGIT}+)"
    rf"|(?P<number>{_NUMBER}))"
    r"\s*(?P<unit>[^\d\s].*?)?\s*\Z"
)
_COMMA = re.compile(r"\s*[+-]?[0-9]+,[0-9]")
_UNIT = re.compile(r"(?:[^\W\d_]|[°%·*/ ()²³]|\^-?[0-9](?![0-9^*.]))+\Z")
LONGEST = 60  # characters of a written quantity
_PRETTY = {"ohm": "Ω", "uF": "µF", "cm^2": "cm²", "m^3": "m³", "ft^3": "ft³", "in^2": "in²",
           "deg": "°", "degC": "°C"}


class UnitError(ValueError):
    """A quantity that cannot be read; the message is a full sentence."""


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(cache_folder=None)


@lru_cache(maxsize=512)
def _factor(unit: str, si: str) -> tuple[float, float]:
    """Scale and offset that take a number in `unit` to `si`; UnitError when they do not fit."""
    import pint

    registry = _registry()
    if not _UNIT.match(unit):  # names, powers of one digit, products and quotients; no sums
        raise UnitError(f"{quoted(unit)} is not a known unit")
    text = unit.replace("²", "^2").replace("³", "^3").replace("Ω", "ohm").replace("µ", "u")
    text = re.sub(r"(?<=[A-Za-z])\s*[\s·]\s*(?=[A-Za-z])", "*", text.strip())
    if text in ("L", "l"):
        text = "liter"
    try:
        zero = registry.Quantity(0.0, text).to(si).magnitude
        one = registry.Quantity(1.0, text).to(si).magnitude
    except pint.errors.DimensionalityError:
        raise UnitError(f"{quoted(unit)} does not measure this") from None
    except Exception:
        raise UnitError(f"{quoted(unit)} is not a known unit") from None
    return float(one - zero), float(zero)


def _scale(unit: str, kind: Kind) -> tuple[float, float]:
    if kind.name in _PLAIN:
        if unit in _PLAIN[kind.name]:
            return 1.0, 0.0
        raise UnitError(f"{quoted(unit)} does not measure this")
    return _factor(unit, kind.si)


def split(text: str) -> tuple[float, str, str]:
    """Number, unit and way of writing (``decimal`` or ``fraction``) of a written quantity."""
    match = _QUANTITY.match(text.replace(MINUS, "-"))
    if match is None or (match["unit"] or "").startswith(","):
        if _COMMA.match(text):
            raise UnitError("it has a decimal comma; use a decimal point")
        raise UnitError("it is not a number with a unit")
    unit = (match["unit"] or "").strip()
    if match["number"] is not None:
        return float(match["number"]), unit, "decimal"
    if int(match["under"]) == 0:
        raise UnitError("its fraction divides by zero")
    value = int(match["whole"] or 0) + Fraction(int(match["over"]), int(match["under"]))
    return float(-value if match["sign"] == "-" else value), unit, "fraction"


@lru_cache(maxsize=4096)
def parse(text: str | float, kind: str) -> float:
    """Read a written quantity of a kind into SI.

    Raises `UnitError`, whose message says what is so and how to write it, when the text is no
    number with a unit, the unit does not measure this kind, or the number is not finite.
    """
    known = KINDS[kind]
    like = f'Write it like {known.example if kind in BARE else chr(34) + known.example + chr(34)}.'
    try:
        if isinstance(text, str) and len(text) > LONGEST:
            raise UnitError("it is far too long")
        if isinstance(text, (int, float)):
            if kind not in BARE:
                raise UnitError("it has no unit")
            number, scale, offset = float(text), 1.0, 0.0
        else:
            number, unit, _ = split(text)
            if kind in BARE:
                raise UnitError("it is written as text, but it is a plain number")
            if not unit:
                raise UnitError("it has no unit")
            scale, offset = _scale(unit, known)
    except UnitError as error:
        raise UnitError(f"{quoted(text)} is not {with_article(kind)}: {error}. {like}") from None
    except OverflowError:
        raise UnitError(f"{quoted(text)} is far too large. {like}") from None
    value = number * scale + offset
    if not math.isfinite(value):
        raise UnitError(f"{quoted(text)} is not a finite {kind}. {like}")
    return value


def with_article(kind: str) -> str:
    """A kind with its article: ``an area``, ``a length``."""
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def quoted(value: object) -> str:
    """What was written, short enough for one line of an error and without control characters."""
    if isinstance(value, bool):
        text = str(value).lower()
    elif isinstance(value, int) and value.bit_length() > 200:
        text = "a number of very many digits"
    else:
        text = ascii(value) if isinstance(value, str) and not value.isprintable() else (
            repr(value) if isinstance(value, str) else str(value))
    return text if len(text) <= LONGEST else text[: LONGEST - 3] + "..."


def to_unit(value: float, kind: str, unit: str) -> float:
    """An SI value as a number in `unit`."""
    scale, offset = _scale(unit, KINDS[kind])
    return (value - offset) / scale


def _trim(number: float, digits: int) -> str:
    text = f"{number:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text


def _minus(text: str) -> str:
    """A number as printed, with a true minus sign and none before a zero."""
    if text.startswith("-"):
        return f"{MINUS}{text[1:]}" if text.strip("-0.") else text[1:]
    return text


def _inches(value_in: float, under: int = 32) -> str:
    """Inches to the nearest 1/`under`, as a workshop writes them."""
    sign = "-" if value_in < 0 else ""
    parts = Fraction(round(abs(value_in) * under), under)
    whole, rest = divmod(parts, 1)
    text = str(whole) if whole or not rest else ""
    return sign + (f"{text} {rest}".strip() if rest else text)


def show(value: float | None, kind: str, system: str = "metric") -> str:
    """A value for a reader, in the unit of its kind (or inches to 1/32, feet, pounds)."""
    known = KINDS[kind]
    if value is None or math.isnan(value):
        return "–"
    if math.isinf(value):
        return "no limit"
    unit = known.imperial if system == "inch" and known.imperial else known.unit
    if not unit:
        return _minus(_trim(value, known.digits))
    number = to_unit(value, kind, unit)
    if unit == "in":
        text = _inches(number)
    elif unit == known.unit:
        text = f"{number:.{known.digits}f}"
    else:
        text = f"{number:.{max(known.digits, 2)}f}"
    return f"{_minus(text)}{'' if unit == 'deg' else THIN}{_PRETTY.get(unit, unit)}"


def write_like(value: float, kind: str, sample: str | None) -> str | float:
    """A value as the file would write it: in the unit and manner of `sample`, exactly readable.

    A fraction stays a fraction when the value is one of 64ths; otherwise it becomes a decimal.
    """
    if kind in BARE:
        return int(value) if kind == "count" or float(value).is_integer() else float(value)
    unit, manner = KINDS[kind].unit, "decimal"
    if sample is not None:
        _, unit, manner = split(sample)
    number = to_unit(value, kind, unit)
    if manner == "fraction":
        parts = Fraction(number).limit_denominator(64)
        written = f"{_inches(float(parts), parts.denominator)} {unit}"
        if math.isclose(parse(written, kind), value, rel_tol=1e-12, abs_tol=0.0):
            return written
    for digits in range(1, 18):
        text = f"{number:.{digits}g}"
        if "e+" in text and abs(number) < 1e15:
            text = f"{float(text):.0f}"
        written = f"{text} {unit}"
        if math.isclose(parse(written, kind), value, rel_tol=1e-12, abs_tol=0.0):
            return written
    return f"{number!r} {unit}"

"""What a hand types for a quantity, brought to how it is written: 60hz, 137cm2, "14 L", 7.2 Tm."""

from __future__ import annotations

import re

from speakerwright.words.units import BARE, KINDS, UnitError, parse, split

_UNITS = {
    "frequency": ("Hz", "kHz"), "level": ("dB",), "percent": ("%",),
    "area": ("mm^2", "cm^2", "m^2", "in^2"), "volume": ("L", "cm^3", "m^3", "ft^3", "in^3"),
    "room volume": ("m^3", "ft^3", "L"), "force factor": ("T m", "N/A"),
    "resistance": ("ohm",), "power": ("W", "kW"), "voltage": ("V",), "current": ("A",),
    "length": ("mm", "cm", "in", "m"), "excursion": ("mm", "cm", "in"),
    "distance": ("m", "cm", "mm", "ft"), "mechanical resistance": ("kg/s", "N s/m"),
    "compliance": ("mm/N", "um/N", "m/N"), "moving mass": ("g", "kg"), "mass": ("kg", "g", "lb"),
    "inductance": ("mH", "uH", "H"), "temperature": ("degC",), "angle": ("deg",),
}
_ALIKE = {"°c": "degc", "c": "degc", "°": "deg", "ω": "ohm", "sqcm": "cm2", "sqin": "in2",
          "ltr": "l", "gr": "g"}


def as_written(text: str, kind: str, unit: str = "") -> str:
    """A typed text as a design file writes it, where what is meant is beyond doubt.

    Parameters
    ----------
    text : str
        Quotes around it go, and a unit in other letters becomes the usual one.
    kind : str
        The kind of quantity.
    unit : str
        What a number without a unit is in.

    Returns
    -------
    str
        The text itself where it can be read as it is, or cannot be mended.
    """
    bare = text.strip().strip("\"'\u201c\u201d").strip()
    try:
        given = split(bare)[1]
    except UnitError:
        return _closed_up(bare, kind)
    if not given and unit:
        return f"{bare} {unit}"
    if kind in BARE or not given or _reads(bare, kind):
        return bare
    usual = _usual(given, kind)
    return bare if usual is None else f"{bare.removesuffix(given).strip()} {usual}"


def _reads(text: str, kind: str) -> bool:
    try:
        parse(text, kind)
    except UnitError:
        return False
    return True


def _bare(unit: str) -> str:
    """A unit without case, spaces, dots and powers' marks."""
    low = unit.casefold().replace("²", "2").replace("³", "3").replace("µ", "u").replace("μ", "u")
    low = re.sub(r"[\s^·.*]", "", low)
    return _ALIKE.get(low, low)


def _usual(given: str, kind: str) -> str | None:
    return next((unit for unit in _UNITS.get(kind, ()) if _bare(unit) == _bare(given)), None)


def _closed_up(text: str, kind: str) -> str:
    """A number and a unit with a digit in it, which the usual reading takes for no unit: 137cm2."""
    match = re.fullmatch(r"\s*([+-]?[0-9]+\.?[0-9]*)\s*([^\d\s.,].*)", text)
    usual = None if match is None or kind not in KINDS else _usual(match[2], kind)
    return text if match is None or usual is None else f"{match[1]} {usual}"

"""Older formats of the design file and of records, brought to the present one when read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from speakerwright.design.values import plain
from speakerwright.words.errors import refuse
from speakerwright.words.units import quoted

FORMAT = 1
RECORD_FORMAT = 1

Step = Callable[[dict[str, Any]], dict[str, Any]]

STEPS: dict[int, Step] = {}
"""Per old format, the function that takes a plain design file one format forward."""

RECORD_STEPS: dict[int, Step] = {}
"""Per old format, the function that takes a plain record one format forward."""


def migrated(raw: Mapping[str, Any], where: str = "format") -> dict[str, Any]:
    """A parsed design file in the present format.

    Raises `DesignErrors` when the format is missing, no whole number, or newer than this program.
    """
    return _forward(raw, where, FORMAT, STEPS)


def migrated_record(raw: Mapping[str, Any], where: str = "format") -> dict[str, Any]:
    """A parsed record in the present format; raises like `migrated`."""
    return _forward(raw, where, RECORD_FORMAT, RECORD_STEPS)


def _forward(
    raw: Mapping[str, Any], where: str, newest: int, steps: Mapping[int, Step]
) -> dict[str, Any]:
    data: dict[str, Any] = plain(raw)
    written = data.get("format")
    if isinstance(written, bool) or not isinstance(written, int):
        raise refuse(where, "the file does not say its format.", f"Write format = {newest} on top.")
    if written > newest:
        raise refuse(
            where, f"it is format {quoted(written)}, newer than this program reads ({newest}).",
            "Get a newer Speakerwright.",
        )
    if written < 1:
        raise refuse(where, f"there is no format {quoted(written)}.", f"Write format = {newest}.")
    for step in range(written, newest):
        try:
            data = {**steps[step](data), "format": step + 1}
        except (LookupError, TypeError, ValueError, AttributeError):  # not what that format held
            raise refuse(
                where, f"it is not a file of format {step} in all its parts.",
                f"Mend it with the program that wrote it, or write it as format {newest}.",
            ) from None
    return data

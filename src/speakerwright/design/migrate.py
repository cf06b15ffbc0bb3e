"""Older formats of the design file, brought to the present one when they are read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from speakerwright.design.values import plain
from speakerwright.words.errors import refuse

FORMAT = 1

STEPS: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {}
"""Per old format, the function that takes a plain design file one format forward."""


def migrated(raw: Mapping[str, Any], where: str = "format") -> dict[str, Any]:
    """A parsed design file in the present format.

    Raises `DesignErrors` when the format is missing, no whole number, or newer than this program.
    """
    data: dict[str, Any] = plain(raw)
    written = data.get("format")
    if isinstance(written, bool) or not isinstance(written, int):
        raise refuse(where, "the file does not say its format.", f"Write format = {FORMAT} on top.")
    if written > FORMAT:
        raise refuse(
            where, f"it is format {written}, newer than this program reads ({FORMAT}).",
            "Get a newer Speakerwright.",
        )
    if written < 1:
        raise refuse(where, f"there is no format {written}.", f"Write format = {FORMAT}.")
    for step in range(written, FORMAT):
        data = STEPS[step](data)
        data["format"] = step + 1
    return data

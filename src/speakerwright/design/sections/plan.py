"""What the plan decides: title, version, date, licence, units, prices."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from speakerwright.design.values import Choice, Name, Section, Sentence, Text, wrong
from speakerwright.words.units import quoted


def _iso_date(value: Any) -> str:
    import datetime

    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, str):
        try:
            return datetime.date.fromisoformat(value).isoformat()
        except ValueError:
            pass
    raise wrong(f"{quoted(value)} is not a date.", "Write it like 2026-03-01.")


class PlanSection(Section):
    """How the plan is titled, dated, licensed and printed."""

    title: Name
    version: Annotated[str, Text(40)] = "0.1"
    date: Annotated[str, BeforeValidator(_iso_date)] = "2026-01-01"
    author: Name | None = None
    licence: Sentence | None = None
    units: Annotated[str, Choice(("mm", "inch"))] = "mm"
    paper: Annotated[str, Choice(("a4", "us-letter"))] = "a4"
    currency: Annotated[str, Text(8)] = "EUR"
    notes: tuple[Sentence, ...] = Field(default=())

"""The section of the design file: defaults as stated, and every complaint a sentence."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from speakerwright.design.complaints import sentences
from speakerwright.design.sections.cutting import Cutting

SHEET = {"name": "Birch 18", "size": ["2440 mm", "1220 mm"]}


def said(**values: Any) -> list[tuple[str, str, str]]:
    with pytest.raises(ValidationError) as caught:
        Cutting.model_validate({"sheets": [SHEET], **values})
    return [(e.where, e.says, e.try_this) for e in sentences(caught.value, Cutting, "cutting")]


def test_defaults() -> None:
    saw = Cutting.model_validate({"sheets": [SHEET]})
    assert (saw.tool, saw.grain, saw.margin) == ("saw", "along", 0.010)
    assert (saw.cut_width, saw.least_spacing) == (0.0032, 0.0032)
    router = Cutting.model_validate({"sheets": [SHEET], "tool": "router"})
    assert (router.cut_width, router.least_spacing) == (0.006, 0.012)
    own = Cutting.model_validate(
        {"sheets": [SHEET], "tool": "router", "kerf": "1/4 in", "spacing": "9 mm",
         "margin": "0 mm"})
    assert own.cut_width == pytest.approx(0.00635, rel=1e-12)
    assert (own.least_spacing, own.margin) == (pytest.approx(0.009, rel=1e-12), 0.0)
    assert saw.key != router.key


def test_a_sheet_as_written() -> None:
    sheet = Cutting.model_validate({"sheets": [
        {**SHEET, "price": 89, "count": 2, "thickness": "17.7 mm", "material": "birch plywood"},
    ]}).sheets[0]
    assert sheet.size == (2.44, 1.22)
    assert (sheet.price, sheet.count, sheet.thickness) == (89.0, 2, 0.0177)


@pytest.mark.parametrize(
    ("values", "where", "says"),
    [
        ({"sheets": []}, "cutting.sheets", "it names no sheet."),
        ({"sheets": [SHEET, SHEET]}, "cutting.sheets.1.name", "two sheets have the same name."),
        ({"margin": "200 mm", "sheets": [{**SHEET, "size": ["1 m", "400 mm"]}]},
         "cutting.sheets.0.size", "the margins leave nothing of the sheet."),
        ({"sheets": [{**SHEET, "thickness": "1220 mm"}]}, "cutting.sheets.0.thickness",
         "it is thicker than it is wide."),
        ({"kerf": "0 mm"}, "cutting.kerf", "'0 mm' is out of range."),
        ({"kerf": "26 mm"}, "cutting.kerf", "'26 mm' is out of range."),
        ({"margin": "-1 mm"}, "cutting.margin", "'-1 mm' is out of range."),
        ({"spacing": 3.2}, "cutting.spacing",
         "3.2 is not a length: it has no unit. Write it like \"305 mm\"."),
        ({"grain": "across"}, "cutting.grain", "'across' is not one of the words known here."),
        ({"blade": "3 mm"}, "cutting.blade", "'blade' is not a known name."),
        ({"sheets": [{**SHEET, "count": 0}]}, "cutting.sheets.0.count", "0 is out of range."),
        ({"sheets": [{"name": "x", "size": ["1 m"]}]}, "cutting.sheets.0.size",
         "it has too few entries."),
    ],
)
def test_complaints(values: dict[str, Any], where: str, says: str) -> None:
    found = said(**values)
    assert [(w, s) for w, s, _ in found] == [(where, says)]

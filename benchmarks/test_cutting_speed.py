"""How long cutting takes: the layout of 27 parts, the whole stage, all files."""

from __future__ import annotations

from typing import Any

from speakerwright.cutting.files import files
from speakerwright.cutting.layout import Part, layout
from speakerwright.cutting.sheet import Stock
from speakerwright.cutting.stage import work
from speakerwright.design.sections.cutting import Cutting
from speakerwright.solids.panels import Panel, Placement, hole, pocket
from speakerwright.solids.shapes import rectangle

SECTION = Cutting.model_validate({"sheets": [{"name": "Birch 18", "size": ["2440 mm", "1220 mm"]}]})
HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
SIZES = ((450, 1000), (414, 964), (282, 1000), (282, 1000), (450, 282), (414, 282), (414, 264),
         (414, 60), (414, 60), (264, 60), (264, 60), (300, 200), (320, 320))


def panels() -> list[Panel]:
    """Thirteen boards, each with a hole and a dado; those a metre long keep their grain."""
    return [
        Panel(f"board {k}", rectangle(0.0, 0.0, w, h), 18.0, HERE,
              (hole(w / 2, h / 3, 20.0, "hole"),
               pocket(rectangle(0.0, h / 2, w, h / 2 + 18.0), 6.0, "inside", "dado")),
              grain="v" if h >= 1000 else None)
        for k, (w, h) in enumerate(SIZES)
    ]


def test_layout_of_27_parts(benchmark: Any) -> None:
    parts = [Part(f"{name} {k}", w, h, upright=h < 1000) for name in "ab"
             for k, (w, h) in enumerate(SIZES)]
    parts.append(Part("jig", 500, 120))
    found = benchmark(layout, parts, [Stock("full", 2440.0, 1220.0)], 3.2, 10.0)
    assert len(found.sheets) == 2


def test_stage_of_two_cabinets(benchmark: Any) -> None:
    assert len(benchmark(work, SECTION, panels(), 0.018, 2).sheets) == 2


def test_files_of_two_cabinets(benchmark: Any) -> None:
    result = work(SECTION, panels(), 0.018, 2)
    assert len(benchmark(files, result)) == 1 + 13 + 4

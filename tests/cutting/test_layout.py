"""Parts on sheets: sound by an independent checker, near the fewest sheets, always the same."""

from __future__ import annotations

import json
import math
import os
import random
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutting.checker import faults, fewest_sheets
from speakerwright.cutting.layout import Layout, Part, layout
from speakerwright.cutting.sheet import Stock

FULL = Stock("birch 18", 2440.0, 1220.0, 89.0)


def two_cabinets() -> list[Part]:
    """27 parts of two invented cabinets; sides keep to the grain."""
    found = []
    for cabinet in ("a", "b"):
        for name, w, h, turned in (
            ("baffle", 450, 1000, True), ("back", 414, 964, True), ("side left", 1000, 282, False),
            ("side right", 1000, 282, False), ("top", 450, 282, True), ("bottom", 414, 282, True),
            ("shelf", 414, 264, True), ("brace 1", 414, 60, True), ("brace 2", 414, 60, True),
            ("brace 3", 264, 60, True), ("brace 4", 264, 60, True), ("board", 300, 200, True),
            ("ring", 320, 320, True),
        ):
            found.append(Part(f"{cabinet} {name}", w, h, turned=turned))
    return [*found, Part("jig", 500, 120)]


def test_two_cabinets_on_two_sheets() -> None:
    parts = two_cabinets()
    found = layout(parts, [FULL], 3.2, 10.0)
    assert faults(found, parts, [FULL], 3.2, 10.0) == []
    area = sum(part.width * part.height for part in parts)
    assert len(found.sheets) == math.ceil(area / FULL.area) == 2
    assert found.cost == 178.0
    assert found.waste == pytest.approx(1.0 - area / (2 * FULL.area), rel=1e-12)
    # the waste lies together: one offcut of more than a square metre
    assert found.useful_offcuts()[0][1].area > 1.2e6


SIZES = st.floats(30.0, 900.0).map(lambda v: round(v, 1))
PARTS = st.lists(
    st.tuples(SIZES, SIZES, st.sampled_from([(True, True), (True, False), (False, True)])),
    min_size=1, max_size=9,
).map(lambda rows: [Part(f"p{k}", w, h, *ways) for k, (w, h, ways) in enumerate(rows)])
STOCKS = st.lists(
    st.tuples(st.integers(500, 2500), st.integers(400, 1300), st.sampled_from([None, 1, 2]),
              st.sampled_from([None, 20.0, 80.0])),
    min_size=1, max_size=3,
).map(lambda rows: [Stock(f"s{k}", float(a), float(b), price, count)
                    for k, (a, b, count, price) in enumerate(rows)])


@settings(max_examples=60, deadline=None)
@given(PARTS, STOCKS, st.sampled_from([0.0, 3.2, 12.0]), st.sampled_from([0.0, 2.0, 10.0, 40.0]))
def test_every_layout_is_sound(
    parts: list[Part], stock: list[Stock], gap: float, margin: float
) -> None:
    found = layout(parts, stock, gap, margin)
    assert faults(found, parts, stock, gap, margin) == []
    for left in found.unplaced:
        fits = any(left.part.fits(kind, margin) for kind in stock)
        assert left.why == ("no sheet left" if fits else "too large")
        if left.why == "no sheet left":
            assert all(kind.count is not None for kind in stock
                       if left.part.fits(kind, margin))


def _broken(sound: Layout, k: int, **changes: object) -> Layout:
    sheet = sound.sheets[0]
    placed = list(sheet.placed)
    placed[k] = replace(placed[k], **changes)
    return replace(sound, sheets=(replace(sheet, placed=tuple(placed)), *sound.sheets[1:]))


def test_the_checker_sees_planted_faults() -> None:
    parts = two_cabinets()
    sound = layout(parts, [FULL], 3.2, 10.0)

    def said(broken: Layout) -> str:
        return "; ".join(faults(broken, parts, [FULL], 3.2, 10.0))

    one = sound.sheets[0].placed[0]
    assert "apart" in said(_broken(sound, 0, x=one.x + 0.01))
    assert "saw" in said(_broken(sound, 0, x=one.x + 0.01))
    assert "margin" in said(_broken(sound, 0, x=one.x - 0.01))
    side = next(k for k, p in enumerate(sound.sheets[0].placed) if "side" in p.name)
    lies = sound.sheets[0].placed[side]
    assert "grain" in said(_broken(sound, side, turned=True, width=lies.height,
                                   height=lies.width))
    assert "changed its size" in said(_broken(sound, 0, width=one.width - 1.0))
    sheet = sound.sheets[0]
    fewer = replace(sheet, placed=sheet.placed[1:])
    assert "exactly once" in said(replace(sound, sheets=(fewer, *sound.sheets[1:])))
    lost = replace(sheet, offcuts=sheet.offcuts[1:])
    assert "add up" in said(replace(sound, sheets=(lost, *sound.sheets[1:])))
    shuffled = replace(sheet, cuts=(sheet.cuts[4], *sheet.cuts[:4], *sheet.cuts[5:]))
    assert "not there" in said(replace(sound, sheets=(shuffled, *sound.sheets[1:])))
    single = replace(FULL, count=1)
    twice = replace(sound, sheets=tuple(replace(s, stock=single) for s in sound.sheets))
    assert "and there are 1" in "; ".join(faults(twice, parts, [single], 3.2, 10.0))


def test_tiny_cases_need_no_more_sheets_than_trying_everything() -> None:
    dice = random.Random(7)
    stock = Stock("tiny", 100.0, 60.0)
    more = 0
    for k in range(48):
        parts = [Part(f"p{n}", float(dice.randint(12, 58)), float(dice.randint(12, 58)),
                      turned=dice.random() < 0.6) for n in range(3 + k % 3 // 2 + (k % 12 == 0))]
        found = layout(parts, [stock], 2.0, 1.0)
        assert faults(found, parts, [stock], 2.0, 1.0) == []
        more += len(found.sheets) - fewest_sheets(parts, stock, 2.0, 1.0)
    assert more == 0


def test_a_perfect_cutting_is_found() -> None:
    # a sheet cut into nine with 2 mm between: 3 x 32 + 2 x 2 = 100, 3 x 20 + 2 x 2 = 64
    parts = [Part(f"p{k}", 32.0, 20.0) for k in range(9)]
    found = layout(parts, [Stock("exact", 102.0, 66.0)], 2.0, 1.0)
    assert len(found.sheets) == 1
    assert not found.unplaced
    assert found.sheets[0].offcuts == ()
    # half a millimetre more between the parts, and it cannot be
    assert len(layout(parts, [Stock("exact", 102.0, 66.0)], 2.5, 1.0).sheets) == 2


def test_the_cheaper_stock_is_taken() -> None:
    large, small = Stock("large", 2440.0, 1220.0, 89.0), Stock("small", 1220.0, 610.0, 25.0)
    parts = [Part("one", 500.0, 500.0), Part("two", 500.0, 500.0)]
    assert [s.stock.name for s in layout(parts, [large, small], 3.2, 10.0).sheets] == ["small"]
    dear = replace(small, price=90.0)
    assert [s.stock.name for s in layout(parts, [large, dear], 3.2, 10.0).sheets] == ["large"]


def test_the_last_sheet_may_be_a_smaller_one() -> None:
    # eight squares on a large sheet and two on a small one, which costs more for its area
    stock = [Stock("large", 2000.0, 1000.0, 80.0), Stock("small", 1000.0, 500.0, 25.0)]
    parts = [Part(f"p{k}", 490.0, 490.0) for k in range(10)]
    found = layout(parts, stock, 3.2, 5.0)
    assert faults(found, parts, stock, 3.2, 5.0) == []
    assert found.cost == 105.0


def test_what_cannot_be_placed_is_said() -> None:
    parts = [Part("too long", 2500.0, 300.0), Part("too wide", 1230.0, 1230.0),
             Part("against the grain", 300.0, 2000.0, turned=False), Part("small", 300.0, 200.0)]
    found = layout(parts, [FULL], 3.2, 10.0)
    assert [left.part.name for left in found.unplaced] == [
        "too long", "too wide", "against the grain"]
    assert {left.why for left in found.unplaced} == {"too large"}
    big = [Part(f"p{k}", 1500.0, 1000.0) for k in range(3)]
    short = layout(big, [replace(FULL, count=2)], 3.2, 10.0)
    assert len(short.sheets) == 2
    assert [left.why for left in short.unplaced] == ["no sheet left"]


@pytest.mark.parametrize(
    ("parts", "gap", "margin"),
    [([Part("a", 1, 1), Part("a", 2, 2)], 1.0, 1.0), ([], -1.0, 1.0), ([], 1.0, -1.0)],
)
def test_nonsense_is_refused(parts: list[Part], gap: float, margin: float) -> None:
    with pytest.raises(ValueError, match=r"negative|one name"):
        layout(parts, [FULL], gap, margin)
    with pytest.raises(ValueError, match="above zero"):
        Part("flat", 0.0, 1.0)
    with pytest.raises(ValueError, match="no way"):
        Part("stuck", 1.0, 1.0, upright=False, turned=False)


TESTS = str(Path(__file__).parents[1])
SCRIPT = """
import json
from cutting.test_layout import FULL, two_cabinets
from speakerwright.cutting.layout import layout
found = layout(two_cabinets(), [FULL], 3.2, 10.0)
print(json.dumps([[p.name, p.x, p.y, p.turned] for s in found.sheets for p in s.placed]))
"""


def test_the_same_layout_in_another_process() -> None:
    said = [
        subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True,
                       env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": TESTS}).stdout
        for seed in ("1", "2")
    ]
    assert said[0] == said[1]
    assert len(json.loads(said[0])) == 27

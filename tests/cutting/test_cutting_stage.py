"""The stage: groups, cost, findings, chapter, files and pictures."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from typing import Any

import pytest

from cutting.boards import SHEET, cabinet
from cutting.checker import faults
from speakerwright.cutting.chapter import chapter
from speakerwright.cutting.files import file_name, files
from speakerwright.cutting.picture import LETTER_PT, SheetPicture
from speakerwright.cutting.stage import CuttingResult, work
from speakerwright.design.sections.cutting import Cutting
from speakerwright.plan.document import Cover, pdf, picture_size
from speakerwright.solids.panels import Panel, Placement
from speakerwright.solids.shapes import rectangle
from speakerwright.words.blocks import Caution, Figure, Table
from speakerwright.words.findings import Finding, Verdict

BIRCH = {"name": "Birch 18", "size": ["2440 mm", "1220 mm"], "price": 89}
HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
SVG = "{http://www.w3.org/2000/svg}"


def section(*sheets: dict[str, Any], **others: Any) -> Cutting:
    return Cutting.model_validate({"sheets": sheets or (BIRCH,), **others})


def finding(result: CuttingResult, rule: str) -> Finding:
    (found,) = [item for item in result.findings if item.rule == rule]
    return found


def board(name: str, w: float, h: float, **others: Any) -> Panel:
    return Panel(name, rectangle(0.0, 0.0, w, h), others.pop("thickness", SHEET), HERE, **others)


def test_one_cabinet() -> None:
    result = work(section(), cabinet(), 0.018)
    (group,) = result.groups
    stock = [kind for kind, _ in group.stock]
    assert faults(group.layout, group.parts, stock, 3.2, 10.0) == []
    assert result.cost == 89.0
    area = sum(p.bounding_size[0] * p.bounding_size[1] for p in cabinet())
    assert result.waste == pytest.approx(1.0 - area / (2440.0 * 1220.0), rel=1e-12)
    assert {item.verdict for item in result.findings} == {Verdict.HOLDS}
    assert "enough_sheets" not in {item.rule for item in result.findings}
    # the grain of the sides runs along the sheet, so they lie turned
    assert all(placed.turned for placed in result.sheets[0].placed if "side" in placed.name)


def test_grain_along_the_sheet_or_free() -> None:
    tall = board("tall", 1300.0, 300.0, grain="v")  # its grain runs across its long side
    kept = work(section(), [tall], 0.018)
    assert kept.sheets == ()
    assert finding(kept, "part_fits_sheet").verdict is Verdict.FAILS
    assert len(work(section(grain="free"), [tall], 0.018).sheets) == 1
    low = board("low", 300.0, 1300.0, grain="v")
    assert work(section(), [low], 0.018).sheets[0].placed[0].turned
    assert len(work(section(), [replace(low, grain=None)], 0.018).sheets) == 1
    assert work(section(), [replace(low, grain="u")], 0.018).sheets == ()


def test_two_cabinets_are_counted_and_named_apart() -> None:
    result = work(section({**BIRCH, "count": 2}), cabinet(), 0.018, copies=2)
    assert len(result.sheets) == 2
    assert result.cost == 178.0
    names = {placed.name for sheet in result.sheets for placed in sheet.placed}
    assert len(names) == 28
    assert {"baffle (1)", "baffle (2)"} <= names
    assert sum(row.count for row in result.rows) == 28
    assert finding(result, "enough_sheets").text() == (
        "The sheets at hand are enough: 2 are used.")


def test_too_few_sheets() -> None:
    result = work(section({**BIRCH, "count": 1}), cabinet(), 0.018, copies=2)
    found = finding(result, "enough_sheets")
    assert found.verdict is Verdict.FAILS
    left = sum(len(group.layout.unplaced) for group in result.groups)
    assert found.value == left > 0
    assert found.text().startswith(f"{left} panels find no place on the sheets at hand: ")
    assert found.text().endswith("1 sheets are used; with no limit to any kind 2 would do.")


def test_sheets_used_by_one_group_are_gone_for_the_next() -> None:
    shared = {"name": "any", "size": ["1 m", "1 m"], "count": 1}
    panels = [board("a", 900, 900), board("b", 900, 900, material="MDF")]
    result = work(section(shared), panels, 0.018)
    assert [len(group.layout.sheets) for group in result.groups] == [1, 0]
    assert finding(result, "enough_sheets").value == 1.0


def test_a_panel_that_fits_no_sheet() -> None:
    grained = board("long back", 1300.0, 2000.0, grain="u")
    result = work(section(), [*cabinet(), grained], 0.018)
    found = finding(result, "part_fits_sheet")
    assert found.verdict is Verdict.FAILS
    assert (found.value, found.limit) == pytest.approx((2.0, 1.2))
    said = "long back is 2000.0 mm where the trimmed sheet has 1200.0 mm: it fits on no sheet."
    assert found.text() == said.replace(" mm", "\u202fmm")
    # free to turn it still is too wide by 100 mm
    free = finding(work(section(grain="free"), [grained], 0.018), "part_fits_sheet")
    assert (free.value, free.limit) == pytest.approx((1.3, 1.2))
    exact = work(section(), [board("exact", 2420.0, 1200.0)], 0.018)
    assert finding(exact, "part_fits_sheet").verdict is Verdict.HOLDS
    assert len(exact.sheets) == 1
    over = work(section(), [board("over", 2420.0, 1200.01)], 0.018)
    assert finding(over, "part_fits_sheet").verdict is Verdict.FAILS


def test_thickness_and_material() -> None:
    thin = work(section({**BIRCH, "thickness": "17.7 mm"}), cabinet(), 0.018)
    found = finding(thin, "stock_thickness")
    assert found.verdict is Verdict.FAILS
    assert found.value == pytest.approx(0.0003)
    assert len(thin.sheets) == 1
    near = work(section({**BIRCH, "thickness": "17.95 mm"}), cabinet(), 0.018)
    assert finding(near, "stock_thickness").verdict is Verdict.HOLDS
    none = work(section({**BIRCH, "thickness": "12 mm"}), cabinet(), 0.018)
    found = finding(none, "stock_matches")
    assert (found.verdict, found.value) == (Verdict.FAILS, 14.0)
    assert "part_fits_sheet" not in {item.rule for item in none.findings}
    other = work(section({**BIRCH, "material": "MDF"}), cabinet(), 0.018)
    assert finding(other, "stock_matches").value == 14.0
    same = work(section({**BIRCH, "material": "Birch Plywood"}), cabinet(), 0.018)
    assert finding(same, "stock_matches").verdict is Verdict.HOLDS
    # the nearer of two thicknesses is taken
    both = work(section({**BIRCH, "name": "19", "thickness": "19 mm"}, BIRCH), cabinet(), 0.018)
    assert [sheet.stock.name for sheet in both.sheets] == ["Birch 18"]


def test_groups_by_thickness() -> None:
    ply12 = {"name": "Birch 12", "size": ["1500 mm", "1500 mm"], "thickness": "12 mm", "price": 40}
    result = work(section(BIRCH, ply12), [*cabinet(), board("ring", 300, 300, thickness=12.0)],
                  0.018)
    assert [sheet.stock.name for sheet in result.sheets] == ["Birch 18", "Birch 12"]
    assert result.cost == 129.0
    unpriced = {key: value for key, value in ply12.items() if key != "price"}
    assert work(section(BIRCH, unpriced), result.panels, 0.018).cost is None


def test_spacing_below_the_kerf() -> None:
    result = work(section(kerf="6 mm", spacing="4 mm"), cabinet(), 0.018)
    found = finding(result, "cut_spacing")
    assert (found.verdict, found.value, found.limit) == (Verdict.FAILS, 0.004, 0.006)
    # the layout keeps the kerf all the same
    (group,) = result.groups
    assert faults(group.layout, group.parts, [k for k, _ in group.stock], 6.0, 10.0) == []


def test_no_panels_and_twice_one_name() -> None:
    empty = work(section(), [], 0.018)
    assert empty.sheets == ()
    assert (empty.cost, empty.waste) == (0, 0.0)
    assert chapter(empty, "EUR", "metric").stage == "cutting"
    with pytest.raises(ValueError, match="one name"):
        work(section(), [board("a", 10, 10), board("a", 20, 20)], 0.018)


def test_files() -> None:
    result = work(section({**BIRCH, "count": 2}), cabinet(), 0.018, copies=2)
    made = files(result)
    assert {"cut-list.csv", "panels/baffle.dxf", "panels/baffle-second-face.dxf",
            "panels/side-left.dxf", "sheets/1-birch-18.dxf", "sheets/1-birch-18.svg",
            "sheets/2-birch-18.dxf"} <= set(made)
    assert len(made) == 1 + 14 + 1 + 4
    # a name that looks like another's second face does not overwrite it
    odd = files(work(section(), [*cabinet(), board("Baffle second face", 50, 60),
                                 board("BAFFLE", 70, 80), board("\u4e2d", 90, 90)], 0.018))
    assert len(odd) == 1 + 17 + 1 + 2
    assert "panels/unnamed.dxf" in odd
    assert file_name("../Seite  Ä/1") == "seite-a-1"
    assert all(re.fullmatch(r"[a-z0-9./-]+", name) and ".." not in name for name in odd)


def test_the_sheets_svg() -> None:
    result = work(section(), cabinet(), 0.018)
    root = ElementTree.fromstring(files(result)["sheets/1-birch-18.svg"])
    assert root.get("width") == "2440mm"
    assert root.get("viewBox", "").startswith("0 0 2440 ")
    groups = {group.get("id"): group for group in root.iter(f"{SVG}g")}
    assert {"SHEET", "OUTLINE_18.0", "THROUGH", "DRILL_8.5_THROUGH", "POCKET_6.0_INSIDE",
            "KEY"} <= set(groups)
    assert len(groups["OUTLINE_18.0"]) == 14
    assert {float(c.get("r", "0")) for c in groups["DRILL_8.5_THROUGH"]} == {4.25}
    placed = {p.name: p for p in result.sheets[0].placed}["back"]
    first = groups["OUTLINE_18.0"]
    boxes = []
    for path in first:
        numbers = [float(v) for v in re.findall(r"-?\d+\.?\d*", path.get("d", ""))]
        xs, ys = numbers[::2], numbers[1::2]
        boxes.append((min(xs), min(ys), max(xs), max(ys)))
    back = (placed.x, 1220.0 - placed.y - placed.height, placed.x + placed.width,
            1220.0 - placed.y)
    assert any(box == pytest.approx(back, abs=1e-4) for box in boxes)
    colours = [group.get("stroke") for name, group in groups.items() if name != "KEY"]
    assert None not in colours
    # the key stands below the sheet
    assert all(float(t.get("y", "0")) > 1220.0 for t in groups["KEY"].iter(f"{SVG}text"))


def _boxes(root: ElementTree.Element) -> dict[str, tuple[float, float]]:
    return {"".join(text.itertext()): (float(text.get("x", "0")), float(text.get("y", "0")))
            for text in root.iter(f"{SVG}text")}


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_the_picture_for_the_plan(system: str) -> None:
    result = work(section({**BIRCH, "count": 2}), cabinet(), 0.018, copies=2)
    for sheet in result.sheets:
        picture = SheetPicture(sheet, result.first, "Sheet", system)
        assert picture.scale == 15
        root = ElementTree.fromstring(str(picture))
        width, height = picture_size(str(picture))
        assert width <= 165.0
        assert height <= 205.0
        size = float(next(root.iter(f"{SVG}g")).get("font-size", "0"))
        # capitals of this face are 0.66 of its size
        assert 0.66 * size >= 2.5
        assert size == pytest.approx(LETTER_PT * 25.4 / 72.0, rel=1e-5)
        words = " ".join(_boxes(root))
        for placed in sheet.placed:  # named inside the part (over lines) or in the list below
            assert placed.name in words or all(part in words for part in placed.name.split(" "))
        assert ("inches" in words) == (system == "inch")


def test_words_below_a_narrow_sheet_have_room() -> None:
    """A sheet that stands upright on the page: its words run on to the right of it."""
    from speakerwright.drawing.lettering import text_width_mm

    narrow = {"name": "Across", "size": ["1250 mm", "2500 mm"]}
    result = work(section(narrow), cabinet(), 0.018)
    for system in ("metric", "inch"):
        picture = str(SheetPicture(result.sheets[0], result.first, "Sheet", system))
        root = ElementTree.fromstring(picture)
        width, height = picture_size(picture)
        assert (width, height) < (165.0, 205.0)
        for text in root.iter(f"{SVG}text"):
            if text.get("text-anchor") is None:
                words = "".join(text.itertext())
                end = float(text.get("x", "0")) + text_width_mm(words, LETTER_PT)
                assert end <= width, words


def test_words_in_the_picture_do_not_overlap() -> None:
    """Grounds of labels (rectangles without a line of their own) never meet each other."""
    result = work(section({**BIRCH, "count": 2}), cabinet(), 0.018, copies=2)
    beside = 0
    for sheet in result.sheets:
        root = ElementTree.fromstring(str(SheetPicture(sheet, result.first, "Sheet")))
        boxes = []
        for rect in root.iter(f"{SVG}rect"):
            if rect.get("stroke") is None:
                x, y, w, h = (float(rect.get(k, "0")) for k in ("x", "y", "width", "height"))
                boxes.append((x + 0.2, y, x + w - 0.2, y + h))
        assert len(boxes) >= len(sheet.placed)
        # a number beside its part lies on no other part
        parts = [((p.x, 1220.0 - p.y - p.height), (p.width, p.height)) for p in sheet.placed]
        for rect in root.iter(f"{SVG}rect"):
            if rect.get("stroke") is None and rect.get("fill") == "#ffffff":
                beside += 1
                x, y, w, h = (15.0 * float(rect.get(k, "0")) for k in ("x", "y", "width", "height"))
                assert not any(x + 4 < left + wide and left < x + w - 4 and y + 4 < top + tall
                               and top < y + h - 4 for (left, top), (wide, tall) in parts)
        for k, a in enumerate(boxes):
            for b in boxes[k + 1:]:
                assert (a[2] <= b[0] + 1e-4 or b[2] <= a[0] + 1e-4 or a[3] <= b[1] + 1e-4
                        or b[3] <= a[1] + 1e-4)
    assert beside >= 5  # four gussets and an offcut


def test_the_chapter_is_printed() -> None:
    result = work(section({**BIRCH, "count": 2}, tool="router"), cabinet(), 0.018, copies=2)
    for system in ("metric", "inch"):
        found = chapter(result, "EUR", system)
        tables = [block for block in found.blocks if isinstance(block, Table)]
        figures = [block for block in found.blocks if isinstance(block, Figure)]
        cautions = {block.subject for block in found.blocks if isinstance(block, Caution)}
        assert len(figures) == 2
        assert cautions == {"Files and sheets"}
        assert tables[0].rows[0][0] == "baffle"
        assert tables[1].rows[-1][-1] == "178.00"
        cuts = [table for table in tables if table.heads[0] == "Cut"]
        assert [len(table.rows) for table in cuts] == [len(s.cuts) for s in result.sheets]
        assert pdf(Cover(title="Cutting"), [found], system=system).startswith(b"%PDF")
    blocks = chapter(result, "EUR", "metric").blocks
    said = " ".join(getattr(block, "text", "") for block in blocks)
    assert "No file here is safe to run unattended" in said
    assert "12\u202fmm between parts" in said
    assert "Parts stand 12\u202fmm apart" in said


def test_result_is_frozen() -> None:
    result = work(section(), cabinet(), 0.018)
    with pytest.raises(AttributeError):
        result.kerf = 1.0  # type: ignore[misc]
    assert replace(result, kerf=1.0).kerf == 1.0

"""Cutting as a chapter of the plan, and as what the terminal prints."""

from __future__ import annotations

from speakerwright.cutting.cutlist import plain, size
from speakerwright.cutting.judgement import iter_unplaced
from speakerwright.cutting.picture import SheetPicture
from speakerwright.cutting.sheet import Cut, SheetLayout
from speakerwright.cutting.stage import CuttingResult
from speakerwright.words.blocks import (
    Block,
    Caution,
    Chapter,
    Figure,
    Heading,
    Paragraph,
    Points,
    Table,
)
from speakerwright.words.units import THIN, show

CAUTIONS = (
    Caution(
        "Files and sheets",
        "The maker's instructions of your saw, router or machine come before this plan, and so do"
        " the rules of your workshop. Check every file, its units and its datum before you cut, try"
        " it above the stock first, and hold down parts and offcuts so that neither can jam or fly."
        " No file here is safe to run unattended: stay within reach of the stop. Extract the dust,"
        " protect lungs, eyes and ears.",
    ),
)
"""What the files themselves ask for; cutters, dust and noise are among the plan's own cautions."""


def chapter(result: CuttingResult, currency: str, system: str) -> Chapter:
    """Cut list, sheets and what they cost, layouts, the order of cuts, offcuts, cautions."""
    blocks: list[Block] = [
        Paragraph(_opening(result, system)), _cut_list(result, system),
    ]
    second = [name for name, ups in result.set_ups.items() if len(ups) > 1]
    if second:
        blocks.append(Points(tuple(
            f"{name} is worked from both faces: cut it out with the {ups[0].face} up, then turn it"
            f" over left to right and set the datum at its lower left corner again."
            for name in second for ups in (result.set_ups[name],))))
    blocks += [Heading("Sheets"), _sheets(result, currency, system)]
    left = list(iter_unplaced(result.groups))
    if left:
        blocks.append(Points(tuple(f"{name} has no place: {why}." for name, why in left)))
    for k, sheet in enumerate(result.sheets, 1):
        title = f"Sheet {k}, {sheet.stock.name}"
        picture = SheetPicture(sheet, result.first, title, system)
        blocks.append(Figure(
            picture, f"{title}, {_whole(sheet, system)}, at 1:{picture.scale:g}: every part with "
            "the face up that is worked first."))
    blocks += [Heading("Order of cuts"), Paragraph(_how(result, system))]
    blocks += [_cuts(k, sheet, system) for k, sheet in enumerate(result.sheets, 1)]
    blocks += _offcuts(result, system)
    return Chapter("cutting", "Cutting", (*blocks, *CAUTIONS))


def _opening(result: CuttingResult, system: str) -> str:
    cabinets = "one cabinet" if result.copies == 1 else f"{result.copies} cabinets"
    count = sum(row.count for row in result.rows)
    return (
        f"{count} boards for {cabinets}, cut by a {result.tool} whose cut is "
        f"{size(result.kerf, system)} wide, with {size(result.spacing, system)} between parts and "
        f"{size(result.margin, system)} trimmed off every edge of a sheet. Lengths lie along the "
        "grain. Panels of one row are the same board; a mirror image is another."
    )


def _cut_list(result: CuttingResult, system: str) -> Table:
    rows = tuple(
        (row.part, f"{row.count}", plain(row.length, system), plain(row.width, system),
         plain(row.thickness, system), row.material, row.notes(system))
        for row in result.rows
    )
    unit = ("inches to the nearest 1/32, as finished; the files hold the exact sizes"
            if system == "inch" else "mm, as finished")
    return Table(("Part", "Count", "Length", "Width", "Thick", "Material", "Notes"), rows,
                 f"Cut list; sizes in {unit}.", numbers=(1, 2, 3, 4))


def _sheets(result: CuttingResult, currency: str, system: str) -> Table:
    rows = []
    for k, sheet in enumerate(result.sheets, 1):
        price = "–" if sheet.stock.price is None else f"{sheet.stock.price:.2f}"
        rows.append((f"{k}", sheet.stock.name, _whole(sheet, system), f"{len(sheet.placed)}",
                     show(100.0 * sheet.waste, "percent"), price))
    cost = "–" if result.cost is None else f"{result.cost:.2f}"
    rows.append(("", "All", "", f"{sum(len(sheet.placed) for sheet in result.sheets)}",
                 show(100.0 * result.waste, "percent"), cost))
    return Table(("Sheet", "Stock", "Size", "Parts", "Waste", f"Price, {currency}"), tuple(rows),
                 "Waste is what lies under no part's rectangle: trim, cuts and offcuts.",
                 numbers=(0, 3, 4, 5))


def _how(result: CuttingResult, system: str) -> str:
    wider = ""
    if result.spacing > result.kerf + 1e-6:
        wider = (f" Parts stand {size(result.spacing, system)} apart: where a cut takes less, trim "
                 "the rest off the far piece before you measure on it.")
    return (
        "Every cut runs from edge to edge of the piece it is made in. A rip runs along the grain, a"
        " cross cut across it. Measure from the lower edge (rip) or the left edge (cross cut) of"
        f" the piece, and cut on the far side of the line.{wider} A router may instead follow the"
        " sheet's file."
    )


def _cuts(k: int, sheet: SheetLayout, system: str) -> Table:
    rows = []
    for cut in sheet.cuts:
        at = "edge" if cut.at == 0.0 else plain(cut.at, system)
        rows.append((f"{cut.number}", _square(cut.piece.width, cut.piece.height, system),
                     "rip" if cut.kind == "rip" else "cross cut", at, _gives(cut, system)))
    return Table(("Cut", "In the piece", "How", "At", "Gives"), tuple(rows),
                 f"Sheet {k}, {sheet.stock.name}: pieces as length along × size across the grain.",
                 numbers=(0, 3))


def _gives(cut: Cut, system: str) -> str:
    """Both sides of a cut: a part by its name, a piece that is cut further by its size."""
    if "trim" in cut.gives:
        return "trims the edge"
    sides = zip(cut.gives, cut.sides, strict=True)
    return " and ".join(
        f"{plain(side.width, system)} × {plain(side.height, system)}" if word == "piece" else word
        for word, side in sides if word
    )


def _offcuts(result: CuttingResult, system: str) -> list[Block]:
    found = result.useful_offcuts
    if not found:
        return []
    rows = tuple((f"{k + 1}", _square(cut.width, cut.height, system)) for k, cut in found[:12])
    return [Heading("Offcuts worth keeping"),
            Table(("Sheet", "Along × across the grain"), rows, numbers=(0,))]


def _whole(sheet: SheetLayout, system: str) -> str:
    return _square(sheet.stock.length, sheet.stock.width, system)


def _square(length: float, width: float, system: str) -> str:
    unit = "in" if system == "inch" else "mm"
    return f"{plain(length, system)} × {plain(width, system)}{THIN}{unit}"

"""Parts and costs, against the budget and what must be beaten."""

from __future__ import annotations

from typing import TYPE_CHECKING

from speakerwright.design.document import Design
from speakerwright.drivers.stage import DriversResult
from speakerwright.words.blocks import Block, Chapter, Heading, Paragraph, Table
from speakerwright.words.units import show

if TYPE_CHECKING:
    from speakerwright.cabinet.result import CabinetResult
    from speakerwright.cutting.stage import CuttingResult

Row = tuple[str, str, str, str]


def costs(
    design: Design,
    drivers: DriversResult,
    cabinet: CabinetResult | None,
    cutting: CuttingResult | None,
    system: str,
) -> Chapter:
    """What drive units and sheets cost for the whole system; what has no price is said so."""
    decided = design.decided
    currency, cabinets = decided.plan.currency, decided.brief.system.cabinets
    rows, total, unpriced = _units(drivers, cabinets, currency)
    if cutting is not None:
        made, price, missing = _sheets(cutting, currency)
        rows, total, unpriced = rows + made, total + price, unpriced + missing
    rows.append(("Sum", "", "", _money(total, currency)))
    if cutting is None:
        unpriced.append("sheets")
    if decided.crossover:
        unpriced.append("network")
    unpriced += ["ports and lining", "hardware", "finish"]
    blocks: list[Block] = [
        Table(("Part", "Count", "Each", "Together"), tuple(rows),
              f"For the whole system of {cabinets} cabinet{'s' if cabinets > 1 else ''}. Not in "
              f"it: {', '.join(unpriced)}.", numbers=(1, 2, 3)),
        *_against(design, total, cabinets),
    ]
    if cabinet is not None and cabinet.hardware:
        blocks += _hardware(cabinet, cabinets)
    if cabinet is not None:
        blocks += _beaten(design, cabinet, total, system)
    return Chapter("plan", "Parts and costs", tuple(blocks))


def _units(
    drivers: DriversResult, cabinets: int, currency: str
) -> tuple[list[Row], float, list[str]]:
    rows: list[Row] = []
    total, unpriced = 0.0, []
    for record, each in drivers.units:
        count = each * cabinets
        if record.price is None:
            unpriced.append(record.name)
        total += (record.price or 0.0) * count
        rows.append((record.name, str(count), _money(record.price, currency),
                     _money(None if record.price is None else record.price * count, currency)))
    return rows, total, unpriced


def _sheets(cutting: CuttingResult, currency: str) -> tuple[list[Row], float, list[str]]:
    rows: list[Row] = []
    counted: dict[str, tuple[int, float | None]] = {}
    for sheet in cutting.sheets:
        count, _ = counted.get(sheet.stock.name, (0, None))
        counted[sheet.stock.name] = (count + 1, sheet.stock.price)
    total, unpriced = 0.0, []
    for name, (count, price) in counted.items():
        if price is None:
            unpriced.append(name)
        total += (price or 0.0) * count
        rows.append((f"Sheet: {name}", str(count), _money(price, currency),
                     _money(None if price is None else price * count, currency)))
    return rows, total, unpriced


def _against(design: Design, total: float, cabinets: int) -> list[Block]:
    budget, currency = design.decided.brief.budget, design.decided.plan.currency
    if budget is None:
        return []
    share = total / cabinets * budget.cabinets
    left = budget.total - share
    return [Paragraph(
        f"The budget is {_money(budget.total, currency)} for {budget.cabinets} "
        f"cabinet{'s' if budget.cabinets > 1 else ''}; the parts priced here take "
        f"{_money(share, currency)} of it, which "
        + (f"leaves {_money(left, currency)} for the rest." if left >= 0.0
           else f"is {_money(-left, currency)} too much.")
    )]


def _hardware(cabinet: CabinetResult, cabinets: int) -> list[Block]:
    rows = tuple(
        (item.name, str(item.count), str(item.count * cabinets), item.purpose)
        for item in cabinet.hardware
    )
    return [Heading("Hardware"),
            Table(("What", "One cabinet", "All", "For"), rows,
                  "Take hole sizes from the inserts in hand before drilling.", numbers=(1, 2))]


def _beaten(
    design: Design, cabinet: CabinetResult, total: float, system: str
) -> list[Block]:
    """This design beside what it must beat: price so far, size, mass."""
    brief, currency = design.decided.brief, design.decided.plan.currency
    if not brief.beat:
        return []
    sizes = cabinet.settled.sizes
    here = " × ".join(show(v, "length", system) for v in (sizes.width, sizes.height, sizes.depth))
    rows: list[Row] = [("This design, parts priced here", _money(total, currency), here,
                        show(cabinet.mass_kg, "mass", system))]
    for other in brief.beat:
        size = " × ".join(show(v, "length", system)
                          for v in (other.width, other.height, other.depth) if v is not None)
        rows.append((other.name, _money(other.price, currency), size or "–",
                     show(other.mass, "mass", system)))
    return [Heading("Against what it must beat"),
            Table(("Which", "Price of all", "Width × height × depth", "Mass of one"), tuple(rows),
                  numbers=(1, 3))]


def _money(value: float | None, currency: str) -> str:
    return "–" if value is None else f"{value:.0f} {currency}"

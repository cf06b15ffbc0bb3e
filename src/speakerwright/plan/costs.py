"""Parts and costs so far: drive units and horns against the budget and what must be beaten."""

from __future__ import annotations

from speakerwright.design.document import Design
from speakerwright.drivers.stage import DriversResult
from speakerwright.words.blocks import Block, Chapter, Paragraph, Table


def costs(design: Design, drivers: DriversResult, system: str) -> Chapter:
    """What the bought drive units cost; wood, network and hardware are said to be missing."""
    decided = design.decided
    currency, cabinets = decided.plan.currency, decided.brief.system.cabinets
    rows, total, unknown = [], 0.0, False
    for job in drivers.jobs.values():
        for record in (job.record, job.horn):
            if record is None:
                continue
            count = job.choice.count * cabinets
            unknown = unknown or record.price is None
            total += (record.price or 0.0) * count
            rows.append((record.name, str(count), _money(record.price, currency),
                         _money(None if record.price is None else record.price * count, currency)))
    rows.append(("Sum", "", "", _money(total, currency) + (" and more" if unknown else "")))
    blocks: list[Block] = [
        Table(("Part", "Count", "Each", "Together"), tuple(rows),
              f"Drive units and horns for the whole system of {cabinets} cabinets. Wood, network "
              "and hardware are not yet counted.", numbers=(1, 2, 3)),
    ]
    budget = decided.brief.budget
    if budget is not None:
        share = total / cabinets * budget.cabinets
        blocks.append(Paragraph(
            f"The budget is {_money(budget.total, currency)} for {budget.cabinets} cabinets; drive "
            f"units and horns for as many take {_money(share, currency)}, which leaves "
            f"{_money(budget.total - share, currency)}."
        ))
    for other in decided.brief.beat:
        if other.price is not None:
            blocks.append(Paragraph(
                f"To beat: {other.name}, {_money(other.price, currency)}."
            ))
    return Chapter("plan", "Parts and costs", tuple(blocks))


def _money(value: float | None, currency: str) -> str:
    return "–" if value is None else f"{value:.0f} {currency}"

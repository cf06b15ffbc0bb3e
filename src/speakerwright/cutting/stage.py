"""Work out the cutting of a cabinet's panels: cut list, layouts, cost, findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from speakerwright.cutting.cutlist import Row, rows
from speakerwright.cutting.judgement import judged
from speakerwright.cutting.layout import Layout, Part, layout
from speakerwright.cutting.setup import SetUp, set_ups
from speakerwright.cutting.sheet import Rectangle, SheetLayout, Stock
from speakerwright.design.sections.cutting import Cutting, Sheet
from speakerwright.solids.panels import Panel
from speakerwright.words.findings import Finding

THICKNESS_WINDOW = 1.0
"""A sheet serves for panels whose thickness differs by no more than this, mm: a rule of thumb.

Sheets of a nominal 18 mm measure from about 17.1 to 18.7 mm (EN 315, from memory).
"""


@dataclass(frozen=True)
class Group:
    """Panels of one thickness and material: the sheets that serve for them, and their layout.

    `unlimited` is the layout that any number of sheets would allow, where too few are at hand.
    """

    thickness: float
    material: str
    parts: tuple[Part, ...]
    stock: tuple[tuple[Stock, float], ...]
    layout: Layout
    unlimited: Layout | None


@dataclass(frozen=True, eq=False)
class CuttingResult:
    """All that is worked out about cutting. Lengths in mm.

    `set_ups` are those of every panel by its name; `first` is the set-up in which each part lies
    on its sheet, by the part's name there (with the copy's number when there are several).
    """

    kerf: float
    spacing: float
    margin: float
    tool: str
    copies: int
    panels: tuple[Panel, ...]
    rows: tuple[Row, ...]
    groups: tuple[Group, ...]
    set_ups: Mapping[str, tuple[SetUp, ...]]
    first: Mapping[str, SetUp]
    findings: tuple[Finding, ...]

    @property
    def sheets(self) -> tuple[SheetLayout, ...]:
        """All sheets, group by group."""
        return tuple(sheet for group in self.groups for sheet in group.layout.sheets)

    @property
    def cost(self) -> float | None:
        """Price of all sheets; None when one has no price."""
        costs = [group.layout.cost for group in self.groups]
        return None if None in costs else sum(cost for cost in costs if cost is not None)

    @property
    def waste(self) -> float:
        """Share of all sheets that lies under no part's rectangle."""
        area = sum(sheet.stock.area for sheet in self.sheets)
        return 1.0 - sum(sheet.part_area for sheet in self.sheets) / area if area else 0.0

    @property
    def useful_offcuts(self) -> tuple[tuple[int, Rectangle], ...]:
        """Offcuts worth keeping with the index of their sheet, the largest first."""
        found, before = [], 0
        for group in self.groups:
            found += [(before + k, cut) for k, cut in group.layout.useful_offcuts()]
            before += len(group.layout.sheets)
        return tuple(sorted(found, key=lambda pair: (-pair[1].area, pair[0], pair[1].x)))


def work(
    section: Cutting, panels: Sequence[Panel], sheet: float, copies: int = 1
) -> CuttingResult:
    """Lay panels out on the sheets at hand.

    Parameters
    ----------
    section : Cutting
        What is decided (SI).
    panels : sequence of Panel
        Panels of one cabinet, each name once (mm).
    sheet : float
        Nominal thickness of the cabinet's sheet, m: that of every sheet that states none.
    copies : int
        Cabinets to cut, 1 or more.

    Returns
    -------
    CuttingResult

    Raises
    ------
    ValueError
        When two panels have one name.
    """
    names = [panel.name for panel in panels]
    if len(set(names)) != len(names):
        raise ValueError("two panels have one name")
    kerf, spacing, margin = (
        round(1000.0 * v, 6) for v in (section.cut_width, section.least_spacing, section.margin))
    ups = {panel.name: set_ups(panel) for panel in panels}
    first = {_called(panel.name, k, copies): ups[panel.name][0]
             for k in range(copies) for panel in panels}
    groups = _groups(section, panels, sheet, copies, max(kerf, spacing), margin)
    result = CuttingResult(
        kerf=kerf, spacing=spacing, margin=margin, tool=section.tool, copies=copies,
        panels=tuple(panels), rows=rows(panels, copies), groups=groups, set_ups=ups, first=first,
        findings=(),
    )
    return replace(result, findings=judged(
        groups, kerf=kerf, spacing=spacing, margin=margin,
        counted=any(one.count is not None for one in section.sheets)))


def _groups(
    section: Cutting, panels: Sequence[Panel], sheet: float, copies: int, gap: float, margin: float
) -> tuple[Group, ...]:
    """Panels by thickness and material, each group laid out; what one uses the next has not."""
    used: dict[str, int] = {}
    found = []
    for thickness, material in dict.fromkeys((p.thickness, p.material) for p in panels):
        parts = tuple(_part(p, _called(p.name, k, copies), section.grain) for k in range(copies)
                      for p in panels if (p.thickness, p.material) == (thickness, material))
        stock = _stock(section.sheets, thickness, material, sheet)
        left = [replace(one, count=None if one.count is None else one.count - used.get(one.name, 0))
                for one, _ in stock]
        made = layout(parts, left, gap, margin)
        short = any(item.why == "no sheet left" for item in made.unplaced)
        free = [replace(one, count=None) for one in left]
        unlimited = layout(parts, free, gap, margin) if short else None
        for one in made.sheets:
            used[one.stock.name] = used.get(one.stock.name, 0) + 1
        found.append(Group(thickness, material, parts, tuple(stock), made, unlimited))
    return tuple(found)


def _stock(
    sheets: Sequence[Sheet], thickness: float, material: str, nominal: float
) -> list[tuple[Stock, float]]:
    """Sheets that serve for panels of a thickness (mm) and a material, with their thickness."""
    found = []
    for sheet in sheets:
        thick = round(1000.0 * (nominal if sheet.thickness is None else sheet.thickness), 6)
        other = sheet.material is not None and sheet.material.casefold() != material.casefold()
        if other or abs(thick - thickness) > THICKNESS_WINDOW:
            continue
        length, width = (round(1000.0 * side, 6) for side in sheet.size)
        found.append((Stock(sheet.name, length, width, sheet.price, sheet.count), thick))
    nearest = min((abs(thick - thickness) for _, thick in found), default=0.0)
    return [pair for pair in found if abs(pair[1] - thickness) <= nearest + 1e-6]


def _part(panel: Panel, name: str, grain: str) -> Part:
    width, height = panel.bounding_size
    keeps = panel.grain if grain == "along" else None
    return Part(name, width, height, upright=keeps != "v", turned=keeps != "u")


def _called(name: str, copy: int, copies: int) -> str:
    return name if copies == 1 else f"{name} ({copy + 1})"

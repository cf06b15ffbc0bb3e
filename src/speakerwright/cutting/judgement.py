"""The findings of cutting: is there a sheet for every panel, are there enough, is there room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from speakerwright.cutting.layout import Part
from speakerwright.cutting.sheet import Stock
from speakerwright.words.findings import Finding, judge

if TYPE_CHECKING:
    from speakerwright.cutting.stage import Group

SAME_THICKNESS = 0.0001
"""Sheet and panel are of one thickness within this, m: half of what a joint's fit can bear; a
rule of thumb."""

WHERE = "cutting.sheets"


def judged(
    groups: Sequence[Group], *, kerf: float, spacing: float, margin: float, counted: bool
) -> tuple[Finding, ...]:
    """All findings, in the order a maker asks. Lengths in mm.

    `counted` says whether the design states how many sheets there are.
    """
    served = [group for group in groups if group.stock]
    found = [_matches(groups)]
    if served:
        found += [_thickness(served), _fits(served, margin)]
        if counted:
            found.append(_enough(served))
    return (*found, _spacing(kerf, spacing))


def _matches(groups: Sequence[Group]) -> Finding:
    bare = [group for group in groups if not group.stock]
    names = [part.name for group in bare for part in group.parts]
    kinds = ", ".join(f"{group.thickness:g} mm {group.material}" for group in bare)
    return judge(
        "stock_matches", WHERE, float(len(names)), "count", at_most=0.0, tight=0.0,
        says="Every panel's material and thickness is among the sheets." if not names else
        f"For {{value}} panels there is no sheet of their material within 1 mm of their "
        f"thickness ({kinds}): {listed(names)}.",
        try_this="Add a sheet of that thickness and material, or leave the sheet's material out.",
        source="decided values",
    )


def _thickness(groups: Sequence[Group]) -> Finding:
    pairs = [(abs(thick - group.thickness), thick, group) for group in groups
             for _, thick in group.stock]
    apart, thick, group = max(pairs, key=lambda pair: pair[0])
    return judge(
        "stock_thickness", WHERE, apart / 1000.0, "length", at_most=SAME_THICKNESS, tight=0.0,
        says="The sheets are {stock} thick and the panels are drawn for {panel}.",
        try_this="Draw the cabinet for the sheet that you have: joints, inside sizes and net "
        "volume follow its thickness.",
        source="decided values; the limit is a rule of thumb",
        figures={"stock": (thick / 1000.0, "length"),
                 "panel": (group.thickness / 1000.0, "length")},
    )


def _fits(groups: Sequence[Group], margin: float) -> Finding:
    """The part that has the least room on the sheet that suits it best."""
    rooms = [(*_room(part, [kind for kind, _ in group.stock], margin), part.name)
             for group in groups for part in group.parts]
    ratio, value, limit, name = min(rooms, key=lambda room: room[0])
    failing = [room[3] for room in rooms if room[0] < -1e-9]
    says = f"{name} has the least room: {{value}} where the trimmed sheet has {{limit}}."
    if failing:
        says = (f"{name} is {{value}} where the trimmed sheet has {{limit}}"
                + (f"; {len(failing)} parts fit on no sheet: {listed(failing)}."
                   if len(failing) > 1 else ": it fits on no sheet."))
    exact = limit if abs(ratio) <= 1e-9 else value
    return judge(
        "part_fits_sheet", WHERE, exact / 1000.0, "length", at_most=limit / 1000.0, tight=0.0,
        says=says,
        try_this="Use a larger sheet or a smaller margin, let the panel turn against the grain, "
        "or make it of two.",
        source="bounding rectangles and the sheets' decided sizes",
    )


def _room(part: Part, stock: Sequence[Stock], margin: float) -> tuple[float, float, float]:
    """Share of room left in the tighter direction, best sheet and way; size and limit there."""
    found = []
    for kind in stock:
        length, width = kind.length - 2.0 * margin, kind.width - 2.0 * margin
        for _, w, h in part.ways:
            found.append(min((1.0 - w / length, w, length), (1.0 - h / width, h, width)))
    return max(found)


def _enough(groups: Sequence[Group]) -> Finding:
    names = [item.part.name for group in groups for item in group.layout.unplaced
             if item.why == "no sheet left"]
    have = sum(len(group.layout.sheets) for group in groups)
    need = sum(len((group.unlimited or group.layout).sheets) for group in groups)
    return judge(
        "enough_sheets", WHERE, float(len(names)), "count", at_most=0.0, tight=0.0,
        says="The sheets at hand are enough: {need} are used." if not names else
        f"{{value}} panels find no place on the sheets at hand: {listed(names)}. {{have}} sheets "
        "are used; with no limit to any kind {need} would do.",
        try_this="Get more sheets, or let panels turn where the grain does not matter.",
        source="layout by edge-to-edge cuts; a better layout may exist",
        figures={"have": (float(have), "count"), "need": (float(need), "count")},
    )


def _spacing(kerf: float, spacing: float) -> Finding:
    return judge(
        "cut_spacing", "cutting.spacing", spacing / 1000.0, "length", at_least=kerf / 1000.0,
        tight=0.0,
        says="Parts stand {value} apart and a cut takes {limit}.",
        try_this="Make the spacing at least as wide as the cut: the layout uses the cut's width.",
        source="decided values",
    )


def listed(names: Sequence[str], most: int = 6) -> str:
    """Names in one line, the first few and how many more."""
    shown = ", ".join(names[:most])
    return shown if len(names) <= most else f"{shown} and {len(names) - most} more"


def iter_unplaced(groups: Sequence[Group]) -> Iterator[tuple[str, str]]:
    """Every part without a place, and why."""
    for group in groups:
        for item in group.layout.unplaced:
            yield item.part.name, item.why if group.stock else "no sheet of its kind"

"""What the cutting stage decides: the sheets at hand, the cutter's width, margins and grain."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.values import (
    Choice,
    Length,
    Money,
    Name,
    Quantity,
    Section,
    Whole,
    problems,
)

CutWidth = Annotated[float, Quantity("length", high=0.025)]
Gap = Annotated[float, Quantity("length", high=0.2)]
Margin = Annotated[float, Quantity("length", above=False, high=0.2)]

SAW_KERF = 0.0032
"""Width of a saw's cut, m: a usual panel saw blade; common practice, no source."""

ROUTER_KERF = 0.006
"""Width of a router's cut, m: a 6 mm cutter; common practice, no source."""

ROUTER_SPACING = 2.0
"""Distance between parts in cutter widths when a router parts them: a rule of thumb.

At one width two outlines share one pass; at a little more a thin wall of wood stands between them
and breaks loose; from two widths on it stays in the sheet.
"""


class Sheet(Section):
    """A sheet at hand: its size (first along the grain), price, count, thickness, material.

    Without a count there are as many as wanted; without a thickness it is the cabinet's sheet;
    without a material it serves for every panel of its thickness.
    """

    name: Name
    size: tuple[Length, Length]
    price: Money | None = None
    count: Annotated[int, Whole(1, 999)] | None = None
    thickness: Length | None = None
    material: Name | None = None


class Cutting(Section):
    """The sheets, how they are cut, and whether panels must keep to the grain.

    `kerf` is the width of one cut, `spacing` the least distance between parts, `margin` what is
    trimmed off every edge of a sheet. `grain` is ``along`` when a panel's grain must lie along the
    sheet's, ``free`` when panels may be turned.
    """

    sheets: tuple[Sheet, ...]
    tool: Annotated[str, Choice(("saw", "router"))] = "saw"
    kerf: CutWidth | None = None
    spacing: Gap | None = None
    margin: Margin = 0.010
    grain: Annotated[str, Choice(("along", "free"))] = "along"

    @property
    def cut_width(self) -> float:
        """The kerf as given, or 3.2 mm for a saw and 6 mm for a router, m."""
        if self.kerf is not None:
            return self.kerf
        return SAW_KERF if self.tool == "saw" else ROUTER_KERF

    @property
    def least_spacing(self) -> float:
        """The spacing as given, or one kerf for a saw and two for a router, m."""
        if self.spacing is not None:
            return self.spacing
        return self.cut_width * (1.0 if self.tool == "saw" else ROUTER_SPACING)

    @model_validator(mode="after")
    def _whole(self) -> Cutting:
        found = []
        if not self.sheets:
            found.append(("sheets", "it names no sheet.", "Add [[cutting.sheets]]."))
        names: set[str] = set()
        for k, sheet in enumerate(self.sheets):
            if sheet.name in names:
                found.append((f"sheets.{k}.name", "two sheets have the same name.",
                              "Give each its own."))
            names.add(sheet.name)
            if min(sheet.size) <= 2.0 * self.margin:
                found.append((f"sheets.{k}.size", "the margins leave nothing of the sheet.",
                              "Make the margin smaller or the sheet larger."))
            if sheet.thickness is not None and sheet.thickness >= min(sheet.size):
                found.append((f"sheets.{k}.thickness", "it is thicker than it is wide.",
                              "Look for swapped numbers."))
        if found:
            raise problems(found)
        return self

"""How the cabinet's sheets meet, and what stiffens them: joints, back, braces, rods."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.values import (
    Choice,
    Length,
    LengthOrZero,
    Name,
    Quantity,
    Section,
    Whole,
    problems,
)

Share = Annotated[float, Quantity("ratio", low=0.0, high=0.95, above=False)]
Place = Annotated[float, Quantity("length", low=-10.0, high=10.0, above=False)]

WALL_JOINTS = ("butt", "rabbet", "mitre")
END_JOINTS = ("butt", "rabbet", "mitre", "inset")
INNER_JOINTS = ("butt", "dado")
BRACES = ("shelf", "upright", "partition")


class Inner(Section):
    """How dividers, braces and slot boards meet the walls: butted, or let into dados.

    `depth` is how deep a dado is cut, `clearance` how much wider than the sheet, `stop` how far it
    ends before the front edge of its wall (left out, it runs through to the baffle).
    """

    joint: Annotated[str, Choice(INNER_JOINTS)] = "butt"
    depth: Length = 0.006
    clearance: LengthOrZero = 0.0002
    stop: Length | None = None


class Back(Section):
    """How the back is fixed: glued, or loose on a gasket with screws into battens.

    `batten` is the side of a batten's square section (none where the back lies over the edges of
    walls thick enough), `spacing` the most between two screws.
    """

    fixing: Annotated[str, Choice(("glued", "loose"))] = "glued"
    batten: Length | None = None
    gasket: Length = 0.003
    spacing: Length = 0.12


class Brace(Section):
    """A sheet across a chamber with a window in it, or several.

    A shelf lies level, an upright stands from front to back, a partition stands parallel to the
    baffle. `at` is the place of its middle: a shelf's above the chamber's floor, an upright's right
    of the middle, a partition's behind the baffle's front face. `behind` is where a shelf or an
    upright starts, counted from the baffle's front face (left out, right behind the baffle);
    `until` where it ends (left out, at the back). An upright or a partition reaches from floor to
    ceiling unless `from_floor` or `to_height` (above the chamber's floor) say otherwise.
    `open` is the windows' share of its area, `windows` their number; `sheet` its own thickness.
    Two braces that cross are let into each other by half-laps.
    """

    chamber: Name
    at: Place
    kind: Annotated[str, Choice(BRACES)] = "shelf"
    behind: Length | None = None
    until: Length | None = None
    from_floor: Length | None = None
    to_height: Length | None = None
    open: Share = 0.5
    windows: Annotated[int, Whole(1, 4)] = 1
    sheet: Length | None = None
    joint: Annotated[str, Choice(INNER_JOINTS)] | None = None

    @model_validator(mode="after")
    def _whole(self) -> Brace:
        found = []
        if self.kind != "upright" and self.at <= 0.0:
            found.append(("at", "it must lie above zero.", "Only an upright stands left or right "
                          "of the middle."))
        if self.kind == "partition" and (self.behind is not None or self.until is not None):
            found.append(("behind", "a partition stands parallel to the baffle.",
                          "Say where with at alone."))
        if self.kind == "shelf" and (self.from_floor is not None or self.to_height is not None):
            found.append(("from_floor", "a shelf lies level.", "Say how high with at alone."))
        for low, high in (("behind", "until"), ("from_floor", "to_height")):
            one, other = getattr(self, low), getattr(self, high)
            if one is not None and other is not None and other <= one:
                found.append((high, f"it does not lie beyond {low}.", "Make it larger."))
        if found:
            raise problems(found)
        return self


class Rod(Section):
    """A round rod between two walls: across from side to side, or along from baffle to back.

    `at` is (height above the chamber's floor, place): the place behind the baffle's front face for
    a rod across, right of the middle for one along.
    """

    chamber: Name
    runs: Annotated[str, Choice(("across", "along"))] = "across"
    at: tuple[Length, Place]
    diameter: Length = 0.025

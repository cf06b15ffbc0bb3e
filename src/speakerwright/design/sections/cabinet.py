"""What the cabinet stage decides: outside sizes, sheet, joints, chambers, braces, port places."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from speakerwright.design.values import (
    Choice,
    Length,
    LengthOrZero,
    Name,
    Quantity,
    Section,
    Text,
    problems,
)

Share = Annotated[float, Quantity("ratio", low=0.0, high=0.95, above=False)]
Place = Annotated[float, Quantity("length", low=-10.0, high=10.0, above=False)]


class Chamber(Section):
    """A chamber's clear height between its own walls; left out, it takes what is left.

    Chambers stand one above the other in the order of the file, with a divider between.
    """

    height: Length | None = None


class Brace(Section):
    """A shelf brace: a horizontal sheet across a chamber with a window in it.

    `at` is the height of its middle above the chamber's floor, `behind` where it starts, counted
    from the baffle's front face (by default right behind the baffle), `open` the window's share of
    its area; `sheet` is its own thickness where it differs.
    """

    chamber: Name
    at: Length
    behind: Length | None = None
    open: Share = 0.5
    sheet: Length | None = None


class PortPlace(Section):
    """Where a chamber's ports stand on the baffle: centres (x, z) from its bottom centre."""

    at: tuple[tuple[Place, Place], ...] = ()


class Cabinet(Section):
    """A rectangular box of sheet. One of width, height and depth may be left free.

    The free one closes the net volume of the chamber named by `closes` (or of the only chamber
    that the bass asks for), with the port's length in the loop.
    """

    width: Length | None = None
    height: Length | None = None
    depth: Length | None = None
    sheet: Length
    material: Annotated[str, Text(60)] = "birch plywood"
    joint: Annotated[str, Choice(("butt", "rabbet"))] = "butt"
    rabbet: LengthOrZero = 0.006
    closes: Name | None = None
    chambers: dict[str, Chamber] = Field(default_factory=dict)
    braces: tuple[Brace, ...] = ()
    ports: dict[str, PortPlace] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _sizes(self) -> Cabinet:
        found = []
        missing = [n for n in ("width", "height", "depth") if getattr(self, n) is None]
        if self.chambers and all(c.height is not None for c in self.chambers.values()):
            missing = [n for n in missing if n != "height"]  # it follows from the chambers
        open_heights = [n for n, c in self.chambers.items() if c.height is None]
        if len(missing) > 1:
            found.append((missing[1], f"{' and '.join(missing)} are left free.",
                          "Give two of width, height and depth."))
        if len(open_heights) > 1:
            found.append(("chambers", f"{' and '.join(open_heights)} have no height.",
                          "Only one chamber may take what is left."))
        for name in ("width", "height", "depth"):
            size = getattr(self, name)
            if size is not None and size <= 2.0 * self.sheet:
                found.append((name, "it leaves nothing between two sheets.", "Make it larger."))
        if self.joint == "rabbet" and not 0.0 < self.rabbet < self.sheet:
            found.append(("rabbet", "a rabbet is less deep than the sheet is thick.",
                          "Give it between nothing and the sheet."))
        found += self._stacked()
        if found:
            raise problems(found)
        return self

    def _stacked(self) -> list[tuple[str, str, str]]:
        """Whether the chambers' heights and the sheets between them make up the height."""
        if self.height is None or not self.chambers:
            return []
        heights = [chamber.height for chamber in self.chambers.values()]
        taken = sum(h for h in heights if h is not None) + (len(heights) + 1) * self.sheet
        left = self.height - taken
        if None in heights and left <= 0.0:
            return [("height", "the chambers and sheets leave nothing of it.", "Raise it.")]
        if None not in heights and abs(left) > 1e-6:
            return [("height", f"chambers and sheets add up to {1e3 * taken:.6g} mm.",
                     "Change it, or leave one chamber's height out.")]
        return []

"""What the cabinet stage decides: outside sizes, sheet, joints, chambers, braces, port places."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from speakerwright.design.sections.fixtures import (
    Board,
    Feet,
    Fixing,
    Flange,
    Grille,
    Handle,
    Lining,
    Terminal,
)
from speakerwright.design.sections.joinery import (
    END_JOINTS,
    WALL_JOINTS,
    Back,
    Brace,
    Inner,
    Rod,
)
from speakerwright.design.values import (
    Choice,
    Length,
    LengthOrZero,
    Name,
    Quantity,
    Section,
    Text,
    YesNo,
    problems,
)

__all__ = ["Brace", "Cabinet", "Chamber", "Outline", "PortPlace"]

Lean = Annotated[float, Quantity("angle", low=-30.0, high=30.0, above=False)]
Place = Annotated[float, Quantity("length", low=-10.0, high=10.0, above=False)]


class Chamber(Section):
    """A chamber's clear height between its own walls; left out, it takes what is left.

    Chambers stand one above the other in the order of the file, with a divider between. An open
    one has no back: a bay in which a horn stands with its driver in the free air behind.
    """

    height: Length | None = None
    open: Annotated[bool, YesNo()] = False
    lining: Lining | None = None


class Outline(Section):
    """The front's outline where it is no plain rectangle, and how front and back lean.

    From `shoulder` (height above the bottom; left out, from the bottom) the sides lean inward to
    `top_width`. `points` give any convex outline (x, z) instead, from the bottom's middle, in
    order; width and height are then left out. `front_lean` and `back_lean` are angles from upright,
    above zero where the cabinet grows shallower upward; depth is counted at the bottom.
    """

    shoulder: LengthOrZero = 0.0
    top_width: Length | None = None
    points: tuple[tuple[Place, Place], ...] = ()
    front_lean: Lean = 0.0
    back_lean: Lean = 0.0

    @model_validator(mode="after")
    def _convex(self) -> Outline:
        turns = []
        for k, (x1, z1) in enumerate(self.points):
            (x0, z0), (x2, z2) = self.points[k - 1], self.points[(k + 1) % len(self.points)]
            turns.append((x1 - x0) * (z2 - z1) - (x2 - x1) * (z1 - z0))
        bulges = all(t > 1e-9 for t in turns) or all(t < -1e-9 for t in turns)
        if self.points and (len(turns) < 3 or not bulges):
            raise problems([("points", "the outline is not convex, or has a corner that is none.",
                             "Give three corners or more in order, bulging outward.")])
        return self


class PortPlace(Section):
    """Where a chamber's ports stand on the baffle: centres (x, z) from its bottom centre."""

    at: tuple[tuple[Place, Place], ...] = ()


class Cabinet(Section):
    """A box of sheet over a front outline. One of width, height and depth may be left free.

    `joint` is how the frame's walls meet each other, `front_joint` and `back_joint` how baffle and
    back meet them (left out, as `joint`): over their edges, in a rebate over them, mitred, or inset
    between them. What is not square in the frame is mitred whatever is said. The free size closes
    the net volume of the chamber named by `closes` (or of the only chamber that the bass asks for),
    with the port's length in the loop.
    """

    width: Length | None = None
    height: Length | None = None
    depth: Length | None = None
    sheet: Length
    material: Annotated[str, Text(60)] = "birch plywood"
    outline: Outline = Outline()
    joint: Annotated[str, Choice(WALL_JOINTS)] = "butt"
    front_joint: Annotated[str, Choice(END_JOINTS)] | None = None
    back_joint: Annotated[str, Choice(END_JOINTS)] | None = None
    rabbet: LengthOrZero = 0.006
    inner: Inner = Inner()
    back: Back = Back()
    closes: Name | None = None
    chambers: dict[str, Chamber] = Field(default_factory=dict)
    braces: tuple[Brace, ...] = ()
    rods: tuple[Rod, ...] = ()
    fixing: Fixing = Fixing()
    feet: Feet | None = None
    handles: tuple[Handle, ...] = ()
    terminal: Terminal | None = None
    board: Board | None = None
    grille: Grille | None = None
    flange: Flange | None = None
    ports: dict[str, PortPlace] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _sizes(self) -> Cabinet:
        found = []
        missing = [n for n in ("width", "height", "depth") if getattr(self, n) is None]
        if self.outline.points:
            found += [(n, "the outline's points give it.", "Leave it out, or the points.")
                      for n in ("width", "height") if getattr(self, n) is not None]
            missing = [n for n in missing if n == "depth"]
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
        found += self._joined()
        if "rabbet" in self.joints and not 0.0 < self.rabbet < self.sheet:
            found.append(("rabbet", "a rabbet is less deep than the sheet is thick.",
                          "Give it between nothing and the sheet."))
        found += [] if self.outline.points else self._stacked()
        if found:
            raise problems(found)
        return self

    @property
    def joints(self) -> tuple[str, str, str]:
        """The joints of the frame's corners, of the baffle and of the back."""
        return self.joint, self.front_joint or self.joint, self.back_joint or self.joint

    def _joined(self) -> list[tuple[str, str, str]]:
        """Whether outline, joints and fixtures go together."""
        found = []
        top, width = self.outline.top_width, self.width
        if top is not None and (self.outline.points or (width is not None and top >= width)):
            found.append(("outline.top_width", "the sides do not lean inward.",
                          "Make it less than the width, or leave it out."))
        if self.outline.shoulder and top is None:
            found.append(("outline.shoulder", "nothing says how wide the top is.",
                          "Give top_width too."))
        if self.height is not None and self.outline.shoulder >= self.height:
            found.append(("outline.shoulder", "it is not below the top.", "Lower it."))
        if self.flange is not None and self.joints[1] not in ("butt", "rabbet"):
            found.append(("flange", "a baffle that reaches out lies over the walls' edges.",
                          'Say front_joint = "butt" or "rabbet".'))
        if self.inner.joint == "dado" and self.inner.depth >= self.sheet:
            found.append(("inner.depth", "a dado is less deep than the sheet is thick.",
                          "About a third of the sheet is usual."))
        if self.back.fixing == "loose" and self.joints[2] not in ("butt", "inset"):
            found.append(("back.fixing", "a loose back lies over the walls or between them.",
                          'Say back_joint = "inset" or "butt".'))
        if self.chambers and all(chamber.open for chamber in self.chambers.values()):
            found.append(("chambers", "every chamber is open.", "Close one."))
        return found

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

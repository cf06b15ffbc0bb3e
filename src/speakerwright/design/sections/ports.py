"""A port as it is decided: its opening, how it is shaped, and its tuning or its length."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.values import (
    Choice,
    Count,
    Frequency,
    Length,
    LengthOrZero,
    Quantity,
    Section,
    Whole,
    problems,
)

PortSize = Annotated[float, Quantity("length", low=0.001, high=5.0, above=False)]
LossQ = Annotated[float, Quantity("ratio", low=0.5, high=1e4, above=False)]
OpenShare = Annotated[float, Quantity("ratio", low=0.1, high=1.0, above=False)]


class Port(Section):
    """A port by its area and either its tuning or its length; the other is a result.

    `flare` is the radius to which both mouths are rounded; `inner_bore` makes a round port a
    taper from `bore` outside; `bends` are right-angled turns, the length counting along the
    middle; `open_share` is what a grille before the mouth leaves open.
    """

    shape: Annotated[str, Choice(("round", "slot"))] = "round"
    count: Count = 1
    bore: PortSize | None = None
    width: PortSize | None = None
    height: PortSize | None = None
    wall: LengthOrZero = 0.003
    centres: Length | None = None
    walls_shared: Annotated[int, Whole(0, 3)] = 0
    inner_bore: PortSize | None = None
    flare: LengthOrZero = 0.0
    bends: Annotated[int, Whole(0, 6)] = 0
    open_share: OpenShare | None = None
    tuning: Frequency | None = None
    length: Length | None = None

    @model_validator(mode="after")
    def _whole(self) -> Port:
        found = []
        if self.shape == "round":
            if self.bore is None:
                found.append(("bore", "a round port has no bore.", 'Write it like "100 mm".'))
            if self.width or self.height or self.walls_shared:
                found.append(("shape", "a round port has no width, height or shared walls.",
                              'Leave them out or say shape = "slot".'))
        else:
            if self.width is None or self.height is None:
                found.append(("width", "a slot needs width and height.", "Give both."))
            if self.bore is not None or self.inner_bore is not None:
                found.append(("bore", "a slot has no bore.", "Leave it out."))
            if self.width and self.height and self.height > self.width:
                found.append(("height", "the slot's height is its short side.", "Swap them."))
        if (self.tuning is None) == (self.length is None):
            found.append(("tuning", "a port has either a tuning or a length.",
                          "Give one; the other is a result."))
        if self.count > 1 and self.centres is None:
            found.append(("centres", f"{self.count} ports have no distance between centres.",
                          'Write it like "150 mm".'))
        if self.centres and self.bore and self.count > 1 and self.centres < self.bore:
            found.append(("centres", "the ports overlap.", "Move them apart."))
        if found:
            raise problems(found)
        return self

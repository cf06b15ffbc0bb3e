"""What the bass stage decides, per chamber."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.values import (
    Capacitance,
    Choice,
    Count,
    Frequency,
    Length,
    LengthOrZero,
    Name,
    Quantity,
    Ratio,
    ResistanceOrZero,
    Section,
    Volume,
    Whole,
    problems,
)

PortSize = Annotated[float, Quantity("length", low=0.001, high=5.0, above=False)]
LossQ = Annotated[float, Quantity("ratio", low=0.5, high=1e4, above=False)]


class Port(Section):
    """A port by its area and either its tuning or its length; the other is a result."""

    shape: Annotated[str, Choice(("round", "slot"))] = "round"
    count: Count = 1
    bore: PortSize | None = None
    width: PortSize | None = None
    height: PortSize | None = None
    wall: LengthOrZero = 0.003
    centres: Length | None = None
    walls_shared: Annotated[int, Whole(0, 3)] = 0
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
            if self.bore is not None:
                found.append(("bore", "a slot has no bore.", "Leave it out."))
            if self.walls_shared == 2:
                found.append(("walls_shared", "two shared walls are not worked out.",
                              "Say 0, 1 or 3."))
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


class Losses(Section):
    """Losses as Q at the tuning (or at the closed-box resonance): leak, absorption, port."""

    leak_q: LossQ | None = 7.0
    absorption_q: LossQ | None = None
    port_q: LossQ | None = 60.0


class HighPass(Section):
    """A protective high-pass: an active filter by order, or a series capacitor, or both."""

    order: Annotated[int, Whole(1, 8)] | None = None
    frequency: Frequency | None = None
    shape: Annotated[str, Choice(("butterworth", "linkwitz-riley"))] = "butterworth"
    q: Ratio | None = None
    capacitor: Capacitance | None = None

    @model_validator(mode="after")
    def _whole(self) -> HighPass:
        found = []
        if (self.order is None) != (self.frequency is None):
            found.append(("order", "a filter needs order and frequency.", "Give both."))
        if self.order is None and self.capacitor is None:
            found.append(("", "it filters nothing.", "Give order and frequency, or a capacitor."))
        if self.q is not None and self.order != 2:
            found.append(("q", "only a second-order filter takes a Q.", "Leave it out."))
        if self.shape == "linkwitz-riley" and self.order is not None and self.order % 2:
            found.append(("shape", "a Linkwitz-Riley filter has an even order.", "Use 2, 4 or 8."))
        if found:
            raise problems(found)
        return self


class BassChamber(Section):
    """One chamber: which drivers it loads, how, with what volume, port, losses and filter."""

    loads: tuple[Name, ...]
    loading: Annotated[str, Choice(("closed", "vented"))]
    volume: Volume
    port: Port | None = None
    losses: Losses = Losses()
    high_pass: HighPass | None = None
    source_resistance: ResistanceOrZero = 0.0

    @model_validator(mode="after")
    def _whole(self) -> BassChamber:
        found = []
        if not self.loads:
            found.append(("loads", "the chamber loads no driver.", 'Write it like ["low"].'))
        if self.loading == "vented" and self.port is None:
            found.append(("port", "a vented chamber has no port.", "Add a port or close it."))
        if self.loading == "closed" and self.port is not None:
            found.append(("port", "a closed chamber has a port.", 'Say loading = "vented".'))
        if found:
            raise problems(found)
        return self

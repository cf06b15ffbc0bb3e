"""What stands behind or before a cone besides a plain box: one section for each way to load it."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.sections.ports import LossQ, Port
from speakerwright.design.values import (
    Area,
    Choice,
    Count,
    Length,
    LengthOrZero,
    Name,
    Quantity,
    Section,
    Volume,
    VolumeOrZero,
    problems,
)

Share = Annotated[float, Quantity("ratio", low=0.0, high=1.0, above=False)]
AddedMass = Annotated[float, Quantity("moving mass", high=20.0, above=False)]
BulkDensity = Annotated[float, Quantity("ratio", low=1.0, high=500.0, above=False)]
FlowResistivity = Annotated[float, Quantity("ratio", low=100.0, high=2e5, above=False)]


class Fill(Section):
    """Fibrous fill: its flow resistivity (Pa s/m²) and the share of the air that it takes up.

    With `bulk_density` (kg/m³) its fibres move along with the air; without it they stand still.
    """

    flow_resistivity: FlowResistivity
    bulk_density: BulkDensity | None = None
    share: Share = 1.0


class FrontChamber(Section):
    """The chamber before the cone of a band-pass box, with its own port and losses."""

    volume: Volume
    port: Port
    leak_q: LossQ | None = None
    absorption_q: LossQ | None = None
    port_q: LossQ | None = 60.0


class Passive(Section):
    """Passive radiators: a record, how many, and the mass added to each."""

    record: Name
    count: Count = 1
    added_mass: AddedMass = 0.0


class Line(Section):
    """A transmission line: its axis from closed end to mouth, and both cross-sections.

    `driver_at` is the share of the length from the closed end at which the driver works on it.
    """

    length: Length
    area: Area
    mouth_area: Area
    driver_at: Annotated[float, Quantity("ratio", low=0.0, high=0.9, above=False)] = 0.0
    fill: Fill | None = None


class FrontHorn(Section):
    """A horn before the cone; `volume` is the air between cone and throat."""

    throat_area: Area
    mouth_area: Area
    length: Length
    profile: Annotated[str, Choice(("exponential", "conical"))] = "exponential"
    volume: VolumeOrZero = 0.0

    @model_validator(mode="after")
    def _widens(self) -> FrontHorn:
        if self.mouth_area <= self.throat_area:
            raise problems([("mouth_area", "it is no larger than the throat.",
                             "A horn widens from throat to mouth.")])
        return self


class OpenBaffle(Section):
    """An open baffle: its width and height, and the driver's place from its left lower corner."""

    width: Length
    height: Length
    x: LengthOrZero | None = None
    z: LengthOrZero | None = None

    @model_validator(mode="after")
    def _inside(self) -> OpenBaffle:
        found = [(name, "the driver stands beyond the edge.", "Move it onto the baffle.")
                 for name, at, size in (("x", self.x, self.width), ("z", self.z, self.height))
                 if at is not None and at >= size]
        if found:
            raise problems(found)
        return self

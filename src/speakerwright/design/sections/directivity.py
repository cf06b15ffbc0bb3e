"""What the directivity stage decides: where each driver and horn stands on the baffle."""

from __future__ import annotations

from typing import Annotated

from speakerwright.design.values import Angle, Choice, Quantity, Section

Place = Annotated[float, Quantity("length", low=-10.0, high=10.0, above=False)]


class Mounting(Section):
    """One job's drivers on the baffle: centres (x, z) from the baffle's bottom centre.

    `flush` sets the flange into a rebate; `bolt_angle` turns the bolt circle from straight up.
    """

    at: tuple[tuple[Place, Place], ...] = ()
    flush: Annotated[str, Choice(("no", "yes"))] = "no"
    bolt_angle: Angle = 0.0

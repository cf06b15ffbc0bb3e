"""Chambers for the tests, made from figures without a design file. All invented."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.movingcoil import MovingCoil
from speakerwright.bass.inputs import Amplifier, ChamberInput, Ratings, Seat
from speakerwright.bass.port import PortCase
from speakerwright.bass.result import Need
from speakerwright.design.sections.bass import BassChamber, Losses, Port
from speakerwright.words.evidence import Evidence

AIR = Air()  # 20 degrees, 50 %
WOOFER = MovingCoil(re=5.3, bl=15.2, mms=0.050, cms=0.0002, rms=2.8, sd=0.0531)
LOSSLESS = Losses.model_construct(leak_q=None, absorption_q=None, port_q=None)
LEAKY = Losses.model_construct(leak_q=7.0, absorption_q=None, port_q=60.0)
TWO_PORTS = Port.model_construct(shape="round", count=2, bore=0.1, wall=0.003, centres=0.15,
                                 tuning=50.0)
DEEP = Seat(behind_mouth=0.282, depth=0.264, width=0.414, height=0.632)
NEED = Need(peak_db=116.0, average_db=106.0, spectrum="programme", lowest=50.0,
            lowest_drop_db=10.0, highest=1250.0)


def chamber(**changes: Any) -> BassChamber:
    """A closed chamber of 62 litres without losses, or as changed."""
    plain = {"loads": ("low",), "loading": "closed", "volume": 0.062, "losses": LOSSLESS}
    if changes.get("port") is not None:
        plain["loading"] = "vented"
    return BassChamber.model_construct(**{**plain, **changes})


def inputs(box: BassChamber | None = None, **changes: Any) -> ChamberInput:
    """One woofer without inductance in the closed chamber in half space, or as changed."""
    made = ChamberInput(
        name="main", chamber=box if box is not None else chamber(), motor=WOOFER,
        evidence=Evidence.DATASHEET, count=1, wiring="parallel", inductance=None,
        ratings=Ratings(0.0065, 0.016, 400.0, None, Evidence.DATASHEET),
        amplifier=Amplifier(math.sqrt(4000.0), 90.0, 22.0), air=AIR, solid_angle=2 * math.pi,
        on_floor=False, seat=Seat(), driver_name="Moorhoot 12",
    )
    return replace(made, **changes)


def vented(losses: Losses = LEAKY, **changes: Any) -> ChamberInput:
    """The woofer in 62 litres with two ports at 50 Hz, in the shallow cabinet."""
    box = chamber(port=TWO_PORTS, losses=losses)
    return inputs(box, **{"seat": DEEP, **changes})


def case(port: Port = TWO_PORTS, **changes: Any) -> PortCase:
    """The port's question in 62 litres, behind it the shallow cabinet's back."""
    return replace(PortCase(port, 0.062, AIR, DEEP, False), **changes)

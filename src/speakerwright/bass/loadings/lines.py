"""Loadings along which sound takes its time: transmission line, front horn, open baffle."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.dipoles import dipole_distance
from speakerwright.acoustics.ends import flanged_end
from speakerwright.acoustics.horns import mouth_load
from speakerwright.acoustics.profiles import Profile, closed_open_modes, conical, exponential
from speakerwright.bass.inputs import ChamberInput, equivalent
from speakerwright.bass.loadings.boxes import stiffened
from speakerwright.bass.loadings.parts import (
    BOX,
    CONE,
    FILL_DOUBT,
    FRONT,
    Circuit,
    Fact,
    Opening,
    behind,
    electrical,
    fill_of,
    mechanical,
    spring,
)
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import GROUND, Capacitor, Complex, Flare, OnePort, Part, Real
from speakerwright.design.sections.loadings import Line

MOUTH = "mouth"
WALL_DOUBT = "The mouth is loaded as a piston in a large wall, whatever the place."


@dataclass(frozen=True)
class PistonMouth(OnePort):
    """What a mouth of `area` (m²) in a large wall sees of the room (`horns.mouth_load`)."""

    area: float
    air: Air

    def impedance(self, omega: Real) -> Complex:
        """Radiation impedance of a piston of the same area."""
        return mouth_load(omega / (2.0 * math.pi), self.area, self.air)


def line(inputs: ChamberInput) -> Circuit:
    """A transmission line: the cone works on a tapered duct, closed at one end, open at the other.

    The taper is a cone's: the root of the area goes evenly from end to end. Fill takes up the
    stated share of the length, counted from the closed end.
    """
    driver, wanted = equivalent(inputs), inputs.chamber.line
    assert wanted is not None  # the section has seen to it
    whole = conical(wanted.area, wanted.mouth_area, wanted.length)
    cuts = _cuts(wanted)
    names = {x: MOUTH if x == 1.0 else f"line at {x:.6f}" for x in cuts}
    parts: list[Part] = [
        *electrical(inputs, driver), *mechanical(driver, GROUND, names[wanted.driver_at])]
    for start, end in pairwise(cuts):
        area, end_area = (whole.area(x * wanted.length) for x in (start, end))
        filled = wanted.fill is not None and end <= wanted.fill.share + 1e-9
        parts.append(Flare(
            f"line from {start:.6f}", names[start], names[end], area,
            2.0 * math.sqrt(math.pi * area), (end - start) * wanted.length, inputs.air,
            fill=fill_of(wanted.fill) if filled and wanted.fill is not None else None,
            end_area=end_area))
    parts.append(PistonMouth(MOUTH, MOUTH, GROUND, wanted.mouth_area, inputs.air))
    reach = wanted.length + flanged_end(math.sqrt(wanted.mouth_area / math.pi))
    longer = conical(wanted.area, whole.area(reach), reach)
    quarter = float(closed_open_modes(longer, inputs.air.speed, 1)[0])
    doubts = [WALL_DOUBT]
    if wanted.fill is not None:
        doubts.append(FILL_DOUBT)
    return Circuit(
        Network(tuple(parts)), driver, quarter, "quarter wave", None,
        {CONE: driver.sd, MOUTH: 1.0},
        (Opening(MOUTH, (MOUTH,), wanted.mouth_area, "line.mouth_area"),),
        facts=(
            Fact("Air in the line", whole.volume, "volume"),
            Fact("Length of its axis", wanted.length, "length"),
            Fact("Area at the closed end", wanted.area, "area"),
            Fact("Area at the mouth", wanted.mouth_area, "area"),
        ),
        doubts=tuple(doubts),
    )


def _cuts(wanted: Line) -> list[float]:
    """Where the line is cut, as shares of its length: at the ends, the driver, the fill's end."""
    inner = {wanted.driver_at}
    if wanted.fill is not None:
        inner.add(wanted.fill.share)
    return sorted({0.0, 1.0, *inner})


def horn(inputs: ChamberInput) -> Circuit:
    """A front horn: the cone works through a throat into a flare, closed behind."""
    driver, chamber = equivalent(inputs), inputs.chamber
    wanted = chamber.horn
    assert wanted is not None  # the section has seen to it
    made = exponential if wanted.profile == "exponential" else conical
    profile: Profile = made(wanted.throat_area, wanted.mouth_area, wanted.length)
    compliance = spring(inputs, chamber.net_volume)
    closed = stiffened(driver, compliance)
    parts: list[Part] = [
        *electrical(inputs, driver), *mechanical(driver, FRONT, BOX), *behind(inputs, closed),
        Flare("horn", FRONT, MOUTH, wanted.throat_area,
              2.0 * math.sqrt(math.pi * wanted.throat_area), wanted.length, inputs.air,
              end_area=wanted.mouth_area, flare=1.0 if wanted.profile == "exponential" else None),
        PistonMouth(MOUTH, MOUTH, GROUND, wanted.mouth_area, inputs.air),
    ]
    if wanted.volume > 0.0:
        parts.append(Capacitor("front air", FRONT, GROUND, spring(inputs, wanted.volume)))
    radiating = {MOUTH: 1.0}
    if chamber.losses.leak_q is not None:
        radiating[f"{BOX} leak"] = 1.0
    cutoff = profile.cutoff(inputs.air.speed)
    carries = inputs.air.speed / (2.0 * math.pi * math.sqrt(wanted.mouth_area / math.pi))
    facts = [
        Fact("Cone area over throat area", driver.sd / wanted.throat_area, "ratio"),
        Fact("Mouth's ka is 1 at", carries, "frequency"),
        Fact("Air in the horn", profile.volume, "volume"),
        Fact("Resonance on the closed volume behind", closed, "frequency"),
    ]
    return Circuit(
        Network(tuple(parts)), driver, cutoff if cutoff > 0.0 else closed,
        "horn cutoff" if cutoff > 0.0 else "resonance", compliance, radiating,
        (Opening(MOUTH, (MOUTH,), wanted.mouth_area, "horn.mouth_area"),), facts=tuple(facts),
        doubts=(WALL_DOUBT, "The wave is taken as plane along the horn (Webster): near its cutoff "
                "and where the mouth is large against the wavelength that is a sketch. The "
                "throat's own distortion is not worked out."),
    )


def open_baffle(inputs: ChamberInput) -> Circuit:
    """A driver in an open baffle: front and rear radiate in opposite phase around the edges.

    The figures of the driver hold the air's mass that they were taken with; none is added.
    """
    driver, wanted = equivalent(inputs), inputs.chamber.baffle
    assert wanted is not None  # the section has seen to it
    parts = [*electrical(inputs, driver), *mechanical(driver, GROUND, GROUND)]
    across, up = driver_on_baffle(inputs)
    distance = dipole_distance(wanted.width, wanted.height, across, up)
    return Circuit(
        Network(tuple(parts)), driver, driver.fs, "resonance", None, {CONE: driver.sd},
        dipole=(wanted.width, wanted.height, across, up),
        facts=(
            Fact("Front and rear count as apart by", distance, "length"),
            Fact("Front and rear first add at", inputs.air.speed / (2.0 * distance), "frequency"),
        ),
        doubts=("The edges are taken in first order, in free space, on the axis; the floor is "
                "left out.",),
    )


def driver_on_baffle(inputs: ChamberInput) -> tuple[float, float]:
    """The driver's place on an open baffle from its left lower corner, m; its middle by default."""
    wanted = inputs.chamber.baffle
    assert wanted is not None
    return (0.5 * wanted.width if wanted.x is None else wanted.x,
            0.5 * wanted.height if wanted.z is None else wanted.z)

"""Records of drive units and horns: what a datasheet says, and what was measured.

A record keeps `[datasheet]` figures and, once accepted, `[measured]` ones beside them. Nothing is
corrected here: figures that disagree are kept as they are and found by the drivers stage.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Any

from pydantic import model_validator

from speakerwright.acoustics.largesignal.curves import Curve, polynomial, table
from speakerwright.design.values import (
    Angle,
    Area,
    Choice,
    Compliance,
    Count,
    Decibel,
    Duration,
    ForceFactor,
    Frequency,
    Inductance,
    Length,
    Mass,
    MechanicalResistance,
    Money,
    MovingMass,
    Name,
    Number,
    Percent,
    Power,
    Quantity,
    Ratio,
    Resistance,
    Section,
    Sentence,
    Text,
    Volume,
    Whole,
    problems,
)

Displacement = Annotated[float, Quantity("length", low=-0.2, high=0.2, above=False)]
Stiffness = Annotated[float, Quantity("stiffness", high=1e7)]
ThermalResistance = Annotated[float, Quantity("thermal resistance", high=1e4)]
CoilTime = Annotated[float, Quantity("time", high=3600.0)]
Coefficients = tuple[Annotated[float, Number()], ...]
Exponent = Annotated[float, Quantity("ratio", high=1.5)]

_LAWS: dict[str, tuple[str, ...]] = {
    "plain": ("le",),
    "l2r2": ("le", "l2", "r2"),
    "power": ("k", "n"),
    "wright": ("kr", "xr", "ki", "xi"),
    "semi": ("leb", "le", "ke", "rss"),
}


class VoiceCoilInductance(Section):
    """The voice coil's inductance by one of five laws, with that law's figures."""

    law: Annotated[str, Choice(tuple(_LAWS))] = "plain"
    le: Inductance | None = None
    l2: Inductance | None = None
    r2: Resistance | None = None
    k: Ratio | None = None
    n: Exponent | None = None
    kr: Ratio | None = None
    xr: Exponent | None = None
    ki: Ratio | None = None
    xi: Exponent | None = None
    leb: Inductance | None = None
    ke: Ratio | None = None
    rss: Resistance | None = None

    @model_validator(mode="after")
    def _law(self) -> VoiceCoilInductance:
        wanted = set(_LAWS[self.law])
        given = {name for name in type(self).model_fields if name != "law"
                 and getattr(self, name) is not None}
        found = [(name, f"the law '{self.law}' needs it.", "Give it or choose another law.")
                 for name in sorted(wanted - given)]
        found += [(name, f"the law '{self.law}' does not use it.", "Leave it out.")
                  for name in sorted(given - wanted)]
        if found:
            raise problems(found)
        return self


_MILLIMETRES = 1000.0  # a polynomial's coefficients count in mm, as such fits are printed


class LargeSignalFigures(Section):
    """How force factor, stiffness and inductance change with displacement, positive outward.

    Each is a table of displacements and values, or a polynomial over the displacement in mm, lowest
    power first, that holds inside `range`. `creep` is the share of the compliance that one decade
    of frequency takes.
    """

    range: tuple[Displacement, Displacement] | None = None
    bl_x: tuple[tuple[Displacement, ForceFactor], ...] = ()
    kms_x: tuple[tuple[Displacement, Stiffness], ...] = ()
    le_x: tuple[tuple[Displacement, Inductance], ...] = ()
    bl_polynomial: Coefficients = ()
    kms_polynomial: Coefficients = ()
    le_polynomial: Coefficients = ()
    creep: Annotated[float, Quantity("ratio", high=0.5)] | None = None

    def curve(self, name: str) -> Curve | None:
        """The curve of ``bl``, ``kms`` or ``le``, one at rest; None where the record has none."""
        points, law = getattr(self, f"{name}_x"), getattr(self, f"{name}_polynomial")
        if points:
            return table([x for x, _ in points], [y for _, y in points])
        if law and self.range is not None:
            per_metre = [value * _MILLIMETRES**power for power, value in enumerate(law)]
            return polynomial(per_metre, *self.range)
        return None

    @model_validator(mode="after")
    def _curves(self) -> LargeSignalFigures:
        found = []
        laws = [name for name in ("bl", "kms", "le") if getattr(self, f"{name}_polynomial")]
        like = 'Write it like ["-8 mm", "8 mm"].'
        if laws and self.range is None:
            found.append(("range", "a polynomial has no range.", like))
        if self.range is not None and not laws:
            found.append(("range", "no polynomial uses it.", "Leave it out."))
        reaches = self.range is not None and self.range[0] < 0.0 < self.range[1]
        if self.range is not None and not reaches:
            found.append(("range", "it does not reach to both sides of rest.", like))
        for name in ("bl", "kms", "le"):
            wrong_table = self._wrong_table(name)
            if wrong_table:
                found += wrong_table
            elif name in laws and not reaches:
                continue
            elif self._falls_to_zero(name):
                where = f"{name}_polynomial" if name in laws else f"{name}_x"
                found.append((where, "its curve falls to zero inside its range.",
                              "Check its figures."))
        if found:
            raise problems(found)
        return self

    def _wrong_table(self, name: str) -> list[tuple[str, str, str]]:
        points = [x for x, _ in getattr(self, f"{name}_x")]
        if not points:
            return []
        found = []
        if getattr(self, f"{name}_polynomial"):
            found.append((f"{name}_polynomial", f"{name}_x gives the same curve.",
                          "Leave one out."))
        if len(points) < 3:
            found.append((f"{name}_x", "it has too few points.", "Give three or more."))
        if any(b <= a for a, b in pairwise(points)):
            found.append((f"{name}_x", "its displacements do not rise.", "Sort them."))
        elif not points[0] < 0.0 < points[-1]:
            found.append((f"{name}_x", "it does not reach to both sides of rest.", "Add points."))
        return found

    def _falls_to_zero(self, name: str) -> bool:
        try:
            self.curve(name)
        except ValueError:
            return True
        return False


class Thermal(Section):
    """Heat from the coil to the magnet and from there to the room: resistances and times."""

    r_coil: ThermalResistance
    tau_coil: CoilTime
    r_magnet: ThermalResistance
    tau_magnet: Duration

    @model_validator(mode="after")
    def _order(self) -> Thermal:
        if self.tau_magnet <= self.tau_coil:
            raise problems([("tau_magnet", "it is not longer than tau_coil.", "Check both times.")])
        return self


class Figures(Section):
    """Electrical and mechanical figures of a drive unit, each optional; SI inside.

    `sensitivity` is for 2.83 V at 1 m in half space; `efficiency` the reference efficiency.
    """

    nominal_impedance: Resistance | None = None
    re: Resistance | None = None
    fs: Frequency | None = None
    qms: Ratio | None = None
    qes: Ratio | None = None
    qts: Ratio | None = None
    vas: Volume | None = None
    sd: Area | None = None
    bl: ForceFactor | None = None
    mms: MovingMass | None = None
    cms: Compliance | None = None
    rms: MechanicalResistance | None = None
    efficiency: Percent | None = None
    sensitivity: Decibel | None = None
    inductance: VoiceCoilInductance | None = None
    xmax: Length | None = None
    xdamage: Length | None = None
    power: Power | None = None
    power_standard: Name | None = None
    coil: Length | None = None
    range: tuple[Frequency, Frequency] | None = None
    breakup: Frequency | None = None
    minimum_crossover: Frequency | None = None
    minimum_crossover_slope: Decibel | None = None
    response: tuple[tuple[Frequency, Decibel], ...] = ()
    large_signal: LargeSignalFigures | None = None
    thermal: Thermal | None = None

    @model_validator(mode="after")
    def _order(self) -> Figures:
        found = []
        if self.range is not None and self.range[0] >= self.range[1]:
            found.append(("range", "it does not rise.", 'Write it like ["45 Hz", "2500 Hz"].'))
        if self.xmax and self.xdamage and self.xdamage < self.xmax:
            found.append(("xdamage", "it is below xmax.", "Check both figures."))
        steps = [frequency for frequency, _ in self.response]
        if any(b <= a for a, b in pairwise(steps)):
            found.append(("response", "its frequencies do not rise.", "Sort them."))
        if found:
            raise problems(found)
        return self


class Body(Section):
    """The body: frame, cut-out, bolts, flange, depth, magnet, displaced volume."""

    frame: Length | None = None
    frame_size: tuple[Length, Length] | None = None
    cutout: Length | None = None
    cutout_size: tuple[Length, Length] | None = None
    bolt_circle: Length | None = None
    bolts: Count | None = None
    bolt: Annotated[str, Text(12)] | None = None
    flange: Length | None = None
    depth: Length | None = None
    magnet_diameter: Length | None = None
    magnet_height: Length | None = None
    volume: Volume | None = None


_ONE_TYPE = {"horn": "horn", "passive radiator": "passive"}


class Throat(Section):
    """A throat or exit: its diameter and the bolts that hold horn and driver together."""

    diameter: Length
    bolts: Count | None = None
    bolt: Annotated[str, Text(12)] | None = None
    bolt_circle: Length | None = None


class Record(Section):
    """One driver or horn, with what it costs and weighs and when it was last looked at."""

    format: Annotated[int, Whole(1, 1000)]  # `migrate` sees to it
    what: Annotated[str, Choice(("driver", "horn", "passive radiator"))]
    type: Annotated[str, Choice(("cone", "dome", "compression", "horn", "passive"))]
    name: Name
    about: Sentence | None = None
    revision: Annotated[str, Text(40)] | None = None
    price: Money | None = None
    mass: Mass | None = None
    datasheet: Figures = Figures()
    measured: Figures | None = None
    body: Body = Body()
    exit: Throat | None = None
    phase_plug_area: Area | None = None
    throat: Throat | None = None
    coverage: tuple[Angle, Angle] | None = None
    mouth: tuple[Length, Length] | None = None
    length: Length | None = None

    @model_validator(mode="before")
    @classmethod
    def _default_type(cls, raw: Any) -> Any:
        if isinstance(raw, dict) and "type" not in raw and isinstance(raw.get("what"), str):
            only = _ONE_TYPE.get(raw["what"])
            return raw if only is None else {**raw, "type": only}
        return raw

    @model_validator(mode="after")
    def _kind(self) -> Record:
        found = []
        only = _ONE_TYPE.get(self.what)
        if self.type != only and (only is not None or self.type in _ONE_TYPE.values()):
            found.append(("type", f"a {self.what} is not a {self.type}.", "Change one of them."))
        if self.what == "horn" and self.throat is None:
            found.append(("throat", "a horn has a throat.", "Give its diameter."))
        if self.what == "horn" and self.exit is not None:
            found.append(("exit", "a horn has a throat, not an exit.", "Call it throat."))
        if self.type == "compression" and self.exit is None:
            found.append(("exit", "a compression driver has an exit.", "Give its diameter."))
        if found:
            raise problems(found)
        return self

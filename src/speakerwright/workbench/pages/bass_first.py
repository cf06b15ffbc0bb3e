"""First sensible values when a loading is chosen, and a named alignment put into the design.

Every function gives the values to change, as one edit, and raises `DesignErrors` where there is
nothing sensible. Sizes are rules of thumb to begin from; tunings and volumes come from the driver.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from speakerwright.acoustics.alignments import vented_for_driver
from speakerwright.acoustics.bandpass import bandpass4
from speakerwright.acoustics.ends import flanged_end
from speakerwright.acoustics.linings import TRADE_FILLS
from speakerwright.acoustics.passive import moving_mass
from speakerwright.bass.alignment import Proposal, nearest_alignment
from speakerwright.bass.inputs import ChamberInput, Seat, chamber_input
from speakerwright.design.document import Design
from speakerwright.design.motor import Incomplete, suspended
from speakerwright.design.sections.bass import LOADINGS, PARTS
from speakerwright.plan.stage import system_of
from speakerwright.words.errors import refuse
from speakerwright.words.units import BARE, KINDS
from speakerwright.workbench.controls import rounded
from speakerwright.workbench.session import written

PORT_SHARE = 0.25  # a port's area over the cones'
THROAT_SHARE = 0.5  # a horn's throat over the cones' area
MOUTH_KA = 0.5  # of the horn's mouth at its cutoff: floor and walls go on with the horn
APART = 2.0  # a sixth-order band-pass box's front tuning over the rear one
LINE_FILL = "polyester wadding, loose"
LINE_SHARE = 0.5
WIDEST_BAFFLE = 1.2  # m
FLAT = math.sqrt(0.5)


@dataclass(frozen=True, eq=False)
class _Start:
    """A chamber with what a first value follows from; `cone` is the area of all its cones, m²."""

    design: Design
    where: str
    inputs: ChamberInput

    @property
    def cone(self) -> float:
        return self.inputs.count * self.inputs.motor.sd

    @property
    def vas(self) -> float:
        """Of all drivers together, m³."""
        return self.inputs.count * self.inputs.motor.vas(self.inputs.air)

    @property
    def fs(self) -> float:
        return self.inputs.motor.fs

    @property
    def speed(self) -> float:
        return self.inputs.air.speed

    @property
    def qts(self) -> float:
        """Total Q with the source's resistance."""
        one, extra = self.inputs.motor, self.inputs.chamber.source_resistance
        scale = self.inputs.count if self.inputs.wiring == "series" else 1.0 / self.inputs.count
        qes = one.qes * (1.0 + extra / (scale * one.re))
        return qes * one.qms / (qes + one.qms)

    def there(self, part: str) -> Any:
        """What is written for a part of the chamber."""
        return written(self.design, f"{self.where}.{part}")

    def write(self, value: float, kind: str, part: str = "") -> Any:
        """A value as a hand would set it, in the unit of what stands there or of the plan."""
        sample = self.there(part) if part else None
        if not isinstance(sample, str) and kind not in BARE:
            known = KINDS[kind]
            inch = system_of(self.design) == "inch" and known.imperial
            sample = f"1 {known.imperial if inch else known.unit}"
        return rounded(value, kind, sample)


def switched(design: Design, name: str, loading: str) -> dict[str, Any]:
    """Choose a loading for a chamber: what it needs and lacks is put in, what it lacks goes.

    Parameters
    ----------
    design : Design
    name : str
        The chamber.
    loading : str
        One of `design.sections.bass.LOADINGS`.

    Returns
    -------
    dict
        Written values by path, None for what is taken out.

    Raises
    ------
    DesignErrors
        When the driver's record, or one of a passive radiator, does not give what is needed.
    """
    start, needed = _start(design, name), LOADINGS[loading]
    changes: dict[str, Any] = {f"{start.where}.loading": loading}
    for part in (*PARTS, "fill"):
        there = start.there(part) is not None
        wanted = part in needed or (part == "fill" and "volume" in needed)
        if there and not wanted:
            changes[f"{start.where}.{part}"] = None
        elif part in needed and not there:
            changes[f"{start.where}.{part}"] = _FIRST[part](start, loading)
    if "port" not in needed and written(design, f"cabinet.ports.{name}") is not None:
        changes[f"cabinet.ports.{name}"] = None  # places for ports that are no more
    return changes


def _start(design: Design, name: str) -> _Start:
    where = f"bass.{name}"
    try:
        return _Start(design, where, chamber_input(design, name, Seat()))
    except Incomplete as error:
        raise refuse(where, f"a record does not give or imply {', '.join(error.missing)}.",
                     "Type more of the datasheet into it first.") from None


def _volume(start: _Start, loading: str) -> Any:
    return start.write(_first_volume(start, loading), "volume")


def _first_volume(start: _Start, loading: str) -> float:
    """Of the textbook alignment where the driver has one, else as much as its own spring, m³."""
    if loading in ("vented", "passive-radiator"):
        try:
            return start.vas / vented_for_driver(start.qts, 7.0).alpha
        except ValueError:
            return start.vas
    named = nearest_alignment(start.inputs, None)
    return start.vas if named is None else named.volume


def _rear_volume(start: _Start, loading: str) -> float:
    """The volume behind the cone, as it is decided or as it will be, m³."""
    decided = start.inputs.chamber.volume
    return _first_volume(start, loading) if decided is None else decided


def _opening(start: _Start) -> dict[str, Any]:
    """One round port, of a share of the cones' area."""
    bore = 2.0 * math.sqrt(PORT_SHARE * start.cone / math.pi)
    return {"shape": "round", "bore": start.write(_to_five(bore), "length")}


def _to_five(length: float) -> float:
    """To the next 5 mm, as tubes are sold."""
    return max(round(length / 0.005), 2) * 0.005


def _port(start: _Start, loading: str) -> dict[str, Any]:
    """The port behind the cone, tuned to the driver's resonance; one of the front moves there."""
    moved = None if "front" in LOADINGS[loading] else _moved(start.there("front.port"))
    return {**(moved or _opening(start)), "tuning": start.write(start.fs, "frequency")}


def _moved(port: Any) -> dict[str, Any] | None:
    """A round port without its tuning, for the other chamber; a slot belongs to its own box."""
    if port is None or port.get("shape", "round") != "round":
        return None
    return {name: value for name, value in port.items() if name not in ("tuning", "length")}


def _front(start: _Start, loading: str) -> dict[str, Any]:
    """A front chamber of the flat fourth-order band on the volume behind; the port moves there."""
    rear = _rear_volume(start, loading)
    made = bandpass4(start.fs, start.qts, start.vas,
                     start.fs * math.sqrt(1.0 + start.vas / rear), FLAT)
    tuning = made.centre
    moved = _moved(start.there("port")) if loading == "band-pass-4" else None
    if loading == "band-pass-6":
        tuning = max(tuning, APART * _rear_tuning(start))
    return {"volume": start.write(made.front_volume, "volume"),
            "port": {**(moved or _opening(start)), "tuning": start.write(tuning, "frequency")}}


def _rear_tuning(start: _Start) -> float:
    port = start.inputs.chamber.port
    return start.fs if port is None or port.tuning is None else port.tuning


def passives_of(design: Design) -> list[str]:
    """The project's records of passive radiators."""
    return [name for name, record in design.records.items() if record.what == "passive radiator"]


def _passive(start: _Start, loading: str) -> dict[str, Any]:
    """The project's first passive radiator, with the mass that tunes to the driver's resonance."""
    known = passives_of(start.design)
    if not known:
        raise refuse(f"{start.where}.passive",
                     "the project has no record of a passive radiator.",
                     "Add one on the drivers' page, with what = \"passive radiator\".")
    try:
        cone = suspended(start.design.record(known[0]), start.inputs.air)
    except Incomplete as error:
        raise refuse(f"records.{known[0]}", "the passive radiator's record does not give or imply "
                     f"{', '.join(error.missing)}.", "Type more of its datasheet.") from None
    mass = moving_mass(start.fs, _rear_volume(start, loading), cone.sd, cone.cms, start.inputs.air)
    added = max(mass - cone.mms, 0.0)
    return {"record": known[0], "added_mass": start.write(added, "moving mass")}


def _line(start: _Start, _: str) -> dict[str, Any]:
    """A straight line, a quarter wave at the driver's resonance, half filled."""
    reach = flanged_end(math.sqrt(start.cone / math.pi))
    length = max(start.speed / (4.0 * start.fs) - reach, 0.05)
    area, fill = start.write(start.cone, "area"), TRADE_FILLS[LINE_FILL]
    return {"length": start.write(length, "length"), "area": area, "mouth_area": area,
            "fill": {"flow_resistivity": fill.flow_resistivity,
                     "bulk_density": fill.bulk_density, "share": LINE_SHARE}}


def _horn(start: _Start, _: str) -> dict[str, Any]:
    """An exponential horn whose cutoff is the driver's resonance, with a small mouth."""
    throat = THROAT_SHARE * start.cone
    mouth = math.pi * (MOUTH_KA * start.speed / (2.0 * math.pi * start.fs)) ** 2
    mouth = min(max(mouth, 4.0 * throat), 9.0)
    length = math.log(mouth / throat) * start.speed / (4.0 * math.pi * start.fs)
    return {"throat_area": start.write(throat, "area"), "mouth_area": start.write(mouth, "area"),
            "length": start.write(min(length, 19.0), "length")}


def _baffle(start: _Start, _: str) -> dict[str, Any]:
    """A panel half as high again as wide, and that a twelfth of a wave at the resonance."""
    cone = 2.0 * math.sqrt(start.inputs.motor.sd / math.pi)
    width = max(min(start.speed / (12.0 * start.fs), WIDEST_BAFFLE), 1.5 * cone)
    return {"width": start.write(width, "length"), "height": start.write(1.5 * width, "length")}


_FIRST: dict[str, Callable[[_Start, str], Any]] = {
    "volume": _volume, "port": _port, "passive": _passive, "front": _front, "line": _line,
    "horn": _horn, "baffle": _baffle,
}


# --- a named alignment ----------------------------------------------------------------------------


def aligned(design: Design, name: str, proposal: Proposal) -> dict[str, Any]:
    """Put a named alignment into a chamber: loading, volume, tuning and filter.

    A port keeps its area and gives up its length for the tuning; a chamber without one gets a
    round one by rule of thumb. Values are of three digits, in the unit that stands there.
    """
    start, where = _start(design, name), f"bass.{name}"
    changes = switched(design, name, proposal.loading)
    changes[f"{where}.volume"] = start.write(proposal.volume, "volume", "volume")
    if proposal.tuning is not None:
        tuning = start.write(proposal.tuning, "frequency", "port.tuning")
        if f"{where}.port" in changes:
            changes[f"{where}.port"] = {**changes[f"{where}.port"], "tuning": tuning}
        else:
            changes[f"{where}.port.tuning"] = tuning
            if start.there("port.length") is not None:
                changes[f"{where}.port.length"] = None
    filtered = _filter(start, proposal)
    if filtered is not None or start.there("high_pass") is not None:
        changes[f"{where}.high_pass"] = filtered
    return changes


def _filter(start: _Start, proposal: Proposal) -> dict[str, Any] | None:
    """The proposal's filter as the file writes it; a filter of first order has no shape to say."""
    made = proposal.high_pass
    if made is None:
        return None
    if made.capacitor is not None:
        return {"capacitor": start.write(made.capacitor, "capacitance", "high_pass.capacitor")}
    assert made.frequency is not None
    found = {"order": made.order,
             "frequency": start.write(made.frequency, "frequency", "high_pass.frequency")}
    return found if made.q is None else {**found, "q": rounded(made.q, "ratio", None)}

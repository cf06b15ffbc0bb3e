"""The cabinet worked out: panels, bodies, rooms, what collides, what it weighs. Millimetres."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from speakerwright.cabinet.fittings import Fastener
from speakerwright.cabinet.inputs import BuiltPort, Placed
from speakerwright.cabinet.sizes import Settled
from speakerwright.solids.assembly import Collision
from speakerwright.solids.bodies import Body
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel
from speakerwright.words.findings import Finding


@dataclass(frozen=True)
class RoomResult:
    """One chamber: wanted and found net volume, gross, and what stands in it; m³.

    `net` is the volume of the air as the solids leave it; None when the chamber leaks.
    `closed_form` is gross less the stated displacements. `loading` is how the bass loads it,
    None where it does not.
    """

    name: str
    gross: float
    displaced: tuple[tuple[str, float], ...]
    closed_form: float
    wanted: float | None
    net: float | None
    loading: str | None = None


@dataclass(frozen=True)
class DepthChain:
    """The dimensions that use up the depth behind one thing on the baffle, front to back, mm."""

    name: str
    parts: tuple[tuple[str, float], ...]

    @property
    def clear(self) -> float:
        """What is left between the thing and the back, mm; below zero for what it lacks."""
        return dict(self.parts)["clear"]


@dataclass(frozen=True, eq=False)
class CabinetResult:
    """The cabinet and its findings.

    `troubles` say which bodies could not be made and why, `off_baffle` which cuts miss the baffle.
    """

    settled: Settled
    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    bodies: tuple[Body, ...]
    placed: tuple[Placed, ...]
    ports: Mapping[str, BuiltPort]
    rooms: tuple[RoomResult, ...]
    collisions: tuple[Collision, ...]
    leaks: tuple[str, ...]
    chains: tuple[DepthChain, ...]
    hardware: tuple[Fastener, ...]
    mass_kg: float | None
    centre_mm: tuple[float, float, float] | None
    troubles: tuple[str, ...]
    off_baffle: tuple[str, ...]
    findings: tuple[Finding, ...]

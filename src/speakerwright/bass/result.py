"""What the bass stage hands on: curves and figures of every chamber."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from speakerwright.acoustics.response import Response
from speakerwright.bass.alignment import Named
from speakerwright.bass.inputs import ChamberInput, Equivalent
from speakerwright.bass.limits import Limits
from speakerwright.bass.loadings import Circuit
from speakerwright.bass.place import PlaceResult
from speakerwright.bass.port import PortResult
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import Complex, Real
from speakerwright.words.findings import Finding


@dataclass(frozen=True, eq=False)
class Need:
    """What the brief asks of the bass, at 1 m from one cabinet.

    `peak_db` is the rms level of the sine whose peak is the programme's peak, `average_db` the
    long-term level, both of the whole spectrum, whose name is `spectrum`. Frequencies in Hz.
    """

    peak_db: float
    average_db: float
    spectrum: str
    lowest: float
    lowest_drop_db: float
    highest: float


@dataclass(frozen=True, eq=False)
class Curves:
    """Curves of one chamber over frequency (f,) for 1 V rms at the amplifier, filter included.

    `level_db` at 1 m; `asymptote_db` is the level far above resonance without inductance and
    filter. `excursion` (m), the passive radiators' `drones` (m) and the air's `speeds` (m/s) in
    each opening are peaks. `impedance` in Ω is that of the
    speaker at its terminals, behind the source resistance; `power` in W what it takes there;
    `group_delay` in s.
    """

    frequency: Real
    response: Response
    level_db: Real
    asymptote_db: float
    unfiltered_db: Real
    impedance: Complex
    excursion: Real
    speeds: Mapping[str, Real]
    drones: Mapping[str, Real]
    phase_deg: Real
    group_delay: Real
    power: Real
    filter_db: Real


def drive_volts(curves: Curves, need: Need) -> float:
    """The rms voltage whose level in the pass band is the brief's peak as a sine."""
    return float(10.0 ** ((need.peak_db - curves.asymptote_db) / 20.0))


@dataclass(frozen=True, eq=False)
class ChamberResult:
    """One chamber worked out; `place` is the level at the seats where they are known."""

    inputs: ChamberInput
    circuit: Circuit
    curves: Curves
    limits: Limits
    qtc: float | None
    cutoffs: Mapping[str, float | None]
    alignment: Named | None
    place: PlaceResult | None
    findings: tuple[Finding, ...]

    @property
    def driver(self) -> Equivalent:
        """All drivers of the chamber as one."""
        return self.circuit.driver

    @property
    def network(self) -> Network:
        """The chamber's network for 1 V at the amplifier."""
        return self.circuit.network

    @property
    def ports(self) -> Mapping[str, PortResult]:
        """Every port worked out, by its path in the chamber."""
        return self.circuit.ports

    @property
    def port(self) -> PortResult | None:
        """The port of the box behind the cone, where it has one."""
        return self.circuit.ports.get("port")

    @property
    def resonance(self) -> float:
        """What the loading is named by, Hz: closed-box resonance, tuning, quarter wave."""
        return self.circuit.resonance

    @property
    def alpha(self) -> float | None:
        """Compliance ratio of the drivers to the box; None without a box."""
        compliance = self.circuit.compliance
        return None if compliance is None else self.driver.sd**2 * self.driver.cms / compliance

    @property
    def tuning_ratio(self) -> float:
        """`resonance` over the driver's own."""
        return self.resonance / self.driver.fs


@dataclass(frozen=True, eq=False)
class BassResult:
    """All chambers, and their findings together."""

    chambers: Mapping[str, ChamberResult]
    findings: tuple[Finding, ...]

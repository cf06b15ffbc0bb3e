"""What the bass stage hands on: curves and figures of every chamber."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from speakerwright.acoustics.response import Response
from speakerwright.bass.alignment import Named
from speakerwright.bass.inputs import ChamberInput, Equivalent
from speakerwright.bass.limits import Limits
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
    filter. `excursion` (m) and `port_speed` (m/s) are peaks. `impedance` in Ω is that of the
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
    port_speed: Real | None
    phase_deg: Real
    group_delay: Real
    power: Real
    filter_db: Real


@dataclass(frozen=True, eq=False)
class ChamberResult:
    """One chamber worked out."""

    inputs: ChamberInput
    driver: Equivalent
    network: Network
    port: PortResult | None
    curves: Curves
    limits: Limits
    alpha: float
    tuning_ratio: float | None
    resonance: float
    qtc: float | None
    cutoffs: Mapping[str, float | None]
    alignment: Named | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, eq=False)
class BassResult:
    """All chambers, and their findings together."""

    chambers: Mapping[str, ChamberResult]
    findings: tuple[Finding, ...]

"""What the brief comes to, in figures."""

from __future__ import annotations

from dataclasses import dataclass

from speakerwright.words.findings import Finding


@dataclass(frozen=True)
class SeatLevel:
    """One seat: where it is (m, degrees), and its levels in dB.

    `direct_db` and `total_db` are unweighted long-term levels with the whole system playing as the
    brief wants; `weighted_db` the total in the brief's weighting. `needed_average_db` and
    `needed_peak_db` are what one cabinet must give at 1 m so that this seat alone has the brief's
    average, and the sine (rms) whose peak is the programme's peak. `drive_v` is the rms voltage
    for that sine at the least sensitive driver's sensitivity, None when no record states one.
    """

    name: str
    distance: float
    angle_deg: float
    direct_db: float
    total_db: float
    weighted_db: float
    needed_average_db: float
    needed_peak_db: float
    drive_v: float | None
    drive_w: float | None


@dataclass(frozen=True)
class Exposure:
    """What a working evening at one seat does to ears, by three rules."""

    seat: str
    level_db_a: float
    seconds: float
    niosh_seconds: float
    niosh_dose_percent: float
    osha_seconds: float
    osha_dose_percent: float
    daily_db: float


@dataclass(frozen=True)
class RoomFigures:
    """The room's statistics: absorption (m²), critical distance (m), lowest valid frequency."""

    absorption: float
    critical_distance: float | None
    limit: float
    counted: bool


@dataclass(frozen=True)
class BriefResult:
    """Levels at the seats and at 1 m, drive, exposure, and findings.

    `weighting_offset_db` takes a weighted level of the brief's spectrum to the unweighted one.
    """

    seats: tuple[SeatLevel, ...]
    governing: SeatLevel
    spread_db: float
    weighting_offset_db: float
    cabinet_gain_db: float
    headroom_db: float | None
    noise_db: float | None
    exposure: Exposure | None
    room: RoomFigures | None
    findings: tuple[Finding, ...]

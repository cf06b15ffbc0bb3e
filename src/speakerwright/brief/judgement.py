"""The findings of the brief."""

from __future__ import annotations

from collections.abc import Iterator

from speakerwright.brief.result import BriefResult
from speakerwright.design.sections.brief import Brief
from speakerwright.words.evidence import Evidence
from speakerwright.words.findings import Finding, judge, unknown

NOISE_UNDER_ROOM_DB = 6.0  # rule of thumb


def judged(
    brief: Brief, result: BriefResult, cost: float | None, mass: float | None
) -> tuple[Finding, ...]:
    """All findings of the brief."""
    return (*_headroom(brief, result), *_spread(brief, result), *_noise(brief, result),
            *_room(brief, result), *_cost(brief, cost))


def _headroom(brief: Brief, result: BriefResult) -> Iterator[Finding]:
    if result.headroom_db is None:
        yield unknown(
            "amplifier_headroom", "brief.amplifier",
            "No record states a sensitivity, so the drive is not known.",
            "Type the sensitivity into the drivers' records.", kind="level",
        )
        return
    seat = result.governing
    yield judge(
        "amplifier_headroom", "brief.amplifier", result.headroom_db, "level",
        at_least=0.0, tight=2.0,
        says="The amplifier stands {value} above the drive that the brief's peak asks of the "
        "least sensitive driver, {volts} (rms sine).",
        try_this="A stronger amplifier, a more sensitive driver, more cabinets or less peak.",
        evidence=Evidence.DATASHEET, source="sensitivity of the record, level at 1 m",
        figures={"volts": (seat.drive_v or 0.0, "voltage")},
    )


def _spread(brief: Brief, result: BriefResult) -> Iterator[Finding]:
    if brief.target is None or len(result.seats) < 2:
        return
    yield judge(
        "seat_spread", "brief.seats", result.spread_db, "level",
        at_most=2.0 * brief.target.tolerance, tight=1.0,
        says="From the loudest to the quietest seat the level falls by {value}; the target's "
        "tolerance, up and down, allows {limit}.",
        try_this="Raise and tilt the cabinet, move it back, or add cabinets farther in.",
        source="on axis: inverse distance and the room's statistics; directivity not yet counted",
    )


def _noise(brief: Brief, result: BriefResult) -> Iterator[Finding]:
    if result.noise_db is None or brief.room is None or brief.room.noise is None:
        return
    yield judge(
        "amplifier_noise", "brief.amplifier.noise", result.noise_db, "level",
        at_most=brief.room.noise - NOISE_UNDER_ROOM_DB, tight=3.0,
        says="The amplifiers' noise comes to {value} at the nearest seat; {limit} would pass "
        "unnoticed under the room's own.",
        try_this="A quieter amplifier, less gain, or a pad on the high driver.",
        evidence=Evidence.DATASHEET,
        source="direct sound of the most sensitive driver without its network; 6 dB under the "
        "room's noise is a rule of thumb",
    )


def _room(brief: Brief, result: BriefResult) -> Iterator[Finding]:
    if result.room is None:
        return
    if not result.room.counted:
        yield unknown(
            "room_counts", "brief.room.directivity_index",
            "The room is described but no directivity is assumed, so only direct sound counts.",
            'Assume one, for example directivity_index = "8 dB".', kind="level",
        )
        return
    yield judge(
        "room_statistics", "brief.room", result.room.limit, "frequency",
        at_most=500.0, tight=0.3,
        says="The room's statistics hold above {value}; the weighted level is made mostly of what "
        "lies above {limit}. Below, single room modes rule and the bass is judged at 1 m.",
        try_this="In a small room give the seats' levels by measurement.",
        source="Schroeder 1962, 2000 √(T/V); the limit is a rule of thumb",
    )


def _cost(brief: Brief, cost: float | None) -> Iterator[Finding]:
    if brief.budget is None or cost is None:
        return
    yield judge(
        "drivers_in_budget", "brief.budget", cost, "money",
        at_most=brief.budget.total, tight=0.25,
        says="Drive units and horns cost {value} for the budget's {cabinets} cabinets, of "
        "{limit} in all; wood, network and hardware come on top.",
        try_this="Cheaper drivers or a larger budget.",
        evidence=Evidence.DATASHEET, source="prices in the records",
        figures={"cabinets": (float(brief.budget.cabinets), "count")},
    )

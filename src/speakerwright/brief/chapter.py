"""The brief as a chapter of the plan, and as what the terminal prints."""

from __future__ import annotations

from speakerwright.brief.result import BriefResult
from speakerwright.design.sections.brief import Alternative, Brief
from speakerwright.words.blocks import Block, Caution, Chapter, Heading, Paragraph, Table
from speakerwright.words.units import show

PLACES = {
    "free": "free-standing",
    "floor": "on the floor",
    "wall": "against a wall",
    "corner": "on the floor in a corner",
    "recess": "in a recess, baffle flush with the wall",
}


def chapter(brief: Brief, result: BriefResult, currency: str, system: str) -> Chapter:
    """What it must do, and the level and drive that follow."""
    blocks: list[Block] = [
        Paragraph(brief.use),
        _wanted(brief, currency, system),
        Heading("Level and drive at every seat"),
        _seats(brief, result, system),
        Paragraph(_how(brief, result, system)),
    ]
    if brief.beat:
        blocks += [Heading("What it must beat"), _beat(brief.beat, currency, system)]
    blocks += _exposure(result, system)
    return Chapter("brief", "Brief", tuple(blocks))


def _wanted(brief: Brief, currency: str, system: str) -> Table:
    level, together = brief.level, brief.system
    rows = [
        ("Level at the seats", f"{show(level.average, 'level')} ({level.weighting}-weighted, "
         f"long-term), at the {level.at} seat"),
        ("Peaks above the average", f"{show(level.crest, 'level')}, {_spectrum(level.spectrum)}"),
        ("Lowest frequency", f"{show(brief.lowest, 'frequency')}, at most "
         f"{show(brief.lowest_drop, 'level')} down"),
        ("Cabinets", f"{together.cabinets}: {together.channels} channels of "
         f"{together.cabinets_per_channel}, adding by {together.adding}"),
        ("Place", PLACES[brief.place.kind] + (
            f", behind a {brief.place.before} that takes {show(brief.place.loss, 'level')}"
            if brief.place.before != "nothing" else "")),
    ]
    if brief.room is not None:
        rows.append(("Room", f"{show(brief.room.volume, 'room volume', system)}, reverberation "
                     f"time {show(brief.room.reverberation_time, 'time')}"))
    amplifier = brief.amplifier
    limits = [show(amplifier.peak_voltage, "voltage"), show(amplifier.peak_current, "current")]
    rows.append(("Amplifier", f"{show(amplifier.power, 'power')} into "
                 f"{show(amplifier.load, 'resistance')}; peak {limits[0]}, {limits[1]}"))
    sizes = [(name, getattr(brief.size, name)) for name in ("width", "height", "depth")]
    given = ", ".join(f"{n} {show(v, 'length', system)}" for n, v in sizes if v is not None)
    if given:
        rows.append(("Size, at most", given))
    if brief.budget is not None:
        rows.append(("Budget", f"{brief.budget.total:.0f} {currency} for "
                     f"{brief.budget.cabinets} cabinets"))
    return Table(("Asked", ""), tuple(rows))


def _spectrum(name: str) -> str:
    return "programme noise after IEC 60268-1" if name == "programme" else "pink noise"


def _seats(brief: Brief, result: BriefResult, system: str) -> Table:
    weighting = brief.level.weighting
    rows = tuple(
        (seat.name, show(seat.distance, "distance", system), show(seat.weighted_db, "level"),
         show(seat.direct_db, "level"), show(seat.needed_average_db, "level"),
         show(seat.needed_peak_db, "level"), show(seat.drive_v, "voltage"))
        for seat in result.seats
    )
    return Table(
        ("Seat", "Distance", f"Level ({weighting})", "Direct, unweighted", "At 1 m, average",
         "At 1 m, peak as sine", "Drive (rms)"),
        rows,
        "Level at each seat with the system playing as asked; then what one cabinet must give at "
        "1 m so that this seat alone has the average asked for, the sine (rms) whose peak is the "
        "programme's peak, and its voltage at the least sensitive driver.",
        numbers=(1, 2, 3, 4, 5, 6),
    )


def _how(brief: Brief, result: BriefResult, system: str) -> str:
    parts = [
        f"The weighted level of this spectrum lies {show(result.weighting_offset_db, 'level')} "
        f"under the unweighted one; all cabinets together stand "
        f"{show(result.cabinet_gain_db, 'level')} above one.",
    ]
    room = result.room
    if room is not None and room.counted and brief.room is not None:
        parts.append(
            f"The room counts with an assumed directivity index of "
            f"{show(brief.room.directivity_index, 'level')}: absorption "
            f"{room.absorption:.0f} m², critical distance "
            f"{show(room.critical_distance, 'distance', system)} (Hopkins and Stryker 1948). Its "
            f"statistics hold above {show(room.limit, 'frequency')}; below, the bass is judged at "
            "1 m."
        )
    else:
        parts.append("Only the direct sound counts, by inverse distance.")
    if result.noise_db is not None:
        parts.append(f"The amplifiers' noise comes to {show(result.noise_db, 'level')} at the "
                     "nearest seat.")
    return " ".join(parts)


def _beat(alternatives: tuple[Alternative, ...], currency: str, system: str) -> Table:
    rows = tuple(
        (
            each.name,
            "–" if each.price is None else f"{each.price:.0f} {currency}",
            show(each.level, "level"),
            show(each.lowest, "frequency"),
            " × ".join(show(size, "length", system)
                       for size in (each.width, each.height, each.depth) if size) or "–",
        )
        for each in alternatives
    )
    return Table(("Alternative", "Price", "Level", "Lowest", "Size"), rows, numbers=(1, 2, 3))


def _exposure(result: BriefResult, system: str) -> list[Block]:
    seen = result.exposure
    if seen is None:
        return []
    rows = (
        ("NIOSH 98-126", _time(seen.niosh_seconds), f"{seen.niosh_dose_percent:.0f} %"),
        ("OSHA 29 CFR 1910.95", _time(seen.osha_seconds), f"{seen.osha_dose_percent:.0f} %"),
        ("Directive 2003/10/EC",
         "daily exposure 80 and 85 dB act, 87 dB limit", show(seen.daily_db, "level")),
    )
    return [
        Heading("What an evening does to working ears"),
        Table(
            ("Rule for workers", "Permitted time", "Dose or daily exposure"), rows,
            f"At the {seen.seat} seat, {show(seen.level_db_a, 'level')} A-weighted for "
            f"{show(seen.seconds, 'duration')}, without hearing protection.",
            numbers=(2,),
        ),
        Caution(
            "Hearing",
            "These rules protect people at work, not an audience: audiences have limits of their "
            "own under local rules, often lower. Measure at the seats, keep people away from the "
            "front of the cabinets, and offer hearing protection.",
        ),
    ]


def _time(seconds: float) -> str:
    return f"{seconds / 60.0:.0f} min" if seconds < 7200 else f"{seconds / 3600.0:.1f} h"

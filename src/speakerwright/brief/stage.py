"""Work out the level and drive that a brief asks for."""

from __future__ import annotations

import math
from collections.abc import Mapping

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.hearing import (
    daily_exposure_db,
    dose_percent,
    permitted_seconds_niosh,
    permitted_seconds_osha,
)
from speakerwright.acoustics.rooms import absorption_area, critical_distance, statistics_limit
from speakerwright.acoustics.spectra import weighting_offset_db
from speakerwright.brief.judgement import judged
from speakerwright.brief.result import BriefResult, Exposure, RoomFigures, SeatLevel
from speakerwright.design.sections.brief import Brief, SeatPoint

REFERENCE_VOLTS = 2.83
SINE_CREST_DB = 20.0 * math.log10(math.sqrt(2.0))


def work(
    brief: Brief,
    sensitivity_db: float | None,
    noisiest_db: float | None = None,
    cost: float | None = None,
    mass: float | None = None,
) -> BriefResult:
    """The brief's levels, drive, headroom, exposure and findings.

    `sensitivity_db` and `noisiest_db` are the least and the most sensitive driver's level for
    2.83 V at 1 m; `cost` the drive units' price for the budget's cabinets.
    """
    offsets = {w: weighting_offset_db(brief.level.spectrum, w) for w in ("A", "C", "Z")}
    room = _room(brief)
    gain = cabinet_gain_db(brief)
    points = seat_points(brief)
    at = max if brief.level.at == "farthest" else min
    reference = at(points, key=lambda point: point.distance)
    wanted_z = brief.level.average + offsets[brief.level.weighting]
    needed = {
        point.name: wanted_z - gain - _transfer_db(brief, room, point.distance) + brief.place.loss
        for point in points
    }
    one_metre = needed[reference.name]
    seats = tuple(
        _seat(brief, room, point, one_metre, needed[point.name], gain, offsets, sensitivity_db)
        for point in points
    )
    governing = next(seat for seat in seats if seat.name == reference.name)
    result = BriefResult(
        seats=seats,
        governing=governing,
        spread_db=max(s.total_db for s in seats) - min(s.total_db for s in seats),
        weighting_offset_db=offsets[brief.level.weighting],
        cabinet_gain_db=gain,
        headroom_db=_headroom(brief, governing),
        noise_db=_noise(brief, points, noisiest_db),
        exposure=_exposure(brief, seats, offsets),
        room=room,
        findings=(),
    )
    return BriefResult(**{**vars(result), "findings": judged(brief, result, cost, mass)})


def seat_points(brief: Brief) -> tuple[SeatPoint, ...]:
    """The brief's seats as points: those given, or the nearest and farthest, on axis and widest."""
    seats = brief.seats
    if seats.points:
        return seats.points
    assert seats.nearest is not None
    assert seats.farthest is not None
    points = [SeatPoint.model_construct(name="nearest", distance=seats.nearest, angle=0.0)]
    if seats.farthest > seats.nearest:
        points.append(
            SeatPoint.model_construct(name="farthest", distance=seats.farthest, angle=0.0)
        )
    return tuple(points)


def cabinet_gain_db(brief: Brief) -> float:
    """Level of the whole system over one cabinet, at one seat: dB.

    Cabinets of one channel stand together and add by pressure; channels add by power, or by
    pressure when the brief says that they carry the same signal.
    """
    system = brief.system
    channels = 20.0 if system.adding == "pressure" else 10.0
    together = 20.0 * math.log10(system.cabinets_per_channel)
    return channels * math.log10(system.channels) + together


def _air(brief: Brief) -> Air:
    return Air(brief.air.temperature, brief.air.pressure, brief.air.humidity)


def _room(brief: Brief) -> RoomFigures | None:
    room = brief.room
    if room is None:
        return None
    area = absorption_area(room.volume, room.reverberation_time, _air(brief).speed)
    counted = room.directivity_index is not None
    reach = critical_distance(_factor(room.directivity_index), area) if counted else None
    limit = statistics_limit(room.reverberation_time, room.volume)
    return RoomFigures(area, reach, limit, counted)


def _factor(index_db: float | None) -> float:
    return math.pow(10.0, (index_db or 0.0) / 10.0)


def _transfer_db(brief: Brief, room: RoomFigures | None, distance: float) -> float:
    """Total level at a distance against the direct level at 1 m of the same cabinet.

    Direct by inverse distance; reverberant after Hopkins and Stryker (1948) with the assumed
    directivity factor Q: 4/A against Q/(4π r²). Without an assumed directivity only the direct
    sound counts.
    """
    direct = 1.0 / distance**2
    if room is None or not room.counted or brief.room is None:
        return 10.0 * math.log10(direct)
    reverberant = 16.0 * math.pi / (room.absorption * _factor(brief.room.directivity_index))
    return 10.0 * math.log10(direct + reverberant)


def _seat(
    brief: Brief,
    room: RoomFigures | None,
    point: SeatPoint,
    one_metre: float,
    needed: float,
    gain: float,
    offsets: Mapping[str, float],
    sensitivity_db: float | None,
) -> SeatLevel:
    given = one_metre + gain - brief.place.loss
    total = given + _transfer_db(brief, room, point.distance)
    peak = needed + brief.level.crest - SINE_CREST_DB
    volts = (
        None
        if sensitivity_db is None
        else REFERENCE_VOLTS * 10.0 ** ((peak - sensitivity_db) / 20.0)
    )
    return SeatLevel(
        name=point.name,
        distance=point.distance,
        angle_deg=point.angle,
        direct_db=given - 20.0 * math.log10(point.distance),
        total_db=total,
        weighted_db=total - offsets[brief.level.weighting],
        needed_average_db=needed,
        needed_peak_db=peak,
        drive_v=volts,
        drive_w=None if volts is None else volts**2 / brief.amplifier.load,
    )


def _headroom(brief: Brief, seat: SeatLevel) -> float | None:
    """How far the amplifier's largest sine stands above the drive needed, in dB."""
    if seat.drive_v is None:
        return None
    volts = math.sqrt(brief.amplifier.power * brief.amplifier.load)
    if brief.amplifier.peak_voltage is not None:
        volts = min(volts, brief.amplifier.peak_voltage / math.sqrt(2.0))
    return 20.0 * math.log10(volts / seat.drive_v)


def _noise(
    brief: Brief, points: tuple[SeatPoint, ...], sensitivity_db: float | None
) -> float | None:
    """Level of the amplifiers' noise at the nearest seat, through the most sensitive driver."""
    if brief.amplifier.noise is None or sensitivity_db is None:
        return None
    nearest = min(point.distance for point in points)
    one = sensitivity_db + 20.0 * math.log10(brief.amplifier.noise / REFERENCE_VOLTS)
    return one + 10.0 * math.log10(brief.system.cabinets) - 20.0 * math.log10(nearest)


def _exposure(
    brief: Brief, seats: tuple[SeatLevel, ...], offsets: Mapping[str, float]
) -> Exposure | None:
    """Exposure of somebody who works at the loudest seat for the brief's hours."""
    seconds = brief.level.hours
    if seconds is None:
        return None
    loudest = max(seats, key=lambda seat: seat.total_db)
    level = loudest.total_db - offsets["A"]
    return Exposure(
        seat=loudest.name,
        level_db_a=level,
        seconds=seconds,
        niosh_seconds=permitted_seconds_niosh(level),
        niosh_dose_percent=dose_percent([(level, seconds)], "niosh"),
        osha_seconds=permitted_seconds_osha(level),
        osha_dose_percent=dose_percent([(level, seconds)], "osha"),
        daily_db=daily_exposure_db(level, seconds),
    )

"""A candidate worked out in full, its port at full corrections, and held to the same bounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from speakerwright.bass import stage
from speakerwright.bass.filters import hand_over
from speakerwright.bass.port import PortResult
from speakerwright.bass.result import ChamberResult, Need
from speakerwright.bass.search.figures import (
    band_headroom_db,
    band_of,
    extension,
    room_below_db,
)
from speakerwright.bass.search.screen import longest_port
from speakerwright.bass.search.space import Bounds, Candidate, Family, chamber_input_of
from speakerwright.words.findings import Verdict


@dataclass(frozen=True)
class Full:
    """A candidate's figures from the full result.

    `values` are cost, size (m³), extension (Hz) and headroom (dB); `off` says why it is no answer
    to the brief, empty where it is one; `fails` names the rules that fail; `port_length` in m.
    """

    number: int
    values: tuple[float, float, float, float]
    off: str
    fails: tuple[str, ...]
    port_length: float | None


def worked_out(family: Family, found: Candidate, need: Need, bounds: Bounds) -> Full:
    """Work a candidate out by the bass stage."""
    result = stage.chamber(chamber_input_of(family, found), need)
    port = next(iter(result.ports.values()), None)
    size = found.volume + (found.front_volume or 0.0) + family.body
    size += sum(each.tube_volume for each in result.ports.values())
    reach, headroom, peak = _curve_figures(result, need)
    cost = np.inf if family.price is None else family.price
    off = _port_off(port, found, bounds)
    if not off and peak > bounds.peak_db:
        off = "its response stands too high over its asymptote"
    if not off and size > bounds.inside:
        off = "it is larger than the brief allows"
    if not off and not (reach <= need.lowest * (1.0 + bounds.short_share)
                        and headroom >= -bounds.short_db):
        off = "it misses the brief by more than is searched for"
    fails = sorted({f.rule for f in result.findings if f.verdict is Verdict.FAILS})
    return Full(found.number, (cost, size, reach, headroom), off, tuple(fails),
                None if port is None else port.length)


def _curve_figures(result: ChamberResult, need: Need) -> tuple[float, float, float]:
    """Extension (Hz), headroom (dB), and the highest point over the asymptote in the band (dB)."""
    curves, inputs = result.curves, result.inputs
    frequency = curves.frequency
    slope = 20.0 * np.log10(np.abs(hand_over(inputs, frequency)))
    relative = curves.level_db - slope - curves.asymptote_db
    rooms = band_headroom_db(frequency, curves.unfiltered_db, result.limits.volts, need)
    xmax = inputs.ratings.xmax
    assert xmax is not None  # only such records are searched
    below = room_below_db(frequency, curves.excursion, curves.asymptote_db, xmax, need)
    headroom = min(float(below), *(float(room) for room in rooms.values()))
    reach = float(extension(frequency, relative, need.lowest_drop_db))
    return reach, headroom, float(np.max(relative[band_of(frequency, need)]))


def _port_off(port: PortResult | None, found: Candidate, bounds: Bounds) -> str:
    if port is None:
        return ""
    if not port.tunes:
        return "no port of its area gives the tuning"
    held = found.volume if found.front_volume is None else found.front_volume
    most = float(longest_port(bounds, np.array(held), found.front_volume is not None))
    if not port.fits or port.length > most:
        return "its port does not fit straight"
    return ""

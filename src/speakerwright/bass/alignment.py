"""The named alignment nearest to a chamber, as volume and tuning."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from speakerwright.acoustics.alignments import closed_volume, vented_for_driver
from speakerwright.bass.inputs import ChamberInput
from speakerwright.bass.port import PortResult

_vented = lru_cache(maxsize=64)(vented_for_driver)

NAMES = {
    "B4": "Butterworth, fourth order",
    "QB3": "quasi-Butterworth, third order",
    "C4": "Chebyshev, fourth order",
    "B2": "Butterworth, second order",
}


@dataclass(frozen=True)
class Named:
    """A textbook alignment for this driver: its name, net volume (m³) and tuning (Hz)."""

    name: str
    volume: float
    tuning: float | None


def nearest_alignment(inputs: ChamberInput, port: PortResult | None) -> Named | None:
    """The textbook alignment for the chamber's drivers, source resistance and leak.

    Vented: quasi-Butterworth, Butterworth or Chebyshev of fourth order by the driver's total Q
    (`acoustics.alignments`). Closed: Butterworth, Qtc 0.707; None when the driver's own Q is
    already higher. All without inductance, as the books have them.
    """
    one = inputs.motor
    resistance = one.re
    if inputs.chamber.source_resistance:
        scale = inputs.count if inputs.wiring == "series" else 1.0 / inputs.count
        resistance += inputs.chamber.source_resistance / scale
    qes = one.qes * resistance / one.re
    qts = qes * one.qms / (qes + one.qms)
    vas = one.vas(inputs.air) * inputs.count
    try:
        if port is None:
            return Named(NAMES["B2"], closed_volume(qts, vas, 0.5**0.5), None)
        ql = inputs.chamber.losses.leak_q or float("inf")
        found = _vented(qts, ql)
    except ValueError:
        return None
    return Named(NAMES.get(found.name, found.name), vas / found.alpha, found.h * one.fs)

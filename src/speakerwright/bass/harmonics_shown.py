"""Harmonics of a chamber as they are shown: a chart, a small table, and as arrays to be kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.bass.distortion import Distortion
from speakerwright.circuits.parts import Real
from speakerwright.drawing.charts import Axis, Chart, Curve, Region, frequency_axis
from speakerwright.words.blocks import Block, Paragraph, Table
from speakerwright.words.evidence import Evidence
from speakerwright.words.units import show

LEAST, MOST = 0.01, 100.0
"""Ends of the axis, per cent; a decade more where harmonics outgrow the fundamental."""

_ARRAYS = ("frequency", "volts", "level_db", "second", "third", "total", "excursion", "shift",
           "settled", "beyond")


def arrays(found: Distortion) -> dict[str, NDArray[Any]]:
    """All arrays of a result by name; the assumptions are told apart from them."""
    return {name: getattr(found, name) for name in _ARRAYS}


def read(held: Mapping[str, NDArray[Any]], assumed: tuple[str, ...]) -> Distortion:
    """A result from its arrays and assumptions; KeyError where one is missing."""
    return Distortion(**{name: held[name] for name in _ARRAYS}, assumed=assumed)


def chart(found: Distortion, chamber: str, volts: float) -> Chart:
    """Second, third and all harmonics over the tone's frequency.

    Parameters
    ----------
    found : Distortion
        What is shown; where the cone left the range of its curves it is shaded.
    chamber : str
        The chamber's name.
    volts : float
        Voltage (rms) in the pass band, before active filters.

    Returns
    -------
    Chart
        Per cent of the fundamental, on a logarithmic axis.
    """
    curves = [Curve(name, part, Evidence.SIMULATED, found.frequency, _percent(values))
              for name, part, values in (("2nd", "mid", found.second), ("3rd", "low", found.third),
                                         ("all", "sum", found.total))
              if np.any(np.isfinite(values))]
    top = 10.0 * MOST if any(np.nanmax(curve.y) > MOST for curve in curves) else MOST
    return Chart(
        f"bass-{chamber}-harmonics", "Harmonics", _band(found.frequency),
        Axis("Harmonics of the sound pressure", "%", LEAST, top, "log"), tuple(curves),
        regions=tuple(Region(found.frequency[run], LEAST, top, "beyond the driver's curves")
                      for run in _runs(found)),
        caption=f"Of the fundamental, for a sine of {volts:g} V (rms), active filters of the "
        "chamber included, on a cold coil; from the motion in time, second to tenth."
        + ("" if np.any(np.isfinite(found.second)) else
           " The second is not shown: assumed curves are even and tell nothing of it."),
    )


def _percent(values: Real) -> Real:
    return np.where(values > 0.0, 100.0 * values, np.nan)


def _band(frequency: Real) -> Axis:
    return frequency_axis(0.98 * float(frequency[0]), 1.02 * float(frequency[-1]))


def _runs(found: Distortion) -> list[NDArray[np.intp]]:
    """Stretches of two and more neighbours at which the cone left the range of its curves."""
    index = np.flatnonzero(found.beyond)
    parts = np.split(index, np.flatnonzero(np.diff(index) > 1) + 1)
    return [part for part in parts if part.size > 1]


def blocks(found: Distortion, system: str = "metric", every: int = 3) -> tuple[Block, ...]:
    """Every few frequencies as a table, and what is to be said of those that went wrong."""
    rows = tuple(
        (show(float(found.frequency[k]), "frequency"), show(float(found.volts[k]), "voltage"),
         show(float(found.level_db[k]), "level"), _share(found.second[k]), _share(found.third[k]),
         _share(found.total[k]), show(float(found.excursion[k]), "excursion", system))
        for k in range(0, found.frequency.size, every)
    )
    made: list[Block] = [Table(
        ("Frequency", "Volts", "Level", "2nd", "3rd", "All", "Cone, peak"), rows,
        "Harmonics against the fundamental at 1 m; the level is the fundamental's.",
        numbers=tuple(range(7)),
    )]
    told = []
    if np.any(np.isnan(found.level_db)):
        told.append("Where nothing stands, the motion grew without bound.")
    if np.any(found.beyond):
        told.append("Where the cone left the range of its curves the figures are a lower bound.")
    if not np.all(found.settled | np.isnan(found.level_db)):
        told.append("Somewhere the motion did not come to repeat itself.")
    return (*made, *(Paragraph(sentence) for sentence in told))


def _share(value: float) -> str:
    if np.isnan(value):
        return "–"
    percent = 100.0 * value
    return f"{percent:.0f}\u202f%" if percent >= 10.0 else f"{percent:.2g}\u202f%"

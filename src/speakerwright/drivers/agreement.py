"""Do a record's figures agree? Every relation between them, each with the size of its doubt."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.movingcoil import one_acoustic_watt_level_db, reference_efficiency
from speakerwright.design.motor import figure
from speakerwright.design.records import Record
from speakerwright.words.evidence import Evidence

TAU = 2.0 * math.pi


@dataclass(frozen=True)
class Relation:
    """One figure as typed (SI) and as the others imply it.

    `off` is implied over typed less one; for a level it is the difference in dB.
    """

    figure: str
    from_figures: tuple[str, ...]
    typed: float
    implied: float
    off: float
    kind: str
    evidence: Evidence
    source: str


Law = tuple[str, tuple[str, ...], Callable[..., float], str, str]

SMALL = "Small 1972, direct-radiator analysis"


def _laws(air: Air) -> tuple[Law, ...]:
    stiffness = air.density * air.speed**2
    return (
        ("fs", ("mms", "cms"), lambda m, c: 1 / (TAU * math.sqrt(m * c)), "frequency", SMALL),
        ("vas", ("cms", "sd"), lambda c, s: stiffness * s**2 * c, "volume", SMALL),
        ("qms", ("fs", "mms", "rms"), lambda f, m, r: TAU * f * m / r, "ratio", SMALL),
        ("qes", ("fs", "mms", "re", "bl"), lambda f, m, r, b: TAU * f * m * r / b**2, "ratio",
         SMALL),
        ("qts", ("qms", "qes"), lambda m, e: m * e / (m + e), "ratio", SMALL),
        ("vas", ("fs", "mms", "sd"), lambda f, m, s: stiffness * s**2 / ((TAU * f) ** 2 * m),
         "volume", SMALL),
        ("efficiency", ("fs", "vas", "qes"),
         lambda f, v, q: 100.0 * reference_efficiency(f, v, q, air.speed), "percent", SMALL),
        ("sensitivity", ("re", "efficiency"),
         lambda r, e: one_acoustic_watt_level_db(air) + 10 * math.log10(e / 100 * 2.83**2 / r),
         "level", SMALL),
        ("sensitivity", ("re", "fs", "vas", "qes"),
         lambda r, f, v, q: one_acoustic_watt_level_db(air)
         + 10 * math.log10(reference_efficiency(f, v, q, air.speed) * 2.83**2 / r),
         "level", SMALL),
    )


def relations(record: Record, air: Air) -> tuple[Relation, ...]:
    """Every relation whose figures are all typed (measured ones before the datasheet's).

    A compression driver's sensitivity is stated on a horn and says nothing about its efficiency
    as a direct radiator; that relation is left out.
    """
    found = []
    for name, others, law, kind, source in _laws(air):
        if name == "sensitivity" and record.type == "compression":
            continue
        typed, evidence = figure(record, name)
        values = [figure(record, other) for other in others]
        if typed is None or any(value is None for value, _ in values):
            continue
        if name == "sensitivity" and others == ("re", "fs", "vas", "qes") and (
            figure(record, "efficiency")[0] is not None
        ):
            continue
        implied = law(*[value for value, _ in values])
        off = implied - typed if kind == "level" else implied / typed - 1.0
        weakest = min((evidence, *[e for _, e in values]), key=list(Evidence).index)
        found.append(Relation(name, others, typed, implied, off, kind, weakest, source))
    return tuple(found)

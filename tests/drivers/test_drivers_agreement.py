"""What a record's figures imply of each other: every relation by hand (Small 1972)."""

from __future__ import annotations

import math

import pytest

from speakerwright.acoustics.air import Air
from speakerwright.design.records import Record
from speakerwright.drivers.agreement import relations

AIR = Air()
TAU = 2 * math.pi
TYPED = {"re": 5.6, "fs": 40.0, "qms": 4.5, "qes": 0.4, "qts": 0.37, "vas": 0.061, "sd": 0.035,
         "bl": 10.1, "mms": 0.031, "cms": 0.0005, "rms": 1.6, "efficiency": 1.1,
         "sensitivity": 93.0}
UNITS = {"re": "ohm", "fs": "Hz", "vas": "m^3", "sd": "m^2", "bl": "T m", "mms": "kg",
         "cms": "m/N", "rms": "kg/s", "efficiency": "%", "sensitivity": "dB"}
STIFFNESS = AIR.density * AIR.speed**2
# 10 lg of rho c over 2 pi over the square of 20 uPa: one acoustic watt in half space at 1 m
WATT_DB = 10 * math.log10(AIR.density * AIR.speed / TAU / 4e-10)
ETA = 4 * math.pi**2 / AIR.speed**3 * 40.0**3 * 0.061 / 0.4
BY_HAND = [
    ("fs", ("mms", "cms"), 1 / (TAU * math.sqrt(0.031 * 0.0005))),
    ("vas", ("cms", "sd"), STIFFNESS * 0.035**2 * 0.0005),
    ("vas", ("fs", "mms", "sd"), STIFFNESS * 0.035**2 / ((TAU * 40) ** 2 * 0.031)),
    ("qms", ("fs", "mms", "rms"), TAU * 40 * 0.031 / 1.6),
    ("qes", ("fs", "mms", "re", "bl"), TAU * 40 * 0.031 * 5.6 / 10.1**2),
    ("qts", ("qms", "qes"), 4.5 * 0.4 / 4.9),
    ("efficiency", ("fs", "vas", "qes"), 100 * ETA),
    ("sensitivity", ("re", "efficiency"), WATT_DB + 10 * math.log10(0.011 * 2.83**2 / 5.6)),
    ("sensitivity", ("re", "fs", "vas", "qes"), WATT_DB + 10 * math.log10(ETA * 2.83**2 / 5.6)),
]


def record(names, **more) -> Record:
    figures = {n: f"{TYPED[n]!r} {UNITS[n]}" if n in UNITS else TYPED[n] for n in names}
    return Record.model_validate({"format": 1, "what": "driver", "type": "cone", "name": "Sedge",
                                  "datasheet": figures, **more})


@pytest.mark.parametrize(("name", "others", "implied"), BY_HAND)
def test_each_relation(name, others, implied):
    found = {(r.figure, r.from_figures): r for r in relations(record({name, *others}), AIR)}
    one = found[(name, others)]
    assert one.implied == pytest.approx(implied, rel=1e-9)
    assert one.typed == pytest.approx(TYPED[name], rel=1e-12)
    expected = implied - TYPED[name] if name == "sensitivity" else implied / TYPED[name] - 1
    assert one.off == pytest.approx(expected, abs=1e-9)


def test_a_whole_record_has_each_relation_once():
    found = [(r.figure, r.from_figures) for r in relations(record(TYPED), AIR)]
    # with an efficiency typed, the sensitivity is compared to that
    assert sorted(found) == sorted((n, o) for n, o, _ in BY_HAND if o != ("re", "fs", "vas", "qes"))


def test_relations_want_all_their_figures():
    assert relations(record({"fs", "mms", "sd"}), AIR) == ()


def test_a_compression_drivers_sensitivity_says_nothing_of_its_efficiency():
    horn_driver = record(TYPED, type="compression", exit={"diameter": "25.4 mm"})
    assert all(r.figure != "sensitivity" for r in relations(horn_driver, AIR))

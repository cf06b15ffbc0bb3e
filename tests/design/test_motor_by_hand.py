"""A record completed to the figures a circuit needs: every law once, from the least that will do.

The laws are Small's definitions (direct-radiator analysis, 1972), worked out here by hand.
"""

from __future__ import annotations

import math

import pytest

from speakerwright.acoustics.air import Air
from speakerwright.design.motor import Incomplete, figure, motor
from speakerwright.design.records import Record
from speakerwright.words.evidence import Evidence

AIR = Air()
STIFFNESS = AIR.density * AIR.speed**2
TAU = 2 * math.pi
FS, MMS, SD, RE, QMS, QES = 40.0, 0.03, 0.035, 5.6, 4.5, 0.4
CMS = 1 / ((TAU * FS) ** 2 * MMS)
VAS = STIFFNESS * SD**2 * CMS
QTS = QMS * QES / (QMS + QES)
RMS = TAU * FS * MMS / QMS
BL = math.sqrt(TAU * FS * MMS * RE / QES)
WHOLE = {"re": RE, "sd": SD, "mms": MMS, "cms": CMS, "bl": BL, "rms": RMS}
WORDS = {
    "re": f"{RE} ohm", "sd": f"{SD * 1e4!r} cm^2", "mms": f"{MMS * 1e3!r} g",
    "cms": f"{CMS * 1e3!r} mm/N", "bl": f"{BL!r} T m", "rms": f"{RMS!r} kg/s", "fs": f"{FS} Hz",
    "vas": f"{VAS * 1e3!r} L", "qms": QMS, "qes": QES, "qts": QTS,
}


def record(*names: str, measured: tuple[str, ...] = (), **changed: object) -> Record:
    raw: dict = {"format": 1, "what": "driver", "type": "cone", "name": "Sedge",
                 "datasheet": {**{name: WORDS[name] for name in names}, **changed}}
    if measured:
        raw["measured"] = {name: WORDS[name] for name in measured}
    return Record.model_validate(raw)


@pytest.mark.parametrize(
    "names",
    [
        ("re", "sd", "mms", "cms", "bl", "rms"),
        ("re", "sd", "fs", "mms", "qms", "qes"),
        ("re", "sd", "fs", "cms", "qms", "qes"),
        ("re", "sd", "fs", "vas", "qms", "qes"),
        ("re", "sd", "fs", "vas", "qts", "qms"),
        ("re", "sd", "fs", "vas", "qts", "qes"),
        ("re", "sd", "mms", "cms", "qms", "qes"),
        ("re", "sd", "mms", "vas", "qms", "qes"),
        ("re", "sd", "fs", "mms", "bl", "rms"),
    ],
    ids=lambda names: " ".join(names),
)
def test_six_figures_from_what_there_is(names):
    found = motor(record(*names), AIR)
    for name, value in WHOLE.items():
        assert getattr(found.coil, name) == pytest.approx(value, rel=1e-9), name
    assert found.evidence is Evidence.DATASHEET
    for name, origin in found.origins.items():
        assert (origin.how == "typed") == (name in names)


def test_what_is_missing_is_named():
    with pytest.raises(Incomplete) as caught:
        motor(record("re", "sd", "fs"), AIR)
    assert caught.value.missing == ("mms", "cms", "bl", "rms")


def test_typed_figures_are_used_as_typed():
    found = motor(record("re", "sd", "mms", "cms", "rms", "fs", "qes", bl="9 T m"), AIR)
    assert found.coil.bl == 9.0


def test_measured_figures_alone_when_they_are_enough():
    names = ("re", "sd", "fs", "mms", "qms", "qes")
    found = motor(record("re", "sd", "rms", "cms", measured=names, mms="77 g", bl="3 T m"), AIR)
    assert found.evidence is Evidence.MEASURED
    assert found.coil.mms == pytest.approx(MMS, rel=1e-9)
    assert found.coil.bl == pytest.approx(BL, rel=1e-9)


def test_a_measured_figure_outranks_one_typed_beside_it():
    found = motor(record("re", "sd", "mms", "qms", "qes", measured=("fs",), cms="9 mm/N"), AIR)
    assert found.evidence is Evidence.DATASHEET
    assert found.coil.cms == pytest.approx(CMS, rel=1e-9)  # by the measured resonance
    value, evidence = figure(record("fs", measured=("fs",)), "fs")
    assert (value, evidence) == (FS, Evidence.MEASURED)


def test_figures_that_contradict_give_no_motor():
    with pytest.raises(Incomplete):  # a total Q above the mechanical one
        motor(record("re", "sd", "fs", "vas", "qms", qts=6.0), AIR)

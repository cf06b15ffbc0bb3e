"""A record's figures are completed to one motor, whichever of them are given."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.acoustics.air import Air
from speakerwright.design.file import read_project
from speakerwright.design.motor import NEEDED, Incomplete, figure, motor
from speakerwright.design.records import Record
from speakerwright.words.evidence import Evidence

from .folders import HALL

AIR = Air(20.0, 101325.0, 50.0)
UNITS = {"re": "ohm", "sd": "m^2", "mms": "kg", "cms": "m/N", "bl": "T m", "rms": "kg/s",
         "fs": "Hz", "vas": "m^3"}
# which figures hang together: any one of each follows from the rest
RELATIONS = (("fs", "mms", "cms"), ("qms", "fs", "mms", "rms"), ("qes", "fs", "mms", "re", "bl"),
             ("qts", "qms", "qes"), ("vas", "cms", "sd"))
NAMES = (*UNITS, "qms", "qes", "qts")

MOTORS = st.fixed_dictionaries({
    "re": st.floats(1.0, 30.0), "sd": st.floats(3e-4, 0.25), "mms": st.floats(2e-4, 0.5),
    "cms": st.floats(2e-5, 3e-3), "bl": st.floats(1.0, 35.0), "rms": st.floats(0.1, 12.0),
})


def all_figures(six):
    """The eleven figures of a motor, by the definitions of Small 1972 (direct radiators)."""
    omega = 1.0 / math.sqrt(six["mms"] * six["cms"])
    qms = omega * six["mms"] / six["rms"]
    qes = omega * six["mms"] * six["re"] / six["bl"] ** 2
    return {
        **six, "fs": omega / (2.0 * math.pi), "qms": qms, "qes": qes,
        "qts": 1 / (1 / qms + 1 / qes),
        "vas": AIR.density * AIR.speed**2 * six["sd"] ** 2 * six["cms"],
    }


def written(figures):
    return {name: f"{value!r} {UNITS[name]}" if name in UNITS else value
            for name, value in figures.items()}


def record(datasheet, measured=None):
    return Record.model_validate({
        "format": 1, "what": "driver", "type": "cone", "name": "x",
        "datasheet": written(datasheet),
        **({} if measured is None else {"measured": written(measured)}),
    })


def reached(names):
    """What follows from some figures, by the relations alone."""
    known = set(names)
    grew = True
    while grew:
        grew = False
        for relation in RELATIONS:
            left = [name for name in relation if name not in known]
            if len(left) == 1:
                known.update(left)
                grew = True
    return known


@settings(max_examples=400, deadline=None)
@given(six=MOTORS, names=st.sets(st.sampled_from(NAMES), min_size=4))
def test_any_sufficient_figures_give_the_same_motor_and_no_others_do(six, names):
    every = all_figures(six)
    given_ = {name: every[name] for name in names}
    known = reached(names)
    missing = tuple(name for name in NEEDED if name not in known)
    if missing:
        with pytest.raises(Incomplete) as caught:
            motor(record(given_), AIR)
        assert caught.value.missing == missing
        assert all(name in str(caught.value) for name in missing)
        return
    found = motor(record(given_), AIR)
    # qes from qts and qms loses digits where the two are nearly alike
    doubt = 1e-9 * (1.0 + max(every["qms"], every["qes"]) / every["qts"])
    for name in NEEDED:
        assert getattr(found.coil, name) == pytest.approx(every[name], rel=doubt), name
        how = found.origins[name].how
        assert (how == "typed") == (name in names)
        assert how == "typed" or set(how.removeprefix("from ").split(", ")) <= known


def test_the_usual_datasheet_gives_the_motor_by_hand():
    figures = {"re": 5.8, "fs": 40.0, "qms": 4.2, "qes": 0.47, "vas": 0.026, "sd": 0.0137}
    coil = motor(record(figures), AIR).coil
    # worked out on paper with rho c^2 = 141.88 kPa, the product for air at 20 °C and 50 % RH
    assert coil.cms == pytest.approx(0.026 / (141.88e3 * 0.0137**2), rel=1e-3)
    assert coil.mms == pytest.approx(1.0 / ((2 * math.pi * 40.0) ** 2 * coil.cms), rel=1e-12)
    assert coil.bl == pytest.approx(7.091, abs=0.005)
    assert coil.rms == pytest.approx(0.9703, abs=0.001)


def test_a_typed_figure_is_kept_even_where_others_contradict_it():
    every = all_figures({"re": 5.3, "sd": 0.0531, "mms": 0.05, "cms": 2e-4, "bl": 15.2,
                         "rms": 2.8})
    every["fs"] *= 1.1
    coil = motor(record(every), AIR).coil
    assert (coil.mms, coil.cms, coil.bl) == (0.05, 2e-4, 15.2)


BASE = all_figures({"re": 5.3, "sd": 0.0531, "mms": 0.05, "cms": 2e-4, "bl": 15.2, "rms": 2.8})
SOFTER = all_figures({"re": 5.5, "sd": 0.0531, "mms": 0.051, "cms": 2.3e-4, "bl": 15.0,
                      "rms": 2.5})


def test_measured_figures_that_suffice_stand_alone():
    names = ("re", "sd", "fs", "qms", "qes", "mms")
    found = motor(record(BASE, {name: SOFTER[name] for name in names}), AIR)
    assert found.evidence is Evidence.MEASURED
    assert {origin.evidence for origin in found.origins.values()} == {Evidence.MEASURED}
    for name in NEEDED:
        assert getattr(found.coil, name) == pytest.approx(SOFTER[name], rel=1e-9)


def test_measured_figures_outrank_the_datasheet_that_fills_their_gaps():
    found = motor(record(BASE, {name: SOFTER[name] for name in ("re", "fs", "qms", "qes")}), AIR)
    assert found.evidence is Evidence.DATASHEET
    assert found.origins["re"].evidence is Evidence.MEASURED
    coil = found.coil
    assert coil.re == SOFTER["re"]
    assert coil.mms == BASE["mms"]  # the mass ages least
    back = all_figures({name: getattr(coil, name) for name in NEEDED})
    for name in ("fs", "qms", "qes", "qts"):
        assert back[name] == pytest.approx(SOFTER[name], rel=1e-9), name


@pytest.mark.parametrize("names", [("fs",), ("fs", "qms"), ("re",), ("qes",), ("qts", "qms")])
def test_every_measured_figure_is_what_the_motor_shows(names):
    found = motor(record(BASE, {name: SOFTER[name] for name in names}), AIR)
    back = all_figures({name: getattr(found.coil, name) for name in NEEDED})
    for name in names:
        assert back[name] == pytest.approx(SOFTER[name], rel=1e-9), name


@pytest.mark.parametrize(("qts", "qms"), [(0.5, 0.5), (0.9, 0.5), (0.5, 0.4999999)])
def test_a_total_q_above_its_part_says_what_is_missing(qts, qms):
    figures = {name: BASE[name] for name in ("re", "sd", "fs", "mms")}
    with pytest.raises(Incomplete) as caught:
        motor(record({**figures, "qts": qts, "qms": qms}), AIR)
    assert caught.value.missing == ("bl",)
    with pytest.raises(Incomplete) as caught:
        motor(record({**figures, "qts": qts, "qes": qms}), AIR)
    assert caught.value.missing == ("rms",)


def test_an_empty_record_misses_everything():
    with pytest.raises(Incomplete) as caught:
        motor(record({}), AIR)
    assert caught.value.missing == NEEDED


def test_figures_beyond_floats_are_no_motor():
    with pytest.raises(Incomplete):
        motor(record({"re": 1.0, "sd": 1e-300, "fs": 1.0, "qms": 1.0, "qes": 1.0, "vas": 1.0}),
              AIR)


def test_one_figure_is_the_measured_one_where_there_is_one():
    record_ = record({"fs": 50.0}, {"fs": 52.0})
    assert figure(record_, "fs") == (52.0, Evidence.MEASURED)
    assert figure(record({"fs": 50.0}), "fs") == (50.0, Evidence.DATASHEET)
    assert figure(record({"fs": 50.0}, {"re": 5.0}), "fs") == (50.0, Evidence.DATASHEET)
    assert figure(record({}), "fs")[0] is None


def test_the_air_enters_through_vas_alone():
    thin = Air(20.0, 80e3, 50.0)
    names = ("re", "fs", "qms", "qes", "vas", "sd")
    by_vas = record({name: BASE[name] for name in names})
    assert motor(by_vas, thin).coil.cms == pytest.approx(
        motor(by_vas, AIR).coil.cms * AIR.density * AIR.speed**2
        / (thin.density * thin.speed**2), rel=1e-9)
    by_mass = record({name: BASE[name] for name in ("re", "fs", "qms", "qes", "mms", "sd")})
    assert motor(by_mass, thin).coil == motor(by_mass, AIR).coil


def test_the_example_is_complete_as_typed():
    records = read_project(HALL).design.records
    found = motor(records["moorhoot-12"], AIR)
    assert found.evidence is Evidence.DATASHEET
    assert all(origin.how == "typed" for origin in found.origins.values())

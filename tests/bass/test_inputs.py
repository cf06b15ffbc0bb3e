"""Several drivers as one, voice coils by their laws, and what is read from a design."""

import cmath
import math
from pathlib import Path

import numpy as np
import pytest

from bass.boxes import WOOFER, inputs
from speakerwright.bass.inputs import SOLID_ANGLE, Seat, chamber_input, equivalent, voice_coil
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Gyrator,
    Inductor,
    Resistor,
    Series,
    Transformer,
    VoltageSource,
)
from speakerwright.design.file import read_project
from speakerwright.design.records import VoiceCoilInductance

F = np.array([18.0, 52.0, 140.0, 900.0])
HALL = Path(__file__).parents[2] / "examples" / "harbour-hall"
LAWS = {
    "plain": {"le": 0.0008},
    "l2r2": {"le": 0.00045, "l2": 0.00075, "r2": 7.0},
    "power": {"k": 0.02, "n": 0.65},
    "wright": {"kr": 0.002, "xr": 0.75, "ki": 0.01, "xi": 0.68},
    "semi": {"leb": 0.0001, "le": 0.002, "ke": 0.06, "rss": 40.0},
}


def law(name: str) -> VoiceCoilInductance:
    return VoiceCoilInductance.model_construct(law=name, **LAWS[name])


def by_formula(name: str, omega: float) -> complex:
    """Each law as its source has it (see `circuits.parts`); L + L2 || R2 is elementary."""
    s = 1j * omega
    if name == "plain":
        return s * 0.0008
    if name == "l2r2":
        return s * 0.00045 + 1 / (1 / (s * 0.00075) + 1 / 7.0)
    if name == "power":
        return cmath.rect(0.02 * omega**0.65, 0.65 * math.pi / 2)
    if name == "wright":
        return complex(0.002 * omega**0.75, 0.01 * omega**0.68)
    semi = cmath.rect(0.06 * math.sqrt(omega), math.pi / 4)
    return s * 0.0001 + 1 / (1 / (s * 0.002) + 1 / semi + 1 / 40.0)


@pytest.mark.parametrize("name", LAWS)
@pytest.mark.parametrize("scale", [1.0, 3.0, 0.5])
def test_voice_coil_by_its_law(name, scale):
    omega = 2 * math.pi * F
    found = Series("coil", "a", "b", voice_coil(law(name), scale)).impedance(omega)
    expected = [scale * by_formula(name, w) for w in omega]
    assert np.allclose(found, expected, rtol=1e-12)


def test_no_law_is_no_inductance_and_a_law_wants_its_figures():
    assert voice_coil(None, 1.0) == ()
    with pytest.raises(ValueError, match="lacks a figure"):
        voice_coil(VoiceCoilInductance.model_construct(law="plain"), 1.0)


@pytest.mark.parametrize("name", LAWS)
@pytest.mark.parametrize(("count", "wiring"), [(2, "series"), (3, "series"), (2, "parallel"),
                                               (3, "parallel")])
def test_n_drivers_are_their_full_network(name, count, wiring):
    """The one that stands for them all against every driver drawn on its own, on one box."""
    box = Capacitor("box", "box", GROUND, 4e-7)
    leak = Resistor("leak", "box", GROUND, 5e4)
    # in series equal drivers on one box share the voltage evenly and carry one current
    share = count if wiring == "series" else 1
    parts: list = [VoltageSource("v", "in", GROUND, 1.0 / share), box, leak]
    for k in range(count):
        coil = (Resistor("", "", "", WOOFER.re), *voice_coil(law(name), 1.0))
        cone = (Inductor("", "", "", WOOFER.mms), Capacitor("", "", "", WOOFER.cms),
                Resistor("", "", "", WOOFER.rms))
        parts += [Series(f"coil{k}", "in", f"motor{k}", coil),
                  Gyrator(f"bl{k}", f"motor{k}", f"force{k}", WOOFER.bl),
                  Series(f"cone{k}", f"force{k}", f"back{k}", cone),
                  Transformer(f"sd{k}", f"back{k}", "box", WOOFER.sd)]
    full = Network(tuple(parts)).solve(F)
    one = equivalent(inputs(count=count, wiring=wiring, inductance=law(name)))
    alike = Network((
        VoltageSource("v", "in", GROUND, 1.0), box, leak,
        Series("coil", "in", "motor", one.coil.parts), Gyrator("bl", "motor", "force", one.bl),
        Series("cone", "force", "back", (
            Inductor("", "", "", one.mms), Capacitor("", "", "", one.cms),
            Resistor("", "", "", one.rms))),
        Transformer("sd", "back", "box", one.sd),
    )).solve(F)
    assert np.allclose(alike.current("v"), full.current("v") / share, rtol=1e-10)
    assert np.allclose(alike.current("cone"), full.current("cone0"), rtol=1e-10)
    assert np.allclose(alike.voltage("box"), full.voltage("box"), rtol=1e-10)


def test_resonance_of_several_is_that_of_one():
    for wiring in ("series", "parallel"):
        assert equivalent(inputs(count=3, wiring=wiring)).fs == pytest.approx(WOOFER.fs, rel=1e-12)


def test_solid_angles():
    # elementary: each rigid plane halves the space; a corner is the floor and two walls
    full = 4 * math.pi
    assert {"free": full, "floor": full / 2, "wall": full / 2, "recess": full / 2,
                           "corner": full / 8} == SOLID_ANGLE


def test_what_the_example_gives():
    design = read_project(HALL).design
    found = chamber_input(design, "main", Seat())
    assert found.motor.bl == 15.2
    assert found.motor.sd == pytest.approx(0.0531)
    assert found.motor.mms == pytest.approx(0.05)
    assert found.motor.cms == pytest.approx(0.0002)
    assert found.motor.rms == 2.8
    assert found.inductance.law == "l2r2"
    assert found.ratings.xmax == pytest.approx(0.0065)
    assert found.ratings.xdamage == pytest.approx(0.016)
    assert found.ratings.power == 400
    assert found.amplifier.volts == pytest.approx(math.sqrt(500 * 8), rel=1e-12)
    assert found.amplifier.peak_voltage == 90
    assert found.amplifier.peak_current == 22
    assert found.solid_angle == pytest.approx(2 * math.pi)
    assert not found.on_floor

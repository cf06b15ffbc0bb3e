"""Band-pass boxes of fourth order: against the circuit, and their figures against the response."""

import math

import numpy as np
import pytest

from speakerwright.acoustics import bandpass
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Inductor,
    Resistor,
    Series,
    VoltageSource,
)

FS, QTS, VAS = 31.0, 0.38, 0.074
F = np.geomspace(20.0, 200.0, 40)


@pytest.mark.parametrize("damping", [0.5, math.sqrt(0.5), 1.1])
def test_the_box_in_the_circuit(damping):
    box = bandpass.bandpass4(FS, QTS, VAS, 58.0, damping)
    mass, unit = 1.0, 1.0 / (2 * math.pi * FS) ** 2 / VAS  # compliance per volume
    front = unit * box.front_volume
    port = 1.0 / ((2 * math.pi * box.centre) ** 2 * front)
    driver = Series("d", "in", "f", (
        Inductor("m", "", "", mass), Resistor("r", "", "", 2 * math.pi * FS * mass / QTS),
        Capacitor("s", "", "", unit * VAS), Capacitor("b", "", "", unit * box.rear_volume)))
    network = Network((VoltageSource("e", "in", GROUND), driver,
                       Capacitor("c", "f", GROUND, front), Inductor("p", "f", GROUND, port)))
    flow = network.solve(F).current("p")
    assert np.allclose(2j * math.pi * F * mass * flow, box.response(F), rtol=1e-9)


@pytest.mark.parametrize("damping", [0.4, 0.6, math.sqrt(0.5), 1.3])
def test_its_figures_are_those_of_its_response(damping):
    box = bandpass.bandpass4(FS, QTS, VAS, 58.0, damping)
    levels = 20 * np.log10(np.abs(box.response([box.low, box.centre, box.high])))
    assert levels[1] == pytest.approx(box.gain_db, abs=1e-9)
    assert 10 * math.log10(box.efficiency_gain) == pytest.approx(box.gain_db, abs=1e-9)
    assert levels[[0, 2]] - levels[1] == pytest.approx(-10 * math.log10(2.0), abs=1e-9)
    wide = 20 * np.log10(np.abs(box.response(np.linspace(20.0, 200.0, 40001))))
    assert np.max(wide) - levels[1] == pytest.approx(box.ripple_db, abs=1e-6)
    assert box.low * box.high == pytest.approx(58.0**2, rel=1e-12)


@pytest.mark.parametrize("damping", [0.35, 0.7, 1.5])
def test_a_wanted_band_and_back(damping):
    box = bandpass.bandpass4(FS, QTS, VAS, 58.0, damping)
    found = bandpass.bandpass4_from(box.low, box.high, FS, QTS, VAS)
    assert found.damping == pytest.approx(damping, rel=1e-9)
    assert found.front_volume == pytest.approx(box.front_volume, rel=1e-9)
    assert found.rear_volume == pytest.approx(box.rear_volume, rel=1e-9)


def test_what_cannot_be():
    with pytest.raises(ValueError, match="above the driver"):
        bandpass.bandpass4(FS, QTS, VAS, 30.0, 0.7)
    with pytest.raises(ValueError, match="lower to a higher"):
        bandpass.bandpass4_from(80.0, 40.0, FS, QTS, VAS)
    with pytest.raises(ValueError, match="damping"):
        bandpass.ripple_db(0.0)

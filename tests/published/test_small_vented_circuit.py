"""The circuit of a vented and a closed box against Small's transfer functions.

Source: R. H. Small, Closed-box loudspeaker systems I, JAES 20(10) 1972; Vented-box loudspeaker
systems I, JAES 21(5) 1973. Status recomputed: the laws are his (coefficients from memory); the
network is solved apart from them, with the lumped port that they have.
"""

import math

import numpy as np
import pytest

from bass import boxes
from speakerwright.acoustics.alignments import butterworth4, closed_system, vented_response_db
from speakerwright.acoustics.movingcoil import from_thiele_small
from speakerwright.bass.inputs import equivalent
from speakerwright.bass.loadings import BOX, CONE, circuit
from speakerwright.circuits.parts import GROUND, Inductor, Resistor, Series

CHECKS = [
    (circuit, "Small, Vented-box loudspeaker systems, JAES 21(5) and (6) 1973", "recomputed"),
    (circuit, "Small, Closed-box loudspeaker systems I and II, JAES 20(10) 1972, 21(1) 1973",
     "recomputed"),
]
F = np.geomspace(12.0, 600.0, 40)


def level_db(
    given, tuning: float | None, leak_q: float, f: np.ndarray, port_q: float = math.inf
) -> np.ndarray:
    """Level against the asymptote of a chamber with a lumped port."""
    made = circuit(given)
    network, driver = made.network, equivalent(given)
    if tuning is not None:
        omega = 2 * math.pi * tuning
        loss = 1 / (port_q * omega * made.compliance)
        network = network.plus(
            Series("vent", BOX, GROUND, (
                Inductor("", "", "", 1 / (omega**2 * made.compliance)), Resistor("", "", "", loss),
            )),
            Resistor("leakage", BOX, GROUND, leak_q / (omega * made.compliance)),
        )
    solution = network.solve(f)
    flow = solution.current(CONE) * driver.sd
    for name in ("vent", "leakage"):
        if name in solution.currents:
            flow = flow + solution.current(name)
    asymptote = driver.sd * driver.bl / (driver.re * driver.mms)
    return 20 * np.log10(np.abs(2 * math.pi * f * flow) / asymptote)


@pytest.mark.parametrize("ql", [7.0, 15.0])
def test_harbour_hall_box(ql):
    coil = boxes.WOOFER
    alpha = coil.vas(boxes.AIR) / 0.062
    found = level_db(boxes.inputs(), 50.0, ql, F)
    expected = vented_response_db(F, coil.fs, coil.qts, alpha, 50.0 / coil.fs, ql)
    assert np.allclose(found, expected, atol=1e-8)


def test_its_cutoffs_against_an_earlier_trial():
    # 58.5 and 47.5 Hz, leak Q 7, port Q 60: figures of an earlier trial, not an outside source
    f = np.geomspace(40.0, 70.0, 4001)
    level = level_db(boxes.inputs(), 50.0, 7.0, f, 60.0)
    assert f[np.argmax(level >= -3.0103)] == pytest.approx(58.5, abs=0.05)
    assert f[np.argmax(level >= -6.0206)] == pytest.approx(47.5, abs=0.05)


@pytest.mark.parametrize("ql", [7.0, 1e9])
def test_a_b4_circuit_is_maximally_flat(ql):
    flat = butterworth4(ql)
    fs, vas = 40.0, 0.08
    qms = 5.0
    qes = flat.qt * qms / (qms - flat.qt)
    driver = from_thiele_small(fs=fs, qms=qms, qes=qes, vas=vas, re=6.0, sd=0.03, air=boxes.AIR)
    given = boxes.inputs(boxes.chamber(volume=vas / flat.alpha), motor=driver)
    found = level_db(given, fs, ql, F)
    # |G|² = x⁸ / (1 + x⁸), Butterworth 1930
    x = F / fs
    assert np.allclose(found, 10 * np.log10(x**8 / (1 + x**8)), atol=1e-7)
    assert level_db(given, fs, ql, np.array([fs]))[0] == pytest.approx(-3.0103, abs=1e-5)


def test_cb_sys_1_as_a_circuit():
    # cb_sys_1: fs 31, Qts 0.3777, Vas 74 L, 25 L: f3 58.2517 Hz, recomputed
    qms = 5.0
    qes = 0.3777 * qms / (qms - 0.3777)
    driver = from_thiele_small(fs=31.0, qms=qms, qes=qes, vas=0.074, re=6.0, sd=0.03,
                               air=boxes.AIR)
    given = boxes.inputs(boxes.chamber(volume=0.025), motor=driver)
    assert level_db(given, None, 1.0, np.array([58.2516983]))[0] == pytest.approx(
        -3.0103, abs=1e-5)
    assert circuit(given).resonance == pytest.approx(61.6892211, rel=1e-8)
    assert closed_system(31.0, 0.3777, 0.074, 0.025).fc == pytest.approx(61.6892211, rel=1e-8)

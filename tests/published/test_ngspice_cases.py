"""Our networks against ngspice (an outside program), on invented drivers and boxes.

Status recomputed: ngspice solves circuits by the impedance analogy that are kept as netlists or
written here from physical figures, apart from this program. Agreement is asked to one part in a
million, complex. Without ngspice these tests are skipped, except where CI is set.
"""

import json
import math
import secrets
from pathlib import Path

import numpy as np
import pytest

from bass import boxes, spice
from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.movingcoil import MovingCoil, from_thiele_small
from speakerwright.bass.inputs import equivalent
from speakerwright.bass.loadings import BOX, CONE, SOURCE, TERMINALS, circuit
from speakerwright.bass.stage import GRID
from speakerwright.bass.stage import chamber as work_out
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
from speakerwright.design.records import VoiceCoilInductance
from speakerwright.design.sections.bass import HighPass, Losses

SOURCE_OF_ALL = "ngspice, circuits by the impedance analogy"
CHECKS = [(function, SOURCE_OF_ALL, "recomputed")
          for function in (Network.solve, equivalent, circuit, work_out)]
NETLISTS = Path(__file__).parent / "netlists"
SAME = 1e-6  # relative, of the complex value
F = np.array([12.0, 18, 22, 26, 30, 36, 45, 60, 100, 300])
AIR = StatedAir(1.2041, 343.2)
DRIVER = from_thiele_small(fs=31.0, qms=4.8, qes=0.41, vas=0.074, re=5.7, sd=0.0346, air=AIR)
# vented_A_impedance, closed_A_impedance, passive_A_impedance: ohm and degrees, recomputed with
# ngspice from the netlists of their names; numeric cases (invented driver)
IMPEDANCE = {
    "vented_A": (
        [10.9101909, 46.0965, 16.3676742, 9.10606384, 7.32509591, 7.91956089, 15.4945939,
         28.457697, 8.02287607, 5.73722222],
        [50.4468421, 12.5121659, -43.372445, -29.6276628, -8.98406757, 19.7495647, 42.5911742,
         -45.9355437, -39.0400311, 2.23219737]),
    "closed_A": (
        [5.91784901, 6.22574896, 6.53737648, 6.96622984, 7.55665184, 8.91056246, 13.1625592,
         64.1888696, 9.00510246, 5.73709097],
        [14.4794765, 21.9532065, 27.0571427, 32.2496055, 37.4960429, 45.2976774, 55.6249866,
         25.8276999, -44.5481622, 1.9698625]),
    "passive_A": (
        [8.21592631, 21.5506133, 16.7518362, 8.12586546, 7.31816665, 9.38252314, 20.4314302,
         27.4896424, 8.05312006, 5.73712627],
        [39.4150968, 43.7981677, -30.515539, -13.8945412, 10.8986299, 35.4880973, 48.3425992,
         -50.8774808, -39.3996643, 2.21138276]),
}
# vented_A_response, passive_A_response: dB re the asymptote, of the netlists named _noLe
RESPONSE = {
    "vented_A_noLe": [-33.9183644, -20.3313734, -13.9053213, -9.00485743, -5.50336372, -2.50773262,
                      -0.898904544, -0.310517764, -0.088733271, -0.00964405025],
    "passive_A_noLe": [-37.9798833, -27.5833124, -15.7015639, -9.37119227, -6.35560355, -4.27274189,
                       -2.700682, -1.42382817, -0.430687755, -0.0400766184],
}


def branches(name: str) -> tuple[float, list]:
    """Box volume and acoustic branches of a case, from its Q, tuning and radiator."""
    def compliance(volume: float) -> float:
        return volume / (AIR.density * AIR.speed**2)

    def leak(q: float, tuning: float, volume: float) -> Resistor:
        return Resistor("leak", "box", GROUND, q / (2 * math.pi * tuning * compliance(volume)))

    if name.startswith("closed"):
        return 0.025, []
    if name.startswith("vented"):
        mass = 1 / ((2 * math.pi * 32.0) ** 2 * compliance(0.055))
        return 0.055, [Inductor("port", "box", GROUND, mass), leak(7.0, 32.0, 0.055)]
    # passive: fp 15 Hz, delta 2.6, Qmp 8, QL 10 at fb = fp sqrt(1 + delta)
    soft = 2.6 * compliance(0.05)
    mass = 1 / ((2 * math.pi * 15.0) ** 2 * soft)
    radiator = Series("radiator", "box", GROUND, (
        Inductor("", "", "", mass), Capacitor("", "", "", soft),
        Resistor("", "", "", 2 * math.pi * 15.0 * mass / 8.0)))
    return 0.05, [radiator, leak(10.0, 15.0 * math.sqrt(3.6), 0.05)]


def solved(name: str):
    """Our network of a case at its frequencies."""
    volume, acoustic = branches(name)
    inductance = 1e-12 if name.endswith("_noLe") else 0.0009
    return Network((
        VoltageSource("v", "in", GROUND, 1.0),
        Series("coil", "in", "motor", (Resistor("", "", "", DRIVER.re),
                                       Inductor("", "", "", inductance))),
        Gyrator("bl", "motor", "force", DRIVER.bl),
        Series("cone", "force", "back", (
            Resistor("", "", "", DRIVER.rms), Inductor("", "", "", DRIVER.mms),
            Capacitor("", "", "", DRIVER.cms))),
        Transformer("sd", "back", "box", DRIVER.sd),
        Capacitor("air", "box", GROUND, volume / (AIR.density * AIR.speed**2)),
        *acoustic,
    )).solve(F)


CASES = ["closed_A", "vented_A", "vented_A_noLe", "passive_A", "passive_A_noLe"]


@pytest.mark.parametrize("name", CASES)
def test_kept_netlist(name, tmp_path):
    text = (NETLISTS / f"{name}.cir").read_text().replace("numdgt=12", "numdgt=16")
    text = text.replace("print real(i(V1))", "print real(i(Vsm)) imag(i(Vsm)) real(i(V1))")
    rounds = spice.run(text, tmp_path)
    ours = solved(name)
    assert len(rounds) == F.size
    assert np.allclose(ours.current("v"), -spice.column(rounds, "i(v1)"), rtol=SAME, atol=0)
    assert np.allclose(ours.voltage("box"), spice.column(rounds, "v(box)"), rtol=SAME, atol=0)
    assert np.allclose(ours.current("cone"), spice.column(rounds, "i(vsm)"), rtol=SAME, atol=0)


@pytest.mark.parametrize("name", IMPEDANCE)
def test_impedance_of_a_case(name):
    magnitude, degrees = IMPEDANCE[name]
    impedance = 1.0 / solved(name).current("v")
    assert list(np.abs(impedance)) == pytest.approx(magnitude, rel=2e-8)
    assert list(np.degrees(np.angle(impedance))) == pytest.approx(degrees, abs=2e-6)


@pytest.mark.parametrize("name", RESPONSE)
def test_response_of_a_case(name):
    # far level: the box air's current is the net volume velocity of cone, vent and leak
    omega = 2 * math.pi * F
    flow = omega * np.abs(solved(name).current("air"))
    asymptote = DRIVER.sd * DRIVER.bl / (DRIVER.re * DRIVER.mms)
    assert list(20 * np.log10(flow / asymptote)) == pytest.approx(RESPONSE[name], abs=2e-6)


def drawn(seed: int) -> dict:
    """A driver and box at random, as figures."""
    rng = np.random.default_rng(seed)

    def between(low: float, high: float) -> float:
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))

    def sometimes(low: float, high: float) -> float | None:
        return between(low, high) if rng.random() < 0.5 else None

    count = int(rng.integers(1, 4))
    vented = rng.random() < 0.6
    return {
        "re": between(2.5, 8), "bl": between(4, 25), "mms": between(0.01, 0.2),
        "cms": between(5e-5, 1e-3), "rms": between(0.5, 8), "sd": between(0.01, 0.12),
        "le": between(5e-5, 2e-3), "l2": sometimes(2e-4, 2e-3), "r2": between(1, 20),
        "count": count, "series": bool(rng.random() < 0.5), "source": between(0.02, 1.5),
        "capacitor": sometimes(1e-4, 2e-3), "volume": between(0.01, 0.3),
        "density": boxes.AIR.density, "speed": boxes.AIR.speed, "leak_q": sometimes(3, 30),
        "absorption_q": sometimes(3, 100), "port_area": between(0.002, 0.03) if vented else None,
        "port_length": between(0.05, 0.6), "port_loss": between(10, 500),
    }


def ours_of(box: dict):
    """The same figures as the bass stage takes them."""
    law = {"law": "plain", "le": box["le"]}
    if box["l2"] is not None:
        law = {"law": "l2r2", "le": box["le"], "l2": box["l2"], "r2": box["r2"]}
    guard = HighPass.model_construct(capacitor=box["capacitor"], order=None, frequency=None)
    return boxes.inputs(
        boxes.chamber(
            volume=box["volume"], source_resistance=box["source"],
            losses=Losses.model_construct(leak_q=box["leak_q"], absorption_q=box["absorption_q"],
                                          port_q=None),
            high_pass=guard if box["capacitor"] is not None else None,
        ),
        motor=MovingCoil(*(box[k] for k in ("re", "bl", "mms", "cms", "rms", "sd"))),
        count=box["count"], wiring="series" if box["series"] else "parallel",
        inductance=VoiceCoilInductance.model_construct(**law),
    )


def compare(seed: int, folder: Path) -> float:
    """Largest relative difference between ours and ngspice's, over 12 frequencies."""
    box = drawn(seed)
    inputs = ours_of(box)
    f = GRID[np.linspace(3, 200, 12).astype(int)]
    rounds = spice.run(
        spice.asked(spice.deck(box), f, ("i(V1)", "v(t0)", "i(Vair)", "i(Vsm0)")), folder)
    made = circuit(inputs)
    network = made.network
    if box["port_area"] is not None:
        network = network.plus(Series("lumped port", BOX, GROUND, (
            Inductor("", "", "", box["density"] * box["port_length"] / box["port_area"]),
            Resistor("", "", "", box["port_loss"]))))
    solution = network.solve(f)
    flow = solution.current(CONE) * equivalent(inputs).sd
    for name in ("box leak", "lumped port"):
        if name in solution.currents:
            flow = flow + solution.current(name)
    impedance = solution.voltage(TERMINALS) / solution.current(SOURCE)
    theirs = -spice.column(rounds, "v(t0)") / spice.column(rounds, "i(v1)")
    pairs = [
        (impedance, theirs),
        (flow, spice.column(rounds, "i(vair)")),
        (solution.current(CONE), spice.column(rounds, "i(vsm0)")),
    ]
    if box["port_area"] is None:
        pairs += _of_the_stage(inputs, rounds, box, f)
    return max(float(np.max(np.abs(a / b - 1.0))) for a, b in pairs)


def _of_the_stage(inputs, rounds, box, f):
    """The complete bass stage of a closed chamber: response, excursion, impedance."""
    at = np.searchsorted(GRID, f)
    curves = work_out(inputs, boxes.NEED).curves
    omega = 2 * math.pi * f
    pressure = 1j * omega * box["density"] * spice.column(rounds, "i(vair)") / (2 * math.pi)
    swing = math.sqrt(2) * np.abs(spice.column(rounds, "i(vsm0)")) / omega
    impedance = -spice.column(rounds, "v(t0)") / spice.column(rounds, "i(v1)")
    return [(curves.response.pressure[at], pressure), (curves.excursion[at], swing),
            (curves.impedance[at], impedance)]


FIXED = (11, 12, 17, 20, 33)
FRESH = secrets.randbelow(2**32)


@pytest.mark.parametrize("seed", FIXED)
def test_circuit_at_random(seed, tmp_path):
    assert compare(seed, tmp_path) < SAME


def test_fresh_circuit(tmp_path):
    off = compare(FRESH, tmp_path)
    assert off < SAME, f"seed {FRESH}: {json.dumps(drawn(FRESH))}"


def test_without_ngspice_it_is_skipped_but_not_where_ci_is_set(monkeypatch):
    monkeypatch.setattr(spice, "PROGRAM", None)
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception):
        spice.need_ngspice()
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception):
        spice.need_ngspice()


def test_the_fixed_ones_hold_every_kind():
    drawn_ones = [drawn(seed) for seed in FIXED]
    for name in ("l2", "capacitor", "leak_q", "absorption_q", "port_area"):
        assert {one[name] is None for one in drawn_ones} == {True, False}, name
    assert {one["series"] for one in drawn_ones if one["count"] > 1} == {True, False}


@pytest.mark.prove
def test_two_hundred_circuits(tmp_path):
    base = secrets.randbelow(2**31)
    worst = max((compare(base + k, tmp_path), base + k) for k in range(200))
    print(f"200 circuits from seed {base}: worst {worst[0]:.1e} at seed {worst[1]}")
    assert worst[0] < SAME

"""Every loading as a composition: each against algebra written out apart from the network."""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bass.boxes import AIR, NEED, WOOFER, inputs
from speakerwright.acoustics.dipoles import baffle_factor
from speakerwright.acoustics.ducts import two_port
from speakerwright.acoustics.horns import lossy_two_port as horn_chain
from speakerwright.acoustics.horns import mouth_load, throat_impedance
from speakerwright.acoustics.passive import response, tuning
from speakerwright.acoustics.profiles import exponential
from speakerwright.bass.inputs import PassiveFigures
from speakerwright.bass.loadings import CONE, SOURCE, circuit
from speakerwright.bass.stage import GRID, chamber, volume_velocity
from speakerwright.circuits.parts import Duct, OnePort
from speakerwright.design.file import read_project
from speakerwright.design.sections.bass import LOADINGS, BassChamber
from speakerwright.words.errors import DesignErrors

ROOT = Path(__file__).parents[2]
LOSSLESS = {"leak_q": None, "absorption_q": None, "port_q": None}
F = np.geomspace(15.0, 300.0, 40)
W = 2.0 * math.pi * F
DRONE = PassiveFigures("Drone", 0.0531, 0.15, 4e-4, 2.0, 1, 0.012)

PARTS = {
    "closed": {"volume": "60 L"},
    "vented": {"volume": "62 L",
               "port": {"bore": "100 mm", "count": 2, "centres": "150 mm", "tuning": "50 Hz"}},
    "passive-radiator": {"volume": "62 L", "passive": {"record": "drone", "added_mass": "100 g"}},
    "band-pass-4": {"volume": "40 L",
                    "front": {"volume": "30 L", "port_q": None,
                              "port": {"bore": "120 mm", "tuning": "70 Hz"}}},
    "band-pass-6": {"volume": "80 L", "port": {"bore": "100 mm", "tuning": "35 Hz"},
                    "front": {"volume": "30 L", "port_q": None,
                              "port": {"bore": "120 mm", "tuning": "80 Hz"}}},
    "transmission-line": {"line": {"length": "1.7 m", "area": "600 cm^2",
                                   "mouth_area": "400 cm^2", "driver_at": 0.2,
                                   "fill": {"flow_resistivity": 1000, "share": 0.5}}},
    "front-horn": {"volume": "40 L", "horn": {"throat_area": "250 cm^2", "length": "1.5 m",
                                              "mouth_area": "4000 cm^2", "volume": "2 L"}},
    "open-baffle": {"baffle": {"width": "500 mm", "height": "900 mm"}},
}


def loaded(loading: str, **changes):
    """The woofer in one of the loadings above, by default without losses by Q."""
    drone = DRONE if loading == "passive-radiator" else None
    section = {"loads": ["low"], "loading": loading, **PARTS[loading], **changes}
    section = {name: value for name, value in section.items() if value is not None}
    return inputs(BassChamber.model_validate(section), passive=drone)


def bare(loading: str, **changes):
    return loaded(loading, losses=BassChamber.model_fields["losses"].annotation.model_construct(
        **LOSSLESS), **changes)


def solved(given_, frequency=F):
    made = circuit(given_)
    return made, made.network.solve(frequency)


def cone_by_hand(load):
    """Cone velocity for 1 V with an acoustic impedance (Pa s/m³) on the cone: Newton and Ohm."""
    mechanical = WOOFER.rms + 1j * W * WOOFER.mms + 1.0 / (1j * W * WOOFER.cms)
    return (WOOFER.bl / WOOFER.re) / (
        WOOFER.bl**2 / WOOFER.re + mechanical + WOOFER.sd**2 * load)


def air_spring(volume):
    return AIR.density * AIR.speed**2 / (1j * W * volume)


def port_by_hand(port):
    """What a volume sees of a port: inner end, tube, outer end with its radiation."""
    area = port.area * port.count
    radiated = AIR.density * W**2 / (2.0 * math.pi * AIR.speed)
    outer = 1j * W * AIR.density * port.outer_end / area + radiated
    chain = two_port(F, port.area, port.perimeter, port.length, AIR)
    a, b = chain[:, 0, 0], chain[:, 0, 1] / port.count
    c, d = chain[:, 1, 0] * port.count, chain[:, 1, 1]
    seen = (a * outer + b) / (c * outer + d)
    return 1j * W * AIR.density * port.inner_end / area + seen, 1.0 / (c * outer + d)


def beside(*loads):
    return 1.0 / sum(1.0 / load for load in loads)


def test_every_loading_has_its_case_here():
    assert set(PARTS) == set(LOADINGS)


@pytest.mark.parametrize("loading", LOADINGS)
def test_power_goes_somewhere_in_every_loading(loading):
    """What the amplifier gives, resistances and radiation take: energy is kept."""
    made, solution = solved(loaded(loading))
    power = (solution.current(SOURCE).conj() * 1.0).real
    assert np.all(power > 0)
    taken = np.zeros(F.shape)
    for part in made.network.parts:
        current = solution.current(part.name) if part.name in solution.currents else None
        if isinstance(part, OnePort):
            across = solution.voltage(part.a) - solution.voltage(part.b)
            used = (across * current.conj()).real
        elif isinstance(part, Duct):
            chain = part.matrix(F)
            left = solution.voltage(part.a)
            out = current * chain[:, 0, 0] - chain[:, 1, 0] * left
            used = (left * current.conj()).real - (solution.voltage(part.b) * out.conj()).real
        else:
            continue
        assert np.all(used > -1e-9 * power), part.name
        taken += used
    assert np.allclose(taken, power, rtol=1e-9)


@pytest.mark.parametrize("loading", LOADINGS)
def test_every_loading_has_curves_and_findings(loading):
    found = chamber(loaded(loading), NEED)
    assert np.all(np.isfinite(found.curves.level_db))
    assert found.resonance > 0
    assert {f.rule for f in found.findings} >= {"bass_reaches_lowest", "level_excursion"}
    assert set(found.curves.speeds) == {opening.name for opening in found.circuit.openings}


def test_a_passive_radiator_is_small_1974s_and_tunes_where_it_says():
    given_ = bare("passive-radiator")
    made = circuit(given_)
    volume, drone = 0.062, DRONE
    assert made.resonance == pytest.approx(
        tuning(volume, drone.sd, drone.mass + 0.0, drone.cms, AIR), rel=1e-12)
    solution = made.network.solve(F)
    stiffness = AIR.density * AIR.speed**2
    ratio = stiffness * WOOFER.sd**2 * WOOFER.cms / volume
    theirs = stiffness * drone.sd**2 * drone.cms / volume
    own = 1.0 / (2.0 * math.pi * math.sqrt(drone.mass * drone.cms))
    book = response(F, fs=WOOFER.fs, qts=WOOFER.qts, compliance_ratio=ratio,
                    radiator_resonance=own, radiator_ratio=theirs,
                    radiator_q=2.0 * math.pi * own * drone.mass / drone.rms)
    ours = volume_velocity(solution, made) * 1j * W
    flat = WOOFER.sd * WOOFER.bl / (WOOFER.re * WOOFER.mms)
    assert np.allclose(np.abs(ours) / flat, np.abs(book), rtol=1e-9)


def test_the_tuning_of_a_passive_radiator_falls_with_added_mass():
    light, heavy = (circuit(inputs(bare("passive-radiator").chamber, passive=PassiveFigures(
        "Drone", 0.0531, mass, 4e-4, 2.0, 1, None))).resonance for mass in (0.15, 0.25))
    assert heavy == pytest.approx(light * math.sqrt(0.15 / 0.25), rel=1e-12)


@pytest.mark.parametrize("loading", ["band-pass-4", "band-pass-6"])
def test_a_band_pass_by_hand(loading):
    made, solution = solved(bare(loading))
    front, through_front = port_by_hand(made.ports["front.port"])
    before = beside(air_spring(0.030), front)
    behind = air_spring(0.040 if loading == "band-pass-4" else 0.080)
    rear, through_rear = None, None
    if loading == "band-pass-6":
        rear, through_rear = port_by_hand(made.ports["port"])
        behind = beside(behind, rear)
    cone = cone_by_hand(before + behind)
    assert np.allclose(solution.current(CONE), cone, rtol=1e-9)
    net = cone * WOOFER.sd * before / front * through_front
    if rear is not None:
        net = net - cone * WOOFER.sd * behind / rear * through_rear
    assert np.allclose(volume_velocity(solution, made), net, rtol=1e-9)


def test_a_band_pass_falls_on_both_sides():
    found = chamber(loaded("band-pass-4"), NEED)
    low, top, high = (float(np.interp(math.log(f), np.log(GRID), found.curves.level_db))
                      for f in (20.0, 65.0, 250.0))
    assert top - low > 15
    assert top - high > 15
    assert abs(found.curves.asymptote_db - np.max(found.curves.level_db)) < 0.1


def test_an_even_line_by_hand():
    given_ = loaded("transmission-line", line={"length": "2 m", "area": "500 cm^2",
                                               "mouth_area": "500 cm^2"})
    made, solution = solved(given_)
    chain = two_port(F, 0.05, 2 * math.sqrt(math.pi * 0.05), 2.0, AIR)
    load = mouth_load(F, 0.05, AIR)
    seen = throat_impedance(chain, load)
    cone = cone_by_hand(seen)
    assert np.allclose(solution.current(CONE), cone, rtol=2e-6)
    out = -cone * WOOFER.sd / (chain[:, 1, 0] * load + chain[:, 1, 1])
    assert np.allclose(solution.current("mouth"), out, rtol=2e-6)
    end = 8.0 / (3.0 * math.pi) * math.sqrt(0.05 / math.pi)
    assert made.resonance == pytest.approx(AIR.speed / (4 * (2.0 + end)), rel=0.005)


def test_a_driver_further_along_leaves_out_the_third_quarter_wave():
    """At a third of the way the line's next mode (three quarter waves) has its pressure node."""
    def heard(at):
        _, solution = solved(loaded("transmission-line", line={
            "length": "2 m", "area": "500 cm^2", "mouth_area": "500 cm^2", "driver_at": at}), fine)
        return np.abs(solution.current("mouth") / solution.current(CONE))

    fine = np.linspace(90.0, 140.0, 501)
    ends, third = heard(0.0), heard(1.0 / 3.0)
    assert np.max(third) < 0.2 * np.max(ends)


def test_fill_calms_a_line_and_slows_it():
    line = {"length": "2 m", "area": "500 cm^2", "mouth_area": "500 cm^2"}
    fine = np.geomspace(15.0, 300.0, 2001)
    levels = []
    for fill in (None, {"flow_resistivity": 2000, "share": 1.0}):
        section = line if fill is None else {**line, "fill": fill}
        _, solution = solved(loaded("transmission-line", line=section), fine)
        levels.append(np.abs(solution.current("mouth") / solution.current(CONE)) / WOOFER.sd)
    assert np.max(levels[1]) < 0.2 * np.max(levels[0])
    assert fine[np.argmax(levels[1])] < fine[np.argmax(levels[0])]


def test_a_horn_by_hand():
    made, solution = solved(bare("front-horn"))
    profile = exponential(0.025, 0.4, 1.5)
    mouth = 2 * math.sqrt(math.pi * 0.025)
    chain = horn_chain(F, profile, (mouth, mouth * 4.0), AIR)
    seen = throat_impedance(chain, mouth_load(F, 0.4, AIR))
    cone = cone_by_hand(beside(air_spring(0.002), seen) + air_spring(0.040))
    assert np.allclose(solution.current(CONE), cone, rtol=1e-9)
    cutoff = AIR.speed * math.log(0.4 / 0.025) / 1.5 / (4 * math.pi)
    assert made.resonance == pytest.approx(cutoff, rel=1e-12)


def test_an_open_baffle_is_the_free_driver_times_its_dipole():
    found = chamber(loaded("open-baffle"), NEED)
    omega = 2 * math.pi * GRID
    mechanical = WOOFER.rms + 1j * omega * WOOFER.mms + 1.0 / (1j * omega * WOOFER.cms)
    cone = (WOOFER.bl / WOOFER.re) / (WOOFER.bl**2 / WOOFER.re + mechanical)
    plane = AIR.density * omega * WOOFER.sd * np.abs(cone) / (2 * math.pi)
    factor = np.abs(baffle_factor(GRID, 0.5, 0.9, 0.25, 0.45, AIR))
    assert np.allclose(found.curves.level_db, 20 * np.log10(plane * factor / 2e-5), atol=1e-9)


def test_fill_in_a_box_lowers_its_resonance():
    def top(fill):
        _, solution = solved(bare("closed", fill=fill), np.geomspace(40, 120, 801))
        ohms = np.abs(1.0 / solution.current(SOURCE))
        return solution.frequency[np.argmax(ohms)]

    free, filled = top(None), top({"flow_resistivity": 3000, "share": 0.9})
    assert 0.9 < filled / free < 0.97


@given(
    volume=st.floats(0.01, 0.2), front=st.floats(0.01, 0.1), tune=st.floats(35, 110),
    count=st.integers(1, 2),
)
@settings(max_examples=25, deadline=None)
def test_no_box_gives_more_power_than_it_takes(volume, front, tune, count):
    given_ = loaded("band-pass-4", volume=f"{volume * 1e3} L", front={
        "volume": f"{front * 1e3} L", "port": {"bore": "100 mm", "tuning": f"{tune} Hz"}})
    made = circuit(inputs(given_.chamber, count=count))
    solution = made.network.solve(F)
    flow = volume_velocity(solution, made)
    radiated = AIR.density * W**2 * np.abs(flow) ** 2 / (2 * math.pi * AIR.speed)
    assert np.all(radiated < solution.current(SOURCE).real)


@pytest.fixture(scope="module")
def design():
    return read_project(ROOT / "examples" / "harbour-hall").design


@pytest.mark.parametrize(("changes", "says"), [
    ({"bass.main.loading": "band-pass-4", "bass.main.port": None}, "a band pass 4 chamber has no"),
    ({"bass.main.loading": "transmission-line", "bass.main.port": None,
      "bass.main.volume": None}, "a transmission line has no line"),
    ({"bass.main.loading": "front-horn", "bass.main.port": None}, "a front horn has no horn"),
    ({"bass.main.loading": "open-baffle", "bass.main.port": None}, "an open baffle has no baffle"),
    ({"bass.main.loading": "passive-radiator", "bass.main.port": None}, "has no passive radiator"),
    ({"bass.main.volume": None}, "a vented chamber has no volume"),
    ({"bass.main.horn": PARTS["front-horn"]["horn"]}, "a vented chamber has a horn"),
    ({"bass.main.loading": "passive-radiator", "bass.main.port": None,
      "bass.main.passive": {"record": "moorhoot-12"}},
     "is a driver, not a passive radiator"),
    ({"bass.main.loading": "passive-radiator", "bass.main.port": None,
      "bass.main.passive": {"record": "nobody"}}, "there is no record 'nobody'"),
])
def test_a_loading_that_does_not_fit_its_parts_is_refused_in_words(design, changes, says):
    with pytest.raises(DesignErrors) as wrong:
        design.with_values(changes)
    assert says in " ".join(str(error) for error in wrong.value.errors)

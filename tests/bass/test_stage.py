"""The worked-out chamber: curves of known systems, cutoffs, Q, and what follows when it changes."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bass.boxes import AIR, LOSSLESS, NEED, TWO_PORTS, WOOFER, chamber, inputs, vented
from speakerwright.acoustics.alignments import closed_response_db, closed_system
from speakerwright.bass.stage import GRID
from speakerwright.bass.stage import chamber as work_out
from speakerwright.circuits.filters import high_pass
from speakerwright.design.sections.bass import HighPass, Losses

VAS = WOOFER.vas(AIR)
GUARD = HighPass.model_construct(order=2, frequency=40.0, shape="butterworth")


@pytest.fixture(scope="module")
def closed():
    return work_out(inputs(), NEED)


def test_a_closed_box_is_smalls(closed):
    known = closed_system(WOOFER.fs, WOOFER.qts, VAS, 0.062)
    assert closed.resonance == pytest.approx(known.fc, rel=1e-9)
    assert closed.qtc == pytest.approx(known.qtc, rel=1e-9)
    assert closed.alpha == pytest.approx(known.alpha, rel=1e-9)
    relative = closed.curves.level_db - closed.curves.asymptote_db
    expected = closed_response_db(GRID, known.fc, known.qtc)
    assert np.allclose(relative, expected, atol=1e-9)
    assert closed.cutoffs["f3"] == pytest.approx(known.f3, rel=2e-4)
    assert closed.tuning_ratio == closed.resonance / closed.driver.fs
    assert closed.port is None


def test_level_of_one_volt_far_above_resonance(closed):
    # Small 1972 with the small source p = rho Sd a / (Omega r), elementary
    acceleration = WOOFER.bl / (WOOFER.re * WOOFER.mms)
    pressure = AIR.density * WOOFER.sd * acceleration / (2 * math.pi)
    level = 20 * math.log10(pressure / 20e-6)
    assert closed.curves.asymptote_db == pytest.approx(level, abs=1e-9)
    # the sensitivity of the same driver by its efficiency, less the 9.04 dB of 2.83 V
    known = WOOFER.sensitivity_2v83_db(AIR) - 20 * math.log10(2.83)
    assert closed.curves.asymptote_db == pytest.approx(known, abs=1e-6)
    fed = work_out(inputs(chamber(source_resistance=1.0)), NEED)
    drop = 20 * math.log10(5.3 / 6.3)
    assert fed.curves.asymptote_db - level == pytest.approx(drop, abs=1e-9)
    free = work_out(inputs(solid_angle=4 * math.pi), NEED)
    assert free.curves.level_db - closed.curves.level_db == pytest.approx(-6.0206, abs=1e-4)


@pytest.mark.parametrize(("leak", "absorption"), [(None, None), (7.0, None), (7.0, 20.0)])
def test_q_of_a_closed_box_with_losses(leak, absorption):
    """Qtc by energy: every loss's share at resonance; the curve's height at fc says the same."""
    box = chamber(losses=Losses.model_construct(leak_q=leak, absorption_q=absorption, port_q=None),
                  source_resistance=0.5)
    found = work_out(inputs(box), NEED)
    rise = math.sqrt(1 + VAS / 0.062)
    qes = WOOFER.qes * 5.8 / 5.3 * rise
    qms = WOOFER.qms * rise
    stiff = VAS / 0.062 / (1 + VAS / 0.062)
    loss = 1 / qes + 1 / qms + sum(stiff / q for q in (leak, absorption) if q)
    assert found.qtc == pytest.approx(1 / loss, rel=1e-9)
    network = found.network.solve(np.array([found.resonance]))
    cone = abs(network.current("cone")[0])
    mass_only = WOOFER.bl / (5.8 * 2 * math.pi * found.resonance * WOOFER.mms)
    assert cone / mass_only == pytest.approx(found.qtc, rel=0.01)


def test_group_delay_of_a_closed_box(closed):
    """Of s²/(s² + s w/Q + w²): the slope of its phase, elementary."""
    w0, q = 2 * math.pi * closed.resonance, closed.qtc
    w = 2 * math.pi * GRID
    b = w0 / q
    delay = b * (w0**2 + w**2) / ((w0**2 - w**2) ** 2 + (b * w) ** 2)
    inside = slice(1, -1)
    assert np.allclose(closed.curves.group_delay[inside], delay[inside], rtol=2e-3, atol=2e-6)
    phase = np.degrees(np.angle(-(w**2) / (w0**2 - w**2 + 1j * w * b)))
    turns = (closed.curves.phase_deg - phase) / 360.0
    assert np.allclose(turns, np.round(turns), atol=1e-9)


def test_impedance_and_power_at_the_resonance(closed):
    k = int(np.argmin(np.abs(GRID - closed.resonance)))
    peak = abs(closed.curves.impedance[k])
    highest = 5.3 + 15.2**2 / 2.8
    assert peak == pytest.approx(highest, rel=0.02)
    network = closed.network.solve(np.array([closed.resonance]))
    assert 1 / network.current("amplifier")[0] == pytest.approx(highest, rel=1e-9)
    # heat in the coil and in the suspension: the power taken, for a volt
    current = 1 / np.abs(closed.curves.impedance)
    velocity = closed.curves.excursion * 2 * math.pi * GRID / math.sqrt(2)
    assert np.allclose(closed.curves.power, 5.3 * current**2 + 2.8 * velocity**2, rtol=1e-9)


def test_excursion_of_a_stiff_system_at_low_frequency(closed):
    stiffness = 1 / WOOFER.cms + AIR.density * AIR.speed**2 * WOOFER.sd**2 / 0.062
    slow = math.sqrt(2) * WOOFER.bl / WOOFER.re / stiffness
    x = GRID[0] / closed.resonance
    raised = slow / math.hypot(1 - x**2, x / closed.qtc)
    assert closed.curves.excursion[0] == pytest.approx(raised, rel=1e-9)


@pytest.mark.parametrize("make", [inputs, vented])
def test_an_active_filter_multiplies_what_it_stands_before(make):
    bare = work_out(make(), NEED)
    box = bare.inputs.chamber.model_copy(update={"high_pass": GUARD})
    guarded = work_out(replace(make(), chamber=box), NEED)
    gain = high_pass(GRID, 40.0, 2)
    one, other = bare.curves, guarded.curves
    assert np.allclose(other.response.pressure, one.response.pressure * gain, rtol=1e-12)
    assert np.allclose(other.excursion, one.excursion * np.abs(gain), rtol=1e-12)
    assert np.allclose(other.power, one.power * np.abs(gain) ** 2, rtol=1e-12)
    assert np.allclose(other.filter_db, 20 * np.log10(np.abs(gain)), atol=1e-12)
    assert np.allclose(other.unfiltered_db, one.level_db, atol=1e-12)
    assert np.array_equal(other.impedance, one.impedance)
    # the voltages count behind the filter, so the limits stay
    assert np.array_equal(guarded.limits.level_db, bare.limits.level_db)
    assert guarded.cutoffs["f3 without filter"] == bare.cutoffs["f3"]
    assert guarded.cutoffs["f6 without filter"] == bare.cutoffs["f6"]
    assert guarded.cutoffs["f3"] > bare.cutoffs["f3"]


def test_a_series_capacitor_acts_on_the_real_impedance_an_active_filter_does_not():
    guard = HighPass.model_construct(capacitor=6e-4, order=None, frequency=None)
    found = work_out(inputs(chamber(high_pass=guard)), NEED)
    bare = work_out(inputs(), NEED)
    assert np.all(found.curves.filter_db == 0.0)
    change = found.curves.level_db - bare.curves.level_db
    corner = 1 / (2 * math.pi * 5.3 * 6e-4)  # what a first-order filter on 5.3 ohm would do
    first = 20 * np.log10(np.abs(high_pass(GRID, corner, 1)))
    assert np.max(np.abs(change - first)) > 3.0
    speaker, reactance = bare.curves.impedance, 1 / (2j * math.pi * GRID * 6e-4)
    assert np.allclose(change, 20 * np.log10(np.abs(speaker / (speaker + reactance))), atol=1e-9)
    assert np.allclose(found.curves.impedance, speaker + reactance, rtol=1e-9)


def test_port_speed_and_ports_figures():
    found = work_out(vented(), NEED)
    assert found.port is not None
    assert found.tuning_ratio == pytest.approx(50.0 / WOOFER.fs, rel=1e-12)
    assert found.resonance == 50.0
    assert found.qtc is None
    solution = found.network.solve(GRID)
    flow = np.maximum(np.abs(solution.current("port")),
                      np.abs(solution.current("port outer end")))
    area = 2 * math.pi * 0.05**2
    assert np.allclose(found.curves.speeds["port"], math.sqrt(2) * flow / area, rtol=1e-12)


def test_cutoffs_are_those_of_a_fine_grid():
    found = work_out(vented(), NEED)
    fine = np.geomspace(30.0, 80.0, 4001)
    solution = found.network.solve(fine)
    flow = solution.current("cone") * WOOFER.sd + solution.current("port outer end")
    flow = flow + solution.current("box leak")
    per_volt = WOOFER.sd * WOOFER.bl / (WOOFER.re * WOOFER.mms)
    level = 20 * np.log10(np.abs(2 * math.pi * fine * flow) / per_volt)
    for name, drop in (("f3", -3.0103), ("f6", -6.0206), ("f10", -10.0)):
        exact = fine[np.argmax(level >= drop)]
        assert found.cutoffs[name] == pytest.approx(exact, rel=5e-4), name


def test_a_cutoff_that_lies_outside_the_grid_is_none():
    tiny = work_out(inputs(chamber(volume=1e-6)), NEED)
    assert tiny.cutoffs["f3"] is None


@given(volume=st.floats(0.02, 0.15), more=st.floats(1.05, 2.0))
@settings(max_examples=25, deadline=None)
def test_more_volume_reaches_lower(volume, more):
    small = work_out(inputs(chamber(volume=volume)), NEED)
    large = work_out(inputs(chamber(volume=volume * more)), NEED)
    assert large.resonance < small.resonance
    assert large.qtc < small.qtc
    low = 20.0  # well below both: the response there rises with volume
    k = int(np.argmin(np.abs(GRID - low)))
    assert large.curves.level_db[k] > small.curves.level_db[k]
    if small.qtc > 0.75:
        assert large.cutoffs["f6"] < small.cutoffs["f6"]


@given(resistance=st.floats(0.05, 3.0))
@settings(max_examples=15, deadline=None)
def test_a_source_resistance_costs_level_and_raises_q(resistance):
    fed = work_out(inputs(chamber(source_resistance=resistance)), NEED)
    bare = work_out(inputs(), NEED)
    assert fed.qtc > bare.qtc
    assert fed.curves.level_db[-1] < bare.curves.level_db[-1]
    assert np.allclose(fed.curves.impedance, bare.curves.impedance, rtol=1e-9)


def test_the_response_is_said_to_hold_while_the_cone_is_small():
    found = work_out(inputs(), NEED)
    assert found.curves.response.valid[1] == pytest.approx(
        AIR.speed / (2 * math.pi * math.sqrt(0.0531 / math.pi)), rel=1e-9)
    assert found.curves.response.source == "circuit of Moorhoot 12 in main"
    assert np.array_equal(found.curves.response.frequency, GRID)


def test_polarity_and_phase_far_above_resonance():
    found = work_out(inputs(), NEED)
    assert abs(np.angle(found.curves.response.pressure[-1])) < 0.4
    assert found.curves.response.pressure[-1].real > 0  # outward for a positive voltage


def test_loss_makes_a_vented_box_quieter_at_its_tuning():
    k = int(np.argmin(np.abs(GRID - 50.0)))
    lossy = work_out(vented(), NEED).curves.level_db[k]
    clean = work_out(vented(LOSSLESS), NEED).curves.level_db[k]
    assert 0.5 < clean - lossy < 3.0
    assert TWO_PORTS.count == 2

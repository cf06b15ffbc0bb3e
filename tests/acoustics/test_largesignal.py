"""The motion in time against the frequency domain, against energy, and against small distortion."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad, simpson

from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.largesignal import compiled
from speakerwright.acoustics.largesignal.curves import (
    Nonlinear,
    assumed_force_factor,
    assumed_stiffness,
    constant,
    polynomial,
    table,
)
from speakerwright.acoustics.largesignal.energy import (
    lost_power,
    sound_pressure,
    stored_energy,
    taken_power,
)
from speakerwright.acoustics.largesignal.model import (
    AirBox,
    Creep,
    Inductance,
    LargeSignal,
    Outlet,
    coil_current,
    rates,
    volume_velocity,
)
from speakerwright.acoustics.largesignal.motion import Diverged, march, simulate, upsampled
from speakerwright.acoustics.largesignal.tones import steady_tone
from speakerwright.acoustics.movingcoil import MovingCoil
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Gyrator,
    Inductor,
    Parallel,
    Resistor,
    Series,
    Transformer,
    VoltageSource,
)

WOOFER = MovingCoil(re=5.3, bl=15.2, mms=0.050, cms=0.0002, rms=2.8, sd=0.0531)  # invented
COMPLIANCE = 0.062 / (1.2 * 343.0**2)
TUNED = 2.0 * math.pi * 50.0
LOSSY = AirBox(COMPLIANCE, leak=TUNED * COMPLIANCE / 7.0, absorption=0.02 / (TUNED * COMPLIANCE))
COIL = Inductance(0.0006, 0.0009, 6.0)
PORT = Outlet(1.0 / (TUNED**2 * COMPLIANCE), 1.0 / (60.0 * TUNED * COMPLIANCE), 3600.0)
STILL = replace(PORT, loss=0.0)
DRONE = replace(STILL, compliance=3e-7)
CURVES = Nonlinear(
    polynomial([1.0, 5.0, -3000.0], -0.015, 0.015),
    polynomial([1.0, -10.0, 4000.0], -0.015, 0.015),
    polynomial([1.0, -30.0, 200.0], -0.015, 0.015),
)
EVERYTHING = LargeSignal(WOOFER, LOSSY, COIL, replace(PORT, compliance=1e-6), CURVES, 0.2, 1e-3,
                         Creep(0.1, 50.0))


def network(model: LargeSignal) -> Network:
    """The same parts in the frequency domain, for 1 V; the cone pushes the box's air outward."""
    coil, box, out, part = model.coil, model.box, model.outlet, model.inductance
    yielding = tuple(
        Series("", "", "", (Capacitor("", "", "", model.creep_compliance),
                            Resistor("", "", "", 1.0 / (rate * model.creep_compliance))))
        for rate in model.creep_rates
    )
    spring = Parallel("", "", "", (Capacitor("", "", "", model.compliance), *yielding))
    mesh = [Resistor("", "", "", model.resistance)]
    if math.isfinite(model.series_capacitor):
        mesh.append(Capacitor("", "", "", model.series_capacitor))
    if part.le:
        mesh.append(Inductor("", "", "", part.le))
    if part.l2:
        mesh.append(Parallel("", "", "", (Inductor("", "", "", part.l2),
                                          Resistor("", "", "", part.r2))))
    parts = [
        VoltageSource("source", "top", GROUND, 1.0), Series("coil", "top", "motor", tuple(mesh)),
        Gyrator("bl", "motor", "force", coil.bl),
        Series("cone", "force", "push", (Inductor("", "", "", coil.mms),
                                         Resistor("", "", "", coil.rms), spring)),
        Transformer("sd", "push", GROUND, coil.sd, "box"),
        Series("air", "box", GROUND, (Capacitor("", "", "", box.compliance),
                                      Resistor("", "", "", box.absorption + 1e-9))),
    ]
    if box.leak:
        parts.append(Resistor("leak", "box", GROUND, 1.0 / box.leak))
    if out is not None:
        hold = () if math.isinf(out.compliance) else (Capacitor("", "", "", out.compliance),)
        parts.append(Series("port", "box", GROUND, (
            Inductor("", "", "", out.mass), Resistor("", "", "", out.resistance), *hold)))
    return Network(tuple(parts))


@pytest.mark.parametrize("model", [
    LargeSignal(WOOFER, AirBox(COMPLIANCE)),
    LargeSignal(WOOFER, LOSSY, Inductance(0.0006), source_resistance=0.5),
    LargeSignal(WOOFER, LOSSY, COIL, STILL),
    LargeSignal(WOOFER, LOSSY, Inductance(0.0, 0.0009, 6.0), DRONE, series_capacitor=5e-4),
    LargeSignal(WOOFER, AirBox(COMPLIANCE), COIL, STILL, creep=Creep(0.15, 600.0)),
], ids=["closed", "lossy", "vented", "drone and capacitor", "creep"])
@pytest.mark.parametrize("frequency", [12.0, 37.0, 50.0, 160.0, 500.0])
def test_without_curves_it_is_the_circuit(model, frequency):
    solved = network(model).solve(np.array([frequency]))
    tone = steady_tone(model, frequency, 2.0)
    outward = solved.current("cone") * model.coil.sd
    for name in {"port", "leak"} & set(solved.currents):
        outward = outward + solved.current(name)
    moved = solved.current("cone") / (2j * math.pi * frequency)
    root = 2.0 * math.sqrt(2.0)
    # 0.001 dB; the circuit's phase counts from the voltage, as the tone's does
    assert tone.volume_velocity[1] == pytest.approx(root * outward[0], rel=1e-4)
    assert tone.displacement[1] == pytest.approx(root * moved[0], rel=1e-4)
    assert tone.current[1] == pytest.approx(root * solved.current("coil")[0], rel=1e-4)
    assert tone.settled
    assert not tone.beyond
    assert tone.peak == pytest.approx(root * abs(moved[0]), rel=2e-3)
    assert tone.total() < 1e-5


def test_creep_follows_its_law_inside_its_decades():
    made, cms = Creep(0.1, 40.0), 5e-4
    instant = made.instant(cms)
    for frequency in np.geomspace(0.4, 40.0, 9):
        branches = np.sum(1.0 / (1.0 + 2j * math.pi * frequency / made.rates))
        found = (instant * (1.0 + made.per_decade * branches)).real
        # the law's slope counts from C at the resonance, the branches' from what cannot creep
        law = cms - made.per_decade * instant * math.log10(frequency / 40.0)
        assert found == pytest.approx(law, rel=0.007)


def test_the_compiled_loop_is_the_plain_one():
    time = np.arange(300) / 48000.0
    volts = 30.0 * np.sin(2 * math.pi * 37 * time) + 20.0 * np.sin(2 * math.pi * 900 * time)
    for model in (EVERYTHING, LargeSignal(WOOFER, LOSSY, shapes=CURVES)):
        fast, plain = simulate(model, volts), simulate(model, volts, compiled=False)
        size = np.max(np.abs(plain.states), axis=1, keepdims=True)
        assert np.max(np.abs(fast.states - plain.states) / np.where(size > 0, size, 1)) < 1e-12
    assert np.array_equal(fast.volts, volts)
    assert not fast.states.flags.writeable


def test_beyond_the_curves_both_loops_hold_them():
    volts = np.full(400, 120.0)
    model = LargeSignal(WOOFER, LOSSY, COIL, shapes=Nonlinear(*(
        polynomial([1.0, 20.0, 3000.0], -0.004, 0.003) for _ in range(3))))
    fast, plain = simulate(model, volts), simulate(model, volts, compiled=False)
    assert fast.displacement.max() > 0.006
    assert np.allclose(fast.states[2], plain.states[2], rtol=1e-9, atol=1e-12)


def test_what_was_compiled_need_not_be_kept(monkeypatch):
    from numba.core import caching

    def refused(self):
        raise OSError("read-only")

    monkeypatch.setattr(caching._CacheLocator, "ensure_cache_path", refused)
    assert compiled._compiled(lambda x: 2 * x)(3) == 6


def test_energy_in_is_energy_lost_and_stored():
    rate, rng = 96000.0, np.random.default_rng(4)
    lines = rng.uniform(20.0, 150.0, 12)
    time = np.arange(int(0.25 * rate)) / rate
    volts = 16.0 * sum(np.sin(2 * math.pi * f * time + rng.uniform(0, 6)) for f in lines)
    volts = volts * np.sin(np.pi * time / time[-1])
    motion = simulate(EVERYTHING, volts, rate)
    assert np.max(np.abs(motion.displacement)) > 0.008
    given = simpson(taken_power(EVERYTHING, motion.states, volts), dx=1 / rate)
    losses = {name: simpson(power, dx=1 / rate)
              for name, power in lost_power(EVERYTHING, motion.states, volts).items()}
    stored = stored_energy(EVERYTHING, motion.states)
    assert stored[0] == 0.0
    assert sum(losses.values()) + stored[-1] == pytest.approx(given, rel=1e-5)
    assert all(loss > 2e-4 * given for loss in losses.values())  # none is too small to count


def test_at_every_moment_what_is_given_is_lost_or_stored():
    # The change of the stored energy along the motion, by difference, at states of any kind.
    rng, size = np.random.default_rng(8), EVERYTHING.size
    scale = np.array([3.0, 2.0, 4e-3, 1.0, 300.0, 0.02, 1e-4, 5.0, *([5e-4] * (size - 8))])
    states = scale[:, None] * rng.normal(0.0, 1.0, (size, 40))
    volts = rng.normal(0.0, 20.0, 40)
    along = rates(EVERYTHING, states, volts)
    step = 1e-8
    gained = (stored_energy(EVERYTHING, states + step * along)
              - stored_energy(EVERYTHING, states - step * along)) / (2 * step)
    spent = sum(lost_power(EVERYTHING, states, volts).values())
    given = taken_power(EVERYTHING, states, volts)
    assert np.allclose(gained, given - spent, rtol=1e-5, atol=1e-5 * np.max(np.abs(given)))
    for k in range(size):  # each store by itself, where only it holds anything
        alone = np.zeros((size, 1))
        alone[k] = scale[k]
        along = rates(EVERYTHING, alone, 0.0)
        other = stored_energy(EVERYTHING, alone + 1e-9 * along) - stored_energy(
            EVERYTHING, alone - 1e-9 * along)
        lost = sum(lost_power(EVERYTHING, alone, 0.0).values())
        assert stored_energy(EVERYTHING, alone)[0] > 0.0
        assert other[0] / 2e-9 == pytest.approx(-lost[0], rel=2e-4, abs=1e-7)


def test_the_reluctance_force_does_the_fields_work():
    # With the coil short of its motor force, all that moves the cone is the changing inductance.
    weak = replace(WOOFER, bl=1e-9)
    model = LargeSignal(weak, AirBox(COMPLIANCE), Inductance(0.02), shapes=Nonlinear(
        constant(), constant(), polynomial([1.0, -60.0], -0.01, 0.01)))
    time = np.arange(9600) / 48000.0
    volts = 80.0 * np.sin(2 * math.pi * 25 * time) ** 2
    motion = simulate(model, volts)
    lost = lost_power(model, motion.states, volts)
    gone = simpson(sum(lost.values()), dx=1 / 48000) + stored_energy(model, motion.states)[-1]
    assert gone == pytest.approx(
        simpson(taken_power(model, motion.states, volts), dx=1 / 48000), rel=1e-6)
    assert -0.009 < motion.displacement.min() < -5e-4  # drawn inward, to more inductance


def test_step_halved_error_a_sixteenth():
    def end(steps):
        halves = 40.0 * np.sin(2 * math.pi * 60 * np.linspace(0, 0.02, 2 * steps + 1))
        return march(LargeSignal(WOOFER, LOSSY, Inductance(0.003), STILL, replace(
            CURVES, le=constant())), halves, 0.02 / steps)[:7, -1]

    true = end(16000)
    errors = [np.linalg.norm((end(n) - true) / np.abs(true).clip(1e-9)) for n in (250, 500, 1000)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert np.all(np.abs(orders - 4.0) < 0.25)


@pytest.mark.parametrize("factor", [2, 4, 6])
def test_between_samples_a_tone_stays_a_tone(factor):
    for frequency in (100.0, 5000.0, 20000.0):
        tone = np.sin(2 * math.pi * frequency * np.arange(400) / 48000.0)
        fine = upsampled(tone, factor)
        true = np.sin(2 * math.pi * frequency * np.arange(fine.size) / factor / 48000.0)
        middle = slice(40 * factor, -40 * factor)
        assert np.max(np.abs(fine - true)[middle]) < 5e-6
        assert np.array_equal(fine[::factor], tone)
    line = np.interp(np.arange(200) + 0.5, np.arange(400), np.sin(2 * math.pi * np.arange(400) * 5
                                                                  / 48))
    assert np.max(np.abs(line)) < 0.96  # what a straight line would make of 5 kHz


def test_stiff_coils_take_shorter_steps():
    tweeter = LargeSignal(replace(WOOFER, mms=0.0005), AirBox(1e-9), Inductance(0.00002, 1e-5, 9.0))
    volts = np.sin(2 * math.pi * 1000 * np.arange(600) / 48000.0)
    found = simulate(tweeter, volts).states
    finer = march(tweeter, upsampled(volts, 64), 1 / 48000 / 32, 32)
    assert np.allclose(found[3], finer[3], rtol=1e-4, atol=1e-5 * np.max(np.abs(finer[3])))


def test_symmetry_makes_odd_harmonics_only():
    even = Nonlinear(assumed_force_factor(0.006), assumed_stiffness(0.006), constant())
    tone = steady_tone(LargeSignal(WOOFER, LOSSY, COIL, PORT, even), 30.0, 25.0)
    assert tone.peak > 0.006
    assert tone.harmonic(3) > 0.02
    assert max(tone.harmonic(n) for n in (2, 4, 6)) < 1e-6
    assert abs(tone.shift) < 1e-6 * tone.peak
    assert tone.total() == pytest.approx(
        math.sqrt(sum(tone.harmonic(n) ** 2 for n in range(2, 11))), rel=1e-12)


def test_an_uneven_force_factor_makes_even_harmonics_and_a_shift():
    model = LargeSignal(WOOFER, AirBox(COMPLIANCE), shapes=replace(
        CURVES, kms=constant(), le=constant()))
    tone = steady_tone(model, 60.0, 20.0)
    assert tone.harmonic(2) > 0.005
    assert abs(tone.shift) > 1e-5


def mechanical(model, frequency):
    """Impedance against the motion, motor damping included, closed box without inductance."""
    omega, coil = 2 * math.pi * frequency, model.coil
    stiffness = 1 / coil.cms + coil.sd**2 / model.box.compliance
    return coil.rms + coil.bl**2 / coil.re + 1j * (omega * coil.mms - stiffness / omega)


@pytest.mark.parametrize("frequency", [25.0, 70.0])
def test_third_harmonic_of_a_slightly_hardening_spring(frequency):
    # First order: k e x^3 gives k e X^3 / 4 at three times the frequency, on the linear impedance.
    hardening = 2000.0
    model = LargeSignal(WOOFER, AirBox(COMPLIANCE), shapes=Nonlinear(
        constant(), polynomial([1.0, 0.0, hardening], -0.02, 0.02), constant()))
    tone = steady_tone(model, frequency, 0.8)
    once = tone.displacement[1]
    third = -hardening * once**3 / 4 / WOOFER.cms
    omega = 2 * math.pi * 3 * frequency
    expected = third / (1j * omega * mechanical(model, 3 * frequency))
    assert tone.displacement[3] == pytest.approx(expected, rel=2e-4)


def test_second_harmonic_and_shift_of_a_sloping_force_factor():
    # First order: the force b x i and the voltage b x v, both of twice the frequency and none.
    slope, frequency = 8.0, 45.0
    model = LargeSignal(WOOFER, AirBox(COMPLIANCE), shapes=Nonlinear(
        polynomial([1.0, slope], -0.02, 0.02), constant(), constant()))
    tone = steady_tone(model, frequency, 0.5)
    x, i, coil = tone.displacement[1], tone.current[1], WOOFER
    v = 2j * math.pi * frequency * x
    bend = coil.bl * slope
    mean_force = bend * (x * i.conjugate()).real / 2 - coil.bl * bend * (
        x * v.conjugate()).real / 2 / coil.re
    stiffness = 1 / coil.cms + coil.sd**2 / COMPLIANCE
    assert tone.shift == pytest.approx(mean_force / stiffness, rel=2e-4)
    force = (bend * x * i - coil.bl * bend * x * v / coil.re) / 2
    expected = force / (4j * math.pi * frequency * mechanical(model, 2 * frequency))
    assert tone.displacement[2] == pytest.approx(expected, rel=2e-4)


def test_reluctance_force_draws_the_cone_to_more_inductance():
    # Mean of half i^2 dL/dx, against the springs, at a frequency where the cone hardly moves.
    slope, le = -40.0, 0.002
    model = LargeSignal(WOOFER, AirBox(COMPLIANCE), Inductance(le), shapes=Nonlinear(
        constant(), constant(), polynomial([1.0, slope], -0.02, 0.02)))
    tone = steady_tone(model, 1000.0, 10.0)
    stiffness = 1 / WOOFER.cms + WOOFER.sd**2 / COMPLIANCE
    drawn = le * slope * abs(tone.current[1]) ** 2 / 4 / stiffness
    assert tone.shift == pytest.approx(drawn, rel=0.01)


def test_a_motion_without_bound_is_told():
    with pytest.raises(Diverged, match="without bound"):
        march(LargeSignal(WOOFER, LOSSY, Inductance(1e-6)), np.full(4001, 10.0), 1e-3)


def test_pressure_in_time_is_that_of_the_tones():
    model, air = LargeSignal(WOOFER, LOSSY, COIL, STILL), StatedAir(1.2, 343.0)
    time = np.arange(48000) / 48000.0
    motion = simulate(model, 2.0 * np.sin(2 * math.pi * 80 * time))
    heard = sound_pressure(model, motion, air, 2.0)[-600:]
    tone = steady_tone(model, 80.0, math.sqrt(2.0))
    expected = 1j * 2 * math.pi * 80 * 1.2 / (2 * math.pi * 2.0) * tone.volume_velocity[1]
    found = 2 / 600 * np.sum(heard * np.exp(-2j * math.pi * 80 * time[-600:])) * 1j
    assert found == pytest.approx(expected, rel=1e-5)


def test_harmonics_are_those_of_the_pressure():
    model = LargeSignal(WOOFER, LOSSY, COIL, PORT, CURVES)
    time = np.arange(48000) / 48000.0
    motion = simulate(model, 20.0 * np.sin(2 * math.pi * 40 * time))
    heard = np.abs(np.fft.rfft(sound_pressure(model, motion, StatedAir(1.2, 343.0))[-12000:]))
    tone = steady_tone(model, 40.0, 20.0 / math.sqrt(2.0))
    for order in (2, 3, 5):
        assert tone.harmonic(order) == pytest.approx(heard[10 * order] / heard[10], rel=1e-4)


def test_states_and_rates_take_many_moments_at_once():
    states = np.random.default_rng(2).normal(0, 1e-3, (EVERYTHING.size, 5))
    together = rates(EVERYTHING, states, np.arange(5.0))
    for k in range(5):
        assert np.allclose(together[:, k], rates(EVERYTHING, states[:, k], float(k)), rtol=1e-12)
    assert volume_velocity(EVERYTHING, states).shape == (5,)
    assert coil_current(EVERYTHING, states, 0.0).shape == (5,)


def test_curves_of_polynomials_are_exact_to_the_third_power():
    law = [2.0, 30.0, -4000.0, 9e4]
    curve, x = polynomial(law, -0.008, 0.009), np.linspace(-0.008, 0.009, 77)
    exact = np.polynomial.Polynomial(law)
    assert np.allclose(curve.at(x), exact(x) / 2.0, rtol=1e-12)
    assert np.allclose(curve.slope(x), exact.deriv()(x) / 2.0, rtol=1e-9, atol=1e-9)
    assert curve.at(0.0) == pytest.approx(1.0, rel=1e-12)
    assert np.allclose(curve.at([-0.02, 0.02]), exact(np.array([-0.008, 0.009])) / 2.0)
    assert np.array_equal(curve.slope([-0.02, 0.02]), [0.0, 0.0])


def test_a_table_goes_through_its_points():
    x = np.array([-0.008, -0.004, 0.0, 0.004, 0.008])
    y = np.array([7.0, 10.0, 11.0, 10.5, 8.0])
    curve = table(x, y)
    assert np.allclose(curve.at(x), y / 11.0, rtol=1e-6)
    step = 1e-6
    for at in (-0.005, 0.0013, 0.006):
        rise = (curve.at(at + step) - curve.at(at - step)) / (2 * step)
        assert curve.slope(at) == pytest.approx(rise, rel=1e-5)


def test_a_springs_energy_is_the_integral_of_its_force():
    curve = polynomial([1.0, -20.0, 5000.0, 1e5], -0.006, 0.01)
    for to in (-0.009, -0.003, 0.0, 0.0021, 0.01, 0.013):
        held = [min(max(to, -0.006), 0.01)]
        exact = quad(lambda x: float(curve.at(x)) * x, 0.0, to, points=held, epsrel=1e-11)[0]
        assert curve.work(to) == pytest.approx(exact, rel=1e-8, abs=1e-15)


def test_assumed_shapes_at_xmax_and_beyond():
    bl, kms = assumed_force_factor(0.005), assumed_stiffness(0.005, 0.012)
    assert bl.at([-0.005, 0.005]) == pytest.approx(0.82, rel=1e-6)
    assert kms.at([-0.005, 0.005]) == pytest.approx(4 / 3, rel=1e-6)
    assert (bl.high, kms.high) == (0.01, 0.012)
    assert Nonlinear(bl, kms, constant()).reach == (-0.01, 0.01)


@pytest.mark.parametrize(("made", "says"), [
    (lambda: polynomial([1.0, 0.0, -3e4], -0.01, 0.01), "above zero"),
    (lambda: polynomial([-1.0, 0.0], -0.01, 0.01), "above zero at rest"),
    (lambda: polynomial([1.0], 0.0, 0.01), "both sides"),
    (lambda: table([-0.01, 0.01], [1.0, 1.0]), "three or more"),
    (lambda: table([-0.01, 0.0, 0.0], [1.0, 1.0, 1.0]), "rising"),
    (lambda: assumed_stiffness(0.0), "above zero"),
    (lambda: Inductance(0.001, 0.001, 0.0), "l2 comes with r2"),
    (lambda: AirBox(1e-7, leak=-1.0), "negative"),
    (lambda: Outlet(0.0), "above zero"),
    (lambda: Outlet(10.0, loss=-1.0), "negative"),
    (lambda: Creep(0.0, 40.0), "above zero"),
    (lambda: simulate(EVERYTHING, [1.0]), "two samples"),
    (lambda: steady_tone(EVERYTHING, 2000.0, 1.0), "a quarter of the rate"),
])
def test_bad_figures_are_refused(made, says):
    with pytest.raises(ValueError, match=says):
        made()

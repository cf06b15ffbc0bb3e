"""Played loud: hot coils, turbulent ports and harmonics, by hand and against the plain circuit."""

from __future__ import annotations

import math
import pickle
from dataclasses import replace

import numpy as np
import pytest

from bass.boxes import LEAKY, chamber, inputs, vented
from speakerwright.acoustics import heat
from speakerwright.acoustics.largesignal.curves import constant, linear, polynomial
from speakerwright.bass import loud as played
from speakerwright.bass.distortion import (
    Distortion,
    NotInTime,
    Stopped,
    distortion,
    in_time,
    lumped_inductance,
)
from speakerwright.bass.inputs import Amplifier, PassiveFigures, Ratings, voice_coil
from speakerwright.bass.loadings import circuit
from speakerwright.bass.loud import Programme, answer, at_level, compression, loud_limits
from speakerwright.bass.stage import GRID
from speakerwright.bass.stage import chamber as worked
from speakerwright.design.records import Record, VoiceCoilInductance
from speakerwright.words.evidence import Evidence

from .boxes import AIR, NEED, WOOFER

COIL = VoiceCoilInductance.model_validate(
    {"law": "l2r2", "le": "0.6 mH", "l2": "0.9 mH", "r2": "6 ohm"})
FEW = np.array([25.0, 40.0, 50.0, 63.0, 100.0, 200.0])
VENTED = vented(inductance=COIL)
CLOSED = inputs(chamber(losses=LEAKY), inductance=COIL)


def record(**figures):
    return Record.model_validate({
        "format": 1, "what": "driver", "type": "cone", "name": "Moorhoot 12",
        "datasheet": {"xmax": "6.5 mm"}, "measured": figures,
    })


CURVED = record(
    large_signal={
        "range": ["-14 mm", "14 mm"], "bl_polynomial": [15.2, 0.12, -0.05],
        "kms_x": [["-14 mm", "13 N/mm"], ["-6 mm", "6.6 N/mm"], ["0 mm", "5 N/mm"],
                  ["6 mm", "6 N/mm"], ["14 mm", "11 N/mm"]],
        "le_polynomial": [0.6, -0.02], "creep": 0.08,
    },
    thermal={"r_coil": "0.5 K/W", "tau_coil": "12 s", "r_magnet": "0.3 K/W",
             "tau_magnet": "40 min"},
)


def levels(given, volts):
    """Levels of the chamber's own linear curves, without filter."""
    curves = worked(given, NEED).curves
    return np.interp(np.log(FEW), np.log(GRID), curves.unfiltered_db) + 20 * np.log10(volts)


# --- what is known and what is assumed


def test_without_a_record_everything_is_assumed_by_name():
    loud = played.loud_input(VENTED)
    assert loud.shapes.bl.at(0.0065) == pytest.approx(0.82, rel=1e-6)
    assert loud.shapes.kms.at(-0.0065) == pytest.approx(4 / 3, rel=1e-6)
    assert loud.shapes.bl.high == 0.016
    assert np.all(loud.shapes.le.values == 1.0)
    assert loud.heat == heat.assumed_ladder(400.0)
    assert loud.evidence is Evidence.SIMULATED
    assert not loud.even_known
    assert len(loud.assumed) == 4
    assert "IEC 62458, from memory" in loud.assumed[0]
    assert "rule of thumb" in loud.assumed[3]


def test_with_neither_xmax_nor_power_nothing_is_made_up():
    bare = replace(VENTED, ratings=Ratings(None, None, None, None, Evidence.DATASHEET))
    loud = played.loud_input(bare)
    assert loud.heat is None
    assert np.all(loud.shapes.bl.values == 1.0)
    assert sum("no xmax" in sentence for sentence in loud.assumed) == 2
    assert "cold" in loud.assumed[-1]
    found = compression(loud, [50.0], FEW)
    assert np.all(found.temperature_c == 20.0)
    assert np.allclose(found.heat_db, 0.0, atol=1e-9)


def test_a_records_own_curves_and_heat():
    loud = played.loud_input(VENTED, CURVED)
    assert loud.shapes.bl.at(0.01) == pytest.approx((15.2 + 1.2 - 5.0) / 15.2, rel=1e-9)
    assert loud.shapes.le.at(-0.005) == pytest.approx(0.7 / 0.6, rel=1e-9)
    assert loud.shapes.kms.at(0.006) == pytest.approx(1.2, rel=1e-5)
    assert loud.heat.resistance() == pytest.approx(0.8)
    assert loud.heat.capacities == pytest.approx((24.0, 8000.0))
    assert loud.creep.per_decade == 0.08
    assert loud.creep.resonance == pytest.approx(WOOFER.fs)
    assert loud.evidence is Evidence.MEASURED
    assert loud.even_known
    assert loud.assumed == ()


# --- levels


def test_cold_and_soft_it_is_the_chambers_own_curve():
    for given in (VENTED, CLOSED, inputs(chamber(losses=LEAKY), count=2, wiring="series")):
        loud = played.loud_input(given)
        found = compression(loud, [0.001], FEW)
        assert np.allclose(found.level_db[0], levels(given, 0.001), atol=0.01)
        assert np.allclose(found.compression_db, 0.0, atol=1e-3)


@pytest.mark.parametrize("given", [
    VENTED, inputs(chamber(losses=LEAKY, loading="passive-radiator"),
                   passive=PassiveFigures("Moorhen 15", 0.08, 0.25, 4e-4, 3.0, 1, 0.004))])
def test_one_volt_does_what_the_stage_says(given):
    made, curves = circuit(given), worked(given, NEED).curves
    found = answer(played.loud_input(given), made, GRID)
    assert np.allclose(found.excursion, curves.excursion, rtol=1e-9)
    assert np.allclose(found.current, 1.0 / np.abs(curves.impedance), rtol=1e-9)
    for moved, drone in zip(found.drones, made.moving, strict=True):
        assert np.allclose(moved, curves.drones[drone.name], rtol=1e-9)
    for flow, opening in zip(found.flows, made.openings, strict=True):
        inner = np.abs(made.network.solve(GRID).current(opening.ends[0]))
        assert np.allclose(flow, math.sqrt(2.0) * inner, rtol=1e-9)


def test_a_hot_coil_is_a_driver_of_more_resistance():
    warm = replace(CLOSED, motor=replace(WOOFER, re=5.3 * (1 + 0.00393 * 150)))
    loud, made = played.loud_input(CLOSED), circuit(CLOSED)
    hot, other = answer(loud, made, FEW, 150.0), answer(loud, circuit(warm), FEW)
    assert np.allclose(hot.pressure, other.pressure, rtol=1e-9)
    assert np.allclose(hot.heat, other.heat, rtol=1e-9)
    assert np.allclose(hot.heat, warm.motor.re * hot.current**2, rtol=1e-9)


def test_compression_by_heat_is_not_the_ratio_of_resistances():
    # +150 K would be 4.0 dB by the ratio; near the upper impedance peak next to nothing is lost.
    loud, made = played.loud_input(VENTED), circuit(VENTED)
    at = np.array([made.resonance, 85.0, 200.0])
    lost = answer(loud, made, at).level_db(1.0) - answer(loud, made, at, 150.0).level_db(1.0)
    assert heat.ratio_compression_db(5.3, heat.hot_resistance(5.3, 150.0)) == pytest.approx(
        4.02, abs=0.01)
    assert 2.8 < lost[0] < 3.6  # an earlier trial of this program's authors: 3.2
    assert 0.3 < lost[1] < 0.9  # 0.7 to 0.9
    assert 2.7 < lost[2] < 3.5  # 2.8 with another inductance


def test_a_settled_coil_gives_off_what_it_takes():
    music, volts = Programme("pink", 30.0, 400.0), 40.0
    for given in (VENTED, vented(inductance=COIL, count=2)):
        loud, made = played.loud_input(given, CURVED), circuit(given)
        rise = played.settled_rise(loud, made, volts, music)
        centre, share = music.bands()
        assert share.sum() == pytest.approx(1.0)
        assert share == pytest.approx(np.full(centre.size, 1 / centre.size))
        hot = answer(loud, made, centre, rise)
        each = 40.0**2 * np.sum(share * hot.heat) / given.count
        assert rise == pytest.approx(0.8 * each, rel=1e-6)
        assert rise > 30.0
    assert played.settled_rise(loud, made, 0.0, music) == 0.0


def test_where_re_is_the_whole_impedance_it_is_the_quadratic():
    still = replace(CLOSED, inductance=None, motor=replace(WOOFER, bl=1e-3))
    loud = played.loud_input(still, CURVED)
    rise = played.settled_rise(loud, circuit(still), 20.0, Programme())
    assert rise == pytest.approx(heat.steady_voltage_drive(20.0, 5.3, 0.8).rise, rel=1e-6)


def test_the_voltage_it_bears_for_long():
    music = Programme()
    for given, binds in ((VENTED, False), (replace(VENTED, amplifier=Amplifier(30.0, None, None)),
                                           True)):
        loud = played.loud_input(given, CURVED)
        volts = played.long_volts(loud, music)
        rise = played.settled_rise(loud, circuit(given), volts, music)
        if binds:
            assert volts == 30.0
            assert rise < 180.0
        else:
            assert rise == pytest.approx(heat.RATED_RISE, rel=1e-6)
            assert heat.RATED_RISE == 180.0


def test_turbulence_takes_level_where_the_port_works():
    loud, made = played.loud_input(VENTED), circuit(VENTED)
    soft, hard = at_level(loud, made, FEW, 0.01), at_level(loud, made, FEW, 40.0)
    lost = soft.level_db(1.0) - hard.level_db(1.0)
    assert lost[2] > 1.0
    assert abs(lost[5]) < 0.05
    # the resistance that was added takes eight thirds of pi of the loss at that flow
    area = 2 * math.pi * 0.05**2
    resistance = 8 / (3 * math.pi) * 1.5 * AIR.density / 2 / area**2 * 40.0 * hard.flows
    again = answer(loud, made, FEW, 0.0, resistance)
    assert np.allclose(again.flows, hard.flows, rtol=1e-5)
    smooth = at_level(replace(loud, port_coefficient=0.0), made, FEW, 40.0)
    assert np.allclose(smooth.pressure, soft.pressure, rtol=1e-4)


def test_compression_at_shares_of_a_voltage():
    loud = played.loud_input(VENTED, CURVED)
    volts = [share * 55.0 for share in played.SHARES]
    found = compression(loud, volts, FEW, Programme())
    assert played.SHARES == (0.1, 0.125, 0.25, 0.5, 1.0)
    assert found.level_db.shape == (5, FEW.size)
    assert np.all(np.diff(found.temperature_c) > 0)
    assert np.all(np.diff(found.compression_db[:, 2]) > 0)
    assert np.all(found.compression_db[:, 2] > found.heat_db[:, 2])
    assert np.allclose(found.compression_db[:, 5], found.heat_db[:, 5], atol=0.02)
    assert np.allclose(found.level_db + found.compression_db,
                       levels(VENTED, np.array(volts)[:, None]), atol=0.01)
    assert not found.level_db.flags.writeable


def test_peaks_by_excursion_and_amplifier():
    loud = played.loud_input(CLOSED)
    found = loud_limits(loud, FEW)
    limits = worked(CLOSED, NEED).limits
    want = np.minimum(limits.volts["excursion"], limits.volts["amplifier"])
    assert np.allclose(found.peak_volts, np.interp(np.log(FEW), np.log(GRID), want), rtol=0.01)
    assert np.allclose(found.peak_db, levels(CLOSED, found.peak_volts), atol=0.01)
    assert np.all(found.air_speed == 0.0)
    assert found.temperature_c == pytest.approx(200.0)
    assert found.long_db[5] < levels(CLOSED, found.long_volts)[5] - 2.0


def test_peaks_of_a_vented_box_count_turbulence():
    loud, made = played.loud_input(VENTED), circuit(VENTED)
    found = loud_limits(loud, FEW)
    for k, frequency in enumerate(FEW):
        state = at_level(loud, made, np.array([frequency]), float(found.peak_volts[k]))
        travel = found.peak_volts[k] * state.excursion[0]
        if found.peak_volts[k] < 0.999 * math.sqrt(4000.0):
            assert travel == pytest.approx(0.0065, rel=1e-4)
        else:
            assert travel < 0.0065
        area = 2 * math.pi * 0.05**2
        speed = found.peak_volts[k] * state.flows[0, 0] / area
        assert found.air_speed[k] == pytest.approx(speed, rel=1e-4)
        assert found.peak_db[k] == pytest.approx(
            float(state.level_db(found.peak_volts[k])[0]), abs=1e-3)
    amplifier = replace(VENTED, amplifier=Amplifier(63.0, 50.0, 5.0))
    tight = loud_limits(played.loud_input(amplifier), FEW)
    most = 50.0 / math.sqrt(2)
    taken = at_level(loud, made, FEW, most).current
    assert tight.peak_volts[5] == pytest.approx(5.0 / math.sqrt(2) / taken[5], rel=1e-9)
    strong = loud_limits(replace(loud, chamber=replace(VENTED, amplifier=Amplifier(
        63.0, 50.0, None))), FEW)
    assert strong.peak_volts.max() == pytest.approx(most, rel=1e-12)


def test_peaks_count_passive_radiators():
    drone = PassiveFigures("Moorhen 15", 0.08, 0.25, 4e-4, 3.0, 1, 0.004)
    given = inputs(chamber(losses=LEAKY, loading="passive-radiator"), passive=drone)
    loud, made = played.loud_input(given), circuit(given)
    found = loud_limits(loud, FEW)
    moved = answer(loud, made, FEW)
    assert np.all(moved.drones[0] * found.peak_volts < 0.004 * 1.0001)
    assert np.any(moved.drones[0] * found.peak_volts > 0.004 * 0.9999)


# --- in time


def linear_of(given):
    return replace(played.loud_input(given), shapes=linear(), port_coefficient=0.0)


@pytest.mark.parametrize(("given", "within"), [
    (CLOSED, 0.005), (inputs(chamber(losses=LEAKY), count=2, wiring="series"), 0.005),
    # the port's own pipe resonance, a line in the circuit, is left out in time
    (VENTED, 0.2), (vented(inductance=COIL, count=2), 0.2),
    (inputs(chamber(losses=LEAKY, loading="passive-radiator"),
            passive=PassiveFigures("Moorhen 15", 0.08, 0.25, 4e-4, 3.0, 2, None)), 0.02),
], ids=["closed", "two in series", "vented", "two vented", "passive"])
def test_without_curves_the_motion_is_the_circuit(given, within):
    found = distortion(linear_of(given), 5.0, FEW)
    assert np.allclose(found.level_db, levels(given, 5.0), atol=within)
    assert np.all(found.total < 1e-5)
    assert np.all(found.settled)
    assert not np.any(found.beyond)
    curves = worked(given, NEED).curves
    swing = 5.0 * np.interp(np.log(FEW), np.log(GRID), curves.excursion)
    assert np.allclose(found.excursion, swing, rtol=0.02)


def test_at_the_tuning_the_vented_motion_is_the_circuit_closely():
    made = circuit(VENTED)
    at = np.array([made.resonance])
    found = distortion(linear_of(VENTED), 5.0, at)
    exact = answer(played.loud_input(VENTED), made, at).level_db(5.0)
    assert np.allclose(found.level_db, exact, atol=0.01)


def test_a_warm_chamber_and_a_series_capacitor():
    from speakerwright.design.sections.bass import HighPass

    passed = HighPass.model_validate({"capacitor": "300 uF"})
    given = inputs(chamber(losses=LEAKY, high_pass=passed, source_resistance=0.4),
                   inductance=COIL)
    loud = linear_of(given)
    found = distortion(loud, 5.0, FEW, rise=100.0)
    exact = answer(loud, circuit(given), FEW, 100.0).level_db(5.0)
    assert np.allclose(found.level_db, exact, atol=0.005)


def test_assumed_shapes_say_nothing_of_the_second_harmonic():
    found = distortion(played.loud_input(CLOSED), 20.0, FEW)
    assert np.all(np.isnan(found.second))
    assert np.all(found.third[:4] > 0.005)
    assert np.all(np.abs(found.shift) < 1e-6)
    assert found.total == pytest.approx(found.third, rel=0.25)


def test_measured_curves_make_even_harmonics_and_a_shift():
    loud = replace(played.loud_input(CLOSED, CURVED), creep=None)
    found = distortion(loud, 15.0, FEW)
    assert np.all(found.second[:4] > 0.003)
    assert np.max(np.abs(found.shift)) > 1e-5
    assert np.all(found.total >= np.hypot(found.second, found.third) * (1 - 1e-12))
    assert np.all(np.diff(found.excursion) < 0)


def test_one_voltage_for_each_frequency():
    both = distortion(played.loud_input(CLOSED), np.array([5.0, 20.0]), np.array([40.0, 80.0]))
    each = [distortion(played.loud_input(CLOSED), volts, np.array([at])).third[0]
            for volts, at in ((5.0, 40.0), (20.0, 80.0))]
    assert both.third == pytest.approx(each, rel=1e-9)
    assert both.volts == pytest.approx([5.0, 20.0])


def test_beyond_the_curves_is_told():
    short = replace(played.loud_input(CLOSED), shapes=replace(
        linear(), bl=polynomial([1.0, 0.0, -100.0], -0.002, 0.002), le=constant()))
    found = distortion(short, np.array([2.0, 60.0]), np.array([40.0, 40.0]))
    assert list(found.beyond) == [False, True]


def test_progress_and_cancel():
    told, loud = [], played.loud_input(CLOSED)
    distortion(loud, 5.0, FEW[:3], progress=lambda done, says: told.append((done, says)))
    assert [done for done, _ in told] == pytest.approx([1 / 3, 2 / 3, 1.0])
    assert told[0][1] == "Harmonics at 25 Hz worked out."
    with pytest.raises(Stopped):
        distortion(loud, 5.0, FEW, cancelled=lambda: len(told) == 3)


def test_inputs_and_results_go_to_another_process_and_back():
    loud = pickle.loads(pickle.dumps(played.loud_input(VENTED, CURVED)))
    found = pickle.loads(pickle.dumps(distortion(replace(loud, creep=None), 5.0, FEW[:2])))
    assert isinstance(found, Distortion)
    straight = distortion(
        replace(played.loud_input(VENTED, CURVED), creep=None), 5.0, FEW[:2])
    assert np.array_equal(found.third, straight.third)


def test_other_loadings_are_not_worked_out_in_time():
    given = inputs(chamber(loading="open-baffle"))
    with pytest.raises(NotInTime, match="closed, vented"):
        in_time(played.loud_input(given))


@pytest.mark.parametrize("law", [
    {"law": "semi", "leb": "0.1 mH", "le": "2 mH", "ke": 0.05, "rss": "30 ohm"},
    {"law": "power", "k": 0.02, "n": 0.65},
    {"law": "wright", "kr": 0.001, "xr": 0.9, "ki": 0.01, "xi": 0.7},
], ids=["semi", "power", "wright"])
def test_other_laws_of_inductance_are_followed(law):
    section = VoiceCoilInductance.model_validate(law)
    found = lumped_inductance(section, 5.3, 2.65)
    omega = 2 * math.pi * np.geomspace(20, 500, 20)
    wanted = sum(part.impedance(omega) for part in voice_coil(section, 0.5)) + 2.65
    lossy = 1j * omega * found.l2 * found.r2 / (found.r2 + 1j * omega * found.l2)
    made = 2.65 + 1j * omega * found.le + lossy
    assert np.max(np.abs(made - wanted) / np.abs(wanted)) < 0.06


def test_lumped_laws_are_taken_as_they_are():
    exact = lumped_inductance(COIL, 5.3, 10.6)
    assert (exact.le, exact.l2, exact.r2) == pytest.approx((1.2e-3, 1.8e-3, 12.0))
    plain = VoiceCoilInductance.model_validate({"le": "0.5 mH"})
    assert lumped_inductance(plain, 5.3, 5.3).le == pytest.approx(5e-4)
    assert lumped_inductance(None, 5.3, 5.3).le == 0.0

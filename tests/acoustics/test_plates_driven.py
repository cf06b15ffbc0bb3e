"""A driven field: stillness, resonance, the bracket of edges and what lies between."""

from __future__ import annotations

import math

import numpy as np
import pytest

from speakerwright.acoustics import pistons
from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.plates import driven, fields, sheets
from speakerwright.acoustics.plates.driven import Drive
from speakerwright.acoustics.plates.fields import Edges, Field

AIR = StatedAir(1.2, 343.0)
PLY = sheets.sheet_of("birch plywood", 17.6e-3)
FIELD = Field(0.3, 0.5, PLY)
F = np.geomspace(20.0, 2000.0, 121)
FLOW = np.full(F.shape, 1e-3 + 0j)
BOX = 0.05


def pressed(f=F):
    flow = np.full(np.shape(f), 1e-3 + 0j)
    return Drive(f, flow, driven.box_pressure(f, flow, BOX, AIR), 0.0 * flow)


@pytest.fixture(scope="module")
def level():
    return driven.panel_level_db(FIELD, pressed(), AIR, part_way=8)


def test_box_pressure_by_hand():
    """1 L/s out of 50 L at 50 Hz: 1.2 x 343^2 x 1e-3 / (314.16 x 0.05) = 8.988 Pa.

    Out with the cone, thinner within: the pressure is against the displaced volume.
    """
    found = driven.box_pressure([50.0], [1e-3], BOX, AIR)[0]
    assert found == pytest.approx(8.98780j, rel=1e-5)
    volume = 1e-3 / (2j * math.pi * 50.0)
    assert (found / volume).real == pytest.approx(-1.2 * 343.0**2 / BOX, rel=1e-12)


def test_reaction_by_hand():
    """40 g, 350 cm^2, 1 L/s at 100 Hz: 628.32 x 0.04 / 35 = 0.71808 N, against the cone."""
    found = driven.reaction_force([100.0], [1e-3], 0.035, 0.04)[0]
    assert found == pytest.approx(-0.718078j, rel=1e-6)


def test_frame_and_air_cancel_where_the_cone_swings_on_the_box_alone():
    """Pressure on the cone's area and the moving mass: nothing at sqrt(rho c^2 S^2 / V M)."""
    area, mass = 0.035, 0.04
    f = math.sqrt(1.2 * 343.0**2 * area**2 / (BOX * mass)) / (2 * math.pi)
    push = driven.box_pressure([f], [1e-3], BOX, AIR) * area
    assert abs(push + driven.reaction_force([f], [1e-3], area, mass))[0] < 1e-12 * abs(push[0])


def test_at_rest_the_panel_gives_way_as_a_spring():
    """20 lg of the panel's compliance over the box's, far below its first mode."""
    for edge in ("clamped", "supported"):
        found = fields.modes(FIELD.held(Edges.all(edge)))
        ratio = driven.volume_compliance(found) * 1.2 * 343.0**2 / BOX
        low = driven.level_against_driver_db(found, pressed(np.array([5.0])), AIR)
        assert low[0] == pytest.approx(20.0 * math.log10(ratio), abs=0.01)


def test_volume_velocity_is_all_that_counts_at_low_frequency():
    found = fields.modes(FIELD)
    drive = pressed(np.array([15.0, 30.0]))
    flow = driven.panel_volume_velocity(found, drive)
    assert np.all(flow.real / abs(flow) < -0.99)  # pressed in while the cone goes out
    power = pistons.radiated_power(drive.frequency, abs(flow), AIR)
    driver = pistons.radiated_power(drive.frequency, 1e-3, AIR)
    assert driven.level_against_driver_db(found, drive, AIR) == pytest.approx(
        10.0 * np.log10(power / driver), abs=0.01)


def test_at_resonance_the_loss_factor_alone_holds_it():
    """Q = 1 / eta; half the loss is 6 dB more at the peak and nothing far off."""
    found = fields.modes(FIELD)
    f = np.array([20.0, found.frequency[0]])
    once, half = (driven.level_against_driver_db(found, pressed(f), AIR, loss_factor=eta)
                  for eta in (0.02, 0.01))
    assert half - once == pytest.approx([0.0, 6.02], abs=0.03)
    assert driven.level_against_driver_db(found, pressed(f), AIR) == pytest.approx(once, abs=1e-9)
    drive = pressed(f)
    amplitude = driven.amplitudes(found, drive)[0, 1]
    peak = found.volume[0] * drive.pressure[1] / (2 * math.pi * f[1]) ** 2
    assert amplitude == pytest.approx(peak / 0.02j, rel=1e-9)


def test_a_force_at_a_node_line_moves_nothing_of_that_mode():
    found = fields.modes(FIELD)
    drive = Drive(F, FLOW, 0.0 * FLOW, driven.reaction_force(F, FLOW, 0.035, 0.04), (0.15, 0.25))
    amplitude = np.abs(driven.amplitudes(found, drive))
    second = int(np.argmin(np.abs(found.frequency - found.frequency[1])))
    assert np.max(amplitude[second]) < 1e-6 * np.max(amplitude[0])
    off = Drive(F, FLOW, 0.0 * FLOW, drive.force, (0.15, 0.35))
    assert np.max(np.abs(driven.amplitudes(found, off))[second]) > 1e-2 * np.max(amplitude[0])


def test_force_and_pressure_add():
    found = fields.modes(FIELD, 10)
    force = driven.reaction_force(F, FLOW, 0.035, 0.04)
    both = Drive(F, FLOW, pressed().pressure, force, (0.1, 0.2))
    alone = Drive(F, FLOW, 0.0 * FLOW, force, (0.1, 0.2))
    total = driven.amplitudes(found, pressed()) + driven.amplitudes(found, alone)
    assert np.allclose(driven.amplitudes(found, both), total, rtol=1e-12)


def test_the_bracket_is_wide(level):
    gap = np.abs(level.clamped_db - level.supported_db)
    assert np.median(gap[F < 300.0]) > 9.0
    assert np.max(gap) > 25.0
    assert np.all(level.worst_db >= np.maximum(level.clamped_db, level.supported_db) - 1e-12)


def test_between_both_edges_a_real_one_can_be_far_louder(level):
    """Around 424 Hz neither edge rings, but an edge part way does: 20 dB above the louder."""
    at = np.argmin(np.abs(F - 424.0))
    either = max(level.clamped_db[at], level.supported_db[at])
    assert level.worst_db[at] - either > 18.0


def test_the_upper_bound_is_what_edges_part_way_reach():
    """Sixty edges tried one by one: never above the bound by 0.5 dB, which is reached to 2.5 dB.

    A loss of 0.06, so that sixty are close enough together.
    """
    few = pressed(np.geomspace(200.0, 1600.0, 40))
    coarse = {"cells": 12, "loss_factor": 0.06}
    level = driven.panel_level_db(FIELD, few, AIR, elements=6, **coarse)
    unit = math.sqrt(FIELD.bending[0] * FIELD.bending[1]) / 0.3
    tried = [level.clamped_db, level.supported_db]
    for spring in np.geomspace(0.1, 1000.0, 60):
        held = FIELD.held(Edges.all("supported", unit * spring))
        tried.append(driven.level_against_driver_db(fields.modes(held, 40, 6), few, AIR, **coarse))
    over = level.worst_db - np.max(tried, axis=0)
    assert np.min(over) > -0.5
    assert np.max(over) < 2.5


def test_without_edges_part_way_it_still_sweeps():
    rough = driven.panel_level_db(FIELD, pressed(), AIR, part_way=0)
    fine = driven.panel_level_db(FIELD, pressed(), AIR, part_way=4)
    assert np.max(np.abs(rough.worst_db - fine.worst_db)) < 4.0
    assert np.array_equal(rough.clamped_db, fine.clamped_db)


def test_a_rigid_brace_quietens_the_bass():
    braced = Field(0.3, 0.5, PLY, braces=(fields.Brace("x", 0.22),))
    low = pressed(np.array([40.0, 80.0]))
    plain, stiff = (driven.panel_level_db(f, low, AIR, part_way=0) for f in (FIELD, braced))
    assert np.all(stiff.worst_db < plain.worst_db - 7.0)


def test_arrays_are_read_only_and_the_callers_stay_free(level):
    f = F.copy()
    drive = pressed(f)
    f[0] = 1.0
    assert drive.frequency[0] == 20.0
    for array in (drive.pressure, level.worst_db, level.frequency):
        assert not array.flags.writeable
    assert FLOW.flags.writeable


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Drive([10.0], [1.0, 1.0], [0.0], [0.0]), "one value for each"),
        (lambda: Drive([0.0], [1.0], [0.0], [0.0]), "frequency"),
        (lambda: Drive([10.0], [0.0], [0.0], [0.0]), "volume velocity"),
        (lambda: Drive([10.0], [1.0], [0.0], [1.0]), "needs a place"),
        (lambda: driven.box_pressure([10.0], [1.0], 0.0), "volume"),
        (lambda: driven.reaction_force([10.0], [1.0], 0.0, 1.0), "area"),
        (lambda: driven.panel_level_db(FIELD, pressed(), part_way=41), "0 to 40"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()

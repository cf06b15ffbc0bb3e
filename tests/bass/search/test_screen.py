"""The screen against the full circuit, loading by loading."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bass.search.spaces import SMALL, space
from speakerwright.acoustics.pistons import level_db, pressure_from_volume_velocity
from speakerwright.bass import stage
from speakerwright.bass.inputs import equivalent
from speakerwright.bass.loadings.parts import (
    BOX,
    CONE,
    FRONT,
    box,
    electrical,
    mechanical,
    spring,
)
from speakerwright.bass.search.figures import band_of, scores
from speakerwright.bass.search.front import Band
from speakerwright.bass.search.full import worked_out
from speakerwright.bass.search.screen import coarse, picked, screened, solve
from speakerwright.bass.search.space import cells_of, chamber_input_of
from speakerwright.bass.stage import GRID
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Inductor,
    RadiationResistance,
    Resistor,
    Series,
)


def family_of(loading: str, example: str = "desk-pair", **asked):
    found = space(example, replace(SMALL, loadings=(loading,), counts=(2,), **asked))
    return found, found.families[0]


def both(loading: str, example: str = "desk-pair", inner: int = 0, air: float = 1.0):
    """One volt in a middle cell by the screen's circuit and by the full one."""
    found, family = family_of(loading, example)
    for cell in range(family.cells // 2, family.cells):
        _, candidate = found.find(cell * family.inner + inner)
        result = stage.chamber(chamber_input_of(family, candidate), found.need)
        port = next(iter(result.ports.values()), None)
        held = candidate.front_volume or candidate.volume
        if port is None or (port.tunes and port.area * port.count * port.length / held < air):
            return solve(family, cells_of(family, cell, cell + 1), GRID), result
    raise AssertionError("no such cell")


@pytest.mark.parametrize("loading", ["closed", "passive-radiator"])
def test_without_a_port_the_closed_form_is_the_network(loading):
    found, result = both(loading)
    curves = result.curves
    assert np.allclose(found.level_db[0], curves.unfiltered_db, rtol=0, atol=1e-8)
    gain = 10.0 ** (curves.filter_db / 20.0)
    assert np.allclose(found.excursion[0] * gain, curves.excursion, rtol=1e-9)
    assert np.allclose(found.power[0] * gain**2, curves.power, rtol=1e-9)
    assert np.allclose(found.current[0] * np.abs(curves.impedance), 1.0, rtol=1e-9)
    for drone in curves.drones.values():
        assert np.allclose(found.swing[0] * gain, drone, rtol=1e-9)


def test_the_source_resistance_and_all_losses_are_in_it():
    found, family = family_of("closed")
    inputs = family.inputs
    losses = inputs.chamber.losses.model_copy(update={"leak_q": 5.0, "absorption_q": 9.0})
    box = inputs.chamber.model_copy(update={"losses": losses, "source_resistance": 0.8})
    family = replace(family, inputs=replace(inputs, chamber=box))
    _, candidate = found.find(0)
    result = stage.chamber(chamber_input_of(family, candidate), found.need)
    solved = solve(family, cells_of(family, 0, 1), GRID)
    assert np.allclose(solved.level_db[0], result.curves.unfiltered_db, rtol=0, atol=1e-8)
    assert np.allclose(solved.power[0], result.curves.power, rtol=1e-9)


@pytest.mark.parametrize("port_q", [None, 40.0])
@pytest.mark.parametrize("loading", ["vented", "band-pass-4"])
def test_a_port_as_one_mass_is_that_network(loading, port_q):
    """The same parts with a plug of air, in the network's own solver."""
    found, family = family_of(loading, "barn-sub")
    inputs = family.inputs
    losses = inputs.chamber.losses.model_copy(update={"port_q": port_q})
    inputs = replace(inputs, chamber=inputs.chamber.model_copy(update={"losses": losses}))
    family = replace(family, inputs=inputs)
    _, one = found.find(family.size // 2)
    driver, front = equivalent(inputs), one.front_volume
    held, node, q = (one.volume, BOX, port_q) if front is None else (front, FRONT, 60.0)
    omega = 2 * np.pi * one.tuning
    reactance = 1 / (omega * spring(inputs, held))
    air = inputs.air.density / (inputs.solid_angle * inputs.air.speed)
    extra = 0.0 if q is None else reactance / q - air * omega**2
    port = Series("port", node, GROUND, (
        Inductor("mass", "", "", reactance / omega), Resistor("loss", "", "", extra),
        RadiationResistance("radiation", "", "", 1e-6, inputs.solid_angle, inputs.air)))
    parts = [*electrical(inputs, driver),
             *mechanical(driver, GROUND if front is None else FRONT, BOX),
             *box(inputs, BOX, one.volume, one.tuning, losses.leak_q, losses.absorption_q), port]
    if front is not None:
        parts += box(inputs, FRONT, front, one.tuning, None, None)
    solution = Network(tuple(parts)).solve(GRID)
    total = solution.current("port") + solution.current("box leak")
    if front is None:
        total = total + driver.sd * solution.current(CONE)
    pressure = pressure_from_volume_velocity(GRID, total, 1.0, inputs.air, inputs.solid_angle)
    cell = family.size // 2 // family.inner
    solved = solve(family, cells_of(family, cell, cell + 1), GRID)
    assert np.allclose(solved.level_db[0], level_db(pressure), rtol=0, atol=1e-8)
    assert np.allclose(solved.flow[0], np.abs(solution.current("port")), rtol=1e-9)
    velocity = np.abs(solution.current(CONE))
    assert np.allclose(solved.excursion[0] * 2 * np.pi * GRID, np.sqrt(2) * velocity, rtol=1e-9)
    assert np.allclose(solved.current[0], np.abs(solution.current("amplifier")), rtol=1e-9)


@pytest.mark.parametrize(("loading", "example"), [
    ("vented", "desk-pair"), ("vented", "barn-sub"), ("band-pass-4", "barn-sub")])
def test_a_short_port_is_nearly_a_plug_of_air(loading, example):
    """With little air in the port beside that of the box, to 120 Hz."""
    found, result = both(loading, example, air=0.012)
    low = GRID < 120.0
    assert np.allclose(found.level_db[0][low], result.curves.unfiltered_db[low], rtol=0, atol=0.12)
    gain = 10.0 ** (result.curves.filter_db / 20.0)
    swing = found.excursion[0] * gain
    assert np.max(np.abs(swing - result.curves.excursion)[low]) < 0.02 * np.max(swing)
    (speed,) = result.curves.speeds.values()
    (port,) = result.ports.values()
    flow = np.sqrt(2.0) * found.flow[0] * gain / (port.area * port.count)
    assert np.allclose(flow[low], speed[low], rtol=0.03)


@pytest.mark.parametrize(("loading", "example"), [
    ("closed", "desk-pair"), ("passive-radiator", "desk-pair"), ("vented", "harbour-hall"),
    ("vented", "barn-sub"), ("band-pass-4", "barn-sub")])
def test_the_screens_figures_lie_in_its_band(loading, example):
    found, family = family_of(loading, example)
    screen = screened(family, found.need, found.bounds, 0, family.cells, Band())
    some = np.flatnonzero(screen.possible)
    some = np.random.default_rng(5).permutation(some)[:12]
    checked = 0
    for k in some:
        full = worked_out(family, found.find(int(k))[1], found.need, found.bounds)
        if full.off:
            continue
        apart = np.abs(scores(np.array([full.values])) - scores(screen.values[[k]]))[0]
        assert np.all(apart <= screen.widths[k] + 1e-9), (k, apart, screen.widths[k])
        checked += 1
    assert checked >= 2


def test_closed_boxes_have_the_full_figures_to_the_grid():
    """Extension and headroom only differ by the frequencies that are left out."""
    found, family = family_of("closed", "harbour-hall")
    screen = screened(family, found.need, found.bounds, 0, family.cells, Band())
    for k in range(0, family.size, 3):
        full = worked_out(family, found.find(k)[1], found.need, found.bounds)
        assert screen.values[k, :2] == pytest.approx(full.values[:2], rel=1e-12)
        assert screen.values[k, 2] == pytest.approx(full.values[2], rel=2e-3)
        assert screen.values[k, 3] == pytest.approx(full.values[3], abs=0.02)


def test_what_is_picked_holds_all_that_the_whole_screen_would_keep():
    found = space("barn-sub")
    chunk = max(found.chunks(), key=lambda c: c.family.size)
    one = picked(chunk, 7, Band())
    assert one.chunk == 7
    screen = screened(chunk.family, found.need, found.bounds, chunk.start, chunk.stop, Band())
    assert np.all(screen.possible[one.numbers - chunk.first])
    assert screen.short_db[one.nearest - chunk.first] == np.min(screen.short_db)
    assert 0 < len(one.numbers) < np.count_nonzero(screen.possible)


def test_the_grid_of_the_screen_is_part_of_the_full_one():
    need = space("barn-sub").need
    grid = coarse(need)
    assert np.all(np.isin(grid, GRID))
    assert len(grid) < 0.5 * len(GRID)
    inside = GRID[band_of(GRID, need)]
    assert {inside[0], inside[-1]} <= set(grid.tolist())

"""Driven chambers: against closed forms, and a reduced basis against solving directly."""

import math

import numpy as np
import pytest

from speakerwright.acoustics import linings
from speakerwright.acoustics.air import Air
from speakerwright.acoustics.airmodes import fluids
from speakerwright.acoustics.airmodes.chambers import Lining, Opening, Patch, Plate, Rectangle
from speakerwright.acoustics.airmodes.chambers import box_chamber as box
from speakerwright.acoustics.airmodes.grid import made
from speakerwright.acoustics.airmodes.reduced import (
    Stopped,
    direct,
    problem,
    reduced_basis,
    swept,
)
from speakerwright.acoustics.airmodes.refinement import level_shifts
from speakerwright.acoustics.airmodes.responses import opened, port_impedance, uniform_pressure
from speakerwright.acoustics.enclosures import Enclosure, enclosed_end
from speakerwright.acoustics.ends import piston_end
from speakerwright.acoustics.linings import Fill
from speakerwright.acoustics.ports import helmholtz

AIR = Air()
OPENINGS = (Opening("driver", (Patch((0.2, 0.0, 0.62), radius=0.11),)),
            Opening("port", (Patch((0.2, 0.0, 0.12), radius=0.06),)))


def lined(law="miki", plates=()):
    layers = (Lining("back", 0.06, Fill(8000.0), law), Lining("top", 0.05, Fill(5000.0, 16.0), law))
    return box((0, 0, 0), (0.4, 0.36, 0.8), plates, linings=layers, openings=OPENINGS)


def tube(lining):
    ends = tuple(Opening(name, (Patch((0.05, 0.05, z), size=(0.1, 0.1, 0.0)),))
                 for name, z in (("driver", 0.0), ("far", 1.0)))
    return box((0, 0, 0), (0.1, 0.1, 1.0), linings=lining, openings=ends)


@pytest.fixture(scope="module")
def basis_and_direct():
    given = problem(made(lined(), 0.07, 2), AIR)
    basis = reduced_basis(given, 30.0, 600.0)
    between = np.array([33.3, 61.0, 148.0, 203.7, 311.0, 419.0, 505.0, 587.0])
    return basis, direct(given, between), given


@pytest.mark.parametrize("law", ["miki", "relaxing"])
def test_a_tube_with_a_lined_end_against_its_lines(law):
    # Elementary: a line of air before a line of the fill before a hard wall.
    lining = Lining("top", 0.08, Fill(8000.0), law)
    f = np.array([60.0, 100.0, 200.0, 300.0, 400.0, 500.0, 600.0])
    found = direct(problem(made(tube((lining,)), 0.02), AIR, 0.0), f)
    if law == "miki":
        gamma, z = linings.miki(f, 8000.0, AIR)
    else:
        gamma, z = linings.relaxing(f, Fill(8000.0), AIR)
    k, z0 = 2 * np.pi * f / AIR.speed, AIR.impedance / 0.01
    load = z / np.tanh(gamma * 0.08) / 0.01
    slope = 1j * np.tan(k * 0.92)
    at_driver = z0 * (load + z0 * slope) / (z0 + load * slope)
    at_far = (at_driver * np.cos(k * 0.92) - 1j * z0 * np.sin(k * 0.92)) / np.cosh(gamma * 0.08)
    wrong = np.abs(found.pressure("driver", "driver") - at_driver) / (np.abs(at_driver) + z0)
    assert np.max(wrong) < 0.006
    assert np.max(np.abs(found.pressure("far", "driver") / at_far - 1.0)) < 0.008
    assert found.fits.tolist() == ([False, *[True] * 6] if law == "miki" else [True] * 7)


def test_a_hard_tube_to_fourth_order():
    # -j z0 cot(k L) at the driver, -j z0 / sin(k L) at the far end, elementary.
    f = np.array([40.0, 130.0, 300.0, 500.0, 720.0])
    errors = []
    for spacing in (0.05, 0.025):
        found = direct(problem(made(tube(()), spacing, 0), AIR, 0.0), f)
        k, z0 = 2 * np.pi * f / AIR.speed, AIR.impedance / 0.01
        far = found.pressure("far", "driver") / (-1j * z0 / np.sin(k)) - 1.0
        near = (found.pressure("driver", "driver") + 1j * z0 / np.tan(k)) / z0
        errors.append(max(np.max(np.abs(far)), np.max(np.abs(near))))
        # what goes in is the mean's rate of change, exactly
        assert found.mean[0] == pytest.approx(found.uniform, rel=1e-9)
    assert errors[1] < 1.1e-3
    assert errors[0] / errors[1] == pytest.approx(16.0, rel=0.03)


def test_the_loss_factor_is_that_of_the_compliance():
    found = direct(problem(made(tube(()), 0.1, 0), AIR, 0.02), [5.0])
    assert found.mean[0, 0] / found.uniform[0] == pytest.approx(1 / (1 - 0.02j), rel=1e-9)


def test_equivalent_fluid_has_its_propagation_and_impedance():
    f = np.array([100.0, 400.0])
    lining = Lining("top", 0.05, Fill(8000.0))
    density, modulus = fluids.equivalent_fluid(f, lining, AIR)
    gamma, z = linings.miki(f, 8000.0, AIR)
    assert np.sqrt(density * modulus) == pytest.approx(z, rel=1e-12)
    assert 2j * np.pi * f * np.sqrt(density / modulus) == pytest.approx(gamma, rel=1e-12)
    moving = Lining("top", 0.05, Fill(8000.0, 16.0), "relaxing")
    density, modulus = fluids.equivalent_fluid(f, moving, AIR)
    assert density == pytest.approx(linings.effective_density(f, moving.fill, AIR), rel=1e-12)
    assert modulus == pytest.approx(linings.bulk_modulus(f, moving.fill, AIR), rel=1e-12)


def test_basis_gives_what_direct_solutions_give(basis_and_direct):
    basis, expected, _ = basis_and_direct
    found = swept(basis, expected.frequency)
    assert np.max(np.abs(20 * np.log10(np.abs(found.transfer / expected.transfer)))) < 1e-3
    assert np.max(np.abs(found.transfer / expected.transfer - 1.0)) < 1e-4
    assert np.max(np.abs(found.mean / expected.mean - 1.0)) < 1e-3
    assert found.uniform == pytest.approx(expected.uniform, rel=1e-12)


def test_answers_are_reciprocal_passive_and_frozen(basis_and_direct):
    basis, _, _ = basis_and_direct
    found = swept(basis, np.linspace(30.0, 600.0, 200))
    assert found.pressure("port", "driver") == pytest.approx(
        found.pressure("driver", "port"), rel=1e-9)
    # below the range of its law the lining may give back: only where it fits
    assert np.all(found.transfer[0, 0].real[found.fits] > 0.0)
    assert not found.transfer.flags.writeable
    with pytest.raises(KeyError):
        found.pressure("lid", "driver")


def test_at_low_frequency_the_pressure_is_even_and_leakage_is_zero():
    bare = box((0, 0, 0), (0.4, 0.36, 0.8), openings=OPENINGS)
    found = direct(problem(made(bare, 0.07, 2), AIR, 0.0), [10.0, 210.0])
    assert found.leakage_db("port", "driver")[0] == pytest.approx(0.0, abs=0.03)
    # near the long mode (214 Hz) a bare box passes far more
    leakage = found.leakage_db("port", "driver")[1]
    assert leakage > 20.0
    even = AIR.density * AIR.speed**2 / (2 * math.pi * 210.0 * 0.4 * 0.36 * 0.8)
    assert 10 ** (leakage / 20) == pytest.approx(
        abs(found.pressure("port", "driver")[1]) / even, rel=1e-9)


def test_a_lining_tames_the_leakage(basis_and_direct):
    basis, _, _ = basis_and_direct
    bare = box((0, 0, 0), (0.4, 0.36, 0.8), openings=OPENINGS)
    f = np.linspace(150.0, 600.0, 150)
    worst = [float(np.max(swept(each, f).leakage_db("port", "driver"))) for each in (
        basis, reduced_basis(problem(made(bare, 0.07, 2), AIR), 100.0, 620.0))]
    assert worst[1] > worst[0] + 8.0


def test_the_port_tunes_the_box_with_its_inner_end():
    # Piston in a wall of a closed box: its end and that of the box, against what cells find.
    mouth = Opening("port", (Patch((0.15, 0.0, 0.15), radius=0.06),))
    chamber = box((0, 0, 0), (0.3, 0.25, 0.4), openings=(mouth,))
    area, length = math.pi * 0.06**2, 0.15
    volume = 0.3 * 0.25 * 0.4
    end = piston_end(0.06) + enclosed_end(area, Enclosure(0.3, 0.4, 0.25), (0.15, 0.15, 0.0))
    expected = helmholtz(volume, area, length + end, AIR.speed)
    f = np.linspace(0.9, 1.1, 81) * expected
    closed = direct(problem(made(chamber, 0.06), AIR, 0.0), f[[0, 40, 80]])
    loop = closed.pressure("port", "port") + port_impedance(f[[0, 40, 80]], area, length, air=AIR)
    tuned = np.interp(0.0, loop.imag, f[[0, 40, 80]])
    assert tuned == pytest.approx(expected, rel=0.01)
    with_port = opened(closed, "port", port_impedance(f[[0, 40, 80]], area, length, 1e3, AIR))
    flow = with_port.pressure("port", "port") / (loop - closed.pressure("port", "port") + 1e3)
    assert flow == pytest.approx(closed.pressure("port", "port") / (loop + 1e3), rel=1e-9)


def test_an_open_port_by_a_network(basis_and_direct):
    basis, _, _ = basis_and_direct
    f = np.array([50.0, 120.0])
    closed = swept(basis, f)
    load = port_impedance(f, 0.01, 0.2, 500.0, AIR)
    found = opened(closed, "port", load)
    for k in range(2):  # U at the port is -p / load: two equations by hand
        z = closed.transfer[:, :, k]
        p = np.linalg.solve(np.eye(2) + z @ np.diag([0.0, 1.0 / load[k]]), z[:, 0])
        assert found.transfer[:, 0, k] == pytest.approx(p, rel=1e-9)
        mean = closed.mean[0, k] - closed.mean[1, k] * p[1] / load[k]
        assert found.mean[0, k] == pytest.approx(mean, rel=1e-9)


def test_progress_and_cancel(basis_and_direct):
    _, _, given = basis_and_direct
    heard = []
    reduced_basis(given, 100.0, 200.0, 2, lambda done, says: heard.append((done, says)))
    assert [done for done, _ in heard] == [0.5, 1.0]
    assert "200 Hz" in heard[1][1]
    with pytest.raises(Stopped):
        reduced_basis(given, 100.0, 200.0, 2, None, lambda: True)


def test_halving_the_grid_of_a_lined_chamber():
    plate = Plate("z", 0.4, 0.018, windows=(Rectangle((0.05, 0.05), (0.35, 0.25)),))
    found = level_shifts(lined("relaxing", (plate,)), [50.0, 200.0], 0.12, 1, AIR)
    assert found.shift_db.shape == (2, 2, 2)
    assert found.unknowns[1] > 2 * found.unknowns[0]
    coarse, fine = (
        direct(problem(made(lined("relaxing", (plate,)), h, a), AIR), [50.0, 200.0])
        for h, a in ((0.12, 1), (0.06, 2)))
    ratio = np.abs(coarse.transfer / fine.transfer)
    assert 10 ** (found.shift_db / 20) == pytest.approx(ratio, rel=1e-9)
    assert 1e-3 < float(np.max(np.abs(found.shift_db[1, 0]))) < 1.5


def test_wrong_arguments(basis_and_direct):
    basis, _, given = basis_and_direct
    for wrong in (
        lambda: swept(basis, [20.0]),
        lambda: swept(basis, [700.0]),
        lambda: reduced_basis(given, 300.0, 200.0),
        lambda: reduced_basis(given, 100.0, 3000.0),
        lambda: reduced_basis(given, 100.0, 200.0, 1),
        lambda: problem(made(box((0, 0, 0), (0.4, 0.4, 0.4)), 0.1)),
        lambda: direct(given, [0.0]),
        lambda: fluids.factors([100.0], given.grid.chamber, AIR, -0.1),
        lambda: port_impedance([100.0], 0.0, 0.1),
        lambda: uniform_pressure([100.0], 0.0),
    ):
        with pytest.raises(ValueError):
            wrong()


@pytest.mark.prove
def test_a_full_grid_with_a_brace():
    plate = Plate("z", 0.4, 0.018, windows=(Rectangle((0.1, 0.1), (0.3, 0.25)),))
    generator = np.random.default_rng(7)
    for law in ("miki", "relaxing"):
        given = problem(made(lined(law, (plate,))), AIR)
        basis = reduced_basis(given, 20.0, 800.0)
        f = generator.uniform(20.0, 800.0, 20)
        found, expected = swept(basis, f), direct(given, f)
        worst = np.max(np.abs(20 * np.log10(np.abs(found.transfer / expected.transfer))))
        print(f"{law}: {len(given.grid.nodes)} nodes, {worst:.1e} dB")
        assert worst < 0.2

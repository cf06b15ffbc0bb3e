"""Perforated sheets: limits of the law, an own sum over a lattice, and tables that win."""

from __future__ import annotations

import math

import numpy as np
import pytest

from speakerwright.acoustics import screens
from speakerwright.acoustics.air import Air
from speakerwright.acoustics.screens import LossTable, Perforated

AIR = Air()
SCREEN = Perforated(hole=1.2e-3, open=0.05, thickness=0.3e-3)


def loss_db(frequency, sheet=SCREEN):
    return -20.0 * np.log10(np.abs(screens.screen_transmission(frequency, sheet)))


def test_a_usual_screen_against_an_earlier_estimate():
    """About 3 dB at 5 kHz and 7 dB at 10 kHz: an own estimate in whole dB, no measurement."""
    at_5k, at_10k = loss_db([5e3, 10e3])
    assert at_5k == pytest.approx(3.0, abs=0.5)
    assert at_10k == pytest.approx(7.0, abs=0.5)


def test_a_screen_is_nothing_to_the_bass():
    assert np.all(loss_db([20.0, 100.0]) < 0.11)


def test_mass_by_hand():
    """rho (t + 8/(3 pi) d x 0.68870) / open, d 1.2 mm, t 0.3 mm, open 5 %: recomputed.

    Fok's series at the root of 0.05, 0.223607: 1 - 0.315117 + 0.003781 + 0.000038 - ... = 0.68870.
    """
    by_hand = AIR.density * (0.3e-3 + 0.848826 * 1.2e-3 * 0.68870) / 0.05
    assert screens.sheet_mass(SCREEN) == pytest.approx(by_hand, rel=2e-5)
    short = 0.848826 * 1.2e-3 * (1.0 - 1.47 * 0.2236068 + 0.47 * 0.0111803)
    assert screens.sheet_mass(SCREEN, law="short") == pytest.approx(
        AIR.density * (0.3e-3 + short) / 0.05, rel=2e-5)


def test_at_high_frequency_a_wide_hole_is_its_mass():
    wide = Perforated(hole=20e-3, open=0.3, thickness=2e-3)
    omega = 2.0 * math.pi * 5e3
    found = screens.sheet_impedance([5e3], wide)[0]
    assert found.imag == pytest.approx(omega * screens.sheet_mass(wide), rel=2e-3)
    assert found.real < 0.01 * found.imag


def test_the_hole_wall_drags_by_its_boundary_layer():
    """In a wide long hole 2t/a times the surface resistance, root(omega rho mu / 2), and an end.

    The end is as if the hole were a diameter longer: 4 times the surface resistance in all.
    """
    long = Perforated(hole=10e-3, open=0.1, thickness=1.0)
    omega = 2.0 * math.pi * 2e3
    surface = math.sqrt(0.5 * omega * AIR.density * AIR.viscosity)
    found = screens.sheet_impedance([2e3], long)[0].real * 0.1
    assert found == pytest.approx(surface * (4.0 * 1.0 / 10e-3 + 4.0), rel=0.02)


def test_a_sheet_in_the_way_of_a_plane_wave():
    """1 / (1 + z / 2 rho c): a resistance of 2 rho c takes 6 dB, a mass of that reactance 3 dB."""
    twice = 2.0 * AIR.impedance
    found = -20.0 * np.log10(np.abs(screens.transmission([0.0, twice, 1j * twice])))
    assert found == pytest.approx([0.0, 6.0206, 3.0103], abs=1e-4)


@pytest.mark.parametrize("share", [0.01, 0.05, 0.1, 0.2])
def test_ends_lie_between_thin_holes_and_pistons(share):
    """An own sum over a square lattice of pistons lies above, Fok's thin holes, pi/4 a, below.

    The end of a piston of radius a in its cell: the mean over it of the field of all cells is the
    sum over reciprocal lattice vectors G of open area times (2 J1(Ga) / Ga)^2 / G.
    """
    from scipy.special import j1

    hole = 1e-3
    radius = 0.5 * hole
    spacing = radius * math.sqrt(math.pi / share)
    order = np.arange(-150, 151)
    vectors = 2.0 * math.pi / spacing * np.hypot(*np.meshgrid(order, order)).ravel()
    vectors = vectors[vectors > 0.0]
    pistons = share * np.sum((2.0 * j1(vectors * radius) / (vectors * radius)) ** 2 / vectors)
    sheet = Perforated(hole, share, 1e-6)
    ours = 0.5 * (screens.sheet_mass(sheet) * share / AIR.density - 1e-6)
    thin = 0.25 * math.pi * radius * float(screens.hole_interaction(share))
    assert thin < ours < pistons
    assert pistons < 1.25 * thin  # at 1 to 20 % open both bounds lie within a quarter


def test_interaction():
    """One hole alone is undisturbed; neighbours share the air around it, the more the closer."""
    for law in screens.INTERACTIONS:
        share = np.array([0.0, 0.01, 0.1, 0.3, 0.6])
        found = screens.hole_interaction(share, law)
        assert found[0] == 1.0
        assert np.all(np.diff(found) < 0.0)
        assert found[-1] > 0.0
    two = [float(screens.hole_interaction(0.1, law)) for law in screens.INTERACTIONS]
    assert two[0] - two[1] == pytest.approx(0.0153, abs=1e-3)


def test_a_table_wins_and_is_held_at_its_ends():
    table = LossTable([1e3, 4e3, 16e3], [0.2, 1.2, 5.2])
    f = [100.0, 1e3, 2e3, 8e3, 40e3]
    assert screens.table_loss_db(f, table) == pytest.approx([0.2, 0.2, 0.7, 3.2, 5.2])
    found = screens.screen_transmission(f, SCREEN, table)
    assert -20.0 * np.log10(found.real) == pytest.approx([0.2, 0.2, 0.7, 3.2, 5.2])
    assert np.all(found.imag == 0.0)
    assert screens.screen_transmission(f, None) == pytest.approx(1.0)
    with pytest.raises(ValueError):
        table.loss_db[0] = 1.0


def test_what_cannot_be_is_refused():
    for sizes in ((0.0, 0.1, 1e-3), (1e-3, 0.61, 1e-3), (1e-3, 0.1, 0.0)):
        with pytest.raises(ValueError):
            Perforated(*sizes)
    for rows in (([], []), ([100.0], [1.0, 2.0]), ([200.0, 100.0], [1.0, 2.0]), ([0.0], [1.0]),
                 ([100.0], [math.inf])):
        with pytest.raises(ValueError):
            LossTable(*rows)
    with pytest.raises(ValueError, match="fok or short"):
        screens.hole_interaction(0.1, "none")
    with pytest.raises(ValueError, match="60 %"):
        screens.hole_interaction(0.7)
    with pytest.raises(ValueError, match="above zero"):
        screens.sheet_impedance([0.0], SCREEN)

"""Sheets as plates: by-hand figures, limits, and words about where values come from."""

from __future__ import annotations

import numpy as np
import pytest

from speakerwright.acoustics.plates import sheets
from speakerwright.solids.densities import DENSITIES


def test_18_mm_birch():
    sheet = sheets.sheet_of("birch plywood", 18e-3)
    assert sheet.along == pytest.approx(10.05e9, abs=0.005e9)
    assert sheet.across == pytest.approx(7.45e9, abs=0.005e9)
    assert (sheet.shear, sheet.poisson, sheet.density, sheet.loss_factor) == (
        620e6, 0.1, 680.0, 0.02)


def test_stiffness_by_hand():
    """E h^3 / 12 (1 - nu^2 E' / E) with 10, 5 GPa, nu 0.2, 20 mm: 1 - 0.02 = 0.98."""
    sheet = sheets.Sheet(0.02, 10e9, 5e9, 0.6e9, 0.2, 700.0, 0.02)
    assert sheet.bending_along == pytest.approx(10e9 * 8e-6 / 12 / 0.98, rel=1e-12)
    assert sheet.bending_across == pytest.approx(5e9 * 8e-6 / 12 / 0.98, rel=1e-12)
    assert sheet.coupling == pytest.approx(0.2 * sheet.bending_across, rel=1e-12)
    assert sheet.twisting == pytest.approx(400.0, rel=1e-12)
    assert sheet.mass_per_area == 14.0


def test_an_even_sheet_has_one_stiffness_in_all_directions():
    """D = D1 + 2 Dk, or a diagonal cut would bend otherwise."""
    sheet = sheets.isotropic(0.018, 3.6e9, 0.25, 750.0, 0.02)
    assert sheet.coupling + 2.0 * sheet.twisting == pytest.approx(sheet.bending_along, rel=1e-12)


def test_lamination_keeps_the_whole():
    along, across = sheets.lamination_moduli([1.0, 2.0, 1.5, 2.0, 1.0], 12e9)
    assert along + across == pytest.approx(12e9, rel=1e-12)
    assert sheets.lamination_moduli([1.0, 1.0, 1.0], 27e9) == pytest.approx((26e9, 1e9), rel=1e-12)


def test_plies_counted_at_the_edge_win():
    birch = sheets.MATERIALS["birch plywood"].moduli
    assert isinstance(birch, sheets.Plies)
    counted = sheets.plies_for(18e-3, birch, 11)
    assert len(counted) == 11
    assert float(np.sum(counted)) == pytest.approx(18e-3, rel=1e-12)
    assert counted[0] / counted[1] == pytest.approx(1.1 / 1.4, rel=1e-12)
    assert sheets.sheet_of("birch plywood", 18e-3, 11).along == pytest.approx(10.316e9, rel=1e-4)


@pytest.mark.parametrize("name", list(sheets.MATERIALS))
def test_every_material_makes_a_sheet_and_says_where_it_is_from(name):
    material = sheets.MATERIALS[name]
    sheet = sheets.sheet_of(name, 18e-3)
    assert sheet.along >= sheet.across > 1e9
    low, usual, high = material.losses
    assert low <= usual == sheet.loss_factor <= high
    assert "memory" in material.status or "rule of thumb" in material.status
    if name in DENSITIES:
        assert material.density == DENSITIES[name]


@pytest.mark.parametrize(
    ("name", "along", "across", "shear"),
    [("MDF", 3.59e9, 3.59e9, 1.436e9), ("chipboard", 3.45e9, 3.45e9, 1.38e9),
     ("OSB", 5.4e9, 2.4e9, 1.0e9), ("laminated bamboo", 9.6e9, 2.0e9, 0.8e9)],
)
def test_values(name, along, across, shear):
    sheet = sheets.sheet_of(name, 18e-3)
    assert (sheet.along, sheet.across, sheet.shear) == pytest.approx((along, across, shear))


def test_poplar_by_hand():
    """Seven plies, 2.5, 2.6 ... 2.5 mm, 18 mm: faces and every other ply carry 9 GPa."""
    z = np.array([0.0, 2.5, 5.1, 7.7, 10.3, 12.9, 15.5, 18.0]) - 9.0
    cubes = np.diff(z**3) / 3.0
    sheet = sheets.sheet_of("poplar plywood", 18e-3)
    assert sheet.along == pytest.approx(9e9 * cubes[::2].sum() / (18.0**3 / 12.0), rel=1e-9)


def test_a_thin_plate_does_not_shear():
    sheet = sheets.sheet_of("birch plywood", 4e-3)
    ratio = sheets.thick_plate_ratio([1.0, 100.0], sheet, 0.2e9)
    assert ratio[0] == pytest.approx(1.0, abs=1e-3)
    assert ratio[1] < ratio[0] < 1.0


def test_what_rolling_shear_takes_from_plywood():
    """A figure of its own: 18 mm birch over 0.25 by 0.4 m with 0.2 GPa loses 13 %."""
    sheet = sheets.sheet_of("birch plywood", 18e-3)
    k = np.pi * np.hypot(1 / 0.25, 1 / 0.4)
    assert float(sheets.thick_plate_ratio(k, sheet, 0.2e9)) == pytest.approx(0.8722, abs=5e-4)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: sheets.sheet_of("slate", 18e-3), "known: birch plywood"),
        (lambda: sheets.sheet_of("MDF", 18.0), "between 3 and 40 mm"),
        (lambda: sheets.sheet_of("birch plywood", 1e-3), "between 3 and 40 mm"),
        (lambda: sheets.plies_for(0.05, sheets.Plies(1e9, 1e-3, 1e-3)), "between 3 and 40 mm"),
        (lambda: sheets.lamination_moduli([1.0, 1.0], 1e9), "odd number"),
        (lambda: sheets.lamination_moduli([1.0], 1e9), "odd number"),
        (lambda: sheets.lamination_moduli([1.0, 0.0, 1.0], 1e9), "above zero"),
        (lambda: sheets.Sheet(0.018, 1e9, 1e9, 1e9, 0.6, 700.0, 0.1), "Poisson"),
        (lambda: sheets.Sheet(0.018, 1e9, 8e9, 1e9, 0.4, 700.0, 0.1), "Poisson"),
        (lambda: sheets.Sheet(0.018, 1e9, 1e9, 1e9, 0.1, 700.0, 0.6), "loss factor"),
        (lambda: sheets.Sheet(0.0, 1e9, 1e9, 1e9, 0.1, 700.0, 0.1), "thickness"),
        (lambda: sheets.sanded_thickness_limits(0.0), "above zero"),
        (lambda: sheets.thick_plate_ratio(1.0, sheets.sheet_of("MDF", 0.018), 0.0), "above zero"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()

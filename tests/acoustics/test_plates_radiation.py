"""Power of a moving rectangle in a baffle: small, large, in and out of step."""

from __future__ import annotations

import math

import numpy as np
import pytest

from speakerwright.acoustics import pistons
from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.plates import fields, radiation, sheets

AIR = StatedAir(1.2, 343.0)


def flat(rows, columns, count):
    return np.ones((rows, columns, count))


def test_a_small_rectangle_is_a_small_source():
    f = np.array([20.0, 40.0])
    found = radiation.baffled_power(f, 0.01 * flat(6, 9, 2), 0.3, 0.2, AIR)
    assert found == pytest.approx(pistons.radiated_power(f, [6e-4, 6e-4], AIR), rel=3e-3)
    assert radiation.baffled_power(f, 0.01 * flat(6, 9, 2), 0.03, 0.02, AIR) == pytest.approx(
        pistons.radiated_power(f, [6e-6, 6e-6], AIR), rel=3e-5)


def test_a_large_rectangle_radiates_as_a_plane_wave():
    """rho c v^2 times area, less the edges; cells a seventh of the wavelength."""
    f = np.array([2000.0])
    found = radiation.baffled_power(f, 0.01 * flat(80, 60, 1), 1.5, 2.0, AIR)[0]
    assert found == pytest.approx(1.2 * 343.0 * 1e-4 * 3.0, rel=0.02)


def test_two_cells_by_hand():
    """Two small pistons d apart: in step 1 + sinc, out of step 1 - sinc, times two."""
    f = np.array([100.0, 343.0, 700.0])
    moved = np.zeros((1, 11, 3))
    moved[0, 0], moved[0, 10] = 1.0, 1.0
    apart = np.sinc(2.0 * f / 343.0 * 0.5)
    single = 1.2 * (2.0 * math.pi * f * 0.05 * 0.02) ** 2 / (2.0 * math.pi * 343.0)
    together = radiation.baffled_power(f, moved, 0.55, 0.02, AIR)
    assert together == pytest.approx(2.0 * single * (1.0 + apart), rel=1e-9)
    against = moved.astype(complex)
    against[0, 10] *= -1.0
    assert radiation.baffled_power(f, against, 0.55, 0.02, AIR) == pytest.approx(
        2.0 * single * (1.0 - apart), rel=1e-9)
    standing = np.swapaxes(against, 0, 1) * 1j
    assert radiation.baffled_power(f, standing, 0.02, 0.55, AIR) == pytest.approx(
        2.0 * single * (1.0 - apart), rel=1e-9)


def test_many_frequencies_at_once_as_one_by_one():
    rng = np.random.default_rng(7)
    f = np.linspace(50.0, 900.0, 35)
    moved = rng.normal(size=(5, 4, 35)) + 1j * rng.normal(size=(5, 4, 35))
    whole = radiation.baffled_power(f, moved, 0.4, 0.5, AIR)
    pieces = [radiation.baffled_power(f[k:k + 1], moved[:, :, k:k + 1], 0.4, 0.5, AIR)[0]
              for k in range(35)]
    assert whole == pytest.approx(pieces, rel=1e-10)
    y, x = np.meshgrid((np.arange(5) + 0.5) * 0.1, (np.arange(4) + 0.5) * 0.1, indexing="ij")
    apart = np.hypot(x.ravel()[:, None] - x.ravel(), y.ravel()[:, None] - y.ravel())
    flow = moved[:, :, 3].ravel() * 0.01
    pairs = np.sum(np.outer(flow, flow.conj()) * np.sinc(2.0 * f[3] / 343.0 * apart)).real
    assert whole[3] == pytest.approx(
        1.2 * (2.0 * math.pi * f[3]) ** 2 / (2.0 * math.pi * 343.0) * pairs, rel=1e-10)


def test_first_modes_at_low_frequency_by_their_volume():
    """k^2 V^2 / (2 pi) over area and mean square: (8 / pi^2)^2 of a piston's when supported.

    The clamped one has 0.7436 of that, an own figure; two clamped beams crossed have 0.7255.
    """
    sheet = sheets.isotropic(0.01, 10e9, 0.3, 700.0, 0.01)
    low, by_volume = [], []
    for edge in ("supported", "clamped"):
        found = fields.modes(fields.Field(0.5, 0.5, sheet, fields.Edges.all(edge)), 1)
        low.append(radiation.mode_efficiency([10.0], found, 0, AIR)[0])
        by_volume.append(found.volume[0] ** 2 * sheet.mass_per_area)
    k = 2.0 * math.pi * 10.0 / 343.0
    assert low == pytest.approx(k**2 / (2 * math.pi) * np.array(by_volume), rel=1e-3)
    assert low[0] == pytest.approx(k**2 * 0.25 / (2 * math.pi) * (8 / math.pi**2) ** 2, rel=1e-3)
    assert low[1] / low[0] == pytest.approx(0.7436, abs=1e-3)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: radiation.baffled_power([100.0], flat(2, 2, 2), 0.1, 0.1), "one value for each"),
        (lambda: radiation.wallace_efficiency([100.0], 0.1, 0.1, 0, 1), "one half wave"),
        (lambda: radiation.wallace_efficiency([100.0], 0.0, 0.1, 1, 1), "width"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()

"""Standing waves of boxes, tapered chambers and chambers with plates."""

import math

import numpy as np
import pytest

from speakerwright.acoustics import slits
from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.airmodes.chambers import (
    Block,
    Chamber,
    Opening,
    Patch,
    Plate,
    Rectangle,
    box_chamber,
)
from speakerwright.acoustics.airmodes.grid import made
from speakerwright.acoustics.airmodes.modes import rigid_modes
from speakerwright.acoustics.airmodes.refinement import mode_shifts
from speakerwright.acoustics.rooms import room_modes

AIR = StatedAir(1.2041, 343.2)
SIZE = (0.4, 0.36, 0.9)


def braced(share, spacing=0.05, length=0.84):
    """The lowest mode of a box with a brace across its long axis, `share` of it open."""
    half = 0.5 * math.sqrt(share)
    window = Rectangle((0.4 * (0.5 - half), 0.36 * (0.5 - half)),
                       (0.4 * (0.5 + half), 0.36 * (0.5 + half)))
    plate = Plate("z", 0.5 * length - 0.009, 0.018, windows=(window,))
    chamber = box_chamber((0, 0, 0), (0.4, 0.36, length), (plate,))
    return rigid_modes(made(chamber, spacing), 300.0, AIR)


@pytest.mark.parametrize(("highest", "spacing", "percent"), [(800.0, 0.03, 0.01), (640, 0.07, 0.1)])
def test_a_box(highest, spacing, percent):
    # the second has the cells per wave that 30 mm has at 1.5 kHz
    found = rigid_modes(made(box_chamber((0, 0, 0), SIZE), spacing), highest, AIR)
    expected = room_modes(SIZE, 40, 343.2)
    expected = expected[expected <= highest]
    assert found.frequency.size == expected.size
    assert np.max(np.abs(found.frequency / expected - 1.0)) < percent / 100.0


def test_orders_shapes_and_couplings_of_a_box():
    openings = (Opening("driver", (Patch((0.01, 0.0, 0.01), radius=0.009),)),
                Opening("middle", (Patch((0.2, 0.0, 0.45), radius=0.02),)))
    found = rigid_modes(made(box_chamber((0, 0, 0), SIZE, openings=openings), 0.05), 500.0, AIR)
    assert found.orders[:4] == ((0, 0, 1), (0, 0, 2), (1, 0, 0), (1, 0, 1))
    assert np.min(found.likeness) > 0.9999
    assert found.first((1, 0, 0)) == pytest.approx(343.2 / 0.8, rel=2e-3)
    assert found.coupling[0, 0] == pytest.approx(math.sqrt(2.0), rel=1e-3)
    assert found.coupling[0, 3] == pytest.approx(2.0 * math.cos(math.pi * 0.01 / 0.4), rel=2e-3)
    assert found.coupling[1, 0] == pytest.approx(0.0, abs=1e-3)
    assert found.coupling[1, 1] == pytest.approx(-math.sqrt(2.0), rel=9e-3)
    assert found.volume == pytest.approx(math.prod(SIZE), rel=1e-12)
    wave = math.sqrt(2.0) * np.cos(math.pi * found.nodes[:, 2] / 0.9)
    assert np.max(np.abs(found.shape[0] - wave)) < 1e-3
    with pytest.raises(KeyError):
        found.first((5, 5, 5))


def test_a_windowed_brace_lowers_the_long_mode():
    plain = 343.2 / 2.0 / 0.84
    lengths = [float(braced(share).frequency[0]) for share in (0.6, 0.24, 0.09)]
    assert plain == pytest.approx(204.3, abs=0.1)
    # Converged values by halving: about 152.6 and 112 Hz, reached from above.
    assert lengths[1] == pytest.approx(154.0, abs=1.5)
    assert lengths[2] == pytest.approx(113.3, abs=1.5)
    assert plain > lengths[0] > lengths[1] > lengths[2]
    assert braced(0.24).orders[0] == (0, 0, 1)


@pytest.mark.parametrize("window", [0.2, 0.1])
def test_a_slit_in_a_brace_against_plane_waves_and_a_mass(window):
    # Two closed ducts of length l and the mass between them: 2 cot(k l) = k L S / S_w.
    high, half, thick = 0.4, 0.411, 0.018
    plate = Plate("z", half, thick, windows=(Rectangle((0.0, 0.0), (window, 0.05)),))
    chamber = box_chamber((0, 0, 0), (high, 0.05, 2 * half + thick), (plate,))
    found = rigid_modes(made(chamber, 0.03, 8), 250.0, AIR).frequency[0]
    mass = (thick + 2.0 * slits.step_in_duct_end(window, high)) * high / window
    low, up = 0.01, 0.5 * math.pi / half
    for _ in range(60):
        k = 0.5 * (low + up)
        low, up = (k, up) if 2.0 / math.tan(k * half) > k * mass else (low, k)
    assert found == pytest.approx(low * 343.2 / 2.0 / math.pi, rel=0.005)


def test_a_block_in_the_corner_is_a_smaller_box():
    # A block over a whole end leaves a box whose modes are known.
    block = Block((0.0, 0.0, 0.7), (0.4, 0.36, 0.9))
    found = rigid_modes(made(box_chamber((0, 0, 0), SIZE, blocks=(block,)), 0.04), 600.0, AIR)
    expected = room_modes((0.4, 0.36, 0.7), len(found.frequency), 343.2)
    assert found.frequency == pytest.approx(expected, rel=3e-4)


def test_a_sloped_top_is_the_same_by_any_axis_and_lies_between_boxes():
    outline = ((0.0, 0.0), (0.4, 0.0), (0.4, 0.7), (0.0, 0.9))
    turned = ((0.0, 0.0), (0.7, 0.0), (0.9, 0.4), (0.0, 0.4))
    found = [rigid_modes(made(Chamber(corners, 0.0, 0.3, along), 0.04), 500.0, AIR).frequency
             for corners, along in ((outline, "y"), (outline, "x"), (turned, "z"))]
    assert found[1] == pytest.approx(found[0], rel=1e-9)
    # the same outline with its axes exchanged
    assert found[2][0] == pytest.approx(found[0][0], rel=1e-6)
    assert 343.2 / 1.8 < found[0][0] < 343.2 / 1.4
    shifts = mode_shifts(Chamber(outline, 0.0, 0.3), 500.0, 0.08, 0, AIR)
    assert shifts.largest_percent < 0.2


def test_halving_shows_the_error_of_a_brace():
    plate = Plate("z", 0.3, 0.018, windows=(Rectangle((0.1, 0.1), (0.2, 0.2)),))
    shifts = mode_shifts(box_chamber((0, 0, 0), (0.3, 0.3, 0.6), (plate,)), 300.0, 0.1, 2, AIR)
    assert shifts.coarse.size == shifts.fine.size > 0
    assert shifts.unknowns[1] > 2 * shifts.unknowns[0]
    assert 0.3 < shifts.shift_percent[0] < 6.0
    by_hand = 100.0 * (shifts.coarse - shifts.fine) / shifts.fine
    assert shifts.shift_percent == pytest.approx(by_hand, rel=1e-9)
    assert shifts.largest_percent == pytest.approx(np.max(np.abs(by_hand)), rel=1e-9)


def test_few_modes_and_a_grid_too_coarse():
    grid = made(box_chamber((0, 0, 0), SIZE), 0.09)
    none = rigid_modes(grid, 100.0, AIR)
    assert none.frequency.size == 0
    assert none.orders == ()
    with pytest.raises(ValueError, match="does not carry"):
        rigid_modes(grid, 1000.0, AIR)
    with pytest.raises(ValueError):
        rigid_modes(grid, 0.0, AIR)


@pytest.mark.prove
def test_random_boxes_and_braces():
    generator = np.random.default_rng(20)
    for _ in range(12):
        size = tuple(float(s) for s in generator.uniform(0.2, 0.9, 3))
        found = rigid_modes(made(box_chamber((0, 0, 0), size), 0.03), 1500.0, AIR).frequency
        error = np.abs(found / room_modes(size, found.size, 343.2) - 1.0)
        assert np.max(error) < 1e-3
        assert np.max(error[found < 800.0], initial=0.0) < 1e-4
    for share in (0.5, 0.24, 0.15, 0.09):
        coarse, fine = (float(braced(share, h).frequency[0]) for h in (0.03, 0.015))
        print(f"{share:.0%} open: {coarse:.1f} Hz at 30 mm, {fine:.1f} Hz at 15 mm")
        assert 0.0 < coarse / fine - 1.0 < 0.01

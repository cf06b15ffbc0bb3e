"""Chambers, grid lines, outlines as rows, and the cells made from them."""

import math

import numpy as np
import pytest

from speakerwright.acoustics.airmodes import fineness
from speakerwright.acoustics.airmodes.chambers import (
    Block,
    Chamber,
    Lining,
    Opening,
    Patch,
    Plate,
    Rectangle,
    box_chamber,
    round_block,
    square,
)
from speakerwright.acoustics.airmodes.dissection import dissected
from speakerwright.acoustics.airmodes.elements import assembled, shapes_at
from speakerwright.acoustics.airmodes.grid import made
from speakerwright.acoustics.airmodes.lines import Fine, grid_lines, merged, spacing_at
from speakerwright.acoustics.airmodes.patches import opening_weights, surface
from speakerwright.acoustics.airmodes.sections import rows
from speakerwright.acoustics.linings import Fill

FILL = Fill(8000.0)
SLOPED = ((0.0, 0.0), (0.4, 0.0), (0.4, 0.7), (0.0, 0.9))  # a top that falls to the right

NOTCHED = ((0.0, 0.0), (0.4, 0.0), (0.4, 0.5), (0.2, 0.5), (0.2, 0.9), (0.0, 0.9))


def volumes(chamber, spacing=0.06):
    return assembled(made(chamber, spacing)).volume


def test_round_things_keep_their_area_and_volume():
    assert square((0.1, 0.2), 0.05).area == pytest.approx(math.pi * 0.05**2, rel=1e-12)
    block = round_block((0.2, 0.0, 0.3), "y", 0.05, 0.15)
    sides = np.array(block.upper) - np.array(block.lower)
    assert np.prod(sides) == pytest.approx(math.pi * 0.05**2 * 0.15, rel=1e-12)
    assert block.lower[1] == 0.0
    assert block.upper[1] == pytest.approx(0.15)


def test_lines_pass_through_places_and_keep_the_spacing():
    places = (0.0, 0.11, 0.128, 0.5)
    found = grid_lines(places, 0.03, (Fine(0.3, 0.35, 0.01),))
    assert all(np.min(np.abs(found - place)) < 1e-12 for place in places)
    steps = np.diff(found)
    assert np.all(steps > 0.0)
    assert np.max(steps) < 0.03 * 1.0001
    middles = 0.5 * (found[1:] + found[:-1])
    assert np.max(steps[(middles > 0.3) & (middles < 0.35)]) < 0.0108
    assert len(grid_lines((0.0, 0.9), 0.03)) == 31


def test_spacing_grows_from_what_is_fine():
    found = spacing_at(np.array([0.1, 0.2, 0.22, 0.9]), 0.05, (Fine(0.15, 0.2, 0.01, 0.5),))
    assert list(found) == pytest.approx([0.035, 0.01, 0.02, 0.05], rel=1e-12)


def test_faces_that_all_but_coincide_are_one():
    assert merged((0.2, 0.20005, 0.0, 0.7, 0.1), 0.0, 0.7) == (0.1, 0.2)


def test_rows_of_outlines():
    found = rows(SLOPED, 0)
    assert found is not None
    assert list(found.at) == [0.0, 0.4]
    assert list(found.high) == pytest.approx([0.9, 0.7], rel=1e-12)
    assert found.narrowest == pytest.approx(7.0 / 9.0, rel=1e-12)
    assert list(found.stretch(1)) == pytest.approx([math.hypot(0.4, 0.2) / 0.4] * 2, rel=1e-12)
    assert rows(NOTCHED, 0) is None
    assert rows(NOTCHED, 1) is None


def test_air_is_the_box_less_plates_and_blocks_plus_windows():
    plate = Plate("z", 0.4, 0.018, windows=(Rectangle((0.1, 0.1), (0.25, 0.2)),))
    shelf = Plate("x", 0.2, 0.015, span=Rectangle((0.0, 0.5), (0.36, 0.9)))
    block = Block((0.05, 0.3, 0.05), (0.15, 0.36, 0.2))
    found = volumes(box_chamber((0, 0, 0), (0.4, 0.36, 0.9), (plate, shelf), (block,)))
    solid = 0.018 * (0.4 * 0.36 - 0.015) + 0.015 * 0.36 * 0.4 + 0.1 * 0.06 * 0.15
    assert float(found[0]) == pytest.approx(0.4 * 0.36 * 0.9 - solid, rel=1e-12)


def test_linings_take_their_room_from_the_air_and_share_an_edge():
    linings = (Lining("back", 0.05, FILL), Lining("top", 0.04, FILL))
    found = volumes(box_chamber((-0.2, 0, 0), (0.2, 0.36, 0.9), linings=linings))
    back, top = 0.05 * 0.4 * 0.9, 0.04 * 0.4 * (0.36 - 0.05)
    assert list(found) == pytest.approx([0.4 * 0.36 * 0.9 - back - top, back, top], rel=1e-12)


@pytest.mark.parametrize("along", ["x", "y", "z"])
def test_a_sloped_top_by_any_axis(along):
    found = volumes(Chamber(SLOPED, 0.1, 0.4, along))
    assert float(found[0]) == pytest.approx(0.4 * 0.8 * 0.3, rel=1e-12)


def test_a_lining_on_a_sloped_wall_is_counted_square_to_it():
    found = volumes(Chamber(SLOPED, 0.0, 0.3, linings=(Lining("top", 0.05, FILL),)))
    assert float(found[1]) == pytest.approx(0.05 * math.hypot(0.4, 0.2) * 0.3, rel=1e-9)


def test_a_shelf_below_a_sloped_top():
    shelf = Plate("z", 0.4, 0.018, windows=(Rectangle((0.1, 0.1), (0.3, 0.2)),))
    found = volumes(Chamber(SLOPED, 0.0, 0.3, plates=(shelf,)))
    assert float(found[0]) == pytest.approx(0.4 * 0.8 * 0.3 - 0.018 * (0.12 - 0.02), rel=1e-12)


@pytest.mark.parametrize(
    ("chamber", "says"),
    [
        (Chamber(NOTCHED, 0, 0.3), "ledge"),
        (Chamber(SLOPED, 0, 0.3, blocks=(Block((0.1, 0, 0.75), (0.3, 0.1, 0.82)),)), "tapers"),
        (box_chamber((0, 0, 0), (0.4, 0.3, 0.9), (Plate("z", 0.4, 0.018),)), "window is missing"),
        (box_chamber((0, 0, 0), (0.4, 0.3, 0.9), (), (Block((0, 0, 0), (1, 1, 1)),)), "no air"),
    ],
)
def test_chambers_that_cannot_be(chamber, says):
    with pytest.raises(ValueError, match=says):
        made(chamber, 0.06)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Rectangle((0.1, 0.1), (0.1, 0.2)),
        lambda: Block((0.0, 0.0, 0.0), (0.1, 0.0, 0.1)),
        lambda: Plate("z", 0.1, 0.0),
        lambda: Lining("lid", 0.05, FILL),
        lambda: Lining("top", 0.05, FILL, "unknown"),
        lambda: Patch((0, 0, 0)),
        lambda: Patch((0, 0, 0), radius=0.1, size=(0.1, 0.1, 0.1)),
        lambda: Opening("driver", ()),
        lambda: Chamber(((0, 0), (1, 0)), 0, 1),
        lambda: Chamber(SLOPED, 1, 1),
        lambda: box_chamber((0, 0, 0), (1, 0, 1)),
        lambda: box_chamber((0, 0, 0), (1, 1, 1), openings=(
            Opening("a", (Patch((0, 0, 0), radius=0.1),)),) * 2),
        lambda: made(box_chamber((0, 0, 0), (1, 1, 1)), 0.0),
    ],
)
def test_wrong_arguments(wrong):
    with pytest.raises(ValueError):
        wrong()


def test_windows_openings_and_linings_get_their_cells():
    window = Plate("z", 0.4, 0.018, windows=(Rectangle((0.15, 0.1), (0.23, 0.2)),))
    mouth = Opening("port", (Patch((0.2, 0.0, 0.1), radius=0.03),))
    chamber = box_chamber((0, 0, 0), (0.4, 0.36, 0.9), (window,),
                          linings=(Lining("back", 0.06, FILL),), openings=(mouth,))
    grid = made(chamber, 0.04)
    x, y, z = (np.unique(np.round(grid.nodes[:, k], 9)) for k in range(3))
    assert np.count_nonzero((x > 0.15 - 1e-6) & (x < 0.23 + 1e-6)) >= 1 + 4
    assert np.count_nonzero((z > 0.07 - 1e-6) & (z < 0.13 + 1e-6)) >= 6
    assert np.count_nonzero(y > 0.3 - 1e-6) == 1 + 3
    assert x[np.searchsorted(x, 0.15 + 1e-6)] - 0.15 < 0.08 / 4 / 4
    assert fineness.fine_places(chamber, 0, 0.04, 0) == ()


def test_every_node_is_in_the_order_once_and_planes_come_last():
    steps = np.stack(np.meshgrid(*map(np.arange, (9, 5, 21)), indexing="ij"), -1).reshape(-1, 3)
    order = dissected(steps)
    assert sorted(order) == list(range(len(steps)))
    assert np.all(steps[order[-45:], 2] == 10)


def test_shape_functions_are_linear_and_sum_to_one():
    places = np.random.default_rng(3).uniform(-1, 1, (5, 3))
    values, slopes = shapes_at(places)
    corners = np.array([[a, b, c] for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)], float)
    assert np.sum(values, axis=1) == pytest.approx(1.0, abs=1e-14)
    assert values @ corners == pytest.approx(places, abs=1e-14)
    moved, _ = shapes_at(places + np.array([1e-6, 0, 0]))
    assert (moved - values) / 1e-6 == pytest.approx(slopes[..., 0], abs=1e-8)


def test_matrices_of_a_linear_pressure():
    # The integral of |grad p|^2 of p = x + 2 y + 3 z is 14 volumes on any cells.
    matrices = assembled(made(Chamber(SLOPED, 0.0, 0.3), 0.08))
    nodes = made(Chamber(SLOPED, 0.0, 0.3), 0.08).nodes
    pressure = nodes @ [1.0, 2.0, 3.0]
    assert pressure @ matrices.stiffness[0] @ pressure == pytest.approx(14 * 0.096, rel=1e-10)
    assert np.sum(matrices.mass[0] @ pressure) == pytest.approx(
        float(np.sum(matrices.mass[0] @ nodes, axis=0) @ [1, 2, 3]), rel=1e-12)


def test_weights_of_an_opening_have_its_middle_and_spread():
    mouth = Opening("port", (Patch((0.22, 0.0, 0.4), radius=0.06),))
    grid = made(box_chamber((0, 0, 0), (0.4, 0.36, 0.9), openings=(mouth,)), 0.04)
    weights = opening_weights(grid, mouth, surface(grid))
    assert np.sum(weights) == pytest.approx(1.0, abs=1e-12)
    assert weights @ grid.nodes == pytest.approx([0.22, 0.0, 0.4], abs=3e-4)
    plain = Opening("slot", (Patch((0.2, 0.1, 0.9), size=(0.4, 0.2, 0.0)),))
    along = opening_weights(grid, plain, surface(grid)) @ grid.nodes
    assert along == pytest.approx([0.2, 0.1, 0.9], abs=2e-3)


def test_two_mouths_share_by_their_areas():
    patches = (Patch((0.1, 0.0, 0.2), radius=0.06), Patch((0.3, 0.0, 0.8), radius=0.03))
    mouth = Opening("ports", patches)
    grid = made(box_chamber((0, 0, 0), (0.4, 0.36, 0.9), openings=(mouth,)), 0.04)
    middle = opening_weights(grid, mouth, surface(grid)) @ grid.nodes
    assert middle[2] == pytest.approx((4 * 0.2 + 0.8) / 5, abs=1e-3)


def test_openings_on_a_sloped_wall_and_on_a_tube():
    sloped = Opening("driver", (Patch((0.2, 0.15, 0.8), radius=0.08),))
    grid = made(Chamber(SLOPED, 0.0, 0.3, openings=(sloped,)), 0.04)
    middle = opening_weights(grid, sloped, surface(grid)) @ grid.nodes
    assert middle == pytest.approx([0.2, 0.15, 0.8], abs=1e-3)
    tube = round_block((0.2, 0.0, 0.2), "y", 0.05, 0.15)
    mouth = Opening("port", (Patch((0.2, 0.15, 0.2), radius=0.04),))
    grid = made(box_chamber((0, 0, 0), (0.4, 0.36, 0.9), blocks=(tube,)), 0.04)
    weights = opening_weights(grid, mouth, surface(grid))
    assert weights @ grid.nodes == pytest.approx([0.2, 0.15, 0.2], abs=1e-3)


@pytest.mark.parametrize(
    ("patch", "says"),
    [(Patch((0.2, 0.1, 0.4), radius=0.05), "no wall"),
     (Patch((0.02, 0.0, 0.4), radius=0.05), "beyond its wall")],
)
def test_openings_off_the_wall(patch, says):
    mouth = Opening("port", (patch,))
    grid = made(box_chamber((0, 0, 0), (0.4, 0.36, 0.9)), 0.06)
    with pytest.raises(ValueError, match=says):
        opening_weights(grid, mouth, surface(grid))

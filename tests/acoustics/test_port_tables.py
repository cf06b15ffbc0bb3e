import math

import numpy as np
import pytest

from acoustics.potential import study
from acoustics.potential.axisymmetric import tube
from acoustics.potential.sections import beside_walls
from acoustics.potential.slit import slot_across
from speakerwright.acoustics import port_tables

PINS = [
    ("TUBE_WALLS", 64.48),
    ("TUBE_FREE", 10.00261),
    ("TUBE_GAPS", 99.55),
    ("TUBE_NEAR", 606.296),
    ("SIDE_WALLS", 0.25),
    ("SIDE_PLACES", 49.0),
    ("SIDE_GAPS", 15.75),
    ("SIDE_NEAR", 132.3284),
    ("RECTANGLE_ASPECTS", 52.5),
    ("RECTANGLE_WALLS", 1.7),
    ("RECTANGLE_GAPS", 22.05),
    ("RECTANGLE_FREE", 31.7542),
    ("RECTANGLE_NEAR", 274.1978),
    ("RECTANGLE_FLUSH", 13.54633),
    ("FLARES", 9.45),
    ("FLARE_FLUSH", 4.425706),
    ("FLARE_FREE", 3.116596),
]
TABLES = {name: np.asarray(value) for name, value in vars(port_tables).items() if name.isupper()}


def test_known_limits_of_the_solver():
    # Levine and Schwinger's integral (0.6127 to 0.6133) and Norris and Sheng, status read
    assert tube(0.0, growth=1.4) == pytest.approx(0.6127, abs=6e-4)
    assert tube(math.inf, growth=1.5) == pytest.approx(0.82167, rel=1e-4)
    far = tube(0.0, gap=40.0, growth=1.8) - tube(0.0, growth=1.8)
    assert far * 8.0 * 40.0 == pytest.approx(1.0, rel=0.02)


def test_solver_converges():
    coarse, fine, finest = (tube(0.05, gap=0.5, growth=g) for g in (3.0, 2.0, 1.5))
    assert abs(fine - finest) < 0.3 * abs(coarse - finest) < 0.001


def test_two_solvers_agree_on_a_round_tube():
    # a side wall thirty radii off is one image
    mouth = beside_walls(0.05, 30.0, around=2, fine=0.05, growth=2.5)
    for gap in (1.0, math.inf):
        image = 1.0 / 240.0 + 1.0 / (8.0 * math.hypot(30.0, gap))
        assert mouth.correction(gap) - image == pytest.approx(tube(0.05, gap=gap, growth=1.5),
                                                              rel=0.0015)


@pytest.mark.parametrize(
    ("radius", "gap", "expected"), [(2.0, math.inf, 0.738453585), (3.0, 1.0, 1.13760197)]
)
def test_thin_flange_as_an_earlier_solver_had_it(radius, gap, expected):
    # a computation of our own made apart from this one, on a flange of no thickness
    found = tube(0.0, gap=gap, flange=(radius, 1e-3), growth=1.5, finest=1e-4)
    assert found == pytest.approx(expected, rel=3e-4)


def test_closed_boxes_agree_where_a_slot_is_nearly_a_duct():
    # a slot that leaves little beside it: a closed tube, a third of its depth
    assert slot_across(0.01, 1.02, 3.0, 0.5) == pytest.approx(1.0, rel=0.03)


@pytest.mark.parametrize(("name", "total"), PINS)
def test_tables_are_as_computed(name, total):
    # each is computed by the solver beside these tests; a figure that slips shows in the sum
    assert float(TABLES[name].sum()) == pytest.approx(total, rel=1e-7)


@pytest.mark.prove
@pytest.mark.parametrize(("title", "rows", "allowed"), study.STUDIES)
def test_laws_against_fresh_solutions(title, rows, allowed):
    for name, value, law in rows():
        assert law == pytest.approx(value, rel=allowed / 100.0), f"{title}: {name}"

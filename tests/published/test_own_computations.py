"""Own computations of potential flow: not outside checks, and never counted as such.

An earlier finite-element solution of the tube's end and a mode matching of the step, made apart
from this program and from the solver beside tests/acoustics that its tables come from. No
published value stands behind them.
"""

import math

import pytest

from speakerwright.acoustics import ports
from speakerwright.acoustics.enclosures import enclosed_end
from speakerwright.acoustics.mouths import end_correction

OWN = [
    (ports.facing_wall_end, "own potential-flow computation (finite elements)"),
    (ports.unflanged_end, "own potential-flow computation (finite elements)"),
    (ports.flange_end, "own potential-flow computation (finite elements)"),
    (ports.slot_one_wall_end, "own potential-flow computation (finite elements)"),
    (ports.step_end_fit, "own mode matching"),
    (ports.slot_across_end, "own potential-flow computation (finite elements)"),
    (ports.rectangular_tube_end, "own potential-flow computation (finite elements and modes)"),
    (ports.flush_rectangle_end, "own potential-flow computation (finite elements and modes)"),
    (ports.side_walls_end, "own potential-flow computation (finite elements and modes)"),
    (ports.pair_inside_end, "own potential-flow computation (finite elements and modes)"),
    (ports.flared_end, "own potential-flow computation (finite elements)"),
    (end_correction, "own potential-flow computation (finite elements and modes)"),
    (enclosed_end, "own potential-flow computation (finite elements and modes)"),
]


@pytest.mark.parametrize(
    ("gap", "expected"),
    [
        pytest.param(0.5, 0.953733807, id="wall_fem_h0.5"),
        pytest.param(1.0, 0.780375243, id="wall_fem_h1.0"),
        pytest.param(2.0, 0.689526422, id="wall_fem_h2.0"),
        pytest.param(4.0, 0.648027255, id="wall_fem_h4.0"),
    ],
)
def test_thin_tube_before_a_wall(gap, expected):
    assert ports.facing_wall_end(0.03, 0.0, 0.03 * gap) / 0.03 == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    ("gap", "expected"),
    [(0.25, 1.319), (0.3, 1.225), (0.4, 1.095), (0.5, 1.008), (0.7, 0.900), (1.0, 0.815),
     (1.5, 0.749), (2.0, 0.718), (3.0, 0.688), (4.0, 0.675), (10.0, 0.652), (math.inf, 0.639)],
)
def test_tube_of_some_thickness_before_a_wall(gap, expected):
    found = ports.facing_wall_end(0.04, 0.002, 0.04 * gap) / 0.04
    assert found == pytest.approx(expected, abs=0.0006)


def test_flange_before_a_wall():
    # wall_fem_flange3_h1: a thin flange of three radii; the law is that of a tube as thick
    # behind it, which leaves less room around and comes out 2 % higher.
    found = ports.facing_wall_end(1.0, 2.0, 1.0)
    assert 1.13760197 < found < 1.025 * 1.13760197


@pytest.mark.parametrize(
    ("wall", "expected"), [(0.0, 0.6127), (0.02, 0.626), (0.05, 0.639), (0.1, 0.654), (0.2, 0.676)]
)
def test_free_end_by_wall_thickness(wall, expected):
    assert ports.unflanged_end(0.04, 0.04 * wall) / 0.04 == pytest.approx(expected, abs=6e-4)


@pytest.mark.parametrize(("flange", "expected"), [(2.0, 0.738453585), (3.0, 0.7676)])
def test_finite_flange(flange, expected):
    # flange_fem_2 and the note of flange_fit_1: the published fit (memory) lies within 1 %.
    assert ports.flange_end(1.0, flange) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(
    ("ratio", "expected"), [(0.1, 0.711215176), (0.3, 0.495875844), (0.5, 0.298025541)]
)
def test_step_with_the_true_flow(ratio, expected):
    # step_exact_1
    assert ports.step_end_fit(ratio, 1.0) / ratio == pytest.approx(expected, rel=0.003)
    # Uniform velocity carries more kinetic energy than the true flow.
    assert ports.step_end(ratio, 1.0) / ratio > expected


@pytest.mark.parametrize(
    ("aspect", "closeness", "expected"),
    [
        (aspect, closeness, value)
        for aspect, row in (
            (1.0, (0.510, 0.560, 0.621, 0.750)),
            (3.0, (0.877, 1.038, 1.226, 1.563)),
            (6.0, (1.136, 1.441, 1.735, 2.203)),
            (10.0, (1.326, 1.774, 2.132, 2.672)),
        )
        for closeness, value in zip((0.0, 0.5, 1.0, 2.0), row, strict=True)
    ],
)
def test_slot_on_one_wall(aspect, closeness, expected):
    gap = 0.03 / closeness if closeness else math.inf
    # the earlier computation was good to 2 %
    found = ports.slot_one_wall_end(0.03 * aspect, 0.03, gap) / 0.03
    assert found == pytest.approx(expected, rel=0.022)

"""Laws that any textbook has: distance, solid angle, open pipe, continuity, images; recomputed."""

import math

import pytest

from speakerwright.acoustics import ports, rooms
from speakerwright.acoustics.air import StatedAir

SOURCE = "elementary"
CHECKS = [
    (function, SOURCE, "recomputed")
    for function in (
        rooms.level_at_db, rooms.power_gain_db, rooms.volume_velocity_gain_db,
        ports.pipe_resonance, ports.velocity_for_level, ports.reynolds, ports.strouhal,
        ports.stokes_layer,
    )
]
CHECKS.append((ports.facing_wall_end, "elementary, the far limit of one image only", "recomputed"))


@pytest.mark.parametrize(
    ("level_db", "near", "far", "expected"),
    [
        pytest.param(92.0, 1.0, 3.5, 81.1186391, id="inv_dist"),
        pytest.param(88.4, 2.0, 12.0, 72.836975, id="inv_dist2"),
    ],
)
def test_inverse_distance(level_db, near, far, expected):
    assert float(rooms.level_at_db(level_db, far, near)) == pytest.approx(expected, rel=1e-8)


def test_solid_angle():
    # solid_angle
    half, quarter = 2 * math.pi, math.pi
    assert rooms.power_gain_db(half) == pytest.approx(3.01029996, rel=1e-8)
    assert rooms.volume_velocity_gain_db(half) == pytest.approx(6.02059991, rel=1e-8)
    assert rooms.volume_velocity_gain_db(quarter) == pytest.approx(12.0411998, rel=1e-8)


@pytest.mark.parametrize(
    ("length", "correction", "expected"),
    [
        pytest.param(0.15, 0.0574, 827.386692, id="portpipe_0.15"),
        pytest.param(0.22, 0.0502, 635.085122, id="portpipe_0.22"),
    ],
)
def test_pipe_resonance(length, correction, expected):
    found = ports.pipe_resonance(length, correction, 343.2)
    assert found == pytest.approx(expected, rel=1e-8)


def test_port_velocity_for_a_level():
    # portvel_100
    peak = float(ports.velocity_for_level(100.0, 32.0, 0.00503, air=StatedAir(1.2041, 343.2)))
    assert peak == pytest.approx(14.5936684, rel=1e-8)
    assert peak / math.sqrt(2.0) == pytest.approx(10.3192819, rel=1e-8)
    assert peak / 343.2 == pytest.approx(0.0425223438, rel=1e-8)
    assert peak / (2 * math.pi * 32.0) == pytest.approx(0.072582952, rel=1e-8)


def test_flow_numbers():
    # st_re
    viscosity = 1.51e-5
    layer = ports.stokes_layer(32.0, viscosity)
    assert ports.reynolds(15.0, 0.08, viscosity) == pytest.approx(79470.1987, rel=1e-8)
    assert ports.strouhal(32.0, 0.08, 15.0) == pytest.approx(0.170666667, rel=1e-8)
    assert layer == pytest.approx(0.000387559644, rel=1e-8)
    assert ports.reynolds(15.0, layer, viscosity) == pytest.approx(384.993024, rel=1e-8)


@pytest.mark.parametrize(
    ("gap", "image", "tolerance"),
    [(4.0, 0.03125, 0.155), (8.0, 0.015625, 0.08), (400.0, 0.0003125, 0.002)],
)
def test_wall_in_front_tends_to_one_image(gap, image, tolerance):
    # wall_far_1: a / (8 h) is the leading term only; what is over it falls as the gap grows.
    for wall in (0.0, 0.05):
        added = ports.facing_wall_end(1.0, wall, gap) - ports.unflanged_end(1.0, wall)
        assert image < added < image * (1.0 + tolerance)

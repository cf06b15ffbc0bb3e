"""Pipe closed at one end, and complete cone: laws that any textbook has; recomputed."""

import pytest

from speakerwright.acoustics import horns, profiles
from speakerwright.acoustics.air import StatedAir

SOURCE = "elementary"
CHECKS = [
    (profiles.closed_open_modes, SOURCE, "recomputed"),
    (profiles.Profile.volume, "elementary, the frustum of a cone", "recomputed"),
    (horns.two_port, SOURCE, "recomputed"),
]


def test_odd_quarter_waves():
    pipe = profiles.conical(0.01, 0.01, 1.3)
    found = profiles.closed_open_modes(pipe, 343.2, 4)
    assert found == pytest.approx([66.0, 198.0, 330.0, 462.0], rel=1e-9)


def test_a_complete_cone_has_all_half_waves():
    cone = profiles.conical(1e-12, 0.02, 1.3)
    found = profiles.closed_open_modes(cone, 343.2, 3)
    assert found == pytest.approx([132.0, 264.0, 396.0], rel=1e-4)


def test_frustum():
    # h (A + B + sqrt(A B)) / 3
    assert profiles.conical(0.01, 0.04, 0.6).volume == pytest.approx(0.014, rel=1e-12)


def test_closed_uniform_pipe_by_its_cotangent():
    # -j rho c / S cot kL at an eighth of a wave is -j rho c / S.
    pipe = profiles.conical(0.01, 0.01, 1.3)
    matrix = horns.two_port([33.0], pipe, StatedAir(1.2041, 343.2))[0]
    assert matrix[0, 0] / matrix[1, 0] == pytest.approx(-1j * 1.2041 * 343.2 / 0.01, rel=1e-12)

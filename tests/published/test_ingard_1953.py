"""U. Ingard, On the theory and design of acoustic resonators, JASA 25, 1037 (1953).

Twin openings and rectangles: the piston integral, computed apart from this program (recomputed).
The straight-line law of the step is from memory.
"""

import pytest

from speakerwright.acoustics import ports

SOURCE = "Ingard, JASA 25, 1037 (1953)"
CHECKS = [
    (ports.twin_openings, SOURCE, "recomputed"),
    (ports.mutual_end, SOURCE, "recomputed"),
    (ports.mutual_outside, SOURCE, "recomputed"),
    (ports.rectangle_end, SOURCE, "recomputed"),
    (ports.step_end_ingard, SOURCE, "memory"),
]
TWINS = ((2.5, 0.209608227), (4.0, 0.127079381), (8.0, 0.0627478008))


@pytest.mark.parametrize(("distance", "expected"), TWINS)
def test_twin_openings(distance, expected):
    # twin_1
    assert ports.twin_openings(0.03, 0.03 * distance) / 0.03 == pytest.approx(expected, rel=1e-7)


def test_far_limit_of_twin_openings():
    # twin_1 at s = 8 a: a / 2s lies 0.4 % low there, its next term being a^3 / 4 s^3.
    expected = 0.0627478008
    assert ports.mutual_end(0.03, 0.24) / 0.03 == pytest.approx(expected, rel=0.005)
    both = ports.mutual_outside(0.03, [[0.0, 0.0], [0.0, 0.24]]) / 0.03
    assert list(both) == pytest.approx([expected, expected], rel=0.005)


@pytest.mark.parametrize(
    ("width", "height", "expected"),
    [
        pytest.param(0.1, 0.1, 0.0473201004, id="rect_0.1x0.1"),
        pytest.param(0.3, 0.03, 0.0336961173, id="rect_0.3x0.03"),
    ],
)
def test_rectangle(width, height, expected):
    assert ports.rectangle_end(width, height) == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize(("ratio", "factor"), [(0.1, 0.875), (0.3, 0.625)])
def test_straight_line_step(ratio, factor):
    # step_ingard, status memory
    found = ports.step_end_ingard(0.02, 0.02 / ratio) / ports.piston_end(0.02)
    assert found == pytest.approx(factor, rel=1e-9)

"""F. C. Karal, JASA 25, 327 (1953): the series H of a round step; recomputed to nine digits."""

import pytest

from speakerwright.acoustics import ports

CHECKS = [(ports.step_end, "Karal, JASA 25, 327 (1953)", "recomputed")]


@pytest.mark.parametrize(
    ("ratio", "factor"), [(0.1, 0.869840393), (0.3, 0.615245038), (0.5, 0.378632144)]
)
def test_step_factor(ratio, factor):
    # step_1
    found = ports.step_end(0.02, 0.02 / ratio) / ports.piston_end(0.02)
    assert found == pytest.approx(factor, rel=2e-6)

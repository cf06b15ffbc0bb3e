"""C. F. Eyring 1930: reverberation time in dead rooms; recomputed."""

import pytest

from speakerwright.acoustics import rooms

CHECKS = [(rooms.eyring_time, "Eyring 1930", "recomputed")]


def test_time():
    # eyring_80
    assert rooms.eyring_time(80.0, 112.0, 0.22, 343.2) == pytest.approx(0.462905945, rel=1e-8)

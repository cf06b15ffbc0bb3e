"""W. C. Sabine; Kuttruff, Room acoustics: reverberation time; recomputed."""

import pytest

from speakerwright.acoustics import rooms

SOURCE = "Sabine; Kuttruff, Room acoustics"
CHECKS = [
    (rooms.sabine_time, SOURCE, "recomputed"),
    (rooms.absorption_area, SOURCE, "recomputed"),
]


def test_time_and_back():
    # sabine_80
    assert rooms.sabine_time(80.0, 14.0, 343.2) == pytest.approx(0.920113923, rel=1e-8)
    assert rooms.absorption_area(80.0, 0.920113923, 343.2) == pytest.approx(14.0, rel=1e-8)

"""The sound over the floor by an image source: its delay; recomputed.

dt = (sqrt(d^2 + (h1 + h2)^2) - sqrt(d^2 + (h1 - h2)^2)) / c with c = 344 m/s. The sound is
strongest again at 1/dt and first cancelled at half of that.
"""

import pytest

from speakerwright.acoustics import places

SOURCE = "image source in a plane, elementary"
CHECKS = [
    (places.extra_path, SOURCE, "recomputed"),
    (places.cancelled_frequency, SOURCE, "recomputed"),
    (places.images, SOURCE, "recomputed"),
    (places.pressure_gain, SOURCE, "recomputed"),
]


@pytest.mark.parametrize(
    ("source", "ear", "apart", "late_ms", "whole"),
    [
        pytest.param(1.2, 1.2, 1.0, 4.65116279, 215.0, id="floor_bounce.1"),
        pytest.param(1.35, 1.35, 1.0, 5.46289538, 183.053112, id="floor_bounce.3"),
        pytest.param(2.0, 2.0, 2.0, 7.18644173, 139.150923, id="floor_bounce.5"),
    ],
)
def test_delay_over_the_floor(source, ear, apart, late_ms, whole):
    floor = places.Boundary(2, 0.0)
    spot, seat = [0.0, 0.0, source], [[0.0, -apart, ear]]
    extra = places.extra_path(spot, seat, floor)
    assert 1e3 * extra[0] / 344.0 == pytest.approx(late_ms, rel=1e-8)
    assert places.cancelled_frequency(extra, 344.0)[0] == pytest.approx(whole / 2.0, rel=1e-8)
    assert places.images([spot], (floor,))[0][1, 0] == pytest.approx([0.0, 0.0, -source])
    # in step, and half a wave late; the path over the floor is longer by the delay
    over = apart / (apart + 344.0e-3 * late_ms)
    found = places.pressure_gain([whole, whole / 2.0], [spot], seat, 344.0, (floor,))[0]
    assert found == pytest.approx([1.0 + over, 1.0 - over], rel=1e-7)

"""H. Kuttruff, Room acoustics: how many modes a room has up to a frequency (memory)."""

import numpy as np
import pytest

from speakerwright.acoustics.airmodes import modes
from speakerwright.acoustics.rooms import room_modes

SOURCE = "Kuttruff, Room acoustics, the number of modes"
CHECKS = [(modes.expected_count, SOURCE, "memory")]


def test_count_of_rooms_in_the_mean():
    # The law smooths a staircase that steps at every mode, the even pressure being its first
    # tread, and leaves out its constant of 1/8: n + 1/2 - 1/8 at the n-th mode.
    generator = np.random.default_rng(1)
    over = []
    for _ in range(40):
        w, d, h = (float(side) for side in generator.uniform(2.5, 6.0, 3))
        area, edges = 2 * (w * d + d * h + h * w), 4 * (w + d + h)
        for n, f in enumerate(room_modes((w, d, h), 60, 343.2), 1):
            over.append(modes.expected_count(w * d * h, area, edges, float(f), 343.2) - n)
    assert np.mean(over) == pytest.approx(0.375, abs=0.05)

"""IEC 61672-1, table of A- and C-weighting at the exact midbands, to 0.1 dB; from memory."""

import pytest

from speakerwright.acoustics import air, hearing

SOURCE = "IEC 61672-1, table of weightings"
CHECKS = [(hearing.a_weighting_db, SOURCE, "memory"), (hearing.c_weighting_db, SOURCE, "memory")]
BANDS = [31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16000]


def test_a_weighting():
    printed = [-39.4, -26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1, -6.6]
    found = hearing.a_weighting_db(air.exact_midband(BANDS))
    assert list(found) == pytest.approx(printed, abs=0.05)


def test_c_weighting():
    printed = [-3.0, -0.8, -0.2, 0.0, 0.0, 0.0, -0.2, -0.8, -3.0, -8.5]
    found = hearing.c_weighting_db(air.exact_midband(BANDS))
    assert list(found) == pytest.approx(printed, abs=0.05)

"""IEC 61260-1: exact midband frequencies of base ten, to five digits; from memory."""

import pytest

from speakerwright.acoustics import air, spectra

SOURCE = "IEC 61260-1, exact midband frequencies"
CHECKS = [(air.exact_midband, SOURCE, "memory"), (spectra.third_octaves, SOURCE, "memory")]


@pytest.mark.parametrize(
    ("nominal", "exact"),
    [(25, 25.119), (31.5, 31.623), (63, 63.096), (80, 79.433), (125, 125.89), (315, 316.23),
     (1000, 1000.0), (4000, 3981.1), (12500, 12589.0), (20000, 19953.0)],
)
def test_exact_midband(nominal, exact):
    assert float(air.exact_midband(nominal)) == pytest.approx(exact, rel=4e-5)
    assert min(abs(spectra.third_octaves() - exact)) < 4e-5 * exact


def test_there_are_thirty_one():
    assert spectra.third_octaves().size == 31

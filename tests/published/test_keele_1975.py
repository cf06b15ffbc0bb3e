"""D. B. Keele, What's so sacred about exponential horns?, 51st AES Convention 1975, preprint 1038.

K = 10^6 inch degree Hz, read second hand in a review article.
"""

import pytest

from speakerwright.acoustics import horns

SOURCE = "Keele, 51st AES Convention (1975), preprint 1038"
CHECKS = [(horns.pattern_control_frequency, SOURCE, "read")]


@pytest.mark.parametrize(
    ("width", "angle_deg"),
    [pytest.param(0.3, 90.0, id="keele_0.3_90"), pytest.param(0.45, 60.0, id="keele_0.45_60")],
)
def test_lowest_frequency_of_the_angle(width, angle_deg):
    found = horns.pattern_control_frequency(width, angle_deg)
    assert found == pytest.approx(940.740741, rel=1e-8)

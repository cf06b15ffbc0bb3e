"""J.-P. Dalmont, C. J. Nederveen and N. Joly, J. Sound Vib. 244, 505 (2001): finite round flange.

Status memory: the fit was not seen in the text, so this holds the fit to itself as another hand
remembered it, to its digits; a potential-flow computation agrees with it to 1 % (own computations).
"""

import pytest

from speakerwright.acoustics import ports

CHECKS = [
    (ports.flange_end, "Dalmont, Nederveen and Joly, J. Sound Vib. 244, 505 (2001)", "memory")
]


@pytest.mark.parametrize(
    ("ratio", "expected"),
    [
        # flange_fit_1
        (1.0, 0.6133), (0.8, 0.685617792), (0.5, 0.745059375), (0.25, 0.783761084),
        # flange_fit_2
        (0.9, 0.655137863), (0.65, 0.718956123), (0.4, 0.760846528),
    ],
)
def test_finite_flange(ratio, expected):
    assert ports.flange_end(0.05, 0.05 / ratio) / 0.05 == pytest.approx(expected, rel=1e-8)

"""Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells: square plates at rest.

Deflection at the middle over q a^4 / D and P a^2 / D, tables 8, 23, 35 and 37, printed to three
digits; from memory.
"""

import math

import pytest

from speakerwright.acoustics.plates import driven, fields, sheets

SOURCE = "Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells"
CHECKS = [
    (driven.amplitudes, SOURCE, "memory"),
    (driven.volume_compliance, f"{SOURCE}, Navier's series", "recomputed"),
    (fields.Modes.at, SOURCE, "memory"),
    (fields.Modes.volume, f"{SOURCE}, Navier's series", "recomputed"),
]
SHEET = sheets.isotropic(0.01, 10e9, 0.3, 700.0, 0.0)
STILL = [1e-4]
PRESSED = driven.Drive(STILL, [1.0], [1.0], [0.0])
PUSHED = driven.Drive(STILL, [1.0], [0.0], [1.0], (0.5, 0.5))


def square(edge):
    return fields.modes(fields.Field(1.0, 1.0, SHEET, fields.Edges.all(edge)))


@pytest.mark.parametrize(
    ("edge", "drive", "expected", "digit"),
    [
        ("supported", PRESSED, 0.00406, 5e-6), ("clamped", PRESSED, 0.00126, 6e-6),
        ("supported", PUSHED, 0.01160, 4e-5), ("clamped", PUSHED, 0.00560, 3e-5),
    ],
)
def test_middle(edge, drive, expected, digit):
    """A load at one point is 0.3 % softer than the elements are."""
    found = square(edge)
    deflection = (found.at(0.5, 0.5) @ driven.amplitudes(found, drive))[0].real
    assert deflection * SHEET.bending_along == pytest.approx(expected, abs=digit)


def test_volume_by_naviers_series():
    odd = range(1, 60, 2)
    series = sum(64.0 / (math.pi**8 * m**2 * n**2 * (m**2 + n**2) ** 2) for m in odd for n in odd)
    found = driven.volume_compliance(square("supported")) * SHEET.bending_along
    assert found == pytest.approx(series, rel=1e-4)

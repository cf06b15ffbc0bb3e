"""M. V. Barton, J. Appl. Mech. 18, 129 (1951): square plates, one edge clamped, and all free.

Values read second hand, in the reference sheet of a public benchmark; made of beam shapes, so upper
bounds, up to 1 % above closer ones. Poisson's ratio 0.3.
"""

import numpy as np
import pytest

from speakerwright.acoustics.plates import fields, sheets

SOURCE = "Barton, J. Appl. Mech. 18, 129 (1951)"
CHECKS = [(fields.modes, SOURCE, "read"), (fields.frequency_parameter, SOURCE, "read")]
SHEET = sheets.isotropic(0.01, 10e9, 0.3, 700.0, 0.01)


@pytest.mark.parametrize(
    ("edges", "rigid", "expected"),
    [
        (("clamped", "free", "free", "free"), 0, [3.492, 8.525, 21.43, 27.33, 31.11, 54.44]),
        (("free",) * 4, 3, [13.49, 19.79, 24.43, 35.02, 35.02]),
    ],
)
def test_square(edges, rigid, expected):
    field = fields.Field(1.0, 1.0, SHEET, fields.Edges(*edges))
    found = fields.frequency_parameter(
        fields.modes(field, rigid + len(expected)), SHEET.bending_along)[rigid:]
    ratio = np.array(expected) / found
    assert np.all(ratio > 0.9995)
    assert np.all(ratio < 1.011)

"""EN 315: tolerances of the thickness of sanded plywood; formula read second hand."""

import pytest

from speakerwright.acoustics.plates import sheets

CHECKS = [(sheets.sanded_thickness_limits, "EN 315", "read")]


@pytest.mark.parametrize(
    ("nominal", "thinnest", "thickest"),
    [
        pytest.param(12e-3, 11.24e-3, 12.56e-3, id="ply_tol.1"),
        pytest.param(18e-3, 17.06e-3, 18.74e-3, id="ply_tol.3"),
        pytest.param(24e-3, 22.88e-3, 24.92e-3, id="ply_tol.5"),
    ],
)
def test_limits(nominal, thinnest, thickest):
    assert sheets.sanded_thickness_limits(nominal) == pytest.approx((thinnest, thickest), rel=1e-9)

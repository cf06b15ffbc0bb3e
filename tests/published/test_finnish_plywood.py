"""Handbook of Finnish Plywood: birch throughout, moduli in bending, and mean thickness.

The table is from memory; a law with plies of 17.5 GPa that gives all its digits was worked out
apart from this program.
"""

import pytest

from speakerwright.acoustics.plates import sheets

SOURCE = "Handbook of Finnish Plywood (2002)"
CHECKS = [
    (sheets.lamination_moduli, SOURCE, "recomputed"),
    (sheets.lamination_moduli, f"{SOURCE}, its table", "memory"),
    (sheets.plies_for, f"{SOURCE}, its table", "memory"),
    (sheets.sheet_of, f"{SOURCE}, its table", "memory"),
]


def build(count):
    return [1.1e-3, *[1.4e-3] * (count - 2), 1.1e-3]


@pytest.mark.parametrize(
    ("count", "along", "across"),
    [
        pytest.param(5, 12737.2742e6, 4762.72583e6, id="ply_lamination.1"),
        pytest.param(13, 10048.3145e6, 7451.68547e6, id="ply_lamination.3"),
        pytest.param(11, 10315.7945e6, 7184.20553e6, id="ply_lamination.5"),
        pytest.param(17, 9716.61148e6, 7783.38852e6, id="ply_lamination.7"),
    ],
)
def test_lamination(count, along, across):
    assert sheets.lamination_moduli(build(count), 17.5e9) == pytest.approx(
        (along, across), rel=1e-8)


@pytest.mark.parametrize(
    ("nominal", "count", "mean", "along", "across"),
    [
        (9e-3, 7, 9.2e-3, 11395e6, 6105e6), (12e-3, 9, 12.0e-3, 10719e6, 6781e6),
        (15e-3, 11, 14.8e-3, 10316e6, 7184e6), (18e-3, 13, 17.6e-3, 10048e6, 7452e6),
        (21e-3, 15, 20.4e-3, 9858e6, 7642e6), (24e-3, 17, 23.2e-3, 9717e6, 7783e6),
    ],
)
def test_table(nominal, count, mean, along, across):
    """The table's moduli are whole MPa; sheets measure from its mean to the nominal thickness."""
    for thickness in (nominal, mean):
        birch = sheets.MATERIALS["birch plywood"]
        assert len(sheets.plies_for(thickness, birch.moduli)) == count
        sheet = sheets.sheet_of("birch plywood", thickness)
        assert sheet.along == pytest.approx(along, abs=0.5e6)
        assert sheet.across == pytest.approx(across, abs=0.5e6)

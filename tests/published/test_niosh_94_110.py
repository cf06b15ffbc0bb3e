"""NIOSH 94-110 (revised 2021), Applications manual for the revised NIOSH lifting equation.

Equation and the table of the asymmetry multiplier read second hand; cases recomputed from it. Of
table 5 the column up to an hour and the head of that up to two hours were read second hand, the
rest is from memory.
"""

import pytest

from speakerwright.acoustics.safety import lifting
from speakerwright.acoustics.safety.lifting import Lift

SOURCE = "NIOSH 94-110 (revised 2021)"
CHECKS = [
    (lifting.recommended_weight, SOURCE, "recomputed"),
    (lifting.lifting_index, SOURCE, "recomputed"),
    (lifting.multipliers, f"{SOURCE}, tables", "read"),
    (lifting.frequency_multiplier, f"{SOURCE}, table 5 up to an hour", "read"),
    (lifting.frequency_multiplier, f"{SOURCE}, table 5", "memory"),
]


@pytest.mark.parametrize(
    ("lift", "mass", "limit", "index"),
    [
        pytest.param(Lift(0.25, 0.75, 0.25, 0.0, "good"), 20.0, 23.0, 0.869565217,
                     id="niosh_rwl.1"),
        pytest.param(Lift(0.45, 0.25, 0.40, 30.0, "poor"), 20.0, 8.2401295, 2.42714632,
                     id="niosh_rwl.3"),
        pytest.param(Lift(0.50, 0.10, 1.00, 0.0, "fair", per_minute=3.0), 35.0, 6.69446855,
                     5.22819694, id="niosh_rwl.5"),
    ],
)
def test_cases(lift, mass, limit, index):
    assert lifting.recommended_weight(lift) == pytest.approx(limit, rel=1e-8)
    assert lifting.lifting_index(mass, lift) == pytest.approx(index, rel=1e-8)


@pytest.mark.parametrize(
    ("turn", "multiplier"),
    [(0, 1.0), (15, 0.95), (30, 0.90), (45, 0.86), (60, 0.81), (75, 0.76), (90, 0.71), (105, 0.66),
     (120, 0.62), (135, 0.57), (136, 0.0)],
)
def test_asymmetry_table(turn, multiplier):
    found = lifting.multipliers(Lift(0.25, 0.75, 0.25, turn))["asymmetry"]
    assert found == pytest.approx(multiplier, abs=0.0051)


@pytest.mark.parametrize(("hands", "multiplier"), [(0.0, 0.78), (0.75, 1.0), (1.75, 0.70),
                                                   (1.76, 0.0)])
def test_vertical(hands, multiplier):
    found = lifting.multipliers(Lift(0.25, hands, 0.25))["vertical"]
    assert found == pytest.approx(multiplier, abs=0.0051)


RATES = (0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16)
READ = (1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.8, 0.75, 0.7, 0.6, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31,
        0.28, 0.0)


def test_table_5_up_to_an_hour():
    assert [lifting.frequency_multiplier(r, 1.0, 0.75) for r in RATES] == list(READ)
    low = [lifting.frequency_multiplier(r, 1.0, 0.74) for r in RATES]
    assert low == [*READ[:14], 0.0, 0.0, 0.0, 0.0]


@pytest.mark.parametrize(
    ("hours", "hands", "column"),
    [
        (2.0, 0.75, "95 92 88 84 79 72 60 50 42 35 30 26 23 21 0 0 0 0"),
        (2.0, 0.0, "95 92 88 84 79 72 60 50 42 35 30 26 0 0 0 0 0 0"),
        (8.0, 0.75, "85 81 75 65 55 45 35 27 22 18 15 13 0 0 0 0 0 0"),
        (8.0, 0.0, "85 81 75 65 55 45 35 27 22 18 0 0 0 0 0 0 0 0"),
    ],
)
def test_table_5_from_memory(hours, hands, column):
    found = [100.0 * lifting.frequency_multiplier(r, hours, hands) for r in RATES]
    assert found == pytest.approx([float(value) for value in column.split()])

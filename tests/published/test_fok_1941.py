"""V. A. Fok 1941 on holes in a screen: his series, read second hand as coded in an open program."""

import math

import numpy as np
import pytest

from speakerwright.acoustics import screens

SOURCE = "Fok 1941, series read as coded in an open program"
CHECKS = [(screens.hole_interaction, SOURCE, "read")]
OWN = [(screens.hole_interaction, "own sum over a square lattice of small holes")]


def test_series_by_hand():
    """At 25 % open x = 1/2: the thirteen terms over powers of two."""
    terms = {0: 1.0, 1: -1.40925, 3: 0.33818, 5: 0.06793, 6: -0.02287, 7: 0.03015, 8: -0.01641,
             9: 0.01729, 10: -0.01248, 11: 0.01205, 12: -0.00985}
    total = sum(value / 2**power for power, value in terms.items())
    assert total == pytest.approx(0.339609, abs=1e-6)
    assert float(screens.hole_interaction(0.25)) == pytest.approx(total, rel=1e-12)


def test_few_holes_against_the_lattice():
    """The field of all other holes at one hole: 3.900265 over their spacing, by Ewald's sums.

    A hole of radius a in a thin sheet has pi/4 a at each side; the others take 3.900265 a^2 / 2b.
    Fok's first coefficient is for a round cell, the lattice's 0.6 % below.
    """
    order = np.arange(-6, 7)
    reach = np.hypot(*np.meshgrid(order, order)).ravel()
    reach = reach[reach > 0.0]
    constant = 4.0 - 2.0 * sum(math.erfc(math.sqrt(math.pi) * r) / r for r in reach)
    assert constant == pytest.approx(3.900265, abs=1e-6)
    lattice = constant / 2.0 / (math.pi / 4.0) / math.sqrt(math.pi)
    share = 1e-6
    slope = (1.0 - float(screens.hole_interaction(share))) / math.sqrt(share)
    assert slope == pytest.approx(lattice, rel=0.01)

"""Levy's exact solution, two opposite edges supported: turning springs, and a brace on the middle.

W = sin(k x) times sines and hyperbolic sines across; the characteristic equations are set up here,
as in Leissa, J. Sound Vib. 31, 257 (1973), section 4, and solved to 1e-12. Recomputed.
"""

import itertools
import math

import numpy as np
import pytest
from scipy.linalg import eigh
from scipy.optimize import brentq

from speakerwright.acoustics.plates import fields, sheets

SOURCE = "Levy's solution with springs and ribs (Timoshenko and Woinowsky-Krieger)"
CHECKS = [(fields.modes, SOURCE, "recomputed")]
SHEET = sheets.isotropic(0.01, 10e9, 0.3, 700.0, 0.01)
D = SHEET.bending_along
HIGH = 0.8  # across the supported edges, which lie 1 m apart


def roots(parameter):
    """Wave numbers across, of the sines and of the hyperbolic sines, for one half wave along."""
    return math.sqrt(parameter - math.pi**2), math.sqrt(parameter + math.pi**2)


@pytest.mark.parametrize("spring", [0.5, 5.0, 50.0])
def test_edges_that_turn_against_springs(spring):
    """Even about the middle; D W'' = -r W' and W = 0 at the edge."""

    def equation(parameter):
        s, h = roots(parameter)
        x, y = s * HIGH / 2, h * HIGH / 2
        bend = -s**2 - h**2  # W = cos / cos - cosh / cosh at the edge
        return bend + spring * (-s * math.tan(x) - h * math.tanh(y))

    low = math.pi**2 * (1 + 1 / HIGH**2)
    exact = brentq(equation, low * (1 + 1e-9), low * 1.9, xtol=1e-12)
    field = fields.Field(1.0, HIGH, SHEET, fields.Edges.all("supported", spring * D))
    wide, high = fields._lines(field, 8)
    stiffness, mass = fields._plate(field, wide, high)
    # Levy's edges turn freely: take the springs of the left and right edge out again
    sides = [wide.shapes([x], 1)[0] for x in (0.0, 1.0)]
    stiffness -= spring * D * np.kron(sum(np.outer(s, s) for s in sides), high.mass)
    first = eigh(stiffness, mass, eigvals_only=True)[0]
    assert math.sqrt(first * SHEET.mass_per_area / D) == pytest.approx(exact, rel=2e-4)


@pytest.mark.parametrize(("rib", "weight"), [(0.3, 0.0), (3.0, 0.0), (3.0, 2.0), (30.0, 0.5)])
def test_a_brace_on_the_middle(rib, weight):
    """W' = 0 and 2 D W''' = (E I k^4 - m' w^2) W at the brace, W = W'' = 0 at the edge."""

    def equation(parameter):
        s, h = roots(parameter)
        x, y = s * HIGH / 2, h * HIGH / 2
        # W = sin / (s cos) - sinh / (h cosh): no slope at the brace
        jump = 2.0 * (-s**2 - h**2)
        load = rib * math.pi**4 - weight / SHEET.mass_per_area * parameter**2
        return jump - load * (math.tan(x) / s - math.tanh(y) / h)

    low = math.pi**2
    exact = next(
        brentq(equation, a, b, xtol=1e-12)
        for a, b in _brackets(equation, low * 1.001, low * 8.0))
    brace = fields.Brace("x", HIGH / 2, rib * D, mass_per_length=weight)
    field = fields.Field(1.0, HIGH, SHEET, fields.Edges.all("supported"), braces=(brace,))
    found = fields.frequency_parameter(fields.modes(field, 6), D)
    assert min(abs(found / exact - 1.0)) < 3e-4


def _brackets(equation, low, high):
    """Where the equation passes through zero, leaving out its poles."""
    steps = [low + (high - low) * k / 4000 for k in range(4001)]
    for a, b in itertools.pairwise(steps):
        before, after = equation(a), equation(b)
        if before * after < 0.0 and abs(before) + abs(after) < 60.0:
            yield a, b

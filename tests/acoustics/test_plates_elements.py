"""Hermite lines: integrals by hand, exact cubics, and uneven nodes."""

from __future__ import annotations

import numpy as np
import pytest

from speakerwright.acoustics.plates import elements

UNEVEN = [0.0, 0.3, 0.5, 1.2]


def cubic(along, polynomial):
    """Values and slopes of a polynomial at the nodes, in the line's own scale."""
    scale = along.length / (len(along.nodes) - 1)
    turned = np.polynomial.polynomial.polyder(polynomial)
    values = np.empty(2 * len(along.nodes))
    values[::2] = np.polynomial.polynomial.polyval(along.nodes, polynomial)
    values[1::2] = np.polynomial.polynomial.polyval(along.nodes, turned) * scale
    return values[along.kept]


def test_cubics_are_exact_with_uneven_nodes():
    """1 + 2 x - x^2 + 3 x^3 over 1.2 m, its derivatives and energies."""
    polynomial = np.array([1.0, 2.0, -1.0, 3.0])
    along = elements.line(UNEVEN, "free", "free")
    values = cubic(along, polynomial)
    x = np.array([0.0, 0.1, 0.3, 0.7, 1.2])
    for order in (0, 1, 2):
        want = np.polynomial.polynomial.polyder(polynomial, order)
        found = along.shapes(x, order) @ values
        assert found == pytest.approx(np.polynomial.polynomial.polyval(x, want), rel=1e-11)
        square = np.polynomial.polynomial.polyint(np.polynomial.polynomial.polymul(want, want))
        matrix = (along.mass, along.slope, along.bend)[order]
        assert values @ matrix @ values == pytest.approx(
            np.polynomial.polynomial.polyval(1.2, square), rel=1e-11)
    twice = np.polynomial.polynomial.polyder(polynomial, 2)
    mixed = np.polynomial.polynomial.polyint(np.polynomial.polynomial.polymul(twice, polynomial))
    assert values @ along.cross @ values == pytest.approx(
        np.polynomial.polynomial.polyval(1.2, mixed), rel=1e-11)


def test_element_mass_by_hand():
    """156/420, 22/420 and 4/420 of one element of unit length."""
    along = elements.line([0.0, 1.0], "free", "free")
    assert 420.0 * along.mass[0, :3] == pytest.approx([156.0, 22.0, 54.0], rel=1e-12)
    assert along.bend[0, 0] == pytest.approx(12.0, rel=1e-12)
    assert along.slope[0, 0] == pytest.approx(1.2, rel=1e-12)


@pytest.mark.parametrize(
    ("first", "last", "supports", "left"),
    [("free", "free", (), 8), ("clamped", "free", (), 6), ("supported", "clamped", (), 5),
     ("supported", "supported", (0.5,), 5)],
)
def test_what_an_edge_takes_away(first, last, supports, left):
    along = elements.line(UNEVEN, first, last, supports)
    assert len(along.kept) == left == len(along.mass)
    if supports:
        assert np.all(along.shapes(supports) == 0.0)
    if first == "clamped":
        assert np.all(along.shapes([0.0], 1) == 0.0)


def test_nodes():
    assert elements.nodes_between(1.0, [], 4) == pytest.approx([0, 0.25, 0.5, 0.75, 1])
    found = elements.nodes_between(1.0, [0.4, 0.41], 5)
    assert found == pytest.approx([0, 0.2, 0.4, 0.405, 0.41, 0.41 + 0.59 / 3, 1 - 0.59 / 3, 1])


def test_refusals():
    with pytest.raises(ValueError, match="clamped, supported or free"):
        elements.line([0.0, 1.0], "glued", "free")
    with pytest.raises(ValueError, match="at a node"):
        elements.line(UNEVEN, "free", "free", (0.4,))

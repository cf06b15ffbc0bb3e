"""Fields: convergence, grain, braces, masses, and limits of what a plate may be."""

from __future__ import annotations

import math

import numpy as np
import pytest

from speakerwright.acoustics.plates import fields, sheets
from speakerwright.acoustics.plates.fields import Brace, Edges, Field, PointMass

EVEN = sheets.isotropic(0.01, 10e9, 0.3, 700.0, 0.01)
PLY = sheets.sheet_of("birch plywood", 18e-3)
SUPPORTED = Edges.all("supported")
D = EVEN.bending_along


def first(field, elements=8):
    return fields.modes(field, 1, elements).frequency[0]


def parameters(count=3, **more):
    field = Field(1.0, 1.0, EVEN, SUPPORTED, **more)
    return fields.frequency_parameter(fields.modes(field, count), D) / math.pi**2


def test_error_falls_with_the_fourth_power_of_the_elements():
    errors = [
        fields.frequency_parameter(fields.modes(Field(1.0, 1.0, EVEN, SUPPORTED), 1, n), D)[0]
        / (2.0 * math.pi**2) - 1.0 for n in (2, 4, 8)]
    assert errors[0] / errors[1] == pytest.approx(16.0, rel=0.05)
    assert errors[1] / errors[2] == pytest.approx(16.0, rel=0.05)
    assert 0.0 < errors[2] < 1e-5


def test_modes_are_of_mass_one_and_apart():
    found = fields.modes(Field(0.3, 0.5, PLY, masses=(PointMass(0.1, 0.2, 0.5),)), 5)
    whole = np.kron(found.across.mass, found.up.mass) * PLY.mass_per_area
    flat = found.coefficients.reshape(5, -1)
    added = 0.5 * np.outer(found.at(0.1, 0.2), found.at(0.1, 0.2))
    assert flat @ whole @ flat.T + added == pytest.approx(np.eye(5), abs=1e-9)
    assert np.all(np.diff(found.frequency) > 0.0)
    assert not found.frequency.flags.writeable


def test_shapes_of_a_supported_plate():
    """2 / sqrt(m a b) sin sin; its volume is 8 a b / (pi^2 sqrt(m a b)); the second has none."""
    field = Field(0.5, 0.4, EVEN, SUPPORTED)
    found = fields.modes(field, 2)
    root = math.sqrt(7.0 * 0.2)
    assert abs(found.at(0.25, 0.2)[0]) == pytest.approx(2.0 / root, rel=1e-4)
    assert abs(found.volume[0]) == pytest.approx(8.0 * 0.2 / math.pi**2 / root, rel=1e-5)
    assert abs(found.volume[1]) < 1e-9
    cells = found.cell_means(5, 3)
    assert cells.shape == (2, 3, 5)
    assert np.mean(cells[0]) * 0.2 == pytest.approx(found.volume[0], rel=1e-9)
    edge = (1.0 - math.cos(math.pi / 5)) * 5 / math.pi  # mean of a sine over the first fifth
    middle = math.sin(math.pi / 6) * 6 / math.pi  # and over the middle third
    assert abs(cells[0, 1, 0]) == pytest.approx(2.0 / root * edge * middle, rel=1e-4)


def test_grain_along_the_short_span_is_stiffer():
    """Turning the sheet is turning the field."""
    lying = Field(0.5, 0.25, PLY, grain="x")
    standing = Field(0.5, 0.25, PLY, grain="y")
    assert first(standing) > 1.05 * first(lying)
    turned = Field(0.25, 0.5, PLY, grain="y")
    assert first(turned) == pytest.approx(first(lying), rel=1e-9)
    assert lying.area == 0.125
    assert lying.bending == (PLY.bending_along, PLY.bending_across)


def test_edges_part_way():
    """From supported to clamped as the springs grow: 19.739 to 35.985."""
    found = [first(Field(1.0, 1.0, EVEN, Edges.all("supported", D * spring)))
             for spring in (0.0, 1.0, 10.0, 100.0, 1e7)]
    assert np.all(np.diff(found) > 0.0)
    assert found[0] == first(Field(1.0, 1.0, EVEN, SUPPORTED))
    assert found[-1] == pytest.approx(first(Field(1.0, 1.0, EVEN)), rel=1e-5)
    clamped = Field(1.0, 1.0, EVEN, Edges.all("clamped", D))
    assert first(clamped) == first(Field(1.0, 1.0, EVEN))


def test_a_brace_lifts_only_what_moves_it():
    """On the middle line of a square: 2, 5, 5 become 5, 5 + and 8 as it grows stiff (over pi^2)."""
    plain = parameters()
    assert plain == pytest.approx([2.0, 5.0, 5.0], rel=3e-4)
    stiff = parameters(braces=(Brace("x", 0.5, 1e6 * D),))
    rigid = parameters(braces=(Brace("x", 0.5),))
    assert stiff == pytest.approx(rigid, rel=1e-4)
    assert rigid[0] == pytest.approx(5.0, rel=3e-4)
    # the even mode turns over the line as if it were clamped there: two supported-clamped halves
    assert rigid[1] == pytest.approx(69.3270137 / math.pi**2, rel=1e-3)
    assert parameters(braces=(Brace("y", 0.5),)) == pytest.approx(rigid, rel=1e-9)


def test_a_brace_that_twists_holds_the_turning_too():
    turned = parameters(braces=(Brace("x", 0.5, twist=1e7 * D),))
    assert turned[:2] == pytest.approx([69.3270137 / math.pi**2] * 2, rel=1e-3)


def test_a_light_brace_by_rayleigh():
    """First mode, brace on the middle: 4 pi^4 D + 2 E I pi^4 over m + 2 m', to first order."""
    small = 1e-4
    brace = Brace("x", 0.5, small * D, mass_per_length=2.0 * small * 7.0)
    ratio = parameters(1, braces=(brace,))[0] / parameters(1)[0]
    assert ratio - 1.0 == pytest.approx(0.5 * (0.5 * small - 4.0 * small), rel=0.01)


def test_brace_off_the_middle_and_along_the_other_side():
    one = first(Field(0.4, 0.6, PLY, SUPPORTED, grain="y", braces=(Brace("x", 0.25, 300.0),)))
    other = first(Field(0.6, 0.4, PLY, SUPPORTED, grain="x", braces=(Brace("y", 0.25, 300.0),)))
    assert one == pytest.approx(other, rel=1e-9)


def test_point_mass_by_series():
    """1 / M = w^2 sum phi^2 / (w_n^2 - w^2) over sines, at a third and a half, 0.2 kg on 7 kg."""
    from scipy.optimize import brentq

    m, n = np.meshgrid(np.arange(1, 400), np.arange(1, 400))
    own = math.pi**2 * (m**2 + n**2) * math.sqrt(D / 7.0)
    shape = 4.0 / 7.0 * (np.sin(m * math.pi / 3) * np.sin(n * math.pi / 2)) ** 2
    omega = brentq(lambda w: 0.2 * w**2 * np.sum(shape / (own**2 - w**2)) - 1.0, 10.0,
                   own.min() * 0.999)
    field = Field(1.0, 1.0, EVEN, SUPPORTED, masses=(PointMass(1 / 3, 0.5, 0.2),))
    assert 2.0 * math.pi * first(field, 12) == pytest.approx(omega, rel=2e-4)


def test_batten_by_hand():
    """20 by 40 mm, 12 GPa, on 18 mm: own 1280 N m^2; about the panel 9.6e6 x 29 mm squared more."""
    low, high = fields.batten_stiffness(12e9, 0.02, 0.04, PLY)
    assert low == pytest.approx(1280.0, rel=1e-12)
    assert high == pytest.approx(1280.0 + 9.6e6 * 0.029**2, rel=1e-12)


def test_all_modes_or_some():
    field = Field(0.3, 0.5, PLY)
    everything, some = fields.modes(field), fields.modes(field, 4)
    assert len(everything.frequency) == 196
    assert some.frequency == pytest.approx(everything.frequency[:4], rel=1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Field(0.08, 0.5, PLY), "too small for its thickness"),
        (lambda: Field(0.0, 0.5, PLY), "width"),
        (lambda: Field(0.3, 0.5, PLY, grain="z"), "grain"),
        (lambda: Field(0.3, 0.5, PLY, braces=(Brace("x", 0.5),)), "brace must lie within"),
        (lambda: Field(0.3, 0.5, PLY, braces=(Brace("y", 0.4),)), "brace must lie within"),
        (lambda: Field(0.3, 0.5, PLY, masses=(PointMass(0.4, 0.1, 1.0),)), "mass must lie within"),
        (lambda: Brace("z", 0.1), "along x or y"),
        (lambda: Brace("x", 0.1, -1.0), "negative"),
        (lambda: Brace("x", 0.1, 1.0, math.inf), "negative"),
        (lambda: PointMass(0.1, 0.1, 0.0), "above zero"),
        (lambda: Edges("glued"), "clamped, supported or free"),
        (lambda: Edges(rotation=-1.0), "turning"),
        (lambda: Edges(rotation=math.inf), "turning"),
        (lambda: fields.modes(Field(0.3, 0.5, PLY), None, 25), "2 to 24"),
        (lambda: fields.batten_stiffness(1e9, 0.0, 0.1, PLY), "width"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()

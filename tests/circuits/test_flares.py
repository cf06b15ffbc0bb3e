"""Horns, tapers and fill as parts: limits, reciprocity and passivity, alone and in a network."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speakerwright.acoustics import horns, linings, profiles
from speakerwright.acoustics.air import Air
from speakerwright.acoustics.linings import Fill
from speakerwright.circuits.network import Network
from speakerwright.circuits.parts import (
    GROUND,
    Capacitor,
    Duct,
    FilledBox,
    Flare,
    Resistor,
    VoltageSource,
)

AIR = Air()
F = np.geomspace(10.0, 3000.0, 25)

fills = st.one_of(
    st.none(),
    st.builds(Fill, st.floats(200.0, 4e4), st.one_of(st.none(), st.floats(3.0, 100.0))),
)


@st.composite
def flares(draw):
    area, ratio = draw(st.floats(5e-4, 0.1)), draw(st.floats(0.1, 30.0))
    flare = draw(st.sampled_from([None, 1.0, 0.0, 0.5] if ratio > 1.001 else [None, 1.0]))
    shape = draw(st.floats(2 * math.sqrt(math.pi), 8.0))
    return Flare(
        "h", "p", "q", area, shape * math.sqrt(area), draw(st.floats(0.05, 3.0)), AIR,
        draw(st.integers(1, 3)), draw(fills), end_area=ratio * area, flare=flare,
    )


@given(part=flares())
@settings(max_examples=60, deadline=None)
def test_a_flare_is_reciprocal_and_passive(part):
    chain = part.matrix(F)
    (a, b), (c, d) = np.moveaxis(chain, 0, -1)
    assert np.all(np.abs(a * d - b * c - 1.0) < 1e-10 * (1.0 + np.abs(a * d)))
    # Impedance matrix [[a, 1], [1, d]] / c: its Hermitian part takes power for any flows.
    z = np.stack([np.stack([a, np.ones_like(a)], -1), np.stack([np.ones_like(a), d], -1)], -2)
    z = z / c[:, None, None]
    eigenvalues = np.linalg.eigvalsh(0.5 * (z + np.conj(np.swapaxes(z, -1, -2))))
    assert np.all(eigenvalues.min(axis=-1) > -1e-9 * np.abs(z).max(axis=(-1, -2)))
    assert np.all(eigenvalues.max(axis=-1) > 0.0)


@given(part=flares(), share=st.floats(0.05, 1.0), face=st.one_of(st.none(), st.floats(0.05, 1.0)))
@settings(max_examples=30, deadline=None)
def test_in_a_network_power_goes_in_and_the_ends_change_places(part, share, face):
    box = FilledBox("box", "q", GROUND, 0.03, share, Fill(4000.0, 12.0), AIR, face)
    load = Resistor("r", "p", GROUND, 5e4)
    parts = (part, box, load)
    solved = Network((VoltageSource("e", "p", GROUND), *parts)).solve(F)
    assert np.all((np.conj(solved.voltage("p")) * solved.current("e")).real > 0.0)
    forward, back = (
        Network((VoltageSource("e", drive, GROUND), VoltageSource("s", short, GROUND, 0.0),
                 *parts)).solve(F).current("s")
        for drive, short in (("p", "q"), ("q", "p"))
    )
    assert np.allclose(forward, back, rtol=1e-9, atol=1e-14)


@pytest.mark.parametrize("fill", [None, Fill(3000.0, 10.0)])
@pytest.mark.parametrize("flare", [None, 1.0])
def test_an_even_flare_is_a_duct(fill, flare):
    duct = Duct("d", "a", "b", 0.012, 0.45, 1.8, AIR, 2, fill)
    even = Flare("d", "a", "b", 0.012, 0.45, 1.8, AIR, 2, fill, end_area=0.012, flare=flare)
    assert np.allclose(even.matrix(F), duct.matrix(F), rtol=1e-10, atol=1e-18)


def test_a_filled_duct_is_the_line_of_its_fill():
    fill = Fill(5000.0)
    propagation, impedance = linings.line(F, 0.02, fill, AIR)
    chain = Duct("d", "a", "b", 0.02, 0.6, 0.7, AIR, fill=fill).matrix(F)
    assert np.allclose(chain[:, 0, 0], np.cosh(0.7 * propagation), rtol=1e-12)
    assert np.allclose(chain[:, 0, 1], impedance * np.sinh(0.7 * propagation), rtol=1e-12)
    assert np.allclose(chain[:, 1, 0], np.sinh(0.7 * propagation) / impedance, rtol=1e-12)


def test_a_flare_is_its_profile_with_the_perimeters_given():
    part = Flare("h", "a", "b", 0.006, 0.4, 0.8, AIR, end_area=0.09, end_perimeter=1.5, flare=0.6)
    shape = profiles.hyperbolic(0.006, 0.09, 0.8, 0.6)
    assert part.profile == shape
    assert np.allclose(part.matrix(F), horns.lossy_two_port(F, shape, (0.4, 1.5), AIR), rtol=1e-12)
    kept = Flare("h", "a", "b", 0.006, 0.4, 0.8, AIR, end_area=0.024)
    cone = profiles.conical(0.006, 0.024, 0.8)
    expected = horns.lossy_two_port(F, cone, (0.4, 0.8), AIR)
    assert np.allclose(kept.matrix(F), expected, rtol=1e-12)


def test_equal_flares_side_by_side_share_the_flow():
    one, three = (
        Flare("h", "a", "b", 0.006, 0.4, 0.8, AIR, count, end_area=0.02).matrix(F)
        for count in (1, 3)
    )
    assert np.allclose(three[:, 0, 1], one[:, 0, 1] / 3, rtol=1e-12)
    assert np.allclose(three[:, 1, 0], one[:, 1, 0] * 3, rtol=1e-12)


def test_a_box_without_fill_is_a_capacitor_and_a_full_one_grows():
    empty = FilledBox("b", "p", GROUND, 0.03, 0.0, Fill(4000.0), AIR)
    plain = Capacitor("c", "p", GROUND, 0.03 / (AIR.density * AIR.speed**2))
    omega = 2 * math.pi * F
    assert np.allclose(empty.impedance(omega), plain.impedance(omega), rtol=1e-12)
    full = FilledBox("b", "p", GROUND, 0.03, 1.0, Fill(4000.0), AIR).impedance(omega[:1])
    assert abs(plain.impedance(omega[:1]) / full)[0] == pytest.approx(AIR.heat_ratio, rel=5e-3)
    assert np.all(full.real > 0.0)


def test_a_tapered_pipe_resonates_below_its_quarter_wave():
    # Closed at its wide end: p over U at the driver peaks at the first resonance.
    taper = Flare("t", "p", "q", 0.03, 0.7, 2.0, AIR, end_area=0.01)
    mode = profiles.closed_open_modes(taper.profile, AIR.speed, 1)[0]
    assert mode < AIR.speed / 8.0
    f = np.linspace(0.9 * mode, 1.1 * mode, 801)
    mouth = Resistor("r", "q", GROUND, 1e-3)
    into = Network((VoltageSource("e", "p", GROUND), taper, mouth)).solve(f).current("e")
    peak = f[np.argmin(np.abs(into))]
    assert peak == pytest.approx(mode, rel=5e-3)  # wall losses slow the wave a little
    assert peak < mode

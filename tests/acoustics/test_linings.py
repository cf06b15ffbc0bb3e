"""Fill: its limits, its passivity, its agreement with the law fitted to measurements."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import linings
from speakerwright.acoustics.air import Air
from speakerwright.acoustics.linings import Fill

AIR = Air()


def test_at_low_frequency_the_air_is_isothermal_and_the_drag_static():
    fill = Fill(8000.0)
    f = np.array([1e-3])
    assert linings.bulk_modulus(f, fill, AIR)[0].real == pytest.approx(AIR.pressure, rel=1e-5)
    drag = 2j * math.pi * f * linings.effective_density(f, fill, AIR)
    assert drag[0].real == pytest.approx(8000.0, rel=1e-5)
    ratio = linings.volume_ratio(linings.box_compliance(f, 0.05, 1.0, fill, AIR), 0.05, AIR)
    assert ratio[0] == pytest.approx(AIR.heat_ratio, rel=1e-5)


def test_at_high_frequency_it_is_free_air():
    f = np.array([1e9])
    propagation, impedance = linings.relaxing(f, Fill(3000.0), AIR)
    assert propagation[0].imag == pytest.approx(2 * math.pi * f[0] / AIR.speed, rel=2e-3)
    assert abs(impedance[0]) == pytest.approx(AIR.impedance, rel=2e-3)


def test_heat_lags_by_its_own_time():
    # First order in frequency: K = p (1 + j w tau (gamma - 1) / 2 gamma).
    sigma, f = 5000.0, 0.05
    time = 2.0 * AIR.density / sigma * 0.71 * 2.0
    lag = linings.bulk_modulus([f], Fill(sigma), AIR)[0].imag / AIR.pressure
    expected = 2 * math.pi * f * time * (AIR.heat_ratio - 1.0) / (2.0 * AIR.heat_ratio)
    assert lag == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("sigma", [1000.0, 20000.0])
def test_it_agrees_with_the_fit_to_measured_fibres(sigma):
    f = sigma * np.geomspace(0.01, 1.0, 50)
    assert np.all(linings.within_fit(f[1:-1], sigma))
    found, expected = linings.relaxing(f, Fill(sigma), AIR), linings.miki(f, sigma, AIR)
    assert np.max(np.abs(found[0].real / expected[0].real - 1.0)) < 0.12
    assert np.max(np.abs(found[0].imag / expected[0].imag - 1.0)) < 0.11
    assert np.max(np.abs(np.abs(found[1]) / np.abs(expected[1]) - 1.0)) < 0.07


def test_the_range_of_the_fits():
    assert linings.within_fit([40.0, 60.0, 4000.0, 6000.0], 5000.0).tolist() == [
        False, True, True, False
    ]


fills = st.builds(
    Fill, st.floats(100.0, 1e5), st.one_of(st.none(), st.floats(2.0, 200.0))
)


@given(fill=fills, share=st.floats(0.01, 1.0), face=st.one_of(st.none(), st.floats(0.02, 2.0)))
def test_a_filled_box_only_takes_power(fill, share, face):
    f = np.geomspace(1.0, 5000.0, 60)
    compliance = linings.box_compliance(f, 0.04, share, fill, AIR, face)
    assert np.all((1.0 / (1j * compliance)).real > 0.0)
    propagation, impedance = linings.relaxing(f, fill, AIR)
    assert np.all((propagation.real > 0.0) & (impedance.real > 0.0))


def test_fibres_that_move_take_less_of_a_slow_wave():
    f = np.array([20.0, 2000.0])
    still = linings.relaxing(f, Fill(4000.0), AIR)[0].real
    moving = linings.relaxing(f, Fill(4000.0, 10.0), AIR)[0].real
    assert moving[0] < 0.5 * still[0]
    assert moving[1] == pytest.approx(still[1], rel=0.1)
    # When drag is strong, air and fibres move as one mass.
    both = linings.effective_density([0.01], Fill(4000.0, 10.0), AIR)[0]
    assert both.real == pytest.approx(AIR.density + 10.0, rel=1e-3)


def test_an_empty_share_is_air_and_a_thin_layer_is_even():
    f = np.array([30.0, 90.0])
    plain = 0.04 / (AIR.density * AIR.speed**2)
    fill = Fill(6000.0)
    assert np.allclose(linings.box_compliance(f, 0.04, 0.0, fill, AIR, 0.3), plain, rtol=1e-14)
    even = linings.box_compliance(f, 0.04, 0.1, fill, AIR)
    assert np.allclose(linings.box_compliance(f, 0.04, 0.1, fill, AIR, 5.0), even, rtol=1e-4)


def test_a_layer_before_a_wall_adds_a_third_of_its_drag():
    # Elementary: the flow falls evenly to nothing at the wall, so R = sigma d / 3 S.
    sigma, face, f = 2000.0, 0.5, 1.0
    depth = 0.02 / face
    compliance = linings.box_compliance([f], 0.02, 1.0, Fill(sigma), AIR, face)
    still = linings.box_compliance([f], 0.02, 1.0, Fill(sigma), AIR)
    added = (1.0 / (2j * math.pi * f) * (1.0 / compliance - 1.0 / still)).real[0]
    assert added == pytest.approx(sigma * depth / (3.0 * face), rel=2e-3)


def test_q_of_the_absorption():
    # R in series with C: Q = 1 / (w C R), so C' = C / (1 + j w C R).
    assert linings.absorption_q([1e-7 / (1 + 0.05j)])[0] == pytest.approx(20.0, rel=1e-12)


def test_a_filled_line_has_its_area():
    wide, narrow = (linings.line([100.0], area, Fill(3000.0), AIR) for area in (0.02, 0.01))
    assert wide[0] == pytest.approx(narrow[0])
    assert narrow[1][0] == pytest.approx(2.0 * wide[1][0])


def test_fills_of_the_trade_are_in_order():
    assert len(linings.TRADE_FILLS) >= 5
    for fill in linings.TRADE_FILLS.values():
        assert 500.0 <= fill.flow_resistivity <= 5e4
        assert fill.bulk_density is not None


def test_what_cannot_be():
    with pytest.raises(ValueError, match="flow resistivity"):
        Fill(0.0)
    with pytest.raises(ValueError, match="bulk density"):
        Fill(3000.0, -1.0)
    with pytest.raises(ValueError, match="share"):
        linings.box_compliance([50.0], 0.04, 1.2, Fill(3000.0))
    with pytest.raises(ValueError, match="frequency"):
        linings.miki([0.0], 3000.0)

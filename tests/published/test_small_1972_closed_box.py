"""R. H. Small, Closed-box loudspeaker systems I and II, JAES 20(10) 1972 and 21(1) 1973.

Status recomputed: second-order high-pass algebra, computed apart from this program to nine digits.
"""

import pytest

from speakerwright.acoustics import alignments
from speakerwright.acoustics.air import StatedAir

SOURCE = "Small, Closed-box loudspeaker systems I and II, JAES 20(10) 1972, 21(1) 1973"
CHECKS = [
    (function, SOURCE, "recomputed")
    for function in (
        alignments.closed_f3_over_fc, alignments.closed_peak, alignments.closed_system,
        alignments.closed_volume, alignments.closed_response_db,
        alignments.closed_displacement_limited_power,
    )
]


@pytest.mark.parametrize(
    ("qtc", "ratio"),
    [
        pytest.param(0.5, 1.55377397, id="cb_f3_Q0.5"),
        pytest.param(0.577350269, 1.27201965, id="cb_f3_Q0.577"),
        pytest.param(0.6, 1.20906777, id="cb_f3_Q0.6"),
        pytest.param(0.707106781, 1.0, id="cb_f3_Q0.707"),
        pytest.param(0.8, 0.89716008, id="cb_f3_Q0.8"),
        pytest.param(1.0, 0.786151378, id="cb_f3_Q1"),
        pytest.param(1.2, 0.735815462, id="cb_f3_Q1.2"),
        pytest.param(1.5, 0.699345269, id="cb_f3_Q1.5"),
    ],
)
def test_half_power_point(qtc, ratio):
    assert alignments.closed_f3_over_fc(qtc) == pytest.approx(ratio, rel=1e-8)


@pytest.mark.parametrize(
    ("qtc", "peak", "ratio"),
    [
        pytest.param(0.8, 0.212953409, 2.13808994, id="cb_peak_Q0.8"),
        pytest.param(0.9, 0.687820108, 1.61644772, id="cb_peak_Q0.9"),
        pytest.param(1.0, 1.24938737, 1.41421356, id="cb_peak_Q1"),
        pytest.param(1.2, 2.41178023, 1.2377055, id="cb_peak_Q1.2"),
    ],
)
def test_peak(qtc, peak, ratio):
    assert alignments.closed_peak(qtc) == pytest.approx((peak, ratio), rel=1e-8)


@pytest.mark.parametrize(
    ("fs", "qts", "vas", "volume", "expected"),
    [
        pytest.param(31.0, 0.3777, 0.074, 0.025, (2.96, 61.6892211, 0.75161351, 58.2516983),
                     id="cb_sys_1"),
        pytest.param(62.0, 0.42, 0.0085, 0.006, (1.41666667, 96.3829169, 0.652916534, 105.040452),
                     id="cb_sys_2"),
    ],
)
def test_system(fs, qts, vas, volume, expected):
    found = alignments.closed_system(fs, qts, vas, volume)
    assert (found.alpha, found.fc, found.qtc, found.f3) == pytest.approx(expected, rel=1e-8)


def test_volume_for_a_wanted_q():
    # cb_design_1
    volume = alignments.closed_volume(0.3777, 0.074, 0.707106781)
    assert volume == pytest.approx(0.0295420591, rel=1e-8)
    found = alignments.closed_system(31.0, 0.3777, 0.074, volume)
    assert (found.alpha, found.fc, found.f3) == pytest.approx(
        (2.50490325, 58.0362992, 58.0362992), rel=1e-8
    )


def test_response():
    # cb_resp_1
    found = alignments.closed_response_db([15, 25, 40, 58, 80, 120, 250], 58.0, 0.75)
    assert list(found) == pytest.approx(
        [-23.4481114, -14.5900237, -6.94893232, -2.49877473, -0.642617955, -0.0115393691,
         0.0395433493],
        abs=1e-7,
    )


def test_displacement_limited_power():
    # par_cb_B2
    found = alignments.closed_displacement_limited_power(
        0.70710678, 45.0, 0.0002, StatedAir(1.2041, 343.2)
    )
    assert found == pytest.approx(0.0713731608, rel=1e-7)
    assert found / (45.0**4 * 0.0002**2) == pytest.approx(0.435135868, rel=1e-7)

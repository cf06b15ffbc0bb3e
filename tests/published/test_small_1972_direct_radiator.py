"""R. H. Small, Direct-radiator loudspeaker system analysis, JAES 20(5) 1972 (and Thiele 1961).

Status recomputed: the laws are his, the figures were computed apart from this program, invented
drivers, to nine digits.
"""

import math

import pytest

from speakerwright.acoustics import movingcoil, pistons
from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.movingcoil import MovingCoil

SOURCE = "Small, Direct-radiator loudspeaker system analysis, JAES 20(5) 1972"
CHECKS = [
    (function, SOURCE, "recomputed")
    for function in (
        MovingCoil.fs, MovingCoil.qms, MovingCoil.qes, MovingCoil.qts, MovingCoil.vas,
        MovingCoil.efficiency, MovingCoil.sensitivity_1w_db, MovingCoil.sensitivity_2v83_db,
        movingcoil.from_thiele_small, movingcoil.reference_efficiency,
        movingcoil.one_acoustic_watt_level_db, pistons.displacement_limited_level_db,
        pistons.displacement_for_level, pistons.pressure_from_volume_velocity,
        pistons.volume_velocity_for_level, pistons.radiated_power,
    )
]
AIR = StatedAir(1.2041, 343.2)
EXACT = 1e-8


@pytest.mark.parametrize(
    ("fs", "vas", "qes", "ratio", "level"),
    [
        pytest.param(31.0, 0.074, 0.41, 0.00525110671, -22.7974916, id="eta0_fs31"),
        pytest.param(62.0, 0.0085, 0.5, 0.00395677987, -24.0265811, id="eta0_fs62"),
    ],
)
def test_reference_efficiency(fs, vas, qes, ratio, level):
    eta = movingcoil.reference_efficiency(fs, vas, qes, 343.2)
    assert eta == pytest.approx(ratio, rel=EXACT)
    assert 10 * math.log10(eta) == pytest.approx(level, rel=EXACT)


@pytest.mark.parametrize(
    ("density", "speed", "level", "tolerance"),
    [
        # The first two are the rounded figures in use, so half a unit of their last digit.
        pytest.param(1.18, 345.0, 112.1, 0.05, id="ref_spl_1.18_345"),
        pytest.param(1.21, 343.0, 112.2, 0.05, id="ref_spl_1.21_343"),
        pytest.param(1.2041, 343.2, 112.1597, 0.00005, id="ref_spl_1.2041_343.2"),
    ],
)
def test_level_of_one_acoustic_watt(density, speed, level, tolerance):
    found = movingcoil.one_acoustic_watt_level_db(StatedAir(density, speed))
    assert found == pytest.approx(level, abs=tolerance)


@pytest.mark.parametrize(
    ("driver", "fs", "qms", "qes", "qts", "vas", "eta", "one_watt", "volts"),
    [
        pytest.param(
            MovingCoil(re=5.7, bl=9.1, mms=0.0302, cms=0.00082, rms=1.35, sd=0.0346),
            31.982303, 4.4953424, 0.417723219, 0.382207169, 0.139226904, 0.0106483336, 92.4325163,
            93.9094964, id="ts_from_mech_1",
        ),
        pytest.param(
            MovingCoil(re=6.2, bl=6.4, mms=0.0118, cms=0.00105, rms=0.85, sd=0.0132),
            45.2152023, 3.94391393, 0.507432285, 0.44958742, 0.0259474257, 0.00461623081,
            88.8025749, 89.9143867, id="ts_from_mech_2",
        ),
    ],
)
def test_parameters_from_mechanical_data(
    driver, fs, qms, qes, qts, vas, eta, one_watt, volts
):
    assert (driver.fs, driver.qms, driver.qes, driver.qts) == pytest.approx(
        (fs, qms, qes, qts), rel=EXACT
    )
    assert driver.vas(AIR) == pytest.approx(vas, rel=EXACT)
    assert driver.efficiency(AIR) == pytest.approx(eta, rel=EXACT)
    assert driver.sensitivity_1w_db(AIR) == pytest.approx(one_watt, rel=EXACT)
    assert driver.sensitivity_2v83_db(AIR) == pytest.approx(volts, rel=EXACT)


def test_mechanical_data_from_parameters():
    # mech_from_ts_A
    driver = movingcoil.from_thiele_small(
        fs=31.0, qes=0.41, qms=4.8, vas=0.074, sd=0.0346, re=5.7, air=AIR
    )
    assert (driver.cms, driver.mms, driver.rms, driver.bl) == pytest.approx(
        (0.000435835305, 0.0604775889, 2.45411434, 12.7971575), rel=EXACT
    )


@pytest.mark.parametrize(
    ("frequency", "sd", "excursion", "space", "level", "power"),
    [
        pytest.param(20.0, 0.0346, 0.008, pistons.HALF_SPACE, 89.4304702, 0.00533429514,
                     id="displim_20Hz_half"),
        pytest.param(40.0, 0.0132, 0.005, pistons.FULL_SPACE, 82.9986271, 0.00242617837,
                     id="displim_40Hz_full"),
    ],
)
def test_displacement_limit(frequency, sd, excursion, space, level, power):
    found = pistons.displacement_limited_level_db(
        frequency, sd, excursion, air=AIR, solid_angle=space
    )
    assert float(found) == pytest.approx(level, rel=EXACT)
    flow = pistons.volume_velocity_for_level(frequency, level, air=AIR, solid_angle=space)
    assert float(pistons.radiated_power(frequency, flow, AIR, space)) == pytest.approx(
        power, rel=1e-7
    )


def test_displacement_for_level():
    # vd_100dB_30Hz
    found = pistons.displacement_for_level(30.0, 100.0, air=AIR)
    assert float(found) == pytest.approx(0.000415393847, rel=EXACT)

"""E. R. Geddes, An introduction to band-pass loudspeaker systems, JAES 37(5), 1989; Fincham 1979.

From memory: the ripple of the band by S (0.7: none, 0.6: 0.35 dB, 0.5: 1.25 dB), the front volume
(2 S Qts)^2 Vas and the level in the band, 40 lg(2 S Q).
"""

import math

import pytest

from speakerwright.acoustics import bandpass

SOURCE = "Geddes, JAES 37(5), 1989; Fincham, 63rd AES Convention, 1979"
CHECKS = [(function, SOURCE, "memory") for function in (
    bandpass.ripple_db, bandpass.bandpass4, bandpass.Bandpass4.gain_db,
    bandpass.Bandpass4.ripple_db, bandpass.Bandpass4.efficiency_gain)]


@pytest.mark.parametrize(("damping", "expected"), [(0.7, 0.0), (0.6, 0.35), (0.5, 1.25)])
def test_ripple(damping, expected):
    assert bandpass.ripple_db(damping) == pytest.approx(expected, abs=0.006)
    box = bandpass.bandpass4(30.0, 0.4, 0.1, 60.0, damping)
    assert box.ripple_db == bandpass.ripple_db(damping)


def test_volumes_and_gain():
    box = bandpass.bandpass4(30.0, 0.4, 0.1, 60.0, 0.7)
    assert box.front_volume == pytest.approx((2 * 0.7 * 0.4) ** 2 * 0.1, rel=1e-12)
    assert box.rear_volume == pytest.approx(0.1 / 3.0, rel=1e-12)
    assert box.gain_db == pytest.approx(40 * math.log10(2 * 0.7 * 0.8), rel=1e-12)
    assert box.efficiency_gain == pytest.approx((2 * 0.7 * 0.8) ** 4, rel=1e-12)

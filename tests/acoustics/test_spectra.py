import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speakerwright.acoustics import hearing, spectra


def test_third_octaves():
    bands = spectra.third_octaves(50.0, 200.0)
    assert list(bands) == pytest.approx([50.119, 63.096, 79.433, 100.0, 125.89, 158.49, 199.53],
                                        rel=5e-5)
    with pytest.raises(ValueError, match="no third octave"):
        spectra.third_octaves(21.0, 24.0)


def test_programme_signal_goes_through_its_table():
    # IEC 60268-1, the table from memory: what was remembered, not an outside check.
    remembered = {20: -13.5, 25: -10.2, 31.5: -7.4, 40: -5.2, 50: -3.5, 63: -2.3, 80: -1.4,
                  100: -0.9, 125: -0.5, 160: -0.2, 200: -0.1, 250: 0.0, 315: 0.0, 400: 0.0,
                  500: 0.0, 630: 0.0, 800: 0.0, 1000: -0.1, 1250: -0.3, 1600: -0.6, 2000: -1.0,
                  2500: -1.6, 3150: -2.5, 4000: -3.7, 5000: -5.1, 6300: -7.0, 8000: -9.4,
                  10000: -11.9, 12500: -14.8, 16000: -18.2, 20000: -21.6}
    found = spectra.programme_noise_db(spectra.third_octaves())
    assert list(found) == pytest.approx(list(remembered.values()), abs=1e-9)


@given(st.floats(10.0, 4.0e4))
def test_programme_signal_never_exceeds_its_top(frequency):
    assert -21.6 <= float(spectra.programme_noise_db(frequency)) <= 0.0


def test_pink_noise_is_even():
    assert not np.any(spectra.third_octave_level_db("pink", spectra.third_octaves()))


@pytest.mark.parametrize("spectrum", spectra.SPECTRA)
def test_no_weighting_takes_nothing(spectrum):
    assert spectra.weighting_offset_db(spectrum, "Z") == 0.0


@pytest.mark.parametrize("spectrum", spectra.SPECTRA)
@pytest.mark.parametrize(
    ("weighting", "law"), [("A", hearing.a_weighting_db), ("C", hearing.c_weighting_db)]
)
def test_one_band_gives_its_own_weighting(spectrum, weighting, law):
    found = spectra.weighting_offset_db(spectrum, weighting, 100.0, 100.0)
    assert found == pytest.approx(-float(law(100.0)), abs=1e-9)


def test_offsets_of_the_whole_spectra():
    # Held against change only: no outside value.
    assert spectra.weighting_offset_db("programme", "A") == pytest.approx(2.615, abs=0.001)
    assert spectra.weighting_offset_db("programme", "C") == pytest.approx(0.3014, abs=0.0005)
    assert spectra.weighting_offset_db("pink", "A") == pytest.approx(2.987, abs=0.001)


def test_a_low_band_is_heard_less():
    low = spectra.weighting_offset_db("pink", "A", 31.5, 125.0)
    high = spectra.weighting_offset_db("pink", "A", 500.0, 4000.0)
    assert low > 18.0 > 1.0 > high


def test_unknown_names_are_refused():
    with pytest.raises(ValueError, match="spectrum"):
        spectra.weighting_offset_db("white", "A")
    with pytest.raises(ValueError, match="weighting"):
        spectra.weighting_offset_db("pink", "B")

"""Spectra of test signals in third octaves, and what a weighting takes from them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray, exact_midband
from speakerwright.acoustics.hearing import a_weighting_db, c_weighting_db

SPECTRA = ("programme", "pink")

_NOMINAL = (20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000,
            1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000)
_PROGRAMME = (-13.5, -10.2, -7.4, -5.2, -3.5, -2.3, -1.4, -0.9, -0.5, -0.2, -0.1, 0.0, 0.0, 0.0,
              0.0, 0.0, 0.0, -0.1, -0.3, -0.6, -1.0, -1.6, -2.5, -3.7, -5.1, -7.0, -9.4, -11.9,
              -14.8, -18.2, -21.6)


def third_octaves(low: float = 20.0, high: float = 20000.0) -> FloatArray:
    """Exact midband frequencies in Hz of the nominal third octaves from `low` to `high`.

    Parameters
    ----------
    low, high : float
        Nominal frequencies in Hz, inside 20 Hz to 20 kHz.

    Returns
    -------
    ndarray
        Shape (n,).

    Raises
    ------
    ValueError
        When no third octave lies between them.
    """
    nominal = [f for f in _NOMINAL if low * 0.98 <= f <= high * 1.02]
    if not nominal:
        raise ValueError("no third octave lies in this range")
    return exact_midband(nominal)


def programme_noise_db(frequency: npt.ArrayLike) -> FloatArray:
    """Third-octave level of the simulated programme signal, 0 dB at its flat top.

    Source: IEC 60268-1, the table from memory. Interpolated over the logarithm of frequency; held
    at its ends outside 20 Hz to 20 kHz.

    Parameters
    ----------
    frequency : array_like
        In Hz, above zero, any shape.

    Returns
    -------
    ndarray
        In dB, same shape.
    """
    f = np.asarray(frequency, dtype=float)
    return np.asarray(np.interp(np.log(f), np.log(exact_midband(_NOMINAL)), _PROGRAMME))


def third_octave_level_db(spectrum: str, frequency: npt.ArrayLike) -> FloatArray:
    """Relative third-octave level of one of `SPECTRA`.

    Parameters
    ----------
    spectrum : {"programme", "pink"}
        Its name; pink noise has the same level in every third octave.
    frequency : array_like
        In Hz, any shape.

    Returns
    -------
    ndarray
        In dB, same shape.

    Raises
    ------
    ValueError
        For an unknown name.
    """
    if spectrum == "programme":
        return programme_noise_db(frequency)
    if spectrum == "pink":
        return np.zeros(np.shape(frequency))
    raise ValueError("the spectrum must be programme or pink")


def weighting_offset_db(
    spectrum: str, weighting: str, low: float = 20.0, high: float = 20000.0
) -> float:
    """Unweighted minus weighted level of a spectrum, summed over third octaves.

    Parameters
    ----------
    spectrum : {"programme", "pink"}
        Its name.
    weighting : {"A", "C", "Z"}
        IEC 61672-1; Z is none.
    low, high : float
        Lowest and highest third octave, nominal Hz.

    Returns
    -------
    float
        In dB: add it to a weighted level to have the unweighted one.

    Raises
    ------
    ValueError
        For an unknown name or an empty range.
    """
    bands = third_octaves(low, high)
    level = third_octave_level_db(spectrum, bands)
    if weighting == "A":
        weighted = level + a_weighting_db(bands)
    elif weighting == "C":
        weighted = level + c_weighting_db(bands)
    elif weighting == "Z":
        weighted = level
    else:
        raise ValueError("the weighting must be A, C or Z")
    ratio = np.sum(10.0 ** (level / 10.0)) / np.sum(10.0 ** (weighted / 10.0))
    return float(10.0 * np.log10(ratio))

"""The four figures a candidate is judged by, the same for the screen and for the full result."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from speakerwright.acoustics.spectra import third_octave_level_db
from speakerwright.bass.result import Need
from speakerwright.circuits.parts import Real

FIGURES = ("cost", "size", "extension", "headroom")
COST, SIZE, EXTENSION, HEADROOM = range(4)


def band_of(frequency: Real, need: Need) -> NDArray[np.bool_]:
    """Which frequencies (f,) in Hz lie in the band asked for."""
    return np.asarray((frequency >= need.lowest * 0.999) & (frequency <= need.highest * 1.001))


def extension(frequency: Real, relative_db: Real, drop_db: float) -> Real:
    """Lowest frequency (Hz) at which a level rises to `drop_db` below its asymptote.

    Parameters
    ----------
    frequency : ndarray
        Rising, in Hz, shape (f,).
    relative_db : ndarray
        Level against the asymptote in dB, shape (..., f).
    drop_db : float
        How far below, in dB, zero or above.

    Returns
    -------
    ndarray
        Shape (...), interpolated in log f; infinite where it never rises so far.
    """
    low, high = relative_db[..., :-1], relative_db[..., 1:]
    up = (low < -drop_db) & (high >= -drop_db)
    first = np.argmax(up, axis=-1)
    at = first[..., None]
    below = np.take_along_axis(low, at, axis=-1)[..., 0]
    above = np.take_along_axis(high, at, axis=-1)[..., 0]
    some = np.any(up, axis=-1)
    rise = np.where(some, above - below, 1.0)
    share = (-drop_db - below) / rise
    found = frequency[first] * (frequency[first + 1] / frequency[first]) ** share
    return np.asarray(np.where(some, found, np.inf))


def band_headroom_db(
    frequency: Real, unfiltered_db: Real, volts: Mapping[str, Real], need: Need
) -> dict[str, Real]:
    """Least room of each level limit over the band, dB: above zero it meets the brief.

    Parameters
    ----------
    frequency : ndarray
        In Hz, shape (f,); some of them must lie in the band.
    unfiltered_db : ndarray
        Level for 1 V at the amplifier without the filter, dB, shape (..., f).
    volts : mapping
        Largest rms voltage by limit, each (..., f). "heat" is held to the brief's average, all
        others to its peak.
    need : Need
        The brief's band and levels.

    Returns
    -------
    dict
        By limit, each of shape (...).
    """
    inside = band_of(frequency, need)
    shape = third_octave_level_db(need.spectrum, frequency[inside])
    wanted = shape - shape.max()
    level = unfiltered_db[..., inside] - wanted
    rooms = {}
    for name, most in volts.items():
        gain = 20.0 * np.log10(np.broadcast_to(most, unfiltered_db.shape)[..., inside])
        asked = need.average_db if name == "heat" else need.peak_db
        rooms[name] = np.asarray(np.min(level + gain, axis=-1) - asked)
    return rooms


def room_below_db(
    frequency: Real, excursion: Real, asymptote_db: ArrayLike, xmax: float, need: Need
) -> Real:
    """Room of the cone below the band at a tone of the brief's peak level, dB.

    `excursion` (..., f) in m is the peak for 1 V at the amplifier with the filter; infinite where
    nothing lies below the band. The tone is not shaped by the spectrum.
    """
    below = frequency < need.lowest
    if not np.any(below):
        return np.full(excursion.shape[:-1], np.inf)
    drive = 10.0 ** ((need.peak_db - np.asarray(asymptote_db)) / 20.0)
    return np.asarray(20.0 * np.log10(xmax / (drive * np.max(excursion[..., below], axis=-1))))


def scores(values: Real) -> Real:
    """Figures (n, 4) as scores (n, 4), of which less is better: shares become differences."""
    found = np.array(values, dtype=np.float64)
    found[:, SIZE] = np.log(found[:, SIZE])
    found[:, EXTENSION] = np.log(found[:, EXTENSION])
    found[:, HEADROOM] = -found[:, HEADROOM]
    return found

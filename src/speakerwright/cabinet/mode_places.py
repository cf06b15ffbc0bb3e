"""Where a mode is: where in a chamber its pressure is strong, and where its peak in a curve."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.airmodes.chambers import Chamber

ZONES = (("left", "middle", "right"), ("front", "middle", "back"), ("bottom", "middle", "top"))
NEAR = 0.06  # of a mode's frequency, within which its peak is looked for: rule of thumb
SLOWED = 0.2  # below it with a lining, in which sound is slower: rule of thumb
STRONG, EVEN = 0.5, 0.25  # of the greatest squared pressure: rules of thumb


def strong_at(nodes: FloatArray, shape: FloatArray, chamber: Chamber) -> str:
    """In which thirds of the chamber the squared pressure reaches half of its greatest.

    Parameters
    ----------
    nodes : ndarray
        Places, (n, 3), m.
    shape : ndarray
        Pressure there, (n,).
    chamber : Chamber

    Returns
    -------
    str
        Like "bottom and top; left". An axis along which it stays above a quarter of the greatest
        is not told; "everywhere" where none is.
    """
    power = shape**2
    said = []
    for axis in (2, 1, 0):
        low, high = chamber.lower[axis], chamber.upper[axis]
        ninth = np.clip(9.0 * (nodes[:, axis] - low) / (high - low), 0, 8.999).astype(int)
        most = np.array([np.max(power[ninth == k], initial=0.0) for k in range(9)])
        if most[np.isin(np.arange(9), ninth)].min() >= EVEN * most.max():
            continue
        zones = [name for k, name in enumerate(ZONES[axis])
                 if most[3 * k : 3 * k + 3].max() >= STRONG * most.max()]
        said.append(" and ".join(zones) if len(zones) < 3 else "{}, {} and {}".format(*zones))
    return "; ".join(said) or "everywhere"


def peaks_about(modes: FloatArray, seen: npt.NDArray[np.bool_], frequency: FloatArray,
                level: FloatArray, down: float = NEAR) -> list[float]:
    """The peak of a curve about each mode that is seen in it; NaN for the others.

    A mode is looked for from `down` of its frequency below it to `NEAR` above, as openings and
    linings move it from where hard walls have it, and no nearer to another one that is seen.

    Parameters
    ----------
    modes : ndarray
        Ascending frequencies, Hz, (m,).
    seen : ndarray of bool
        (m,).
    frequency, level : ndarray
        The curve, (f,).
    down : float
        A share of the mode's frequency: `NEAR`, or `SLOWED` with a lining.

    Returns
    -------
    list of float
        In the curve's unit, m of them.
    """
    found = [math.nan] * modes.size
    there = modes[seen]
    between = np.sqrt(there[1:] * there[:-1])
    if not there.size:
        return found
    low = np.maximum((1.0 - down) * there, np.concatenate([[0.0], between]))
    high = np.minimum((1.0 + NEAR) * there, np.concatenate([between, [np.inf]]))
    for k, start, end in zip(np.flatnonzero(seen), low, high, strict=True):
        told = level[(frequency >= start) & (frequency <= end) & np.isfinite(level)]
        if told.size:
            found[int(k)] = float(told.max())
    return found

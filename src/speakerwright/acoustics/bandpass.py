"""Band-pass boxes of fourth order: closed rear chamber, vented front chamber, tuned to one centre.

Source: L. R. Fincham, A bandpass loudspeaker enclosure, 63rd AES Convention, 1979; E. R. Geddes, An
introduction to band-pass loudspeaker systems, JAES 37(5), 1989 (both from memory); the relations
are derived from the circuit here. With rear chamber and driver resonant at f0 with Q, and the front
chamber tuned to f0 as well, the response is that of a second-order low-pass of damping S in
p = j (f/f0 - f0/f): symmetric over log frequency.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.pistons import ComplexArray


@dataclass(frozen=True)
class Bandpass4:
    """A band-pass box of fourth order, lossless and lumped.

    `centre` is the tuning of the front chamber and the resonance of the driver in the rear one in
    Hz, volumes are net in m^3, `q` the total Q in the rear chamber, `damping` the damping ratio S
    of the low-pass prototype: below 0.7071 the band has a ripple, above it is rounded.
    """

    centre: float
    rear_volume: float
    front_volume: float
    q: float
    damping: float

    @property
    def low(self) -> float:
        """Lower frequency in Hz, 3 dB below the middle of the band."""
        return self.centre**2 / self.high

    @property
    def high(self) -> float:
        """Upper frequency in Hz, 3 dB below the middle of the band."""
        half = prototype_width(self.damping) / (4.0 * self.damping * self.q)
        return self.centre * (half + math.sqrt(1.0 + half**2))

    @property
    def gain_db(self) -> float:
        """Level in the middle of the band over the driver's far above resonance: 40 lg(2 S Q)."""
        return 40.0 * math.log10(2.0 * self.damping * self.q)

    @property
    def efficiency_gain(self) -> float:
        """Efficiency in the middle of the band over the driver's reference efficiency."""
        return float((2.0 * self.damping * self.q) ** 4)

    @property
    def ripple_db(self) -> float:
        """Height of the two peaks over the middle of the band in dB; 0 from S = 0.7071 up."""
        return ripple_db(self.damping)

    def response(self, frequency: npt.ArrayLike) -> ComplexArray:
        """Pressure (f,) at `frequency` in Hz (f,) over the driver's far above resonance."""
        s = 1j * np.asarray(frequency, dtype=float) / self.centre
        p = s + 1.0 / s
        mass_ratio = 1.0 / (2.0 * self.damping * self.q) ** 2
        return np.asarray(1.0 / (p**2 + p / self.q + mass_ratio), dtype=complex)


def prototype_width(damping: float) -> float:
    """Frequency over natural frequency at which a low-pass of second order is 3 dB down.

    Parameters
    ----------
    damping : float
        Damping ratio, above zero; 0.7071 gives 1.

    Returns
    -------
    float
        Without unit, against its level at zero frequency.
    """
    require_above_zero(damping=damping)
    part = 1.0 - 2.0 * damping**2
    root = math.hypot(part, 1.0)
    return math.sqrt(part + root if part > 0.0 else 1.0 / (root - part))


def ripple_db(damping: float) -> float:
    """Peak of a low-pass of second order in dB.

    Parameters
    ----------
    damping : float
        Damping ratio, above zero.

    Returns
    -------
    float
        0 from 0.7071 up.
    """
    require_above_zero(damping=damping)
    if damping >= math.sqrt(0.5):
        return 0.0
    return -20.0 * math.log10(2.0 * damping * math.sqrt(1.0 - damping**2))


def bandpass4(fs: float, qts: float, vas: float, centre: float, damping: float) -> Bandpass4:
    """The box for a driver, a centre of the band and a damping of the prototype.

    Parameters
    ----------
    fs : float
        Resonance in Hz.
    qts : float
        Total Q, resistance of the source included.
    vas : float
        In m^3.
    centre : float
        In Hz, above `fs`.
    damping : float
        S, above zero; 0.7071 for the flat band.

    Returns
    -------
    Bandpass4
        Front volume (2 S Qts)^2 Vas.

    Raises
    ------
    ValueError
        For a centre that is not above `fs`, or a figure that is not above zero.
    """
    require_above_zero(fs=fs, qts=qts, vas=vas, centre=centre, damping=damping)
    if centre <= fs:
        raise ValueError("the centre of the band must lie above the driver's resonance")
    raised = centre / fs
    return Bandpass4(
        centre, vas / (raised**2 - 1.0), (2.0 * damping * qts) ** 2 * vas, qts * raised, damping
    )


def bandpass4_from(low: float, high: float, fs: float, qts: float, vas: float) -> Bandpass4:
    """The box for a driver and a wanted band; its damping, and so its ripple, follow.

    The centre is the geometric mean of the band's ends; the width over the centre fixes the
    damping, as the driver's Q in the rear chamber is given.

    Parameters
    ----------
    low, high : float
        Ends of the band in Hz, 3 dB below its middle.
    fs : float
        Resonance in Hz.
    qts : float
        Total Q, resistance of the source included.
    vas : float
        In m^3.

    Returns
    -------
    Bandpass4
        Look at its `ripple_db` (a low damping) before building it.

    Raises
    ------
    ValueError
        For a band whose centre is not above `fs`, or ends that do not ascend.
    """
    require_above_zero(low=low, high=high, fs=fs, qts=qts, vas=vas)
    if high <= low:
        raise ValueError("the band must run from a lower to a higher frequency")
    centre = math.sqrt(low * high)
    width = ((high - low) / centre * qts * centre / fs) ** 2  # of the prototype, times its Q
    inverse = (width + math.sqrt(2.0 * width**2 + width)) / (width**2 + width)
    return bandpass4(fs, qts, vas, centre, 0.5 * math.sqrt(inverse))

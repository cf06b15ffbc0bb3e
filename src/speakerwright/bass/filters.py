"""The filters before a chamber's driver: the protective high-pass, and its hand-over from below."""

from __future__ import annotations

import numpy as np

from speakerwright.bass.inputs import ChamberInput
from speakerwright.circuits.filters import high_pass
from speakerwright.circuits.parts import Complex, Real
from speakerwright.design.sections.crossover import HandOver


def protective(inputs: ChamberInput, frequency: Real) -> Complex:
    """Transfer function (f,) of the chamber's active protective high-pass at `frequency` in Hz.

    One where there is none; a series capacitor is a part of the circuit, not of this.
    """
    wanted = inputs.chamber.high_pass
    if wanted is None or wanted.order is None or wanted.frequency is None:
        return np.ones(frequency.shape, dtype=np.complex128)
    return high_pass(frequency, wanted.frequency, wanted.order, wanted.shape, wanted.q)


def hand_over(inputs: ChamberInput, frequency: Real) -> Complex:
    """Transfer function (f,) of the high side of the hand-over to this chamber, (f,) in Hz.

    One where nothing hands over to its driver. The decided acoustic slope is taken as electrical:
    close while the driver in its box is flat well below the hand-over. Where its own roll-off
    makes part of the slope, the true filter is shallower and the cone travels farther than shown.
    A Bessel slope is taken as the Butterworth of its order.
    """
    if inputs.hand_over is None:
        return np.ones(frequency.shape, dtype=np.complex128)
    over = inputs.hand_over
    return high_pass(frequency, over.frequency, over.order, electrical_shape(over))


def electrical_shape(over: HandOver) -> str:
    """The filter that stands for a hand-over's slope: itself where it can be worked out.

    Butterworth stands for Bessel, and for a Linkwitz-Riley slope of odd order, which is none.
    """
    if over.shape == "linkwitz-riley" and over.order % 2 == 0:
        return "linkwitz-riley"
    return "butterworth"

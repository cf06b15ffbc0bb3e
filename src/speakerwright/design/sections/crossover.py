"""What the crossover stage decides, per hand-over: frequency and acoustic slopes."""

from __future__ import annotations

from typing import Annotated

from speakerwright.design.values import Choice, Frequency, Section, Whole


class HandOver(Section):
    """One hand-over between two jobs: where, and with which acoustic slopes."""

    frequency: Frequency
    order: Annotated[int, Whole(1, 8)] = 4
    shape: Annotated[str, Choice(("butterworth", "linkwitz-riley", "bessel"))] = "linkwitz-riley"

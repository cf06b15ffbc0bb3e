"""What the crossover stage decides, per hand-over: frequency and acoustic slopes."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.values import Choice, Frequency, Section, Whole, problems


class HandOver(Section):
    """One hand-over between two jobs: where, and with which acoustic slopes."""

    frequency: Frequency
    order: Annotated[int, Whole(1, 8)] = 4
    shape: Annotated[str, Choice(("butterworth", "linkwitz-riley", "bessel"))] = "linkwitz-riley"

    @model_validator(mode="after")
    def _even(self) -> HandOver:
        if self.shape == "linkwitz-riley" and self.order % 2:
            raise problems([("order", "a Linkwitz-Riley slope has an even order.",
                             "Use 2, 4, 6 or 8.")])
        return self

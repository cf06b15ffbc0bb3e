"""Limits of arguments, said in one sentence."""

from __future__ import annotations

import math


def require_above_zero(**values: float) -> None:
    """Raise ValueError, naming the argument, unless every value is above zero and a number.

    Parameters
    ----------
    **values : float
        Arguments by name; infinity passes.

    Raises
    ------
    ValueError
        For the first value that is not above zero.
    """
    for name, value in values.items():
        if math.isnan(value) or not value > 0.0:
            raise ValueError(f"{name.replace('_', ' ')} must be above zero")

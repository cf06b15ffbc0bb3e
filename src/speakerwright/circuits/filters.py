"""Analogue high-pass and low-pass filters as transfer functions over frequency."""

from __future__ import annotations

import math

import numpy as np

from speakerwright.circuits.parts import Complex, Real


def butterworth_qs(order: int) -> tuple[float, ...]:
    """Q of each second-order section of a Butterworth filter; an odd order adds one real pole.

    Source: S. Butterworth, On the theory of filter amplifiers, 1930: poles equally spaced on a
    circle, so Q = 1 / (2 cos θ).
    """
    return tuple(
        1.0 / (2.0 * math.sin(math.pi * (2 * k + 1) / (2 * order))) for k in range(order // 2)
    )


def sections(order: int, shape: str, q: float | None = None) -> tuple[tuple[float, ...], int]:
    """Qs of the second-order sections, and the number of real poles, of a filter.

    `shape` is ``butterworth`` or ``linkwitz-riley`` (two Butterworth filters of half the order in
    a row; Linkwitz 1976). `q` replaces the section's Q in a second-order filter.
    """
    if order < 1:
        raise ValueError("a filter has at least order 1")
    if q is not None:
        if order != 2:
            raise ValueError("only a second-order filter takes a Q")
        return (q,), 0
    if shape == "butterworth":
        return butterworth_qs(order), order % 2
    if shape == "linkwitz-riley":
        if order % 2:
            raise ValueError("a Linkwitz-Riley filter has an even order")
        half, real = sections(order // 2, "butterworth")
        return (*half, *half), 2 * real
    raise ValueError(f"unknown filter shape {shape}")


def high_pass(
    frequency: Real, corner: float, order: int, shape: str = "butterworth", q: float | None = None
) -> Complex:
    """Transfer function (f,) of a high-pass of `corner` Hz at `frequency` (f,) in Hz."""
    s = 1j * np.asarray(frequency, dtype=np.float64) / corner
    qs, real = sections(order, shape, q)
    response = (s / (1.0 + s)) ** real
    for each in qs:
        response = response * s**2 / (s**2 + s / each + 1.0)
    return np.asarray(response, dtype=np.complex128)


def low_pass(
    frequency: Real, corner: float, order: int, shape: str = "butterworth", q: float | None = None
) -> Complex:
    """Transfer function (f,) of a low-pass of `corner` Hz at `frequency` (f,) in Hz."""
    s = 1j * np.asarray(frequency, dtype=np.float64) / corner
    qs, real = sections(order, shape, q)
    response = (1.0 / (1.0 + s)) ** real
    for each in qs:
        response = response / (s**2 + s / each + 1.0)
    return np.asarray(response, dtype=np.complex128)

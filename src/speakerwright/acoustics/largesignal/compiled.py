"""The loop of `motion.march`, compiled; held to the plain one by a test.

Imported only where the loop runs, since the compiler is slow to import. What it compiled is kept
beside this file or in the user's cache; where neither can be written it compiles anew each time.
"""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable
from typing import Any, TypeVar

import numpy as np

from speakerwright.acoustics.air import FloatArray

_Function = TypeVar("_Function", bound=Callable[..., Any])
_numba = importlib.import_module("numba")  # it has no type information


def _compiled(function: _Function) -> _Function:
    options = {"error_model": "numpy"}
    try:
        made: _Function = _numba.njit(cache=True, **options)(function)
    except RuntimeError:  # no place for its cache
        made = _numba.njit(**options)(function)
    return made


@_compiled
def _looked_up(
    x: float, low: float, high: float, values: FloatArray, slopes: FloatArray
) -> tuple[float, float]:
    """Factor and slope of one curve: the cubic of `curves.Curve`."""
    last = values.size - 1
    if x < low:
        return values[0], 0.0
    if x > high:
        return values[last], 0.0
    step = (high - low) / last
    along = (x - low) / step
    k = min(int(along), last - 1)
    s = along - k
    up, a, b = values[k + 1] - values[k], slopes[k], slopes[k + 1]
    value = values[k] + s * s * (3.0 - 2.0 * s) * up + step * s * (1.0 - s) * (
        (1.0 - s) * a - s * b)
    slope = 6.0 * s * (1.0 - s) * up / step + (1.0 - s) * (1.0 - 3.0 * s) * a - s * (
        2.0 - 3.0 * s) * b
    return value, slope


@_compiled
def _rates(
    state: FloatArray, volts: float, figures: FloatArray, creep: FloatArray, ranges: FloatArray,
    values: FloatArray, slopes: FloatArray, change: FloatArray,
) -> None:
    """Derivatives of all states, as `model.rates`."""
    (re, le, l2, r2, elastance, bl0, mms, rms, stiffness, sd, springs, leak, absorption,
     lightness, port_resistance, port_loss, port_spring, creep_compliance) = (
        figures[0], figures[1], figures[2], figures[3], figures[4], figures[5], figures[6],
        figures[7], figures[8], figures[9], figures[10], figures[11], figures[12], figures[13],
        figures[14], figures[15], figures[16], figures[17])
    x, v, flow = state[2], state[3], state[5]
    stretched = x
    for k in range(creep.size):
        stretched -= state[8 + k]
    bl, _ = _looked_up(x, ranges[0, 0], ranges[0, 1], values[0], slopes[0])
    kms, _ = _looked_up(stretched, ranges[1, 0], ranges[1, 1], values[1], slopes[1])
    factor, bend = _looked_up(x, ranges[2, 0], ranges[2, 1], values[2], slopes[2])
    bl *= bl0
    mesh = volts - bl * v - state[7]
    current = state[0] if le > 0.0 else (mesh + r2 * state[1]) / (re + r2)
    across = r2 * (current - state[1])
    change[0] = 0.0
    change[1] = 0.0
    if le > 0.0:
        change[0] = (mesh - re * current - across - le * bend * v * current) / (le * factor)
    if l2 > 0.0:
        change[1] = (across - l2 * bend * v * state[1]) / (l2 * factor)
    force = kms * stretched * stiffness
    pressure = (state[4] - absorption * (sd * v + flow)) / (1.0 + absorption * leak)
    drive = bl * current + bend / 2.0 * (le * current**2 + l2 * state[1] ** 2)
    change[2] = v
    change[3] = (drive - rms * v - force + sd * pressure) / mms
    change[4] = -(sd * v + flow + leak * pressure) * springs
    against = port_resistance * flow + port_loss * abs(flow) * flow
    change[5] = (pressure - against - state[6] * port_spring) * lightness
    change[6] = flow
    change[7] = current * elastance
    for k in range(creep.size):
        change[8 + k] = creep[k] * (creep_compliance * force - state[8 + k])


@_compiled
def loop(
    halves: FloatArray, step: float, keep: int, state: FloatArray, figures: FloatArray,
    creep: FloatArray, ranges: FloatArray, values: FloatArray, slopes: FloatArray,
    kept: FloatArray,
) -> None:
    """Fill `kept` (s, m) with the states after every `keep` steps; not a number once they grow.

    Arguments as `motion.march` has them; `state` is changed in place.
    """
    size = state.size
    one, two, three, four = np.empty(size), np.empty(size), np.empty(size), np.empty(size)
    there = np.empty(size)
    kept[:, 0] = state
    for n in range((halves.size - 1) // 2):
        middle = halves[2 * n + 1]
        _rates(state, halves[2 * n], figures, creep, ranges, values, slopes, one)
        for k in range(size):
            there[k] = state[k] + step / 2.0 * one[k]
        _rates(there, middle, figures, creep, ranges, values, slopes, two)
        for k in range(size):
            there[k] = state[k] + step / 2.0 * two[k]
        _rates(there, middle, figures, creep, ranges, values, slopes, three)
        for k in range(size):
            there[k] = state[k] + step * three[k]
        _rates(there, halves[2 * n + 2], figures, creep, ranges, values, slopes, four)
        for k in range(size):
            state[k] += step / 6.0 * (one[k] + 2.0 * two[k] + 2.0 * three[k] + four[k])
        if not math.isfinite(state[2]) or abs(state[2]) > 1e3:
            kept[:, (n + 1) // keep :] = math.nan
            return
        if (n + 1) % keep == 0:
            kept[:, (n + 1) // keep] = state

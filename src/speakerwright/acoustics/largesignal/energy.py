"""Where the electrical energy goes while a driver moves: each loss, and what is stored."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray, Medium
from speakerwright.acoustics.largesignal.model import (
    STATES,
    LargeSignal,
    box_pressure,
    coil_current,
    rates,
    spring_force,
)
from speakerwright.acoustics.largesignal.motion import Motion
from speakerwright.acoustics.pistons import HALF_SPACE


def taken_power(
    model: LargeSignal, states: npt.ArrayLike, volts: npt.ArrayLike
) -> FloatArray:
    """Power in W that the amplifier gives, shape (...) for states (s, ...) and volts (...)."""
    return np.asarray(np.asarray(volts) * coil_current(model, states, volts))


def lost_power(
    model: LargeSignal, states: npt.ArrayLike, volts: npt.ArrayLike
) -> Mapping[str, FloatArray]:
    """Power in W that every loss takes.

    Parameters
    ----------
    model : LargeSignal
        The driver on its box.
    states : array_like
        As `model.STATES`, shape (s, ...).
    volts : array_like
        At the amplifier in V, shape (...).

    Returns
    -------
    mapping of str to ndarray
        Losses by name, each of shape (...): coil, source, eddy currents, suspension, creep,
        absorption, leak, port walls, port turbulence.
    """
    state = np.asarray(states, dtype=float)
    current, pressure = coil_current(model, state, volts), box_pressure(model, state)
    crept, force = state[len(STATES):], spring_force(model, state)
    yielding = model.creep_rates.reshape(-1, *([1] * force.ndim)) * (
        model.creep_compliance * force - crept)
    drag = force - crept / model.creep_compliance if crept.size else np.zeros_like(crept)
    flow, out = state[5], model.outlet
    into_air = -model.coil.sd * state[3] - flow - model.box.leak * pressure
    return {
        "coil": model.coil.re * current**2,
        "source": model.source_resistance * current**2,
        "eddy currents": model.inductance.r2 * (current - state[1]) ** 2,
        "suspension": model.coil.rms * state[3] ** 2,
        "creep": np.sum(drag * yielding, axis=0),
        "absorption": model.box.absorption * into_air**2,
        "leak": model.box.leak * pressure**2,
        "port walls": (0.0 if out is None else out.resistance) * flow**2,
        "port turbulence": (0.0 if out is None else out.loss) * np.abs(flow) ** 3,
    }


def stored_energy(model: LargeSignal, states: npt.ArrayLike) -> FloatArray:
    """Energy in J in fields, springs and moving masses, shape (...) for states (s, ...).

    The magnetic energy is half the inductance at that displacement times the current squared; with
    it the reluctance force does the work that the field loses.
    """
    state, coil, out = np.asarray(states, dtype=float), model.inductance, model.outlet
    crept = state[len(STATES):]
    stretched = state[2] - crept.sum(axis=0)
    field = (coil.le * state[0] ** 2 + coil.l2 * state[1] ** 2) * model.curves.le.at(state[2])
    total = (
        field / 2.0
        + model.coil.mms * state[3] ** 2 / 2.0
        + model.curves.kms.work(stretched) / model.compliance
        + model.box.compliance * state[4] ** 2 / 2.0
    )
    if out is not None:
        total = total + out.mass * state[5] ** 2 / 2.0 + state[6] ** 2 / (2.0 * out.compliance)
    if crept.size:
        total = total + np.sum(crept**2, axis=0) / (2.0 * model.creep_compliance)
    if np.isfinite(model.series_capacitor):
        total = total + model.series_capacitor * state[7] ** 2 / 2.0
    return np.asarray(total)


def sound_pressure(
    model: LargeSignal, motion: Motion, air: Medium, distance: float = 1.0,
    solid_angle: float = HALF_SPACE,
) -> FloatArray:
    """Pressure in time of cone, port and leak together as one small source.

    Elementary: p = rho / (Omega r) dU/dt, without the delay of propagation.

    Parameters
    ----------
    model : LargeSignal
        The driver on its box.
    motion : Motion
        Its motion.
    air : Medium
        The air.
    distance : float
        In m.
    solid_angle : float
        Angle radiated into in sr.

    Returns
    -------
    ndarray
        In Pa, shape (n,); positive for a voltage that pushes the cone outward.
    """
    change = rates(model, motion.states, motion.volts)
    box = model.box
    moved = model.coil.sd * change[3] + change[5]
    pressure = (change[4] - box.absorption * moved) / (1.0 + box.absorption * box.leak)
    quickening = moved + box.leak * pressure
    return np.asarray(air.density / (solid_angle * distance) * quickening)

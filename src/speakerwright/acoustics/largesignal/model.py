"""A moving-coil driver on its box as it moves in time, with what changes at large excursion.

Source of the equations: W. Klippel, Loudspeaker nonlinearities: causes, parameters, symptoms, AES
119th convention 2005 (from memory): lumped parts whose force factor, stiffness and inductance
depend on displacement, with the reluctance force. The box is a spring of air with its losses; the
port an acoustic mass with a linear and a quadratic loss, or a passive radiator with its spring.
Displacement, velocity and flows are positive outward, out of the box. The air's own nonlinearity
and the sound's travel are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.largesignal.curves import Nonlinear, linear
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.movingcoil import MovingCoil

STATES = ("current", "eddy current", "displacement", "velocity", "box pressure", "port flow",
          "port volume", "capacitor voltage")  # creep follows, one state for each branch


@dataclass(frozen=True)
class Inductance:
    """A voice coil's `le` (H) with a lossy branch `l2` (H) beside `r2` (ohm); zeros where none."""

    le: float = 0.0
    l2: float = 0.0
    r2: float = 0.0

    def __post_init__(self) -> None:
        if min(self.le, self.l2, self.r2) < 0.0 or (self.l2 > 0.0) != (self.r2 > 0.0):
            raise ValueError("an inductance is not negative, and l2 comes with r2")


@dataclass(frozen=True)
class AirBox:
    """The air behind the cone: acoustic `compliance` (m^3/Pa) with its losses.

    `leak` is a conductance (m^3/(Pa s)) to the outside, `absorption` a resistance (Pa s/m^3) in
    series with the compliance.
    """

    compliance: float
    leak: float = 0.0
    absorption: float = 0.0

    def __post_init__(self) -> None:
        require_above_zero(compliance=self.compliance)
        if self.leak < 0.0 or self.absorption < 0.0:
            raise ValueError("a loss must not be negative")


@dataclass(frozen=True)
class Outlet:
    """A port or passive radiator: acoustic `mass` (kg/m^4), `resistance` (Pa s/m^3), `loss`.

    `loss` (Pa s^2/m^6) times the flow squared is the pressure its turbulence takes; `compliance`
    (m^3/Pa) is that of a passive radiator's suspension, infinite for a port.
    """

    mass: float
    resistance: float = 0.0
    loss: float = 0.0
    compliance: float = math.inf

    def __post_init__(self) -> None:
        require_above_zero(mass=self.mass, compliance=self.compliance)
        if self.resistance < 0.0 or self.loss < 0.0:
            raise ValueError("a loss must not be negative")


@dataclass(frozen=True)
class Creep:
    """Suspension that yields slowly: compliance falls by `per_decade` of itself a decade upward.

    M. H. Knudsen and J. G. Jensen, Low-frequency loudspeaker models that include suspension creep,
    JAES 41 (1993), from memory: C (1 - lambda lg(f / fs)). Here the law comes from relaxing
    branches a decade apart, from three decades below `resonance` (Hz) to one above, which follow
    it to a few thousandths of C inside; at the resonance the compliance is the driver's own.
    """

    per_decade: float
    resonance: float

    def __post_init__(self) -> None:
        require_above_zero(per_decade=self.per_decade, resonance=self.resonance)

    @property
    def rates(self) -> FloatArray:
        """Relaxation rates in rad/s, one for each branch."""
        return 2.0 * math.pi * self.resonance * 10.0 ** np.arange(-3.0, 1.5)

    def instant(self, cms: float) -> float:
        """Compliance in m/N that is left when nothing has time to creep."""
        speed = 2.0 * math.pi * self.resonance / self.rates
        return float(cms / (1.0 + self.per_decade * np.sum(1.0 / (1.0 + speed**2))))


@dataclass(frozen=True, eq=False)
class LargeSignal:
    """A driver on its box: what moves, in SI, with the curves of the large signal.

    `series_capacitor` (F) is infinite where there is none; `source_resistance` in ohm.
    """

    coil: MovingCoil
    box: AirBox
    inductance: Inductance = Inductance()
    outlet: Outlet | None = None
    shapes: Nonlinear | None = None
    source_resistance: float = 0.0
    series_capacitor: float = math.inf
    creep: Creep | None = None

    @property
    def curves(self) -> Nonlinear:
        """The curves of the large signal; constant where none were given."""
        return self.shapes if self.shapes is not None else linear()

    @property
    def resistance(self) -> float:
        """Coil and source together in ohm."""
        return self.coil.re + self.source_resistance

    @property
    def compliance(self) -> float:
        """The suspension's own compliance in m/N, what creeps left out."""
        return self.coil.cms if self.creep is None else self.creep.instant(self.coil.cms)

    @property
    def creep_rates(self) -> FloatArray:
        """Relaxation rates in rad/s, shape (branches,); empty without creep."""
        return np.zeros(0) if self.creep is None else self.creep.rates

    @property
    def creep_compliance(self) -> float:
        """Compliance of each creeping branch in m/N."""
        return 0.0 if self.creep is None else self.creep.per_decade * self.compliance

    @property
    def size(self) -> int:
        """Number of states."""
        return len(STATES) + self.creep_rates.size

    def fastest(self) -> float:
        """An upper bound of the electrical rates in 1/s, which a step must follow."""
        coil, least = self.inductance, float(self.curves.le.values.min())
        rate = 0.0
        if coil.le > 0.0:
            rate += (self.resistance + coil.r2) / (coil.le * least)
        if coil.l2 > 0.0:
            rate += coil.r2 / (coil.l2 * least)
        return rate


def coil_current(model: LargeSignal, states: npt.ArrayLike, volts: npt.ArrayLike) -> FloatArray:
    """Current in A: a state of its own, or what the voltages leave where nothing holds it back.

    Parameters
    ----------
    model : LargeSignal
        The driver on its box.
    states : array_like
        As `STATES`, shape (s, ...).
    volts : array_like
        At the amplifier in V, shape (...).

    Returns
    -------
    ndarray
        Shape (...).
    """
    state = np.asarray(states, dtype=float)
    if model.inductance.le > 0.0:
        return np.asarray(state[0])
    back = model.coil.bl * model.curves.bl.at(state[2]) * state[3] + state[7]
    held = model.inductance.r2 * state[1]
    return np.asarray((volts - back + held) / (model.resistance + model.inductance.r2))


def box_pressure(model: LargeSignal, states: npt.ArrayLike) -> FloatArray:
    """Pressure in Pa on the cone's back against the room's; shape (...) for states (s, ...)."""
    state, box = np.asarray(states, dtype=float), model.box
    squeezed = -model.coil.sd * state[3] - state[5]
    return np.asarray((state[4] + box.absorption * squeezed) / (1.0 + box.absorption * box.leak))


def volume_velocity(model: LargeSignal, states: npt.ArrayLike) -> FloatArray:
    """Net flow in m^3/s out of cone, port and leak; shape (...) for states (s, ...)."""
    state = np.asarray(states, dtype=float)
    flow = model.coil.sd * state[3] + state[5] + model.box.leak * box_pressure(model, state)
    return np.asarray(flow)


def spring_force(model: LargeSignal, states: npt.ArrayLike) -> FloatArray:
    """Force in N of the suspension against the displacement; shape (...) for states (s, ...)."""
    state = np.asarray(states, dtype=float)
    stretched = state[2] - state[len(STATES):].sum(axis=0)
    return np.asarray(model.curves.kms.at(stretched) * stretched / model.compliance)


def rates(model: LargeSignal, states: npt.ArrayLike, volts: npt.ArrayLike) -> FloatArray:
    """Time derivatives of all states: the equations of motion, plainly.

    Parameters
    ----------
    model : LargeSignal
        The driver on its box.
    states : array_like
        As `STATES`, then creep, shape (s, ...).
    volts : array_like
        At the amplifier in V, shape (...).

    Returns
    -------
    ndarray
        Per second, shape (s, ...).
    """
    state = np.asarray(states, dtype=float)
    change = np.zeros(np.broadcast_shapes(state.shape, np.shape(volts)))
    current = coil_current(model, state, volts)
    pressure, force = box_pressure(model, state), spring_force(model, state)
    _electrical(model, state, volts, current, change)
    coil, curves, inductance = model.coil, model.curves, model.inductance
    pull = curves.le.slope(state[2]) / 2.0 * (
        inductance.le * current**2 + inductance.l2 * state[1] ** 2)
    drive = coil.bl * curves.bl.at(state[2]) * current + pull
    change[2] = state[3]
    change[3] = (drive - coil.rms * state[3] - force + coil.sd * pressure) / coil.mms
    leaving = coil.sd * state[3] + state[5] + model.box.leak * pressure
    change[4] = -leaving / model.box.compliance
    if model.outlet is not None:
        out = model.outlet
        against = out.resistance * state[5] + out.loss * np.abs(state[5]) * state[5]
        change[5] = (pressure - against - state[6] / out.compliance) / out.mass
        change[6] = state[5]
    change[7] = current / model.series_capacitor
    for k, rate in enumerate(model.creep_rates, len(STATES)):
        change[k] = rate * (model.creep_compliance * force - state[k])
    return change


def _electrical(
    model: LargeSignal, state: FloatArray, volts: npt.ArrayLike, current: FloatArray,
    change: FloatArray,
) -> None:
    """Derivatives of the two currents: voltages round the mesh over the inductance there."""
    coil, curve = model.inductance, model.curves.le
    factor, moved = curve.at(state[2]), curve.slope(state[2]) * state[3]
    across = coil.r2 * (current - state[1])
    if coil.le > 0.0:
        back = model.coil.bl * model.curves.bl.at(state[2]) * state[3] + state[7]
        left = volts - back - model.resistance * current - across - coil.le * moved * current
        change[0] = left / (coil.le * factor)
    if coil.l2 > 0.0:
        change[1] = (across - coil.l2 * moved * state[1]) / (coil.l2 * factor)

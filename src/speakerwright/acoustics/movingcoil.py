"""Moving-coil drive units: small-signal data and what follows from them.

Source throughout: R. H. Small, Direct-radiator loudspeaker system analysis, JAES 20(5) 1972.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from speakerwright.acoustics.air import Medium
from speakerwright.acoustics.pistons import REFERENCE_PRESSURE

STATED_VOLTAGE = 2.83


@dataclass(frozen=True)
class MovingCoil:
    """A moving-coil drive unit by its electrical and mechanical data, all SI.

    Parameters
    ----------
    re : float
        Voice-coil resistance in ohm.
    bl : float
        Force factor in T m.
    mms : float
        Moving mass with its air load in kg.
    cms : float
        Suspension compliance in m/N.
    rms : float
        Mechanical resistance in kg/s.
    sd : float
        Radiating area in m^2.

    Raises
    ------
    ValueError
        When a figure is not finite and above zero.
    """

    re: float
    bl: float
    mms: float
    cms: float
    rms: float
    sd: float

    def __post_init__(self) -> None:
        for field in fields(self):
            _positive(field.name, getattr(self, field.name))

    @property
    def fs(self) -> float:
        """Resonance frequency in Hz."""
        return 1.0 / (2.0 * math.pi * math.sqrt(self.mms * self.cms))

    @property
    def qms(self) -> float:
        """Mechanical Q at resonance."""
        return math.sqrt(self.mms / self.cms) / self.rms

    @property
    def qes(self) -> float:
        """Electrical Q at resonance, driven from a source without resistance."""
        return self.re * math.sqrt(self.mms / self.cms) / self.bl**2

    @property
    def qts(self) -> float:
        """Total Q at resonance."""
        return self.qms * self.qes / (self.qms + self.qes)

    def vas(self, air: Medium) -> float:
        """Volume of air of the suspension's compliance, in m^3."""
        return air.density * (air.speed * self.sd) ** 2 * self.cms

    def efficiency(self, air: Medium) -> float:
        """Reference efficiency into half space (a ratio, not per cent)."""
        return reference_efficiency(self.fs, self.vas(air), self.qes, air.speed)

    def sensitivity_1w_db(self, air: Medium) -> float:
        """Level in dB at 1 m in half space for 1 W into Re."""
        return one_acoustic_watt_level_db(air) + 10.0 * math.log10(self.efficiency(air))

    def sensitivity_2v83_db(self, air: Medium) -> float:
        """Level in dB at 1 m in half space for 2.83 V."""
        return self.sensitivity_1w_db(air) + 10.0 * math.log10(STATED_VOLTAGE**2 / self.re)


def _positive(name: str, value: float) -> float:
    if not (math.isfinite(value) and value > 0.0):
        raise ValueError(f"{name} must be finite and above zero")
    return value


def from_thiele_small(
    *, fs: float, qms: float, qes: float, vas: float, re: float, sd: float, air: Medium
) -> MovingCoil:
    """Electrical and mechanical data of a drive unit from its Thiele and Small parameters.

    Source: Small 1972, the definitions solved for the mechanical data.

    Parameters
    ----------
    fs : float
        Resonance frequency in Hz.
    qms, qes : float
        Mechanical and electrical Q.
    vas : float
        Volume of air of the suspension's compliance in m^3.
    re : float
        Voice-coil resistance in ohm.
    sd : float
        Radiating area in m^2.
    air : Medium
        The air that `vas` was stated for.

    Returns
    -------
    MovingCoil
        All SI.

    Raises
    ------
    ValueError
        When a figure is not finite and above zero.
    """
    for name, value in (("fs", fs), ("qms", qms), ("qes", qes), ("vas", vas), ("sd", sd)):
        _positive(name, value)
    cms = vas / (air.density * (air.speed * sd) ** 2)
    omega = 2.0 * math.pi * fs
    mms = 1.0 / (omega**2 * cms)
    return MovingCoil(
        re=_positive("re", re),
        bl=math.sqrt(omega * mms * re / qes),
        mms=mms,
        cms=cms,
        rms=omega * mms / qms,
        sd=sd,
    )


def reference_efficiency(fs: float, vas: float, qes: float, speed: float) -> float:
    """Reference efficiency into half space.

    Source: Small 1972: eta0 = 4 pi^2 fs^3 Vas / (c^3 Qes).

    Parameters
    ----------
    fs : float
        Resonance frequency in Hz.
    vas : float
        Equivalent volume in m^3.
    qes : float
        Electrical Q.
    speed : float
        Speed of sound in m/s.

    Returns
    -------
    float
        A ratio of powers.
    """
    return 4.0 * math.pi**2 * fs**3 * vas / (speed**3 * qes)


def one_acoustic_watt_level_db(air: Medium) -> float:
    """Level at 1 m of one acoustic watt spread evenly over half space: 112.1 to 112.2 dB.

    Parameters
    ----------
    air : Medium
        Density and speed; the level follows from their product.

    Returns
    -------
    float
        Level in dB re 20 uPa.
    """
    return 10.0 * math.log10(air.density * air.speed / (2.0 * math.pi) / REFERENCE_PRESSURE**2)

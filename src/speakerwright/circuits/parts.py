"""The parts a network is made of. Values are SI of their domain; exp(+jωt)."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.ducts import two_port
from speakerwright.acoustics.horns import lossy_two_port, section_two_port
from speakerwright.acoustics.linings import Fill, box_compliance, relaxing
from speakerwright.acoustics.profiles import Profile, conical, exponential, hyperbolic

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]

GROUND = "0"


@dataclass(frozen=True)
class OnePort:
    """A part between two nodes with an impedance; subclasses give ``impedance(omega)``."""

    name: str
    a: str
    b: str

    def impedance(self, omega: Real) -> Complex:
        """Impedance (f,) at the angular frequencies `omega` (f,) in rad/s."""
        raise NotImplementedError


@dataclass(frozen=True)
class Resistor(OnePort):
    """A resistance: electrical (Ω), mechanical (kg/s) or acoustical (Pa s/m³)."""

    value: float

    def impedance(self, omega: Real) -> Complex:
        """R."""
        return np.full(omega.shape, self.value, dtype=np.complex128)


@dataclass(frozen=True)
class Inductor(OnePort):
    """An inductance (H), a mass (kg) or an acoustic mass (kg/m⁴)."""

    value: float

    def impedance(self, omega: Real) -> Complex:
        """jωL."""
        return np.asarray(1j * omega * self.value, dtype=np.complex128)


@dataclass(frozen=True)
class Capacitor(OnePort):
    """A capacitance (F), a mechanical compliance (m/N) or an acoustic one (m³/Pa)."""

    value: float

    def impedance(self, omega: Real) -> Complex:
        """1/jωC."""
        return np.asarray(1.0 / (1j * omega * self.value), dtype=np.complex128)


@dataclass(frozen=True)
class Series(OnePort):
    """One-ports in series as one branch; the inner nodes do not appear in the network."""

    parts: tuple[OnePort, ...]

    def impedance(self, omega: Real) -> Complex:
        """Sum of the parts' impedances."""
        total = np.zeros(omega.shape, dtype=np.complex128)
        for part in self.parts:
            total = total + part.impedance(omega)
        return total


@dataclass(frozen=True)
class Parallel(OnePort):
    """One-ports in parallel as one branch."""

    parts: tuple[OnePort, ...]

    def impedance(self, omega: Real) -> Complex:
        """Reciprocal of the sum of the parts' admittances."""
        total = np.zeros(omega.shape, dtype=np.complex128)
        for part in self.parts:
            total = total + 1.0 / part.impedance(omega)
        return 1.0 / total


@dataclass(frozen=True)
class PowerLawInductor(OnePort):
    """A voice coil whose impedance is K (jω)^n (Leach 2002).

    Source: W. M. Leach, Loudspeaker voice-coil inductance losses, JAES 50(6), 2002. `exponent` is
    1 for a lossless coil and near 0.5 to 0.7 with eddy currents; `value` in Ω s^n.
    """

    value: float
    exponent: float

    def impedance(self, omega: Real) -> Complex:
        """K (jω)^n."""
        return np.asarray(self.value * (1j * omega) ** self.exponent)


@dataclass(frozen=True)
class WrightInductor(OnePort):
    """A voice coil as Kr ω^Xr + j Ki ω^Xi (Wright 1990).

    Source: J. R. Wright, An empirical model for loudspeaker motor impedance, JAES 38(10), 1990.
    """

    real: float
    real_exponent: float
    imaginary: float
    imaginary_exponent: float

    def impedance(self, omega: Real) -> Complex:
        """Kr ω^Xr + j Ki ω^Xi."""
        return np.asarray(
            self.real * omega**self.real_exponent
            + 1j * self.imaginary * omega**self.imaginary_exponent
        )


@dataclass(frozen=True)
class SemiInductor(OnePort):
    """A semi-inductance: K √(jω) (Thorborg and Futtrup 2011).

    Source: K. Thorborg and C. Futtrup, Electrodynamic transducer model incorporating
    semi-inductance and means for shorting AC magnetization, JAES 59(9), 2011. `value` in Ω √s
    (semi-henry).
    """

    value: float

    def impedance(self, omega: Real) -> Complex:
        """K √(jω)."""
        return np.asarray(self.value * np.sqrt(1j * omega))


@dataclass(frozen=True)
class RadiationResistance(OnePort):
    """What an opening of `area` (m²) radiates into a solid angle (sr): ρω²/(Ωc), at most ρc/S.

    Source: low-frequency limit of the piston's radiation resistance (Rayleigh), valid to ka = 1;
    held at the plane wave's value above.
    """

    area: float
    solid_angle: float
    air: Air

    def impedance(self, omega: Real) -> Complex:
        """Real and positive, rising with the square of frequency."""
        low = self.air.density * omega**2 / (self.solid_angle * self.air.speed)
        return np.minimum(low, self.air.impedance / self.area).astype(np.complex128)


@dataclass(frozen=True)
class FilledBox(OnePort):
    """The compliance of a box of `volume` (m³), the part `share` (0 to 1) of it filled.

    With `face`, the area (m²) through which sound enters the fill, drag takes its part as well as
    heat (`linings.box_compliance`).
    """

    volume: float
    share: float
    fill: Fill
    air: Air
    face: float | None = None

    def impedance(self, omega: Real) -> Complex:
        """1/jωC with the complex compliance of air and fill."""
        compliance = box_compliance(
            omega / (2.0 * np.pi), self.volume, self.share, self.fill, self.air, self.face
        )
        return np.asarray(1.0 / (1j * omega * compliance), dtype=np.complex128)


@dataclass(frozen=True)
class VoltageSource:
    """An ideal source of `volts` (rms) from node `b` to node `a`."""

    name: str
    a: str
    b: str
    volts: float = 1.0


@dataclass(frozen=True)
class Gyrator:
    """A gyrator of `ratio` between a port at `a` and a port at `c` (both to ground).

    v(a) = ratio · i(c) and v(c) = ratio · i(a), where i(a) flows from node a into the gyrator and
    i(c) from the gyrator into node c: a motor of force factor Bl turns current into force.
    """

    name: str
    a: str
    c: str
    ratio: float


@dataclass(frozen=True)
class Transformer:
    """A transformer of `ratio` between a port at `a` (to ground) and a port from `c` to `d`.

    v(a) = ratio · (v(c) − v(d)) and i(c) = ratio · i(a), with i(a) into the transformer, i(c) out
    into node c and as much in from node d: a cone of area Sd turns the pressure difference of its
    two sides into force and velocity into volume velocity.
    """

    name: str
    a: str
    c: str
    ratio: float
    d: str = GROUND


@dataclass(frozen=True)
class Duct:
    """A uniform air duct from node `a` to node `b` as a line with wall losses.

    `area` (m²) and `perimeter` (m) are of one duct, `length` in m; `count` equal ducts side by
    side. A duct with a `fill` is filled fully, and its walls then count nothing.
    """

    name: str
    a: str
    b: str
    area: float
    perimeter: float
    length: float
    air: Air
    count: int = 1
    fill: Fill | None = None

    def matrix(self, frequency: Real) -> Complex:
        """Chain matrix (f, 2, 2) of all ducts together."""
        chain = np.array(self._one(frequency))
        chain[:, 0, 1] /= self.count
        chain[:, 1, 0] *= self.count
        return chain

    def _one(self, frequency: Real) -> Complex:
        if self.fill is None:
            return two_port(frequency, self.area, self.perimeter, self.length, self.air)
        uniform = conical(self.area, self.area, self.length)
        return section_two_port(uniform, *relaxing(frequency, self.fill, self.air))


@dataclass(frozen=True)
class Flare(Duct):
    """A horn or tapered duct: `area` and `perimeter` at node `a`, `end_area` at node `b`.

    `flare` is 1 for the exponential, 0 for the catenoidal horn and so on (Salmon's parameter, which
    other than 1 only a widening one takes), none for a cone. The perimeter at the end keeps the
    cross-section's shape unless `end_perimeter` (m) is given.
    """

    end_area: float = field(kw_only=True)
    end_perimeter: float | None = field(default=None, kw_only=True)
    flare: float | None = field(default=None, kw_only=True)

    @property
    def profile(self) -> Profile:
        """The cross-section along the way from node `a` to node `b`."""
        ends = (self.area, self.end_area, self.length)
        if self.flare is None:
            return conical(*ends)
        return exponential(*ends) if self.flare == 1.0 else hyperbolic(*ends, self.flare)

    def _one(self, frequency: Real) -> Complex:
        if self.fill is not None:
            return section_two_port(self.profile, *relaxing(frequency, self.fill, self.air))
        end = self.end_perimeter
        if end is None:
            end = self.perimeter * math.sqrt(self.end_area / self.area)
        return lossy_two_port(frequency, self.profile, (self.perimeter, end), self.air)


Part = OnePort | VoltageSource | Gyrator | Transformer | Duct

"""The named alignments for a chamber's drivers: volume, tuning and filter of each, and its f3.

Driver's resonance, total Q with the source's resistance, and Vas decide. Box losses count: in a
vented box all together as leakage (Small 1973 advises it), in a closed one each at its place. Left
out are the voice coil's inductance and the give of the air in the port, as in the books; the
circuit has both, so its own curve differs a little.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np
import numpy.typing as npt

from speakerwright.acoustics import alignments as known
from speakerwright.acoustics.air import FloatArray
from speakerwright.acoustics.alignments.polynomials import crossing, extremes_db, half_power
from speakerwright.bass.inputs import ChamberInput
from speakerwright.bass.port import PortResult
from speakerwright.design.sections.bass import BassChamber, HighPass
from speakerwright.words.blocks import Table
from speakerwright.words.units import show

_vented = lru_cache(maxsize=64)(known.vented_for_driver)

NAMES = {
    "B4": "Butterworth, fourth order",
    "QB3": "quasi-Butterworth, third order",
    "C4": "Chebyshev, fourth order",
    "B2": "Butterworth, second order",
}
FAR = 0.10  # how far a driver's Q may lie from what a fixed alignment demands (rule of thumb)
EXACT = 0.001  # nearer than this it has it
RIPPLE_DB = 2.0  # more than this is no alignment to propose (rule of thumb)
LIFT_DB = 8.0  # more than this no filter should ask of the amplifier and the cone (rule of thumb)


@dataclass(frozen=True)
class Named:
    """A textbook alignment for this driver: its name, net volume (m³) and tuning (Hz)."""

    name: str
    volume: float
    tuning: float | None


@dataclass(frozen=True)
class Filter:
    """An active high-pass by order, frequency (Hz) and Q, or a series capacitor (F)."""

    order: int | None = None
    frequency: float | None = None
    q: float | None = None
    capacitor: float | None = None


@dataclass(frozen=True)
class Proposal:
    """An alignment as it would stand in the design.

    `volume` net, m³; `tuning` in Hz, None closed; `f3` in Hz, `peak_db` above the asymptote and
    `ripple_db` peak to trough are those of this driver in it. `distance` is how far the driver's
    total Q lies from the demanded one, as a share of that; None where the alignment suits exactly.
    """

    name: str
    loading: str
    volume: float
    tuning: float | None
    high_pass: Filter | None
    f3: float
    peak_db: float
    ripple_db: float
    distance: float | None = None


@dataclass(frozen=True)
class Refused:
    """An alignment that this driver does not give, and why, in a sentence."""

    name: str
    reason: str


@dataclass(frozen=True)
class _Driver:
    """The drivers as one with their source, and the box's losses (Q; infinite for none)."""

    fs: float
    qes: float
    qms: float
    vas: float
    resistance: float
    leak_q: float
    absorption_q: float
    ql: float

    @property
    def qts(self) -> float:
        return self.qes * self.qms / (self.qes + self.qms)


def _driver(inputs: ChamberInput) -> _Driver:
    one, losses = inputs.motor, inputs.chamber.losses
    scale = inputs.count if inputs.wiring == "series" else 1.0 / inputs.count
    resistance = one.re
    if inputs.chamber.source_resistance:
        resistance += inputs.chamber.source_resistance / scale
    leak, absorption, port = (
        math.inf if q is None else q
        for q in (losses.leak_q, losses.absorption_q, losses.port_q)
    )
    loss = 1.0 / leak + 1.0 / absorption + 1.0 / port
    return _Driver(
        one.fs, one.qes * resistance / one.re, one.qms, one.vas(inputs.air) * inputs.count,
        resistance * scale, leak, absorption, 1.0 / loss if loss else math.inf,
    )


def nearest_alignment(inputs: ChamberInput, port: PortResult | None) -> Named | None:
    """The textbook alignment for the chamber's drivers, source resistance and losses.

    Vented: quasi-Butterworth, Butterworth or Chebyshev of fourth order by the driver's total Q
    (`acoustics.alignments`). Closed: Butterworth, Qtc 0.707; None when the driver's own Q is
    already higher. All without inductance, as the books have them.
    """
    driver = _driver(inputs)
    try:
        if port is None:
            volume = known.closed_volume(driver.qts, driver.vas, 0.5**0.5)
            return Named(NAMES["B2"], volume, None)
        found = _vented(driver.qts, driver.ql)
    except ValueError:
        return None
    return Named(NAMES.get(found.name, found.name), driver.vas / found.alpha, found.h * driver.fs)


def proposals(inputs: ChamberInput) -> tuple[Proposal, ...]:
    """Every alignment that the chamber's drivers give, closed and vented, alone and with a filter.

    Those that suit exactly come first, lowest f3 first; then those a little away, nearest first.
    The chamber's own volume, port and filter do not count, its source resistance and losses do.
    """
    found = [each for each in _worked_out(_driver(inputs)) if isinstance(each, Proposal)]
    return tuple(sorted(found, key=lambda p: (abs(p.distance or 0.0), p.f3)))


def refusals(inputs: ChamberInput) -> tuple[Refused, ...]:
    """The alignments that the chamber's drivers do not give, each with a sentence why."""
    return tuple(each for each in _worked_out(_driver(inputs)) if isinstance(each, Refused))


@lru_cache(maxsize=64)
def _worked_out(driver: _Driver) -> tuple[Proposal | Refused, ...]:
    made: list[Proposal | Refused] = []
    for name, make in _ways(driver):
        try:
            found = make()
        except ValueError as why:
            text = str(why)
            made.append(Refused(name, f"{text[0].upper()}{text[1:]}."))
            continue
        made.append(_within(found))
    return tuple(made)


def _within(found: Proposal) -> Proposal | Refused:
    """A proposal, unless its ripple or its filter's lift is beyond sense."""
    if found.ripple_db > RIPPLE_DB:
        return Refused(found.name, f"The response would ripple by {found.ripple_db:.1f} dB.")
    q = found.high_pass.q if found.high_pass is not None else None
    lift = 0.0 if q is None else known.closed_peak(q)[0]
    if lift > LIFT_DB:
        return Refused(found.name, f"The filter would lift the level by {lift:.1f} dB.")
    return found


Found = known.Alignment | known.Assisted
_KINDS = (1, 2, 3)
_FIXED: tuple[tuple[str, Callable[[float], Found]], ...] = (
    ("B4", known.butterworth4), ("BL4", known.bessel4),
    ("B5", known.butterworth5), ("BL5", known.bessel5),
    *((f"B6 class {'I' * kind}", partial(known.butterworth6, kind)) for kind in _KINDS),
)
# name, the fixed alignment where the family ends, whether it lies below that Q, and the family
_FAMILIES: tuple[tuple[str, Callable[[float], Found], bool, Callable[..., Found]], ...] = (
    ("QB3", known.butterworth4, True, known.quasi_butterworth3),
    ("SC4", known.butterworth4, True, known.sub_chebyshev4),
    ("C4", known.butterworth4, False, known.chebyshev4),
    ("SC5", known.butterworth5, True, known.chebyshev5),
    ("C5", known.butterworth5, False, known.chebyshev5),
    *((f"QB5 class {'I' * kind}", partial(known.butterworth6, kind), True,
       partial(known.quasi_butterworth5, kind=kind)) for kind in _KINDS),
    *((f"C6 class {'I' * kind}", partial(known.butterworth6, kind), False,
       partial(known.chebyshev6, kind=kind)) for kind in _KINDS),
)


def _ways(driver: _Driver) -> Iterator[tuple[str, Callable[[], Proposal]]]:
    """Every alignment by name, and how it is worked out; ValueError says why it is not."""
    for name, q in (
        ("Critically damped", known.CRITICALLY_DAMPED), ("Bessel", known.BESSEL),
        ("B2", known.BUTTERWORTH), ("C2, 0.5 dB", known.closed_q_for_peak(0.5)),
        ("C2, 1 dB", known.closed_q_for_peak(1.0)),
    ):
        yield name, partial(_closed, name, driver, q)
    for order, kind in ((3, 1), (4, 1), (4, 2)):
        found = known.closed_assisted(order, kind)
        yield found.name, partial(_closed, found.name, driver, found.qtc, found.filter)
    yield "B3, series capacitor", partial(_closed_capacitor, driver)
    for name, fixed in _FIXED:
        yield name, partial(_fixed, name, driver, fixed)
    for name, end, below, family in _FAMILIES:
        yield name, partial(_family, name, driver, end, below, family)
    yield "C5, series capacitor", partial(_vented_capacitor, driver)


def _closed(
    name: str, driver: _Driver, qtc: float, filter_: known.HighPassFilter | None = None
) -> Proposal:
    alpha = _closed_alpha(driver, qtc)
    rise = math.sqrt(1.0 + alpha)
    box = np.polymul([1.0, 1.0 / driver.qts + alpha / rise / driver.absorption_q, 1.0],
                     [1.0, rise / driver.leak_q])
    box[-2] += alpha  # a closed box with a leak is of third order
    made = None if filter_ is None else _active(filter_, driver.fs * rise)
    return _proposal(name, driver, alpha, None, made, _with_filter(box, made, driver))


def _closed_alpha(driver: _Driver, qtc: float) -> float:
    """Volume ratio for a total Q at the closed box's resonance, the box's losses counted in."""
    loss = 1.0 / driver.leak_q + 1.0 / driver.absorption_q

    def surplus(alpha: float) -> float:
        rise = math.sqrt(1.0 + alpha)
        return 1.0 / (driver.qts * rise) + alpha / (1.0 + alpha) * loss - 1.0 / qtc

    if surplus(0.0) <= 0.0:
        raise ValueError(f"QT {driver.qts:.3f} is above the Qtc of {qtc:.3f} that this wants, "
                         "and a closed box only raises it")
    if surplus(1e6) >= 0.0:
        raise ValueError(f"the box's losses keep its Q below {qtc:.3f}")
    return crossing(surplus, 1e-9, 1e6)


def _closed_capacitor(driver: _Driver) -> Proposal:
    loss, alpha = 1.0 / driver.leak_q + 1.0 / driver.absorption_q, 0.0
    for _ in range(30):  # the box's losses as the driver's own, at the closed box's resonance
        qms = 1.0 / (1.0 / driver.qms + alpha / math.sqrt(1.0 + alpha) * loss)
        found = known.closed_capacitor3(driver.qes, qms)
        alpha = found.alpha
    corner = math.sqrt(1.0 + alpha) / driver.leak_q  # below it the leak empties the box
    qms = 1.0 / (1.0 / driver.qms + alpha / math.sqrt(1.0 + alpha) / driver.absorption_q)
    box = known.closed_capacitor_polynomial(driver.qes, qms, 0.0, found.time)
    spring = [alpha, alpha / found.time, 0.0]  # times s over (s + corner)
    polynomial = np.polyadd(np.polymul(box, [1.0, corner]), spring)
    return _proposal("B3, series capacitor", driver, alpha, None, _series(found.time, driver),
                     polynomial)


def _vented_capacitor(driver: _Driver) -> Proposal:
    found = known.vented_capacitor5(driver.qes, driver.qms, driver.ql)
    assert found.h is not None
    polynomial = known.vented_capacitor_polynomial(
        driver.qes, driver.qms, found.alpha, found.h, found.time, driver.ql)
    return _proposal(f"{found.name}, series capacitor", driver, found.alpha, found.h,
                     _series(found.time, driver), polynomial)


def _fixed(name: str, driver: _Driver, make: Callable[[float], Found]) -> Proposal:
    found = make(driver.ql)
    away = driver.qts / found.qt - 1.0
    if abs(away) > FAR:
        word = "above" if away > 0.0 else "below"
        raise ValueError(f"QT {driver.qts:.3f} is {100.0 * abs(away):.0f} % {word} the "
                         f"{found.qt:.3f} that {name} demands{_remedy(driver, found.qt)}")
    return _vented_proposal(name, driver, found, None if abs(away) <= EXACT else away)


def _remedy(driver: _Driver, wanted: float) -> str:
    """What series resistance would raise the drivers' QT to the wanted one, if one of sense."""
    damping = 1.0 / wanted - 1.0 / driver.qms
    if wanted < driver.qts or damping <= 0.0:
        return ""
    extra = driver.resistance * (1.0 / (damping * driver.qes) - 1.0)
    # More than the drivers' own resistance would turn over half of the power into heat.
    if extra > driver.resistance:
        return ""
    return f"; {show(extra, 'resistance')} in series would bring it there"


def _family(
    name: str, driver: _Driver, end: Callable[[float], Found], below: bool,
    family: Callable[..., Found],
) -> Proposal:
    limit = end(driver.ql).qt
    share = driver.qts / limit - 1.0
    if abs(share) <= EXACT:
        raise ValueError(f"at QT {driver.qts:.3f} {name} is the Butterworth alignment itself")
    if (share < 0.0) != below:
        word = "above" if below else "below"
        raise ValueError(f"QT {driver.qts:.3f} is {word} what {name} takes, whose limit is "
                         f"{limit:.3f}")
    return _vented_proposal(name, driver, family(driver.qts, ql=driver.ql), None)


def _vented_proposal(
    name: str, driver: _Driver, found: Found, distance: float | None
) -> Proposal:
    """The alignment with this driver in it, whose Q may be a little away."""
    if found.alpha <= 0.0:
        raise ValueError(f"with these losses no box gives {name}")
    r = math.sqrt(found.h)
    a = known.vented_coefficients(driver.qts, found.alpha, found.h, driver.ql)
    box = np.array([1.0, a[0], a[1], a[2], 1.0]) * r ** np.arange(5)
    made = _active(found.filter, driver.fs) if isinstance(found, known.Assisted) else None
    return _proposal(name, driver, found.alpha, found.h, made,
                     _with_filter(box, made, driver), distance)


def _active(made: known.HighPassFilter, resonance: float) -> Filter:
    return Filter(made.order, made.ratio * resonance, made.q)


def _series(time: float, driver: _Driver) -> Filter:
    return Filter(capacitor=time / (2.0 * math.pi * driver.fs * driver.resistance))


def _with_filter(box: npt.ArrayLike, made: Filter | None, driver: _Driver) -> FloatArray:
    """The box's polynomial in s over 2 pi fs, times the filter's."""
    if made is None or made.frequency is None:
        return np.asarray(box, dtype=float)
    x = made.frequency / driver.fs
    section = [1.0, x] if made.q is None else [1.0, x / made.q, x**2]
    return np.asarray(np.polymul(np.asarray(box, dtype=float), section), dtype=float)


def _proposal(
    name: str, driver: _Driver, alpha: float, h: float | None, made: Filter | None,
    polynomial: FloatArray, distance: float | None = None,
) -> Proposal:
    """Volume and tuning by the ratios, f3 and ripple by the whole polynomial over fs."""
    high, low = extremes_db(polynomial)
    return Proposal(
        name, "closed" if h is None else "vented", driver.vas / alpha,
        None if h is None else h * driver.fs, made, driver.fs * half_power(polynomial),
        high, high - low, distance,
    )


def in_chamber(chamber: BassChamber, proposal: Proposal) -> BassChamber:
    """The chamber with a proposal in it: loading, volume, tuning and high-pass are set.

    A vented proposal keeps the port's area and gives it the tuning instead of a length; raises
    ValueError where the chamber has no port, for an alignment says nothing of its area.
    """
    made, port = proposal.high_pass, None
    if proposal.tuning is not None:
        if chamber.port is None:
            raise ValueError("the chamber has no port: give it one, then its tuning follows")
        port = chamber.port.model_copy(update={"tuning": proposal.tuning, "length": None})
    high_pass = None if made is None else HighPass.model_construct(
        order=made.order, frequency=made.frequency, q=made.q, capacitor=made.capacitor)
    return chamber.model_copy(update={
        "loading": proposal.loading, "volume": proposal.volume, "port": port,
        "high_pass": high_pass,
    })


def table(found: tuple[Proposal, ...], system: str = "metric") -> Table:
    """The proposals as a table for a reader."""
    rows = tuple(
        (each.name, each.loading, show(each.volume, "volume", system),
         show(each.tuning, "frequency"), _filter_words(each.high_pass),
         show(each.f3, "frequency"), f"{each.peak_db:.1f}", f"{each.ripple_db:.1f}",
         "exact" if each.distance is None else f"{100.0 * each.distance:+.0f} %".replace("-", "−"))
        for each in found
    )
    heads = ("Alignment", "Loading", "Net volume", "Tuning", "High-pass", "−3 dB", "Peak, dB",
             "Ripple, dB", "Driver's Q")
    return Table(
        heads, rows, "Named alignments for this driver, its source and the box's losses; without "
        "the voice coil's inductance and without the give of the air in the port. B Butterworth, "
        "QB quasi-Butterworth, C Chebyshev, SC sub-Chebyshev, BL Bessel, and the order.",
        numbers=(2, 3, 5, 6, 7, 8),
    )


def _filter_words(made: Filter | None) -> str:
    if made is None:
        return "none"
    if made.capacitor is not None:
        return f"series capacitor {show(made.capacitor, 'capacitance')}"
    return (f"{show(made.frequency, 'frequency')}, {6 * (made.order or 0)} dB per octave"
            + ("" if made.q is None else f", Q {made.q:.3f}"))

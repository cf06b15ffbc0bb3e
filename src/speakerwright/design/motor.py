"""A record's figures completed to the six that a circuit needs, each with where it came from."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from speakerwright.acoustics.air import Air
from speakerwright.acoustics.movingcoil import MovingCoil
from speakerwright.design.records import Figures, Record
from speakerwright.words.evidence import Evidence

NEEDED = ("re", "sd", "mms", "cms", "bl", "rms")


@dataclass(frozen=True)
class Origin:
    """Where one figure came from: its evidence, and ``typed`` or the law it was derived by."""

    evidence: Evidence
    how: str = "typed"


@dataclass(frozen=True)
class Motor:
    """The six figures of a moving-coil driver (SI), each with its origin."""

    coil: MovingCoil
    origins: Mapping[str, Origin]

    @property
    def evidence(self) -> Evidence:
        """Measured when every figure rests on measurements, else datasheet."""
        measured = all(origin.evidence is Evidence.MEASURED for origin in self.origins.values())
        return Evidence.MEASURED if measured else Evidence.DATASHEET


@dataclass(frozen=True)
class Suspended:
    """A cone without a motor: area m², moving mass kg, compliance m/N, resistance kg/s."""

    sd: float
    mms: float
    cms: float
    rms: float


class Incomplete(ValueError):
    """A record that does not determine its motor; `missing` names what is wanted."""

    def __init__(self, missing: tuple[str, ...]) -> None:
        self.missing = missing
        super().__init__(f"the record does not give or imply {', '.join(missing)}")


@dataclass
class _Known:
    """Figures as they become known."""

    values: dict[str, float] = field(default_factory=dict)
    origins: dict[str, Origin] = field(default_factory=dict)

    def put(self, name: str, value: float | None, origin: Origin) -> None:
        if value is not None and name not in self.values:
            self.values[name], self.origins[name] = value, origin


Law = tuple[str, tuple[str, ...], Callable[..., float]]

_TAU = 2.0 * math.pi
# Five relations, each solved for each of its figures, the usual way round first. Small 1972,
# direct-radiator analysis.
_LAWS: tuple[Law, ...] = (
    ("qes", ("qts", "qms"), lambda qts, qms: qts * qms / (qms - qts)),
    ("qms", ("qts", "qes"), lambda qts, qes: qts * qes / (qes - qts)),
    ("cms", ("fs", "mms"), lambda fs, mms: 1.0 / ((_TAU * fs) ** 2 * mms)),
    ("cms", ("vas", "sd", "stiffness"), lambda vas, sd, stiffness: vas / (stiffness * sd**2)),
    ("mms", ("fs", "cms"), lambda fs, cms: 1.0 / ((_TAU * fs) ** 2 * cms)),
    ("fs", ("mms", "cms"), lambda mms, cms: 1.0 / (_TAU * math.sqrt(mms * cms))),
    ("rms", ("fs", "mms", "qms"), lambda fs, mms, qms: _TAU * fs * mms / qms),
    ("bl", ("fs", "mms", "re", "qes"),
     lambda fs, mms, re, qes: math.sqrt(_TAU * fs * mms * re / qes)),
    ("qms", ("fs", "mms", "rms"), lambda fs, mms, rms: _TAU * fs * mms / rms),
    ("qes", ("fs", "mms", "re", "bl"), lambda fs, mms, re, bl: _TAU * fs * mms * re / bl**2),
    ("sd", ("vas", "cms", "stiffness"),
     lambda vas, cms, stiffness: math.sqrt(vas / (stiffness * cms))),
    ("re", ("fs", "mms", "bl", "qes"), lambda fs, mms, bl, qes: qes * bl**2 / (_TAU * fs * mms)),
    ("mms", ("fs", "re", "bl", "qes"), lambda fs, re, bl, qes: qes * bl**2 / (_TAU * fs * re)),
    ("mms", ("fs", "rms", "qms"), lambda fs, rms, qms: qms * rms / (_TAU * fs)),
    ("fs", ("mms", "rms", "qms"), lambda mms, rms, qms: qms * rms / (_TAU * mms)),
    ("fs", ("mms", "re", "bl", "qes"), lambda mms, re, bl, qes: qes * bl**2 / (_TAU * mms * re)),
)


@lru_cache(maxsize=256)
def _complete(
    figures: tuple[tuple[str, float, Evidence], ...], air: Air, needed: tuple[str, ...] = NEEDED
) -> tuple[Mapping[str, float], Mapping[str, Origin]]:
    known = _Known()
    known.put("stiffness", air.density * air.speed**2, Origin(Evidence.MEASURED, "air"))
    mixed = len({evidence for _, _, evidence in figures}) > 1
    for name, value, evidence in figures:
        known.put(name, value, Origin(evidence))
        if mixed:  # a measured figure outranks a typed one that would contradict it
            _close(known)
    _close(known)
    missing = tuple(name for name in needed if name not in known.values)
    if missing:
        raise Incomplete(missing)
    return ({name: known.values[name] for name in needed},
            {name: known.origins[name] for name in needed})


def _close(known: _Known) -> None:
    """Derive whatever the laws give from what is known, until nothing more follows."""
    grew = True
    while grew:
        grew = False
        for name, wanted, law in _LAWS:
            if name in known.values or any(key not in known.values for key in wanted):
                continue
            value = _tried(law, [known.values[key] for key in wanted])
            if value is None:
                continue
            typed = [key for key in wanted if key != "stiffness"]
            evidence = min(
                (known.origins[key].evidence for key in typed), key=list(Evidence).index
            )
            known.put(name, value, Origin(evidence, f"from {', '.join(typed)}"))
            grew = True


def _tried(law: Callable[..., float], values: list[float]) -> float | None:
    try:
        value = law(*values)
    except (ZeroDivisionError, ValueError):
        return None
    return value if math.isfinite(value) and value > 0 else None


# In this order the datasheet fills the gaps of a partly measured record: what a suspension's age
# or a batch changes least comes first.
_NAMES = ("re", "sd", "mms", "bl", "qms", "rms", "cms", "vas", "fs", "qes", "qts")


def motor(record: Record, air: Air) -> Motor:
    """Complete a record to the six figures a circuit needs.

    Measured figures come first. When they alone determine the motor, nothing of the datasheet is
    mixed in; otherwise the datasheet fills the gaps. Raises `Incomplete`.
    """
    values, origins = _completed(record, air, NEEDED)
    return Motor(MovingCoil(**values), origins)


def suspended(record: Record, air: Air) -> Suspended:
    """Complete the record of a passive radiator to its four figures. Raises `Incomplete`."""
    values, _ = _completed(record, air, ("sd", "mms", "cms", "rms"))
    return Suspended(**values)


def _completed(
    record: Record, air: Air, needed: tuple[str, ...]
) -> tuple[Mapping[str, float], Mapping[str, Origin]]:
    measured = _typed(record.measured, Evidence.MEASURED)
    if measured:
        try:
            return _complete(measured, air, needed)
        except Incomplete:
            pass
    every = (*measured, *_typed(record.datasheet, Evidence.DATASHEET))
    return _complete(every, air, needed)


def _typed(
    figures: Figures | None, evidence: Evidence
) -> tuple[tuple[str, float, Evidence], ...]:
    if figures is None:
        return ()
    return tuple(
        (name, getattr(figures, name), evidence)
        for name in _NAMES
        if getattr(figures, name) is not None
    )


def figure(record: Record, name: str) -> tuple[float | None, Evidence]:
    """A typed figure (SI) of a record, measured before datasheet, with its evidence."""
    if record.measured is not None and getattr(record.measured, name) is not None:
        return getattr(record.measured, name), Evidence.MEASURED
    return getattr(record.datasheet, name), Evidence.DATASHEET

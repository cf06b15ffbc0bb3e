"""What a search found, as frozen data and as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from speakerwright.bass.result import Need
from speakerwright.bass.search.figures import EXTENSION, HEADROOM, SIZE, scores
from speakerwright.bass.search.full import Full
from speakerwright.bass.search.space import Candidate, Tube
from speakerwright.circuits.parts import Real


@dataclass(frozen=True)
class Member:
    """A candidate worked out in full.

    `cost` is None where a record has no price; `size` in m³, `extension` in Hz, `headroom_db`
    against the brief's need. `meets` says that it meets the brief; `off` why it fell off the front
    on which the screen had it, empty while it stands; `fails` the rules that fail.
    """

    candidate: Candidate
    cost: float | None
    size: float
    extension: float
    headroom_db: float
    port_length: float | None
    meets: bool
    off: str
    fails: tuple[str, ...]


@dataclass(frozen=True)
class Difference:
    """Full result against screen for one figure, over all that was worked out and can be built.

    `largest` is a share for size and extension and in dB for headroom, with its sign; `outside`
    counts those that differ by more than the guard band.
    """

    figure: str
    largest: float
    outside: int


@dataclass(frozen=True)
class Found:
    """The front of a search, in order, and how it was come by.

    `members` stand on the front in full: those that meet the brief first, then by cost (unknown
    last), size, extension and headroom. `fallen` stood on the screen's front only. `nearest` is
    the one that misses the brief least, where no member is there.
    """

    key: str
    chamber: str
    members: tuple[Member, ...]
    fallen: tuple[Member, ...]
    nearest: Member | None
    candidates: int
    circuits: int
    worked_out: int
    differences: tuple[Difference, ...]
    left_out: tuple[str, ...]

    @property
    def meeting(self) -> int:
        """How many members meet the brief."""
        return sum(member.meets for member in self.members)

    def plain(self) -> dict[str, Any]:
        """As plain data, that JSON can hold."""
        return asdict(self)

    @classmethod
    def read(cls, data: Mapping[str, Any]) -> Found:
        """What `plain` gave; KeyError or TypeError for anything else."""
        return cls(**{
            **data,
            "members": tuple(_member(each) for each in data["members"]),
            "fallen": tuple(_member(each) for each in data["fallen"]),
            "nearest": None if data["nearest"] is None else _member(data["nearest"]),
            "differences": tuple(Difference(**each) for each in data["differences"]),
            "left_out": tuple(data["left_out"]),
        })


def _member(data: Mapping[str, Any]) -> Member:
    candidate = dict(data["candidate"])
    if candidate["tube"] is not None:
        candidate["tube"] = Tube(**candidate["tube"])
    return Member(**{**data, "candidate": Candidate(**candidate), "fails": tuple(data["fails"])})


def member(candidate: Candidate, full: Full, need: Need, off: str = "") -> Member:
    """A candidate with its full figures; it meets the brief where nothing fails or falls short."""
    cost, size, reach, headroom = full.values
    off = off or full.off
    meets = not off and not full.fails and reach <= need.lowest and headroom >= 0.0
    return Member(candidate, cost if np.isfinite(cost) else None, size, reach, headroom,
                  full.port_length, bool(meets), off, full.fails)


def in_order(members: list[Member]) -> tuple[Member, ...]:
    """Those that meet the brief first, then by cost, size, extension, headroom and number."""
    return tuple(sorted(members, key=lambda m: (
        not m.meets, np.inf if m.cost is None else m.cost, m.size, m.extension, -m.headroom_db,
        m.candidate.number)))


def differences(screened: Real, widths: Real, fulls: Real) -> tuple[Difference, ...]:
    """Full figures (n, 4) against the screen's, whose scores are sure to their `widths` (n, 4)."""
    if not len(fulls):
        return ()
    with np.errstate(invalid="ignore"):
        apart = np.abs(scores(fulls) - scores(screened))
        far = apart > widths * (1.0 + 1e-9) + 1e-9
    found = []
    for k, name in ((SIZE, "size"), (EXTENSION, "extension"), (HEADROOM, "headroom")):
        change = fulls[:, k] - screened[:, k]
        if k != HEADROOM:
            change = change / screened[:, k]
        largest = float(change[int(np.argmax(np.abs(change)))])
        found.append(Difference(name, largest, int(np.count_nonzero(far[:, k]))))
    return tuple(found)

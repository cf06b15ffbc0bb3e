"""A chamber played loud: what it is worked out from, and its harmonics on request."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from speakerwright.bass import harmonics_shown
from speakerwright.bass.distortion import DEFAULT, IN_TIME, Distortion, distortion
from speakerwright.bass.loud import LoudInput, loud_input
from speakerwright.chain.flow import Workup, work
from speakerwright.chain.memo import Memo
from speakerwright.chain.requests import Request, Tell
from speakerwright.chain.sizing import settle_key
from speakerwright.chain.store import Outcome
from speakerwright.design.document import Design
from speakerwright.design.values import digest
from speakerwright.words.errors import refuse

__all__ = ["IN_TIME", "Question", "distorted", "distortion_in", "distortion_request",
           "loud_inputs"]

NAME = "bass_harmonics"
VERSION = 1
"""Counted up when the same design comes to give other harmonics."""


def loud_inputs(workup: Workup) -> dict[str, LoudInput]:
    """What every worked-out chamber does at large level, by its name."""
    decided = workup.design.decided
    return {
        name: loud_input(found.inputs, workup.design.record(
            decided.drivers[found.inputs.chamber.loads[0]].record))
        for name, found in workup.bass.chambers.items()
    }


@dataclass(frozen=True, eq=False)
class Question:
    """Whose harmonics are asked for: a chamber's of a design, at a voltage (rms, pass band)."""

    design: Design
    chamber: str
    volts: float

    @property
    def key(self) -> str:
        """Digest of what the answer rests on."""
        decided = self.design.decided
        if self.chamber not in decided.bass:
            return digest(["no chamber", self.chamber])
        chamber = decided.bass[self.chamber]
        job = chamber.loads[0]
        records = [decided.drivers[job].record]
        if chamber.passive is not None:
            records.append(chamber.passive.record)
        return digest([
            self.chamber, self.volts, chamber.key, decided.drivers[job].key,
            [self.design.record(name).key for name in records],
            {name: over.key for name, over in decided.crossover.items()},
            settle_key(self.design, solids=False),
        ])


def distortion_request(design: Design, chamber: str, volts: float) -> Request:
    """Harmonics of a chamber, to be worked out on request.

    Parameters
    ----------
    design : Design
    chamber : str
        The chamber's name.
    volts : float
        Rms, in the pass band before the chamber's active filters.
    """
    return Request(NAME, VERSION, distorted, (Question(design, chamber, float(volts)),))


def distorted(question: Question, *, tell: Tell) -> Outcome:
    """Work harmonics out; raises `DesignErrors` where they are not to be had."""
    tell(0.0, "Working the bass out.")
    workup = work(question.design, Memo(), last="bass")
    where = f"bass.{question.chamber}"
    if question.chamber not in workup.design.decided.bass:
        raise refuse("bass", f"there is no chamber '{question.chamber}'.",
                     f"Known: {', '.join(workup.design.decided.bass) or 'none'}.")
    if question.chamber not in workup.bass.chambers:
        raise refuse(where, "its driver's record is not complete.", "See 'speakerwright check'.")
    found = workup.bass.chambers[question.chamber]
    if found.inputs.chamber.loading not in IN_TIME:
        loading = found.inputs.chamber.loading.replace("-", " ")
        raise refuse(f"{where}.loading", f"harmonics of a {loading} are not worked out.",
                     "They are for closed and vented chambers, and with passive radiators.")
    loud = loud_inputs(workup)[question.chamber]
    gain_db = np.interp(np.log(DEFAULT), np.log(found.curves.frequency), found.curves.filter_db)
    volts = question.volts * 10.0 ** (gain_db / 20.0)
    made = distortion(loud, volts, DEFAULT,
                      progress=lambda share, says: tell(0.1 + 0.9 * share, says))
    data = {"volts": question.volts, "chamber": question.chamber, "assumed": list(made.assumed)}
    return Outcome(data, harmonics_shown.arrays(made))


def distortion_in(outcome: Outcome) -> Distortion:
    """The harmonics that an outcome holds."""
    return harmonics_shown.read(outcome.arrays, tuple(outcome.data["assumed"]))

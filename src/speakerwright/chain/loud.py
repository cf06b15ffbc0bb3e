"""A chamber played loud: what it is worked out from, and its harmonics on request."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from speakerwright.bass import harmonics_shown
from speakerwright.bass.chapter import loud_chapter
from speakerwright.bass.distortion import DEFAULT, IN_TIME, Distortion, distortion
from speakerwright.bass.loud import LoudInput, loud_input
from speakerwright.bass.result import ChamberResult, drive_volts
from speakerwright.chain.flow import Workup, need_of, work
from speakerwright.chain.memo import Memo
from speakerwright.chain.requests import Request, Tell
from speakerwright.chain.sizing import settle_key
from speakerwright.chain.store import Outcome
from speakerwright.design.document import Design
from speakerwright.design.values import digest
from speakerwright.words.blocks import Block, Chapter, Heading, Paragraph
from speakerwright.words.errors import refuse

__all__ = ["IN_TIME", "Question", "asked_volts", "chamber_of", "distorted", "distortion_in",
           "distortion_request", "loud_inputs", "shown"]

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


def chamber_of(workup: Workup, name: str = "") -> ChamberResult:
    """A chamber that is worked out; the first without a name. Raises `DesignErrors`."""
    known = workup.design.decided.bass
    name = name or next(iter(known), "")
    if name not in known:
        raise refuse("bass", f"there is no chamber '{name}'." if name
                     else "the design decides no chamber.",
                     f"Known: {', '.join(known)}." if known else "Add [bass.main].")
    if name not in workup.bass.chambers:
        raise refuse(f"bass.{name}", "the record of its driver or passive radiator is not "
                     "complete.", "See 'speakerwright check'.")
    return workup.bass.chambers[name]


def asked_volts(workup: Workup, name: str) -> float:
    """The rms voltage whose level in the pass band is the brief's peak, in two digits."""
    need = need_of(workup.design, workup.brief, name)
    return float(f"{drive_volts(chamber_of(workup, name).curves, need):.2g}")


def shown(workup: Workup, name: str, outcome: Outcome | None, system: str) -> Chapter:
    """How a chamber plays loud, with its harmonics where they are worked out."""
    more: list[Block] = [Paragraph("Harmonics are worked out for closed and vented chambers, and "
                                   "with passive radiators.")]
    if outcome is not None:
        volts = float(outcome.data["volts"])
        more = [Heading(f"Harmonics at {volts:g} V in the pass band"),
                *harmonics_shown.blocks(distortion_in(outcome), system)]
    return loud_chapter(loud_inputs(workup)[name], chamber_of(workup, name),
                        need_of(workup.design, workup.brief, name), system, more)


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
    found = chamber_of(workup, question.chamber)
    if found.inputs.chamber.loading not in IN_TIME:
        loading = found.inputs.chamber.loading.replace("-", " ")
        raise refuse(f"bass.{question.chamber}.loading",
                     f"harmonics of a {loading} are not worked out.",
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

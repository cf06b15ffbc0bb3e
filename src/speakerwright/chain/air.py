"""The air inside a chamber of the cabinet: worked out on request, kept, judged."""

from __future__ import annotations

from dataclasses import dataclass

from speakerwright.acoustics.air import Air
from speakerwright.bass.result import ChamberResult
from speakerwright.cabinet import quiet_air_shown
from speakerwright.cabinet.air import air_of
from speakerwright.cabinet.quiet_air import PORT_Q, AirAnswer, AirLoad, air_answer
from speakerwright.cabinet.quiet_air_judgement import air_unknown, judged_air
from speakerwright.chain.flow import Workup, need_of, with_findings, work
from speakerwright.chain.memo import Memo
from speakerwright.chain.requests import Request, Tell, recall
from speakerwright.chain.sizing import settle_key
from speakerwright.chain.store import Outcome, Store
from speakerwright.design.document import Design
from speakerwright.design.values import digest
from speakerwright.words.blocks import Chapter
from speakerwright.words.errors import refuse
from speakerwright.words.findings import Finding

__all__ = ["Question", "air_chapter", "air_findings", "air_in", "air_loads", "air_request",
           "air_rooms", "air_worked", "with_air"]

NAME = "cabinet_air"
VERSION = 1
"""Counted up when the same design comes to give other modes."""

DRIVEN = ("closed", "vented")
"""Loadings whose box is the one that the panels make."""


def air_rooms(design: Design) -> tuple[str, ...]:
    """The closed rooms that a bass chamber loads, whose air can be asked for."""
    cabinet = design.decided.cabinet
    if cabinet is None:
        return ()
    rooms = cabinet.chambers
    named = tuple(rooms) or tuple(design.decided.bass)
    return tuple(name for name in named if name in design.decided.bass
                 and not (name in rooms and rooms[name].open))


@dataclass(frozen=True, eq=False)
class Question:
    """Whose air is asked for: a room's of a design."""

    design: Design
    room: str

    @property
    def key(self) -> str:
        """Digest of what the answer rests on."""
        decided = self.design.decided
        bass = decided.bass.get(self.room)
        named = {name for choice in decided.drivers.values()
                 for name in (choice.record, choice.horn) if name is not None}
        return digest([
            self.room, settle_key(self.design), None if bass is None else bass.key,
            {name: record.key for name, record in self.design.records.items() if name in named},
        ])


def air_request(design: Design, room: str) -> Request:
    """The air of a room, to be worked out on request.

    Parameters
    ----------
    design : Design
    room : str
        One of `air_rooms`; another closed one gets modes only.
    """
    return Request(NAME, VERSION, air_worked, (Question(design, room),))


def air_worked(question: Question, *, tell: Tell) -> Outcome:
    """Work the air of a room out; raises `DesignErrors` where there is none to be had."""
    tell(0.0, "Working the cabinet out.")
    workup = work(question.design, Memo(), last="cabinet")
    if workup.cabinet is None:
        raise refuse("cabinet", "the design decides no cabinet, or its sizes do not settle.",
                     "Add [cabinet], or see 'speakerwright check'.")
    inside = air_of(question.design, workup.cabinet, question.room)
    found = workup.bass.chambers.get(question.room)
    load = None if found is None else air_loads(found)
    climate = question.design.decided.brief.air
    air = Air(climate.temperature, climate.pressure, climate.humidity)
    try:
        answer = air_answer(question.room, inside, load, air,
                            lambda share, says: tell(0.1 + 0.9 * share, says))
    except ValueError as error:
        raise refuse(f"cabinet.chambers.{question.room}", f"its air cannot be drawn: {error}.",
                     "Look for parts that stand in each other.") from None
    return Outcome(*quiet_air_shown.kept(answer))


def air_loads(found: ChamberResult) -> AirLoad | None:
    """What the air of a chamber meets at cones and ports; None for a box that is not built so."""
    chamber, driver, port = found.inputs.chamber, found.driver, found.port
    if chamber.loading not in DRIVEN:
        return None
    if port is None:
        return AirLoad(driver.sd, driver.mms)
    return AirLoad(driver.sd, driver.mms, port.area * port.count, port.length + port.outer_end,
                   port.inner_end, port.tuning, chamber.losses.port_q or PORT_Q)


def air_in(outcome: Outcome) -> AirAnswer:
    """The air that an outcome holds."""
    return quiet_air_shown.read(outcome.data, outcome.arrays)


def air_findings(workup: Workup, store: Store | None) -> tuple[Finding, ...]:
    """`air_mode_in_band` of every room that a bass loads, from what is kept; else unknown.

    Nothing is worked out here.
    """
    if workup.cabinet is None:
        return ()
    found: list[Finding] = []
    for room in air_rooms(workup.design):
        chamber = workup.bass.chambers.get(room)
        if chamber is None or air_loads(chamber) is None:
            continue
        outcome = recall(air_request(workup.design, room), store)
        found += air_unknown([room]) if outcome is None else _judged(workup, air_in(outcome))
    return tuple(found)


def _judged(workup: Workup, answer: AirAnswer) -> tuple[Finding, ...]:
    target = workup.design.decided.brief.target
    need = need_of(workup.design, workup.brief, answer.room)
    return judged_air(answer, need.highest, None if target is None else target.tolerance)


def with_air(workup: Workup, store: Store | None) -> Workup:
    """The workup with what is kept of the air inside among the cabinet's findings."""
    return with_findings(workup, "cabinet", air_findings(workup, store))


def air_chapter(workup: Workup, outcome: Outcome, system: str
                ) -> tuple[Chapter, tuple[Finding, ...]]:
    """A room's air as what the terminal prints, and its findings."""
    answer = air_in(outcome)
    chapter = Chapter("cabinet", f"Air inside chamber {answer.room}",
                      quiet_air_shown.air_blocks(answer, system)[1:])
    judged = _judged(workup, answer) if answer.room in workup.bass.chambers else ()
    return chapter, with_findings(workup, "cabinet", judged).findings["cabinet"][
        len(workup.findings["cabinet"]):]

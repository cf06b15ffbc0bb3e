"""The search for a bass as something to be asked for: worked out on request, stopped, resumed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from speakerwright.bass.inputs import Seat
from speakerwright.bass.search import gather, table
from speakerwright.bass.search.found import Found
from speakerwright.bass.search.gather import Asked, key_of, space_of
from speakerwright.bass.search.part import Keeping
from speakerwright.bass.search.run import search
from speakerwright.bass.search.space import Space
from speakerwright.bass.search.workers import cores, executor_for
from speakerwright.cabinet.sizes import free_size
from speakerwright.chain.flow import need_of, work
from speakerwright.chain.memo import Memo
from speakerwright.chain.requests import Request, Tell
from speakerwright.chain.sizing import seat_of
from speakerwright.chain.store import Outcome, Store
from speakerwright.design.document import Design
from speakerwright.design.values import digest
from speakerwright.plan.stage import system_of
from speakerwright.words.blocks import Chapter
from speakerwright.words.errors import refuse
from speakerwright.words.findings import Finding

__all__ = [
    "Asked", "Means", "Question", "asked_for", "cores", "csv_of", "first_chamber", "found_in",
    "json_of", "search_request", "search_space", "searched", "shown",
]

NAME = "bass_search"
PART = "bass_search_part"


@dataclass(frozen=True, eq=False)
class Question:
    """What is searched for: a chamber of a design, and what of it."""

    design: Design
    chamber: str
    asked: Asked

    @property
    def key(self) -> str:
        """Digest of what the answer rests on."""
        if self.chamber not in self.design.decided.bass:
            return digest(["no chamber", self.chamber])
        return key_of(self.design, self.chamber, self.asked)


@dataclass(frozen=True)
class Means:
    """Who works on it, and where what is done so far is kept; no answer rests on that."""

    folder: Path | None = None
    workers: int = 1
    cluster: str | None = None
    key: str = ""


def search_request(
    design: Design, chamber: str, asked: Asked | None = None, *, folder: Path | None = None,
    workers: int = 1, cluster: str | None = None,
) -> Request:
    """The search for a chamber of a design, to be worked out on request.

    Parameters
    ----------
    design : Design
    chamber : str
        The chamber's name.
    asked : Asked, optional
        What is searched; everything without it.
    folder : Path, optional
        The project's folder, in which what is done so far is kept.
    workers : int
        Processes; in one that may start none, as on the workbench, it works alone.
    cluster : str, optional
        The address of a cluster's scheduler.
    """
    question = Question(design, chamber, asked if asked is not None else Asked())
    return Request(NAME, gather.VERSION, searched, (question, Means(folder, workers, cluster)))


def searched(question: Question, means: Means, *, tell: Tell) -> Outcome:
    """Search; the outcome's data is a `Found` as plain data. Raises `DesignErrors`."""
    tell(0.0, "Looking at the design.")
    space = search_space(question.design, question.chamber, question.asked)
    keeping = None
    if means.folder is not None:
        store = Store(means.folder)
        keeping = Keeping(partial(_read, store, space.key), partial(_write, store, space.key))
    with executor_for(means.workers, means.cluster) as (executor, at_once):
        found = search(space, executor, at_once, keeping=keeping, tell=tell)
    return Outcome(found.plain())


def found_in(outcome: Outcome) -> Found:
    """What a search found, from its outcome."""
    return Found.read(outcome.data)


def first_chamber(design: Design) -> str:
    """The chamber that is searched for where none is named. Raises `DesignErrors`."""
    for name in design.decided.bass:
        return name
    raise refuse("bass", "the design decides no chamber to search for.",
                 'Add [bass.main] with loads, loading = "closed" and a volume.')


def asked_for(records: str, loadings: str) -> Asked:
    """What is asked by lists of words with commas; empty ones ask for everything."""
    plain = Asked()
    return Asked(_words(records), _words(loadings) or plain.loadings)


def _words(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(word.strip() for word in text.split(",") if word.strip()))


def shown(
    design: Design, outcome: Outcome, top: int, *, inch: bool = False
) -> tuple[Chapter, tuple[Finding, ...], str]:
    """What was found as a chapter in the reader's units, no findings, and the system of units."""
    system = "inch" if inch else system_of(design)
    made = table.chapter(found_in(outcome), design.decided.plan.currency, system, top)
    return made, (), system


def csv_of(outcome: Outcome) -> str:
    """What was found as comma-separated values."""
    return table.csv_text(found_in(outcome))


def json_of(outcome: Outcome) -> str:
    """What was found as JSON."""
    return json.dumps(outcome.data, indent=2)


def search_space(design: Design, chamber: str, asked: Asked | None = None) -> Space:
    """The space that is searched for a chamber of a design. Raises `DesignErrors`."""
    if chamber not in design.decided.bass:
        known = ", ".join(design.decided.bass) or "none"
        raise refuse("bass", f"there is no chamber '{chamber}'.", f"Known: {known}.")
    workup = work(design, Memo(), last="bass")
    cabinet = design.decided.cabinet
    seat = replace(seat_of(design, workup.settled, chamber), mouths=())
    if cabinet is not None:
        seat = _decided_only(seat, free_size(cabinet, tuple(design.decided.bass)))
    return space_of(design, chamber, seat, need_of(design, workup.brief, chamber), asked)


def _decided_only(seat: Seat, free: str | None) -> Seat:
    """The room that does not change with the volume: without the size that closes it."""
    if free == "depth":
        return replace(seat, behind_mouth=None, depth=None)
    if free == "width":
        return replace(seat, width=None)
    return seat if free is None else replace(seat, height=None)


def _read(store: Store, key: str) -> tuple[Mapping[str, Any], Mapping[str, Any]] | None:
    found = store.read(PART, key)
    return None if found is None else (found.data, found.arrays)


def _write(store: Store, key: str, data: Mapping[str, Any], arrays: Mapping[str, Any]) -> bool:
    return store.write(PART, key, Outcome(data, arrays))

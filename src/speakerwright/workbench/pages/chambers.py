"""Chambers put in and taken out: what each of them changes, in the cabinet and for the bass.

Every function gives the values to change, as one edit, and what is worth telling about them; it
raises `DesignErrors` where there is nothing sensible to change.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from speakerwright.cabinet.sizes import Sizes, closing_room, free_size
from speakerwright.design.document import Design
from speakerwright.plan.stage import system_of
from speakerwright.words.errors import DesignErrors, refuse
from speakerwright.words.units import parse, write_like
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.changes import dotted
from speakerwright.workbench.pages.forms import change
from speakerwright.workbench.session import written

Change = tuple[dict[str, Any], str]
FOLLOWS = "The height outside now follows from the chambers."


def rooms_of(design: Design) -> list[str]:
    """The cabinet's chambers from the bottom up: as it lists them, else the bass's."""
    cabinet = design.decided.cabinet
    named = list(cabinet.chambers) if cabinet is not None else []
    return named or list(design.decided.bass) or ["main"]


def free_name(taken: list[str], *wishes: str) -> str:
    """The first wish that is not taken, or the last one with a number."""
    for wish in wishes:
        if wish not in taken:
            return wish
    number = next(k for k in range(2, len(taken) + 3) if f"{wishes[-1]}-{k}" not in taken)
    return f"{wishes[-1]}-{number}"


def free_jobs(design: Design) -> list[str]:
    """The jobs whose drivers no chamber loads yet; one on a horn needs none."""
    loaded = {job for chamber in design.decided.bass.values() for job in chamber.loads}
    return [job for job, choice in design.decided.drivers.items()
            if job not in loaded and choice.horn is None]


def room_added(design: Design, name: str, sizes: Sizes | None = None) -> Change:
    """Put a chamber of the cabinet above the others; `sizes` are the newest that are known."""
    cabinet = design.decided.cabinet
    name = name.strip()
    if cabinet is None or not name:
        raise refuse("cabinet.chambers", "a chamber needs a name, and a cabinet.", "Give both.")
    if name in rooms_of(design):
        raise refuse("cabinet.chambers", f"there is a chamber '{name}' already.",
                     "Give it another name.")
    rooms = dict(written(design, "cabinet.chambers") or {})
    if not rooms:
        rooms = _heights(design, sizes)
    rooms[name] = {"height": _new_height(design, rooms, sizes)}
    return _stacked(design, rooms)


def _new_height(design: Design, rooms: Mapping[str, Any], sizes: Sizes | None) -> str:
    """The height of a new chamber: half of what is left of a decided height, 200 mm at most."""
    inch, most = system_of(design) == "inch", 0.2
    opened = [name for name, room in rooms.items() if "height" not in room]
    if sizes is not None and opened and written(design, "cabinet.height") is not None:
        left = sizes.room(opened[0])
        most = most if left is None else min(most, max(0.5 * left.height - sizes.sheet, 0.01))
    return f"{int(most / 0.0254)} in" if inch and most >= 0.0254 else f"{int(1e3 * most + 1e-6)} mm"


def _heights(design: Design, sizes: Sizes | None) -> dict[str, Any]:
    """Chambers that had no table of their own: all but one get the height they have now."""
    cabinet, chambers = design.decided.cabinet, tuple(design.decided.bass)
    assert cabinet is not None
    names = rooms_of(design)
    left = closing_room(cabinet, chambers) if free_size(cabinet, chambers) == "height" else names[0]
    if len(names) > 1 and sizes is None:
        raise refuse("cabinet.chambers", "the sizes are still being worked out.", "Try again.")
    found: dict[str, Any] = {}
    for name in names:
        room = sizes.room(name) if sizes is not None else None
        found[name] = {} if name == left or room is None else {"height": str(write_like(
            round(room.height, 4), "length", "1 in" if system_of(design) == "inch" else "1 mm"))}
    return found


def _stacked(design: Design, rooms: Mapping[str, Any]) -> Change:
    """Set the chambers; a height outside that they contradict is left to follow from them."""
    changes: dict[str, Any] = {"cabinet.chambers": dict(rooms) or None}
    decided = all("height" in room for room in rooms.values())
    if rooms and decided and written(design, "cabinet.height") is not None:
        return {**changes, "cabinet.height": None}, FOLLOWS
    return changes, ""


def room_removed(design: Design, name: str) -> Change:
    """Take a chamber out of the cabinet, with its braces."""
    if name in design.decided.bass:
        raise refuse("cabinet.chambers", f"the bass is worked out with chamber '{name}'.",
                     "Take it out on the bass's page first.")
    rooms = {n: room for n, room in (written(design, "cabinet.chambers") or {}).items()
             if n != name}
    changes, told = _stacked(design, rooms)
    more, lost = _without(design, name)
    return {**changes, **more}, " ".join(word for word in (told, lost) if word)


def _without(design: Design, name: str) -> Change:
    """Take out what stands in a chamber that goes: braces, ports' places, and who closes it."""
    changes: dict[str, Any] = {}
    braces = written(design, "cabinet.braces") or []
    kept = [brace for brace in braces if brace.get("chamber") != name]
    gone = len(braces) - len(kept)
    if gone:
        changes["cabinet.braces"] = kept or None
    if written(design, dotted(("cabinet", "ports", name))) is not None:
        changes[dotted(("cabinet", "ports", name))] = None
    if written(design, "cabinet.closes") == name:
        changes["cabinet.closes"] = None
    many = f"Its {gone} braces went" if gone > 1 else "Its brace went"
    return changes, f"{many} with it." if gone else ""


def chamber_added(design: Design, name: str, job: str, sizes: Sizes | None = None) -> Change:
    """Add a closed chamber to the bass, and to the cabinet where it has no room for it yet."""
    name, bass = name.strip(), design.decided.bass
    if name in bass:
        raise refuse("bass", f"there is a chamber '{name}' already.", "Give it another name.")
    if not name:
        raise refuse("bass", "the chamber needs a name.", "Give it one, like mid.")
    cabinet, told = design.decided.cabinet, ""
    more: dict[str, Any] = {}
    if cabinet is not None and name not in cabinet.chambers and (bass or cabinet.chambers):
        more, told = room_added(design, name, sizes)
        told = f"{told} The cabinet has a chamber for it on top: place its driver there.".strip()
    volume = _volume(name, sizes, more)
    return {f"bass.{name}": {"loads": [job], "loading": "closed", "volume": volume}, **more}, told


def _volume(name: str, sizes: Sizes | None, more: Mapping[str, Any]) -> str:
    """A first net volume: the new room's whole, nine tenths of one that is there, or 10 L."""
    room = sizes.room(name) if sizes is not None else None
    if room is not None:
        gross = 0.9 * room.gross
    elif sizes is not None and "cabinet.chambers" in more:
        height = parse(more["cabinet.chambers"][name]["height"], "length")
        gross = height * sizes.rooms[0].width * sizes.rooms[0].depth
    else:
        gross = 0.01
    return f"{max(round(1e3 * gross, 1), 0.1):g} L"


def chamber_removed(design: Design, name: str) -> Change:
    """Take a chamber out of the bass; a cabinet that lists it keeps its room."""
    changes: dict[str, Any] = {f"bass.{name}": None}
    cabinet = design.decided.cabinet
    if cabinet is None:
        return changes, ""
    more, told = _without(design, name)
    if name in cabinet.chambers:
        more.pop("cabinet.braces", None)
        told = "The cabinet keeps its room: take that out on the cabinet's page."
    return {**changes, **more}, told


def make(bench: Bench, changed: Callable[[Design], Change], field: str) -> bool:
    """Make a change as one step of undo and tell what is worth it; whether it was taken."""
    try:
        changes, told = changed(bench.session.design)
    except DesignErrors as error:
        bench.say(" ".join(f"{e.says[:1].upper()}{e.says[1:]} {e.try_this}" for e in error.errors))
        return False
    taken = change(bench, changes, field)
    if taken and told:
        bench.say(told)
    return taken


def sizes_known(bench: Bench) -> Sizes | None:
    """The newest sizes that are worked out."""
    settled = None if bench.whole is None else bench.whole.settled
    return settled.sizes if settled is not None and settled.closed else None

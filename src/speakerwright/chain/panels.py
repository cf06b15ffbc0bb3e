"""The walls of a cabinet and its braces: what they are worked out from, on request.

Fields and braces follow from panels and joints; what drives them from the circuit of the bass. A
full answer takes some tenths of a second to a few seconds, so it is asked for and kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from speakerwright.bass.result import ChamberResult
from speakerwright.bass.stage import volume_velocity
from speakerwright.cabinet import panels_shown
from speakerwright.cabinet.brace_places import (
    LEAST_GAP,
    STEPS,
    Kept,
    Proposed,
    propose,
    reasons,
    space_of,
)
from speakerwright.cabinet.braces import brace_gains, stood
from speakerwright.cabinet.fields import WALLS, fields
from speakerwright.cabinet.panels_shown import Offer, PanelsFound
from speakerwright.cabinet.quiet_panels import (
    ChamberDrive,
    PanelAnswer,
    Walls,
    judged_panels,
    lowest_air_mode,
    panels_unknown,
)
from speakerwright.cabinet.result import CabinetResult
from speakerwright.chain.flow import Workup, need_of, work
from speakerwright.chain.memo import Memo
from speakerwright.chain.requests import Request, Tell
from speakerwright.chain.sizing import settle_key
from speakerwright.chain.store import Outcome
from speakerwright.design.document import Design
from speakerwright.design.values import digest
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel
from speakerwright.words.blocks import Block, Chapter, Heading, Paragraph, Points
from speakerwright.words.errors import refuse
from speakerwright.words.findings import Finding
from speakerwright.words.units import write_like

__all__ = ["KINDS", "Question", "braces_written", "chamber_drives", "offers", "offers_chapter",
           "panel_findings", "panels_chapter", "panels_found", "panels_in", "panels_request",
           "panels_worked"]

KINDS = ("shelf", "upright")
"""What braces are proposed as."""

NAME = "cabinet_panels"
VERSION = 1
"""Counted up when the same design comes to give other levels."""

DRIVEN = ("closed", "vented", "passive-radiator")
"""Loadings whose box is the one that the panels make."""
FROM, PER_OCTAVE = 20.0, 36  # Hz, frequencies
BESIDE = 0.002
"""From a brace to a driver, port or slot board, m: rule of thumb."""
BEHIND = {"driver": 0.03, "horn": 0.03, "port": 0.1}
"""From a magnet or a port's inner end to a brace that starts behind it, m: rule of thumb."""


def chamber_drives(workup: Workup) -> tuple[ChamberDrive, ...]:
    """What the bass of every chamber does to its walls, from its circuit at 1 V."""
    cabinet = workup.cabinet
    if cabinet is None:
        return ()
    return tuple(_drive(workup, cabinet, name, found)
                 for name, found in workup.bass.chambers.items()
                 if found.inputs.chamber.loading in DRIVEN
                 and cabinet.settled.sizes.room(name) is not None)


def _drive(
    workup: Workup, cabinet: CabinetResult, name: str, found: ChamberResult
) -> ChamberDrive:
    from speakerwright.bass.loadings import BOX, CONE

    room = cabinet.settled.sizes.room(name)
    assert room is not None
    need, air = need_of(workup.design, workup.brief, name), found.inputs.air
    valid_to = lowest_air_mode(room, air)
    highest = max(min(2.0 * valid_to, 1000.0), 2.0 * FROM)
    count = int(np.ceil(PER_OCTAVE * np.log2(highest / FROM))) + 1
    solution = found.network.solve(np.geomspace(FROM, highest, count))
    jobs = found.inputs.chamber.loads
    net = next((each.net for each in cabinet.rooms if each.name == name), None)
    return ChamberDrive(
        name, solution.frequency, solution.current(CONE) * found.driver.sd,
        net if net is not None else found.inputs.chamber.net_volume, found.driver.sd,
        found.driver.mms, need.lowest, need.highest, valid_to,
        tuple(each.name for each in cabinet.placed if each.room == name and each.job in jobs),
        solution.voltage(BOX), volume_velocity(solution, found.circuit))


def _masses(cabinet: CabinetResult) -> dict[str, float | None]:
    """Mass of everything screwed to the baffle, by the name of its cut-out's mate."""
    found: dict[str, float | None] = {}
    for each in cabinet.placed:
        if each.horn is None:
            found[each.name] = each.record.mass
        else:
            parts = (each.record.mass, each.horn.mass)
            known = [mass for mass in parts if mass is not None]
            found[each.horn_name] = sum(known) if known else None
    return found


def panels_found(workup: Workup) -> PanelsFound:
    """Every field's frequencies and level, with and without braces; raises `DesignErrors`.

    Raises `DesignErrors` without a cabinet.
    """
    cabinet = _cabinet(workup)
    walls, masses = _walls(workup), _masses(cabinet)
    panels, joints, sizes = cabinet.panels, cabinet.joints, cabinet.settled.sizes
    braces = {panel.name for panel in panels if panel.role == "brace"}
    rest = _without(joints, braces)
    gains = brace_gains(panels, joints, sizes, walls, masses, _volumes(cabinet),
                        _money(workup.design, panels))
    outlines = {panel.name: tuple((float(u), float(v))
                                  for u, v in panel.outline.exterior.coords[:-1])
                for panel in panels if panel.role in WALLS}
    return PanelsFound(walls.answer(fields(panels, joints, sizes, masses)),
                       walls.answer(fields(panels, rest, sizes, masses)), gains, outlines)


def _cabinet(workup: Workup) -> CabinetResult:
    if workup.cabinet is None:
        raise refuse("cabinet", "the design decides no cabinet, or its sizes do not settle.",
                     "Add [cabinet], or see 'speakerwright check'.")
    return workup.cabinet


def _walls(workup: Workup) -> Walls:
    chambers = list(workup.bass.chambers.values())
    return Walls(chamber_drives(workup), chambers[0].inputs.air if chambers else None)


def _without(joints: Sequence[Joint], names: set[str]) -> tuple[Joint, ...]:
    return tuple(j for j in joints if j.host not in names and j.guest not in names)


def _volumes(cabinet: CabinetResult) -> dict[str, float]:
    """What each brace takes of the air by its sizes, m^3, by its panel's name."""
    found = {what: volume for room in cabinet.rooms for what, volume in room.displaced
             if what.startswith("brace ")}
    if len(found) == 1:
        found |= {"brace": next(iter(found.values()))}
    return found


def _money(design: Design, panels: Sequence[Panel]) -> dict[str, float]:
    """What the wood of each brace costs: its blank's share of the cheapest sheet that fits."""
    section, cabinet = design.decided.cutting, design.decided.cabinet
    if section is None or cabinet is None:
        return {}
    found = {}
    for panel in panels:
        prices = [sheet.price / (sheet.size[0] * sheet.size[1]) for sheet in section.sheets
                  if sheet.price is not None
                  and (sheet.material is None or sheet.material == panel.material)
                  and abs((sheet.thickness or cabinet.sheet) - 1e-3 * panel.thickness) < 1e-5]
        if panel.role == "brace" and prices:
            wide, high = panel.bounding_size
            found[panel.name] = min(prices) * 1e-6 * wide * high
    return found


# --- on request -------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Question:
    """Whose walls are asked for."""

    design: Design

    @property
    def key(self) -> str:
        """Digest of what the answer rests on."""
        decided = self.design.decided
        return digest([
            settle_key(self.design),
            {name: chamber.key for name, chamber in decided.bass.items()},
            {name: record.key for name, record in self.design.records.items()},
            {name: over.key for name, over in decided.crossover.items()},
            None if decided.cutting is None else decided.cutting.key,
            decided.brief.key,
        ])


def panels_request(design: Design) -> Request:
    """The walls of a design, to be worked out on request."""
    return Request(NAME, VERSION, panels_worked, (Question(design),))


def panels_worked(question: Question, *, tell: Tell) -> Outcome:
    """Work the walls out; raises `DesignErrors` where there is no cabinet."""
    tell(0.0, "Working the cabinet out.")
    workup = work(question.design, Memo(), last="cabinet")
    tell(0.4, "Bending its walls.")
    return Outcome(*panels_shown.kept(panels_found(workup)))


def panels_in(outcome: Outcome) -> PanelsFound:
    """The walls that an outcome holds."""
    return panels_shown.read(outcome.data, outcome.arrays)


def panel_findings(workup: Workup, outcome: Outcome | None) -> tuple[Finding, ...]:
    """`panel_quiet` for every chamber whose bass drives walls; unknown until it is asked for.

    For merging into the findings of the cabinet.
    """
    if workup.cabinet is None:
        return ()
    if outcome is not None:
        return judged_panels(panels_in(outcome).now)
    return panels_unknown([name for name, found in workup.bass.chambers.items()
                           if found.inputs.chamber.loading in DRIVEN])


def panels_chapter(workup: Workup, outcome: Outcome, system: str) -> Chapter:
    """The walls as what the terminal prints, or as part of the plan."""
    currency = workup.design.decided.plan.currency
    blocks = panels_shown.panel_blocks(panels_in(outcome), system, currency)
    return Chapter("cabinet", "Walls and braces", blocks)


# --- proposals --------------------------------------------------------------------------------


def offers(
    workup: Workup, room: str = "", kinds: Sequence[str] = KINDS,
    counts: Sequence[int] = (1, 2, 3),
) -> tuple[Offer, ...]:
    """Proposed braces of a chamber, with its loudest judged wall now and then.

    Braces of the same kind give way, all else inside stays. A brace that meets a driver or a port
    starts behind it; by the measure of `propose` it counts as if it held its walls right across,
    in the levels as what it is.

    Parameters
    ----------
    workup : Workup
        Up to the cabinet.
    room : str
        The chamber; the first with bass when empty.
    kinds : sequence of str
        Of shelf and upright.
    counts : sequence of int
        How many of each, 1 to 4.

    Returns
    -------
    tuple of Offer
        By kind and count; those that find no room are left out.

    Raises
    ------
    DesignErrors
        For a chamber or a count that there is not.
    """
    cabinet = _cabinet(workup)
    closed = [one.name for one in cabinet.settled.sizes.closed_rooms]
    room = room or next((n for n in workup.bass.chambers if n in closed), closed[0])
    if room not in closed:
        raise refuse("cabinet.chambers", f"there is no closed chamber '{room}'.",
                     f"Known: {', '.join(closed)}.")
    if any(count not in STEPS for count in counts):
        raise refuse("cabinet.braces", "braces are proposed one to four at a time.",
                     "Ask for fewer.")
    walls = _walls(workup)
    masses, sizes = _masses(cabinet), cabinet.settled.sizes
    now = _loudest(walls.answer(fields(cabinet.panels, cabinet.joints, sizes, masses)), room)
    made = []
    for kind in kinds:
        gone = _replaced(workup.design, cabinet, room, kind)
        rest = _without(cabinet.joints, gone)
        space = space_of(cabinet.panels, rest, sizes, room, kind,
                         keep_out(cabinet, room, kind, gone))
        for count in counts:
            proposed = propose(space, count)
            if proposed is None:
                continue
            joints = (*rest, *stood(cabinet.panels, sizes, space, proposed.at))
            then = _loudest(walls.answer(fields(cabinet.panels, joints, sizes, masses)), room)
            made.append(Offer(proposed, now, then, len(gone)))
    return tuple(made)


def keep_out(cabinet: CabinetResult, room: str, kind: str, gone: set[str]) -> tuple[Kept, ...]:
    """What stands in the way of braces in a chamber, in places as the design file counts them."""
    sizes = cabinet.settled.sizes
    here = sizes.room(room)
    assert here is not None
    axis, base = (2, here.floor) if kind == "shelf" else (0, 0.0)
    half = 0.5 * sizes.sheet + BESIDE
    boxes = [(body.name, body.solid.bounding_box(), BEHIND[body.kind]) for body in cabinet.bodies
             if body.kind in BEHIND]
    boxes += [(panel.name, panel.bounding_box, BEHIND["port"]) for panel in cabinet.panels
              if panel.role == "slot board" and panel.name not in gone]
    found = []
    for name, box, free in boxes:
        if box[5] > 1e3 * here.floor and box[2] < 1e3 * (here.floor + here.height):
            start = round(1e-3 * box[4] + free, 3)
            found.append(Kept(
                1e-3 * box[axis] - base - half, 1e-3 * box[axis + 3] - base + half, name,
                start if sizes.behind_front - start >= LEAST_GAP else None))
    return tuple(found)


def _replaced(design: Design, cabinet: CabinetResult, room: str, kind: str) -> set[str]:
    """Names of the panels of a chamber's braces of a kind."""
    section = design.decided.cabinet
    braces = section.braces if section is not None else ()
    names = {f"brace {k + 1}" if len(braces) > 1 else "brace" for k, brace in enumerate(braces)
             if brace.chamber == room and brace.kind == kind}
    return names & {panel.name for panel in cabinet.panels}


def _loudest(answer: PanelAnswer, room: str) -> float | None:
    found = next((each for each in answer.rooms if each.room == room), None)
    row = None if found is None else found.loudest
    return None if found is None or row is None else found.peak(row)[0]


def braces_written(design: Design, proposed: Proposed) -> dict[str, Any]:
    """What to write, by path, so that a chamber has the braces that are proposed.

    Its braces of the same kind give way, all others stay as they are written. Nothing is written
    here.
    """
    written = list(design.raw.get("cabinet", {}).get("braces", []))
    decided = design.decided.cabinet
    kept = [text for text, brace in zip(written, decided.braces if decided else (), strict=True)
            if not (brace.chamber == proposed.room and brace.kind == proposed.kind)]
    fresh = []
    for at, behind in zip(proposed.at, proposed.behind, strict=True):
        brace: dict[str, Any] = {"chamber": proposed.room, "at": write_like(at, "length", "1 mm")}
        if proposed.kind != "shelf":
            brace["kind"] = proposed.kind
        if behind is not None:
            brace["behind"] = write_like(behind, "length", "1 mm")
        fresh.append(brace)
    return {"cabinet.braces": [*kept, *fresh]}


def offers_chapter(found: Sequence[Offer], room: str, system: str) -> Chapter:
    """Proposals as what the terminal prints."""
    blocks: list[Block] = []
    if found:
        blocks.append(panels_shown.offer_table(found, system))
        for one in found:
            blocks += [Heading(f"{len(one.proposed.at)} of kind {one.proposed.kind}"),
                       Points(reasons(one.proposed, system))]
        blocks.append(Paragraph("Nothing is written: put them into [[cabinet.braces]], or take "
                                "them over on the cabinet page."))
    else:
        blocks.append(Paragraph("No brace finds room between what stands inside."))
    return Chapter("cabinet", f"Braces for {room or 'the first chamber'}", tuple(blocks))

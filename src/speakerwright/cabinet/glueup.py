"""The glue-up: in which order the panels are joined, and what each step asks for.

SI, but for places on panels, which are in mm as the panels are. Quantities of glue, clamps and
times are rules of thumb or from memory; the glue's own label goes first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from speakerwright.cabinet.naillines import WALLS, NailLine, nail_lines
from speakerwright.cabinet.result import CabinetResult
from speakerwright.solids.bodies import Body
from speakerwright.solids.joints import Joint
from speakerwright.solids.meshes import Point
from speakerwright.solids.panels import Panel
from speakerwright.solids.takingapart import Move, Order, taken_apart
from speakerwright.words.findings import Finding, Verdict, judge, unknown

SPREAD = 0.18  # kg/m² of glue: rule of thumb
OPEN_TIME = 600.0  # s from the first glue to closed joints, white wood glue: from memory
CLAMPED = (1800.0, 3600.0)  # s in clamps, at least and better: from memory
CURED = 86400.0  # s before the joint is loaded: from memory
SPREADING = 60.0  # s for each metre of glue line: rule of thumb
CLOSING = 180.0  # s to bring parts together and set clamps: rule of thumb
LONGEST = (OPEN_TIME - CLOSING) / SPREADING  # m of glue line that the open time allows
CLAMP_SPACING = 0.2  # m between clamps: rule of thumb
DRY_FIT = 3  # joints that close at once from which they are tried without glue: rule of thumb
TIGHT = 0.2  # of the open time's glue line left: rule of thumb
FRAME = ("side", "shoulder", "top", "bottom")
_SEALED = (*WALLS, "divider")
Span = tuple[float, float]


@dataclass(frozen=True)
class Step:
    """One step of the glue-up.

    Attributes
    ----------
    number : int
        From 1.
    parts, to, stays : tuple of str
        What is put on, what it is joined to, and everything that is there already.
    away : tuple of float
        Direction in which it would come off; it goes on the other way.
    joints : tuple of Joint
        All that close in this step.
    line, area : float
        Glue line (m) and glued area (m²).
    glue : float
        kg.
    clamps, nails : int
        One or the other holds it.
    dry_fit : tuple of str
        What to try without glue first: the parts that meet where three joints or more close.
    seal : float
        m of sealant along the inner corners that this step closes.
    diagonals : float or None
        Both diagonals of the frame, outside, m, on the step that closes it; None else.
    """

    number: int
    parts: tuple[str, ...]
    to: tuple[str, ...]
    stays: tuple[str, ...]
    away: Point
    joints: tuple[Joint, ...]
    line: float
    area: float
    glue: float
    clamps: int
    nails: int
    dry_fit: tuple[str, ...] = ()
    seal: float = 0.0
    diagonals: float | None = None

    @property
    def glued(self) -> bool:
        """Whether anything is glued in it."""
        return self.line > 0.0

    @property
    def tight(self) -> bool:
        """Whether more is to be glued than the open time allows."""
        return self.line > LONGEST


@dataclass(frozen=True)
class GlueUp:
    """The glue-up: steps in order, where nails go, and how the panels come apart."""

    steps: tuple[Step, ...]
    nail_lines: tuple[NailLine, ...]
    order: Order

    @property
    def possible(self) -> bool:
        """Whether all panels can be put together by straight moves."""
        return not self.order.locked

    @property
    def glue(self) -> float:
        """Glue for all steps, kg."""
        return sum(step.glue for step in self.steps)


def glue_up(
    panels: Sequence[Panel], joints: Sequence[Joint], *, rods: Sequence[Body] = (),
    open_bays: Sequence[Span] = (),
) -> GlueUp:
    """The order in which panels are glued, with what every step asks for.

    Parameters
    ----------
    panels : sequence of Panel
        World mm; drivers and hardware are mounted afterwards and are not needed.
    joints : sequence of Joint
        Between those panels.
    rods : sequence of Body
        Convex bodies that are glued in between panels.
    open_bays : sequence of (low, high)
        Heights between which there is no closed chamber, mm; nothing is sealed there.

    Returns
    -------
    GlueUp
        Without steps where panels are locked; `order` names them.

    Raises
    ------
    ValueError
        When two parts have one name.
    """
    order = taken_apart([*panels, *rods], joints)
    lines = nail_lines(panels, joints)
    if order.locked:
        return GlueUp((), lines, order)
    roles = {panel.name: panel.role for panel in panels}
    steps = tuple(_step(k + 1, move, joints, lines, roles, open_bays, order.rests)
                  for k, move in enumerate(order.assembly))
    return GlueUp(_squared(steps, panels, joints), lines, order)


def _step(
    number: int, move: Move, joints: Sequence[Joint], lines: Sequence[NailLine],
    roles: dict[str, str], open_bays: Sequence[Span], rests: Sequence[tuple[str, str]],
) -> Step:
    mine, rest = set(move.parts), set(move.stays)
    closed = tuple(j for j in joints if (j.host in mine and j.guest in rest)
                   or (j.guest in mine and j.host in rest))
    glued = [j for j in closed if j.glued]
    pairs = {(j.host, j.guest) for j in glued}
    to = {name for pair in (*((j.host, j.guest) for j in closed), *rests)
          if mine & set(pair) for name in pair}
    area = sum(j.area for j in glued) * 1e-6
    return Step(
        number, move.parts, tuple(name for name in move.stays if name in to), move.stays,
        move.away, closed,
        line=sum(j.length for j in glued) * 1e-3,
        area=area,
        glue=SPREAD * area,
        clamps=sum(_clamps(j) for j in glued),
        nails=sum(line.nails for line in lines if (line.panel, line.guest) in pairs),
        dry_fit=_dry_fit(move, closed),
        seal=sum(_bead(j, roles, open_bays) for j in glued) * 1e-3,
    )


def _clamps(joint: Joint) -> int:
    """Clamps along one joint: at least two, and no more than a spacing apart."""
    return max(2, math.ceil(joint.length * 1e-3 / CLAMP_SPACING - 1e-9))


def _dry_fit(move: Move, closed: Sequence[Joint]) -> tuple[str, ...]:
    if len(closed) < DRY_FIT:
        return ()
    met = {name for joint in closed for name in (joint.host, joint.guest)}
    return tuple(name for name in (*move.parts, *move.stays) if name in met)


def _bead(joint: Joint, roles: dict[str, str], open_bays: Sequence[Span]) -> float:
    """Sealant along a joint's inner corners in closed chambers, mm.

    Two walls have one inner corner; a divider has one above and one below.
    """
    pair = [roles.get(name, "") for name in (joint.host, joint.guest)]
    if not all(role in _SEALED for role in pair):
        return 0.0
    corners = 2 if "divider" in pair else 1
    low, high = sorted((joint.start[2], joint.end[2]))
    if high - low > 1e-6 * joint.length:
        bare = sum(max(0.0, min(high, top) - max(low, bottom)) for bottom, top in open_bays)
        return corners * joint.length * max(0.0, 1.0 - bare / (high - low))
    beside = sum(bottom - joint.width <= low <= top + joint.width for bottom, top in open_bays)
    return max(0, corners - beside) * joint.length


def _squared(steps: tuple[Step, ...], panels: Sequence[Panel], joints: Sequence[Joint]
             ) -> tuple[Step, ...]:
    """The steps, with the frame's diagonals on the one that closes it, where it is square."""
    frame = {panel.name for panel in panels if panel.role in FRAME}
    corners = [j for j in joints if j.host in frame and j.guest in frame]
    if len(frame) != 4 or any(abs(j.angle_deg - 90.0) > 1e-6 for j in corners):
        return steps
    boxes = [panel.bounding_box for panel in panels if panel.name in frame]
    wide = max(box[3] for box in boxes) - min(box[0] for box in boxes)
    high = max(box[5] for box in boxes) - min(box[2] for box in boxes)
    for k, step in enumerate(steps):
        if frame <= {*step.parts, *step.stays}:
            return (*steps[:k], replace(step, diagonals=1e-3 * math.hypot(wide, high)),
                    *steps[k + 1:])
    return steps


@lru_cache(maxsize=4)
def _of(panels: tuple[Panel, ...], joints: tuple[Joint, ...], rods: tuple[Body, ...],
        open_bays: tuple[Span, ...]) -> GlueUp:
    return glue_up(panels, joints, rods=rods, open_bays=open_bays)


def glue_up_of(result: CabinetResult) -> GlueUp:
    """The glue-up of a cabinet that is worked out; judgement and chapter share one."""
    bays = tuple((1e3 * room.floor, 1e3 * (room.floor + room.height))
                 for room in result.settled.sizes.rooms if room.open)
    rods = tuple(body for body in result.bodies if body.kind == "rod")
    return _of(result.panels, result.joints, rods, bays)


def glued(result: CabinetResult) -> Iterator[Finding]:
    """The findings: can it be put together, and does every step keep within the open time?"""
    found = glue_up_of(result)
    if found.order.locked:
        yield _locked(found.order)
        return
    yield judge(
        "glue_up_possible", "cabinet", 0.0, "count", at_most=0.0, tight=-1.0,
        says=f"The parts go together in {len(found.steps)} steps by straight moves.",
        source="taken apart along the axes, the panels' normals and the joints",
    )
    wet = [step for step in found.steps if step.glued]
    if not wet:
        return
    worst = max(wet, key=lambda step: step.line)
    finding = judge(
        "glue_open_time", "cabinet", worst.line, "distance", at_most=LONGEST, tight=TIGHT,
        says=f"Step {worst.number} of the glue-up ({together(worst.parts)}) closes {{value}} of "
        "glue line at once; {limit} can be spread and closed in the open time.",
        try_this="Use a glue with a longer open time, or let a second pair of hands spread.",
        source="open time from memory; time to spread and close: rule of thumb",
    )
    # a slower glue cures it: it is no reason not to build
    yield replace(finding, verdict=Verdict.TIGHT) if (
        finding.verdict is Verdict.FAILS) else finding


def _locked(order: Order) -> Finding:
    names = together(order.locked)
    if any(a in order.locked and b in order.locked for a, b in order.overlaps):
        return unknown("glue_up_possible", "cabinet", f"{names} want the same place, so no order "
                       "of gluing can be told.", "Settle the collision first.", kind="count")
    held = "; ".join(dict.fromkeys(f"{block.part} {toward(block.away)} by {together(block.by)}"
                                   for block in order.blocks if block.part == order.locked[0]))
    return judge(
        "glue_up_possible", "cabinet", float(len(order.locked)), "count", at_most=0.0, tight=0.0,
        says=f"{names} hold each other in every direction and cannot be put together: {held}.",
        try_this="Let a dado run through, open a half-lap at one end, or butt one of the joints.",
        source="taken apart along the axes, the panels' normals and the joints",
    )


def together(names: Sequence[str]) -> str:
    """Names as a reader says them: a, b and c."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def toward(way: Point) -> str:
    """A direction in words: to the right, backward, up; several where it runs aslant."""
    words = (("to the left", "to the right"), ("forward", "backward"), ("down", "up"))
    most = max(abs(v) for v in way)
    return " and ".join(pair[v > 0.0] for v, pair in zip(way, words, strict=True)
                        if abs(v) > 0.2 * most)

"""Does it go together, come apart and hold: drivers out, tools in, screws, hands, cables."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from speakerwright.cabinet.bolting import Bite, Bolting, bolting, point
from speakerwright.cabinet.box import mm
from speakerwright.cabinet.exits import board_exits, comes_out, hand_hole
from speakerwright.cabinet.fittings import recess_of
from speakerwright.cabinet.fixtures import Axis, Fixture, fixtures
from speakerwright.cabinet.result import CabinetResult
from speakerwright.design.document import Design
from speakerwright.solids.assembly import Part
from speakerwright.solids.meshes import triangles
from speakerwright.solids.panels import Panel
from speakerwright.solids.passing import Stuck, free_length, in_the_way, tool_room
from speakerwright.solids.tilting import board_out, box_corners
from speakerwright.words.evidence import Evidence
from speakerwright.words.findings import Finding, Verdict, judge, unknown

THUMB = "rule of thumb"
PRACTICE = "common practice, no source"
BIT = 20.0  # mm that a bit stands out of its holder: rule of thumb
TOOL = (0.030, 120.0)  # width (m) and length (mm) of a screwdriver with its bit: rule of thumb
HAND = (0.090, 90.0)  # width (m) and length (mm) of the hand behind it: rule of thumb
HAND_HOLE = 0.090  # m: common practice, no source
BITE = 1.0  # of what a screw holds down; tight below 1.5: rule of thumb
EDGE = 1.0  # of a bolt's diameter from its middle to an edge; tight below 2: rule of thumb
BODY_OFF = 0.01  # of a stated volume; more and the outline counts instead


def findings(design: Design, result: CabinetResult) -> tuple[Finding, ...]:
    """One finding of every rule that applies, for its worst case.

    Parameters
    ----------
    design : Design
    result : CabinetResult
        With the bodies of the fixtures in it.
    """
    made = fixtures(design, result.settled.sizes, result.panels)
    bolts = _bolts(design, result)
    board = next((one for one in made if one.kind == "board" and one.bodies), None)
    terminal = next((one for one in made if one.kind == "terminal" and one.bodies), None)
    return (
        *_on_walls(made), *_drivers_out(result), *_board(design, result, board),
        *_tools(result, bolts, made), *_hands(result, board, terminal),
        *_edges(result, bolts), *_bites(bolts, made), *_cable(design, result, terminal),
        *_volumes(result),
    )


def _bolts(design: Design, result: CabinetResult) -> list[Bolting]:
    """How every driver or horn that is built in is bolted on."""
    cabinet, sizes = design.decided.cabinet, result.settled.sizes
    fixing = None if cabinet is None else cabinet.fixing
    there = {body.name for body in result.bodies}
    return [bolting(each, mm(sizes.sheet), recess_of(each, sizes)[0], fixing)
            for each in result.placed if (each.horn_name or each.name) in there]


def _on_walls(made: tuple[Fixture, ...]) -> Iterator[Finding]:
    for one in made:
        if one.problem:
            yield Finding("fixture_on_wall", f"cabinet.{one.kind.replace(' ', '_')}",
                          Verdict.FAILS, None, None, "length", f"{one.problem}.",
                          "Move it, or make it smaller.")


def _drivers_out(result: CabinetResult) -> Iterator[Finding]:
    """The driver that comes out worst; one that is stuck before one that has little to spare."""
    outs = [(each, comes_out(each, result)) for each in result.placed]
    found = [(each, out) for each, out in outs if out is not None]
    stuck = [(each, out) for each, out in found if isinstance(out, Stuck)]
    if stuck:
        each, out = max(stuck, key=lambda one: (one[1].lacks > 0.0, one[1].lacks))
        if out.lacks:
            yield judge(
                "driver_comes_out", f"directivity.{each.job}", -out.lacks / 1e3, "length",
                at_least=0.0, tight=0.0,
                says=f"{each.name} does not come out through the {out.through}: what stands "
                "behind the baffle is {lacks} wider all round.",
                try_this="Look at the record's sizes, or choose another driver.",
                evidence=Evidence.DATASHEET, source="outline of the record, swept",
                figures={"lacks": (out.lacks / 1e3, "length")})
            return
        yield Finding(
            "driver_comes_out", f"directivity.{each.job}", Verdict.FAILS, None, None, "length",
            f"{each.name} does not come out through the {out.through}; in its way: "
            f"{_names(out.blocked_by)}.", "Move or cut that back, or turn the bolt circle.",
            Evidence.DATASHEET, "outline of the record, swept")
        return
    ways = [(out.spare, each) for each, out in found if not isinstance(out, Stuck)]
    if ways:
        spare, each = min(ways, key=lambda one: one[0])
        yield judge(
            "driver_comes_out", f"directivity.{each.job}", spare / 1e3, "length",
            at_least=0.0, tight=0.0,
            says=f"Every driver comes out again; {each.name} has the least to spare behind the "
            "baffle, {value} all round.",
            evidence=Evidence.DATASHEET, source="outline of the record, swept")


def _names(names: tuple[str, ...]) -> str:
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def _board(design: Design, result: CabinetResult, board: Fixture | None) -> Iterator[Finding]:
    cabinet = design.decided.cabinet
    if board is None or cabinet is None or cabinet.board is None:
        return
    exits = board_exits(design, result, board)
    where, panel = "cabinet.board", _panel(result, board.on)
    if panel.role == "back" and cabinet.back.fixing == "loose":
        yield Finding("board_comes_out", where, Verdict.HOLDS, None, None, "length",
                      "The board comes out with the loose back it is screwed to.")
        return
    wide, high = (mm(size) for size in cabinet.board.size)
    tall = mm(cabinet.board.height)
    middle = point(panel.placement, *board.middle, _board_depth(board, panel))
    corners = box_corners(middle, panel.placement.matrix[:3, :3],
                          (0.5 * wide, 0.5 * high, 0.5 * tall))
    own = {body.name for body in board.bodies}
    others: list[Part] = [part for part in _solid_parts(result) if part.name not in own]
    out = board_out(corners, exits, others)
    if not isinstance(out, Stuck):
        yield judge("board_comes_out", where, out.spare / 1e3, "length", at_least=0.0, tight=0.0,
                    says=f"The board comes out through the {out.through} with {{value}} to spare.",
                    source="straight ways and turns, swept")
    elif not exits:
        yield Finding("board_comes_out", where, Verdict.FAILS, None, None, "length",
                      "The board's chamber has no opening for it.",
                      "Make the back loose, or move the board.")
    elif out.lacks:
        yield judge("board_comes_out", where, -out.lacks / 1e3, "length", at_least=0.0, tight=0.0,
                    says=f"The board fits through no opening; the {out.through} lacks {{lacks}} at "
                    "its corner.",
                    try_this="Divide the board, stand its parts closer, or make the back loose.",
                    source="straight ways and turns, swept",
                    figures={"lacks": (out.lacks / 1e3, "length")})
    else:
        yield unknown("board_comes_out", where, f"The board would pass the {out.through}, but no "
                      f"straight way to it was found; in its way: {_names(out.blocked_by)}.",
                      "Try with a piece of cardboard of its size, or move it.", kind="length")


def _board_depth(board: Fixture, panel: Panel) -> float:
    """Depth (mm) of the middle of the board's room below its wall's outside face."""
    w = panel.placement.to_local(triangles(board.bodies[0].room)[0])[:, 2]
    return -0.5 * float(w.min() + w.max())


def _panel(result: CabinetResult, name: str) -> Panel:
    return next(panel for panel in result.panels if panel.name == name)


def _solid_parts(result: CabinetResult) -> list[Part]:
    return [*result.panels, *(body for body in result.bodies if body.kind != "air plug")]


def _axes(result: CabinetResult, bolts: list[Bolting], made: tuple[Fixture, ...]) -> list[Axis]:
    frame = next(panel for panel in result.panels if panel.role == "baffle").placement
    found = [Axis(f"bolt {k + 1} of {one.name}", point(frame, u, v, -one.seat), frame.normal,
                  frozenset({one.name}))
             for one in bolts for k, (u, v) in enumerate(one.places)]
    return found + [axis for one in made for axis in one.axes]


def _tools(result: CabinetResult, bolts: list[Bolting], made: tuple[Fixture, ...]
           ) -> Iterator[Finding]:
    """The bolt or screw with the least room for the tool, and for the hand behind it."""
    axes = _axes(result, bolts, made)
    if not axes:
        return
    parts = _solid_parts(result)
    worst: tuple[float, float, float, str, str, str] | None = None
    for axis in axes:
        others = [part for part in parts if part.name != axis.name
                  and axis.holds.isdisjoint((part.name, getattr(part, "part_of", "")))]
        for what, start, (width, length) in (("driver", BIT, (TOOL[0], TOOL[1] - BIT)),
                                             ("hand", TOOL[1], HAND)):
            clear, name = tool_room(axis.head, axis.out, others, start=start, length=length,
                                    most=2e3 * width)
            found = (clear / 1e3 / width, clear / 1e3, width, axis.name, name, what)
            if name and (worst is None or found < worst):
                worst = found
    if worst is None:
        yield judge("tool_room", "cabinet", float(len(axes)), "count", at_least=0.0, tight=0.0,
                    says="A driver and a hand reach all {value} bolts and screws from outside.",
                    source=THUMB)
        return
    _, clear, width, bolt, name, what = worst
    yield judge("tool_room", "cabinet", clear, "length", at_least=width, tight=0.2,
                says=f"The {name} leaves {{value}} for a {what} at {bolt}; {{limit}} are wanted.",
                try_this="Turn the bolt circle, or move one of them.", source=THUMB)


def _hands(result: CabinetResult, board: Fixture | None, terminal: Fixture | None
           ) -> Iterator[Finding]:
    """Whether a hand gets from an opening to what is wired inside."""
    for one, what in ((terminal, "terminal"), (board, "board")):
        if one is None:
            continue
        found = hand_hole(result, one)
        if found is None:
            yield Finding("hand_room", f"cabinet.{what}", Verdict.FAILS, None, None, "length",
                          f"No opening leads to the {what}.", "Make the back loose.")
            return
        width, name, way = found
        blocked = in_the_way([way], [part for part in _solid_parts(result)
                                     if getattr(part, "part_of", "") != one.bodies[0].part_of
                                     and part.name not in name[1]])
        says = f"A hand reaches the {what} through the {name[0]}, {{value}} wide"
        if width < HAND_HOLE or not blocked:
            yield judge("hand_room", f"cabinet.{what}", width, "length", at_least=HAND_HOLE,
                        tight=0.1, says=f"{says}; {{limit}} are wanted.",
                        try_this="Make an opening larger, or the back loose.", source=PRACTICE)
        else:
            yield Finding("hand_room", f"cabinet.{what}", Verdict.TIGHT, width, HAND_HOLE,
                          "length", f"{says}, but has to go round {_names(blocked)}.",
                          "Wire it before the last panel goes on, or move it.", source=PRACTICE)
        return


def _edges(result: CabinetResult, bolts: list[Bolting]) -> Iterator[Finding]:
    """The bolt nearest to an edge or opening of the baffle, in its own diameters."""
    baffle = next(panel for panel in result.panels if panel.role == "baffle")
    edges = [("the baffle's edge", baffle.outline.exterior)]
    edges += [(f.label, f.shape) for f in baffle.features
              if f.kind == "through" and f.shape.area > 900.0]
    nearest: tuple[float, float, float, str, str] | None = None
    for one in bolts:
        spots = shapely.points(one.places) if one.places else []
        for name, shape in edges:
            if len(spots) == 0:
                continue
            gap = float(shapely.distance(spots, shape).min())
            found = (gap / one.diameter, gap, one.diameter, one.name, name)
            if nearest is None or found < nearest:
                nearest = found
    if nearest is None:
        return
    _, gap, diameter, name, edge = nearest
    yield judge(
        "bolt_edge", "cabinet", gap / 1e3, "length", at_least=EDGE * diameter / 1e3, tight=1.0,
        says=f"A bolt of {name} stands {{value}} from {edge} with its middle; {{limit}} hold, "
        "twice that is better.",
        try_this="Choose T-nuts or thinner bolts, or set the inserts in glue.",
        evidence=Evidence.DATASHEET, source=THUMB)


def _bites(bolts: list[Bolting], made: tuple[Fixture, ...]) -> Iterator[Finding]:
    """The screw whose point comes out farthest, else the one that bites least for what it holds."""
    bites: list[Bite] = [bite for one in bolts if one.places and (bite := one.bite) is not None]
    bites += [bite for one in made for bite in one.bites]
    if not bites:
        return
    past = max(bites, key=lambda one: one.bite - one.room)
    if past.bite >= past.room:
        yield judge("screw_length", "cabinet.fixing", past.bite / 1e3, "length",
                    at_most=past.room / 1e3 - 1e-9, tight=0.0,
                    says=f"The points of the {past.name} come out: they reach {{value}} into what "
                    "is {thick} thick.",
                    try_this="Take shorter ones.", source="decided sizes",
                    figures={"thick": (past.room / 1e3, "length")})
        return
    weak = min(bites, key=lambda one: one.bite / one.held)
    yield judge("screw_length", "cabinet.fixing", weak.bite / 1e3, "length",
                at_least=BITE * weak.held / 1e3, tight=0.5,
                says=f"The {weak.name}, {{length}} long, bite {{value}}; {{limit}} are wanted, "
                "half as much again is better.",
                try_this="Take longer ones, T-nuts, or thicker wood.", source=THUMB,
                figures={"length": (weak.length / 1e3, "length")})


def _cable(design: Design, result: CabinetResult, terminal: Fixture | None) -> Iterator[Finding]:
    cabinet = design.decided.cabinet
    if terminal is None or cabinet is None or cabinet.terminal is None:
        return
    cable, panel = cabinet.terminal.cable, _panel(result, terminal.on)
    if not cable:
        return
    (cut,) = terminal.features[terminal.on]
    most = 1e3 * max(2.0 * cable, 0.3)
    parts = [part for part in _solid_parts(result) if part.name != terminal.name]
    free, name = free_length(cut.shape, panel.placement,
                             panel.thickness + mm(cabinet.terminal.depth), most, parts)
    what = f"to the {name}" if name else "and more"
    yield judge("cable_room", "cabinet.terminal", free / 1e3, "length", at_least=cable, tight=0.2,
                says=f"Behind the terminal {{value}} are free {what}; its cable wants {{limit}}.",
                try_this="Move the terminal.", source="solids along its axis")


def _volumes(result: CabinetResult) -> Iterator[Finding]:
    """The cone driver whose stated volume its outline contradicts most."""
    baffle = next(panel for panel in result.panels if panel.role == "baffle")
    frame = baffle.placement
    inner = frame.matrix[:3, 2] @ frame.matrix[:3, 3] - baffle.thickness
    bodies = {body.name: body for body in result.bodies}
    worst: tuple[float, float, float, str, str] | None = None
    for each in result.placed:
        stated, body = each.record.body.volume, bodies.get(each.name)
        if stated is None or body is None or each.horn is not None:
            continue
        x, y, z = -frame.matrix[:3, 2]
        behind = float(body.solid.trim_by_plane((x, y, z), -inner).volume()) * 1e-9
        found = (abs(behind / stated - 1.0), stated, behind, each.name, each.job)
        if worst is None or found > worst:
            worst = found
    if worst is None or not math.isfinite(worst[0]):
        return
    off, stated, behind, name, job = worst
    figures = {"stated": (stated, "volume"), "outline": (behind, "volume")}
    if off <= BODY_OFF:
        yield judge("body_volume", f"drivers.{job}", 100.0 * off, "percent",
                    at_most=100.0 * BODY_OFF, tight=0.0,
                    says=f"{name} displaces the {{stated}} that its record states.",
                    evidence=Evidence.DATASHEET, source="record", figures=figures)
        return
    yield Finding(
        "body_volume", f"drivers.{job}", Verdict.TIGHT, stated, None, "volume",
        f"The record of {name} states {{stated}} displaced, which cut-out, depth and magnet do not "
        "allow; the solids count {outline}, their outline behind the baffle.",
        "Look whether the stated figure includes what stays in the hole.",
        Evidence.DATASHEET, "record against its own outline", figures=figures)

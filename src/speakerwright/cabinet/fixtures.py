"""Feet, handles, terminal, board, grille and a loose back's screws: cuts, bodies, hardware. mm.

Places are found on the walls' own axes from points of the cabinet, so that a wall may lean. What
no record states (how heavy a handle is) is a rule of thumb.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from speakerwright.cabinet.bolting import Bite, Fastener, inward, point
from speakerwright.cabinet.box import mm
from speakerwright.cabinet.loose import loose_back
from speakerwright.cabinet.sizes import Sizes
from speakerwright.design.document import Design
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.design.sections.fixtures import Board, Feet, Grille, Handle, Terminal
from speakerwright.solids.bodies import Body, screw
from speakerwright.solids.features import Feature, cutout, drill, hole, pocket
from speakerwright.solids.meshes import Manifold, Point, joined, prism
from speakerwright.solids.panels import Panel
from speakerwright.solids.shapes import Polygon, circle, rectangle

RUBBER = 1200.0  # kg/m³, from memory
HANDLE_MASS, BAR_MASS, TERMINAL_MASS = 0.35, 0.45, 0.15  # kg: rules of thumb
BOARD_DENSITY = 600.0  # kg/m³ of the board's room, coils and capacitors with gaps: rule of thumb
BOARD_FILL = 0.5  # of that room taken from the air: rule of thumb
PLATE = 4.0  # mm, a crossover's board: common practice, no source
SPACER = (10.0, 10.0)  # mm, height and diameter of a spacer: rule of thumb
SPACER_INSET = 8.0  # mm from the board's edges: rule of thumb
BOARD_SCREW = (3.0, 25.0)  # mm, diameter and length: rule of thumb
FOOT_SCREW = (4.0, 0.6)  # mm, and how much of the foot it holds down: rule of thumb
BAR = (20.0, 6.0, 18.0, 8.0)  # mm: bar's side, its bolts, their washers, the nuts inside; thumb
_SIDES: dict[str, tuple[int, float, tuple[str, ...]]] = {
    "left": (0, -1.0, ("side", "shoulder")), "right": (0, 1.0, ("side", "shoulder")),
    "back": (1, 1.0, ("back",)), "top": (2, 1.0, ("top",)), "bottom": (2, -1.0, ("bottom",)),
}


@dataclass(frozen=True, eq=False)
class Axis:
    """Where a tool is set to a screw: its head's place, and the direction away from it."""

    name: str
    head: Point
    out: Point
    holds: frozenset[str] = field(default_factory=frozenset)


@dataclass(frozen=True, eq=False)
class Fixture:
    """What one fixture brings: cuts by the panel's name, bodies, hardware, screws, tools.

    `on` is the name of the panel it sits on, `middle` its place in that panel's (u, v), mm.
    """

    name: str
    kind: str
    on: str = ""
    middle: tuple[float, float] = (0.0, 0.0)
    features: Mapping[str, tuple[Feature, ...]] = field(default_factory=dict)
    bodies: tuple[Body, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    bites: tuple[Bite, ...] = ()
    axes: tuple[Axis, ...] = ()
    problem: str = ""


def fixtures(design: Design, sizes: Sizes, panels: Sequence[Panel]) -> tuple[Fixture, ...]:
    """All fixtures of a cabinet.

    Parameters
    ----------
    design : Design
    sizes : Sizes
        Settled.
    panels : sequence of Panel
        Its walls and inner sheets; only their outlines and places are asked, so that it does not
        matter whether the fixtures' own cuts are in them.

    Returns
    -------
    tuple of Fixture
        One that does not lie on its wall has a `problem` and no bodies.
    """
    cabinet = design.decided.cabinet
    if cabinet is None:
        return ()
    made: list[Fixture] = []
    if cabinet.feet is not None:
        made.append(_feet(cabinet.feet, sizes, panels))
    for k, handle in enumerate(cabinet.handles):
        name = "handle" if len(cabinet.handles) == 1 else f"handle {k + 1}"
        made.append(_handle(name, handle, sizes, panels))
    if cabinet.terminal is not None:
        made.append(_terminal(cabinet.terminal, sizes, panels))
    if cabinet.board is not None:
        made.append(_board(cabinet.board, sizes, panels))
    if cabinet.grille is not None:
        made.append(_grille(cabinet, cabinet.grille, panels))
    if cabinet.back.fixing == "loose":
        for screws in loose_back(cabinet, panels):
            made.append(Fixture(
                screws.name, "loose back", screws.on, (0.0, 0.0), {screws.on: screws.holes},
                screws.bodies, screws.fasteners, (screws.bite,),
                tuple(Axis(body.name, head, screws.out, frozenset({screws.on}))
                      for body, head in zip(screws.bodies, screws.heads, strict=True))))
    return tuple(made)


def features_by_panel(made: Sequence[Fixture]) -> dict[str, tuple[Feature, ...]]:
    """All cuts that fixtures ask for, by the panel's name."""
    found: dict[str, tuple[Feature, ...]] = {}
    for one in made:
        for name, cuts in one.features.items():
            found[name] = (*found.get(name, ()), *cuts)
    return found


def with_cuts(panels: Sequence[Panel], made: Sequence[Fixture]) -> tuple[Panel, ...]:
    """The panels with all cuts that fixtures ask for."""
    cuts = features_by_panel(made)
    return tuple(panel.with_feature(*cuts[panel.name]) if panel.name in cuts else panel
                 for panel in panels)


@dataclass(frozen=True, eq=False)
class _Spot:
    """A place on a wall."""

    panel: Panel
    u: float
    v: float


def spot_on(on: str, at: tuple[float, float], sizes: Sizes, panels: Sequence[Panel]
            ) -> tuple[Panel, float, float] | None:
    """The panel of a wall that holds a place, and the place in its (u, v), mm; None for none.

    Parameters
    ----------
    on : str
        left, right, top, bottom or back.
    at : tuple of float
        m: from the front and above the bottom on a side, right of the middle and above the bottom
        on the back, right of the middle and from the front on top and bottom.
    sizes, panels
        As in `fixtures`.
    """
    axis, sign, roles = _SIDES[on]
    first, second = at
    shape = sizes.shape
    if axis == 0:
        known = {1: mm(shape.front(second) + first), 2: mm(second)}
    elif axis == 1:
        known = {0: mm(first), 2: mm(second)}
    else:
        known = {0: mm(first), 1: mm(shape.front(sizes.height if on == "top" else 0.0) + second)}
    for panel in panels:
        normal = np.array(panel.placement.normal)
        if panel.role not in roles or sign * normal[axis] < 0.02:
            continue
        place = np.zeros(3)
        for k, value in known.items():
            place[k] = value
        reach = float(normal @ (np.array(panel.placement.origin) - place))
        place[axis] = reach / normal[axis]
        u, v, _ = panel.placement.to_local(place[None, :])[0]
        if panel.outline.covers(shapely.Point(u, v)):
            return panel, float(u), float(v)
    return None


def _placed(name: str, on: str, at: tuple[float, float], sizes: Sizes, panels: Sequence[Panel],
            half: tuple[float, float]) -> _Spot | str:
    """Where something of a size lies wholly on a wall, or why it does not."""
    found = spot_on(on, at, sizes, panels)
    if found is None:
        return f"The {name} does not lie on the {on}"
    panel, u, v = found
    wide, high = half
    if not panel.outline.covers(rectangle(u - wide, v - high, u + wide, v + high)):
        return f"The {name} reaches over the edge of the {panel.name}"
    return _Spot(panel, u, v)


def _within(panel: Panel, shape: Polygon, start: float, stop: float) -> Manifold:
    """A shape as a solid between two depths below a panel's outside face."""
    return prism(shape, -stop, -start).transform(panel.placement.matrix[:3])


def _handle(name: str, handle: Handle, sizes: Sizes, panels: Sequence[Panel]) -> Fixture:
    wide, high = (mm(size) for size in handle.cutout)
    half = (0.5 * wide, 0.5 * high)
    spot = _placed(name, handle.on, handle.at, sizes, panels, half)
    if isinstance(spot, str):
        return Fixture(name, "handle", problem=spot)
    panel, u, v = spot.panel, spot.u, spot.v
    if handle.kind == "bar":
        return _bar(name, spot, half, mm(handle.depth))
    opening = rectangle(u - half[0], v - half[1], u + half[0], v + half[1])
    cup = _within(panel, opening, 0.0, max(mm(handle.depth), panel.thickness))
    return Fixture(
        name, "handle", panel.name, (u, v),
        {panel.name: (cutout(opening, f"cut-out for the {name}", mate=name),)},
        (Body(name, cup, "handle", HANDLE_MASS, name),),
        (Fastener("handle cup with its screws", 1, name),))


def _bar(name: str, spot: _Spot, half: tuple[float, float], out: float) -> Fixture:
    """A bar on two posts outside, bolted through the wall with nuts inside."""
    panel, u, v = spot.panel, spot.u, spot.v
    side, bolt, washer, nut = BAR
    along = (1.0, 0.0) if half[0] >= half[1] else (0.0, 1.0)
    reach = max(half) - 0.5 * side
    ends = [(u + k * reach * along[0], v + k * reach * along[1]) for k in (-1.0, 1.0)]
    posts = [rectangle(a - 0.5 * side, b - 0.5 * side, a + 0.5 * side, b + 0.5 * side)
             for a, b in ends]
    bar = shapely.union_all(posts).convex_hull
    solids = [_within(panel, post, -out, 0.0) for post in posts]
    solids.append(_within(panel, bar, -out, -max(out - side, 0.5 * out)))
    through = [_within(panel, circle(a, b, bolt), 0.0, panel.thickness) for a, b in ends]
    nuts = [_within(panel, circle(a, b, washer), panel.thickness, panel.thickness + nut)
            for a, b in ends]
    body = Body(name, joined([*solids, *through, *nuts]), "handle", BAR_MASS, name)
    cuts = tuple(hole(a, b, bolt, f"bolt of the {name}", mate=name) for a, b in ends)
    return Fixture(name, "handle", panel.name, (u, v), {panel.name: cuts}, (body,),
                   (Fastener("handle bar", 1, name), Fastener("M6 bolt with washer and nut", 2,
                                                              name)))


def _terminal(terminal: Terminal, sizes: Sizes, panels: Sequence[Panel]) -> Fixture:
    name = "terminal with its cable"
    size = terminal.cutout_size or (terminal.cutout or 0.0, terminal.cutout or 0.0)
    wide, high = (0.5 * mm(value) for value in size)
    spot = _placed("terminal", terminal.on, terminal.at, sizes, panels, (wide, high))
    if isinstance(spot, str):
        return Fixture(name, "terminal", problem=spot)
    panel, u, v = spot.panel, spot.u, spot.v
    if terminal.cutout is not None:
        cut = hole(u, v, mm(terminal.cutout), "cut-out for the terminal", mate=name)
    else:
        cut = cutout(rectangle(u - wide, v - high, u + wide, v + high),
                     "cut-out for the terminal", mate=name)
    end = panel.thickness + mm(terminal.depth)
    cup = _within(panel, cut.shape, 0.0, end)
    need = cup if not terminal.cable else _within(panel, cut.shape, 0.0, end + mm(terminal.cable))
    return Fixture(
        name, "terminal", panel.name, (u, v), {panel.name: (cut,)},
        (Body(name, cup, "terminal", TERMINAL_MASS, name, need),),
        (Fastener("terminal with its screws and gasket", 1, "terminal"),))


def _board(board: Board, sizes: Sizes, panels: Sequence[Panel]) -> Fixture:
    name = "crossover board"
    wide, high = (mm(value) for value in board.size)
    spot = _placed(name, board.on, board.at, sizes, panels, (0.5 * wide, 0.5 * high))
    if isinstance(spot, str):
        return Fixture(name, "board", problem=spot)
    panel, u, v = spot.panel, spot.u, spot.v
    gap, across = SPACER
    low, tall = panel.thickness + gap, mm(board.height)
    outline = rectangle(u - 0.5 * wide, v - 0.5 * high, u + 0.5 * wide, v + 0.5 * high)
    room = _within(panel, outline, low, low + tall)
    taken = _within(panel, outline, low, low + BOARD_FILL * tall)
    mass = BOARD_DENSITY * wide * high * tall * 1e-9
    corners = [(u + i * (0.5 * wide - SPACER_INSET), v + j * (0.5 * high - SPACER_INSET))
               for i in (-1.0, 1.0) for j in (-1.0, 1.0)]
    spacers = tuple(
        Body(f"spacer {k + 1} of the board", _within(panel, circle(a, b, across),
                                                     panel.thickness, low),
             "spacer", math.pi / 4.0 * across**2 * gap * 1e-9 * RUBBER, name)
        for k, (a, b) in enumerate(corners))
    diameter, length = BOARD_SCREW
    bite = length - PLATE - gap
    cuts = tuple(drill(a, b, 0.7 * diameter, min(bite, panel.thickness - 1.0), "inside",
                       "pilot hole for the board", mate=name) for a, b in corners)
    return Fixture(
        name, "board", panel.name, (u, v), {panel.name: cuts},
        (Body(name, taken, "board", mass, name, room), *spacers),
        (Fastener(f"wood screw {diameter:g} x {length:g} mm", 4, name),
         Fastener(f"spacer {gap:g} mm", 4, name)),
        (Bite("screws of the crossover board", length, PLATE, bite, panel.thickness),))


def _feet(feet: Feet, sizes: Sizes, panels: Sequence[Panel]) -> Fixture:
    """Feet at the corners of what the bottom stands on; of three, two in front."""
    bottom = next((panel for panel in panels if panel.role == "bottom"), None)
    if bottom is None:
        return Fixture("feet", "feet", problem="There is no bottom to put feet under")
    across, high = mm(feet.diameter), mm(feet.height)
    in_by = mm(feet.inset) + 0.5 * across
    xs = [float(x) for x, _, _ in bottom.placement.to_world(
        [(u, v, 0.0) for u, v in list(bottom.outline.exterior.coords)[:-1]])]
    left, right, deep = min(xs) + in_by, max(xs) - in_by, mm(sizes.depth) - in_by
    at = [(left, in_by), (right, in_by), (left, deep), (right, deep)]
    if feet.count == 3:
        at = [*at[:2], (0.5 * (left + right), deep)]
    if right - left < across or deep - in_by < across:
        return Fixture("feet", "feet", problem="The feet do not fit under the bottom")
    made, cuts, axes = list[Body](), list[Feature](), list[Axis]()
    d, share = FOOT_SCREW
    held = share * high
    length = next((one for one in (16.0, 20.0, 25.0, 30.0, 35.0, 40.0)
                   if one - held >= 0.6 * bottom.thickness), 40.0)
    length = min(length, math.floor(held + bottom.thickness - 2.0))
    for k, (x, y) in enumerate(at):
        u, v, _ = bottom.placement.to_local([(x, y, bottom.placement.origin[2])])[0]
        if not bottom.outline.covers(shapely.Point(u, v).buffer(d)):
            return Fixture("feet", "feet",
                           problem=f"The screw of foot {k + 1} misses the bottom")
        name, head = f"foot {k + 1}", point(bottom.placement, u, v, -held)
        made.append(Body(name, _within(bottom, circle(u, v, across), -high, 0.0), "foot",
                         math.pi / 4.0 * across**2 * high * 1e-9 * RUBBER, name))
        made.append(_foot_screw(bottom, head, length, name))
        cuts.append(drill(u, v, 0.7 * d, length - held, "outside", "pilot hole for a foot",
                          mate=name))
        axes.append(Axis(name, point(bottom.placement, u, v, -high),
                         bottom.placement.normal, frozenset({name})))
    return Fixture("feet", "feet", bottom.name, (0.0, 0.0), {bottom.name: tuple(cuts)},
                   tuple(made), (Fastener(f"foot {across:g} x {high:g} mm", len(at), "feet"),
                                 Fastener(f"wood screw {d:g} x {length:g} mm", len(at), "feet")),
                   (Bite("screws of the feet", length, held, length - held, bottom.thickness),),
                   tuple(axes))


def _foot_screw(bottom: Panel, head: Point, length: float, name: str) -> Body:
    d = FOOT_SCREW[0]
    made = screw(d, length, (2.0 * d, 0.6 * d), head, inward(bottom.placement),
                 name=f"screw of {name}", enters=(bottom.name,), part_of=name)
    return Body(made.name, made.solid, "screw", made.mass_kg, name, enters=made.enters)


def _grille(cabinet: Cabinet, grille: Grille, panels: Sequence[Panel]) -> Fixture:
    """A pocket all along the edge of the baffle's outside face."""
    baffle = next((panel for panel in panels if panel.role == "baffle"), None)
    wide, deep = mm(grille.width), mm(grille.depth)
    name = "rebate for the grille"
    if baffle is None:
        return Fixture(name, "grille", problem="There is no baffle for a grille")
    rabbet = mm(cabinet.rabbet) if cabinet.joints[1] == "rabbet" else 0.0
    if deep >= baffle.thickness - rabbet:
        return Fixture(name, "grille", problem="The rebate for the grille cuts the baffle's edge "
                       "away")
    inner = shapely.buffer(baffle.outline, -wide, join_style="mitre")
    if not isinstance(inner, Polygon) or inner.is_empty:
        return Fixture(name, "grille", problem="The rebate for the grille leaves no baffle")
    ring = Polygon(baffle.outline.exterior.coords, [inner.exterior.coords])
    return Fixture(name, "grille", baffle.name, (0.0, 0.0),
                   {baffle.name: (pocket(ring, deep, "outside", name),)})



"""The general drawings of a cabinet: front, section, side, and how it looks and comes apart."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from speakerwright.drawing.dimensions import (
    apart,
    chain,
    height_beside,
    length_text,
    notes_beside,
    ordinates,
)
from speakerwright.drawing.front_openings import named, openings_of
from speakerwright.drawing.leaning import Lean, leaning_walls, stations
from speakerwright.drawing.marks import Balloon, Dimension, Line, Text, extent, moved
from speakerwright.drawing.sheets import FIELD_MM, Drawing, fitted
from speakerwright.drawing.views import (
    View,
    elevation,
    exploded,
    pictorial,
    section,
    solid_of,
)
from speakerwright.solids.bevels import degrees_text

_COLUMN_MM = 50.0
_SMALL = ("fastener", "screw", "air plug")  # kinds of bodies that have no number of their own
_LEAN_SHARE = 0.2  # of the height, to which the upright line beside a leaning wall goes


def general_views(
    panels: Sequence[Any], bodies: Sequence[Any] = (), *, at_x_mm: float = 0.0,
    field_mm: tuple[float, float] = FIELD_MM, system: str = "metric",
    numbers: Mapping[str, str] | None = None, explode: bool = True,
) -> tuple[Drawing, ...]:
    """The drawings that show a cabinet as a whole.

    Parameters
    ----------
    panels, bodies : sequence
        `solids.Panel` and `solids.Body`, at least one panel.
    at_x_mm : float
        Where the upright section cuts the cabinet.
    field_mm : tuple of float
        Room for each drawing; none is larger.
    system : {"metric", "inch"}
    numbers : mapping of name to number, optional
        The numbers of the parts in the parts list; panels in their order by default.
    explode : bool
        Whether the cabinet is also shown taken apart.

    Returns
    -------
    tuple of Drawing
        Front, section and side (on one drawing where they fit), pictorial view, exploded view.

    Raises
    ------
    ValueError
        Without panels, or where the cabinet does not fit in the field at any scale.
    """
    parts = [*panels, *bodies]
    made = [
        front_view(panels, bodies, field_mm=field_mm, system=system),
        *_lengthwise(panels, bodies, at_x_mm, field_mm, system),
        pictorial_view(parts, field_mm=field_mm, system=system, numbers=numbers),
    ]
    if explode:
        opened = [part for part in parts if getattr(part, "kind", "") not in _SMALL]
        made.append(pictorial_view(opened, field_mm=field_mm, system=system, numbers=numbers,
                                   explode=True))
    return tuple(made)


def front_view(
    panels: Sequence[Any], bodies: Sequence[Any] = (), *,
    field_mm: tuple[float, float] = FIELD_MM, system: str = "metric",
) -> Drawing:
    """The front, with the centres of its openings from the bottom and from the centre line."""
    view = elevation([*panels, *bodies], "front")
    wood = _wood(panels, view)
    openings = openings_of(panels)
    note = ("Seen from the front. Heights are from the bottom, widths from the centre line."
            + (" Dashed: cut-outs behind what is mounted in them." if bodies else ""))
    if not all(opening.upright for opening in openings):
        note += (" The baffle leans: heights here are upright ones; along the baffle they are on"
                 " its own sheet.")

    def paint(scale: int) -> list[Any]:
        left, low, right, high = (edge / scale for edge in wood)
        middle = (left + right) / 2.0
        made = view.items(scale)
        if bodies:
            made += [opening.hidden(scale) for opening in openings]
        made.append(Line((middle, low - 3.0), (middle, high + 3.0), "centre"))
        heights = [(low, "0"), *((o.z / scale, length_text(o.z, system)) for o in openings)]
        beside = [(o.x / scale, length_text(abs(o.x), system))
                  for o in openings if abs(o.x) > 0.05]
        made += ordinates(heights, left, left - 6.0, upright=True, limits=(low - 4.0, high + 4.0))
        if beside:
            under = view.bounds[1] / scale
            made += ordinates([(middle, "0"), *beside], under, under - 6.0, upright=False,
                              limits=(left - 12.0, right + 12.0))
        for opening in openings:
            made += opening.centre(scale)
        notes = [(text, (x / scale, z / scale), "arrow") for text, x, z in named(openings, system)]
        column = notes_beside(notes, right + 17.0, low, high, _COLUMN_MM)
        return [*made, *column, *_overall(wood, scale, system, column)]

    return fitted("front_view", "Front view", paint, field_mm, note=note, system=system)


@dataclass(frozen=True, eq=False)
class _Sheet:
    """A view that is not yet at a scale: what paints it, and what its note says."""

    paint: Callable[[int], list[Any]]
    note: str


def _lengthwise(
    panels: Sequence[Any], bodies: Sequence[Any], at_x_mm: float, field_mm: tuple[float, float],
    system: str,
) -> tuple[Drawing, ...]:
    """Section and side view: side by side where that costs no scale, else each by itself."""
    cut, side = _section(panels, bodies, at_x_mm, system), _side(panels, bodies, None)

    def paint(scale: int) -> list[Any]:
        left, right = cut.paint(scale), side.paint(scale)
        return [*left, *moved(right, extent(left)[2] + 10.0 - extent(right)[0], 0.0)]

    both = fitted("section_and_side", "Section from front to back, and side view", paint, field_mm,
                  note=f"{cut.note} At the right: the side, hidden edges of panels dashed.",
                  system=system)
    alone = section_view(panels, bodies, at_x_mm, field_mm=field_mm, system=system)
    if both.scale == alone.scale:
        return (both,)
    return alone, side_view(panels, bodies, field_mm=field_mm, system=system)


def section_view(
    panels: Sequence[Any], bodies: Sequence[Any] = (), at_x_mm: float = 0.0, *,
    field_mm: tuple[float, float] = FIELD_MM, system: str = "metric",
) -> Drawing:
    """The upright section from front to back, with the chain of depths and the heights within."""
    cut = _section(panels, bodies, at_x_mm, system)
    return fitted("section_view", "Section from front to back", cut.paint, field_mm,
                  note=cut.note, system=system)


def _section(
    panels: Sequence[Any], bodies: Sequence[Any], at_x_mm: float, system: str
) -> _Sheet:
    view = section([*panels, *bodies], "x", at_x_mm)
    wood = [cut.region for cut in view.cuts if cut.hatch is not None]
    where = ("on the centre line" if abs(at_x_mm) < 0.05 else
             f"{length_text(abs(at_x_mm), system)} to the {'right' if at_x_mm > 0.0 else 'left'} "
             "of the centre line")
    note = f"Cut {where}, seen from the right: the front is at the left."
    walls = leaning_walls(wood)
    if walls:
        note += " Depths below are along the floor inside; above, at the top and over all."
    if bodies:
        note += " Drive units and horns are shown by their room, without hatching."

    def paint(scale: int) -> list[Any]:
        left, low, right, high = (edge / scale for edge in view.bounds)
        made = view.items(scale)
        bounds = [region.bounds for region in wood]
        if not bounds:
            return [*made, *_overall(view.bounds, scale, system)]
        box = (min(b[0] for b in bounds), min(b[1] for b in bounds),
               max(b[2] for b in bounds), max(b[3] for b in bounds))
        depths = stations(wood, box, 0)
        heights = stations(wood, box, 1)
        made += chain([y / scale for y in depths], _gaps(depths, system), low, low - 6.0,
                      limits=(left - 25.0, right + 25.0))
        made += ordinates([((z - box[1]) / scale + box[1] / scale,
                            length_text(z - box[1], system)) for z in heights],
                          left, left - 6.0, upright=True, limits=(low - 4.0, high + 4.0))
        made += _depth_above(walls, box, scale, high, system)
        made += _leans(walls, box, scale)
        made.append(Dimension((right, box[1] / scale), (right, box[3] / scale), right + 8.0,
                              length_text(box[3] - box[1], system), True))
        return made

    return _Sheet(paint, note)


def side_view(
    panels: Sequence[Any], bodies: Sequence[Any] = (), *,
    field_mm: tuple[float, float] = FIELD_MM, system: str = "metric",
) -> Drawing:
    """The right-hand side with its hidden panels dashed, and the overall sizes."""
    side = _side(panels, bodies, system)
    return fitted("side_view", "Side view", side.paint, field_mm, note=side.note, system=system)


def _side(panels: Sequence[Any], bodies: Sequence[Any], system: str | None) -> _Sheet:
    """The side, with its overall sizes in a system of units or without (None)."""
    view = elevation(panels, "right", hidden=True)
    boxes = np.array([solid_of(body).bounding_box() for body in bodies]).reshape(-1, 6)
    beyond = bool(boxes.size) and (boxes[:, 1].min() < view.bounds[0] - 0.05
                            or boxes[:, 4].max() > view.bounds[2] + 0.05)
    note = ("Seen from the right: the front is at the left. Dashed: hidden edges of panels."
            + (" The depth is that of the wood." if beyond else ""))

    def paint(scale: int) -> list[Any]:
        made = view.items(scale)
        return made if system is None else [*made, *_overall(view.bounds, scale, system)]

    return _Sheet(paint, note)


def pictorial_view(
    parts: Sequence[Any], *, field_mm: tuple[float, float] = FIELD_MM, system: str = "metric",
    numbers: Mapping[str, str] | None = None, explode: bool = False,
) -> Drawing:
    """The cabinet from the front, the right and above, or taken apart; its parts numbered.

    Parts that are not seen have no balloon; fasteners have none unless `numbers` names them.
    """
    view = pictorial(parts, explode=exploded(parts) if explode else None)
    called = numbers if numbers is not None else {
        part.name: str(index) for index, part in enumerate(
            (p for p in parts if getattr(p, "kind", "") not in _SMALL), start=1)
    }
    seen = [name for name in called if name in view.spots]
    note = ("Isometric, to scale along its three axes." if not explode else
            "Isometric, taken apart; to scale along its three axes.")
    names = "; ".join(f"{called[name]} {name}" for name in called if name in view.spots)
    lost = [f"{called[name]} {name}" for name in called if name not in view.spots]
    note += f"\n{names}." if names else ""
    note += f"\nNot seen here: {'; '.join(lost)}." if lost else ""

    def paint(scale: int) -> list[Any]:
        return [*view.items(scale), *_balloons(view, scale, seen, called)]

    title = "Taken apart" if explode else "Pictorial view"
    key = "exploded_view" if explode else "pictorial_view"
    return fitted(key, title, paint, field_mm, note=note, system=system, projected=False)


def _balloons(
    view: View, scale: int, seen: Sequence[str], called: Mapping[str, str]
) -> list[Any]:
    """Numbers in two columns beside a view, each on the side nearer to its part."""
    left, low, right, high = (edge / scale for edge in view.bounds)
    order = sorted(seen, key=lambda name: view.spots[name][0])
    half = (len(order) + 1) // 2
    made: list[Any] = []
    for names, x in ((order[:half], left - 8.0), (order[half:], right + 8.0)):
        tips: list[tuple[float, float, str]] = sorted(
            (view.spots[name][1] / scale, view.spots[name][0] / scale, called[name])
            for name in names)
        spots = apart([tip[0] for tip in tips], [8.0] * len(tips), low, high)
        made += [Balloon((x, y), number, (tip_x, tip_y))
                 for (tip_y, tip_x, number), y in zip(tips, spots, strict=True)]
    return made


def _wood(panels: Sequence[Any], view: View) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of the panels in a view from the front; feet do not count."""
    boxes = np.array([panel.bounding_box for panel in panels])
    if not len(boxes):
        return view.bounds
    low, high = boxes[:, :3].min(axis=0), boxes[:, 3:].max(axis=0)
    return float(low[0]), float(low[2]), float(high[0]), float(high[2])


def _overall(
    bounds: Sequence[float], scale: int, system: str, leaders: Sequence[Any] = ()
) -> list[Any]:
    """Width above and height at the right."""
    left, low, right, high = (edge / scale for edge in bounds)
    wide = length_text(bounds[2] - bounds[0], system)
    tall = length_text(bounds[3] - bounds[1], system)
    return [Dimension((left, high), (right, high), high + 6.0, wide),
            height_beside(low, high, right, right + 8.0, tall, leaders)]


def _depth_above(
    walls: Sequence[Lean], box: Sequence[float], scale: int, high: float, system: str
) -> list[Any]:
    """The depth over all; where walls lean, that at the top, with the one at the bottom under it.

    `high` is the top of the view on paper.
    """
    ends = [(box[0], box[2], high + 6.0)]
    if walls:
        front = max((wall.at(box[3])[0] for wall in walls if wall.front), default=box[0])
        back = min((wall.at(box[3])[1] for wall in walls if not wall.front), default=box[2])
        ends = [(front, back, high + 6.0), (box[0], box[2], high + 13.0)]
    return [Dimension((a / scale, high), (b / scale, high), line, length_text(b - a, system))
            for a, b, line in ends]


def _leans(walls: Sequence[Lean], box: Sequence[float], scale: int) -> list[Any]:
    """By how much the walls lean: an upright line at the foot of each, with the angle beside it."""
    made: list[Any] = []
    tall = _LEAN_SHARE * (box[3] - box[1]) / scale
    for wall in walls:
        foot, low = wall.foot / scale, box[1] / scale
        made.append(Line((foot, low), (foot, low + tall), "dimension"))
        away, anchor = (-1.0, "end") if wall.front else (1.0, "start")
        made.append(Text((foot + away, low + tall - 2.5), degrees_text(wall.angle_deg),
                         anchor=anchor))
    return made


def _gaps(ends: Sequence[float], system: str) -> list[str]:
    return [length_text(high - low, system) for low, high in pairwise(ends)]

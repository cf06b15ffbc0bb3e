"""What every brace buys, and braces stood where they are only proposed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from speakerwright.cabinet.brace_places import AXES, BRACED, Space
from speakerwright.cabinet.fields import Face, PanelField, across, faces, fields
from speakerwright.cabinet.quiet_panels import PanelAnswer, Walls
from speakerwright.cabinet.sizes import Sizes
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel


@dataclass(frozen=True)
class BraceGain:
    """What one brace buys: its neighbours' worst level (dB) and lowest first frequency (Hz).

    `first` is by clamped edges. `volume` is what it takes of the air in m^3, `money` its share of a
    sheet; None where not known. Levels are None where nothing is judged.
    """

    name: str
    neighbours: tuple[str, ...]
    with_db: float | None
    without_db: float | None
    first_with: float | None
    first_without: float | None
    volume: float | None
    money: float | None

    @property
    def gained_db(self) -> float | None:
        """By how much it quietens the loudest of its neighbours, dB; below zero it is worse."""
        if self.with_db is None or self.without_db is None:
            return None
        return self.without_db - self.with_db


def brace_gains(
    panels: Sequence[Panel], joints: Sequence[Joint], sizes: Sizes, walls: Walls,
    masses: Mapping[str, float | None] | None = None,
    volumes: Mapping[str, float] | None = None, money: Mapping[str, float] | None = None,
) -> tuple[BraceGain, ...]:
    """What every brace of a cabinet buys, each taken out by itself.

    Parameters
    ----------
    panels, joints, sizes, masses
        As in `fields`.
    walls : Walls
        The drives, and what has been worked out under them.
    volumes, money : mapping, optional
        What each brace takes of the air (m^3) and costs, by its panel's name.

    Returns
    -------
    tuple of BraceGain
        In the order of the panels.
    """
    now = walls.answer(fields(panels, joints, sizes, masses))
    found = []
    for panel in panels:
        if panel.role != "brace":
            continue
        rest = [joint for joint in joints if panel.name not in (joint.host, joint.guest)]
        then = walls.answer(fields(panels, rest, sizes, masses))
        mine = [k for k, each in enumerate(now.fields)
                if {panel.name, f"end of {panel.name}"} & set(each.held_by)]
        old = [k for k, each in enumerate(then.fields)
               if any(_overlap(each, now.fields[m]) for m in mine)]
        found.append(BraceGain(
            panel.name, tuple(now.fields[k].name for k in mine), _loudest(now, mine),
            _loudest(then, old), _lowest(now, mine), _lowest(then, old),
            None if volumes is None else volumes.get(panel.name),
            None if money is None else money.get(panel.name)))
    return tuple(found)


def _overlap(one: PanelField, other: PanelField) -> bool:
    if (one.panel, one.room) != (other.panel, other.room):
        return False
    a, b = one.bounds, other.bounds
    return min(a[2], b[2]) - max(a[0], b[0]) > 1e-3 and min(a[3], b[3]) - max(a[1], b[1]) > 1e-3


def _loudest(answer: PanelAnswer, members: Sequence[int]) -> float | None:
    peaks = [peak[0] for k in members
             if answer.fields[k].judged and (peak := answer.peak_of(k)) is not None]
    return max(peaks, default=None)


def _lowest(answer: PanelAnswer, members: Sequence[int]) -> float | None:
    found = [float(answer.clamped[k, 0]) for k in members if answer.fields[k].judged]
    return min(found, default=None)


def stood(
    panels: Sequence[Panel], sizes: Sizes, space: Space, at: Sequence[float]
) -> tuple[Joint, ...]:
    """Joints of braces that stand across a chamber at some places, as if they were built.

    Parameters
    ----------
    panels, sizes
        Of the cabinet.
    space : Space
        The chamber and the kind, and where braces must start behind something.
    at : sequence of float
        Their places, m.

    Returns
    -------
    tuple of Joint
        With every wall that such a brace meets; the braces are called "new brace 1" and so on.
    """
    here = sizes.room(space.room)
    assert here is not None
    base = here.floor if space.kind == "shelf" else 0.0
    found = []
    for k, place in enumerate(at):
        behind = space.behind(place)
        for face in faces(panels, sizes):
            role = face.panel.role
            if face.room != space.room or role not in BRACED[space.kind]:
                continue
            if behind is None or role != "baffle":
                found.append(_stood(face, space, 1e3 * (base + place), behind,
                                    f"new brace {k + 1}"))
    return tuple(found)


def _stood(face: Face, space: Space, world: float, behind: float | None, name: str) -> Joint:
    panel = face.panel
    own = across(face, AXES[space.kind])
    ends = np.full((2, 3), -panel.thickness)
    ends[:, own] = _local(panel, own, AXES[space.kind], world)
    ends[:, 1 - own] = face.shape.bounds[1 - own], face.shape.bounds[3 - own]
    if behind is not None and panel.role != "back":
        way = (panel.placement.u, panel.placement.v)[1 - own][1]
        ends[0 if way > 0.0 else 1, 1 - own] = _local(panel, 1 - own, 1, 1e3 * behind)
    (x0, y0, z0), (x1, y1, z1) = panel.placement.to_world(ends).tolist()
    return Joint("butt", panel.name, name, (x0, y0, z0), (x1, y1, z1),
                 1e3 * space.thickness, panel.placement.normal)


def _local(panel: Panel, own: int, axis: int, world: float) -> float:
    """Where a plane square to a world axis cuts one of a wall's own axes at its inner face, mm."""
    placement = panel.placement
    away = world - placement.origin[axis] + panel.thickness * placement.normal[axis]
    return float(away / (placement.u, placement.v)[own][axis])

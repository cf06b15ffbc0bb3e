"""All panels of a cabinet with their joints: walls, and what stands inside them. mm.

SI comes in and millimetres go out, in `mm` and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from speakerwright.cabinet.inner import InnerSheets, Slots
from speakerwright.cabinet.shape import level_span
from speakerwright.cabinet.sizes import Sizes
from speakerwright.cabinet.walls import Walls, mm
from speakerwright.design.sections.cabinet import Cabinet
from speakerwright.solids.bodies import Body, cylinder_body
from speakerwright.solids.densities import DENSITIES
from speakerwright.solids.features import Feature
from speakerwright.solids.joints import Joint
from speakerwright.solids.panels import Panel, Placement

__all__ = ["Box", "Slots", "Wood", "mm", "unbuildable"]

ROD_MATERIAL = "birch plywood"  # a turned rod of birch is about as heavy; from memory


@dataclass(frozen=True, eq=False)
class Wood:
    """Panels and joints, and rods as bodies."""

    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    rods: tuple[Body, ...]


class Box:
    """Builds the panels of one cabinet."""

    def __init__(self, cabinet: Cabinet, sizes: Sizes) -> None:
        self.cabinet, self.sizes = cabinet, sizes
        self.walls = Walls(cabinet, sizes.shape, sizes.sheet, _closed(sizes))

    @property
    def frame(self) -> Placement:
        """The baffle's axes: u right, v up along it; its normal points to the listener."""
        return self.walls.walls[0].placement

    def built(self, baffle_features: Sequence[Feature], slots: Slots,
              more: Mapping[str, Sequence[Feature]] | None = None) -> Wood:
        """All panels, the baffle with its cut-outs; `more` features by the panel's name."""
        walls, joints = self.walls.made(baffle_features)
        inner = InnerSheets(self.cabinet, self.sizes, self.walls).made(slots)
        grooves: dict[str, list[Feature]] = {}
        for one in inner:
            joints = (*joints, *one.joints)
            for name, cuts in one.grooves.items():
                grooves.setdefault(name, []).extend(cuts)
        for name, others in (more or {}).items():
            grooves.setdefault(name, []).extend(others)
        panels = tuple(
            panel.with_feature(*grooves[panel.name]) if panel.name in grooves else panel
            for panel in (*walls, *(one.panel for one in inner)))
        return Wood(panels, joints, self._rods())

    def panels(self, baffle_features: Sequence[Feature], slots: Slots) -> tuple[Panel, ...]:
        """All panels, the baffle with its cut-outs."""
        return self.built(baffle_features, slots).panels

    def fitting(self, features: Sequence[Feature]) -> tuple[list[Feature], tuple[str, ...]]:
        """The features that the baffle can take, and what each other one is for."""
        kept, off = [], []
        bare = replace(self.walls.made()[0][0], features=())
        for feature in features:
            try:
                bare.with_feature(feature)
            except ValueError:
                off.append(feature.label)
                continue
            kept.append(feature)
        return kept, tuple(dict.fromkeys(off))

    def _rods(self) -> tuple[Body, ...]:
        made = []
        for k, rod in enumerate(self.cabinet.rods):
            room = self.sizes.room(rod.chamber) or self.sizes.rooms[0]
            height, place = mm(room.floor + rod.at[0]), mm(rod.at[1])
            name = "rod" if len(self.cabinet.rods) == 1 else f"rod {k + 1}"
            shape, sheet = self.sizes.shape, self.sizes.sheet
            if rod.runs == "along":
                start = mm(shape.front(height / 1e3, sheet))
                length = mm(shape.back(height / 1e3, sheet)) - start
                at, way = (place, start, height), (0.0, 1.0, 0.0)
            else:
                ends = sorted(x for x, _ in level_span(room.section, height / 1e3)) or [0.0]
                at, way = (mm(ends[0]), place, height), (1.0, 0.0, 0.0)
                length = mm(ends[-1]) - mm(ends[0])
            if length <= 0.0:
                continue
            across = mm(rod.diameter)
            mass = 0.785398 * across**2 * length * 1e-9 * DENSITIES[ROD_MATERIAL]
            made.append(cylinder_body(name, across, length, at, way, kind="rod", mass_kg=mass))
        return tuple(made)


def unbuildable(cabinet: Cabinet, sizes: Sizes) -> str:
    """Why the walls cannot be cut for such sizes; nothing where they can."""
    try:
        Box(cabinet, sizes).walls.made()
    except ValueError as error:
        return str(error)
    return ""


def _closed(sizes: Sizes) -> list[tuple[float, float]]:
    """Lower and upper end (m) of every run of closed rooms, sheets above and below included."""
    runs: list[tuple[float, float]] = []
    before = True
    for room in sizes.rooms:
        if not room.open:
            start, stop = room.floor - sizes.sheet, room.floor + room.height + sizes.sheet
            if runs and not before:
                runs[-1] = runs[-1][0], stop
            else:
                runs.append((start, stop))
        before = room.open
    return runs

"""What a move on the front writes: the decided values it changes, as the file writes them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from speakerwright.cabinet.sizes import Sizes, closing_room, free_size
from speakerwright.design.document import Design
from speakerwright.plan.stage import system_of
from speakerwright.words.units import write_like
from speakerwright.workbench.frontitems import Front, Item
from speakerwright.workbench.frontplaces import Spot, height_path, sizes_now, spots
from speakerwright.workbench.session import written


def spots_now(front: Front, design: Design) -> dict[str, Spot]:
    """Where everything stands in a design that is newer than the front, by its key."""
    return dict(spots(design, sizes_now(design, front.settled), front.ports))


def moved(front: Front, design: Design, key: str, spot: Spot) -> dict[str, Any]:
    """The written values that a move of one item to another place changes, by their paths.

    Each is written in the unit and manner of what stands there. KeyError for an unknown item.

    Parameters
    ----------
    front : Front
        The front on which it was moved.
    design : Design
        The newest design.
    key : str
        The item's key.
    spot : Spot
        Where its centre is to be, mm.
    """
    item, now = front.item(key), spots_now(front, design)
    if item.kind == "divider":
        return _divided(design, sizes_now(design, front.settled), item, spot[1] / item.rise)
    if item.kind in ("brace", "upright"):
        axis = "xz".index(item.ways)
        return _changed(design, *({key: (place[axis] - item.origin[axis]) / item.rise}
                                  for place in (spot, now[key])))
    own = key.rsplit(".", 1)[0]
    if written(design, own):
        paths = {f"{key}.{k}": spot[k] for k in (0, 1) if "xz"[k] in item.ways}
        return _changed(design, paths, {path: now[key][int(path[-1])] for path in paths})
    mine = sorted((other for other in now if other.startswith(f"{own}.")),
                  key=lambda other: int(other.rsplit(".", 1)[1]))
    return {own: [[_text(design, "", value) for value in (spot if other == key else now[other])]
                  for other in mine]}


def _changed(
    design: Design, wanted: Mapping[str, float], now: Mapping[str, float]
) -> dict[str, Any]:
    return {path: _text(design, path, value) for path, value in wanted.items()
            if abs(value - now[path]) > 1e-4}


def _text(design: Design, path: str, value_mm: float) -> str:
    """A length as the file would write it; like the plan's own units where nothing is written."""
    there = written(design, path) if path else None
    if not isinstance(there, str):
        there = "1/16 in" if system_of(design) == "inch" else "0 mm"
    return str(write_like(round(1e-3 * value_mm, 9) + 0.0, "length", there))


def _divided(design: Design, sizes: Sizes, item: Item, z: float) -> dict[str, Any]:
    """The heights of the chambers below and above a divider that stands elsewhere."""
    lower, upper = sizes.rooms[item.index], sizes.rooms[item.index + 1]
    half = 500.0 * sizes.sheet
    heights = {lower.name: z - half - 1e3 * lower.floor,
               upper.name: 1e3 * (upper.floor + upper.height) - half - z}
    decided = [name for name in heights if written(design, height_path(name)) is not None]
    if decided:
        now = {height_path(room.name): 1e3 * room.height for room in (lower, upper)}
        return _changed(design, {height_path(name): heights[name] for name in decided}, now)
    cabinet = design.decided.cabinet
    assert cabinet is not None
    free = free_size(cabinet, tuple(design.decided.bass)) == "height"
    left = closing_room(cabinet, tuple(design.decided.bass)) if free else sizes.rooms[-1].name
    found = {room.name: heights.get(room.name, 1e3 * room.height) for room in sizes.rooms}
    return {"cabinet.chambers": {
        name: {} if name == left else {"height": _text(design, "", height)}
        for name, height in found.items()}}

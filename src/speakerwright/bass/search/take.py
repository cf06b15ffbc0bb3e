"""A found candidate as changes to the design file, and as text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from speakerwright.bass.search.space import Candidate, Tube
from speakerwright.design.document import Design, split_path

_PARTS = ("port", "passive", "front", "line", "horn", "baffle", "fill", "high_pass")


def changes(design: Design, chamber: str, found: Candidate) -> dict[str, Any]:
    """What to write, by path, so that a design has a candidate's drivers, box, port and filter.

    Losses and the source's resistance stay. Places on the baffle that were for another number of
    drivers or ports are taken out.
    """
    where, job = f"bass.{chamber}", design.decided.bass[chamber].loads[0]
    decided = box(found)
    written: dict[str, Any] = {
        f"{where}.{part}": decided.pop(part, None) for part in _PARTS
        if part in decided or there(design, f"{where}.{part}") is not None
    }
    written |= {f"{where}.{name}": value for name, value in decided.items()}
    written |= _drivers(design, f"drivers.{job}", found)
    if len(there(design, f"directivity.{job}.at") or ()) not in (0, found.count):
        written[f"directivity.{job}.at"] = None
    ports = 0 if found.tube is None or found.front_volume is not None else found.tube.count
    if len(there(design, f"cabinet.ports.{chamber}.at") or ()) not in (0, ports):
        written[f"cabinet.ports.{chamber}"] = None
    return written


def _drivers(design: Design, where: str, found: Candidate) -> dict[str, Any]:
    wanted = {"record": found.record, "count": found.count, "wiring": found.wiring}
    usual = {"count": 1, "wiring": "single"}
    return {f"{where}.{name}": value for name, value in wanted.items()
            if there(design, f"{where}.{name}") is not None or value != usual.get(name)}


def box(found: Candidate) -> dict[str, Any]:
    """A candidate's chamber as the file writes it: loading, volume, and the parts that it has."""
    made: dict[str, Any] = {"loading": found.loading, "volume": _litres(found.volume)}
    if found.tube is not None and found.tuning is not None:
        port = {**opening(found.tube), "tuning": f"{found.tuning:.6g} Hz"}
        if found.front_volume is None:
            made["port"] = port
        else:
            made["front"] = {"volume": _litres(found.front_volume), "port": port}
    if found.passive is not None:
        mass = 1e3 * (found.added_mass or 0.0)
        made["passive"] = {"record": found.passive, "count": found.passive_count,
                           "added_mass": f"{mass:.6g} g"}
    if found.filter_order is not None:
        made["high_pass"] = {"order": found.filter_order, "shape": "butterworth",
                             "frequency": f"{found.filter_frequency:.6g} Hz"}
    return made


def opening(tube: Tube) -> dict[str, Any]:
    """A port's opening as the file writes it."""
    made: dict[str, Any] = {"shape": tube.shape}
    if tube.count > 1:
        made["count"] = tube.count
    for name in ("bore", "width", "height", "wall", "centres"):
        size = getattr(tube, name)
        if size is not None:
            made[name] = f"{1e3 * size:.6g} mm"
    if tube.walls_shared:
        made["walls_shared"] = tube.walls_shared
    return made


def _litres(volume: float) -> str:
    return f"{1e3 * volume:.6g} L"


def there(design: Design, path: str) -> Any:
    """What is written at a path, or None."""
    node: Any = design.raw
    for part in split_path(path):
        if not isinstance(node, Mapping) or part not in node:
            return None
        node = node[part]
    return node

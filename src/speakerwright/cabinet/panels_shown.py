"""A cabinet's walls as they are shown and kept: tables, drawing, chart, and as plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from speakerwright.acoustics.plates.fields import Field, PointMass
from speakerwright.acoustics.plates.sheets import Sheet
from speakerwright.cabinet.brace_places import Proposed
from speakerwright.cabinet.braces import BraceGain
from speakerwright.cabinet.fields import Mount, PanelField
from speakerwright.cabinet.quiet_panels import QUIET_DB, PanelAnswer, RoomAnswer
from speakerwright.drawing.charts import (
    Axis,
    Chart,
    Curve,
    Region,
    frequency_axis,
    level_axis,
)
from speakerwright.drawing.sheets import svg
from speakerwright.drawing.unfolded_walls import Patch, Wall, unfolded_walls
from speakerwright.words.blocks import Block, Figure, Heading, Paragraph, Points, Table
from speakerwright.words.evidence import Evidence
from speakerwright.words.units import show

Outlines = Mapping[str, tuple[tuple[float, float], ...]]
LEAST_DB = -90.0
"""Nothing is drawn below this."""
HOW = ("Each field rings between its figures with simply supported and with clamped edges: what a "
       "glued edge holds is not known. The worst is the loudest of every edge between them, and "
       "only where that is quiet is a wall quiet. Levels are against all that the chamber "
       "radiates, as small sources in one baffle; lining makes no difference to them.")


@dataclass(frozen=True, eq=False)
class PanelsFound:
    """The walls as they are, without any brace, what every brace buys, and the walls' outlines."""

    now: PanelAnswer
    bare: PanelAnswer
    gains: tuple[BraceGain, ...]
    outlines: Outlines


@dataclass(frozen=True)
class Offer:
    """Proposed places with the loudest wall of their chamber now and then, dB; None if not known.

    `replaces` says how many braces of the kind give way.
    """

    proposed: Proposed
    now_db: float | None
    then_db: float | None
    replaces: int


# --- kept -----------------------------------------------------------------------------------


def kept(found: PanelsFound) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """A result as plain data and arrays."""
    data: dict[str, Any] = {"gains": [asdict(gain) for gain in found.gains],
                            "outlines": {name: list(map(list, ring))
                                         for name, ring in found.outlines.items()}}
    arrays: dict[str, NDArray[Any]] = {}
    for label, answer in (("now", found.now), ("bare", found.bare)):
        data[label] = {"fields": [asdict(field) for field in answer.fields],
                       "rooms": [_room_data(room) for room in answer.rooms]}
        arrays |= {f"{label}_clamped": answer.clamped, f"{label}_supported": answer.supported}
        for k, room in enumerate(answer.rooms):
            arrays |= {f"{label}_{k}_{name}": getattr(room, name) for name in _LEVELS}
    return data, arrays


_LEVELS = ("frequency", "clamped_db", "supported_db", "worst_db")
_PLAIN = ("room", "members", "rows", "lowest", "highest", "valid_to")


def _room_data(room: RoomAnswer) -> dict[str, Any]:
    return {name: getattr(room, name) for name in _PLAIN}


def read(data: Mapping[str, Any], arrays: Mapping[str, NDArray[Any]]) -> PanelsFound:
    """A result from what was kept; KeyError or TypeError where it is not whole."""
    gains = tuple(BraceGain(**{**gain, "neighbours": tuple(gain["neighbours"])})
                  for gain in data["gains"])
    now, bare = (_answer(data[label], arrays, label) for label in ("now", "bare"))
    return PanelsFound(now, bare, gains, {name: tuple((u, v) for u, v in ring)
                                          for name, ring in data["outlines"].items()})


def _answer(data: Mapping[str, Any], arrays: Mapping[str, NDArray[Any]], label: str
            ) -> PanelAnswer:
    rooms = tuple(
        RoomAnswer(room["room"], arrays[f"{label}_{k}_frequency"], tuple(room["members"]),
                   tuple(room["rows"]),
                   arrays[f"{label}_{k}_clamped_db"], arrays[f"{label}_{k}_supported_db"],
                   arrays[f"{label}_{k}_worst_db"],
                   room["lowest"], room["highest"], room["valid_to"])
        for k, room in enumerate(data["rooms"]))
    return PanelAnswer(tuple(_field(one) for one in data["fields"]),
                       arrays[f"{label}_clamped"], arrays[f"{label}_supported"], rooms)


def _field(data: Mapping[str, Any]) -> PanelField:
    made = dict(data)
    made["outline"] = tuple((u, v) for u, v in data["outline"])
    made["corners"] = tuple((x, y, z) for x, y, z in data["corners"])
    made["mounts"] = tuple(Mount(**mount) for mount in data["mounts"])
    for name in ("bounds", "held_by", "notes"):
        made[name] = tuple(data[name])
    for name in ("field", "before_cut"):
        made[name] = None if data[name] is None else _plate(data[name])
    return PanelField(**made)


def _plate(data: Mapping[str, Any]) -> Field:
    return Field(data["width"], data["height"], Sheet(**data["sheet"]), grain=data["grain"],
                 masses=tuple(PointMass(**mass) for mass in data["masses"]))


# --- shown ----------------------------------------------------------------------------------


def panel_blocks(found: PanelsFound, system: str, currency: str = "") -> tuple[Block, ...]:
    """The walls for a chapter: how, drawings without and with braces, chart, tables.

    Parameters
    ----------
    found : PanelsFound
        What was worked out.
    system : {"metric", "inch"}
        In whose units.
    currency : str
        Of prices.

    Returns
    -------
    tuple of Block
        With headings of their own.
    """
    made: list[Block] = [Heading("How quiet the walls are"), Paragraph(HOW), *told(found.now),
                         *drawings(found, system)]
    made += [Figure(chart(found.now, room), "") for room in found.now.rooms
             if room.loudest is not None]
    made.append(field_table(found.now, system))
    if found.gains:
        made.append(gain_table(found.gains, system, currency))
    return tuple(made)


def told(answer: PanelAnswer) -> tuple[Block, ...]:
    """What is simplified, each sentence once with how many fields it is of."""
    notes: dict[str, int] = {}
    for field in answer.fields:
        for note in field.notes:
            notes[note] = notes.get(note, 0) + 1
    items = [f"{count} of {len(answer.fields)} fields: {note[:1].lower()}{note[1:]}"
             for note, count in notes.items()]
    items.append("Rods, and braces that are not glued to a wall, hold nothing here.")
    return (Points(tuple(items)),)


def field_table(answer: PanelAnswer, system: str) -> Table:
    """Every field with its size, first frequencies and level; fields that are alike in one row."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for k, field in enumerate(answer.fields):
        u0, v0, u1, v1 = field.bounds
        peak = answer.peak_of(k) if field.field is not None else None
        figures = (
            f"{show(1e-3 * (u1 - u0), 'length', system)} × "
            f"{show(1e-3 * (v1 - v0), 'length', system)}",
            _hertz(answer.supported[k, 0]), _hertz(answer.clamped[k, 0]),
            "–" if peak is None else show(peak[0], "level"),
            "–" if peak is None else _hertz(peak[1]), "" if field.judged else "not judged")
        rows.setdefault(figures, []).append(field.name)
    bands = "; ".join(
        f"{room.room} from {_hertz(room.lowest)} to {_hertz(min(room.highest, room.valid_to))}"
        + ("" if room.highest <= room.valid_to else ", its lowest air mode")
        for room in answer.rooms)
    return Table(
        ("Field", "Size", "First, supported", "First, clamped", "At worst", "At", "Note"),
        tuple((_together(names), *figures) for figures, names in rows.items()),
        f"Levels against what the chamber radiates, judged in {bands}." if bands else
        "No chamber's bass drives these walls.", numbers=(1, 2, 3, 4, 5))


def _together(names: Sequence[str]) -> str:
    """Names in one cell; left and right of a pair as one."""
    if len(names) == 2 and names[1] == names[0].replace("left side", "right side", 1):
        return names[0].replace("left side", "both sides", 1)
    return "; ".join(names)


def gain_table(gains: Sequence[BraceGain], system: str, currency: str = "") -> Table:
    """What every brace buys and costs."""
    rows = tuple((
        gain.name, _db(gain.without_db), _db(gain.with_db), _db(gain.gained_db),
        _hertz(gain.first_without), _hertz(gain.first_with), show(gain.volume, "volume", system),
        "–" if gain.money is None else f"{gain.money:.2f} {currency}".strip(),
    ) for gain in gains)
    return Table(
        ("Brace", "Worst without it", "With it", "Quieter by", "First without", "With",
         "Takes of the air", "Costs"), rows,
        "Of the judged fields that it bounds: the loudest at worst, and the lowest first frequency "
        "with clamped edges. A brace across a part of a wall is counted as if it did not hold it, "
        "so it may buy more. Cost: its area of the cheapest sheet that fits.",
        numbers=tuple(range(1, 8)))


def chart(answer: PanelAnswer, room: RoomAnswer) -> Chart:
    """The loudest field of a chamber clamped, supported and at worst, and all fields' sum.

    Parameters
    ----------
    answer : PanelAnswer
        The answer that the chamber is of.
    room : RoomAnswer
        A chamber with a judged field.

    Returns
    -------
    Chart
        In dB over Hz; greyed where the air inside is not even.
    """
    row = room.loudest
    assert row is not None
    name = answer.fields[room.members[row]].name
    every = room.sum_db()
    curves = tuple(
        Curve(label, part, Evidence.SIMULATED, room.frequency, np.maximum(values, LEAST_DB),
              valid=(float(room.frequency[0]), room.valid_to))
        for label, part, values in (
            ("clamped", "low", room.clamped_db[row]), ("supported", "mid", room.supported_db[row]),
            ("worst", "port", room.worst_db[row]), ("all walls", "sum", every)))
    top = max(float(np.max(every)), QUIET_DB) + 3.0
    low = max(LEAST_DB, min(float(np.min(curve.y)) for curve in curves))
    axis: Axis = level_axis(low, top, "Against the driver")
    band = np.array([room.lowest, min(room.highest, room.valid_to)])
    regions = (Region(band, QUIET_DB, axis.high, "loud: rule of thumb"),) if (
        band[1] > band[0]) else ()
    return Chart(
        f"cabinet-{room.room}-walls", f"Walls of {room.room}",
        frequency_axis(float(room.frequency[0]), float(room.frequency[-1])), axis, curves,
        regions=regions,
        caption=f"The {name}, the loudest, and all judged walls by power at worst; valid to the "
        f"lowest air mode of the box at {room.valid_to:.0f} Hz.")


def drawings(found: PanelsFound, system: str) -> tuple[Block, ...]:
    """The walls unfolded, without braces and with them; once where there is none."""
    made: list[Block] = []
    both = ((found.bare, "Walls without any brace"), (found.now, "Walls with their braces"))
    for answer, title in both if found.gains else ((found.now, "Walls"),):
        made.append(drawing(answer, found.outlines, title, system))
    return tuple(made)


def drawing(answer: PanelAnswer, outlines: Outlines, title: str, system: str) -> Block:
    """Fields on unfolded walls; a sentence where they cannot be drawn."""
    patches: dict[str, list[Patch]] = {}
    for k, field in enumerate(answer.fields):
        patches.setdefault(field.panel, []).append(_patch(answer, k, field))
    walls = [Wall(name, np.array(outlines[name]), tuple(some)) for name, some in patches.items()
             if name in outlines]
    try:
        made = unfolded_walls(
            f"walls-{title.lower().replace(' ', '-')}", title, walls,
            "In each field: its first frequency with supported and with clamped edges in Hz, its "
            "level at worst against the driver. Walls are seen from outside.", system)
        return Figure(svg(made), "")
    except ValueError as error:
        return Paragraph(f"No drawing of the walls: {error}.")


def _patch(answer: PanelAnswer, k: int, field: PanelField) -> Patch:
    corners = np.array(field.outline)
    if field.field is None:
        return Patch(corners, None, ())
    span = f"{answer.supported[k, 0]:.0f}–{answer.clamped[k, 0]:.0f}"
    peak = answer.peak_of(k)
    level = () if peak is None else (show(peak[0], "level"),)
    shown = peak[0] if peak is not None and field.judged else None
    return Patch(corners, shown, ((f"{span} Hz", *level), (span, *level), (f"{span} Hz",),
                                  (span,), level or (span,)))


def offer_table(offers: Sequence[Offer], system: str) -> Table:
    """Proposals in rows."""
    rows = tuple((
        one.proposed.kind, ", ".join(show(at, "length", system) for at in one.proposed.at),
        f"{one.proposed.closest:.2f}",
        "above all" if np.isinf(one.proposed.off_air) else show(
            100.0 * one.proposed.off_air, "percent"),
        _hertz(one.proposed.lowest), _db(one.now_db), _db(one.then_db),
    ) for one in offers)
    return Table(
        ("Braces", "Middles at", "Closest ratio", "Off the air", "Lowest first", "Worst now",
         "Then"), rows,
        "Shelves above the chamber's floor, uprights right of the middle. Closest ratio: of first "
        "frequencies of fields side by side. Off the air: from the nearest air mode of the plain "
        "box. Lowest first frequency with clamped edges; loudest judged wall of the chamber.",
        numbers=(2, 3, 4, 5, 6))


def _hertz(value: float | None) -> str:
    if value is None or not np.isfinite(value):
        return "–"
    return f"{value:.0f}\u202fHz"


def _db(value: float | None) -> str:
    return "–" if value is None else show(value, "level")

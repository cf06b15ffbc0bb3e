"""What a search found as a chapter in the reader's units, and as comma-separated values."""

from __future__ import annotations

import csv
import io

from speakerwright.bass.search.found import Difference, Found, Member
from speakerwright.bass.search.space import Candidate, Tube
from speakerwright.words.blocks import Block, Chapter, Heading, Paragraph, Points, Table
from speakerwright.words.units import show

HEADS = ("drivers", "loading", "net volume", "tuning", "port", "high-pass", "cost", "size",
         "lowest", "headroom", "what fails")
NUMBERS = (2, 3, 6, 7, 8, 9)
NONE = "–"


def chapter(found: Found, currency: str, system: str, top: int = 20) -> Chapter:
    """The front as a chapter: how it was come by, its first `top` members, and what fell off."""
    blocks: list[Block] = [Paragraph(counts(found))]
    if found.members:
        blocks.append(_table(found.members[:top], currency, system, caption(found, top)))
    elif found.nearest is not None:
        blocks += [Paragraph("Nothing comes near the brief. What misses it least:"),
                   _table((found.nearest,), currency, system, _short(found.nearest))]
    else:
        blocks.append(Paragraph("Nothing that was searched can be built."))
    if found.fallen:
        blocks += [
            Heading("On the screen's front, not on that of the full results"),
            _table(found.fallen[: max(top // 4, 1)], currency, system,
                   f"{len(found.fallen)} in all.", off=True)]
    blocks.append(Points((*(difference(each, system) for each in found.differences),
                          *found.left_out)))
    return Chapter("bass", f"Search for chamber {found.chamber}", tuple(blocks))


def counts(found: Found) -> str:
    """How it was come by, in one sentence."""
    return (f"{_many(found.candidates)} candidates were screened, {_many(found.worked_out)} worked "
            f"out in full; {_many(len(found.members))} stand on the front, "
            f"{_many(found.meeting)} of them meet the brief.")


def _many(count: int) -> str:
    return f"{count:,}".replace(",", "\u202f")


def difference(found: Difference, system: str = "metric") -> str:
    """The largest difference of one figure between full result and screen, in a sentence."""
    kind = "level" if found.figure == "headroom" else "percent"
    value = found.largest * (1.0 if kind == "level" else 100.0)
    word = {"headroom": "headroom", "size": "size", "extension": "lowest frequency"}[found.figure]
    says = f"Full results differ from the screen's {word} by {show(value, kind, system)} at most"
    if not found.outside:
        return f"{says}, inside the guard band."
    return (f"{says}; {_many(found.outside)} lie outside the guard band, so a member of the front "
            "may be missing.")


def caption(found: Found, top: int) -> str:
    """What the rows are, and how they are ordered."""
    shown = min(top, len(found.members))
    return (f"{_many(shown)} of {_many(len(found.members))}: those that meet the brief first, then "
            "by cost of the drive units, unknown last, then by size: net volume, drivers and "
            "ports, walls left out. Headroom is against the brief's need.")


def _short(nearest: Member) -> str:
    return nearest.off and f"{nearest.off[0].upper()}{nearest.off[1:]}."


def _table(
    members: tuple[Member, ...], currency: str, system: str, words: str, *, off: bool = False
) -> Table:
    heads = (*HEADS[:-1], "why not") if off else HEADS
    rows = tuple((*row(each, currency, system)[:-1], each.off) if off
                 else row(each, currency, system) for each in members)
    shown = [k for k in range(len(heads)) if any(cells[k] not in ("", NONE) for cells in rows)]
    return Table(
        tuple(heads[k] for k in shown), tuple(tuple(cells[k] for k in shown) for cells in rows),
        words, tuple(place for place, k in enumerate(shown) if k in NUMBERS))


def row(member: Member, currency: str, system: str) -> tuple[str, ...]:
    """One member's cells under `HEADS`, in the reader's units."""
    found = member.candidate
    volume = show(found.volume, "volume", system)
    if found.front_volume is not None:
        volume += f" + {show(found.front_volume, 'volume', system)}"
    return (
        drivers(found), found.loading, volume, show(found.tuning, "frequency", system),
        port(found, member.port_length, system), high_pass(found, system),
        "unknown" if member.cost is None else f"{show(member.cost, 'money', system)} {currency}",
        show(member.size, "volume", system), show(member.extension, "frequency", system),
        show(member.headroom_db, "level", system), ", ".join(member.fails),
    )


def drivers(found: Candidate) -> str:
    """Which drivers, how many and how wired."""
    return found.record if found.count == 1 else f"{found.count} {found.record}, {found.wiring}"


def port(found: Candidate, length: float | None, system: str) -> str:
    """The port's opening and length, or the passive radiators with the mass added to each."""
    if found.passive is not None:
        mass = show(found.added_mass, "moving mass", system)
        return f"{found.passive_count} {found.passive}, each + {mass}"
    if found.tube is None:
        return NONE
    long = "" if length is None else f", {show(length, 'length', system)} long"
    return f"{_opening(found.tube, system)}{long}"


def _opening(tube: Tube, system: str) -> str:
    many = "" if tube.count == 1 else f"{tube.count} × "
    if tube.bore is not None:
        return f"{many}ø {show(tube.bore, 'length', system)}"
    sides = f"{show(tube.width, 'length', system)} × {show(tube.height, 'length', system)}"
    return f"{many}slot {sides}"


def high_pass(found: Candidate, system: str) -> str:
    """The protective high-pass: where and of what order."""
    if found.filter_order is None:
        return NONE
    return f"{show(found.filter_frequency, 'frequency', system)}, order {found.filter_order}"


_COLUMNS = ("stands", "meets", "record", "count", "wiring", "loading", "volume_litres",
            "front_volume_litres", "tuning_hz", "port_shape", "port_count", "port_bore_mm",
            "port_width_mm", "port_height_mm", "port_length_mm", "high_pass_order", "high_pass_hz",
            "passive", "passive_count", "added_mass_g", "cost", "size_litres", "lowest_hz",
            "headroom_db", "fails", "off")


def csv_text(found: Found) -> str:
    """All of the front, then what fell off it, as comma-separated values with a head.

    Numbers in the units that the heads name, whatever the reader's are; an unknown is empty.
    """
    held = io.StringIO()
    writer = csv.writer(held, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for stands, members in (("yes", found.members), ("no", found.fallen)):
        for member in members:
            writer.writerow((stands, *_cells(member)))
    return held.getvalue()


def _cells(member: Member) -> tuple[str, ...]:
    found, tube = member.candidate, member.candidate.tube
    shape = ("", "", "", "", "") if tube is None else (
        tube.shape, str(tube.count), _n(tube.bore, 1e3), _n(tube.width, 1e3), _n(tube.height, 1e3))
    return (
        "yes" if member.meets else "no", found.record, str(found.count), found.wiring,
        found.loading, _n(found.volume, 1e3), _n(found.front_volume, 1e3), _n(found.tuning),
        *shape, _n(member.port_length, 1e3), _n(found.filter_order), _n(found.filter_frequency),
        found.passive or "", _n(found.passive_count), _n(found.added_mass, 1e3), _n(member.cost),
        _n(member.size, 1e3), _n(member.extension), _n(member.headroom_db),
        " ".join(member.fails), member.off,
    )


def _n(value: float | None, times: float = 1.0) -> str:
    return "" if value is None else f"{value * times:.6g}"

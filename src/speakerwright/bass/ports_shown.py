"""Ports that would fit as tables, as comma-separated values, and as changes to the design file."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

from speakerwright.bass.port_openings import INCH, mouths, same
from speakerwright.bass.portfit import ORDER, PortProposal, Prices, nothing_fits, proposals
from speakerwright.bass.result import ChamberResult, Need
from speakerwright.bass.search.take import there
from speakerwright.design.document import Design
from speakerwright.design.sections.ports import Port
from speakerwright.words.blocks import Block, Chapter, Heading, Paragraph, Points, Table
from speakerwright.words.errors import refuse
from speakerwright.words.units import UnitError, parse, show

HEADS = ("Port", "Length", "Air", "Gap", "Gap, radii", "Pipe at", "Pipe", "Takes", "Cost",
         "Strain")
NUMBERS = tuple(range(1, len(HEADS)))
ON_SCREEN = ("Gap", "Pipe at")  # left out where a table must be narrow
OTHERS = 3  # shown on paper
NONE = "–"
NO_PORT = "This chamber has no port behind the cone."
CAPTION = (
    "Air: its peak at the brief's peak, where in the band it is highest. Gap: clear from the inner "
    "end to the facing wall, of a bent port straight on, over the tube's radius or the slot's "
    "height. Pipe: the port's flow at its first pipe resonance against the cone's. The net volume "
    "is kept, so the box must give what a port takes. Whether a port meets the driver or a brace "
    "is for the cabinet to tell; it is drawn with the port straight."
)


def row(found: PortProposal, system: str) -> tuple[str, ...]:
    """One port's cells under `HEADS`, in the reader's units."""
    return (
        _name(found, system),
        show(found.length, "length", system), show(found.speed, "speed", system),
        show(found.gap, "length", system),
        NONE if found.gap_ratio is None else f"{found.gap_ratio:.1f}",
        show(found.pipe, "frequency", system), show(found.pipe_db, "level", system),
        show(found.volume, "volume", system),
        NONE if found.cost is None else f"{found.cost:.2f}",
        NONE if found.strain is None else f"{found.strain:.2f}",
    )


def _name(found: PortProposal, system: str) -> str:
    return found.name(system) + (", decided" if found.now else "")


def table(
    found: Sequence[PortProposal], system: str, currency: str = "", words: str = "", *,
    wide: bool = False,
) -> Table:
    """Ports as a table; the cost is left out where none is known.

    It is `wide` on a screen; else it fits a page or a terminal.
    """
    rows = [row(each, system) for each in found]
    shown = [k for k, head in enumerate(HEADS)
             if (wide or head not in ON_SCREEN)
             and (head != "Cost" or any(cells[k] != NONE for cells in rows))]
    return Table(
        tuple(f"{HEADS[k]}, {currency}" if currency and HEADS[k] == "Cost" else HEADS[k]
              for k in shown), tuple(tuple(cells[k] for k in shown) for cells in rows),
        words, tuple(place for place, k in enumerate(shown) if k in NUMBERS))


def blocks(found: Sequence[PortProposal], system: str, currency: str = "") -> tuple[Block, ...]:
    """Those that fit in their order, what is doubtful of them, and why the others do not."""
    if not found:
        return (Paragraph(NO_PORT),)
    fitting = [each for each in found if each.fits]
    made: list[Block] = [Paragraph(nothing_fits(found, system))]
    if fitting:
        made = [table(fitting, system, currency, f"{CAPTION} {ORDER}"), *doubts(fitting, system)]
    rest = [each for each in found if not each.fits]
    if rest:
        made += [Heading("Those that do not fit"), why_not(rest, system)]
    return tuple(made)


def doubts(found: Iterable[PortProposal], system: str) -> tuple[Points, ...]:
    """What speaks against trusting some of those that fit."""
    told = tuple(f"{each.name(system)}: {each.doubt}." for each in found if each.doubt)
    return (Points(told),) if told else ()


def why_not(found: Iterable[PortProposal], system: str) -> Table:
    """Those that do not fit, each with its reason."""
    return Table(("Port", "Why not"), tuple(
        (_name(each, system), each.verdict(system))
        for each in found))


def chapter(found: Sequence[PortProposal], chamber: str, tuning: float | None, system: str,
            currency: str = "") -> Chapter:
    """All ports tried for a chamber; the tuning is in Hz."""
    at = "" if tuning is None else f" at {show(tuning, 'frequency', system)}"
    return Chapter("bass", f"Ports for chamber {chamber}{at}", blocks(found, system, currency))


def others(result: ChamberResult, need: Need, system: str) -> tuple[Block, ...]:
    """The best few ports, beside the decided one, that would fit a chamber as well."""
    found = proposals(result, need, system=system)
    best = [each for each in found if each.fits and not each.now][:OTHERS]
    if not found:
        return ()
    title = Heading("Other ports that would fit")
    if not best:
        alone = found[0].fits
        return title, Paragraph(f"Of {len(found)} ports tried only the decided one fits." if alone
                                else nothing_fits(found, system))
    return title, table(best, system, words=f"{CAPTION} {ORDER}"), *doubts(best, system)


_COLUMNS = ("fits", "beaten", "decided", "shape", "count", "bore_mm", "width_mm", "height_mm",
            "walls_shared", "bends", "length_mm", "air_m_per_s", "clear_mm", "clear_ratio",
            "pipe_hz", "pipe_db", "takes_litres", "board_m2", "cost", "strain", "verdict")


def csv_text(found: Iterable[PortProposal]) -> str:
    """All ports tried, in their order, as comma-separated values with a head.

    Numbers in the units that the heads name, whatever the reader's are; an unknown is empty.
    """
    held = io.StringIO()
    writer = csv.writer(held, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for each in found:
        port = each.port
        writer.writerow((
            *("yes" if word else "no" for word in (each.fits, each.beaten, each.now)), port.shape,
            port.count, _n(port.bore, 1e3), _n(port.width, 1e3), _n(port.height, 1e3),
            port.walls_shared, port.bends, _n(each.length, 1e3), _n(each.speed), _n(each.gap, 1e3),
            _n(each.gap_ratio), _n(each.pipe), _n(each.pipe_db), _n(each.volume, 1e3),
            _n(each.board), _n(each.cost), _n(each.strain), each.verdict()))
    return held.getvalue()


def _n(value: float | None, times: float = 1.0) -> str:
    return "" if value is None else f"{value * times:.6g}"


# --- prices, and taking one -----------------------------------------------------------------------


def prices_of(design: Design, tubes: Iterable[str] = ()) -> Prices:
    """What material costs: the cheapest sheet of the cabinet's, and tubes as they are typed.

    Parameters
    ----------
    design : Design
    tubes : iterable of str
        Each a bore and the price of a metre, like "100 mm = 9.5".

    Returns
    -------
    Prices

    Raises
    ------
    DesignErrors
        For a tube that cannot be read.
    """
    cabinet, cutting = design.decided.cabinet, design.decided.cutting
    sheets = []
    if cabinet is not None and cutting is not None:
        sheets = [sheet.price / (sheet.size[0] * sheet.size[1]) for sheet in cutting.sheets
                  if sheet.price is not None and sheet.thickness in (None, cabinet.sheet)
                  and sheet.material in (None, cabinet.material)]
    return Prices(min(sheets, default=None), tuple(_tube(text) for text in tubes))


def _tube(text: str) -> tuple[float, float]:
    bore, _, price = text.partition("=")
    try:
        found = parse(bore.strip(), "length"), float(price)
    except (UnitError, ValueError):
        found = (0.0, 0.0)
    if not (found[0] > 0.0 and 0.0 <= found[1] < 1e9):
        raise refuse("tube price", f"'{text}' is no bore with the price of a metre.",
                     'Write it like "100 mm = 9.5".')
    return found


def changes(
    design: Design, chamber: str, result: ChamberResult, found: PortProposal,
    system: str = "metric",
) -> dict[str, Any]:
    """What to write, by path, so that a chamber has a port that was found.

    The tuning stays as it is written; a length gives way to the tuning that it made. Places on
    the baffle go where the port does not stand there.

    Parameters
    ----------
    design : Design
    chamber : str
        The chamber's name.
    result : ChamberResult
        What the port was found for.
    found : PortProposal
    system : {"metric", "inch"}
        In whose units sizes are written.

    Returns
    -------
    dict
        Written values by path, None for what is taken out; empty where nothing changes.
    """
    where, decided = f"bass.{chamber}.port", design.decided.bass[chamber].port
    changed: dict[str, Any] = {}
    for name, value in _written(found.port, system).items():
        now = there(design, f"{where}.{name}")
        if value is None and now is None:
            continue
        if decided is None or getattr(decided, name) != getattr(found.port, name):
            changed[f"{where}.{name}"] = value
    if there(design, f"{where}.length") is not None:
        changed[f"{where}.length"] = None
        changed[f"{where}.tuning"] = f"{found.port.tuning:.6g} Hz"
    seat, places = result.inputs.seat, f"cabinet.ports.{chamber}"
    moved = decided is None or not same(found.port, decided)
    stays = bool(seat.mouths) and mouths(seat, found.port) == seat.mouths
    if moved and not stays and there(design, places) is not None:
        changed[places] = None
    return changed


def _written(port: Port, system: str) -> dict[str, Any]:
    """A port's opening as the file writes it; None for what it does not have."""
    sizes = {name: getattr(port, name)
             for name in ("bore", "inner_bore", "width", "height", "wall", "centres")}
    return {
        "shape": port.shape, "count": port.count,
        **{name: None if size is None else _size(size, system) for name, size in sizes.items()},
        "walls_shared": port.walls_shared or None, "bends": port.bends or None,
    }


def _size(value: float, system: str) -> str:
    """A length as the file writes it; one of metric board or of the box keeps its millimetres."""
    inches = f"{value / INCH:.4g}"
    if system == "inch" and abs(float(inches) * INCH - value) < 1e-9:
        return f"{inches} in"
    return f"{1e3 * value:.9g} mm"

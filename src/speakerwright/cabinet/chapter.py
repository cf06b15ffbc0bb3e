"""The cabinet as a chapter of the plan, and as what the terminal prints."""

from __future__ import annotations

from speakerwright.cabinet.drawings import general, sheets
from speakerwright.cabinet.result import CabinetResult, RoomResult
from speakerwright.design.document import Design
from speakerwright.words.blocks import Block, Chapter, Heading, Paragraph, Table
from speakerwright.words.units import show


def chapter(design: Design, result: CabinetResult, system: str) -> Chapter:
    """Sizes, how the net volume closes, what uses up the depth, and the drawings."""
    blocks: list[Block] = [_sizes(design, result, system)]
    for room in result.rooms:
        blocks += [Heading(f"Volume of chamber {room.name}"), _volume(room, system)]
    if result.chains:
        blocks += [Heading("What uses up the depth"), _depths(result, system)]
    blocks += [Heading("General drawings"), *general(result, system),
               Heading("Panels, one by one"), Paragraph(_reading()), *sheets(result, system)]
    return Chapter("cabinet", "Cabinet", tuple(blocks))


def _sizes(design: Design, result: CabinetResult, system: str) -> Table:
    cabinet, sizes = design.decided.cabinet, result.settled.sizes
    assert cabinet is not None
    joint = cabinet.joint
    if joint == "rabbet":
        joint += f", {show(cabinet.rabbet, 'length', system)} deep"
    rows = [
        ("Outside, width × height × depth", " × ".join(
            show(v, "length", system) for v in (sizes.width, sizes.height, sizes.depth))),
        ("Sheet", f"{show(sizes.sheet, 'length', system)} {cabinet.material} (nominal)"),
        ("Joints", joint),
        ("Panels", str(len(result.panels))),
    ]
    if result.settled.free is not None:
        rows.append(("Left free and closed on the volume",
                     f"{result.settled.free}, in {result.settled.rounds} rounds with the port's "
                     "length in the loop"))
    if result.mass_kg is not None and result.centre_mm is not None:
        x, y, z = (v / 1e3 for v in result.centre_mm)
        rows.append(("Mass, without network and finish", show(result.mass_kg, "mass", system)))
        rows.append(("Centre of gravity", f"{show(z, 'length', system)} above the bottom, "
                     f"{show(y, 'length', system)} behind the front"
                     + (f", {show(x, 'length', system)} to the right" if abs(x) > 0.002 else "")))
    return Table(("Cabinet", ""), tuple(rows))


def _volume(room: RoomResult, system: str) -> Table:
    rows = [("between the sheets", show(room.gross, "volume", system))]
    rows += [(f"less {name}", show(-volume, "volume", system))
             for name, volume in room.displaced if volume > 0.0]
    rows.append(("net, by these figures", show(room.closed_form, "volume", system)))
    if room.net is not None:
        rows.append(("net, as the solids leave it", show(room.net, "volume", system)))
    if room.wanted is not None:
        rows.append(("net, as the bass asks", show(room.wanted, "volume", system)))
    return Table(("Volume", ""), tuple(rows),
                 "The solids count what figures leave out: inserts, flanges, what stands in the "
                 "baffle's holes.", numbers=(1,))


def _depths(result: CabinetResult, system: str) -> Table:
    rows = tuple(
        (chain.name, *(f"{show(value / 1e3, 'length', system)}" for _, value in chain.parts))
        for chain in result.chains
    )
    return Table(("Behind the front face", "It takes", "Clear", "Back"), rows, numbers=(1, 2, 3))


def _reading() -> str:
    return ("Each panel is drawn from the face that is worked, with its datum at the lower left. "
            "Sizes are nominal: measure the sheet before cutting what must fit into it.")

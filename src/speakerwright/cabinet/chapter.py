"""The cabinet as a chapter of the plan, and as what the terminal prints."""

from __future__ import annotations

from speakerwright.cabinet.drawings import general, sheets, tightest
from speakerwright.cabinet.glueup_pages import blocks as glue_up_blocks
from speakerwright.cabinet.joint_shown import joint_blocks
from speakerwright.cabinet.result import CabinetResult, RoomResult
from speakerwright.cabinet.safety_pages import blocks as safety_blocks
from speakerwright.design.document import Design
from speakerwright.words.blocks import Block, Chapter, Heading, Paragraph, Table
from speakerwright.words.units import show

INNER = ("divider", "brace", "slot board")
LEAST_TOLD = 5e-6  # m³; less would print as nothing


def chapter(design: Design, result: CabinetResult, system: str) -> Chapter:
    """Sizes, how the net volume closes, what uses up the depth, and the drawings."""
    blocks: list[Block] = [_sizes(design, result, system)]
    for room in result.rooms:
        blocks += [Heading(f"Volume of chamber {room.name}"), _volume(room, system)]
    if result.chains:
        blocks += [Heading("What uses up the depth"), _depths(result, system),
                   *tightest(result, system)]
    blocks += _inner(result, system)
    blocks += joint_blocks(result.panels, result.joints, system)
    blocks += safety_blocks(design, result, system)
    blocks += [Heading("General drawings"), *general(result, system),
               Heading("Panels, one by one"), Paragraph(_reading()), *sheets(result, system)]
    blocks += glue_up_blocks(result, system)
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
                     f"{result.settled.free}, in {result.settled.rounds} rounds"
                     + (" with the port's length in the loop" if result.ports else "")))
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
             for name, volume in room.displaced if volume >= LEAST_TOLD]
    rows.append(("net, by these figures", show(room.closed_form, "volume", system)))
    if room.net is not None:
        rows.append(("net, as the solids leave it", show(room.net, "volume", system)))
    if room.wanted is not None:
        rows.append(("net, as the bass asks", show(room.wanted, "volume", system)))
    return Table(("Volume", ""), tuple(rows),
                 "Less what is stated or follows from sizes. The solids also count what no record "
                 "states, such as a horn's shell.", numbers=(1,))


def _depths(result: CabinetResult, system: str) -> Table:
    rows = tuple(
        (chain.name, *(f"{show(value / 1e3, 'length', system)}" for _, value in chain.parts))
        for chain in result.chains
    )
    return Table(("Behind the front face", "It takes", "Clear", "Back"), rows, numbers=(1, 2, 3))


def _inner(result: CabinetResult, system: str) -> list[Block]:
    """Where dividers, braces and slot boards stand: no groove holds them, so they are marked."""
    clear = 1e3 * (result.settled.sizes.width - 2.0 * result.settled.sizes.sheet)
    rows = []
    for panel in result.panels:
        if panel.role not in INNER:
            continue
        x0, y0, z0, x1, y1, z1 = panel.bounding_box
        across = "side to side" if x1 - x0 > clear - 0.05 else _span(x0, x1, system)
        if x1 - x0 > clear + 0.1:
            across += f", {show(0.5e-3 * (x1 - x0 - clear), 'length', system)} into each"
        rows.append((panel.name, _span(z0, z1, system), _span(y0, y1, system), across))
    if not rows:
        return []
    return [Heading("Where the inner panels stand"),
            Table(("Panel", "Above the bottom", "Behind the front face", "Right of the middle"),
                  tuple(rows), "From face to face, to mark on the sides and on the back before "
                  "gluing; everything from the outside of the cabinet.")]


def _span(low: float, high: float, system: str) -> str:
    """From one face to the other, mm."""
    return " to ".join(show(value / 1e3, "length", system) for value in (low, high))


def _reading() -> str:
    return ("Each panel is drawn from the face that is worked, with its datum at the lower left. "
            "Sizes are nominal: measure the sheet before cutting what must fit into it.")

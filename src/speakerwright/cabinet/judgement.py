"""The findings of the cabinet: does it close, does everything fit, is it within the brief?"""

from __future__ import annotations

from collections.abc import Iterator

from speakerwright.cabinet import fit, safety_judgement
from speakerwright.cabinet.glueup import glued
from speakerwright.cabinet.result import CabinetResult
from speakerwright.design.document import Design
from speakerwright.solids.assembly import clearance
from speakerwright.solids.bodies import Body
from speakerwright.words.evidence import Evidence
from speakerwright.words.findings import Finding, Verdict, judge, unknown

THUMB = "rule of thumb"
BEHIND_MAGNET = 0.010  # m: rule of thumb
BETWEEN_FRAMES = 0.001  # m: rule of thumb
FASTENER_ROOM = 0.002  # m: rule of thumb
SIDE_GAP = 0.001  # m: rule of thumb
WEB = 0.010  # m of wood between two openings, or to an edge: rule of thumb


def judged(design: Design, result: CabinetResult) -> tuple[Finding, ...]:
    """All findings of the cabinet, in the order a maker asks."""
    return (
        *_built(design, result), *_volumes(result), *_collide(result), *_behind(result),
        *_apart(result), *_fasteners(result), *_webs(result), *_laps(result),
        *_within(design, result),
        *glued(result),
        *fit.findings(design, result),
        *safety_judgement.findings(design, result),
    )


def _built(design: Design, result: CabinetResult) -> Iterator[Finding]:
    for trouble in result.troubles:
        where = next((f"records.{name}.body" for name, record in design.records.items()
                      if trouble.startswith(record.name)), "cabinet")
        yield unknown("body_known", where, f"{trouble}.", "Type the sizes into the record, or "
                      "correct them.", kind="length")
    for label in result.off_baffle:
        yield Finding("cut_on_baffle", "directivity", Verdict.FAILS, None, None, "length",
                      f"The {label} does not lie on the baffle.", "Move it, or enlarge the baffle.")
    yield from _slots(result)
    yield from _braces(design, result)
    yield from _frames(result)


def _braces(design: Design, result: CabinetResult) -> Iterator[Finding]:
    """A brace that starts behind the back is none."""
    cabinet, most = design.decided.cabinet, result.settled.sizes.behind_front
    for k, brace in enumerate(cabinet.braces if cabinet else ()):
        if brace.behind is not None and brace.behind >= most:
            yield judge(
                "brace_in_box", f"cabinet.braces.{k}.behind", brace.behind, "length",
                at_most=most, tight=0.0,
                says="The brace starts {value} behind the front; the back's inside is at {limit}.",
                try_this="Start it farther in front.", source="decided sizes",
            )


def _slots(result: CabinetResult) -> Iterator[Finding]:
    """A slot between both sides is as wide as its room; else air stands under its board."""
    for name, port in result.ports.items():
        room = result.settled.sizes.room(name)
        if port.shape != "slot" or port.walls_shared != 3 or room is None:
            continue
        yield judge(
            "slot_meets_sides", f"bass.{name}.port.width", abs((port.width or 0.0) - room.width),
            "length", at_most=SIDE_GAP, tight=0.0,
            says="The slot shares both sides of its chamber but is {value} off the {between} "
            "between them.",
            try_this="Make it as wide as the chamber, or let it share one wall only.",
            source=THUMB, figures={"between": (room.width, "length")},
        )

def _frames(result: CabinetResult) -> Iterator[Finding]:
    """The frame or flange that comes nearest to the baffle's edge, or stands over it."""
    sizes = result.settled.sizes
    nearest: tuple[float, str] | None = None
    for each in result.placed:
        body = each.horn.body if each.horn is not None else each.record.body
        across = body.frame_size or ((body.frame, body.frame) if body.frame else None)
        if across is None:
            continue
        (x, z), (wide, high) = each.at, (0.5 * across[0], 0.5 * across[1])
        room = min(0.5 * sizes.width - abs(x) - wide, z - high, sizes.height - z - high)
        if nearest is None or room < nearest[0]:
            nearest = (room, each.horn_name or each.name)
    if nearest is None:
        return
    yield judge(
        "driver_width", "directivity", nearest[0], "length", at_least=0.0, tight=0.003,
        says=f"From the frame of {nearest[1]} to the baffle's edge there are {{value}}.",
        try_this="Move it, make the baffle larger, or choose a smaller driver.",
        evidence=Evidence.DATASHEET, source="frames of the records",
    )


BUILT_LOADINGS = (None, "closed", "vented")


def _volumes(result: CabinetResult) -> Iterator[Finding]:
    for room in result.rooms:
        if room.loading not in BUILT_LOADINGS:
            yield Finding(
                "loading_built", f"bass.{room.name}.loading", Verdict.FAILS, None, None, "ratio",
                f"The bass works out a {str(room.loading).replace('-', ' ')}, and the panels here "
                "are those of a plain box: no holes for passive radiators, no front chamber, no "
                "line, horn or baffle.",
                "Draw the rest by hand and record that as the reason, or load it closed or vented.",
            )
        if room.name in result.leaks:
            yield Finding(
                "chamber_closed", f"cabinet.chambers.{room.name}", Verdict.FAILS, None, None,
                "volume", f"The air of chamber {room.name} is joined with another or the outside.",
                "Look for a missing panel, an opening without its driver, or a gap.",
            )
        if room.wanted is None:
            continue
        net = room.net if room.net is not None else room.closed_form
        off = 100.0 * (net / room.wanted - 1.0)
        yield judge(
            "volume_closes", f"bass.{room.name}.volume", abs(off), "percent",
            at_most=3.0, tight=0.5,
            says="The cabinet leaves {net} net, {value} from the {wanted} that the bass is worked "
            "out with.",
            try_this="Change the chamber's height or the volume, or leave one size free.",
            source="air between the solids: box less driver, ports and braces",
            figures={"net": (net, "volume"), "wanted": (room.wanted, "volume")},
        )


def _collide(result: CabinetResult) -> Iterator[Finding]:
    if not result.collisions:
        yield judge(
            "parts_collide", "cabinet", 0.0, "count", at_most=0.0, tight=-1.0,
            says=f"None of {len(result.panels) + len(result.bodies)} parts is where another is.",
            source="boolean volume of every pair",
        )
    for each in result.collisions:
        x, y, z = each.centre
        yield judge(
            "parts_collide", "cabinet", each.volume_mm3 * 1e-9, "volume",
            at_most=0.0, tight=0.0,
            says=f"{each.a} and {each.b} want the same place, {{value}} of it, around {{x}} right, "
            "{y} back and {z} up.",
            try_this="Move one of them, or make one smaller.",
            source="boolean volume of the pair",
            figures={"x": (x / 1e3, "length"), "y": (y / 1e3, "length"), "z": (z / 1e3, "length")},
        )


def _behind(result: CabinetResult) -> Iterator[Finding]:
    for chain in result.chains:
        if chain.name.startswith("port of "):
            continue
        yield judge(
            "driver_depth", "cabinet.depth", chain.clear / 1e3, "length",
            at_least=BEHIND_MAGNET, tight=0.5,
            says=f"Behind {chain.name} {{value}} are clear; {{limit}} are wanted for its vent and "
            "the cable.",
            try_this="Make the cabinet deeper or choose a shallower driver.",
            evidence=Evidence.DATASHEET, source=THUMB,
        )


def _bodies(result: CabinetResult, kinds: tuple[str, ...]) -> list[Body]:
    return [body for body in result.bodies if body.kind in kinds]


def _apart(result: CabinetResult) -> Iterator[Finding]:
    """The nearest two drivers, horns or ports that are not one thing."""
    found = _bodies(result, ("driver", "horn", "port"))
    nearest: tuple[float, str, str] | None = None
    for i, a in enumerate(found):
        for b in found[i + 1:]:
            if a.part_of and a.part_of == b.part_of:
                continue
            gap = clearance(a, b, beyond=100.0 if nearest is None else nearest[0])
            if nearest is None or gap < nearest[0]:
                nearest = (gap, a.name, b.name)
    if nearest is None or nearest[0] >= 100.0:
        return
    yield judge(
        "drivers_apart", "directivity", nearest[0] / 1e3, "length",
        at_least=BETWEEN_FRAMES, tight=1.0,
        says=f"{nearest[1]} and {nearest[2]} stand {{value}} apart.",
        try_this="Move one of them.", evidence=Evidence.DATASHEET, source=THUMB,
    )


def _fasteners(result: CabinetResult) -> Iterator[Finding]:
    """The fastener with the least room to a panel it does not go through, or to another body."""
    others = [panel for panel in result.panels if panel.role not in ("baffle",)]
    nearest: tuple[float, str, str] | None = None
    for fastener in _bodies(result, ("fastener",)):
        for panel in others:
            gap = clearance(fastener, panel, beyond=30.0 if nearest is None else nearest[0])
            if nearest is None or gap < nearest[0]:
                nearest = (gap, fastener.name, panel.name)
    if nearest is None or nearest[0] >= 30.0:
        return
    yield judge(
        "fastener_room", "cabinet", nearest[0] / 1e3, "length",
        at_least=FASTENER_ROOM, tight=0.5,
        says=f"{nearest[1]} stands {{value}} from the {nearest[2]}; {{limit}} let it be set.",
        try_this="Turn the bolt circle (bolt_angle of its place) or move the panel.",
        source=f"collar of the insert, from memory; {THUMB}",
    )


def _webs(result: CabinetResult) -> Iterator[Finding]:
    """The least wood between two large openings of the baffle, and from one to its edge."""
    baffle = next(panel for panel in result.panels if panel.role == "baffle")
    large = [f for f in baffle.features
             if f.kind == "through" and f.shape.area > 900.0 and not f.label.startswith("slot")]
    nearest: tuple[float, str] | None = None
    for i, one in enumerate(large):
        gaps = [(one.shape.distance(baffle.outline.exterior), f"{one.label} and the edge")]
        gaps += [(one.shape.distance(two.shape), f"{one.label} and {two.label}")
                 for two in large[i + 1:]]
        for gap, names in gaps:
            if nearest is None or gap < nearest[0]:
                nearest = (gap, names)
    if nearest is None:
        return
    yield judge(
        "baffle_web", "cabinet", nearest[0] / 1e3, "length", at_least=WEB, tight=0.2,
        says=f"Between {nearest[1]} {{value}} of wood are left; {{limit}} hold.",
        try_this="Move the openings apart.", source=THUMB,
    )


def _laps(result: CabinetResult) -> Iterator[Finding]:
    """The least wood between a half-lap's notch and a window of its brace."""
    nearest: tuple[float, str] | None = None
    for panel in result.panels:
        windows = [f.shape for f in panel.features if f.label.startswith("window")]
        for notch in (f for f in panel.features if f.label.startswith("half-lap")):
            for window in windows:
                gap = float(notch.shape.distance(window))
                if nearest is None or gap < nearest[0]:
                    nearest = gap, panel.name
    if nearest is None:
        return
    yield judge(
        "lap_leaves_wood", "cabinet.braces", nearest[0] / 1e3, "length", at_least=WEB, tight=0.2,
        says=f"Between the half-lap and the window of {nearest[1]} {{value}} of wood are left; "
        "{limit} hold.",
        try_this="Move a brace, close its window, or give it two.", source=THUMB,
    )


def _massless(design: Design) -> tuple[str, str]:
    """Where a mass is missing, and in words: a record in use, or the density of the sheet."""
    used = {name for choice in design.decided.drivers.values()
            for name in (choice.record, choice.horn)}
    for name, record in design.records.items():
        if name in used and record.mass is None:
            return f"records.{name}.mass", f"the record of {record.name} states none"
    return "cabinet.material", "the density of this material is not known"


def _within(design: Design, result: CabinetResult) -> Iterator[Finding]:
    wanted, sizes = design.decided.brief.size, result.settled.sizes
    for name in ("width", "height", "depth"):
        most = getattr(wanted, name)
        if most is not None:
            yield judge(
                "size_within", f"cabinet.{name}", getattr(sizes, name), "length",
                at_most=most, tight=0.0,
                says=f"The cabinet's {name} is {{value}}; the brief allows {{limit}}.",
                try_this="Choose other sizes, or ask for less volume.", source="decided sizes",
            )
    if result.mass_kg is None:
        where, why = _massless(design)
        yield unknown("mass_within", where, f"The mass is not known: {why}.",
                      "Type it in.", kind="mass")
    elif wanted.mass is not None:
        yield judge(
            "mass_within", "cabinet", result.mass_kg, "mass", at_most=wanted.mass, tight=0.05,
            says="The cabinet weighs about {value}; the brief allows {limit}.",
            try_this="Lighter sheet, thinner braces, or a lighter driver.",
            source="net volume of the panels and the records; densities from memory",
        )


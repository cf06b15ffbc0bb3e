"""The glue-up as blocks of the cabinet's chapter: cautions, steps, nail lines, pictures."""

from __future__ import annotations

from speakerwright.cabinet.glueup import (
    CLAMPED,
    CURED,
    OPEN_TIME,
    GlueUp,
    Step,
    glue_up_of,
    glued,
    together,
    toward,
)
from speakerwright.cabinet.naillines import NailLine
from speakerwright.cabinet.result import CabinetResult
from speakerwright.drawing.glue_up_steps import glue_up_sheet
from speakerwright.drawing.sheets import svg
from speakerwright.words.blocks import Block, Caution, Figure, Heading, Paragraph, Points, Table
from speakerwright.words.units import THIN, show

_CAUTIONS = (
    Caution("Glue", "Glue in the eyes or on the skin for long does harm: gloves, water at hand, "
            "and fresh air where the label speaks of fumes."),
    Caution("Clamps", "A clamp that slips pinches and strikes. Tighten by turns, a little each, "
            "with nobody's hand in the joint."),
    Caution("Nails", "A nail can turn in the wood and come out at the side. Eye protection, and no "
            "hand within a nail's length of the line. Follow the rules that hold where you work."),
)


def blocks(result: CabinetResult, system: str) -> list[Block]:
    """The glue-up of a cabinet for its chapter.

    Parameters
    ----------
    result : CabinetResult
    system : {"metric", "inch"}
    """
    found = glue_up_of(result)
    made: list[Block] = [Heading("Glue-up")]
    if not found.possible:
        return [*made, *(Paragraph(finding.text(system)) for finding in glued(result))]
    made += [_times(), *_CAUTIONS, _steps(found, system)]
    notes = _notes(found, system)
    if notes:
        made.append(Points(notes))
    if found.nail_lines:
        made += [Heading("Nail lines"), _nails(found, system)]
    made.append(_pictures(result, found, system))
    return made


def _times() -> Paragraph:
    open_min, clamp_min, cure_h = OPEN_TIME / 60.0, [t / 60.0 for t in CLAMPED], CURED / 3600.0
    return Paragraph(
        "Put all of it together dry before opening the glue. For white wood glue, from memory: "
        f"joints closed within {open_min:.0f}{THIN}min, clamps on for {clamp_min[0]:.0f} to "
        f"{clamp_min[1]:.0f}{THIN}min, no load for {cure_h:.0f}{THIN}h. The label of the glue in "
        "hand goes first. Amounts, clamps and nails are rules of thumb.")


def _steps(found: GlueUp, system: str) -> Table:
    rows = tuple(_row(step, system) for step in found.steps)
    return Table(
        ("Step", "Put on", "To", "It goes", "Glue line", "Glue", "Clamps", "or nails"), rows,
        f"{show(found.glue, 'moving mass', system)} of glue in all. The first step lies on the "
        "bench. Ways are those of the cabinet as it stands: forward is toward the baffle's "
        "front. Clamps or nails: one of the two holds a joint.", numbers=(0, 4, 5, 6, 7))


def _row(step: Step, system: str) -> tuple[str, ...]:
    x, y, z = step.away
    head = (str(step.number), together(step.parts), together(step.to) or "in its place",
            toward((-x, -y, -z)))
    if not step.glued:
        return (*head, "screwed" if step.joints else "–", "–", "–", "–")
    return (*head, show(step.line, "distance", system), show(step.glue, "moving mass", system),
            str(step.clamps), str(step.nails) if step.nails else "–")


def _notes(found: GlueUp, system: str) -> tuple[str, ...]:
    """What some steps ask for beyond glue and clamps, in their order."""
    made = []
    for step in found.steps:
        if step.dry_fit:
            made.append(f"Before step {step.number}: dry-fit {together(step.dry_fit)}; "
                        f"{len(step.joints)} joints close at once.")
        if step.tight:
            made.append(f"Step {step.number} is tight: slow glue, or a second pair of hands.")
        if step.diagonals is not None:
            made.append(f"After step {step.number}: both diagonals of the frame, outside, "
                        f"{show(step.diagonals, 'length', system)}; push it square while the "
                        "glue is open.")
    beads = [f"{step.number} ({show(step.seal, 'distance', system)})" for step in found.steps
             if step.seal > 0.0]
    if beads:
        made.append("Sealant into the inner corners of closed chambers that a step has closed: "
                    f"after {'steps' if len(beads) > 1 else 'step'} {together(beads)}. What "
                    "nothing else reaches is done through a driver's opening.")
    return tuple(made)


def _nails(found: GlueUp, system: str) -> Table:
    return Table(
        ("Through", "Into", "Line", "First nail", "Last nail", "Nails", "Apart", "Nail"),
        tuple(_nail_row(line, system) for line in found.nail_lines),
        "On the outside face, as it is seen from outside; first and last nail from the bottom on "
        "upright lines, from the left on level ones.", numbers=(3, 4, 5, 6, 7))


def _nail_row(line: NailLine, system: str) -> tuple[str, ...]:
    offset = show(1e-3 * line.offset_mm, "length", system)
    first, last = (show(1e-3 * value, "length", system) for value in line.along_mm)
    if line.edge:
        where = f"{offset} from the {line.edge} edge"
    else:
        start = 1e-3 * (line.end_uv[0] - line.start_uv[0]) + 1e-3 * line.offset_mm
        where = f"aslant, from {offset} to {show(start, 'length', system)} off the left edge"
    return (line.panel, line.guest, where, first, last, str(line.nails),
            show(1e-3 * line.spacing_mm, "length", system) if line.nails > 1 else "–",
            show(1e-3 * line.length_mm, "length", system))


def _pictures(result: CabinetResult, found: GlueUp, system: str) -> Block:
    parts = [*result.panels, *(body for body in result.bodies if body.kind == "rod")]
    try:
        return Figure(svg(glue_up_sheet(parts, found.steps, system=system)), "")
    except ValueError as error:
        return Paragraph(f"No drawing of the steps: {error}.")

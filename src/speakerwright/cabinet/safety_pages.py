"""Weight, standing, lifting and hanging, as the plan and the workbench show them."""

from __future__ import annotations

import math

from speakerwright.acoustics.safety import balance, hanging
from speakerwright.cabinet import safety
from speakerwright.cabinet.result import CabinetResult
from speakerwright.cabinet.safety import Hanging, Lifting, Standing
from speakerwright.design.document import Design
from speakerwright.words.blocks import Block, Caution, Heading, Paragraph, Points, Table
from speakerwright.words.units import show

TITLE = "Weight, lifting and standing"


def blocks(design: Design, result: CabinetResult, system: str) -> list[Block]:
    """Tables, cautions and open questions on the weight of a cabinet.

    Parameters
    ----------
    design : Design
    result : CabinetResult
    system : {"metric", "inch"}
        The reader's units.
    """
    made: list[Block] = [Heading(TITLE)]
    stands, lifts = safety.standing(design, result), safety.lifts(design, result)
    if lifts is None or result.mass_kg is None:
        made.append(Paragraph("Its mass is not known, so nothing is said about lifting it or how "
                              "firmly it stands. The findings tell which figure is missing."))
    else:
        made.append(_weight(design, result, stands, system))
        made += _lifting(lifts, result.mass_kg, system)
    if stands is not None:
        made.append(Caution(
            "Standing", "The slopes and pushes are those at which it just tips, on hard and level "
            "ground and without a gust, a cable that pulls, or somebody who leans on it. Secure "
            "what stands among people, as local rules for stages and public rooms ask."))
    hung = safety.hung(design, result)
    if hung is not None:
        made += _hanging(hung, system)
    return made + _fire(design)


def _as_weight(force: float, system: str) -> str:
    """A force (N) as the mass that weighs as much."""
    return show(force / balance.GRAVITY, "mass", system)


def _weight(design: Design, result: CabinetResult, stands: Standing | None, system: str) -> Table:
    assert result.mass_kg is not None
    cabinet = design.decided.cabinet
    board = "the crossover's board by its size" if cabinet is not None and cabinet.board else ""
    rows = [("Mass", f"{show(result.mass_kg, 'mass', system)}, "
             + (f"with {board} (rule of thumb)" if board else "the network's mass not known"))]
    if stands is None:
        rows.append(("Stands on", "nothing by itself: its bottom is an edge, or the baffle reaches "
                     "below it"))
        return Table(("Weight", ""), tuple(rows), _left_out(bool(board)))
    rows += [
        ("Stands on", f"{len(stands.ground)} feet, counted at their middles" if stands.rise
         else "its bottom"),
        ("Centre of gravity", f"{show(stands.height, 'length', system)} above the ground, "
         f"{show(stands.y, 'length', system)} behind the front"),
    ]
    for way, name in (("forward", "forward"), ("backward", "backward"),
                      (min(("left", "right"), key=stands.lever), "to the side")):
        grips = max(stands.lever(way), 0.0) / stands.top
        rows.append((f"Tips {name}", f"on a slope of {show(stands.angle_deg(way), 'angle', system)}"
                     f"; pushed at the top by the weight of {_as_weight(stands.push(way), system)}"
                     f", if friction is above {show(grips, 'ratio', system)} (else it slides)"))
    slides = balance.sliding_force(stands.mass, safety.FRICTION)
    rows.append(("Slides", f"pushed by the weight of {_as_weight(slides, system)}, at a friction "
                 f"of {show(safety.FRICTION, 'ratio', system)}"))
    asked = design.decided.brief.place.wind
    if asked is not None or design.decided.brief.room is None:
        gust = safety.wind(design, result, stands)
        told = "" if asked is None else f"; asked {show(asked, 'speed', system)}"
        rows.append(("Wind out of doors", f"{show(gust.speed, 'speed', system)} {gust.what}, "
                     f"without any margin{told}"))
    return Table(("Weight", ""), tuple(rows), _left_out(bool(board)))


def _left_out(board: bool) -> str:
    return ("Without finish, cables and " + ("what is not drawn" if board else "the network")
            + ": weigh the finished cabinet. Friction and the drag of the wind are rules of thumb.")


def _lifting(found: Lifting, mass: float, system: str) -> list[Block]:
    rows = (
        ("one person", show(mass, "mass", system), *_against(
            found.alone_limit, found.alone_index, system)),
        ("two, the one who bears more", show(found.share, "mass", system), *_against(
            found.two_limit, found.two_index, system)),
    )
    hands = (f"by handles {show(found.hands, 'length', system)} above the ground" if found.handles
             else "by its lower edges")
    table = Table(
        (f"Lifted to {show(safety.TABLE, 'length', system)}", "Bears", "Recommended", "Index"),
        rows, f"Revised NIOSH lifting equation, from the ground {hands}, {found.grip} grip, at "
        "most one lift in five minutes for an hour, without turning. Above 1 it is too much for "
        "some, above 3 for nearly everybody.", numbers=(1, 2, 3))
    team = ("" if not found.team_limit else
            "Guidance of the HSE counts two as good for a third less than both alone: "
            f"{show(found.team_limit, 'mass', system)} together. ")
    return [table, Caution(
        "Lifting", f"{team}The equation is made for one healthy person with a firm stand, and "
        "says nothing about carrying, stairs, or lifting onto a pole. It knows no team; two are "
        "taken here as bearing what the levers give them.")]


def _against(limit: float, index: float, system: str) -> tuple[str, str]:
    if math.isinf(index):
        return "no such lift", "–"
    return show(limit, "mass", system), show(index, "ratio", system)


def _hanging(found: Hanging, system: str) -> list[Block]:
    upright, factor = max(found.loads), show(hanging.DESIGN_FACTOR, "ratio", system)
    table = Table(
        ("If it hangs from two points at its sides", "Bears", "Breaks only above"), (
            ("each, legs upright (the worse)", _as_weight(upright, system),
             _as_weight(found.breaking, system)),
            (f"each, legs {show(safety.SLING_DEG, 'angle', system)} from upright",
             _as_weight(found.leaning, system), _as_weight(found.leaning_breaking, system)),
            ("second restraint, by itself", _as_weight(found.alone / hanging.DESIGN_FACTOR, system),
             _as_weight(found.alone, system)),
        ), f"Static loads times a design factor of {factor} (common practice, no source); a part "
        "that is marked with a working load limit must be marked with what it bears or more.",
        numbers=(1, 2))
    return [table, Caution(
        "Hanging", "Hanging loads over people is for qualified riggers, and local codes come "
        "before these figures. They say nothing about the wood around a point, shock, swing, or "
        "what it hangs from."), Points(hanging.QUESTIONS)]


def _fire(design: Design) -> list[Block]:
    there = safety.burns(design)
    if not there or design.decided.brief.room is None:
        return []
    named = " and ".join(words for _, words in there)
    return [Caution(
        "Fire", f"Public rooms often ask for proof of how stuffs behave in a fire. Ask the venue "
        f"which class it wants of {named} (in Europe by EN 13501-1), and buy nothing for it "
        "without the maker's certificate.")]

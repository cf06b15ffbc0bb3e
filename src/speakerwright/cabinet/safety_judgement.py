"""The findings on a cabinet's weight: does it stand, can it be lifted, what would it hang on?"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from speakerwright.acoustics.safety import balance, hanging
from speakerwright.cabinet.result import CabinetResult
from speakerwright.cabinet.safety import (
    FRICTION,
    INDEX_ALL,
    INDEX_SOME,
    TABLE,
    WAYS,
    burns,
    hung,
    lifts,
    standing,
    toward,
    wind,
)
from speakerwright.design.document import Design
from speakerwright.words.findings import Finding, Verdict, judge, unknown

TILT_TIGHT = 0.2  # of the slope: rule of thumb
WIND_TIGHT = 0.4  # of the speed, a factor of two in force: rule of thumb



def findings(design: Design, result: CabinetResult) -> tuple[Finding, ...]:
    """Standing, wind, lifting, hanging and the question about fire.

    Parameters
    ----------
    design : Design
    result : CabinetResult

    Returns
    -------
    tuple of Finding
        Without a known mass only the questions that need none; `mass_within` tells what is missing.
    """
    return (*_stands(design, result), *_lifted(design, result), *_hung(design, result),
            *_fire(design))


def _stands(design: Design, result: CabinetResult) -> Iterator[Finding]:
    if result.mass_kg is None:
        return
    stands = standing(design, result)
    if stands is None:
        yield unknown("stands_firm", "cabinet", "It does not stand on its own bottom: that is an "
                      "edge, or the baffle reaches below it.",
                      "Give it feet that are high enough, or say what carries it.", kind="angle")
        return
    first = balance.tipping(stands.ground, balance.Part(
        stands.mass, stands.x, stands.y, stands.height))
    way = max(WAYS, key=lambda one: float(np.dot(WAYS[one], first.toward)))
    yield judge(
        "stands_firm", "cabinet", first.angle_deg, "angle", at_least=balance.TILT_DEG,
        tight=TILT_TIGHT,
        says=f"It tips {toward(way)} on a slope of {{value}}; {{limit}} must leave it standing. "
        "Its centre of gravity is {lever} inside that edge and {high} above the ground.",
        try_this="Stand it on a wider or deeper foot, or bring its weight down.",
        source="slope of a stability test for apparatus, IEC 62368-1, from memory; statics",
        figures={"lever": (first.lever, "length"), "high": (stands.height, "length")},
    )
    asked = design.decided.brief.place.wind
    if asked is None:
        return
    gust = wind(design, result, stands)
    yield judge(
        "wind_stands", "brief.place.wind", gust.speed, "speed", at_least=asked, tight=WIND_TIGHT,
        says=f"A wind of {{value}} {gust.what}; it must stand {{limit}}.",
        try_this="Tie it down, weigh its foot down, or take it down before such a wind.",
        source=f"drag {balance.DRAG_OF_A_BOX:g} of a box, friction {FRICTION:g}: rule of thumb",
    )


def _lifted(design: Design, result: CabinetResult) -> Iterator[Finding]:
    found = lifts(design, result)
    if found is None or result.mass_kg is None:
        return
    how = "by its handles" if found.handles else "by its lower edges"
    trolley = "Lift it with two or with a trolley" + (
        "." if found.handles else ", or give it handles.")
    figures = {"mass": (result.mass_kg, "mass"), "best": (found.alone_limit, "mass"),
               "table": (TABLE, "length"), "share": (found.share, "mass"),
               "each": (found.two_limit, "mass")}
    source = "revised NIOSH equation, NIOSH 94-110; its grip and reach from memory"
    says = (f"Lifted alone to {{table}} {how}, its {{mass}} stand against a recommended {{best}}: "
            "a lifting index of {value}")
    if found.alone_index > INDEX_ALL:  # two can lift it, so the design does not fail
        far = math.isinf(found.alone_index)
        yield Finding(
            "lift_alone", "cabinet", Verdict.TIGHT, None if far else found.alone_index,
            None if far else INDEX_ALL, "ratio",
            f"Nobody can lift its {{mass}} alone {how}: it is beyond the lifting equation." if far
            else f"{says}, where {{limit}} is too much for nearly everybody.",
            trolley, source=source, figures=figures)
    else:
        yield judge(
            "lift_alone", "cabinet", found.alone_index, "ratio", at_most=INDEX_ALL,
            tight=1.0 - INDEX_SOME / INDEX_ALL, says=f"{says}; above 1 it is too much for some.",
            try_this=trolley, source=source, figures=figures)
    if math.isinf(found.two_index):
        yield unknown("lift_two", "cabinet", "Its handles end up higher than the lifting equation "
                      "knows a lift.", "Set the handles lower.")
        return
    yield judge(
        "lift_two", "cabinet", found.two_index, "ratio", at_most=INDEX_ALL,
        tight=1.0 - INDEX_SOME / INDEX_ALL,
        says=f"Lifted by two to {{table}} {how}, one of them bears {{share}} against a recommended "
        "{each}: a lifting index of {value}, of {limit} at most; above 1 it is too much for some.",
        try_this="Use a trolley or a third person, or make it lighter.",
        source=f"{source}; made for one, shared by levers", figures=figures)


def _hung(design: Design, result: CabinetResult) -> Iterator[Finding]:
    found = hung(design, result)
    if found is None:
        return
    yield Finding(
        "hanging_load", "brief.place.kind", Verdict.UNKNOWN, None, None, "mass",
        "If it hangs from two points at its sides, the worse bears {load} with upright legs, and "
        "every part there must break only above {breaking} ({factor} times that); a second, "
        "independent restraint, which bears all of it, above {alone}. What carries it is not "
        "decided.",
        f"{hanging.ASK} Local codes and the venue's rules come before these figures.",
        source="statics; design factor from common practice, no source",
        figures={"load": (max(found.loads) / balance.GRAVITY, "mass"),
                 "breaking": (found.breaking / balance.GRAVITY, "mass"),
                 "factor": (hanging.DESIGN_FACTOR, "count"),
                 "alone": (found.alone / balance.GRAVITY, "mass")})


def _fire(design: Design) -> Iterator[Finding]:
    there = burns(design)
    if not there or design.decided.brief.room is None:
        return
    named = " and ".join(words for _, words in there)
    yield unknown(
        "fire_question", there[0][0],
        f"Which reaction to fire the venue asks of {named} is not known.",
        "Ask the venue which class (such as those of EN 13501-1) it wants, and the maker for a "
        "certificate of it.")

"""What the air inside is judged by: whether a mode is heard in the band that the chamber plays."""

from __future__ import annotations

import math
from collections.abc import Iterable

from speakerwright.cabinet.quiet_air import HIGHEST, AirAnswer
from speakerwright.words.findings import Finding, judge, unknown

RULE = "air_mode_in_band"
LEAST_TOLERANCE = 0.5  # dB; no brief is held to less: rule of thumb
USUAL_TOLERANCE = 3.0  # dB, where the brief states none: rule of thumb
TIGHT = 0.1


def heard_from(tolerance_db: float) -> float:
    """From which level on a mode is heard, dB relative to the cone: where it can eat a tolerance.

    Source: elementary; of two pressures against each other 1 - 10^(-t/20) takes t dB from the
    larger.

    Parameters
    ----------
    tolerance_db : float
        Of the level, one way; no less than 0.5 dB counts.

    Returns
    -------
    float
        Below 0 dB: -10.7 for 3 dB.
    """
    allowed = max(tolerance_db, LEAST_TOLERANCE)
    return 20.0 * math.log10(1.0 - 10.0 ** (-allowed / 20.0))


def lowest_heard(answer: AirAnswer, tolerance_db: float, state: str = ""
                 ) -> tuple[int, str, float] | None:
    """The lowest mode that is heard: its number, through what (port or cone), and its reach in dB.

    Parameters
    ----------
    answer : AirAnswer
    tolerance_db : float
        As in `heard_from`.
    state : str
        As in `AirAnswer.reaches`.

    Returns
    -------
    tuple or None
        None where no mode up to 800 Hz is heard.
    """
    least = heard_from(tolerance_db)
    for k, (port, cone) in enumerate(answer.reaches(state)):
        told = [(level, name) for level, name in ((port, "port"), (cone, "cone"))
                if level >= least]  # one that is no number is not
        if told:
            level, name = max(told)
            return k, name, level
    return None


def judged_air(answer: AirAnswer, highest: float, tolerance_db: float | None = None
               ) -> tuple[Finding, ...]:
    """The finding of one room.

    Parameters
    ----------
    answer : AirAnswer
    highest : float
        Up to where the chamber plays, Hz.
    tolerance_db : float, optional
        Of the brief; 3 dB when left out.

    Returns
    -------
    tuple of Finding
        None for a room without a cone.
    """
    if not answer.reach:
        return ()
    where = f"cabinet.chambers.{answer.room}"
    allowed = USUAL_TOLERANCE if tolerance_db is None else max(tolerance_db, LEAST_TOLERANCE)
    figures = {"least": (heard_from(allowed), "level"), "tolerance": (allowed, "level")}
    source = "finite elements of the air; walls of a bare box with a Q of 100, rule of thumb"
    found = lowest_heard(answer, allowed)
    if found is None:
        return (judge(
            RULE, where, HIGHEST, "frequency", at_least=min(highest, HIGHEST), tight=0.0,
            says="No mode of the air up to {value} reaches port or cone with more than {least}, "
            "which would move the level by {tolerance}.", source=source, figures=figures),)
    number, way, level = found
    mode = float(answer.modes.frequency[number])
    through = ("comes through the port at {reach} against the cone" if way == "port"
               else "holds the cone back by {reach} of its drive")
    return (judge(
        RULE, where, mode, "frequency", at_least=highest, tight=TIGHT,
        says=f"The air's mode at {{value}} {through}; from {{least}} on it can move the level by "
        "{tolerance}. The chamber plays up to {limit}.",
        try_this=f"Line walls where its pressure is strong ({answer.modes.strong[number]}), put "
        f"{way} or driver where it is weak, or hand over lower.",
        source=source, figures={**figures, "reach": (level, "level")}),)


def air_unknown(rooms: Iterable[str]) -> tuple[Finding, ...]:
    """The findings of rooms whose air is not worked out, or was for another state."""
    return tuple(unknown(
        RULE, f"cabinet.chambers.{room}",
        f"Whether the modes of the air in chamber {room} are heard is not worked out.",
        "Run 'speakerwright cabinet air', or ask for it on the cabinet page.", kind="frequency",
    ) for room in rooms)

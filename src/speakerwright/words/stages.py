"""The nine stages, listed once: sections, packages, sub-commands, pages, chapters, docs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Stage:
    """One stage of the work: its word, the question it answers, and whether it is built."""

    name: str
    question: str
    built: bool


STAGES: tuple[Stage, ...] = (
    Stage("brief", "What must it do, where, for whom, for how much?", True),
    Stage("drivers", "Which drive units and horns, and do their figures agree?", True),
    Stage("bass", "Which box, tuning and port?", True),
    Stage("directivity", "Where does the sound go?", False),
    Stage("cabinet", "What is it built of, and does everything fit?", True),
    Stage("cutting", "Which sheets, tools and files?", True),
    Stage("measure", "What do the built parts really do?", False),
    Stage("crossover", "Where and how do the drivers hand over?", False),
    Stage("plan", "What does the builder hold in hand?", True),
)


def built() -> tuple[str, ...]:
    """Names of the stages that are built, in the order of work."""
    return tuple(stage.name for stage in STAGES if stage.built)

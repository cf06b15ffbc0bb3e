"""The clear space inside, from decided outside sizes and the sheet."""

from __future__ import annotations

from dataclasses import dataclass

from speakerwright.design.sections.cabinet import Cabinet


@dataclass(frozen=True)
class Clear:
    """A chamber's clear sizes in m and the volume in m³ that its braces take.

    `height` is None when the cabinet does not say how high the chamber is.
    """

    width: float
    depth: float
    height: float | None
    sheet: float
    braces: float

    @property
    def behind_front(self) -> float:
        """From the front face of the baffle to the inner face of the back, m."""
        return self.depth + self.sheet


def clear(cabinet: Cabinet, chamber: str) -> Clear:
    """A chamber's clear space between sheets of one thickness."""
    inside = cabinet.chambers.get(chamber)
    return Clear(
        width=cabinet.width - 2.0 * cabinet.sheet,
        depth=cabinet.depth - 2.0 * cabinet.sheet,
        height=None if inside is None else inside.height,
        sheet=cabinet.sheet,
        braces=0.0 if inside is None else inside.braces,
    )

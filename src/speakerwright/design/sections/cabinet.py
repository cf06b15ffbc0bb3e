"""What the cabinet stage decides: outside sizes, sheet, and the chambers inside."""

from __future__ import annotations

from pydantic import Field

from speakerwright.design.values import Length, Section, VolumeOrZero


class CabinetChamber(Section):
    """A chamber's clear height between its own walls, and what braces take from it."""

    height: Length
    braces: VolumeOrZero = 0.0


class Cabinet(Section):
    """A box of sheet: outside width and depth, and its chambers one above the other."""

    width: Length
    depth: Length
    height: Length | None = None
    sheet: Length
    chambers: dict[str, CabinetChamber] = Field(default_factory=dict)

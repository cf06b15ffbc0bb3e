"""What is set onto or into the cabinet besides drivers and ports."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from speakerwright.design.values import (
    Choice,
    Length,
    LengthOrZero,
    Quantity,
    Section,
    Whole,
    problems,
)

Place = Annotated[float, Quantity("length", low=-10.0, high=10.0, above=False)]
Spot = tuple[Place, Place]

SIDES = ("left", "right", "top", "back")
WALLS = ("left", "right", "top", "bottom", "back")


class Fixing(Section):
    """How drivers are bolted on: threaded inserts, T-nuts behind the baffle, or wood screws.

    `length` is a screw's or bolt's, under its head; left out, it follows from what it holds.
    """

    kind: Annotated[str, Choice(("insert", "t-nut", "screw"))] = "insert"
    length: Length | None = None


class Feet(Section):
    """Feet under the bottom: how many, how high and wide, how far in from the edges."""

    count: Annotated[int, Whole(3, 4)] = 4
    height: Length = 0.02
    diameter: Length = 0.038
    inset: Length = 0.03


class Handle(Section):
    """A handle: a recessed cup in a hole of its own (`cutout` wide and high), or a bar outside.

    `at` is its middle: on a side (from the front, above the bottom), on the back or the front
    (right of the middle seen from the front, above the bottom), on the top (right, from the front).
    """

    on: Annotated[str, Choice(SIDES)]
    at: Spot
    kind: Annotated[str, Choice(("cup", "bar"))] = "cup"
    cutout: tuple[Length, Length] = (0.12, 0.08)
    depth: Length = 0.06


class Terminal(Section):
    """The terminal cup or connector plate: wall, middle, hole (round, or wide and high), depth.

    `depth` is what it and its connectors take inside, `cable` what a cable needs beyond them.
    """

    on: Annotated[str, Choice(WALLS)] = "back"
    at: Spot
    cutout: Length | None = None
    cutout_size: tuple[Length, Length] | None = None
    depth: Length = 0.04
    cable: LengthOrZero = 0.03

    @model_validator(mode="after")
    def _one(self) -> Terminal:
        if (self.cutout is None) == (self.cutout_size is None):
            raise problems([("cutout", "its hole is round or rectangular.",
                             "Give cutout or cutout_size, one of them.")])
        return self


class Board(Section):
    """The crossover's board: its size, how high its parts stand, and the wall it is screwed to.

    `at` is the middle of the board on that wall, counted as a handle's is (on the bottom as on the
    top).
    """

    on: Annotated[str, Choice(WALLS)] = "back"
    at: Spot
    size: tuple[Length, Length]
    height: Length = 0.05


class Grille(Section):
    """A rebate around the baffle's front edge for a grille: its width and depth."""

    width: Length = 0.012
    depth: Length = 0.006


class Flange(Section):
    """How far the baffle reaches out over the box on all sides: it covers the edge of a recess."""

    overhang: Length = 0.02


class Lining(Section):
    """Fibre on a chamber's walls: how thick, and its flow resistivity in Pa s/m²."""

    walls: tuple[Annotated[str, Choice(("left", "right", "back", "bottom", "top"))], ...]
    thickness: Length = 0.04
    flow_resistivity: Annotated[float, Quantity("ratio", low=100.0, high=200000.0)] = 8000.0

"""Where two panels meet: who stands against whom, along which line, how deep, how held.

A joint is made together with the cuts it needs, so that glue lines, nail lines and the order of
assembly follow from the same figures as the wood. Lengths in mm, places in the cabinet's frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from speakerwright.solids.meshes import Point

JointKind = Literal["butt", "rabbet", "dado", "mitre", "half-lap", "batten"]


@dataclass(frozen=True)
class Joint:
    """Two panels that meet along a straight line.

    Attributes
    ----------
    kind : str
        butt, rabbet, dado, mitre, half-lap, or batten (a loose panel screwed to battens).
    host, guest : str
        The panel that is cut, lies over the other or is there first; and the one let into it or
        stood against it. In a mitre or half-lap both are alike, in the order of the panels.
    start, end : tuple of float
        Ends of the middle line of the contact at the host's face (in a half-lap: of the crossing).
    width : float
        Of the contact across that line: the guest's thickness, or the mitre's face.
    into : tuple of float
        Direction in which the guest goes into the host, of length one; along the crossing line
        for a half-lap (the host's notch opens that way).
    depth : float
        How deep the guest goes in; 0 where it only stands against it.
    clearance : float
        How much wider the groove or notch is than what goes in.
    angle_deg : float
        Between the two panels' insides; 90 when they are square.
    glued : bool
        Whether it is glued, not screwed.
    """

    kind: JointKind
    host: str
    guest: str
    start: Point
    end: Point
    width: float
    into: Point
    depth: float = 0.0
    clearance: float = 0.0
    angle_deg: float = 90.0
    glued: bool = True

    def __post_init__(self) -> None:
        if not self.length > 0.0:
            raise ValueError(f"{self.host} and {self.guest} meet in no line")

    @property
    def length(self) -> float:
        """Length of the line, mm."""
        return math.dist(self.start, self.end)

    @property
    def along(self) -> Point:
        """Direction of the line, of length one."""
        way = (np.array(self.end) - self.start) / self.length
        return float(way[0]), float(way[1]), float(way[2])

    @property
    def area(self) -> float:
        """Glued area, mm²: the contact, and both sides of what is let in."""
        return self.length * (self.width + 2.0 * self.depth)

    def other(self, name: str) -> str:
        """The other panel's name."""
        if name not in (self.host, self.guest):
            raise ValueError(f"{name} is not in the joint of {self.host} and {self.guest}")
        return self.guest if name == self.host else self.host

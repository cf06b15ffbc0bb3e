"""Panels of an invented cabinet for the tests: 450 x 1000 x 300 outside, of 18 mm sheet."""

from __future__ import annotations

from speakerwright.solids.panels import (
    Panel,
    Placement,
    cutout,
    drill,
    hole,
    pocket,
    rebate,
)
from speakerwright.solids.shapes import Polygon, circle, rectangle, rounded_rectangle

SHEET = 18.0
_FRONT = Placement((-225.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
_LEFT = Placement((-225.0, 300.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))
_RIGHT = Placement((225.0, 18.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
_TOP = Placement((-225.0, 18.0, 1000.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def baffle() -> Panel:
    """Driver with its flange rebate outside and bolts, a horn's mouth, two ports, dados inside."""
    bolts = [hole(225.0 + 147.0 * c, 300.0 + 147.0 * s, 8.5, "bolt")
             for c, s in ((0.6, 0.8), (-0.6, 0.8), (-0.6, -0.8), (0.6, -0.8))]
    return Panel(
        "baffle", rectangle(0.0, 0.0, 450.0, 1000.0), SHEET, _FRONT,
        (
            hole(225.0, 300.0, 282.0, "low driver"),
            pocket(circle(225.0, 300.0, 316.0), 5.0, "outside", "flange of the low driver",
                   circle=(225.0, 300.0, 316.0)),
            *bolts,
            cutout(rounded_rectangle(95.0, 690.0, 355.0, 900.0, 12.0), "horn"),
            hole(85.0, 560.0, 106.0, "port"),
            hole(365.0, 560.0, 106.0, "port"),
            pocket(rectangle(18.0, 640.0, 432.0, 658.0), 6.0, "inside", "dado of the shelf"),
            rebate((450.0, 0.0), (450.0, 1000.0), 18.0, 9.0, "inside", "rebate", past_ends=1.0),
            rebate((0.0, 1000.0), (0.0, 0.0), 18.0, 9.0, "inside", "rebate", past_ends=1.0),
        ),
        grain="v", role="baffle",
    )


def side(name: str) -> Panel:
    """A side with a dado for the shelf and three blind holes near the front, both inside."""
    left = name.endswith("left")
    front = 282.0 - 40.0 if left else 40.0
    return Panel(
        name, rectangle(0.0, 0.0, 282.0, 1000.0), SHEET, _LEFT if left else _RIGHT,
        (
            pocket(rectangle(0.0, 640.0, 282.0, 658.0), 6.0, "inside", "dado of the shelf"),
            *(drill(front, z, 5.0, 12.0, "inside", "pilot hole") for z in (100.0, 300.0, 500.0)),
        ),
        grain="v", role="side",
    )


def cabinet() -> list[Panel]:
    """All fourteen panels."""
    def board(name: str, w: float, h: float, *features: object, grain: str | None = None) -> Panel:
        return Panel(name, rectangle(0.0, 0.0, w, h), SHEET, _TOP, features,  # type: ignore[arg-type]
                     grain=grain, role="board")  # type: ignore[arg-type]

    gusset = Polygon([(0.0, 0.0), (60.0, 0.0), (0.0, 60.0)])
    return [
        baffle(),
        Panel("back", rectangle(0.0, 0.0, 414.0, 964.0), SHEET, _FRONT,
              (cutout(rounded_rectangle(150.0, 60.0, 264.0, 130.0, 6.0), "connector plate"),),
              grain="v", role="back"),
        side("side left"), side("side right"),
        board("top", 450.0, 282.0, grain="u"), board("bottom", 450.0, 282.0, grain="u"),
        board("shelf", 414.0, 264.0, hole(207.0, 132.0, 20.0, "cable"), grain="u"),
        board("brace 1", 414.0, 60.0), board("brace 2", 414.0, 60.0),
        board("brace 3", 264.0, 60.0), board("brace 4", 264.0, 60.0),
        board("network board", 300.0, 200.0),
        Panel("gusset 1", gusset, SHEET, _TOP), Panel("gusset 2", gusset, SHEET, _TOP),
    ]

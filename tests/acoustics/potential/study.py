"""The laws of the package against fresh potential-flow solutions, at points no table holds.

``python tests/acoustics/potential/study.py`` prints the tables and writes them, with the date, to
docs/proof/port-ends.md. A few minutes.
"""

import datetime
import math
import sys
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from acoustics.potential.axisymmetric import tube
from acoustics.potential.flare import flared
from acoustics.potential.sections import beside_walls, flush_rectangle, rectangle
from acoustics.potential.slit import slot_across
from speakerwright.acoustics import ends, neighbours, openings, slits, slots, tube_shapes
from speakerwright.acoustics.enclosures import Enclosure
from speakerwright.acoustics.mouths import Mouth, end_correction

PAGE = Path(__file__).resolve().parents[3] / "docs" / "proof" / "port-ends.md"
INF = math.inf
GRID = {"growth": 1.45, "finest": 1e-4}
ACROSS = {"around": 3, "fine": 0.02, "growth": 2.0}


def facing_walls(walls=(0.0, 0.015, 0.07, 0.3, 1.4, 12.0), gaps=(0.27, 0.6, 1.7, 5.0, 15.0, INF)):
    """Round tubes before a wall: name, computed, law."""
    for wall in walls:
        for gap in gaps:
            law = ends.facing_wall_end(1.0, wall, gap)
            yield f"wall {wall:g}, gap {gap:g}", tube(wall, gap=gap, **GRID), law


def side_walls(cases=((0.05, (1.2,)), (0.05, (2.5,)), (0.12, (1.5,)), (0.05, (1.3, 1.3)),
                      (0.05, (1.3, 4.0)), (0.1, (1.7, 2.4)))):
    """Round tubes beside one wall and in a corner, free and before a facing wall."""
    for wall, sides in cases:
        mouth = beside_walls(wall, *sides, **ACROSS)
        for gap in (0.4, 1.0, 3.0, INF):
            law = ends.facing_wall_end(1.0, wall, gap) + neighbours.side_walls_end(
                1.0, wall, sides, gap)
            yield f"wall {wall:g}, sides {sides}, gap {gap:g}", mouth.correction(gap), law


def pairs(distances=(2.2, 2.6, 4.0, 8.0)):
    """Two round mouths flush in one baffle."""
    for distance in distances:
        found = beside_walls(0.0, 0.5 * distance, flush=True, **ACROSS).correction()
        yield (f"distance {distance:g}", found,
               ends.flanged_end(1.0) + openings.twin_openings(1.0, distance))


def rectangles(cases=((1.2, 0.2), (2.5, 0.7), (6.0, 0.2), (15.0, 0.3)), gaps=(0.6, 1.3, 4.0, INF),
               fine=0.02, growth=2.0):
    """Free rectangular tubes, half the short side 1: sides, wall, gap."""
    for aspect, wall in cases:
        mouth = rectangle(aspect, 1.0, wall, reach=40.0 * max(1.0, aspect / 4.0), fine=fine,
                          growth=growth)
        for gap in gaps:
            law = slots.rectangular_tube_end(2.0 * aspect, 2.0, wall, gap)
            yield f"sides {aspect:g}:1, wall {wall:g}, gap {gap:g}", mouth.correction(gap), law


def flush_rectangles(aspects=(1.0, 4.0, 10.0)):
    """Rectangles flush in a baffle."""
    for aspect in aspects:
        found = flush_rectangle(aspect, 1.0, reach=40.0 * max(1.0, aspect / 4.0), fine=0.02,
                                growth=2.0).correction()
        yield f"sides {aspect:g}:1", found, slots.flush_rectangle_end(2.0 * aspect, 2.0)


def refinement(aspect=3.0, wall=0.4, gap=1.0):
    """One rectangular tube on finer and finer grids, and a larger reach."""
    for fine, growth, reach in ((0.08, 3.5, 40.0), (0.04, 2.7, 40.0), (0.02, 2.2, 40.0),
                                (0.01, 1.8, 40.0), (0.02, 2.2, 120.0)):
        mouth = rectangle(aspect, 1.0, wall, reach=reach, fine=fine, growth=growth)
        yield f"finest {fine}, growth {growth}, reach {reach:g}", mouth.correction(gap), None


def spanning(cases=((0.3, 8.0, 3.0, 6.0), (0.3, 8.0, 0.5, 6.0), (0.05, 15.0, 2.0, 3.0),
                    (0.5, 3.0, 1.0, 4.0), (0.3, 8.0, 1.0, 0.5), (1.0, 2.2, 1.0, 2.0),
                    (0.4, 12.0, 6.0, 2.0))):
    """Slots across their boxes, height 1: board, box height, gap, behind."""
    for case in cases:
        yield f"board {case[0]:g}, box {case[1]:g}, gap {case[2]:g}, behind {case[3]:g}", (
            slot_across(*case)), slits.slot_across_end(1.0, *case)


def boxes(round_cases=((6, 5, 10), (6, 1, 10), (12, 2, 10), (4, 1, 6)),
          corner_cases=((1.5, 0.3, 12, 9, 3, 6), (1.5, 0.3, 12, 9, 1, 6), (1.0, 0.3, 20, 20, 5, 10),
                        (4.0, 0.3, 10, 14, 2, 5))):
    """Whole closed boxes: a round tube in the middle of a round box (law: a square one of its
    area), and a mouth in the corner of a rectangular one."""
    for radius, gap, depth in round_cases:
        side = radius * math.sqrt(math.pi)
        law = end_correction(Mouth(
            radius=1.0, wall=0.05, gap=gap, sides=(side / 2, side / 2),
            box=Enclosure(side, side, depth), place=(side / 2, side / 2, depth - gap)))
        yield (f"round, box {radius:g} by {depth:g}, gap {gap:g}",
               tube(0.05, gap=gap, box=(radius, depth), **GRID), law.total)
    for width, wall, wide, high, gap, behind in corner_cases:
        mouth = rectangle(width, 1.0, wall, box=(wide, high), fine=0.04, growth=2.5)
        law = end_correction(Mouth(
            width=width, height=1.0, wall=wall, gap=gap, shared=2,
            box=Enclosure(wide, high, gap + behind), place=(width / 2, 0.5, behind)))
        yield (f"corner {width:g} x 1, box {wide:g} x {high:g} x {gap + behind:g}, gap {gap:g}",
               mouth.correction_in_box(gap, behind), law.total)


def flares(roundings=(0.07, 0.28, 0.6, 1.2, 2.5)):
    """Rounded mouths, flush and free."""
    for rounding in roundings:
        for free in (False, True):
            yield (f"rounding {rounding:g}, {'free' if free else 'flush'}",
                   flared(rounding, free=free, growth=1.35),
                   tube_shapes.flared_end(1.0, rounding, flush=not free))


# Title, rows, and the largest error allowed, in %.
STUDIES = (
    ("Round tube before a facing wall (radii)", facing_walls, 0.1),
    ("Round tube beside side walls and in corners (radii; the corners at 1.3 chose the corner's "
     "rule)", side_walls, 1.0),
    ("Two round mouths flush in one baffle (radii)", pairs, 0.3),
    ("Rectangular tube, free and before a facing wall (half short sides)", rectangles, 1.0),
    ("Rectangle flush in a baffle (half short sides)", flush_rectangles, 0.3),
    ("Slot across its box (slot heights)", spanning, 0.2),
    ("Mouth in a closed box (radii; slot heights)", boxes, 2.0),
    ("Rounded mouth (radii)", flares, 0.3),
)


def limits():
    """Known limits of the solver itself: name, computed, known."""
    yield "thin free tube (Levine and Schwinger's integral)", tube(0.0, growth=1.3), 0.6127
    yield "flush tube (Norris and Sheng)", tube(INF, growth=1.3), 0.82167
    far = (tube(0.0, gap=60.0, growth=1.3) - tube(0.0, growth=1.3)) * 8.0 * 60.0
    yield "far wall, over a / (8 g)", far, 1.0


def page(date):
    """The text of docs/proof/port-ends.md."""
    lines = ["# End corrections against potential flow", "",
             f"Made by `python tests/acoustics/potential/study.py` on {date}.", "",
             "Computed: finite elements (round tubes, rounded mouths, slots across their boxes in "
             "two dimensions) and finite elements across with exact modes along (all else). "
             "Law: what the program uses. The points are not those of its tables.", ""]
    lines += ["## Known limits of the solver", "", "| case | computed | known |", "|---|---|---|"]
    lines += [f"| {name} | {found:.5f} | {known:.5f} |" for name, found, known in limits()]
    lines += ["", "## Refinement (3:1 tube, wall 0.4, gap 1, in half short sides)", "",
              "| grid | computed |", "|---|---|"]
    lines += [f"| {name} | {found:.5f} |" for name, found, _ in refinement()]
    for title, rows, allowed in STUDIES:
        found = list(rows())
        worst = max(abs(law / value - 1.0) for _, value, law in found) * 100.0
        lines += ["", f"## {title}", "",
                  f"Largest difference {worst:.2f} % (allowed {allowed:g} %).", "",
                  "| case | computed | law | difference, % |", "|---|---|---|---|"]
        lines += [f"| {name} | {value:.4f} | {law:.4f} | {100.0 * (law / value - 1.0):+.2f} |"
                  for name, value, law in found]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    text = page(datetime.date.today().isoformat())
    print(text)
    PAGE.write_text(text, encoding="utf-8")

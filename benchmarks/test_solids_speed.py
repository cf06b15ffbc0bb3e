"""How fast panels are rebuilt, collisions and chambers found (no gate: figures to look at)."""

import dataclasses
import math

from speakerwright.solids.assembly import collisions
from speakerwright.solids.bodies import cone_driver, tube
from speakerwright.solids.chambers import chambers
from speakerwright.solids.panels import Placement, cutout, drill, hole, plain, pocket
from speakerwright.solids.shapes import rectangle, rounded_rectangle

T, W, D, H = 18.0, 400.0, 450.0, 900.0
CLEAR = (W - 2 * T, D - 2 * T, H - 2 * T)


def cabinet():
    """Twelve panels with their holes, grooves and fasteners' holes; nothing built yet."""
    half = W / 2
    bolts = [
        drill(CLEAR[0] / 2 + 132 * math.cos(a), 600 + 132 * math.sin(a), 8.0, 12.0, "inside", "nut")
        for a in (2 * math.pi * i / 8 for i in range(8))
    ]
    grooves = [pocket(rectangle(30, z, D - 30, z + 2), 3.0, "inside", "groove")
               for z in (100, 300, 800)]
    shelf_outline = (cutout(rounded_rectangle(80, 80, 280, 330, 30), "window"),)
    boards = [
        plain("left", D, H, T, Placement((-half, D, 0), (0, -1, 0), (0, 0, 1))),
        plain("right", D, H, T, Placement((half, 0, 0), (0, 1, 0), (0, 0, 1))),
        plain("bottom", CLEAR[0], D, T, Placement((-half + T, D, 0), (1, 0, 0), (0, -1, 0))),
        plain("top", CLEAR[0], D, T, Placement((-half + T, 0, H), (1, 0, 0), (0, 1, 0))),
        plain("baffle", CLEAR[0], CLEAR[2], T, Placement((-half + T, 0, T), (1, 0, 0), (0, 0, 1))),
        plain("back", CLEAR[0], CLEAR[2], T, Placement((half - T, D, T), (-1, 0, 0), (0, 0, 1))),
    ]
    boards[0], boards[1] = (b.with_feature(*grooves) for b in boards[:2])
    boards[4] = boards[4].with_feature(
        hole(CLEAR[0] / 2, 600, 250, "woofer"), hole(CLEAR[0] / 2, 150, 106, "port"), *bolts)
    boards[5] = boards[5].with_feature(cutout(rounded_rectangle(100, 100, 200, 180, 10), "plate"))
    shelves = [
        dataclasses.replace(
            plain(f"shelf {i}", CLEAR[0], CLEAR[1], T,
                  Placement((-half + T, T, z), (1, 0, 0), (0, 1, 0))), features=shelf_outline)
        for i, z in enumerate((330.0, 450.0, 780.0, 840.0))
    ]
    sticks = [
        plain(f"stick {i}", 40.0, 60.0, T, Placement((x, D - 100, 400.0), (1, 0, 0), (0, 1, 0)))
        for i, x in enumerate((-150.0, 110.0))
    ]
    return [*boards, *shelves, *sticks]


BODIES = [cone_driver("woofer", 280, 250, 10, 140, 180, 60, (0, 618)),
          tube(100, 3, 160, (0, 168))]


def test_rebuild_twelve_panels(benchmark):
    solids = benchmark.pedantic(lambda panels: [p.solid() for p in panels],
                                setup=lambda: ((cabinet(),), {}), rounds=20)
    assert len(solids) == 12
    assert all(s.volume() > 0 for s in solids)


def test_thirty_six_pairs(benchmark):
    parts = [*cabinet()[:7], *BODIES]
    for part in parts[:7]:
        part.solid()
    assert benchmark(collisions, parts) == ()


def test_ninety_one_pairs(benchmark):
    parts = [*cabinet(), *BODIES]
    for part in parts[:12]:
        part.solid()
    assert benchmark(collisions, parts) == ()


def test_chambers_of_twelve_panels(benchmark):
    panels = cabinet()
    plugged = [dataclasses.replace(p, features=()) if p.name == "back" else p for p in panels]
    airs = benchmark(chambers, plugged, BODIES)
    assert len(airs) == 1

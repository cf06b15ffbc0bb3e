"""A sample cabinet, and what stands in a drawing, read back from its SVG with code of its own."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ElementTree

import font_source_sans_pro
import numpy as np
from fontTools.ttLib import TTFont

from speakerwright.solids.bodies import cone_driver, horn, tube
from speakerwright.solids.panels import Panel, Placement, cutout, hole, pocket
from speakerwright.solids.shapes import rectangle, rounded_rectangle

WIDE, HIGH, DEEP, THICK = 450.0, 926.0, 300.0, 18.0
SLOT = 18.2
SVG = "{http://www.w3.org/2000/svg}"
_FACES = {bold: TTFont(font_source_sans_pro.font_files_otf[name])
          for bold, name in ((False, "SourceSansPro"), (True, "SourceSansProBold"))}


def baffle():
    half = WIDE / 2.0
    bolts = [hole(149.0 * math.cos(math.radians(22.5 + 45.0 * k)),
                  300.0 + 149.0 * math.sin(math.radians(22.5 + 45.0 * k)), 8.5, "bolt")
             for k in range(8)]
    pockets = [
        pocket(rectangle(-half, -1, -half + SLOT, HIGH + 1), 6.0, "inside", "rabbet for side"),
        pocket(rectangle(half - SLOT, -1, half, HIGH + 1), 6.0, "inside", "rabbet for side"),
        pocket(rectangle(-half + SLOT, HIGH - SLOT, half - SLOT, HIGH + 1), 6.0, "inside",
               "rabbet"),
        pocket(rectangle(-half + SLOT, 470, half - SLOT, 470 + SLOT), 6.0, "inside", "dado"),
    ]
    return Panel(
        "baffle", rectangle(-half, 0, half, HIGH), THICK,
        Placement((0, 0, 0), (1, 0, 0), (0, 0, 1)),
        (hole(0, 300, 282, "low driver"), *bolts, hole(-150, 75, 106, "port"),
         hole(140, 75, 106, "port"), cutout(rectangle(-152, 528, 152, 752), "horn"), *pockets),
        grain="v", role="baffle")


def cabinet():
    """Seven panels and four bodies."""
    inner = WIDE - 24.0
    slots = (pocket(rectangle(-1, 470, DEEP, 470 + SLOT), 6.0, "inside", "dado"),
             pocket(rectangle(-1, HIGH - SLOT, DEEP, HIGH + 1), 6.0, "inside", "rabbet"))
    side = rectangle(0, 0, DEEP - 24, HIGH)
    lid = rectangle(-inner / 2, 0, inner / 2, DEEP - 24)
    panels = (
        baffle(),
        Panel("back", rectangle(-WIDE / 2, 0, WIDE / 2, HIGH), THICK,
              Placement((0, DEEP, 0), (-1, 0, 0), (0, 0, 1)),
              (cutout(rounded_rectangle(-60, 100, 60, 180, 10), "terminal"),), grain="v"),
        Panel("left side", side, THICK, Placement((-WIDE / 2, DEEP - 12, 0), (0, -1, 0), (0, 0, 1)),
              slots, grain="v"),
        Panel("right side", side, THICK, Placement((WIDE / 2, 12, 0), (0, 1, 0), (0, 0, 1)),
              slots, grain="v"),
        Panel("top", lid, THICK, Placement((0, 12, HIGH), (1, 0, 0), (0, 1, 0)), grain="u"),
        Panel("bottom", lid, THICK, Placement((0, DEEP - 12, 0), (1, 0, 0), (0, -1, 0)), grain="u"),
        Panel("brace", lid, THICK, Placement((0, 12, 488), (1, 0, 0), (0, 1, 0)),
              (cutout(rounded_rectangle(-150, 70, -20, 200, 20), "window"),
               cutout(rounded_rectangle(20, 70, 150, 200, 20), "window")), grain="u"),
    )
    bodies = (
        cone_driver("low driver", 320, 280, 9, 140, 180, 50, (0, 300)),
        tube(100, 3, 160, (-150, 75), name="left port"),
        tube(100, 3, 160, (140, 75), name="right port"),
        horn("horn", 25, (270, 190), 150, (330, 250), 8, (0, 640), driver=(110, 60)),
    )
    return panels, bodies


def tree(text):
    return ElementTree.fromstring(text)


def marks(text, kind):
    """Elements whose line has a meaning: tag, and attributes."""
    root = tree(text)
    return [node for group in root.iter(f"{SVG}g") if group.get("class") == kind for node in group]


def rings(node):
    """The rings or lines of a path, as arrays of points in mm, y downwards."""
    return [np.array([[float(n) for n in point.split()] for point in part.strip("Z").split("L")])
            for part in node.get("d").split("M")[1:]]


def circles(text, kind):
    """Centre and radius of every circle, mm, y downwards."""
    return [(float(n.get("cx")), float(n.get("cy")), float(n.get("r"))) for n in marks(text, kind)
            if n.tag == f"{SVG}circle"]


def paths(text, kind):
    return [ring for node in marks(text, kind) if node.tag == f"{SVG}path" for ring in rings(node)]


def wide(text, size, bold=False):
    """Width of a line of text from the advances in the font file itself."""
    face = _FACES[bold]
    names, widths = face.getBestCmap(), face["hmtx"]
    return sum(widths[names.get(ord(letter), ".notdef")][0] for letter in text) / 1000.0 * size


def capitals(size):
    return _FACES[False]["OS/2"].sCapHeight / 1000.0 * size


def words(text):
    """Every text: its words, its box (left, top, right, bottom; y downwards), height, turned."""
    found = []
    for node in tree(text).iter(f"{SVG}text"):
        x, y, size = (float(node.get(name)) for name in ("x", "y", "font-size"))
        long = wide(node.text, size, node.get("font-weight") == "700")
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[node.get("text-anchor")] * long
        high = capitals(size)
        turned = node.get("transform") is not None
        if turned:
            assert re.fullmatch(r"rotate\(-90 [\d.-]+ [\d.-]+\)", node.get("transform"))
            box = (x - high, y + back - long, x, y + back)
        else:
            box = (x - back, y - high, x - back + long, y)
        found.append((node.text, box, high, turned))
    return found


def overlap(one, two):
    return (min(one[2], two[2]) - max(one[0], two[0]) > 0.0
            and min(one[3], two[3]) - max(one[1], two[1]) > 0.0)


def overlaps(text):
    """Pairs of texts that lie on one another."""
    every = words(text)
    return [(a[0], b[0]) for i, a in enumerate(every) for b in every[i + 1:] if overlap(a[1], b[1])]

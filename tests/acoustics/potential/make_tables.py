"""Compute the tables of end corrections and write them as a module of the package.

``python tests/acoustics/potential/make_tables.py`` takes some minutes.
"""

import sys
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from acoustics.potential.axisymmetric import tube
from acoustics.potential.flare import flared
from acoustics.potential.sections import beside_walls, flush_rectangle, rectangle

TARGET = Path(__file__).resolve().parents[3] / "src/speakerwright/acoustics/port_tables.py"
INF = float("inf")
TUBE_WALLS = (0.0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 0.7, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)
TUBE_GAPS = (0.2, 0.25, 0.3, 0.4, 0.5, 0.7, 1.0, 1.4, 2.0, 2.8, 4.0, 6.0, 10.0, 20.0, 50.0)
SIDE_WALLS = (0.05, 0.2)
SIDE_PLACES = (1.1, 1.3, 1.6, 2.0, 3.0, 4.0, 6.0, 30.0)
SIDE_GAPS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, INF)
RECTANGLE_ASPECTS = (1.0, 1.5, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0)
RECTANGLE_WALLS = (0.1, 0.4, 1.2)
RECTANGLE_GAPS = (0.3, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0, 8.0)
FLARES = (0.0, 0.05, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0)


def tubes():
    """Rows by wall, columns by gap, the last one free."""
    return [[tube(wall, gap=gap, growth=1.45, finest=1e-4) for gap in (*TUBE_GAPS, INF)]
            for wall in TUBE_WALLS]


def sides():
    """Corrections beside one wall, by the tube's wall, the place and the gap."""
    found = {}
    for wall in SIDE_WALLS:
        for place in SIDE_PLACES:
            if place > 1.0 + wall:
                mouth = beside_walls(wall, place, around=3, fine=0.02, growth=2.2)
                found[wall, place] = [mouth.correction(gap) for gap in SIDE_GAPS]
    return found


def rectangles():
    """Corrections over half the short side: by aspect and wall, the last gap free; and flush."""
    free, flush = {}, []
    for aspect in RECTANGLE_ASPECTS:
        grid = {"reach": 40.0 * max(1.0, aspect / 4.0), "fine": 0.04, "growth": 2.7}
        for wall in RECTANGLE_WALLS:
            mouth = rectangle(aspect, 1.0, wall, **grid)
            free[aspect, wall] = [mouth.correction(g) for g in (*RECTANGLE_GAPS, INF)]
        flush.append(flush_rectangle(aspect, 1.0, **grid).correction())
    return free, flush


def flares():
    """Of rounded mouths, flush and free, by the radius of rounding."""
    plain = (0.82167, 0.6127)
    return ([plain[0], *(flared(r, growth=1.4) for r in FLARES[1:])],
            [plain[1], *(flared(r, free=True, growth=1.4) for r in FLARES[1:])])


def factor_tables(tube_rows, side_rows, rectangle_rows):
    """What the mouth makes of each image's a / (8 distance): the tables the package holds."""
    rows = np.array(tube_rows)
    near = (rows[:, :-1] - rows[:, -1:]) * 8.0 * np.array(TUBE_GAPS)
    side = np.empty((len(SIDE_WALLS), len(SIDE_PLACES), len(SIDE_GAPS)))
    gaps = np.array(SIDE_GAPS)
    for i, wall in enumerate(SIDE_WALLS):
        far = np.array(side_rows[wall, SIDE_PLACES[-1]]) - _images(SIDE_PLACES[-1], gaps)
        for j, place in enumerate(SIDE_PLACES):
            if (wall, place) in side_rows:
                side[i, j] = (np.array(side_rows[wall, place]) - far) / _images(place, gaps)
            else:  # a tube that thick does not stand so near: as the thin one, raised alike
                side[i, j] = np.nan
        if np.isnan(side[i]).any():
            side[i, 0] = 1.0 + (side[i, 1] - 1.0) * (side[0, 0] - 1.0) / (side[0, 1] - 1.0)
    rect = np.empty((len(RECTANGLE_ASPECTS), len(RECTANGLE_WALLS), len(RECTANGLE_GAPS)))
    free = np.empty(rect.shape[:2])
    for i, aspect in enumerate(RECTANGLE_ASPECTS):
        for j, wall in enumerate(RECTANGLE_WALLS):
            row = np.array(rectangle_rows[aspect, wall])
            free[i, j] = row[-1]
            rect[i, j] = (row[:-1] - row[-1]) * 2.0 * np.pi * np.array(RECTANGLE_GAPS) / aspect
    return rows[:, -1], near, side, free, rect


def _images(place, gaps):
    return 1.0 / (8.0 * place) + 1.0 / (8.0 * np.hypot(place, gaps))


def _text(name, values, note):
    array = np.asarray(values)
    if array.ndim == 1:
        body = ", ".join(f"{v:.5g}" for v in array)
        return f"# {note}\n" + _wrapped(f"{name}: tuple[float, ...] = (", body, ")")
    rows = array.reshape(-1, array.shape[-1])
    lines = "\n".join(_wrapped("    (", ", ".join(f"{v:.4f}" for v in row), "),", 8)
                      for row in rows)
    shape = "" if array.ndim == 2 else f".reshape({', '.join(map(str, array.shape))})"
    return f"# {note}\n{name}: FloatArray = _kept(np.array((\n{lines}\n)){shape})"


def _wrapped(start, body, end, indent=4):
    lines, line = [], start
    for word in body.split(", "):
        if len(line) + len(word) + 2 > 96:
            lines.append(line.rstrip())
            line = " " * indent
        line += word + ", "
    return "\n".join([*lines, line.rstrip(", ") + end])


HEAD = '''"""End corrections of tubes as computed: factors and lengths over the mouth's own size.

Written by tests/acoustics/potential/make_tables.py from own potential-flow solutions (finite
elements); the tests compute them again. Walls, gaps and places are in radii of a round tube, or in
half the short side of a rectangular one. A factor is what the mouth makes of an image's far limit,
radius / (8 distance) and the like.
"""

from __future__ import annotations

import numpy as np

from speakerwright.acoustics.air import FloatArray


def _kept(values: FloatArray) -> FloatArray:
    values.flags.writeable = False
    return values

'''


def module(tube_rows, side_rows, rectangle_rows, flush, flare_rows):
    """The text of the module."""
    free, near, side, rect_free, rect = factor_tables(tube_rows, side_rows, rectangle_rows)
    parts = [
        _text("TUBE_WALLS", TUBE_WALLS, "Round tubes: wall thickness."),
        _text("TUBE_FREE", free, "Free end, by wall."),
        _text("TUBE_GAPS", TUBE_GAPS, "Gap to a facing wall."),
        _text("TUBE_NEAR", near, "Factor of the facing wall's image, by wall and gap."),
        _text("SIDE_WALLS", SIDE_WALLS, "Side wall: wall thickness of the tube."),
        _text("SIDE_PLACES", SIDE_PLACES, "Side wall: its distance from the tube's middle."),
        _text("SIDE_GAPS", SIDE_GAPS[:-1], "Side wall: gap of a facing wall; the last is none."),
        _text("SIDE_NEAR", side, "Factor of the side wall's images, by wall, place and gap."),
        _text("RECTANGLE_ASPECTS", RECTANGLE_ASPECTS, "Rectangular tubes: long over short side."),
        _text("RECTANGLE_WALLS", RECTANGLE_WALLS, "Rectangular tubes: wall thickness."),
        _text("RECTANGLE_GAPS", RECTANGLE_GAPS, "Rectangular tubes: gap to a facing wall."),
        _text("RECTANGLE_FREE", rect_free, "Free end, by aspect and wall."),
        _text("RECTANGLE_NEAR", rect, "Factor of the facing wall's image, by aspect, wall, gap."),
        _text("RECTANGLE_FLUSH", flush, "Flush in a baffle, by aspect."),
        _text("FLARES", FLARES, "Rounded mouths: radius of the rounding."),
        _text("FLARE_FLUSH", flare_rows[0], "Rounded and flush in a baffle, by rounding."),
        _text("FLARE_FREE", flare_rows[1], "Rounded with a solid lip, free, by rounding."),
    ]
    return HEAD + "\n" + "\n\n".join(parts) + "\n"


if __name__ == "__main__":
    TARGET.write_text(module(tubes(), sides(), *rectangles(), flares()), encoding="utf-8")
    print("wrote", TARGET.name)

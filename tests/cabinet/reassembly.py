"""A cabinet put together again from its files: cut list, panel drawings, the table of places.

Nothing of the program's own geometry is used here. The rule of the joints is written down anew:
baffle and back lie over the whole front and back, the sides between them over the whole height,
top and bottom between the sides; with rabbets each of these is as much longer as the rabbets in
its neighbours are deep. Solids are extruded by the boolean library itself.
"""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import dataclass, field

import ezdxf
import numpy as np
from manifold3d import CrossSection, FillRule, Manifold, OpType

SHELL = ("baffle", "back", "left side", "right side", "top", "bottom")
CORNERS = 720
# outward normal of each shell panel's outside face, and its axis u, seen from outside
FACES = {
    "baffle": ((0, -1, 0), (1, 0, 0)), "back": ((0, 1, 0), (-1, 0, 0)),
    "left side": ((-1, 0, 0), (0, -1, 0)), "right side": ((1, 0, 0), (0, 1, 0)),
    "top": ((0, 0, 1), (1, 0, 0)), "bottom": ((0, 0, -1), (1, 0, 0)),
}


@dataclass
class Board:
    """A panel as its drawings have it, in its own axes seen from the outside."""

    name: str
    thickness: float
    width: float = 0.0
    height: float = 0.0
    outline: list = field(default_factory=list)
    through: list = field(default_factory=list)  # rings
    blind: list = field(default_factory=list)  # (ring, depth, face)

    def solid(self, holes: bool) -> Manifold:
        """Its solid, outside face up at z = 0; without `holes` its openings and the rebates for
        flanges around them are filled, as they are when all is mounted.
        """
        body = CrossSection([self.outline], FillRule.EvenOdd).extrude(self.thickness)
        body = body.translate((0, 0, -self.thickness))
        tools = []
        for ring, depth, face in self.blind:
            if face == "OUTSIDE" and not holes:
                continue
            low = -depth if face == "OUTSIDE" else -self.thickness - 1.0
            tool = CrossSection([ring], FillRule.EvenOdd).extrude(depth + 1.0)
            tools.append(tool.translate((0, 0, low)))
        if holes:
            tools += [CrossSection([ring], FillRule.EvenOdd).extrude(self.thickness + 2.0)
                      .translate((0, 0, -self.thickness - 1.0)) for ring in self.through]
        return Manifold.batch_boolean([body, *tools], OpType.Subtract) if tools else body


def _ring(entity):
    if entity.dxftype() == "CIRCLE":
        (x, y, _), r = entity.dxf.center, entity.dxf.radius
        step = 2 * math.pi / CORNERS
        r *= math.sqrt(step / math.sin(step))  # the circle's area
        return [(x + r * math.cos(k * step), y + r * math.sin(k * step)) for k in range(CORNERS)]
    return [(float(x), float(y)) for x, y in entity.get_points("xy")]


def read_board(files: dict[str, bytes], stem: str, name: str, thickness: float) -> Board:
    """A board from the drawing of one or both faces, left and right exchanged where it must be."""
    board = Board(name, thickness)
    for end in ("", "-second-face"):
        data = files.get(f"panels/{stem}{end}.dxf")
        if data is None:
            continue
        doc = ezdxf.read(io.StringIO(data.decode("ascii")))
        words = " ".join(t.dxf.text for t in doc.modelspace().query("TEXT"))
        entities = [(e.dxf.layer, _ring(e)) for e in doc.modelspace()
                    if e.dxftype() in ("CIRCLE", "LWPOLYLINE")]
        (edge,) = [ring for layer, ring in entities if layer.startswith(("OUTLINE", "REFERENCE"))]
        x, y = np.array(edge).T
        assert (x.min(), y.min()) == (0.0, 0.0)
        board.width, board.height = float(x.max()), float(y.max())
        flip = "from the inside face" in words
        assert flip or "from the outside face" in words
        for layer, ring in entities:
            seen = [(board.width - px, py) for px, py in ring] if flip else ring
            _sort(board, layer, seen)
    return board


def _sort(board: Board, layer: str, ring: list) -> None:
    if layer.startswith("OUTLINE"):
        assert float(layer.split("_")[1]) == round(board.thickness, 1)
        board.outline = ring
    elif layer == "THROUGH" or layer.endswith("_THROUGH"):
        board.through.append(ring)
    elif layer.startswith("POCKET"):
        _, depth, face = layer.split("_")
        board.blind.append((ring, float(depth), face))
    elif layer != "REFERENCE":
        raise AssertionError(f"an unknown layer {layer}")


def read_boards(files: dict[str, bytes]) -> dict[str, Board]:
    """Every board of the cut list with its drawing; the two agree on their sizes."""
    rows = list(csv.DictReader(io.StringIO(files["cut-list.csv"].decode("utf-8"), newline="")))
    boards = {}
    for row in rows:
        for name in row["part"].split(", "):
            stem = re.sub(r"[^a-z0-9]+", "-", name.lower())
            board = read_board(files, stem, name, float(row["thickness_mm"]))
            listed = sorted((float(row["length_mm"]), float(row["width_mm"])))
            for a, b in zip(listed, sorted((board.width, board.height)), strict=True):
                assert abs(a - b) <= 0.0501
            boards[name] = board
    assert len(boards) == len([n for n in files if n.startswith("panels/")
                               and not n.endswith("-second-face.dxf")])
    return boards


@dataclass
class Cabinet:
    """What came of it: outside sizes, clear rooms (low, high corners), and all solids placed."""

    size: tuple[float, float, float]
    sheet: float
    shell: dict[str, Manifold]
    inner: dict[str, Manifold]


def put_together(boards: dict[str, Board], places: dict[str, tuple[float, ...]]) -> Cabinet:
    """Panels at their places: the shell by the joint's rule, inner ones by the table (z0, y0, x0).

    Openings are left filled: what is mounted in them fills them.
    """
    t = boards["baffle"].thickness
    depths = {depth for _, depth, face in boards["baffle"].blind if face == "INSIDE"}
    r = depths.pop() if depths else 0.0
    assert not depths
    wide, high = boards["baffle"].width, boards["baffle"].height
    assert (boards["back"].width, boards["back"].height) == (wide, high)
    deep = boards["left side"].width + 2 * (t - r)
    origin = {
        "baffle": (-wide / 2, 0, 0), "back": (wide / 2, deep, 0),
        "left side": (-wide / 2, deep - (t - r), 0), "right side": (wide / 2, t - r, 0),
        "top": (-wide / 2 + t - r, t - r, high), "bottom": (-wide / 2 + t - r, deep - (t - r), 0),
    }
    shell = {}
    for name in SHELL:
        normal, u = (np.array(d, dtype=float) for d in FACES[name])
        v = np.cross(normal, u)
        matrix = np.column_stack([u, v, normal, np.array(origin[name], dtype=float)])
        shell[name] = boards[name].solid(holes=False).transform(matrix)
    inner = {}
    for name in boards.keys() - set(SHELL):
        x0, y0, z0 = places[name]
        board = boards[name]
        if math.isnan(x0):  # from side to side, let into dadoes or not
            x0 = -0.5 * board.width
        if "cheek" in name:  # upright, front to back
            body = board.solid(holes=True)
            normal, u = (np.array(d, dtype=float) for d in FACES["right side"])
            matrix = np.column_stack([u, np.cross(normal, u), normal,
                                      (x0 + board.thickness, y0, z0)])
            inner[name] = body.transform(matrix)
        else:
            inner[name] = board.solid(holes=True).translate((x0, y0, z0 + board.thickness))
    return Cabinet((wide, high, deep), t, shell, inner)


def places_from(table) -> dict[str, tuple[float, float, float]]:
    """x0, y0, z0 of the inner panels from the chapter's table, as it is printed in mm."""
    found = {}
    for name, heights, depths, across in table.rows:
        low = [_number(text.split(" to ")[0]) for text in (heights, depths)]
        across_all = across.startswith("side to side")
        x0 = math.nan if across_all else _number(across.split(" to ")[0])
        found[name] = (x0, low[1], low[0])
    return found


def _number(text: str) -> float:
    return float(text.replace("−", "-").replace("\u2009", " ").replace("\u202f", " ").split(" ")[0])


def overlaps(cabinet: Cabinet) -> list[tuple[str, str, float]]:
    """Pairs of panels that share more than a skin of 0.1 mm (the table's rounding) of volume."""
    parts = {**cabinet.shell, **cabinet.inner}
    names, found = list(parts), []
    for i, a in enumerate(names):
        for b in names[i + 1:]:
            common = parts[a] ^ parts[b]
            if common.volume() > 0.06 * common.surface_area():
                found.append((a, b, common.volume()))
    return found


def clear_of(cabinet: Cabinet, low: float, high: float) -> float:
    """Air (mm³) between two heights inside the shell, less the inner panels there."""
    wide, _, deep = cabinet.size
    t = cabinet.sheet
    room = Manifold.cube((wide - 2 * t, deep - 2 * t, high - low)).translate(
        (-wide / 2 + t, t, low))
    return float(Manifold.batch_boolean([room, *cabinet.inner.values()],
                                        OpType.Subtract).volume())


def full(cabinet: Cabinet) -> float:
    """Outside volume less the wood beyond the clear inside, over that inside: 1 when closed."""
    wide, high, deep = cabinet.size
    t = cabinet.sheet
    clear = Manifold.cube((wide - 2 * t, deep - 2 * t, high - 2 * t)).translate(
        (-wide / 2 + t, t, t))
    let_in = [inner - clear for inner in cabinet.inner.values()]
    wood = sum(s.volume() for s in (*cabinet.shell.values(), *let_in))
    inside = (wide - 2 * t) * (high - 2 * t) * (deep - 2 * t)
    return (wide * high * deep - wood) / inside

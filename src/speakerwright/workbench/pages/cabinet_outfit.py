"""What is set onto and into the cabinet: bolts, feet, handles, terminal, board, grille, lining."""

from __future__ import annotations

from speakerwright.design.document import Design
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import ChoiceField, Field
from speakerwright.workbench.pages.bass_parts import Several
from speakerwright.workbench.pages.chambers import sizes_known
from speakerwright.workbench.pages.forms import Row, change, entries, table_group
from speakerwright.workbench.parts import Words, box
from speakerwright.workbench.session import written

FIXINGS = {"insert": "threaded inserts", "t-nut": "T-nuts behind the baffle",
           "screw": "wood screws"}
HOLES = {"cutout": "round", "cutout_size": "rectangular"}
PLACE = {  # what a middle on a wall is counted from: across, and up
    "left": ("Its middle, from the front", "above the bottom"),
    "right": ("Its middle, from the front", "above the bottom"),
    "back": ("Its middle, right of the centre line", "above the bottom"),
    "top": ("Its middle, right of the centre line", "from the front"),
    "bottom": ("Its middle, right of the centre line", "from the front"),
}
TWO = {"listed": True}


def outfit(bench: Bench) -> None:
    """Fields for all that is set onto or into the cabinet besides drivers and ports."""
    with box("sw-group"):
        Words("How drivers are bolted on", "h3")
        with box("sw-fields"):
            ChoiceField(bench, "cabinet.fixing.kind", "With", FIXINGS, default="insert")
            Field(bench, "cabinet.fixing.length", "Length under the head", hint="as they need")
    _feet(bench)
    _handles(bench)
    _terminal(bench)
    _board(bench)
    table_group(bench, "Rebate for a grille", "cabinet.grille",
                [("width", "Width"), ("depth", "Depth")],
                {"width": "12 mm", "depth": "6 mm"}, "Cut a rebate for a grille",
                note="Around the baffle's front edge.")
    table_group(bench, "Flange", "cabinet.flange", [("overhang", "Reaches out on all sides by")],
                {"overhang": "20 mm"}, "Let the baffle reach out",
                note="The baffle reaches out over the box, to cover the edge of a recess.")


def _feet(bench: Bench) -> None:
    table_group(bench, "Feet", "cabinet.feet", [
        ("count", "How many", {"hint": "4"}), ("height", "Height", {"hint": "20 mm"}),
        ("diameter", "Diameter", {"hint": "38 mm"}), ("inset", "In from the edges",
                                                      {"hint": "30 mm"}),
    ], {"count": 4}, "Put feet under it")


def _at(design: Design, path: str, default: str) -> list[Row]:
    wall = written(design, f"{path}.on") or default
    first, second = PLACE[str(wall)] if wall in PLACE else PLACE["back"]
    return [("at.0", first), ("at.1", f"Its middle, {second}")]


def _handles(bench: Bench) -> None:
    def rows(k: int) -> list[Row]:
        path = f"cabinet.handles.{k}"
        made: list[Row] = [("on", "On"), *_at(bench.session.design, path, "left"),
                           ("kind", "Kind", {"default": "cup"})]
        bar = written(bench.session.design, f"{path}.kind") == "bar"
        return [*made, ("cutout", "Width, height" if bar else "Hole: width, height",
                        {"hint": "120 mm, 80 mm", **TWO}),
                ("depth", "Stands out by" if bar else "Depth inside", {"hint": "60 mm"})]

    entries(bench, "Handles", "cabinet.handles", rows, lambda n: {
        "on": ("left", "right")[n % 2], "at": [_deep(bench, 0.5), _tall(bench, 0.6)]},
        "Add a handle", note="A recessed cup takes air from its chamber; a bar takes none.")


def _terminal(bench: Bench) -> None:
    path, design = "cabinet.terminal", bench.session.design
    there = written(design, path)
    hole = "cutout_size" if there and "cutout_size" in there else "cutout"
    rows: list[Row] = [("on", "On", {"default": "back"}), *_at(design, path, "back"),
                       (hole, "Hole: diameter" if hole == "cutout" else "Hole: width, height",
                        {} if hole == "cutout" else TWO),
                       ("depth", "Depth inside", {"hint": "40 mm"}),
                       ("cable", "Room for the cable", {"hint": "30 mm"})]
    table_group(bench, "Terminal", path, rows, {
        "on": "back", "at": ["0 mm", _tall(bench, 0.25)], "cutout": "57 mm"}, "Set a terminal in")
    if there is not None:
        with box("sw-fields"):
            Several(bench, f"{path}.hole", "Shape of its hole", HOLES, lambda word: change(
                bench, hole_turned(word), f"{path}.{word}"), value=lambda: _hole(bench))


def _hole(bench: Bench) -> str:
    size = written(bench.session.design, "cabinet.terminal.cutout_size")
    return "cutout" if size is None else "cutout_size"


def hole_turned(word: str) -> dict[str, object]:
    """The changes that make the terminal's hole round or rectangular."""
    path = "cabinet.terminal"
    if word == "cutout":
        return {f"{path}.cutout": "57 mm", f"{path}.cutout_size": None}
    return {f"{path}.cutout": None, f"{path}.cutout_size": ["100 mm", "60 mm"]}


def _board(bench: Bench) -> None:
    path = "cabinet.board"
    table_group(bench, "Crossover board", path, [
        ("on", "On", {"default": "back"}), *_at(bench.session.design, path, "back"),
        ("size", "Width, height", TWO), ("height", "Its parts stand up by", {"hint": "50 mm"}),
    ], {"on": "back", "at": ["0 mm", _tall(bench, 0.5)], "size": ["150 mm", "100 mm"]},
        "Place the board")


def lining(bench: Bench, path: str, name: str) -> None:
    """The lining of a chamber."""
    table_group(bench, f"Lining of {name}", path, [
        ("walls", "Walls", {"hint": "left, right, back, bottom, top", **TWO}),
        ("thickness", "Thickness", {"hint": "40 mm"}),
        ("flow_resistivity", "Flow resistivity, Pa s/m²", {"hint": "8000"}),
    ], {"walls": ["left", "right", "back"]}, f"Line the walls of {name}")


def _tall(bench: Bench, share: float) -> str:
    """A share of the cabinet's height, as a place to begin with."""
    sizes = sizes_known(bench)
    return "200 mm" if sizes is None else f"{1e3 * share * sizes.height:.0f} mm"


def _deep(bench: Bench, share: float) -> str:
    sizes = sizes_known(bench)
    return "150 mm" if sizes is None else f"{1e3 * share * sizes.depth:.0f} mm"

"""Everything that is decided about the cabinet: wood, joints, outline, chambers, places, braces."""

from __future__ import annotations

from functools import partial

from speakerwright import chain
from speakerwright.design.document import Design
from speakerwright.design.sections.joinery import END_JOINTS, INNER_JOINTS, WALL_JOINTS
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.changes import dotted
from speakerwright.workbench.controls import ChoiceField, Field
from speakerwright.workbench.pages.bass_parts import Several
from speakerwright.workbench.pages.cabinet_outfit import lining, outfit
from speakerwright.workbench.pages.chambers import (
    free_name,
    make,
    room_added,
    room_removed,
    rooms_of,
    sizes_known,
)
from speakerwright.workbench.pages.forms import NewName, Row, change, entries, group
from speakerwright.workbench.parts import Button, Words, box, folded
from speakerwright.workbench.session import written

WALLS = {word: word for word in WALL_JOINTS}
ENDS = {word: word for word in END_JOINTS}
INNERS = {"butt": "butted", "dado": "let into dadoes"}
BACKS = {"glued": "glued", "loose": "loose, screwed on a gasket"}
KINDS = {"shelf": "shelf, level", "upright": "upright, front to back",
         "partition": "partition, parallel to the baffle"}
RUNS = {"across": "across, side to side", "along": "along, baffle to back"}
assert set(INNERS) == set(INNER_JOINTS)


def decided(bench: Bench) -> None:
    """All fields of the cabinet that stand in no slider above."""
    with folded("Everything that is decided here", opened=True, classes="sw-all"):
        _wood(bench)
        _outline(bench)
        _chambers(bench)
        for job in bench.session.design.decided.drivers:
            _places(bench, f"directivity.{job}", f"Where the {job} driver stands", mount=True)
        for name, chamber in bench.session.design.decided.bass.items():
            if chamber.port is not None:
                _places(bench, f"cabinet.ports.{name}", f"Where chamber {name}'s ports stand")
        _braces(bench)
        _rods(bench)
    with folded("Bolts, feet, handles, terminal, board, grille", classes="sw-all"):
        outfit(bench)


def _wood(bench: Bench) -> None:
    with box("sw-group"):
        Words("Wood and joints", "h3")
        with box("sw-fields"):
            Field(bench, "cabinet.material", "Material", hint="birch plywood")
            ChoiceField(bench, "cabinet.joint", "Joints of the walls", WALLS, default="butt")
            ChoiceField(bench, "cabinet.front_joint", "Joint of the baffle", ENDS,
                        none="as the walls")
            ChoiceField(bench, "cabinet.back_joint", "Joint of the back", ENDS,
                        none="as the walls")
            Field(bench, "cabinet.rabbet", "Rabbet's depth", hint="6 mm")
            Field(bench, "cabinet.closes", "A free size closes the chamber",
                  hint="the only one")
    with box("sw-group"):
        Words("Inner panels and the back", "h3")
        with box("sw-fields"):
            ChoiceField(bench, "cabinet.inner.joint", "Dividers, braces, slot boards", INNERS,
                        default="butt")
            Field(bench, "cabinet.inner.depth", "Dado's depth", hint="6 mm")
            Field(bench, "cabinet.inner.clearance", "Dado wider than the sheet by", hint="0.2 mm")
            Field(bench, "cabinet.inner.stop", "Dado stops behind the baffle by",
                  hint="runs through")
            ChoiceField(bench, "cabinet.back.fixing", "The back is", BACKS, default="glued")
            Field(bench, "cabinet.back.batten", "Battens' side", hint="20 mm if it is inset")
            Field(bench, "cabinet.back.gasket", "Gasket", hint="3 mm")
            Field(bench, "cabinet.back.spacing", "Most between two screws", hint="120 mm")


# --- the outline ----------------------------------------------------------------------------------


def _outline(bench: Bench) -> None:
    points = written(bench.session.design, "cabinet.outline.points")
    if points:
        _corners(bench, points)
        return
    part = group(bench, "Shape of the front, and how it leans", "cabinet.outline", [
        ("shoulder", "Sides lean in from the height", {"hint": "the bottom"}),
        ("top_width", "Width at the top", {"hint": "as at the bottom"}),
        ("front_lean", "The front leans back by", {"hint": "0 deg"}),
        ("back_lean", "The back leans in by", {"hint": "0 deg"}),
    ])
    with part:
        Button("Give the corners instead", lambda: change(bench, by_corners(bench)),
               classes="sw-quiet").mark("outline:corners")


def by_corners(bench: Bench) -> dict[str, object]:
    """The changes that give the outline as it is now by its corners."""
    sizes = sizes_known(bench)
    corners = ((-0.2, 0.0), (0.2, 0.0), (0.2, 0.6), (-0.2, 0.6)) if sizes is None else (
        sizes.shape.corners)
    return {"cabinet.outline.points": [[f"{1e3 * x:.6g} mm", f"{1e3 * z:.6g} mm"]
                                       for x, z in corners],
            "cabinet.outline.shoulder": None, "cabinet.outline.top_width": None,
            "cabinet.width": None, "cabinet.height": None}


def _corners(bench: Bench, points: list[list[str]]) -> None:
    """The corners of an outline that is given by them; width and height follow."""
    path = "cabinet.outline.points"
    with box("sw-group"):
        Words("Corners of the front, in order", "h3")
        Words("From the bottom's middle; the outline must bulge outward everywhere. Width and "
              "height follow from it.", "p", "sw-quietly")
        for k in range(len(points)):
            with box("sw-fields"):
                Field(bench, f"{path}.{k}.0", f"Corner {k + 1}, right of the middle")
                Field(bench, f"{path}.{k}.1", f"Corner {k + 1}, above the bottom")
        with box("sw-fields"):
            Field(bench, "cabinet.outline.front_lean", "The front leans back by", hint="0 deg")
            Field(bench, "cabinet.outline.back_lean", "The back leans in by", hint="0 deg")
        with box("sw-row"):
            if len(points) > 3:
                Button("Take the last corner out", lambda: change(bench, {path: points[:-1]}),
                       classes="sw-quiet")
            Button("Give width and height instead", lambda: change(bench, by_sizes(bench)),
                   classes="sw-quiet").mark("outline:sizes")


def by_sizes(bench: Bench) -> dict[str, object]:
    """The changes that give the outline by width and height, as wide and high as it is now."""
    sizes = sizes_known(bench)
    wide, high = (0.4, 0.6) if sizes is None else (sizes.width, sizes.height)
    return {"cabinet.outline.points": None, "cabinet.width": f"{1e3 * wide:.6g} mm",
            "cabinet.height": f"{1e3 * high:.6g} mm"}


# --- chambers and places --------------------------------------------------------------------------


def _chambers(bench: Bench) -> None:
    design = bench.session.design
    section = design.decided.cabinet
    assert section is not None
    with box("sw-group"):
        Words("Chambers, from the bottom up", "h3")
        if not section.chambers:
            Words("One chamber takes the whole height." if len(rooms_of(design)) == 1
                  else "The bass's chambers share the height evenly.", "p", "sw-quietly")
        for name in section.chambers:
            path = dotted(("cabinet", "chambers", name))
            with box("sw-entry"):
                with box("sw-fields"):
                    Field(bench, f"{path}.height", f"Clear height of {name}", hint="what is left")
                    ChoiceField(bench, f"{path}.open", f"Back of {name}",
                                {"no": "closed", "yes": "open, a bay"}, default="no")
                lining(bench, f"{path}.lining", name)
                if len(section.chambers) > 1:
                    Button(f"Take {name} out", partial(
                        make, bench, partial(room_removed, name=name), "cabinet.chambers"),
                        classes="sw-quiet").mark(f"out:cabinet.chambers.{name}")
        alone = rooms_of(design)
        if not section.chambers and len(alone) == 1:
            lining(bench, dotted(("cabinet", "chambers", alone[0], "lining")), alone[0])
        _another(bench)


def _another(bench: Bench) -> None:
    """A further chamber on top, with a divider under it."""
    named = rooms_of(bench.session.design)
    with box("sw-row sw-ends"):
        name = NewName("Name of another chamber", free_name(named, "top"), "new-room")
        Button("Put it on top, with a divider under it", lambda: make(
            bench, lambda design: room_added(design, name.text, sizes_known(bench)),
            "cabinet.chambers"), classes="sw-quiet")


def _places(bench: Bench, path: str, title: str, *, mount: bool = False) -> None:
    places = written(bench.session.design, f"{path}.at") or []
    with box("sw-group"):
        Words(title, "h3")
        for k in range(len(places)):
            with box("sw-fields"):
                Field(bench, f"{path}.at.{k}.0", "From the centre line")
                Field(bench, f"{path}.at.{k}.1", "Above the bottom")
        if not places:
            Words("Not placed: it stands in the middle of its chamber.", "p", "sw-quietly")
        with box("sw-row"):
            Button("Add a place" if places else "Place it", lambda: change(bench, {
                f"{path}.at": [*places, ["0 mm", _high(bench)]]}), classes="sw-quiet")
            if places:
                Button("Take the last one out", lambda: change(bench, {
                    f"{path}.at": places[:-1] or None}), classes="sw-quiet")
        if mount:
            with box("sw-fields"):
                ChoiceField(bench, f"{path}.flush", "Set flush", {"no": "no", "yes": "yes"},
                            default="no")
                Field(bench, f"{path}.bolt_angle", "Bolts turned by", hint="0 deg")


def _high(bench: Bench) -> str:
    """Half the cabinet's height, as a place to begin with."""
    whole: chain.Workup | None = bench.whole
    if whole is None or whole.cabinet is None:
        return "150 mm"
    return f"{500.0 * whole.cabinet.settled.sizes.height:.0f} mm"


# --- braces and rods ------------------------------------------------------------------------------


def _braces(bench: Bench) -> None:
    path = "cabinet.braces"
    named = rooms_of(bench.session.design)

    def kind(k: int) -> Several:
        return Several(bench, f"{path}.{k}.kind", "Kind", KINDS, lambda word: change(
            bench, turned_into(bench, k, word), f"{path}.{k}.kind"), "shelf")

    entries(bench, "Braces", path, lambda k: brace_rows(bench.session.design, k),
            lambda n: {"chamber": named[0], "at": _place(bench, named[0], "shelf")},
            "Add a brace", first=kind,
            note="Sheets across a chamber with windows in them; two that cross are let into each "
            f"other. Chambers: {', '.join(named)}.")


def brace_rows(design: Design, k: int) -> list[Row]:
    """The fields of a brace, which follow from its kind."""
    kind = written(design, f"cabinet.braces.{k}.kind") or "shelf"
    at = {"shelf": "Its middle, above the floor", "upright": "Its middle, right of the centre line",
          "partition": "Its middle, behind the front face"}[kind]
    rows: list[Row] = [("chamber", "In chamber"), ("at", at)]
    if kind != "partition":
        rows += [("behind", "Starts behind the front face", {"hint": "at the baffle"}),
                 ("until", "Ends behind the front face", {"hint": "at the back"})]
    if kind != "shelf":
        rows += [("from_floor", "Starts above the floor", {"hint": "at the floor"}),
                 ("to_height", "Ends above the floor", {"hint": "at the ceiling"})]
    rows += [("open", "Open share", {"hint": "0.5"}), ("windows", "Windows", {"hint": "1"}),
             ("sheet", "Its own sheet", {"hint": "the cabinet's"})]
    if kind != "upright":
        rows.append(("joint", "Its own joint", {"none": "as inner panels"}))
    return rows


def turned_into(bench: Bench, k: int, kind: str) -> dict[str, object]:
    """The changes that make a brace one of another kind: its place, and what it cannot have."""
    path = f"cabinet.braces.{k}"
    room = written(bench.session.design, f"{path}.chamber") or ""
    lacks = {"shelf": ("from_floor", "to_height"), "upright": ("joint",),
             "partition": ("behind", "until")}[kind]
    return {f"{path}.kind": None if kind == "shelf" else kind,
            f"{path}.at": _place(bench, room, kind),
            **{f"{path}.{name}": None for name in lacks}}


def _place(bench: Bench, name: str, kind: str) -> str:
    """A place in the middle of a chamber, to begin with."""
    if kind == "upright":
        return "0 mm"
    sizes = sizes_known(bench)
    room = None if sizes is None else sizes.room(name)
    if sizes is None or room is None:
        return "150 mm"
    middle = 0.5 * room.height if kind == "shelf" else sizes.sheet + 0.5 * room.depth
    return f"{1e3 * middle:.0f} mm"


def _rods(bench: Bench) -> None:
    named = rooms_of(bench.session.design)

    def rows(k: int) -> list[Row]:
        along = written(bench.session.design, f"cabinet.rods.{k}.runs") == "along"
        return [("chamber", "In chamber"), ("runs", "Runs", {"default": "across"}),
                ("at.0", "Above the floor"),
                ("at.1", "Right of the centre line" if along else "Behind the front face"),
                ("diameter", "Diameter", {"hint": "25 mm"})]

    entries(bench, "Rods", "cabinet.rods", rows,
            lambda n: {"chamber": named[0], "at": [_place(bench, named[0], "shelf"), "120 mm"]},
            "Add a rod", note="Round rods between two walls: across from side to side, or along "
            "from baffle to back.")

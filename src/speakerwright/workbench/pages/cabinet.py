"""Cabinet: the thing itself, what it is built of, and whether everything fits."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from speakerwright import chain
from speakerwright.cabinet.result import CabinetResult
from speakerwright.words.blocks import Figure, Heading, Paragraph
from speakerwright.words.units import show as show_value
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import ChoiceField, Field, Turn
from speakerwright.workbench.frontplaces import height_path
from speakerwright.workbench.pages.chambers import (
    free_name,
    make,
    room_added,
    room_removed,
    rooms_of,
    sizes_known,
)
from speakerwright.workbench.pages.drawings import Drawn
from speakerwright.workbench.pages.forms import NewName, change, entries
from speakerwright.workbench.parts import (
    Button,
    Html,
    Words,
    blocks_html,
    box,
    figure_html,
    folded,
)
from speakerwright.workbench.session import written

if TYPE_CHECKING:
    from speakerwright.cabinet.sizes import Settled
    from speakerwright.workbench.frontitems import Front

JOINTS = {"butt": "butt", "rabbet": "rabbet"}
SIZES = (("width", "Width outside"), ("height", "Height outside"), ("depth", "Depth outside"))


def page(bench: Bench) -> None:
    """The cabinet in the round, its sizes, drawings and figures."""
    if bench.session.design.decided.cabinet is None:
        _begin(bench)
        return
    with box("sw-bench"):
        for name, label in SIZES:
            _size(bench, name, label)
        Turn(bench, "cabinet.sheet", "Sheet", octaves=0.6)
    state = Words("", "p", "sw-quietly sw-state").props("aria-live=polite")
    with box("sw-round"):
        Solid(bench)
        MovableFront(bench)
    _fields(bench)
    with box("sw-part sw-after"):
        _drawings(bench)

    def show() -> None:
        waiting = bench.behind or bench.whole is None or bench.whole.cabinet is None
        missing = not bench.behind and bench.whole is not None and bench.whole.cabinet is None
        state.set_text("There is no such cabinet: see what is found on the right." if missing
                       else _meanwhile(bench) if waiting else "")

    bench.watch(show)


def settled_now(bench: Bench) -> Settled | None:
    """The newest sizes: closed on the solids, or while those are awaited on stated volumes."""
    if bench.current is not None:
        return bench.current.settled
    newest = bench.whole if bench.live is None else bench.live.workup
    return None if newest is None else newest.settled


def _meanwhile(bench: Bench) -> str:
    found = settled_now(bench)
    if found is None or not found.closed:
        return "Working it out; what is shown is the one before."
    sizes = " × ".join(show_value(getattr(found.sizes, name), "length", bench.system)
                       for name, _ in SIZES)
    return f"{sizes} outside; the solid follows when the hand rests."


def _begin(bench: Bench) -> None:
    Words("No cabinet is decided yet. A box of sheet is settled on the bass's net volume: give two "
          "of width, height and depth, and the third follows.", "p")
    Button("Begin with a box", lambda: change(bench, {
        "cabinet": {"width": "220 mm", "depth": "280 mm", "sheet": "18 mm",
                    "material": "birch plywood"}}), classes="sw-strong")


def _size(bench: Bench, name: str, label: str) -> None:
    """An outside size to turn, or one that follows from the others, with what it comes to."""
    path = f"cabinet.{name}"
    if written(bench.session.design, path) is not None:
        Turn(bench, path, label, octaves=0.6)
        return
    field = Field(bench, path, label, hint="follows")

    def show() -> None:
        found = settled_now(bench)
        if found is not None and found.closed:
            told = f"follows: {show_value(getattr(found.sizes, name), 'length', bench.system)}"
            if field.input.props.get("placeholder") != told:
                field.input.props["placeholder"] = told
                field.input.update()

    bench.watch(show)


class Solid:
    """The cabinet's solids in the round."""

    def __init__(self, bench: Bench) -> None:
        from speakerwright.workbench.cabinet3d import CabinetView

        self.bench = bench
        self._seen: CabinetResult | None = None
        self.view = CabinetView("inch" if bench.system == "inch" else "mm")
        self._system = bench.system
        bench.watch(self.show)

    def show(self) -> None:
        """Show the newest cabinet."""
        from speakerwright.workbench.cabinet3d import mesh_parts

        if self._system != self.bench.system:
            self._system = self.bench.system
            self.view.set_units("inch" if self._system == "inch" else "mm")
        found = None if self.bench.whole is None else self.bench.whole.cabinet
        if found is None or found is self._seen:
            return
        self._seen = found
        self.view.show(mesh_parts(found.panels, found.bodies), collided(found))


def collided(found: CabinetResult) -> list[tuple[str, str]]:
    """The pairs that collide, each once: a driver with its inserts and its hole is one thing."""
    names = {panel.name for panel in found.panels} | {body.name for body in found.bodies}
    owners = {body.name: body.part_of for body in found.bodies if body.part_of in names}
    pairs = [(owners.get(each.a, each.a), owners.get(each.b, each.b)) for each in found.collisions]
    return list(dict.fromkeys(pairs))


class MovableFront:
    """The front, on which drivers, ports, braces and dividers are moved."""

    def __init__(self, bench: Bench) -> None:
        from speakerwright.workbench.frontview import FrontView

        self.bench, self._system = bench, bench.system
        self.view = FrontView("inch" if bench.system == "inch" else "mm")
        self.view.on_move(self._move)
        self.view.on_open(bench.go)
        bench.watch(self.show)
        Drawn(bench, self.view, lambda current: current.cabinet, _front, self._show_front, None)

    def show(self) -> None:
        """Show where everything stands now."""
        from speakerwright.workbench.frontmoves import spots_now

        if self._system != self.bench.system:
            self._system = self.bench.system
            self.view.set_units("inch" if self._system == "inch" else "mm")
        if self.view.front is not None:
            self.view.place(spots_now(self.view.front, self.bench.session.design))

    def _show_front(self, front: Front) -> None:
        from speakerwright.workbench.frontmoves import spots_now

        self.view.show(front, spots_now(front, self.bench.session.design))

    def _move(self, key: str, spot: tuple[float, float], done: bool) -> str:
        """Edit the place of one item; the end of a move is one step of undo."""
        from speakerwright.workbench.frontmoves import moved

        session, front = self.bench.session, self.view.front
        assert front is not None
        try:
            changes = moved(front, session.design, key, spot)
        except KeyError:
            return "It is not there any more."
        word = ""
        if changes and not session.edit_many(changes, f"front {key}"):
            word = f"It cannot stand there. {session.wrong.pop(f'front {key}').sentence}"
        if done:
            session.commit()
        return word


def _front(current: chain.Workup, _: str) -> Front:
    from speakerwright.workbench.frontitems import front

    assert current.cabinet is not None
    return front(current.design, current.cabinet)


def _drawings(bench: Bench) -> None:
    """Figures first; then the drawings of the cabinet that is shown."""
    tables = Html(classes="sw-blocks sw-twos")
    with folded("General drawings", opened=True, classes="sw-all"):
        general = Html(classes="sw-drawings")
    with folded("Panels, one by one", classes="sw-all"):
        panels = Html(classes="sw-drawings")

    def show(made: tuple[str, str, str]) -> None:
        for part, html in zip((tables, general, panels), made, strict=True):
            part.show(html)

    Drawn(bench, general, lambda current: current.cabinet, drawn, show)


def drawn(current: chain.Workup, system: str) -> tuple[str, str, str]:
    """Tables, general drawings and panels of a cabinet as HTML; runs in a thread."""
    from speakerwright.cabinet.chapter import chapter

    assert current.cabinet is not None
    parts: dict[str, list[Any]] = {"tables": [], "general": [], "panels": []}
    part = "tables"
    for block in chapter(current.design, current.cabinet, system).blocks:
        if isinstance(block, Heading):
            part = {"General drawings": "general", "Panels, one by one": "panels"}.get(
                block.text, "tables")
            if part != "tables":
                continue
        if not isinstance(block, Paragraph) or part == "tables":
            parts[part].append(block)
    return (blocks_html(parts["tables"], pictures=True),
            "".join(figure_html(b) for b in parts["general"] if isinstance(b, Figure)),
            "".join(figure_html(b) for b in parts["panels"] if isinstance(b, Figure)))


# --- everything decided ---------------------------------------------------------------------------


def _fields(bench: Bench) -> None:
    with folded("Everything that is decided here", opened=True, classes="sw-all"):
        with box("sw-group"):
            Words("Wood", "h3")
            with box("sw-fields"):
                Field(bench, "cabinet.material", "Material", hint="birch plywood")
                ChoiceField(bench, "cabinet.joint", "Joints", JOINTS, default="butt")
                Field(bench, "cabinet.rabbet", "Rabbet's depth", hint="6 mm")
                Field(bench, "cabinet.closes", "A free size closes the chamber",
                      hint="the only one")
        _chambers(bench)
        for job in bench.session.design.decided.drivers:
            _places(bench, f"directivity.{job}", f"Where the {job} driver stands", mount=True)
        for name, chamber in bench.session.design.decided.bass.items():
            if chamber.port is not None:
                _places(bench, f"cabinet.ports.{name}", f"Where chamber {name}'s ports stand")
        named = rooms_of(bench.session.design)
        entries(bench, "Braces", "cabinet.braces", [
            ("chamber", "In chamber"), ("at", "Height of its middle above the floor"),
            ("behind", "Starts behind the front", {"hint": "at the baffle"}),
            ("open", "Open share", {"hint": "0.5"}), ("sheet", "Its own sheet",
                                                      {"hint": "the cabinet's"}),
        ], lambda n: {"chamber": named[0], "at": _brace_height(bench, named[0])}, "Add a brace",
            note=f"Shelves across a chamber with a window in them. Chambers: {', '.join(named)}.")


def _chambers(bench: Bench) -> None:
    design = bench.session.design
    decided = design.decided.cabinet
    assert decided is not None
    with box("sw-group"):
        Words("Chambers, from the bottom up", "h3")
        if not decided.chambers:
            Words("One chamber takes the whole height." if len(rooms_of(design)) == 1
                  else "The bass's chambers share the height evenly.", "p", "sw-quietly")
        for name in decided.chambers:
            with box("sw-entry"):
                with box("sw-fields"):
                    Field(bench, height_path(name), f"Clear height of {name}",
                          hint="what is left")
                if len(decided.chambers) > 1:
                    Button(f"Take {name} out", partial(
                        make, bench, partial(room_removed, name=name), "cabinet.chambers"),
                        classes="sw-quiet").mark(f"out:cabinet.chambers.{name}")
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


def _brace_height(bench: Bench, name: str) -> str:
    """Half the height of a chamber, as a place to begin with."""
    sizes = sizes_known(bench)
    room = None if sizes is None else sizes.room(name)
    return "150 mm" if room is None else f"{500.0 * room.height:.0f} mm"


def _high(bench: Bench) -> str:
    """Half the cabinet's height, as a place to begin with."""
    whole: chain.Workup | None = bench.whole
    if whole is None or whole.cabinet is None:
        return "150 mm"
    return f"{500.0 * whole.cabinet.settled.sizes.height:.0f} mm"

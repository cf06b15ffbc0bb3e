"""Cabinet: the thing itself, what it is built of, and whether everything fits."""

from __future__ import annotations

import asyncio
from typing import Any

from nicegui import background_tasks

from speakerwright import chain
from speakerwright.cabinet.result import CabinetResult
from speakerwright.design.document import Design
from speakerwright.words.blocks import Figure, Heading, Paragraph
from speakerwright.words.units import show as show_value
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import ChoiceField, Field, Turn
from speakerwright.workbench.latest import SLOW
from speakerwright.workbench.pages.forms import change, entries
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
    state = Words("", "p", "sw-quietly").props("aria-live=polite")
    Solid(bench)
    _fields(bench)
    with box("sw-part sw-after"):
        Drawings(bench)

    def show() -> None:
        waiting = bench.behind or bench.whole is None or bench.whole.cabinet is None
        missing = not bench.behind and bench.whole is not None and bench.whole.cabinet is None
        state.set_text("There is no such cabinet: see what is found on the right." if missing
                       else "Working it out; what is shown is the one before." if waiting else "")
        state.set_visibility(waiting)

    bench.watch(show)


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
        found = None if bench.whole is None else bench.whole.settled
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
        self.view.show(mesh_parts(found.panels, found.bodies), found.collisions)


class Drawings:
    """Figures first; then the drawings, made off the event loop for the cabinet shown."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._seen: tuple[Any, ...] = ()
        self._busy = False
        self.tables = Html(classes="sw-blocks sw-twos")
        with folded("General drawings", opened=True, classes="sw-all"):
            self.general = Html(classes="sw-drawings")
        with folded("Panels, one by one", classes="sw-all"):
            self.panels = Html(classes="sw-drawings")
        bench.watch(self.show)

    def show(self) -> None:
        """Draw the newest cabinet, unless one is being drawn."""
        current = self.bench.current
        if current is None or current.cabinet is None or self._busy:
            return
        seen = (current.cabinet, self.bench.system)
        if self._seen and seen[0] is self._seen[0] and seen[1] == self._seen[1]:
            return
        self._busy = True
        background_tasks.create(self._draw(current.design, current.cabinet, self.bench.system),
                                name="drawings")

    async def _draw(self, design: Design, cabinet: CabinetResult, system: str) -> None:
        loop = asyncio.get_running_loop()
        try:
            made = await loop.run_in_executor(SLOW, drawn, design, cabinet, system)
        finally:
            self._busy = False
        self._seen = (cabinet, system)
        if self.general.is_deleted or self.bench.client.is_deleted:
            return
        with self.bench.client:
            for part, html in zip((self.tables, self.general, self.panels), made, strict=True):
                part.show(html)
            self.show()


def drawn(design: Design, cabinet: CabinetResult, system: str) -> tuple[str, str, str]:
    """Tables, general drawings and panels of a cabinet as HTML; runs in a thread."""
    from speakerwright.cabinet.chapter import chapter

    parts: dict[str, list[Any]] = {"tables": [], "general": [], "panels": []}
    part = "tables"
    for block in chapter(design, cabinet, system).blocks:
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
        chambers = ", ".join(_rooms(bench))
        entries(bench, "Braces", "cabinet.braces", [
            ("chamber", "In chamber"), ("at", "Height of its middle above the floor"),
            ("behind", "Starts behind the front", {"hint": "at the baffle"}),
            ("open", "Open share", {"hint": "0.5"}), ("sheet", "Its own sheet",
                                                      {"hint": "the cabinet's"}),
        ], lambda n: {"chamber": _rooms(bench)[0], "at": "150 mm"}, "Add a brace",
            note=f"Shelves across a chamber with a window in them. Chambers: {chambers}.")


def _rooms(bench: Bench) -> list[str]:
    decided = bench.session.design.decided
    named = list(decided.cabinet.chambers) if decided.cabinet is not None else []
    return named or list(decided.bass) or ["main"]


def _chambers(bench: Bench) -> None:
    decided = bench.session.design.decided
    assert decided.cabinet is not None
    with box("sw-group"):
        Words("Chambers, from the bottom up", "h3")
        if not decided.cabinet.chambers:
            Words("One chamber takes the whole height.", "p", "sw-quietly")
        with box("sw-fields"):
            for name in decided.cabinet.chambers:
                Field(bench, f"cabinet.chambers.{name}.height", f"Clear height of {name}",
                      hint="what is left")


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

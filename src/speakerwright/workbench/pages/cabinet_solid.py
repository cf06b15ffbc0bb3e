"""The cabinet in the round on its page, and its front, on which things are moved."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from nicegui import background_tasks

from speakerwright import chain
from speakerwright.cabinet.result import CabinetResult
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.pages.drawings import Drawn
from speakerwright.workbench.partinfo import about, overlaps
from speakerwright.workbench.parts import Html, blocks_html, box

if TYPE_CHECKING:
    from speakerwright.workbench.frontitems import Front


class Solid:
    """The cabinet's solids in the round, and under them what is known of the chosen part."""

    def __init__(self, bench: Bench) -> None:
        from speakerwright.workbench.cabinet3d import CabinetView

        self.bench = bench
        self._seen: tuple[CabinetResult, str] | None = None
        self._told: tuple[CabinetResult, str | None, str] | None = None
        with box("sw-solid-part"):
            self.view = CabinetView("inch" if bench.system == "inch" else "mm")
            self.about = Html(classes="sw-blocks sw-about").props("aria-live=polite")
            self.about.set_visibility(False)
        self.view.on_select(lambda _: self.tell())
        bench.watch(self.show)

    def show(self) -> None:
        """Show the newest cabinet."""
        from speakerwright.workbench.cabinet3d import Overlapping, mesh_parts

        found = None if self.bench.whole is None else self.bench.whole.cabinet
        system = self.bench.system
        if found is None or self._seen == (found, system):
            return
        if self._seen is None or self._seen[1] != system:
            self.view.set_units("inch" if system == "inch" else "mm")
        self._seen = found, system
        self.view.show(mesh_parts(found.panels, found.bodies),
                       [Overlapping(each.names, each.text(system)) for each in overlaps(found)])
        self.tell()

    def tell(self) -> None:
        """Say what is known of the part that is chosen; worked out in a thread."""
        if self._seen is None:
            return
        asked = (self._seen[0], self.view.chosen, self._seen[1])
        if asked != self._told:
            self._told = asked
            background_tasks.create(self._tell(*asked), name="about a part")

    async def _tell(self, found: CabinetResult, name: str | None, system: str) -> None:
        known = None if name is None else await asyncio.to_thread(about, found, name, system)
        if self.about.is_deleted or self._told != (found, name, system):
            return
        with self.bench.client:
            self.about.show("" if known is None else blocks_html([known]))
            self.about.set_visibility(known is not None)


def collided(found: CabinetResult) -> list[tuple[str, str]]:
    """The pairs that collide, each once."""
    return [each.names for each in overlaps(found)]


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

"""The frame around every page: header, stages with their verdicts, the page, findings."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import ui

from speakerwright.words.errors import DesignErrors
from speakerwright.words.stages import STAGES
from speakerwright.workbench import help as help_pages
from speakerwright.workbench import history
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.findings_panel import FindingsPanel
from speakerwright.workbench.nextstep import NextStep
from speakerwright.workbench.parts import Button, Html, Pick, Words, box, mark
from speakerwright.workbench.session import Conflict

LIGHTS = {"auto": "auto", "light": "light", "dark": "dark"}
_LIGHT = {"auto": None, "light": False, "dark": True}


class Frame:
    """Header, stages and findings of one tab; `pages` builds what stands in the middle."""

    def __init__(self, bench: Bench, pages: dict[str, Callable[[], None]]) -> None:
        self.bench = bench
        self.dark = ui.dark_mode(None)
        with box("sw"):
            skip = ui.link("To the page").classes("sw-skip")
            self._header()
            with box("sw-left"):
                self._stages()
                NextStep(bench, self.do_save)
            with box("sw-page").props("tabindex=-1") as middle:
                self.told = box("sw-told")
                ui.sub_pages(pages, show_404=False)
            skip.props["href"] = f"#{middle.html_id}"
            FindingsPanel(bench)
        self._keys()
        bench.watch(self.show, frame=True)

    # --- header -----------------------------------------------------------------------------------

    def _header(self) -> None:
        bench = self.bench
        with box("sw-header", "header"):
            with box("sw-title"):
                self.title = Words("", "h1")
                self.saved = Words("", "span", "sw-saved").props("aria-live=polite")
            with box("sw-tools"):
                self.undo = Button("Undo", self._undo, tip="Take the last edit back (Ctrl+Z)")
                self.redo = Button("Redo", self._redo, tip="Bring it back (Ctrl+Shift+Z)")
                self.save = Button("Save", self.do_save, tip="Write the changed values (Ctrl+S)",
                                   classes="sw-strong")
                Button("Versions", lambda: history.show_versions(bench),
                       tip="Keep this state under a name, or go back to one")
                self.hold = Button("Hold curves", self.do_hold,
                                   tip="Keep these curves pale behind the next ones (H)")
                self.release = Button("Release", self._release, tip="Let the held curves go")
            with box("sw-tools sw-view"):
                self.units = Pick({"metric": "mm", "inch": "inch"}, bench.system, self._units,
                                  "Units shown")
                Pick(LIGHTS, "auto", self._light, "Light or dark")
                Button("Help", self._help, tip="What this page asks, and the keys")

    def show(self) -> None:
        """Show where the session stands."""
        session = self.bench.session
        self.title.set_text(session.design.decided.plan.title)
        changed = len(session.changes)
        words = "saved" if not session.unsaved else (
            "1 value not saved" if changed == 1 else f"{changed} values not saved")
        self.saved.set_text(words)
        self.undo.enable(bool(session.done))
        self.redo.enable(bool(session.undone))
        self.save.enable(session.unsaved)
        self.release.enable(bool(session.held))
        self._show_stages()

    def _undo(self) -> None:
        self.bench.session.undo()

    def _redo(self) -> None:
        self.bench.session.redo()

    def do_save(self) -> None:
        """Save, or tell the conflict with what can be done about it."""
        try:
            self.bench.session.save()
        except Conflict as conflict:
            history.tell_conflict(self.bench, conflict)
        except DesignErrors as error:
            self.bench.say(str(error))

    def do_hold(self) -> None:
        """Hold the curves as they are."""
        bench = self.bench
        if bench.live is None:
            return
        bench.session.hold(held_name(bench), bench.live)

    def _release(self) -> None:
        for name in list(self.bench.session.held):
            self.bench.session.release(name)

    def _units(self, system: str) -> None:
        self.bench.system = system
        self.bench.refresh()

    def _light(self, word: str) -> None:
        self.dark.value = _LIGHT[word]

    def _help(self) -> None:
        stage = next((s for s in STAGES if s.name == self.bench.page), None)
        help_pages.show_help(stage)

    # --- stages -----------------------------------------------------------------------------------

    def _stages(self) -> None:
        self.marks: dict[str, Html] = {}
        self.links: dict[str, ui.link] = {}
        with box("sw-stages", "nav").props("aria-label=Stages"):
            for stage in STAGES:
                if not stage.built:
                    continue
                with ui.link(target=f"/{stage.name}").classes("sw-stage") as link:
                    link.props["title"] = stage.question
                    Words(stage.name.capitalize(), "span", "sw-name")
                    self.marks[stage.name] = Html("", tag="span")
                self.links[stage.name] = link

    def _show_stages(self) -> None:
        bench = self.bench
        for name, shown in self.marks.items():
            empty = name not in ("plan",) and not bench.decides(name)
            shown.show('<span class="sw-mark sw-working">not begun</span>' if empty
                       else mark(bench.verdict(name)))
            link, here = self.links[name], name == bench.page
            if here != ("aria-current" in link.props):
                if here:
                    link.props["aria-current"] = "page"
                else:
                    del link.props["aria-current"]
                link.update()

    # --- keys -------------------------------------------------------------------------------------

    def _keys(self) -> None:
        acts: dict[str, Callable[[], None]] = {
            "undo": self._undo, "redo": self._redo, "save": self.do_save, "hold": self.do_hold,
        }
        ui.on("sw-key", lambda event: acts[str(event.args)]() if event.args in acts else None)


def held_name(bench: Bench) -> str:
    """What the next held curve is called: a number of its own."""
    return str(max(map(int, bench.session.held), default=0) + 1)

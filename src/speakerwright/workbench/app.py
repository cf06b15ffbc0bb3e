"""The workbench's server: one folder, one port, this machine only."""

from __future__ import annotations

import os
import socket
import sys
from collections.abc import Callable
from functools import partial
from importlib import import_module
from pathlib import Path

from nicegui import Client, app, run, ui

from speakerwright.design.file import DESIGN, read_project
from speakerwright.words.errors import DesignErrors, refuse
from speakerwright.workbench import history, start
from speakerwright.workbench.bench import Bench, Workshop
from speakerwright.workbench.frame import Frame
from speakerwright.workbench.pages import PAGES, plan
from speakerwright.workbench.parts import Button, Words, box
from speakerwright.workbench.security import HOST, OnlyHere, log_to
from speakerwright.workbench.session import Session

STATIC = Path(__file__).parent / "static"
RECONNECT = 20.0
"""How long a page that lost its connection is waited for, s: a rule of thumb."""


def serve(folder: Path, port: int = 8080, *, show: bool = True) -> None:
    """Serve a folder's workbench on this machine until it is interrupted.

    Parameters
    ----------
    folder : Path
        A project folder, or one to begin a project in.
    port : int
        1024 to 65535.
    show : bool
        Whether to open the browser.

    Raises
    ------
    DesignErrors
        When the folder is none, or the port is taken.
    """
    folder = _folder(folder)
    _free(port)
    log = log_to(folder)
    run.process_pool_start_method = "spawn"
    sys.setswitchinterval(1e-3)
    app.add_middleware(OnlyHere, port=port)
    mount()
    print(f"The workbench for {folder} is at http://{HOST}:{port} (Ctrl+C ends it). Log: {log}",
          flush=True)
    ui.run(
        root(folder), host=HOST, port=port, title="Speakerwright", dark=None, language="en-US",
        reload=False, reconnect_timeout=RECONNECT, show=show, show_welcome_message=False,
        gzip_middleware_factory=None, tailwind=False,
        favicon=STATIC / "mark.svg", access_log=False,
    )


def mount() -> None:
    """Make the style sheet, the one typeface, the plans made and every view's scripts available.

    A page that is open learns of no further script: the views are known before the first one.
    """
    import font_source_sans_pro as fonts

    for view in ("charts", "cabinet3d", "frontview"):
        import_module(f"speakerwright.workbench.{view}")

    plan.route()
    app.add_static_files("/look", STATIC)
    app.add_static_files("/letters", Path(fonts.font_files_otf["SourceSansPro"]).parent)


def root(folder: Path) -> Callable[[], None]:
    """What builds a tab's pages for a folder."""
    return partial(tab, Workshop(folder))


def tab(shop: Workshop) -> None:
    """Build one tab: the project, what is wrong with its files, or where to begin."""
    client = ui.context.client
    _look()
    client.on_exception(partial(_fault, client))
    if not (shop.folder / DESIGN).exists():
        start.page(shop.folder)
        return
    try:
        project = read_project(shop.folder)
    except DesignErrors as errors:
        _unreadable(errors)
        return
    bench = Bench(shop, Session(project), client)
    pages = {f"/{name}": _page(bench, name, build) for name, build in PAGES.items()}
    frame = Frame(bench, {"/": lambda: ui.navigate.to("/brief"), **pages})
    bench.start()
    client.on_connect(lambda: _connected(bench, frame))
    client.on_delete(bench.close)
    ui.timer(4.0, lambda: _look_at_files(bench, frame))


def _page(bench: Bench, name: str, build: Callable[[Bench], None]) -> Callable[[], None]:
    def made() -> None:
        from speakerwright.workbench.changes import outline

        def whole() -> None:
            bench.new_page(name)
            build(bench)
            bench.watch(again)

        def again() -> None:
            design = bench.session.design
            now = outline([design.raw, dict(design.raw_records)])
            if now != seen["outline"]:
                seen["outline"] = now
                with part.clear():
                    whole()
                ui.run_javascript("swAgain()")

        part = box("sw-content")
        design = bench.session.design
        seen = {"outline": outline([design.raw, dict(design.raw_records)])}
        with part:
            whole()
        bench.tell()
        bench.arrive()

    return made


def _connected(bench: Bench, frame: Frame) -> None:
    """Once the browser is there: carry on with what this tab had not saved, offer what others left.
    """
    name = bench.client.tab_id
    if bench.session.name or not name:
        return
    left = bench.name_tab(name)
    if left is not None:
        try:
            bench.session.recover(left.changes)
            bench.say("Carried on with the edits that were not saved yet.")
        except DesignErrors as error:
            bench.say(f"The edits that were not saved do not fit any more. {error}")
    history.offer_left(bench, frame.told)


def _fault(client: Client, error: Exception) -> None:
    """Say that a click or a key met a fault, which would else pass in silence; it is logged."""
    with client:
        ui.notify(f"Speakerwright met a fault of its own ({type(error).__name__}); what was asked "
                  "was not done. The log in .work/workbench.log says more.", position="bottom",
                  timeout=12000, classes="sw-notice")


def _look_at_files(bench: Bench, frame: Frame) -> None:
    """Say once when somebody else changed a file."""
    moved = bench.session.moved()
    if moved == getattr(frame, "moved", ()):
        return
    frame.moved = moved  # type: ignore[attr-defined]
    if not moved:
        return
    with frame.told, box("sw-notice-bar") as bar:
        Words(f"Changed by someone else: {', '.join(moved)}.", "p")
        with box("sw-row"):
            Button("Read again, with my edits laid over", lambda: history.tried(
                bench, lambda: bench.session.reload(keep=True), bar.delete))
            Button("Not now", bar.delete, classes="sw-quiet")


def _unreadable(errors: DesignErrors) -> None:
    with box("sw-alone"):
        Words("This design cannot be read yet", "h1")
        Words("Mend these in a text editor, then read it again. Nothing was changed.", "p")
        with box("", "ul"):
            for error in errors.errors:
                with box("", "li"):
                    Words(error.where, "strong")
                    Words(f" {error.says[:1].upper()}{error.says[1:]} {error.try_this}", "span")
        Button("Read it again", lambda: ui.navigate.reload(), classes="sw-strong")


def _look() -> None:
    ui.add_head_html('<link rel="stylesheet" href="/look/look.css">'
                     '<link rel="stylesheet" href="/look/requests.css">')
    ui.add_body_html('<script src="/look/keys.js"></script>')


def _folder(folder: Path) -> Path:
    folder = folder.parent if folder.name == DESIGN and folder.is_file() else folder
    try:
        folder = folder.resolve()
        if folder.is_dir():
            return folder
        if not folder.exists() and folder.parent.is_dir():
            folder.mkdir()
            return folder
    except (OSError, ValueError):
        pass
    raise refuse(str(folder), "it is no folder, and none can be made there.", "Check the path.")


def _free(port: int) -> None:
    if not 1024 <= port <= 65535:
        raise refuse("--port", f"there is no port {port} for this.", "Give one from 1024 to 65535.")
    with socket.socket() as trial:
        if os.name == "posix":
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((HOST, port))
        except OSError:
            raise refuse("--port", f"port {port} is taken, perhaps by another workbench.",
                         f"Give another, like --port {port + 1 if port < 65535 else 8080}."
                         ) from None



"""Dialogs about what was and what else is: versions, a conflict, edits left behind."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import ui

from speakerwright.words.errors import DesignErrors
from speakerwright.workbench import recovery, versions
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.parts import Button, Words, box
from speakerwright.workbench.session import Conflict


def dialog(title: str) -> tuple[ui.dialog, ui.element]:
    """An open dialog under a title, and the box for what it holds."""
    held = ui.dialog(value=True)
    held.props["aria-label"] = title
    held.on("hide", lambda: held.delete())
    with held, box("sw-dialog") as inside:
        Words(title, "h2")
    return held, inside


def tried(bench: Bench, act: Callable[[], object], *after: Callable[[], object]) -> None:
    """Do something that the files may refuse; a refusal is told, else all of `after` follow."""
    try:
        act()
    except DesignErrors as error:
        bench.say(str(error))
        return
    for then in after:
        then()


def show_versions(bench: Bench) -> None:
    """Keep this state under a name, or go back to one."""
    held, inside = dialog("Versions")
    with inside:
        Words("A version keeps the design and its records as they stand now, saved or not. Going "
              "back to one is an edit that can be undone.", "p", "sw-quietly")
        name = ui.input().props("dense borderless hide-bottom-space").classes("sw-line")
        name.props["aria-label"] = "Name of the version"
        name.props["placeholder"] = "Name, like: larger box"
        name.mark("version-name")
        with box("sw-row"):
            Button("Keep this state", lambda: tried(
                bench, lambda: bench.session.keep_version((name.value or "").strip()),
                held.close, lambda: bench.say(f"Kept as '{name.value}'.")),
                classes="sw-strong")
            Button("Close", held.close, classes="sw-quiet")
        every = bench.session.versions
        if not every:
            Words("There is none yet.", "p", "sw-quietly")
        for version in every:
            with box("sw-row sw-line"):
                Words(version.name, "span", "sw-grow")
                Words(f"{version.made:%Y-%m-%d %H:%M}", "span", "sw-quietly")
                Button("Go back to it", lambda v=version: tried(  # type: ignore[misc]
                    bench, lambda: bench.session.restore(v.name), held.close), classes="sw-quiet")


def tell_conflict(bench: Bench, conflict: Conflict) -> None:
    """Tell that files changed underneath, and offer what can be done."""
    held, inside = dialog("Not saved: the files have changed")
    with inside:
        for error in conflict.errors:
            Words(str(error), "p")
        Words("Your edits are still here. Nothing was overwritten.", "p", "sw-quietly")
        with box("sw-column"):
            Button("Read the files again and lay my edits over them", lambda: tried(
                bench, lambda: bench.session.reload(keep=True),
                held.close, lambda: bench.say("Read again. Look at it, then save.")),
                classes="sw-strong")
            Button("Read the files again without my edits", lambda: tried(
                bench, lambda: told(bench), held.close),
                tip="Your edits are kept as a version")
            Button("Keep my edits as a version", lambda: tried(
                bench, lambda: bench.session.keep_version(
                    versions.free_name(bench.shop.folder, "not saved")),
                held.close, lambda: bench.say("Kept. It is under Versions.")))
            Button("Leave it for now", held.close, classes="sw-quiet")


def told(bench: Bench) -> None:
    """Read the files again without the edits, and say where they are kept."""
    name = bench.session.reload()
    if name:
        bench.say(f"Your edits are kept as the version '{name}'.")


def offer_left(bench: Bench, place: ui.element) -> None:
    """Offer the edits that earlier tabs left without saving."""
    for left in recovery.left(bench.shop.folder, bench.shop.tabs):
        with place, box("sw-notice-bar") as bar:
            count = len(left.changes)
            Words(f"{count} edit{'s' if count > 1 else ''} from {left.when:%Y-%m-%d %H:%M} "
                  f"{'were' if count > 1 else 'was'} never saved: "
                  f"{', '.join(list(left.changes)[:4])}{' and more' if count > 4 else ''}.", "p")
            with box("sw-row"):
                Button("Take them up", lambda one=left, b=bar: tried(  # type: ignore[misc]
                    bench, lambda: bench.session.recover(one.changes),
                    lambda: recovery.forget(bench.shop.folder, one.name), b.delete))
                Button("Throw them away", lambda one=left, b=bar: tried(  # type: ignore[misc]
                    bench, lambda: recovery.forget(bench.shop.folder, one.name), b.delete),
                    classes="sw-quiet")

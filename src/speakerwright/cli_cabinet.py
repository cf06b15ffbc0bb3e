"""The cabinet's commands: shown without a name, as any other stage, and what is asked for."""

from __future__ import annotations

from typing import Annotated

import typer

from speakerwright.cli_base import (
    HERE,
    AsJson,
    Folder,
    Inches,
    Showing,
    folder_of,
    show_stage,
    worked,
)
from speakerwright.cli_walls import add_wall_commands

cabinet_app = typer.Typer(cls=Showing, rich_markup_mode=None, pretty_exceptions_enable=False,
                          help="The box: sizes, volumes, depth, what collides; walls and air.")


@cabinet_app.command("show")
def cabinet(folder: Folder = HERE, as_json: AsJson = False, inch: Inches = False) -> None:
    """The box: sizes, volumes, depth, what collides; the word "show" may be left out."""
    show_stage("cabinet", folder, as_json, inch)


@cabinet_app.command("air")
def air(
    folder: Folder = HERE,
    chamber: Annotated[str, typer.Option(help="Which chamber.", show_default="the first")] = "",
    inch: Inches = False,
) -> None:
    """How the air inside rings, with and without braces and lining; kept once worked out.

    Status 1 when a mode is heard in the band that the chamber plays.
    """
    from speakerwright.chain import air as inside
    from speakerwright.chain.requests import run
    from speakerwright.chain.store import Store
    from speakerwright.terminal import print_chapter, progress
    from speakerwright.words.errors import refuse

    workup, system = worked(folder, inch, last="cabinet")
    rooms = inside.air_rooms(workup.design)
    if not (chamber or rooms):
        raise refuse("cabinet", "no chamber of it is loaded by a driver.",
                     "Add [cabinet] and [bass.main].")
    request = inside.air_request(workup.design, chamber or rooms[0])
    with progress("Working the cabinet out.") as tell:
        outcome = run(request, Store(folder_of(folder)), tell)
    chapter, findings = inside.air_chapter(workup, outcome, system)
    print_chapter(chapter, findings, system)
    raise typer.Exit(1 if any(finding.stops for finding in findings) else 0)


add_wall_commands(cabinet_app)

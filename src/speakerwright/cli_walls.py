"""The walls and braces of a cabinet on the command line: two commands for the cabinet's group."""

from __future__ import annotations

from typing import Annotated

import typer

from speakerwright.cli_base import HERE, Folder, Inches, folder_of, worked

MOST = 4


def add_wall_commands(group: typer.Typer) -> None:
    """Put `panels` and `brace` into the cabinet's group of commands."""
    group.command("panels")(panels)
    group.command("brace")(brace)


def panels(folder: Folder = HERE, inch: Inches = False) -> None:
    """How quiet the walls are, field by field, and what every brace buys; kept once worked out.

    Status 1 when a wall is loud.
    """
    from speakerwright.chain import panels as walls
    from speakerwright.chain.requests import run
    from speakerwright.chain.store import Store
    from speakerwright.terminal import print_chapter, progress

    workup, system = worked(folder, inch, last="cabinet")
    with progress("Working the cabinet out.") as tell:
        outcome = run(walls.panels_request(workup.design), Store(folder_of(folder)), tell)
    findings = walls.panel_findings(workup, outcome)
    print_chapter(walls.panels_chapter(workup, outcome, system), findings, system)
    raise typer.Exit(1 if any(finding.stops for finding in findings) else 0)


def brace(
    folder: Folder = HERE,
    chamber: Annotated[str, typer.Option(help="Which chamber.", show_default="the first")] = "",
    kind: Annotated[str, typer.Option(help="shelf or upright.", show_default="both")] = "",
    count: Annotated[int | None, typer.Option(
        min=1, max=MOST, help="How many braces.", show_default="one, two and three")] = None,
    inch: Inches = False,
) -> None:
    """Where braces would stand so that no two fields ring together; writes nothing."""
    from speakerwright.chain import panels as walls
    from speakerwright.terminal import print_chapter
    from speakerwright.words.errors import refuse

    kinds = (kind,) if kind else walls.KINDS
    if not set(kinds) <= set(walls.KINDS):
        raise refuse("brace", f"there are no proposals of kind '{kind}'.",
                     f"Known: {', '.join(walls.KINDS)}.")
    workup, system = worked(folder, inch, last="cabinet")
    found = walls.offers(workup, chamber, kinds, (1, 2, 3) if count is None else (count,))
    print_chapter(walls.offers_chapter(found, chamber, system), (), system)

"""What all commands share: their arguments, and how a stage of a folder is worked out and shown."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

Folder = Annotated[Path, typer.Argument(help="The project folder.", show_default="here")]
AsJson = Annotated[bool, typer.Option("--json", help="Print figures for machines.")]
Inches = Annotated[bool, typer.Option("--inch", help="Show inches, whatever the plan says.")]
HERE = Path()


class Showing(TyperGroup):
    """A stage's commands; without the name of one it is shown, as any other stage."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Put `show` before what names no command."""
        if args[:1] not in (["--help"], *([name] for name in self.commands)):
            args = ["show", *args]
        return super().parse_args(ctx, args)


def folder_of(folder: Path) -> Path:
    """The project's folder, of it or of its design file."""
    return folder.parent if folder.name == "design.toml" and not folder.is_dir() else folder


def worked(folder: Path, inch: bool, last: str = "cutting") -> tuple[Any, str]:
    """A folder's design worked out up to a stage, and the system of units it is shown in."""
    from speakerwright import chain
    from speakerwright.design.file import read_project
    from speakerwright.plan.stage import system_of

    project = read_project(folder)
    system = "inch" if inch else system_of(project.design)
    return chain.work(project.design, last=last), system


def show_stage(name: str, folder: Path, as_json: bool, inch: bool) -> None:
    """Print one stage and leave: status 1 when something of it stops the plan."""
    from speakerwright import chain
    from speakerwright.words.errors import refuse

    workup, system = worked(folder, inch, last=name)  # what comes later is not waited for
    if as_json:
        from speakerwright.report import stage_json

        print(stage_json(workup, name))
    else:
        from speakerwright.terminal import print_chapter

        found = chain.chapters(workup, system)
        if name not in found:
            raise refuse(name, f"the design decides nothing about {name}, or its sizes do not "
                         "settle.", f"Add [{name}], or see 'speakerwright check'.")
        print_chapter(found[name], workup.findings[name], system)
    raise typer.Exit(1 if any(f.stops for f in workup.findings[name]) else 0)

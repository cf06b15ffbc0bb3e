"""The command line: reads a project folder, works it out, and says what was found."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from speakerwright import __version__
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
from speakerwright.cli_cabinet import cabinet_app
from speakerwright.words.errors import DesignErrors

app = typer.Typer(
    add_completion=False, no_args_is_help=True, rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="From a brief to a published build plan, for independent loudspeaker makers.",
)

def _version(wanted: bool) -> None:
    if wanted:
        from speakerwright.report import about

        print(about())
        raise typer.Exit


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True,
                           help="Say what a bug report needs.")
    ] = False,
) -> None:
    """From a brief to a published build plan, for independent loudspeaker makers."""


@app.command()
def new(folder: Annotated[Path, typer.Argument(help="A folder to make.")]) -> None:
    """Make a project folder with a closed box to start from."""
    from speakerwright.design.starter import start

    start(folder)
    print(f"Made {folder / 'design.toml'}. Next: speakerwright check {folder}")


@app.command()
def check(folder: Folder = HERE, as_json: AsJson = False, inch: Inches = False,
          every: Annotated[bool, typer.Option("--all", help="Also what simply holds.")] = False
          ) -> None:
    """Work the design out and list what was found; status 1 when something fails."""
    workup, system = worked(folder, inch)
    if as_json:
        from speakerwright.report import findings_json

        print(findings_json(workup))
    else:
        from speakerwright.terminal import print_findings

        print_findings(workup, system, every=every)
    raise typer.Exit(1 if workup.stops else 0)


@app.command()
def brief(folder: Folder = HERE, as_json: AsJson = False, inch: Inches = False) -> None:
    """What it must do: level and drive at every seat."""
    show_stage("brief", folder, as_json, inch)


@app.command()
def drivers(folder: Folder = HERE, as_json: AsJson = False, inch: Inches = False) -> None:
    """The drive units: figures, agreement, throats."""
    show_stage("drivers", folder, as_json, inch)


bass_app = typer.Typer(cls=Showing, rich_markup_mode=None, pretty_exceptions_enable=False,
                       help="The box: tuning, port, response, limits; or a search for one.")
app.add_typer(bass_app, name="bass")
app.add_typer(cabinet_app, name="cabinet")


@bass_app.command("show")
def bass(folder: Folder = HERE, as_json: AsJson = False, inch: Inches = False) -> None:
    """The box: tuning, port, response, limits; the word "show" may be left out."""
    show_stage("bass", folder, as_json, inch)


@bass_app.command("search")
def bass_search(
    folder: Folder = HERE,
    chamber: Annotated[str, typer.Option(help="Which chamber.", show_default="the first")] = "",
    records: Annotated[str, typer.Option(help="Driver records, with commas.",
                                         show_default="all")] = "",
    loadings: Annotated[str, typer.Option(help="Loadings, with commas.",
                                          show_default="all that are searched")] = "",
    workers: Annotated[int | None, typer.Option(min=1, help="Processes.",
                                                show_default="one for each core")] = None,
    cluster: Annotated[str | None, typer.Option(help="A cluster, like tcp://host:8786.")] = None,
    csv: Annotated[Path | None, typer.Option(help="Write the front into this file.")] = None,
    top: Annotated[int, typer.Option(min=1, help="How many to show.")] = 20,
    as_json: AsJson = False, inch: Inches = False,
) -> None:
    """Search records, loadings, volumes, tunings and ports for the best against the brief.

    Ctrl-C stops it; the same command goes on from there.
    """
    from speakerwright.chain import search
    from speakerwright.chain.requests import run
    from speakerwright.chain.store import Store
    from speakerwright.design.file import read_project
    from speakerwright.terminal import print_chapter, progress

    project = read_project(folder)
    request = search.search_request(
        project.design, chamber or search.first_chamber(project.design),
        search.asked_for(records, loadings), folder=project.folder,
        workers=workers or search.cores(), cluster=cluster)
    with progress("Looking at the design.") as tell:
        outcome = run(request, Store(project.folder), tell)
    if csv is not None:
        _write_text(csv, search.csv_of(outcome))
    if as_json:
        print(search.json_of(outcome))
    else:
        print_chapter(*search.shown(project.design, outcome, top, inch=inch))


Chamber = Annotated[str, typer.Option(help="Which chamber.", show_default="the first")]


@bass_app.command("align")
def bass_align(folder: Folder = HERE, chamber: Chamber = "", inch: Inches = False) -> None:
    """The named alignments for a chamber's drivers: volume, tuning and filter of each."""
    from speakerwright.bass.chapter import alignments_chapter
    from speakerwright.chain.loud import chamber_of
    from speakerwright.terminal import print_chapter

    workup, system = worked(folder, inch, last="bass")
    print_chapter(alignments_chapter(chamber_of(workup, chamber), system), (), system)


@bass_app.command("ports")
def bass_ports(
    folder: Folder = HERE, chamber: Chamber = "",
    tube_price: Annotated[list[str] | None, typer.Option(
        help='What a metre of tube costs, like "100 mm = 9.5"; again for another bore.')] = None,
    csv: Annotated[Path | None, typer.Option(help="Write all that were tried into this file.")]
    = None,
    inch: Inches = False,
) -> None:
    """Which tubes and slots give the tuning and fit the box, and which would be best."""
    from speakerwright.bass import portfit, ports_shown
    from speakerwright.chain.flow import need_of
    from speakerwright.chain.loud import chamber_of
    from speakerwright.terminal import print_chapter

    workup, system = worked(folder, inch, last="bass")
    design, there = workup.design, chamber_of(workup, chamber)
    name = there.inputs.name
    found = portfit.proposals(there, need_of(design, workup.brief, name), system=system,
                              prices=ports_shown.prices_of(design, tube_price or ()))
    if csv is not None:
        _write_text(csv, ports_shown.csv_text(found))
    tuning = None if there.port is None else there.port.tuning
    print_chapter(ports_shown.chapter(found, name, tuning, system,
                                      design.decided.plan.currency), (), system)


@bass_app.command("loud")
def bass_loud(
    folder: Folder = HERE, chamber: Chamber = "",
    volts: Annotated[float | None, typer.Option(
        min=0.01, max=1000.0, help="Rms voltage of the harmonics, in the pass band.",
        show_default="what the brief's peak asks")] = None,
    inch: Inches = False,
) -> None:
    """How loud for a moment and for long, what heat and turbulence cost, and the harmonics."""
    from speakerwright.chain import loud
    from speakerwright.chain.requests import run
    from speakerwright.chain.store import Store
    from speakerwright.terminal import print_chapter, progress

    workup, system = worked(folder, inch, last="bass")
    found = loud.chamber_of(workup, chamber)
    name, outcome = found.inputs.name, None
    if found.inputs.chamber.loading in loud.IN_TIME:
        request = loud.distortion_request(
            workup.design, name, volts or loud.asked_volts(workup, name))
        with progress("Working the bass out.") as tell:
            outcome = run(request, Store(folder_of(folder)), tell)
    print_chapter(loud.shown(workup, name, outcome, system), (), system)


@app.command()
def cutting(
    folder: Folder = HERE, as_json: AsJson = False, inch: Inches = False,
    out: Annotated[Path | None, typer.Option(help="Write the cut files into this folder.")] = None,
) -> None:
    """Cut list, sheets, waste and cost; with --out the files that cut them."""
    if out is not None:
        _write_cut_files(folder, out)
    show_stage("cutting", folder, as_json, inch)


@app.command()
def plan(
    folder: Folder = HERE,
    out: Annotated[Path | None, typer.Option(help="Where to write the PDF.")] = None,
    draft: Annotated[bool, typer.Option(help="Print although something fails.")] = False,
) -> None:
    """Write the plan as a PDF; refused while a finding fails without a recorded reason."""
    from speakerwright import chain
    from speakerwright.design.file import write_bytes
    from speakerwright.terminal import print_stops, progress

    workup, system = worked(folder, inch=False)
    if workup.stops and not draft:
        print_stops(workup, system)
        raise typer.Exit(1)
    target = out if out is not None else folder_of(folder) / "out" / "plan.pdf"
    _make_folder(target.parent)
    with progress("Making the plan.") as tell:
        data = chain.plan_pdf(workup, tell)
    write_bytes(target, data)
    print(f"Wrote {target}")


# a value may start with a minus sign, which is no option
@app.command()
def workbench(
    folder: Folder = HERE,
    port: Annotated[int, typer.Option(help="The port on this machine.")] = 8080,
    show: Annotated[bool, typer.Option(help="Open the browser.")] = True,
) -> None:
    """The same design, live in the browser, on this machine only."""
    from speakerwright.workbench.app import serve

    serve(folder, port, show=show)


@app.command(name="set", context_settings={"ignore_unknown_options": True})
def set_value(
    path: Annotated[str, typer.Argument(help="Where, like bass.main.volume.")],
    value: Annotated[str, typer.Argument(help='What, like "60 L".')],
    folder: Folder = HERE,
) -> None:
    """Change one value in the design file or a record; every other byte stays."""
    from speakerwright.design.file import read_project, save
    from speakerwright.design.patch import from_text

    project = read_project(folder)
    changed = project.design.with_value(path, from_text(value, project.design.marker(path)))
    save(project, changed)
    print(f"{path} = {value}")


@app.command()
def accept(
    name: Annotated[str, typer.Argument(help='The finding, like "port_gap at bass.main.port".')],
    reason: Annotated[str, typer.Option(help="Why it may stand.")],
    folder: Folder = HERE,
) -> None:
    """Record a reason to publish over a failing finding; it lapses when the value gets worse."""
    from speakerwright import chain
    from speakerwright.design.file import read_project, save
    from speakerwright.words.errors import refuse

    project = read_project(folder)
    found = {f.name: f for f in chain.work(project.design).all_findings if f.stops}
    if name not in found:
        known = "; ".join(sorted(found)) or "none fails"
        raise refuse("accept", f"no failing finding is called '{name}'.", f"Failing: {known}.")
    value = found[name].value
    save(project, project.design.accept(name, reason, 0.0 if value is None else value))
    print(f"Recorded for {name}: {reason}")


@app.command()
def rule(word: Annotated[str, typer.Argument(help="A rule's word, like port_gap.")]) -> None:
    """Explain one rule."""
    from speakerwright.design.values import nearest
    from speakerwright.words.errors import refuse
    from speakerwright.words.rules import RULES

    if word not in RULES:
        near = nearest(word, list(RULES))
        hint = f"Did you mean '{near}'?" if near else f"Known: {', '.join(RULES)}."
        raise refuse("rule", f"there is no rule '{word}'.", hint)
    found = RULES[word]
    print(f"{found.word} ({found.stage})\n{found.asks}\n{found.why}")


def _write_cut_files(folder: Path, out: Path) -> None:
    from speakerwright import chain
    from speakerwright.design.file import write_bytes
    from speakerwright.words.errors import refuse

    workup, _ = worked(folder, inch=False)
    if workup.stops:
        raise refuse("cutting", "something fails, so no cut files are written.",
                     "See 'speakerwright check', or record a reason with 'accept'.")
    for name, data in chain.cut_files(workup).items():
        target = out / name
        _make_folder(target.parent)
        write_bytes(target, data)
    print(f"Wrote the cut files into {out}")


def _write_text(target: Path, text: str) -> None:
    from speakerwright.design.file import write_bytes

    _make_folder(target.parent)
    write_bytes(target, text.encode("utf-8"))
    print(f"Wrote {target}", file=sys.stderr)


def _make_folder(folder: Path) -> None:
    from speakerwright.design.file import shortened
    from speakerwright.words.errors import refuse

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no path can hold this"
        says = f"the folder cannot be made: {reason.lower()}."
        raise refuse(shortened(folder), says, "Nothing was written.") from None


def main() -> None:
    """Run the command line; a design that cannot be read ends with status 2 and plain sentences."""
    for stream in (sys.stdout, sys.stderr):  # a terminal that lacks a character gets another
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        app()
    except DesignErrors as error:
        for one in error.errors:
            print(one, file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.exit(0)
    except SystemExit as left:
        if left.code == 130:  # interrupted, which typer takes for a quiet end
            print("Stopped.", file=sys.stderr)
        raise
    except KeyboardInterrupt:  # before typer was at it
        print("Stopped.", file=sys.stderr)
        sys.exit(130)
    except Exception as error:
        if os.environ.get("SPEAKERWRIGHT_TRACE"):
            raise
        print(_own_fault(error), file=sys.stderr)
        sys.exit(3)


def _own_fault(error: Exception) -> str:
    """What is said of an error that nobody foresaw: it is the program's, not the design's."""
    import traceback

    last = traceback.extract_tb(error.__traceback__)[-1]
    return (
        f"Speakerwright met a fault of its own ({type(error).__name__} in "
        f"{Path(last.filename).name}, line {last.lineno}); the design may be fine.\n"
        "Set SPEAKERWRIGHT_TRACE=1 to see where, and report it with 'speakerwright --version'."
    )


if __name__ == "__main__":
    main()

__all__ = ["__version__", "app", "main"]

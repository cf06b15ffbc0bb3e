"""The first page in an empty folder: three questions, and a closed box worked out from them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from nicegui import ui

from speakerwright.design import starter
from speakerwright.design.file import read_project, save
from speakerwright.design.patch import from_text
from speakerwright.words.errors import DesignErrors
from speakerwright.workbench.parts import Button, Words, box

FIELDS = (
    ("plan.title", "What is it called?", "My first design", "title"),
    ("brief.use", "What is it for, where does it stand, who listens?",
     "Music in a living room, two cabinets against the wall.", "use"),
    ("brief.level.average", "How loud on average at the farthest seat?", "79 dB", "level"),
    ("brief.seats.farthest", "How far is the farthest seat?", "3 m", "far"),
    ("brief.lowest", "How low must it go?", "60 Hz", "low"),
)
FIGURES = (
    ("name", "Name", "My woofer"), ("datasheet.re", "Re", "5.8 ohm"),
    ("datasheet.fs", "fs", "40 Hz"), ("datasheet.qms", "Qms", "4.2"),
    ("datasheet.qes", "Qes", "0.47"), ("datasheet.vas", "Vas", "26 L"),
    ("datasheet.sd", "Sd", "137 cm^2"), ("datasheet.xmax", "xmax, one way", "5.5 mm"),
    ("datasheet.power", "Power, long term", "60 W"),
)
RECORD = "records.my-woofer"


def page(folder: Path) -> None:
    """Ask what it is for, which woofer, how loud and how far; then make the project."""
    answers: dict[str, ui.input] = {}
    with box("sw-alone sw-start"):
        Words("Begin a design here", "h1")
        Words(f"The folder {folder.name or folder} holds no design yet. Three questions make a "
              "closed box, worked out at once; everything can be changed afterwards.", "p")
        with box("sw-ask", "section"):
            Words("1. What for", "h2")
            _ask(answers, FIELDS[:2])
        with box("sw-ask", "section"):
            Words("2. Which woofer", "h2")
            Words("Type the datasheet's figures over these of an invented one, or leave them.",
                  "p", "sw-quietly")
            with box("sw-fields"):
                _ask(answers, [(f"{RECORD}.{path}", label, text, path) for path, label, text
                               in FIGURES])
        with box("sw-ask", "section"):
            Words("3. How loud, how far, how low", "h2")
            with box("sw-fields"):
                _ask(answers, FIELDS[2:])
        wrong = box("sw-wrongs").props("role=alert")
        Button("Make the design", lambda: _make(folder, answers, wrong), classes="sw-strong")


def _ask(answers: dict[str, ui.input], fields: Sequence[tuple[str, str, str, str]]) -> None:
    for path, label, text, name in fields:
        with box("sw-field"):
            held = ui.input(value=text).props("dense borderless hide-bottom-space autocomplete=off")
            held.props["for"] = f"a{held.id}"
            Words(label, "label").props(f"for=a{held.id}").move(target_index=0)
        held.mark(name)
        answers[path] = held


def _make(folder: Path, answers: dict[str, ui.input], wrong: ui.element) -> None:
    wrong.clear()
    try:
        changes = dict(_read(answers))
        make(folder, changes)
    except DesignErrors as errors:
        with wrong:
            for error in errors.errors:
                Words(str(error), "p", "sw-wrong")
        return
    ui.run_javascript("location.assign('/bass')")  # the page is made anew, with the design


def _read(answers: dict[str, ui.input]) -> list[tuple[str, object]]:
    texts = ("plan.title", "brief.use", f"{RECORD}.name")
    return [(path, held.value.strip() if path in texts else from_text(held.value.strip()))
            for path, held in answers.items() if (held.value or "").strip()]


def make(folder: Path, changes: dict[str, object]) -> None:
    """Make the starter's project with some of its values changed.

    Raises `DesignErrors`, and leaves no design behind, when a value cannot be taken.
    """
    import tempfile

    with tempfile.TemporaryDirectory() as place:  # tried out where it can do no harm
        trial = Path(place) / "trial"
        starter.start(trial)
        read_project(trial).design.with_values(changes)
    starter.start(folder)
    project = read_project(folder)
    save(project, project.design.with_values(changes))

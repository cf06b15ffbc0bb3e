"""The first page in an empty folder: three questions, and a closed box worked out from them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from nicegui import ui

from speakerwright.design import starter
from speakerwright.design.document import Design
from speakerwright.design.file import read_project, save
from speakerwright.words.errors import DesignError, DesignErrors
from speakerwright.workbench import controls
from speakerwright.workbench.parts import Button, Words, box

RECORD = "records.my-woofer"


@dataclass(frozen=True)
class Question:
    """One field: the path of its value, what is asked, what stands there at first."""

    path: str
    asks: str
    text: str
    mark: str


WHAT_FOR = (
    Question("plan.title", "What is it called?", "My first design", "title"),
    Question("brief.use", "What is it for, where does it stand, who listens?",
             "Music in a living room, two cabinets against the wall.", "use"),
)
FIGURES = tuple(Question(f"{RECORD}.{path}", asks, text, path) for path, asks, text in (
    ("name", "Name", "My woofer"),
    ("datasheet.re", "Re, resistance of the voice coil", "5.8 ohm"),
    ("datasheet.fs", "fs, resonance in free air", "40 Hz"),
    ("datasheet.qms", "Qms, mechanical Q", "4.2"),
    ("datasheet.qes", "Qes, electrical Q", "0.47"),
    ("datasheet.vas", "Vas, equivalent volume", "26 L"),
    ("datasheet.sd", "Sd, area of the cone", "137 cm^2"),
    ("datasheet.xmax", "xmax, one way", "5.5 mm"),
    ("datasheet.power", "Power, long term", "60 W"),
    ("body.frame", "Frame, diameter outside", "166 mm"),
    ("body.cutout", "Cut-out, diameter", "146 mm"),
    ("body.depth", "Depth behind the flange", "82 mm"),
    ("mass", "Mass of one", "1.9 kg"),
))
HOW_MUCH = (
    Question("brief.seats.farthest", "How far is the farthest seat?", "3 m", "far"),
    Question("brief.level.average", "How loud on average there, in dB(A)?", "79 dB", "level"),
    Question("brief.lowest", "How low must it go?", "60 Hz", "low"),
)


class Answer:
    """A question's field, and under it what cannot be taken of its answer."""

    def __init__(self, asked: Question) -> None:
        self.asked = asked
        with box("sw-field") as self.part:
            self.part.props["data-path"] = asked.path
            self.input = ui.input(value=asked.text).props(
                "dense borderless hide-bottom-space autocomplete=off spellcheck=false")
            self.input.props["for"] = f"a{self.input.id}"
            Words(asked.asks, "label").props(f"for=a{self.input.id}").move(target_index=0)
            self.wrong = Words("", "p", "sw-wrong").props("role=alert")
        self.wrong.set_visibility(False)
        self.input.mark(asked.mark)

    def value(self, design: Design) -> Any:
        """What is meant; None where it was left empty. A plain number keeps the field's unit."""
        return controls.read(design, self.asked.path, self.input.value or "")

    def tell(self, sentence: str) -> None:
        """Show what is wrong with it; nothing for an empty sentence."""
        self.wrong.set_text(sentence)
        self.wrong.set_visibility(bool(sentence))
        self.part.classes(**{"add" if sentence else "remove": "is-wrong"})


class Start:
    """The page: asks, and makes the project."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.answers: dict[str, Answer] = {}
        with box("sw-alone sw-start", "main"):
            Words("Begin a design here", "h1")
            Words(f"The folder “{folder.name or folder}” holds no design yet. Three questions make "
                  "a closed box, worked out at once. Leave what you do not know yet: everything "
                  "can be changed afterwards.", "p")
            self._part("1. What for", "", WHAT_FOR, side_by_side=False)
            self._part("2. Which woofer", "Type the datasheet's figures over these of an invented "
                       "one, or leave them. A plain number keeps the unit that stands there; any "
                       "other unit may be typed with it: 1 ft^3, 6 1/2 in.", FIGURES)
            self._part("3. How far, how loud, how low", "The rest of the brief begins with two "
                       "cabinets against a wall and an amplifier of 80 W for each.", HOW_MUCH)
            with box("sw-row"):
                Button("Make the design", self.make, classes="sw-strong")
                self.told = Words("It is written into this folder.", "span", "sw-quietly").props(
                    "role=status")

    def _part(self, title: str, note: str, asked: tuple[Question, ...], *,
              side_by_side: bool = True) -> None:
        with box("sw-ask", "section"):
            Words(title, "h2")
            if note:
                Words(note, "p", "sw-quietly")
            with box("sw-fields" if side_by_side else "sw-ask"):
                self.answers |= {each.path: Answer(each) for each in asked}

    def make(self) -> None:
        """Make the project and show its bass, or say beside each answer what is wrong with it."""
        try:
            design = _first()
            given = {path: answer.value(design) for path, answer in self.answers.items()
                     if (answer.input.value or "").strip()}
            make(self.folder, {"plan.date": date.today(), **given})
        except DesignErrors as errors:
            self._tell(errors.errors)
            return
        ui.run_javascript("location.assign('/bass')")  # the page is made anew, with the design

    def _tell(self, errors: tuple[DesignError, ...]) -> None:
        said: dict[str, str] = {}
        for error in errors:
            owner = next((path for path in self.answers
                          if error.where == path or error.where.startswith(f"{path}.")), "")
            sentence = f"{error.says[:1].upper()}{error.says[1:]} {error.try_this}".strip()
            said[owner] = f"{said.get(owner, '')} {sentence}".strip()
        for path, answer in self.answers.items():
            answer.tell(said.get(path, ""))
        count = sum(path in self.answers for path in said)
        many = f"{count} answers" if count > 1 else "One answer"
        above = f"{many} cannot be taken yet: see under the field." if count else ""
        self.told.set_text(f"{above} {said.get('', '')}".strip())
        wrong = next((path for path in self.answers if path in said), "")
        if wrong:
            controls.point_at(wrong)


def page(folder: Path) -> None:
    """Ask what it is for, which woofer, how loud and how far; then make the project."""
    Start(folder)


def _first() -> Design:
    """The starter's design, against which the answers are read."""
    import tempfile

    with tempfile.TemporaryDirectory() as place:
        starter.start(Path(place) / "trial")
        return read_project(Path(place) / "trial").design


def make(folder: Path, changes: dict[str, object]) -> None:
    """Make the starter's project with some of its values changed.

    Raises `DesignErrors`, and leaves no design behind, when a value cannot be taken.
    """
    _first().with_values(changes)  # tried out where it can do no harm
    starter.start(folder)
    project = read_project(folder)
    save(project, project.design.with_values(changes))

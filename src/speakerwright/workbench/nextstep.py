"""What comes next: one sentence and one button, the same on every page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nicegui import ui

from speakerwright.words.findings import Finding, Verdict
from speakerwright.words.rules import RULES
from speakerwright.words.stages import built
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.parts import Button, Words, box

WORKING = "Working it out."


@dataclass(frozen=True)
class Step:
    """A sentence, the words on its button (none: nothing to press) and where that leads."""

    says: str
    button: str = ""
    leads: str = ""


def next_step(bench: Bench) -> Step:
    """What to do next: mend what was typed, then what fails; begin a stage; save; make the plan."""
    if bench.session.wrong:
        path = next(iter(bench.session.wrong))
        return Step("What was typed into a field cannot be taken; its old value still counts.",
                    "Show the field", path if path in bench.fields else "")
    every = [f for each in bench.findings().values() for f in each]
    fails = [f for f in every if f.stops]
    unknown = [f for f in every if f.verdict is Verdict.UNKNOWN and not f.accepted
               and not RULES[f.rule].of_others]
    fresh = next((name for name in built() if name != "plan" and not bench.decides(name)), "")
    if fails:
        many = f"{len(fails)} findings fail" if len(fails) > 1 else "One finding fails"
        return _shown(bench, f"{many}. Mend the value, or record why it may stand.", fails)
    if fresh:
        return _begin(fresh, fresh == bench.page)
    if unknown and not bench.behind:
        return _shown(bench, "Something is not known yet. Type what is missing.", unknown)
    return Step(WORKING) if bench.behind else _finish(bench)


def _begin(stage: str, here: bool) -> Step:
    if here:
        return Step("Begin it with the button on this page.")
    return Step(f"Go on: the {stage} is not begun.", f"Begin the {stage}", f"/{stage}")


def _finish(bench: Bench) -> Step:
    if bench.session.unsaved:
        return Step("Nothing fails. Save it.", "Save", "save")
    if bench.page != "plan":
        return Step("Nothing fails, and all is saved.", "Go to the plan", "/plan")
    return Step("Nothing stops the plan: make it on this page.")


def _shown(bench: Bench, says: str, found: list[Finding]) -> Step:
    """Lead to the value of a finding: one of this page first."""
    here = {f.name for f in bench.findings().get(bench.page, ())}
    first = min(found, key=lambda f: f.name not in here)
    return Step(says, "Show the value", first.where)


class NextStep:
    """The sentence and its button under the stages, where a page of any width shows it."""

    def __init__(self, bench: Bench, save: Callable[[], None]) -> None:
        self.bench, self.save = bench, save
        self.step: Step | None = None
        with box("sw-next", "section").props("aria-label=Next"):
            Words("Next", "h2")
            self.says = Words("", "p")
            self.button = Button("", self.act, classes="sw-strong")
        bench.watch(self.show, frame=True)

    def show(self) -> None:
        """Show what comes next now; while it is worked out, what was shown stays."""
        if self.bench.live is None and not self.bench.session.wrong:
            step = Step(WORKING)
        else:
            step = next_step(self.bench)
        if step == self.step or (step.says == WORKING and self.step is not None):
            return
        self.step = step
        self.says.set_text(step.says)
        self.button.set_text(step.button)
        self.button.set_visibility(bool(step.button) and bool(step.leads))

    def act(self) -> None:
        """Go where the button leads."""
        leads = "" if self.step is None else self.step.leads
        if leads == "save":
            self.save()
        elif leads.startswith("/"):
            ui.navigate.to(leads)
        elif leads:
            self.bench.go(leads)

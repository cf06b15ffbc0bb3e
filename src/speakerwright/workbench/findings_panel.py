"""The right side: what it means. Findings worst first, each with its margin and what to try."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import ui

from speakerwright.words.findings import Finding, Verdict
from speakerwright.words.rules import RULES
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.parts import Button, Html, Words, box, folded, mark

_ORDER = (Verdict.FAILS, Verdict.UNKNOWN, Verdict.TIGHT, Verdict.HOLDS)


def in_order(found: tuple[Finding, ...]) -> list[Finding]:
    """Worst first, and within a verdict the smallest margin first."""
    return sorted(found, key=lambda f: (bool(f.accepted), _ORDER.index(f.verdict),
                                        f.margin if f.margin is not None else 0.0))


class FindingsPanel:
    """The findings of the page's stage, then what does not simply hold elsewhere."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._seen: object = None
        self._cards: list[Callable[[Finding], None]] = []
        self._giving = ""  # the finding for which a reason is being typed
        with box("sw-side", "aside").props("aria-label=Findings"):
            Words("What it means", "h2")
            self.fault = Words("", "p", "sw-wrong").props("role=alert")
            self.list = box("sw-findings")
        bench.watch(self.show, frame=True)

    def show(self) -> None:
        """Show what is found now."""
        bench = self.bench
        self.fault.set_text(bench.fault)
        self.fault.set_visibility(bool(bench.fault))
        found = bench.findings()
        here = in_order(found.get(bench.page, ()))
        there = in_order(tuple(
            f for stage, each in found.items() for f in each
            if stage != bench.page and (f.verdict is not Verdict.HOLDS)
        ))
        seen = (bench.page, self._giving, bench.live is None,
                [(f.name, f.verdict, f.accepted) for f in (*here, *there)])
        if seen != self._seen:  # else the same cards stay, with other figures
            self._seen = seen
            self.list.clear()
            self._cards = []
            with self.list:
                self._part("On this page", here)
                self._part("Elsewhere", there)
        for finding, card in zip(self._shown(here) + self._shown(there), self._cards,
                                 strict=True):
            card(finding)

    @staticmethod
    def _shown(found: list[Finding]) -> list[Finding]:
        """The order of the cards: what does not hold, then what holds."""
        return sorted(found, key=lambda f: f.verdict is Verdict.HOLDS)

    def _part(self, title: str, found: list[Finding]) -> None:
        bench = self.bench
        Words(title, "h3")
        if not found:
            working = bench.live is None
            Words("Working it out." if working else
                  "Nothing to judge here." if title == "On this page" else
                  "Everything else holds.", "p", "sw-quietly")
            return
        loud = [f for f in found if f.verdict is not Verdict.HOLDS]
        holding = [f for f in found if f.verdict is Verdict.HOLDS]
        for finding in loud:
            self._card(finding)
        if holding:
            with folded(f"{len(holding)} that hold", opened=not loud):
                for finding in holding:
                    self._card(finding)

    def _card(self, finding: Finding) -> None:
        rule = RULES[finding.rule]
        with box(f"sw-finding sw-{finding.verdict.value}"):
            with box("sw-row"):
                Html(mark(finding.verdict), tag="span")
                margin = Words("", "span", "sw-margin")
            text = Words("", "p")
            advice = Words("", "p", "sw-advice")

            def show(now: Finding) -> None:
                system = self.bench.system
                margin.set_text("" if now.margin is None
                                else f"margin {now.margin_text(system)}")
                text.set_text(now.text(system))
                told = now.accepted and f"Accepted: {now.accepted}"
                if not told and now.verdict is not Verdict.HOLDS:
                    told = now.advice(system)
                advice.set_text(told)
                advice.set_visibility(bool(told))

            self._cards.append(show)
            loud = finding.verdict is not Verdict.HOLDS
            if loud:
                with box("sw-row"):
                    self._buttons(finding)
            if finding.stops and self._giving == finding.name:
                self._reason(finding)
            with folded("Why it matters"):
                Words(f"{rule.asks} {rule.why}", "p", "sw-quietly")
                source = f" Source: {finding.source}." if finding.source else ""
                Words(f"From what is {finding.evidence}.{source}", "p", "sw-quietly")
                if not loud:
                    self._buttons(finding)

    def _buttons(self, finding: Finding) -> None:
        bench = self.bench
        Button("Show the value", lambda: bench.go(finding.where),
               tip=f"Go to {finding.where}", classes="sw-quiet")
        if finding.stops and self._giving != finding.name:
            Button("Accept it…", lambda: self._ask(finding.name),
                   tip="Publish in spite of it, with a reason", classes="sw-quiet")

    def _ask(self, name: str) -> None:
        self._giving = name
        self.show()

    def _reason(self, finding: Finding) -> None:
        reason = ui.input().props("dense borderless hide-bottom-space autofocus").classes("sw-line")
        reason.props["aria-label"] = "Why it may stand"
        reason.props["placeholder"] = "Why it may stand"
        reason.mark("reason")

        def accept() -> None:
            every = (f for each in self.bench.findings().values() for f in each)
            now = next((f for f in every if f.name == finding.name and f.stops), finding)
            session, value = self.bench.session, now.value
            if session.accept(finding.name, reason.value or "", 0.0 if value is None else value):
                self._giving = ""
                self.bench.tell()
                return
            wrong = session.wrong.pop(f"accept {finding.name}")
            self.bench.say(wrong.sentence)

        def leave() -> None:
            self._giving = ""
            self.show()

        reason.on("keydown.enter", accept)
        with box("sw-row"):
            Button("Record the reason", accept)
            Button("Cancel", leave, classes="sw-quiet")


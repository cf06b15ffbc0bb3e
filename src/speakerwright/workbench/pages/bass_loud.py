"""A chamber played loud: limits and compression while it rests, harmonics on request."""

from __future__ import annotations

from typing import Any
from weakref import WeakKeyDictionary

from nicegui import ui

from speakerwright.bass import harmonics_shown, loud_shown
from speakerwright.bass.chapter import SPACE
from speakerwright.bass.result import drive_volts
from speakerwright.chain import need_of
from speakerwright.chain.loud import IN_TIME, distortion_in, distortion_request, loud_inputs
from speakerwright.chain.requests import Request
from speakerwright.chain.store import Outcome
from speakerwright.design.document import Design
from speakerwright.drawing.charts import Chart
from speakerwright.words.blocks import Block
from speakerwright.words.units import UnitError, parse
from speakerwright.workbench.bench import Bench, Picture
from speakerwright.workbench.charts import LiveChart
from speakerwright.workbench.pages.bass_rest import Folded, Rested
from speakerwright.workbench.parts import Html, Words, blocks_html, box
from speakerwright.workbench.requests import OnRequest

FIRST = 20.0
"""The voltage that is offered while the brief's is not known, V."""

MOST = 1000.0
"""The highest voltage taken, V."""

_VOLTS: WeakKeyDictionary[Bench, dict[str, float]] = WeakKeyDictionary()


class Loud:
    """What a chamber does when it is played loud, folded."""

    def __init__(self, bench: Bench, chamber: str, title: str) -> None:
        self.bench, self.chamber = bench, chamber
        self.charts: dict[str, LiveChart] = {}
        self.part = Folded(bench, f"loud:{chamber}", title)
        with self.part.inside():
            self.waiting = Words("Working it out.", "p", "sw-quietly")
            self.grid = box("sw-charts")
            with box("sw-two"):
                self.words = [Html(classes="sw-blocks"), Html(classes="sw-blocks")]
            with box("sw-group sw-after"):
                Words("Harmonics", "h3")
                self.harmonics = Harmonics(bench, chamber)
        Rested(bench, self.part, self._picture, self._work, self._show)

    def _picture(self) -> Picture | None:
        """The newest picture, seen through the chamber: itself while the chamber stays the same."""
        live = self.bench.live
        if live is None or self.chamber not in live.workup.bass.chambers:
            return None
        seen = (live.workup.bass.chambers[self.chamber], self.bench.system)
        if seen != self._seen:
            self._seen, self._live = seen, live
        return self._live

    _seen: Any = None
    _live: Picture | None = None

    def _work(self, live: Picture) -> tuple[tuple[Chart, ...], tuple[Block, ...]] | None:
        """Charts and tables; runs in a thread."""
        workup = live.workup
        need = need_of(workup.design, workup.brief, self.chamber)
        space = SPACE.get(workup.design.decided.brief.place.kind, "half space")
        try:
            found = loud_shown.played(loud_inputs(workup)[self.chamber],
                                      workup.bass.chambers[self.chamber], need)
        except ArithmeticError:
            return None
        return loud_shown.charts(found, space), loud_shown.blocks(found, self.bench.system)

    def _show(self, found: tuple[tuple[Chart, ...], tuple[Block, ...]] | None) -> None:
        self.waiting.set_visibility(found is None)
        self.waiting.set_text("The coil finds no temperature at which it settles.")
        charts, blocks = ((), ()) if found is None else found
        for chart in charts:
            if chart.key in self.charts:
                self.charts[chart.key].show(chart)
            else:
                with self.grid:
                    self.charts[chart.key] = LiveChart(chart)
        self.grid.set_visibility(found is not None)
        for words, part in zip(self.words, (blocks[:1], blocks[1:]), strict=True):
            words.show(blocks_html(part))


class Harmonics:
    """Harmonics over frequency at a voltage that is typed; worked out on request."""

    def __init__(self, bench: Bench, chamber: str) -> None:
        self.bench, self.chamber = bench, chamber
        loading = bench.session.design.decided.bass[chamber].loading
        if loading not in IN_TIME:
            Words(f"Not worked out for a {loading.replace('-', ' ')}: only for closed and vented "
                  "chambers, and with passive radiators.", "p", "sw-quietly")
            return
        Words("From the motion in time: force factor, stiffness and inductance over displacement, "
              "turbulence in the port. What the record lacks is assumed, and told below.", "p",
              "sw-quietly")
        self._chosen = _VOLTS.setdefault(bench, {})
        self.volts = self._chosen.get(chamber, FIRST)
        with box("sw-fields"), box("sw-field") as part:
            name = f"v{part.id}"
            Words("Voltage, rms, in the pass band", "label").props(f"for={name}")
            self.input = ui.input(value=f"{self.volts:g} V").props(
                f"for={name} dense borderless hide-bottom-space autocomplete=off spellcheck=false")
            self.wrong = Words("", "p", "sw-wrong").props("role=alert")
        self.wrong.set_visibility(False)
        self.input.mark(f"volts:{chamber}")
        self.input.on_value_change(self._typed)
        self.asked = OnRequest(
            bench, f"harmonics {chamber}", "Work out harmonics", self._request, self._draw,
            tip="It takes a few seconds; it goes on while you work",
            ready=lambda: not self.wrong.visible,
        )
        bench.watch(self._offer)

    def _offer(self) -> None:
        """Offer what the brief's peak asks of the chamber in the pass band, once it is known."""
        live = self.bench.live
        chamber = None if live is None else live.workup.bass.chambers.get(self.chamber)
        if self.chamber in self._chosen or live is None or chamber is None:
            return
        need = need_of(live.workup.design, live.workup.brief, self.chamber)
        volts = min(float(f"{drive_volts(chamber.curves, need):.2g}"), MOST)
        self.input.set_value(f"{volts:g} V")
        self.asked.job.recall(self._request(self.bench.session.design))

    def _typed(self) -> None:
        text = str(self.input.value or "").strip()
        try:
            volts = parse(text if not text.replace(".", "", 1).isdigit() else f"{text} V",
                          "voltage")
        except UnitError as error:
            self._refused(f"{str(error)[:1].upper()}{str(error)[1:]}")
            return
        if not 0.0 < volts <= MOST:
            self._refused(f"Give a voltage above 0 V and at most {MOST:g} V.")
            return
        self.volts = self._chosen[self.chamber] = volts
        self._refused("")

    def _refused(self, sentence: str) -> None:
        self.wrong.set_text(sentence)
        self.wrong.set_visibility(bool(sentence))
        self.asked.show()

    def _request(self, design: Design) -> Request:
        return distortion_request(design, self.chamber, self.volts)

    def _draw(self, outcome: Outcome) -> None:
        found, volts = distortion_in(outcome), float(outcome.data["volts"])
        with box("sw-two sw-tight-two"):
            with box("sw-part"):
                LiveChart(harmonics_shown.chart(found, self.chamber, volts))
            with box("sw-part"):
                Html(blocks_html((*harmonics_shown.blocks(found, self.bench.system),
                                  *loud_shown.assumptions(found.assumed))), classes="sw-blocks")

"""Bass: the box, its tuning and its port, turned beside the curves that they move."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from speakerwright.words.blocks import Block, Figure, Heading
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import remove_button
from speakerwright.workbench.pages.bass_aligned import Alignments
from speakerwright.workbench.pages.bass_loud import Loud
from speakerwright.workbench.pages.bass_parts import decided, loading, turns
from speakerwright.workbench.pages.bass_ports import Ports
from speakerwright.workbench.pages.bass_search import searches
from speakerwright.workbench.pages.chambers import (
    chamber_added,
    free_jobs,
    free_name,
    make,
    rooms_of,
    sizes_known,
)
from speakerwright.workbench.pages.drawings import AtEase
from speakerwright.workbench.pages.forms import NewName
from speakerwright.workbench.parts import Button, Html, Pick, Words, blocks_html, box, folded
from speakerwright.workbench.session import written

EVEN, NARROW = 6, "7rem"
"""Sliders that fit beside each other, and how narrow one may get so that one more does."""


def page(bench: Bench) -> None:
    """Every chamber with its controls, curves, figures and decided values."""
    names = list(bench.session.design.decided.bass)
    if not names:
        _begin(bench)
    for name in names:
        _chamber(bench, name, alone=len(names) == 1)
    if names:
        _another(bench, names)
    searches(bench)


def _begin(bench: Bench) -> None:
    design = bench.session.design
    jobs, rooms = list(design.decided.drivers), rooms_of(design)
    Words("No chamber is decided yet.", "p")
    remove_button(bench, "Begin with a closed box", {
        f"bass.{rooms[0]}": {"loads": jobs[:1], "loading": "closed", "volume": "20 L"}})


def _another(bench: Bench, names: list[str]) -> None:
    """A further chamber, for a driver that none loads yet."""
    design = bench.session.design
    jobs, spare = free_jobs(design), [room for room in rooms_of(design) if room not in names]
    with box("sw-all"):
        Words("Another chamber", "h2")
        if not jobs:
            Words("Every driver that needs a chamber has one. Choose a further driver on the "
                  "drivers' page, or let a chamber load another one, and come back.", "p",
                  "sw-quietly")
            return
        picked = {"job": jobs[0]}
        with box("sw-fields"):
            with box("sw-field"):
                Words("Driver that it loads", "span", "sw-label")
                Pick({job: job for job in jobs}, jobs[0],
                     lambda job: picked.update(job=job), "Driver that it loads").mark("new-loads")
            name = NewName("Its name", free_name(names, *spare, jobs[0]), "new-chamber")
        Button("Add a closed chamber", lambda: make(
            bench, lambda now: chamber_added(now, name.text, picked["job"], sizes_known(bench)),
            "bass"), classes="sw-quiet")


def _chamber(bench: Bench, name: str, *, alone: bool) -> None:
    where = f"bass.{name}"
    if not alone:
        Words(f"Chamber {name}", "h2")
    with box("sw-fields").style("margin-bottom: 1.5rem"):
        loading(bench, where)
    with box("sw-bench") as strip:
        turns(bench, where)
    if len(strip.default_slot.children) == EVEN + 1:  # one more still fits into the row
        strip.style(f"grid-template-columns: repeat(auto-fit, minmax({NARROW}, 1fr))")
    Curves(bench, name)
    with box("sw-two"):
        with box("sw-part"):
            Words("The box as it works out", "h2")
            drawn = Html(classes="sw-drawing")
            tables = Html(classes="sw-blocks")
        with box("sw-part"):
            Words("The port in the box, to scale", "h2") if _port(bench, where) else None
            section = Html(classes="sw-drawing")
            port = Html(classes="sw-blocks")
    of = "" if alone else f" of chamber {name}"
    Alignments(bench, name, f"Named alignments{of}")
    Ports(bench, name, f"Other ports{of}") if _port(bench, where) else None
    Loud(bench, name, f"Played loud{of}")
    with folded("Everything that is decided here", opened=True, classes="sw-all"):
        decided(bench, where)

    seen: list[object] = [None]

    def show() -> None:
        if bench.live is None or bench.live is seen[0]:
            return
        seen[0] = bench.live
        if name not in bench.live.workup.bass.chambers:
            return
        parts = _split(bench.live.chapters["bass"].blocks, name, alone)
        beside = parts["port"] or parts["limits"]  # no half of the page stays empty
        below = parts["limits"] if parts["port"] else []
        tables.show(blocks_html([*parts["figures"], *below]))
        port.show(blocks_html(beside))

    def draw() -> None:
        if bench.live is not None and name in bench.live.workup.bass.chambers:
            drawn.show(_sketch(bench, name))
            section.show(_section(bench, name))

    bench.watch(show)
    AtEase(bench, drawn, draw)


def _split(blocks: tuple[Block, ...], name: str, alone: bool) -> dict[str, list[Block]]:
    """One chamber's blocks: figures, the port's, and what limits the level; without curves."""
    found: dict[str, list[Block]] = {"figures": [], "port": [], "limits": []}
    here, part = alone, "figures"
    for block in blocks:
        if isinstance(block, Heading):
            if block.text.startswith("Chamber "):
                here, part = block.text == f"Chamber {name}", "figures"
                continue
            part = ("port" if "port" in block.text.lower() else
                    "limits" if "limits" in block.text else "curves")
            if part != "limits" and "front port" not in block.text:
                continue
        if here and part in found and not isinstance(block, Figure):
            found[part].append(block)
    return found


def _sketch(bench: Bench, name: str) -> str:
    from speakerwright.bass.sketch import sketch

    assert bench.live is not None
    return str(sketch(bench.live.workup.bass.chambers[name], bench.system))


def _section(bench: Bench, name: str) -> str:
    from speakerwright.workbench.pages.bass_section import port_picture

    assert bench.live is not None
    return port_picture(bench.live.workup, name, bench.system)


def _port(bench: Bench, where: str) -> Any:
    return written(bench.session.design, f"{where}.port")


# --- curves ---------------------------------------------------------------------------------------


class Curves:
    """The curves of one chamber, live, with the held ones behind."""

    def __init__(self, bench: Bench, chamber: str) -> None:
        self.bench, self.chamber = bench, chamber
        self.charts: dict[str, Any] = {}
        self.held = box("sw-held")
        self._held_names: list[str] = []
        self.grid = box("sw-charts")
        with self.grid:
            self.waiting = Words("Working it out.", "p", "sw-quietly")
        bench.watch(self.show, curves=True)

    def show(self) -> None:
        """Show the newest curves."""
        from speakerwright.workbench.charts import LiveChart

        live = self.bench.live
        if live is None:
            return
        self.waiting.set_visibility(self.chamber not in live.charts)
        if self.chamber not in live.charts:
            self.waiting.set_text("There are no curves: see what is found on the right.")
        found = {chart.key: chart for chart in live.charts.get(self.chamber, ())}
        for key, chart in found.items():
            if key in self.charts:
                self.charts[key].show(chart)
                continue
            with self.grid:
                self.charts[key] = LiveChart(chart)
        for key in [key for key in self.charts if key not in found]:
            self.charts.pop(key).delete()
        self._hold()

    def _hold(self) -> None:
        session = self.bench.session
        for key, shown in self.charts.items():
            wanted = {
                name: chart for name, picture in session.held.items()
                for chart in picture.charts.get(self.chamber, ()) if chart.key == key
            }
            for name in [name for name in shown.held if name not in wanted]:
                shown.release(name)
            for name, chart in wanted.items():
                if name not in shown.held:
                    shown.hold(name, chart)
        if list(session.held) == self._held_names:
            return
        self._held_names = list(session.held)
        self.held.clear()
        with self.held:
            for name, picture in session.held.items():
                volume = written(picture.workup.design, f"bass.{self.chamber}.volume")
                Button(f"Release held {name} ({volume})", _releaser(self.bench, name),
                       classes="sw-quiet")


def _releaser(bench: Bench, name: str) -> Callable[[], None]:
    return lambda: bench.session.release(name)

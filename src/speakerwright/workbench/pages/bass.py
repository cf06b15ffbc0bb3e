"""Bass: the box, its tuning and its port, turned beside the curves that they move."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from speakerwright.words.blocks import Block, Figure, Heading
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import (
    Absent,
    ChoiceField,
    Field,
    Turn,
    field_for,
    remove_button,
)
from speakerwright.workbench.pages.bass_search import searches
from speakerwright.workbench.pages.chambers import (
    chamber_added,
    chamber_removed,
    free_jobs,
    free_name,
    make,
    rooms_of,
    sizes_known,
)
from speakerwright.workbench.pages.forms import NewName
from speakerwright.workbench.parts import Button, Html, Pick, Words, blocks_html, box, folded
from speakerwright.workbench.session import written

LOADINGS = {"closed": "closed", "vented": "vented, with a port"}
SHAPES = {"round": "round", "slot": "slot"}
GIVEN = {"tuning": "its tuning", "length": "its length"}
FILTERS = {"butterworth": "Butterworth", "linkwitz-riley": "Linkwitz–Riley"}


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
    with box("sw-bench"):
        _turns(bench, where)
    Curves(bench, name)
    with box("sw-two"):
        with box("sw-part"):
            Words("The box as it works out", "h2")
            loading = Html(classes="sw-drawing")
            tables = Html(classes="sw-blocks")
        with box("sw-part"):
            Words("The port in the box, to scale", "h2") if _port(bench, where) else None
            section = Html(classes="sw-drawing")
            port = Html(classes="sw-blocks")
    with folded("Everything that is decided here", opened=True, classes="sw-all"):
        _decided(bench, where)

    seen: list[object] = [None]

    def show() -> None:
        if bench.live is None or bench.live is seen[0]:
            return
        seen[0] = bench.live
        if name not in bench.live.workup.bass.chambers:
            return
        parts = _split(bench.live.chapters["bass"].blocks, name, alone)
        loading.show(_sketch(bench, name))
        beside = parts["port"] or parts["limits"]  # no half of the page stays empty
        below = parts["limits"] if parts["port"] else []
        tables.show(blocks_html([*parts["figures"], *below]))
        port.show(blocks_html(beside))
        section.show(_section(bench, name))

    bench.watch(show)


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
            if part != "limits":
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


# --- what one turns -------------------------------------------------------------------------------


def _turns(bench: Bench, where: str) -> None:
    design, port = bench.session.design, _port(bench, where)
    Turn(bench, f"{where}.volume", "Net volume")
    if port:
        if "tuning" in port:
            Turn(bench, f"{where}.port.tuning", "Tuning", octaves=1.0)
        if "length" in port:
            Turn(bench, f"{where}.port.length", "Port length", octaves=1.2)
        if "bore" in port:
            Turn(bench, f"{where}.port.bore", "Port bore", octaves=1.0)
        if "height" in port:
            Turn(bench, f"{where}.port.height", "Slot height", octaves=1.0)
    if written(design, f"{where}.high_pass.frequency") is not None:
        Turn(bench, f"{where}.high_pass.frequency", "High-pass", octaves=1.0)
    Turn(bench, "brief.level.average", "Level asked", span_db=12.0)
    Turn(bench, "brief.level.crest", "Peaks above it", span_db=8.0)


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
        bench.watch(self.show)

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


# --- everything decided ---------------------------------------------------------------------------


def _decided(bench: Bench, where: str) -> None:
    design = bench.session.design
    with box("sw-group"):
        Words("Box", "h3")
        with box("sw-fields"):
            _loading(bench, where)
            Field(bench, f"{where}.loads", "Drivers it loads", listed=True,
                  hint=", ".join(design.decided.drivers))
            Field(bench, f"{where}.source_resistance", "Resistance before it (cable, coil)",
                  hint="0 ohm")
    if _port(bench, where):
        _port_fields(bench, f"{where}.port")
    with box("sw-group"):
        Words("Losses, as Q at the tuning", "h3")
        with box("sw-fields"):
            for part, hint in (("leak", "7"), ("absorption", "none"), ("port", "60")):
                Field(bench, f"{where}.losses.{part}_q", part.capitalize(), hint=hint)
    _high_pass(bench, f"{where}.high_pass")
    name = where.split(".", 1)[1]
    with box("sw-group"):
        Button(f"Take chamber {name} out", lambda: make(
            bench, lambda now: chamber_removed(now, name), where), classes="sw-quiet")


def _loading(bench: Bench, where: str) -> None:
    def picked(word: str) -> None:
        changes: dict[str, Any] = {f"{where}.loading": word, f"{where}.port": None}
        if word == "vented":
            changes[f"{where}.port"] = {
                "shape": "round", "bore": "75 mm", "tuning": _resonance(bench, where)}
        _do(bench, changes, f"{where}.loading")

    _custom(bench, f"{where}.loading", "Loading", LOADINGS, picked)


def _resonance(bench: Bench, where: str) -> str:
    """The driver's own resonance as a first tuning."""
    name = where.split(".", 1)[1]
    found = None if bench.live is None else bench.live.workup.bass.chambers.get(name)
    return f"{found.driver.fs:.0f} Hz" if found is not None else "40 Hz"


def _port_fields(bench: Bench, where: str) -> None:
    design = bench.session.design
    port: Mapping[str, Any] = written(design, where)
    shape = port.get("shape", "round")

    def shaped(word: str) -> None:
        if word == shape:
            return
        gone = {"bore": None, "width": None, "height": None, "walls_shared": None, "shape": word}
        new = {"bore": "75 mm"} if word == "round" else {"width": "200 mm", "height": "30 mm"}
        _do(bench, {f"{where}.{name}": value for name, value in {**gone, **new}.items()
                    if value is not None or name in port}, f"{where}.shape")

    def given(word: str) -> None:
        result = _built(bench, where)
        if word in port or result is None:
            return
        value = (f"{result.length * 1e3:.0f} mm" if word == "length"
                 else f"{result.tuning:.1f} Hz")
        other = "tuning" if word == "length" else "length"
        _do(bench, {f"{where}.{word}": value, f"{where}.{other}": None}, f"{where}.given")

    with box("sw-group"):
        Words("Port", "h3")
        with box("sw-fields"):
            _custom(bench, f"{where}.shape", "Shape", SHAPES, shaped, "round")
            Field(bench, f"{where}.count", "How many", hint="1")
            if shape == "round":
                pass  # its bore stands above, with its slider
            else:
                Field(bench, f"{where}.width", "Slot width")
                _shared(bench, where)
            Field(bench, f"{where}.wall", "Wall of the tube" if shape == "round"
                  else "Board of the slot", hint="3 mm")
            Field(bench, f"{where}.centres", "Between centres", hint="for two and more")
            now = "length" if "length" in port else "tuning"
            _custom(bench, f"{where}.given", "Given by", GIVEN, given, now)


def _shared(bench: Bench, where: str) -> None:
    words = {"0": "no wall shared", "1": "one wall", "3": "three: across the whole box"}
    _custom(bench, f"{where}.walls_shared", "Walls shared with the box", words,
            lambda word: _do(bench, {f"{where}.walls_shared": int(word)}, where), "0")


def _built(bench: Bench, where: str) -> Any:
    name = where.split(".")[1]
    found = None if bench.live is None else bench.live.workup.bass.chambers.get(name)
    return None if found is None else found.port


def _high_pass(bench: Bench, where: str) -> None:
    with box("sw-group") as part:
        Words("Protective high-pass", "h3")
        if written(bench.session.design, where) is None:
            Absent(bench, where, part)
            lowest = bench.session.design.decided.brief.lowest
            remove_button(bench, "Add one", {
                where: {"order": 2, "frequency": f"{0.8 * lowest:.0f} Hz"}})
            return
        with box("sw-fields"):
            Field(bench, f"{where}.order", "Order", hint="2")
            ChoiceField(bench, f"{where}.shape", "Shape", FILTERS, default="butterworth")
            Field(bench, f"{where}.q", "Q, for a second order", hint="by its shape")
            field_for(bench, f"{where}.capacitor", "Series capacitor")
        remove_button(bench, "Take it out", {where: None})


def _do(bench: Bench, changes: Mapping[str, Any], field: str) -> None:
    if not bench.session.edit_many(changes, field):
        bench.say(bench.session.wrong.pop(field).sentence)
    bench.session.commit()


class _custom:  # noqa: N801 - used like a function that leaves a field behind
    """A choice whose words change several values at once."""

    def __init__(self, bench: Bench, path: str, label: str, words: Mapping[str, str],
                 picked: Callable[[str], None], default: str = "") -> None:
        self.path = path
        with box("sw-field") as part:
            part.props["data-path"] = path
            Words(label, "span", "sw-label")
            value = written(bench.session.design, path)
            self.pick = Pick(words, default if value is None else str(value), picked, label)
        self.pick.mark(path)
        bench.fields[path] = self
        bench.watch(lambda: self._show(bench, default))

    def _show(self, bench: Bench, default: str) -> None:
        value = written(bench.session.design, self.path)
        self.pick.show(default if value is None else str(value))

    def point(self) -> None:
        """Bring the choice into view and focus it."""
        from speakerwright.workbench.controls import point_at

        point_at(self.path)



"""Everything that is decided of a chamber, as fields: its loading and the parts of each one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from speakerwright.acoustics.linings import TRADE_FILLS
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import (
    Absent,
    ChoiceField,
    Field,
    Turn,
    field_for,
    point_at,
    remove_button,
)
from speakerwright.workbench.pages.bass_first import passives_of, switched
from speakerwright.workbench.pages.chambers import chamber_removed, make
from speakerwright.workbench.pages.forms import change, group
from speakerwright.workbench.parts import Button, Pick, Words, box
from speakerwright.workbench.session import written

LOADINGS = {
    "closed": "closed",
    "vented": "vented, with a port",
    "passive-radiator": "with passive radiators",
    "band-pass-4": "band-pass, closed behind",
    "band-pass-6": "band-pass, a port on both sides",
    "transmission-line": "transmission line",
    "front-horn": "front horn",
    "open-baffle": "open baffle",
}
SHAPES = {"round": "round", "slot": "slot"}
GIVEN = {"tuning": "its tuning", "length": "its length"}
FILTERS = {"butterworth": "Butterworth", "linkwitz-riley": "Linkwitz–Riley"}
PROFILES = {"exponential": "exponential", "conical": "conical"}
NO_FILL, OWN_FILL = "none", "own"


# --- what one turns -------------------------------------------------------------------------------


class Even(Turn):
    """A slider that runs evenly between two ends, for what may be nothing at all."""

    def __init__(self, bench: Bench, path: str, label: str, low: float, high: float) -> None:
        self._between = low, high
        super().__init__(bench, path, label)

    def _evenly(self) -> bool:
        return True

    def _ends(self) -> None:
        self.low, self.high = self._between
        self.high = max(self.high, 1.5 * (self._si() or 0.0))


def turns(bench: Bench, where: str) -> None:
    """The sliders of a chamber: what matters of its loading, and what the brief asks."""
    design = bench.session.design
    chamber = written(design, where)
    if "volume" in chamber:
        Turn(bench, f"{where}.volume", "Net volume")
    if "port" in chamber:
        _port_turns(bench, f"{where}.port", "")
    if "front" in chamber:
        Turn(bench, f"{where}.front.volume", "Front volume")
        _port_turns(bench, f"{where}.front.port", "Front ")
    _duct_turns(bench, where, chamber)
    if written(design, f"{where}.high_pass.frequency") is not None:
        Turn(bench, f"{where}.high_pass.frequency", "High-pass", octaves=1.0)
    Turn(bench, "brief.level.average", "Level asked", span_db=12.0)
    Turn(bench, "brief.level.crest", "Peaks above it", span_db=8.0)


def _port_turns(bench: Bench, where: str, which: str) -> None:
    port = written(bench.session.design, where)
    for name, label, octaves in (("tuning", "tuning", 1.0), ("length", "port length", 1.2),
                                 ("bore", "port bore", 1.0), ("height", "slot height", 1.0)):
        if name in port:
            words = f"{which}{label}"
            Turn(bench, f"{where}.{name}", f"{words[0].upper()}{words[1:]}", octaves=octaves)


def _duct_turns(bench: Bench, where: str, chamber: Mapping[str, Any]) -> None:
    rows = {
        "line": (("length", "Line length"), ("area", "Area, closed end"),
                 ("mouth_area", "Area, mouth")),
        "horn": (("length", "Horn length"), ("throat_area", "Throat area"),
                 ("mouth_area", "Mouth area")),
        "baffle": (("width", "Baffle width"), ("height", "Baffle height")),
    }
    for part in (part for part in rows if part in chamber):
        for name, label in rows[part]:
            Turn(bench, f"{where}.{part}.{name}", label)
    if "line" in chamber:
        Even(bench, f"{where}.line.driver_at", "Driver's place", 0.0, 0.9)
    if "passive" in chamber:
        Even(bench, f"{where}.passive.added_mass", "Added mass, each", 0.0,
             _heaviest(bench, where))


def _heaviest(bench: Bench, where: str) -> float:
    """Where the slider of the added mass ends: some times what is there, kg."""
    passive = bench.session.design.decided.bass[where.split(".", 1)[1]].passive
    mass = 0.0 if passive is None else passive.added_mass
    return max(4.0 * mass, 0.1)


# --- everything decided ---------------------------------------------------------------------------


def decided(bench: Bench, where: str) -> None:
    """Every decided value of a chamber that does not stand above the curves."""
    design = bench.session.design
    chamber = written(design, where)
    with box("sw-group"):
        Words("Drivers", "h3")
        with box("sw-fields"):
            Field(bench, f"{where}.loads", "Drivers it loads", listed=True,
                  hint=", ".join(design.decided.drivers))
            Field(bench, f"{where}.source_resistance", "Resistance before it (cable, coil)",
                  hint="0 ohm")
    if "port" in chamber:
        _port_fields(bench, f"{where}.port", "Port")
    if "front" in chamber:
        _port_fields(bench, f"{where}.front.port", "Port of the front chamber")
        group(bench, "Losses of the front chamber, as Q at its tuning", f"{where}.front",
              [(f"{part}_q", part.capitalize(), {"hint": hint})
               for part, hint in (("leak", "none"), ("absorption", "none"), ("port", "60"))])
    _other_parts(bench, where, chamber)
    if "volume" in chamber:
        _fill(bench, f"{where}.fill", "Fill behind the cone")
    if "line" in chamber:
        _fill(bench, f"{where}.line.fill", "Fill of the line, from its closed end")
    if "volume" in chamber:
        group(bench, "Losses, as Q at the tuning", f"{where}.losses",
              [(f"{part}_q", part.capitalize(), {"hint": hint})
               for part, hint in (("leak", "7"), ("absorption", "none"), ("port", "60"))
               if part != "port" or "port" in chamber])
    _high_pass(bench, f"{where}.high_pass")
    name = where.split(".", 1)[1]
    with box("sw-group"):
        Button(f"Take chamber {name} out", lambda: make(
            bench, lambda now: chamber_removed(now, name), where), classes="sw-quiet")


def loading(bench: Bench, where: str) -> None:
    """The choice of a loading, which puts in what it needs and takes out what it lacks."""
    name = where.split(".", 1)[1]

    def picked(word: str) -> None:
        make(bench, lambda now: (switched(now, name, word), ""), f"{where}.loading")

    Several(bench, f"{where}.loading", "Loading", LOADINGS, picked)


def _other_parts(bench: Bench, where: str, chamber: Mapping[str, Any]) -> None:
    """Passive radiators, horn and open baffle: what has no slider of its own."""
    if "passive" in chamber:
        with box("sw-group"):
            Words("Passive radiators", "h3")
            with box("sw-fields"):
                known = {name: bench.session.design.record(name).name
                         for name in passives_of(bench.session.design)}
                ChoiceField(bench, f"{where}.passive.record", "Record", known)
                Field(bench, f"{where}.passive.count", "How many", hint="1")
    if "horn" in chamber:
        with box("sw-group"):
            Words("Horn", "h3")
            with box("sw-fields"):
                ChoiceField(bench, f"{where}.horn.profile", "Profile", PROFILES,
                            default="exponential")
                Field(bench, f"{where}.horn.volume", "Air between cone and throat", hint="0 L")
    if "baffle" in chamber:
        group(bench, "Driver on the baffle, from its left lower corner", f"{where}.baffle",
              [("x", "Across", {"hint": "the middle"}), ("z", "Up", {"hint": "the middle"})])


# --- ports ----------------------------------------------------------------------------------------


def _port_fields(bench: Bench, where: str, title: str) -> None:
    port: Mapping[str, Any] = written(bench.session.design, where)
    shape = port.get("shape", "round")
    round_ = shape == "round"
    with box("sw-group"):
        Words(title, "h3")
        with box("sw-fields"):
            Several(bench, f"{where}.shape", "Shape", SHAPES,
                    lambda word: _shaped(bench, where, word), "round")
            Field(bench, f"{where}.count", "How many", hint="1")
            if not round_:  # a bore stands above, with its slider
                Field(bench, f"{where}.width", "Slot width")
                _shared(bench, where)
            Field(bench, f"{where}.wall", "Wall of the tube" if round_ else "Board of the slot",
                  hint="3 mm")
            Field(bench, f"{where}.centres", "Between centres", hint="for two and more")
            Several(bench, f"{where}.given", "Given by", GIVEN,
                    lambda word: _given(bench, where, word),
                    "length" if "length" in port else "tuning")
            Field(bench, f"{where}.flare", "Rounding of both mouths", hint="0 mm")
            if round_:
                Field(bench, f"{where}.inner_bore", "Bore at the inner end", hint="as outside")
            Field(bench, f"{where}.bends", "Right-angled bends", hint="0")
            Field(bench, f"{where}.open_share", "Open share of a grille", hint="no grille")


def _shaped(bench: Bench, where: str, word: str) -> None:
    port = written(bench.session.design, where)
    if word == port.get("shape", "round"):
        return
    gone = {"bore": None, "inner_bore": None, "width": None, "height": None,
            "walls_shared": None, "shape": word}
    new = {"bore": "75 mm"} if word == "round" else {"width": "200 mm", "height": "30 mm"}
    change(bench, {f"{where}.{name}": value for name, value in {**gone, **new}.items()
                   if value is not None or name in port}, f"{where}.shape")


def _given(bench: Bench, where: str, word: str) -> None:
    result = _built(bench, where)
    if word in written(bench.session.design, where) or result is None:
        return
    value = f"{result.length * 1e3:.0f} mm" if word == "length" else f"{result.tuning:.1f} Hz"
    other = "tuning" if word == "length" else "length"
    change(bench, {f"{where}.{word}": value, f"{where}.{other}": None}, f"{where}.given")


def _shared(bench: Bench, where: str) -> None:
    words = {"0": "no wall shared", "1": "one wall", "3": "three: across the whole box"}
    Several(bench, f"{where}.walls_shared", "Walls shared with the box", words,
            lambda word: change(bench, {f"{where}.walls_shared": int(word)}), "0")


def _built(bench: Bench, where: str) -> Any:
    """The port worked out, by its path."""
    _, name, path = where.split(".", 2)
    found = None if bench.live is None else bench.live.workup.bass.chambers.get(name)
    return None if found is None else found.ports.get(path)


# --- fill, filter ---------------------------------------------------------------------------------


def _fill(bench: Bench, where: str, title: str) -> None:
    there = written(bench.session.design, where) is not None
    words = {NO_FILL: "none", **{name: name for name in TRADE_FILLS}, OWN_FILL: "by own figures"}
    with box("sw-group"):
        Words(title, "h3")
        if there:
            Words("The figures of the fills named here are rules of thumb: another packing changes "
                  "them two- to fourfold.", "p", "sw-quietly")
        with box("sw-fields"):
            Several(bench, f"{where}.named", "Fill", words,
                    lambda word: _filled(bench, where, word),
                    value=lambda: fill_named(written(bench.session.design, where)))
            if there:
                Field(bench, f"{where}.share", "Share of the air it takes up", hint="1")
                Field(bench, f"{where}.flow_resistivity", "Flow resistivity, Pa s/m²")
                Field(bench, f"{where}.bulk_density", "Density, kg/m³",
                      hint="fibres stand still")


def fill_named(fill: Mapping[str, Any] | None) -> str:
    """Which of the trade's fills a written fill is."""
    if fill is None:
        return NO_FILL
    given = fill.get("flow_resistivity"), fill.get("bulk_density")
    return next((name for name, known in TRADE_FILLS.items()
                 if given == (known.flow_resistivity, known.bulk_density)), OWN_FILL)


def _filled(bench: Bench, where: str, word: str) -> None:
    there = written(bench.session.design, where)
    if word == NO_FILL:
        if there is not None:
            change(bench, {where: None})
    elif word == OWN_FILL:
        if there is None:
            change(bench, {where: {"flow_resistivity": 3000.0}})
    else:
        known = TRADE_FILLS[word]
        change(bench, {where: {**(there or {}), "flow_resistivity": known.flow_resistivity,
                               "bulk_density": known.bulk_density}})


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


class Several:
    """A choice whose words change several values at once."""

    def __init__(
        self, bench: Bench, path: str, label: str, words: Mapping[str, str],
        picked: Callable[[str], Any], default: str = "", *,
        value: Callable[[], str] | None = None,
    ) -> None:
        self.bench, self.path, self._default, self._value = bench, path, default, value
        self._act = picked
        with box("sw-field") as part:
            part.props["data-path"] = path
            Words(label, "span", "sw-label")
            self.pick = Pick(words, self._now(), self._picked, label)
        self.pick.mark(path)
        bench.fields[path] = self
        bench.watch(self.show)

    def _now(self) -> str:
        if self._value is not None:
            return self._value()
        value = written(self.bench.session.design, self.path)
        return self._default if value is None else str(value)

    def _picked(self, word: str) -> None:
        self._act(word)
        if not self.pick.is_deleted:
            self.show()  # what was refused is not shown as picked

    def show(self) -> None:
        """Show what the design says."""
        self.pick.show(self._now())

    def point(self) -> None:
        """Bring the choice into view and focus it."""
        point_at(self.path)

"""Brief: what it must do, where, for whom, for how much; level and drive at every seat."""

from __future__ import annotations

from typing import Any

from speakerwright.words.blocks import Heading, Table
from speakerwright.words.units import write_like
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.controls import ChoiceField, Field, Turn
from speakerwright.workbench.pages.forms import (
    change,
    entries,
    fresh_name,
    group,
    table_group,
)
from speakerwright.workbench.parts import Button, Html, Words, blocks_html, box
from speakerwright.workbench.session import written

PLACES = {"free": "free-standing", "floor": "on the floor", "wall": "against a wall",
          "corner": "in a corner", "recess": "flush in a recess"}
WEIGHTINGS = {"A": "A-weighted", "C": "C-weighted", "Z": "unweighted"}
SPECTRA = {"programme": "IEC programme noise", "pink": "pink noise"}
ADDING = {"power": "by power: unlike signals", "pressure": "by pressure: one signal"}


def page(bench: Bench) -> None:
    """What is asked, and what follows at every seat."""
    with box("sw-bench"):
        Turn(bench, "brief.level.average", "Level at the seats")
        Turn(bench, "brief.level.crest", "Peaks above it", span_db=8.0)
        if written(bench.session.design, "brief.seats.farthest") is not None:
            Turn(bench, "brief.seats.farthest", "Farthest seat")
        Turn(bench, "brief.lowest", "Lowest frequency", octaves=1.0)
        Turn(bench, "brief.amplifier.power", "Amplifier", octaves=2.0)
    with box("sw-part"):
        Words("Level and drive at every seat", "h2")
        seats = Html(classes="sw-blocks")
    exposure = Html(classes="sw-blocks sw-after")
    _fields(bench)

    seen: list[object] = [None]

    def show() -> None:
        if bench.live is None or bench.live is seen[0]:
            return
        seen[0] = bench.live
        blocks = bench.live.chapters["brief"].blocks
        titles = [k for k, b in enumerate(blocks) if isinstance(b, Heading)]
        begin = next((k for k in titles if "every seat" in blocks[k].text), 0)  # type: ignore[union-attr]
        end = next((k for k in titles if k > begin), len(blocks))
        seats.show(blocks_html(blocks[begin + 1 : end]))
        rest = blocks[end:]
        exposure.show(blocks_html(rest)
                      if any(isinstance(b, Table) for b in rest) else "")

    bench.watch(show)


def _fields(bench: Bench) -> None:
    with box("sw-all"):
        Words("What is asked", "h2")
        Field(bench, "brief.use", "What it is for, where it stands, who listens", lines=2)
        group(bench, "Range", "brief", [
            ("lowest_drop", "Down there, at most", {"hint": "10 dB"}),
            ("highest", "Highest frequency", {"hint": "no end"}),
        ])
        _level(bench)
        _seats(bench)
        _surroundings(bench)
        _limits(bench)


def _level(bench: Bench) -> None:
    with box("sw-group"):
        Words("Level", "h3")
        with box("sw-fields"):
            ChoiceField(bench, "brief.level.weighting", "Weighting", WEIGHTINGS, default="A")
            ChoiceField(bench, "brief.level.spectrum", "Spectrum", SPECTRA, default="programme")
            ChoiceField(bench, "brief.level.at", "Asked at the seat that is",
                        {"farthest": "farthest", "nearest": "nearest"}, default="farthest")
            Field(bench, "brief.level.hours", "For how long", hint="like 4 h")
    with box("sw-group"):
        Words("Cabinets together", "h3")
        with box("sw-fields"):
            Field(bench, "brief.system.channels", "Channels", hint="1")
            Field(bench, "brief.system.cabinets_per_channel", "Cabinets in each", hint="1")
            ChoiceField(bench, "brief.system.adding", "Channels add", ADDING, default="power")
            Field(bench, "brief.system.companions", "Other designs with them", listed=True,
                  hint="their folders")


def _seats(bench: Bench) -> None:
    points = written(bench.session.design, "brief.seats.points") is not None
    if points:
        entries(bench, "Seats", "brief.seats.points", [
            ("name", "Seat"), ("distance", "Distance"),
            ("angle", "Off the axis", {"hint": "0 deg"}), ("height", "Ears above the floor"),
        ], lambda n: {"name": fresh_name(bench, "brief.seats.points", "seat"), "distance": "3 m"},
            "Add a seat", least=1)
        Button("Give a range instead", lambda: change(bench, {
            "brief.seats": _range(bench)}), classes="sw-quiet")
        return
    with group(bench, "Seats, as a range", "brief.seats", [
        ("nearest", "Nearest"), ("widest", "Farthest off the axis"),
        ("lowest_ear", "Lowest ear above the floor"), ("highest_ear", "Highest ear"),
        ("highest", "Farthest upwards"),
    ]):
        Button("Name the seats one by one instead", lambda: change(bench, {
            "brief.seats": {"points": _ends(bench)}}), classes="sw-quiet")


def _range(bench: Bench) -> dict[str, Any]:
    """The range from the nearest to the farthest of the named seats, as they are written."""
    named = zip(bench.session.design.decided.brief.seats.points,
                written(bench.session.design, "brief.seats.points"), strict=True)
    by = sorted(named, key=lambda seat: seat[0].distance)
    found = {"nearest": by[0][1]["distance"], "farthest": by[-1][1]["distance"]}
    angle, text = max(((abs(seat.angle), raw.get("angle")) for seat, raw in by),
                      key=lambda each: each[0])
    if angle and isinstance(text, str):
        found["widest"] = text.strip().lstrip("+-\u2212")
    ears = sorted(((seat.height, raw["height"]) for seat, raw in by if seat.height is not None),
                  key=lambda each: each[0])
    if ears:
        found |= {"lowest_ear": ears[0][1], "highest_ear": ears[-1][1]}
    return found


def _ends(bench: Bench) -> list[dict[str, Any]]:
    """The ends of the range as two seats: on the axis in front, off it at the back."""
    there: dict[str, Any] = written(bench.session.design, "brief.seats") or {}
    near = {"name": "nearest", "distance": there.get("nearest", "2 m")}
    far = {"name": "farthest", "distance": there.get("farthest", "4 m")}
    for seat, ear in ((near, "lowest_ear"), (far, "highest_ear")):
        if ear in there:
            seat["height"] = there[ear]
    if "widest" in there:
        far["angle"] = there["widest"]
    return [near, far]


def _surroundings(bench: Bench) -> None:
    with box("sw-group"):
        Words("Place", "h3")
        with box("sw-fields"):
            ChoiceField(bench, "brief.place.kind", "It stands", PLACES)
            Field(bench, "brief.place.wall_distance", "From the wall behind")
            ChoiceField(bench, "brief.place.before", "Before it",
                        {"nothing": "nothing", "grille": "a grille", "screen": "a screen"},
                        default="nothing")
            Field(bench, "brief.place.loss", "What that takes", hint="0 dB")
            Field(bench, "brief.place.to_floor", "Middle of the baffle to the floor",
                  hint="close by, or none")
            Field(bench, "brief.place.to_wall_behind", "To the wall behind",
                  hint="close by, or none")
            Field(bench, "brief.place.to_side_wall", "To the side wall", hint="close by, or none")
            Field(bench, "brief.place.reflection", "What these planes give back", hint="1")
            Field(bench, "brief.place.spacing", "Between the cabinets of a channel",
                  hint="side by side")
            Field(bench, "brief.place.wind", "Wind that it must stand", hint="indoors")
    table_group(bench, "Holes of the grille or screen", "brief.screen", [
        ("hole", "Hole"), ("open", "Open share"), ("thickness", "Thickness")],
        {"hole": "2 mm", "open": "40 %", "thickness": "1 mm"}, "Describe it")
    table_group(bench, "Room", "brief.room", [
        ("volume", "Volume"), ("reverberation_time", "Reverberation time"),
        ("size", "Length, width, height", {"listed": True, "hint": "18 m, 11 m, 5 m"}),
        ("directivity_index", "Directivity index assumed", {"hint": "the room then counts"}),
        ("noise", "Its own noise, A-weighted"),
        ("occupied", "With people in it", {"default": "yes"}),
    ], {"volume": "60 m^3", "reverberation_time": "0.5 s"}, "Describe the room")
    group(bench, "Amplifier of one cabinet", "brief.amplifier", [
        ("load", "Into"), ("peak_voltage", "Peak voltage"), ("peak_current", "Peak current"),
        ("gain", "Gain"), ("noise", "Noise at its output"),
    ])
    group(bench, "Air", "brief.air", [
        ("temperature", "Temperature", {"hint": "20 degC"}),
        ("pressure", "Pressure", {"hint": "101.325 kPa"}),
        ("humidity", "Humidity", {"hint": "50 %"}),
    ])


def _limits(bench: Bench) -> None:
    group(bench, "Size and mass, at most", "brief.size", [
        ("width", "Width", {"hint": "no limit"}), ("height", "Height", {"hint": "no limit"}),
        ("depth", "Depth", {"hint": "no limit"}), ("mass", "Mass", {"hint": "no limit"}),
    ])
    table_group(bench, "Response wanted at the seat", "brief.target", [
        ("tolerance", "Tolerance, up and down")], {"tolerance": "3 dB"}, "Set a tolerance")
    if written(bench.session.design, "brief.target") is not None:
        entries(bench, "Points of the response wanted", "brief.target.points", [
            ("0", "Frequency"), ("1", "Level"),
        ], lambda n: _next_point(bench), "Add a point",
            note="The level wanted at a frequency, against the rest of the band.")
    table_group(bench, "Budget", "brief.budget", [
        ("total", "In all", {"hint": "a plain number"}), ("cabinets", "For how many cabinets")],
        {"total": 500, "cabinets": 2}, "Set a budget")
    entries(bench, "What it must beat", "brief.beat", [
        ("name", "Alternative"), ("price", "Price", {"hint": "a plain number"}),
        ("level", "Level"), ("lowest", "Lowest frequency"), ("width", "Width"),
        ("height", "Height"), ("depth", "Depth"), ("mass", "Mass"),
    ], lambda n: {"name": fresh_name(bench, "brief.beat", "alternative")}, "Add an alternative")


def _next_point(bench: Bench) -> list[str]:
    """A point an octave above the last one, level with it; the first at the lowest frequency."""
    brief = bench.session.design.decided.brief
    points = written(bench.session.design, "brief.target.points") or []
    if not points or brief.target is None:
        return [written(bench.session.design, "brief.lowest"), "0 dB"]
    last = 2.0 * brief.target.points[-1][0]
    return [str(write_like(min(last, 20e3), "frequency", points[-1][0])), points[-1][1]]

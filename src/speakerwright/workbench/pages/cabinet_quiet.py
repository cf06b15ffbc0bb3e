"""The air inside the cabinet: its modes on request, with and without braces and lining."""

from __future__ import annotations

from functools import partial

from speakerwright.cabinet import quiet_air_shown
from speakerwright.chain.air import air_in, air_request, air_rooms
from speakerwright.chain.requests import Request
from speakerwright.chain.store import Outcome
from speakerwright.design.document import Design
from speakerwright.workbench.bench import Bench
from speakerwright.workbench.charts import LiveChart
from speakerwright.workbench.pages.bass_rest import Folded
from speakerwright.workbench.parts import Html, Words, blocks_html, box
from speakerwright.workbench.requests import OnRequest


def air_part(bench: Bench) -> None:
    """A folded part with a button for every chamber whose air a driver moves."""
    part = Folded(bench, "air", "Air inside")
    with part.inside():
        rooms = air_rooms(bench.session.design)
        if not rooms:
            Words("No closed chamber is loaded by a driver.", "p", "sw-quietly")
            return
        Words("The air of a chamber rings at its own modes. Those that the cone feeds come out "
              "through the port, or hold the cone back; braces move them, lining takes them down.",
              "p", "sw-quietly")
        for room in rooms:
            with box("sw-group"):
                if len(rooms) > 1:
                    Words(f"Chamber {room}", "h3")
                OnRequest(
                    bench, f"air {room}",
                    "Work out the air inside" if len(rooms) == 1 else f"Work out the air of {room}",
                    partial(_request, room), _draw,
                    tip="It takes some seconds; it goes on while you work",
                )


def _request(room: str, design: Design) -> Request:
    return air_request(design, room)


def _draw(outcome: Outcome) -> None:
    found = air_in(outcome)
    with box("sw-charts"):
        for chart in quiet_air_shown.charts(found):
            LiveChart(chart)
    Html(blocks_html(quiet_air_shown.words(found)), classes="sw-blocks")

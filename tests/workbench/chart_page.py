"""A page of its own with charts and a solid, for the tests in the browser: PORT as argument."""

from __future__ import annotations

import sys
import time

import chart_data
from nicegui import run, ui

from speakerwright.drawing.charts import Chart
from speakerwright.workbench.cabinet3d import CabinetView
from speakerwright.workbench.charts import LiveChart


def slow(value: float, names: tuple[str, ...]) -> list[Chart]:
    """Charts that take 7 ms to work out, as a design would."""
    began = time.perf_counter()
    made = [chart_data.response(0.02 * value, name) for name in names]
    while time.perf_counter() - began < 0.007:
        pass
    return made


@ui.page("/charts")
def charts() -> None:
    dark = ui.dark_mode()
    state = {"shift": 0.0}
    views: list[LiveChart] = []

    def further() -> None:
        state["shift"] -= 2.0
        views[0].show(chart_data.response(state["shift"]))
        views[3].show(chart_data.far(state["shift"]))
        inside.show(chart_data.response(state["shift"], "inside"))

    with ui.row():
        ui.button("theme", on_click=dark.toggle)
        ui.button("further", on_click=further)
        ui.button("keep", on_click=lambda: views[0].hold("v2", chart_data.response(-6.0)))
        ui.button("let go", on_click=lambda: views[0].release("v2"))
    with ui.column().style("width: 760px; background: transparent"):
        views += [LiveChart(chart_data.response()), LiveChart(chart_data.crowded()),
                  LiveChart(chart_data.impedance())]
    with ui.tabs() as tabs:
        one, two = ui.tab("one"), ui.tab("two")
    with ui.tab_panels(tabs, value=one, keep_alive=False).classes("w-full"):
        with ui.tab_panel(one):
            ui.label("nothing here")
        with ui.tab_panel(two):
            inside = LiveChart(chart_data.response(0.0, "inside"))
    ui.element("div").style("height: 2500px")
    views.append(LiveChart(chart_data.far()))


@ui.page("/solid")
def solid() -> None:
    dark = ui.dark_mode()
    view = CabinetView(height_px=400)
    view.show(chart_data.box_parts())
    chosen = ui.label("chosen: nothing").props("id=chosen")
    view.on_select(lambda name: chosen.set_text(f"chosen: {name}"))
    with ui.row():
        ui.button("theme", on_click=dark.toggle)
        ui.button("more", on_click=lambda: view.show(chart_data.box_parts(more=True)))
        ui.button("foul", on_click=lambda: view.show(chart_data.box_parts(),
                                                     [("block", "bottom")]))
        ui.button("inches", on_click=lambda: view.set_units("inch"))


@ui.page("/speed")
def speed() -> None:
    names = ("one", "two", "three", "four")
    views: list[LiveChart] = []

    async def turn(event: object) -> None:
        made = await run.io_bound(slow, event.value, names)  # type: ignore[attr-defined]
        for view, chart in zip(views, made, strict=True):
            view.show(chart)

    ui.slider(min=0, max=100, value=0, on_change=turn)
    with ui.grid(columns=2).classes("w-full"):
        views += [LiveChart(chart_data.response(0.0, name)) for name in names]


if __name__ in ("__main__", "__mp_main__"):
    ui.run(host="127.0.0.1", port=int(sys.argv[1]), reload=False, show=False,
           show_welcome_message=False)

"""The charts and solids that the page in the browser and its tests share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from speakerwright.drawing.charts import (
    Axis,
    Chart,
    Curve,
    Mark,
    Region,
    frequency_axis,
    level_axis,
    linear_axis,
)
from speakerwright.solids.bodies import box_body
from speakerwright.words.evidence import Evidence

FREQUENCY = np.geomspace(20.0, 20000.0, 241)
VALID = (20.0, 2000.0)
CAPTION = "Level for 2.83 V at 1 m, half space."


def response(shift_db: float = 0.0, key: str = "response") -> Chart:
    """Flat, rising and falling curves, far enough apart for a pixel to belong to one of them."""
    x = FREQUENCY
    tilt = np.log10(x / 20.0)
    flat = 90.0 + shift_db + 0.0 * x
    return Chart(
        key, "Response", frequency_axis(), level_axis(50.0, 100.0),
        (Curve("sum", "sum", Evidence.MEASURED, x, flat, band=(flat - 1.5, flat + 1.5)),
         Curve("low", "low", Evidence.SIMULATED, x, 84.0 + shift_db - 4.0 * tilt, valid=VALID),
         Curve("high", "high", Evidence.DATASHEET, x, 61.0 + shift_db + 4.0 * tilt)),
        regions=(Region(x[x < 60.0], -np.inf, 57.0, "beyond linear excursion"),),
        marks=(Mark(1000.0, None, "crossing"), Mark(200.0, 95.0, "peak")),
        caption=CAPTION,
    )


def crowded() -> Chart:
    """Six curves that end in one place, over the same axis."""
    x = FREQUENCY
    names = ("sum", "low", "mid", "high", "port", "target")
    lines = tuple(Curve(f"{name} end", name, Evidence.SIMULATED, x,
                        75.0 + 0.3 * n + (n - 2) * np.log10(20000.0 / x))
                  for n, name in enumerate(names))
    return Chart("crowded", "Crowded", frequency_axis(), level_axis(60.0, 90.0), lines)


def impedance() -> Chart:
    """A chart over another axis, with a right axis."""
    x = np.geomspace(10.0, 1000.0, 200)
    return Chart(
        "impedance", "Impedance", frequency_axis(10.0, 1000.0, "Frequency of the sine"),
        linear_axis("Impedance", "Ω", [[0.0, 60.0]]),
        (Curve("magnitude", "low", Evidence.SIMULATED, x, 6.0 + 40.0 / (1.0 + (x / 40.0 - 1) ** 2)),
         Curve("phase", "sum", Evidence.SIMULATED, x, 60.0 * np.sin(np.log(x)), axis="right")),
        right=Axis("Phase", "°", -90.0, 90.0, "linear", 45.0),
    )


def far(shift_db: float = 0.0) -> Chart:
    """A chart that stands far below the first screen."""
    return replace(response(shift_db, "far"), title="Far below")


WIDTH, DEPTH, HEIGHT, WALL = 200.0, 240.0, 300.0, 20.0


def box_parts(*, more: bool = False) -> list[dict[str, object]]:
    """Two sides, top, bottom, back of a box (open in front), and a block in it, as meshes."""
    from speakerwright.workbench.cabinet3d import mesh_parts

    w, d, h, t = 0.5 * WIDTH, DEPTH, HEIGHT, WALL
    boxes = [
        ("left side", (-w, 0.0, 0.0), (t - w, d, h)), ("right side", (w - t, 0.0, 0.0), (w, d, h)),
        ("bottom", (t - w, 0.0, 0.0), (w - t, d, t)), ("top", (t - w, 0.0, h - t), (w - t, d, h)),
        ("back", (t - w, d - t, t), (w - t, d, h - t)), ("block", (-15, 60, 20), (15, 90, 50)),
    ]
    if more:
        boxes.append(("shelf", (t - w, 50.0, 200.0), (w - t, d - t, 210.0)))
    return mesh_parts((), [box_body(name, low, high, kind="panel") for name, low, high in boxes])

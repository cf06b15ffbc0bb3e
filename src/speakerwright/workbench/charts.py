"""The live curve component: a `Chart` on a page, repainted as fast as it is turned.

The curves travel as one block of 32-bit floats, and only while the chart is on screen; the
painting is our own (`static/plot`), by the rules that the printed charts follow.
"""

from __future__ import annotations

import base64
import math
from pathlib import Path
from typing import Any

import font_source_sans_pro
import numpy as np
from nicegui import ui
from nicegui.events import GenericEventArguments
from numpy.typing import ArrayLike, NDArray

from speakerwright.drawing import palette
from speakerwright.drawing.charts import Axis, Chart, Curve

THEMES: tuple[palette.Theme, ...] = ("light", "dark")
_GROUNDS = ("paper", "ink", "quiet", "grid", "faint", "outside")
_LARGEST = float(np.finfo(np.float32).max)


def palettes() -> dict[str, Any]:
    """The colours of both themes and the dashes of all evidence, as the page takes them."""
    themes: dict[str, Any] = {
        theme: {
            "parts": {part: palette.colour(part, theme) for part in palette.PARTS},
            "ground": {what: palette.ground(what, theme) for what in _GROUNDS},
            "verdicts": {str(verdict.value): getattr(mark, theme)
                         for verdict, mark in palette.VERDICTS.items()},
        }
        for theme in THEMES
    }
    return {**themes, "lines": {str(kind): list(dash) for kind, dash in palette.LINES.items()}}


def font_folder() -> Path:
    """The folder of the one typeface's files."""
    return Path(font_source_sans_pro.font_files_otf["SourceSansPro"]).parent


class _Block:
    """Arrays one behind the other; an array that is already there is not sent again."""

    def __init__(self) -> None:
        self._parts: list[NDArray[np.float32]] = []
        self._known: dict[bytes, tuple[int, int]] = {}
        self._size = 0

    def add(self, values: ArrayLike) -> tuple[int, int]:
        """Put an array in; where it begins and how long it is, in numbers."""
        bounded = np.clip(np.asarray(values, dtype=np.float64), -_LARGEST, _LARGEST)
        part = np.ravel(bounded).astype("<f4")
        key = part.tobytes()
        if key not in self._known:
            self._known[key] = (self._size, part.size)
            self._parts.append(part)
            self._size += part.size
        return self._known[key]

    def text(self) -> str:
        """All of it in base 64."""
        return base64.b64encode(b"".join(part.tobytes() for part in self._parts)).decode("ascii")


def packed(chart: Chart) -> tuple[dict[str, Any], str]:
    """A chart as it is sent: a header of words and places, and its numbers as 32-bit floats.

    Parameters
    ----------
    chart : Chart
        Infinite edges of regions become the largest 32-bit number.

    Returns
    -------
    header : dict
        What JSON can hold; arrays are given as (begin, length) in the block.
    block : str
        Little-endian 32-bit floats in base 64.
    """
    block = _Block()
    header = {
        "key": chart.key,
        "title": chart.title,
        "caption": chart.caption,
        "words": described(chart),
        "ratio": chart.height_over_width,
        "x": _axis(chart.x),
        "y": _axis(chart.y),
        "right": None if chart.right is None else _axis(chart.right),
        "curves": [
            {"name": curve.name, "part": curve.part, "evidence": str(curve.evidence),
             "x": block.add(curve.x), "y": block.add(curve.y), "valid": _valid(curve),
             "axis": curve.axis,
             "band": None if curve.band is None else [block.add(edge) for edge in curve.band]}
            for curve in chart.curves
        ],
        "regions": [
            {"x": block.add(region.x), "low": block.add(region.low),
             "high": block.add(region.high), "reason": region.reason}
            for region in chart.regions
        ],
        "marks": [{"x": mark.x, "y": mark.y, "text": mark.text} for mark in chart.marks
                  if math.isfinite(mark.x) and (mark.y is None or math.isfinite(mark.y))],
    }
    return header, block.text()


def _axis(axis: Axis) -> dict[str, Any]:
    return {"label": axis.label, "unit": axis.unit, "heading": axis.heading, "low": axis.low,
            "high": axis.high, "scale": axis.scale, "step": axis.step}


def _valid(curve: Curve) -> list[float | None] | None:
    if curve.valid is None:
        return None
    return [float(end) if math.isfinite(end) else None for end in curve.valid]


def described(chart: Chart) -> str:
    """The chart in words, for those who do not see it: title, axes and each curve's ends."""
    said = [f"{chart.title}: {chart.y.heading} over {chart.x.heading}."]
    for curve in chart.curves:
        axis = chart.right if curve.axis == "right" and chart.right else chart.y
        seen = np.flatnonzero(np.isfinite(curve.x) & np.isfinite(curve.y)
                              & (curve.x >= chart.x.low) & (curve.x <= chart.x.high))
        if not seen.size:
            said.append(f"{curve.name}: nothing to show.")
            continue
        first, last = (f"{curve.y[k]:.3g} {axis.unit}".strip() + f" at {curve.x[k]:.3g} "
                       f"{chart.x.unit}".rstrip() for k in (seen[0], seen[-1]))
        said.append(f"{curve.name}, {curve.evidence}: from {first} to {last}.")
    said += [f"Limit: {region.reason}." for region in chart.regions if region.reason]
    said += [f"{mark.text} at {mark.x:.3g} {chart.x.unit}".rstrip() + "." for mark in chart.marks]
    return " ".join(said)


class LiveChart(ui.element, component="static/live_chart.js",
                esm={"speakerwright-plot": "static/plot"}):
    """A chart on the page.

    It follows the page's dark mode, shares cursor and zoom with the other charts over the same
    axis, and asks for numbers only while it is on screen.

    Parameters
    ----------
    chart : Chart, optional
        What it shows first.
    """

    def __init__(self, chart: Chart | None = None) -> None:
        super().__init__()
        self.props["palettes"] = palettes()
        self.add_resource(font_folder())
        self.chart = chart
        self.held: dict[str, Chart] = {}
        self._revision = 0 if chart is None else 1
        self._sent = 0
        self._held_sent: dict[str, Chart] = {}
        self._on_screen = False
        self.on("seen", self._seen)

    @property
    def on_screen(self) -> bool:
        """Whether the page has said that it can be seen."""
        return self._on_screen

    def show(self, chart: Chart) -> None:
        """Show another chart in its place; sent now or when it is next on screen."""
        if chart is self.chart:
            return
        self.chart = chart
        self._revision += 1
        self._send()

    def hold(self, name: str, chart: Chart) -> None:
        """Keep a chart's curves, thin and pale, behind what is shown, under a name."""
        self.held[name] = chart
        self._send()

    def release(self, name: str) -> None:
        """Let go of held curves; nothing happens when there are none of that name."""
        self.held.pop(name, None)
        self._send()

    def _seen(self, event: GenericEventArguments) -> None:
        self._on_screen = bool(event.args.get("visible"))
        if event.args.get("fresh"):  # the element was made anew on the page and knows nothing
            self._sent = 0
            self._held_sent = {}
        self._send()

    def _send(self) -> None:
        if not self._on_screen or self.is_deleted:
            return
        for name in [name for name, chart in self._held_sent.items()
                     if self.held.get(name) is not chart]:
            del self._held_sent[name]
            if name not in self.held:
                self.run_method("release", name)
        for name, chart in self.held.items():
            if name not in self._held_sent:
                self._held_sent[name] = chart
                self.run_method("hold", name, *packed(chart))
        if self.chart is not None and self._sent != self._revision:
            self._sent = self._revision
            header, block = packed(self.chart)
            self.run_method("show", header, block, self._revision)

"""Charts on paper: a `Chart` painted to SVG with every position worked out in millimetres.

The painting library draws lines and words only; ticks, fields and places of labels are ours, so
that paper and screen agree and nothing depends on locale, clock or directory.
"""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from speakerwright.drawing.charts import Axis, Chart, Curve, Mark, Region, ticks
from speakerwright.drawing.labels import Placer, fits_in_band, spread
from speakerwright.drawing.lettering import (
    TEXT_PT,
    clean,
    font,
    shortened,
    text_width_mm,
    wrapped,
)
from speakerwright.drawing.palette import LINES, colour, ground

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Floats = NDArray[np.float64]

TITLE_PT = 9.5
LINE_MM = 3.5
_TALLEST_MM = 120.0
_STYLE: dict[str, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "speakerwright",
    "svg.id": None,
    "text.parse_math": False,
    "text.usetex": False,
    "path.simplify": True,
    "path.simplify_threshold": 1.0 / 9.0,
    "path.sketch": None,
    "path.effects": [],
    "axes.unicode_minus": True,
    "lines.scale_dashes": True,
    "hatch.linewidth": 0.4,
}


@dataclass(frozen=True)
class _Field:
    """The picture's size and its plotting field, in mm, y upwards from the bottom edge."""

    width_mm: float
    height_mm: float
    left_mm: float
    right_mm: float
    bottom_mm: float
    top_mm: float

    def x_mm(self, axis: Axis, values: ArrayLike) -> Floats:
        return self.left_mm + axis.fraction(values) * (self.right_mm - self.left_mm)

    def y_mm(self, axis: Axis, values: ArrayLike) -> Floats:
        return self.bottom_mm + axis.fraction(values) * (self.top_mm - self.bottom_mm)


class _Sheet:
    """What the parts of the painting share: canvas, field, placer, measure of words."""

    def __init__(self, axes: Axes, field: _Field, placer: Placer) -> None:
        from matplotlib.patches import Rectangle

        self.axes, self.field, self.placer = axes, field, placer
        self.clip = Rectangle(
            (field.left_mm, field.bottom_mm),
            field.right_mm - field.left_mm,
            field.top_mm - field.bottom_mm,
            transform=axes.transData,
        )

    def line(self, x: ArrayLike, y: ArrayLike, tone: str, width_pt: float, **more: Any) -> None:
        clip = more.pop("clip", False)
        (drawn,) = self.axes.plot(x, y, color=tone, linewidth=width_pt, **more)
        drawn.set_clip_on(bool(clip))
        if clip:
            drawn.set_clip_path(self.clip)

    def say(self, x_mm: float, y_mm: float, text: str, tone: str, **more: Any) -> None:
        more.setdefault("va", "baseline")
        more.setdefault("fontsize", TEXT_PT)
        face = font(more.pop("fontsize"), bold=more.pop("bold", False))
        self.axes.text(x_mm, y_mm, clean(text), color=tone, fontproperties=face, **more)


def svg(chart: Chart, width_mm: float = 165.0, height_mm: float | None = None) -> str:
    """A chart as SVG text; equal charts give equal text.

    Parameters
    ----------
    chart : Chart
        Its caption is left to the page.
    width_mm : float
        Width of the picture, from 60 mm.
    height_mm : float, optional
        Height of the picture, from 35 mm. On a response chart the plotting field keeps
        `DB_PER_DECADE` and becomes narrower when this height asks for it.

    Returns
    -------
    str
        SVG whose words are text in Source Sans Pro, 8 points and more.

    Raises
    ------
    ValueError
        When the picture would be too small to read.
    """
    if width_mm < 60.0 or (height_mm is not None and height_mm < 35.0):
        raise ValueError(f"a chart of {width_mm} by {height_mm} mm is too small to read")
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    with warnings.catch_warnings(), mpl.rc_context():
        warnings.simplefilter("ignore")
        mpl.rcdefaults()
        parameters: Any = mpl.rcParams
        parameters.update({key: value for key, value in _STYLE.items() if key in parameters})
        field = _field(chart, width_mm, height_mm)
        figure = Figure(figsize=(field.width_mm / 25.4, field.height_mm / 25.4), dpi=72)
        canvas: Any = FigureCanvasSVG(figure)
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_axis_off()
        axes.set_xlim(0.0, field.width_mm)
        axes.set_ylim(0.0, field.height_mm)
        axes.set_autoscale_on(False)
        _paint(chart, _Sheet(axes, field, Placer(
            field.left_mm, field.right_mm, field.bottom_mm, field.top_mm)))
        page = io.BytesIO()
        told = {"Date": None, "Creator": None, "Title": clean(chart.title)}
        canvas.print_svg(page, metadata=told)
    return page.getvalue().decode("utf-8")


def _field(chart: Chart, width_mm: float, height_mm: float | None) -> _Field:
    """Work out the margins from the words that stand in them."""
    left = 3.5 + _labels_width(chart.y)
    right = 3.5 + _labels_width(chart.right) if chart.right else 3.0
    top = (6.0 if chart.title else 1.5) + 4.5
    bottom = 9.5
    if chart.right is None:
        ends = [text_width_mm(curve.name) for curve in chart.curves if _at_right(chart, curve)]
        right = max([right, *(3.5 + end for end in ends if end <= 0.2 * width_mm)])
    across = width_mm - left - right
    ratio = chart.height_over_width
    tall = 0.42 * across if ratio is None else ratio * across
    most = (height_mm or _TALLEST_MM) - top - bottom
    if height_mm is not None and ratio is None:
        tall = most
    elif tall > most:
        tall, across = most, across * most / tall
    return _Field(width_mm, tall + top + bottom, left, left + across, bottom, bottom + tall)


def _labels_width(axis: Axis) -> float:
    return max((text_width_mm(label) for label in ticks(axis).labels), default=0.0)


def _axis_of(chart: Chart, curve: Curve) -> Axis:
    return chart.right if curve.axis == "right" and chart.right else chart.y


def _at_right(chart: Chart, curve: Curve) -> bool:
    """Whether the curve leaves the plotting field through its right edge."""
    return _end_fraction(chart, curve) is not None


def _end_fraction(chart: Chart, curve: Curve) -> float | None:
    across = chart.x.fraction(curve.x)
    up = _axis_of(chart, curve).fraction(curve.y)
    good = np.isfinite(across) & np.isfinite(up)
    if not good.any() or chart.right is not None:
        return None
    across, up = across[good], up[good]
    order = np.argsort(across, kind="stable")
    if across[order[-1]] < 0.985:
        return None
    end = float(np.interp(1.0, across[order], up[order]))
    return end if 0.0 <= end <= 1.0 else None


def _paint(chart: Chart, sheet: _Sheet) -> None:
    _divisions(chart, sheet)
    for region in chart.regions:
        _shade(chart, sheet, region)
    for curve in chart.curves:
        _draw(chart, sheet, curve)
    _frame(chart, sheet)
    for mark in chart.marks:
        _point(chart, sheet, mark)
    for region in chart.regions:
        _reason(chart, sheet, region)
    _names(chart, sheet)


def _divisions(chart: Chart, sheet: _Sheet) -> None:
    """Grid, labels and headings of the axes."""
    field, quiet = sheet.field, ground("quiet")
    most = max(2, int((field.right_mm - field.left_mm) / 7.5))
    along = ticks(chart.x, most)
    for values, tone, width in ((along.minor, "faint", 0.35), (along.major, "grid", 0.5)):
        for x in field.x_mm(chart.x, values):
            sheet.line([x, x], [field.bottom_mm, field.top_mm], ground(tone), width)
    for x, label in zip(field.x_mm(chart.x, along.major), along.labels, strict=True):
        sheet.say(x, field.bottom_mm - 3.8, label, quiet, ha="center")
    sheet.say(field.right_mm, field.bottom_mm - 8.0, chart.x.heading, quiet, ha="right")
    most = max(2, int((field.top_mm - field.bottom_mm) / 4.5))
    for axis, edge, side in ((chart.y, field.left_mm - 1.3, "right"),
                             (chart.right, field.right_mm + 1.3, "left")):
        if axis is None:
            continue
        up = ticks(axis, most)
        if axis is chart.y:
            for values, tone, width in ((up.minor, "faint", 0.35), (up.major, "grid", 0.5)):
                for y in field.y_mm(axis, values):
                    sheet.line([field.left_mm, field.right_mm], [y, y], ground(tone), width)
        for y, label in zip(field.y_mm(axis, up.major), up.labels, strict=True):
            sheet.say(edge, y - 0.95, label, quiet, ha=side)


def _frame(chart: Chart, sheet: _Sheet) -> None:
    field = sheet.field
    sheet.line(
        [field.left_mm, field.right_mm, field.right_mm, field.left_mm, field.left_mm],
        [field.bottom_mm, field.bottom_mm, field.top_mm, field.top_mm, field.bottom_mm],
        ground("quiet"), 0.6,
    )
    if chart.title:
        title = shortened(chart.title, 0.92 * field.width_mm, TITLE_PT)
        sheet.say(0.3, field.height_mm - 3.6, title, ground("ink"), bold=True,
                  fontsize=TITLE_PT)
    sheet.say(0.3, field.top_mm + 1.5, chart.y.heading, ground("quiet"))
    if chart.right is not None:
        sheet.say(field.width_mm - 0.3, field.top_mm + 1.5, chart.right.heading, ground("quiet"),
                  ha="right")


def _shade(chart: Chart, sheet: _Sheet, region: Region) -> None:
    field = sheet.field
    x = field.x_mm(chart.x, region.x)
    low, high = _edges(chart, sheet, region)
    tone = colour("limit")
    shape = sheet.axes.fill_between(x, low, high, facecolor=tone, alpha=0.13, linewidth=0)
    shape.set_clip_path(sheet.clip)
    for edge in (low, high):
        inner = np.where((edge > field.bottom_mm) & (edge < field.top_mm), edge, np.nan)
        sheet.line(x, inner, tone, 0.6, clip=True)


def _edges(chart: Chart, sheet: _Sheet, region: Region) -> tuple[Floats, Floats]:
    """Lower and upper edge of a region in mm, inside the field; empty where either is unknown."""
    field = sheet.field
    low, high = field.y_mm(chart.y, region.low), field.y_mm(chart.y, region.high)
    if chart.y.scale == "log":
        low = np.where(region.low <= 0.0, field.bottom_mm, low)
    lost = np.isnan(low) | np.isnan(high)
    low, high = (np.clip(edge, field.bottom_mm, field.top_mm) for edge in (low, high))
    return np.where(lost, field.bottom_mm, low), np.where(lost, field.bottom_mm, high)


def _draw(chart: Chart, sheet: _Sheet, curve: Curve) -> None:
    field, axis = sheet.field, _axis_of(chart, curve)
    tone, width = colour(curve.part), 1.5 if curve.part == "sum" else 1.2
    x, y = field.x_mm(chart.x, curve.x), field.y_mm(axis, curve.y)
    y = np.where(np.isfinite(y), np.clip(y, -1e4, 1e4), np.nan)
    dashes = LINES[curve.evidence]
    more: dict[str, Any] = {"clip": True, "solid_capstyle": "round", "solid_joinstyle": "round"}
    if dashes:
        more["linestyle"] = (0.0, dashes)
        more["dash_capstyle"] = "butt"
    if curve.band is not None:
        under, over = (np.clip(field.y_mm(axis, edge), -1e4, 1e4) for edge in curve.band)
        band = sheet.axes.fill_between(x, under, over, facecolor=tone, alpha=0.15, linewidth=0)
        band.set_clip_path(sheet.clip)
    if curve.valid is None:
        sheet.line(x, y, tone, width, **more)
    else:
        least = 1e-9 * chart.x.low if chart.x.scale == "log" else -np.inf
        ends = field.x_mm(chart.x, np.maximum(curve.valid, least))
        first, last = float(ends[0]), float(ends[1])
        for low, high, shade in ((-np.inf, first, ground("outside")), (first, last, tone),
                                 (last, np.inf, ground("outside"))):
            sheet.line(*_between(x, y, low, high), shade, width, **more)
    sheet.placer.keep_clear(x, y)


def _between(x: Floats, y: Floats, low: float, high: float) -> tuple[Floats, Floats]:
    """The part of a curve between two places, with points put where it is cut."""
    good = np.isfinite(x) & np.isfinite(y)
    cuts = [cut for cut in (low, high) if good.sum() > 1 and x[good].min() < cut < x[good].max()]
    order = np.argsort(x[good], kind="stable")
    extra = np.interp(cuts, x[good][order], y[good][order]) if cuts else np.zeros(0)
    joined, level = np.concatenate([x, cuts]), np.concatenate([y, extra])
    order = np.argsort(joined, kind="stable")
    joined, level = joined[order], level[order]
    inside = (joined >= low) & (joined <= high)
    return joined[inside], level[inside]


def _point(chart: Chart, sheet: _Sheet, mark: Mark) -> None:
    field, ink = sheet.field, ground("ink")
    x = float(field.x_mm(chart.x, mark.x))
    if not field.left_mm - 1e-6 <= x <= field.right_mm + 1e-6:
        return
    if mark.y is None:
        sheet.line([x, x], [field.bottom_mm, field.top_mm], ink, 0.6)
        sheet.placer.keep_clear(np.array([x, x]), np.array([field.bottom_mm, field.top_mm]))
        spots = [(x + side, field.top_mm - 3.4 - row * LINE_MM) for row in range(6)
                 for side in (0.8, -0.8 - text_width_mm(mark.text))]
    else:
        y = float(field.y_mm(chart.y, mark.y))
        if not field.bottom_mm - 1e-6 <= y <= field.top_mm + 1e-6:
            return
        sheet.line([x], [y], ink, 0.8, marker="o", markersize=4.0, markerfacecolor=ground("paper"),
                   linestyle="none")
        width = text_width_mm(mark.text)
        spots = [(x + dx, y + dy) for dy in (0.8, -3.4, 3.6, -6.2)
                 for dx in (1.2, -1.2 - width, -width / 2.0)]
    _put(sheet, [mark.text], spots, ink)


def _reason(chart: Chart, sheet: _Sheet, region: Region) -> None:
    """Write a region's reason where it has the most room."""
    if not region.reason or region.x.size < 2:
        return
    field = sheet.field
    x = field.x_mm(chart.x, region.x)
    low, high = _edges(chart, sheet, region)
    fits: list[tuple[float, float]] = []
    for count in range(1, 5):
        lines = wrapped(region.reason, count)
        width = max(text_width_mm(line) for line in lines)
        fits, roomy = fits_in_band(x, low, high, width, LINE_MM * len(lines))
        if roomy:
            break
    else:
        lines = [region.reason]
        fits, _ = fits_in_band(x, low, high, text_width_mm(region.reason), LINE_MM)
    _put(sheet, lines, fits, colour("limit"))


def _names(chart: Chart, sheet: _Sheet) -> None:
    """Name the curves: beside the field where they leave it, else along the line."""
    field = sheet.field
    ends: list[tuple[float, Curve]] = []
    room = field.width_mm - field.right_mm - 3.0
    for curve in (curve for curve in chart.curves if clean(curve.name).strip()):
        end = _end_fraction(chart, curve)
        if end is not None and text_width_mm(curve.name) <= room:
            ends.append((field.bottom_mm + end * (field.top_mm - field.bottom_mm), curve))
        else:
            _name_inside(chart, sheet, curve)
    ends.sort(key=lambda pair: pair[0])
    places = spread([end for end, _ in ends], LINE_MM, field.bottom_mm, field.top_mm)
    for (end, curve), place in zip(ends, places, strict=True):
        tone = colour(curve.part)
        sheet.line([field.right_mm, field.right_mm + 2.0], [end, place], tone, 0.5)
        sheet.say(field.right_mm + 2.6, place - 0.95, curve.name, tone)


def _name_inside(chart: Chart, sheet: _Sheet, curve: Curve) -> None:
    field = sheet.field
    x, y = field.x_mm(chart.x, curve.x), field.y_mm(_axis_of(chart, curve), curve.y)
    width = text_width_mm(curve.name)
    spots = sheet.placer.along(x, y, width, LINE_MM)
    _put(sheet, [curve.name], spots, colour(curve.part))


def _put(sheet: _Sheet, lines: list[str], spots: list[tuple[float, float]], tone: str) -> None:
    """Write lines at the best of the spots, on a ground that lets the grid step back."""
    if not any(lines) or not spots:
        return
    room = sheet.field.right_mm - sheet.field.left_mm - 1.2
    lines = [shortened(line, room) for line in lines]
    width = max(text_width_mm(line) for line in lines)
    x, y = sheet.placer.best(spots, width, LINE_MM * len(lines))
    for row, line in enumerate(reversed(lines)):
        sheet.say(x, y + 0.9 + row * LINE_MM, line, tone, bbox={
            "boxstyle": "square,pad=0.08", "facecolor": ground("paper"), "edgecolor": "none",
            "alpha": 0.75})

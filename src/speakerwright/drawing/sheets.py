"""A workshop drawing as a sheet: its scale, its caption line and its SVG.

Scales are those of ISO 5455, the projection sign that of ISO 5456-2 for first angle (both from
memory). A drawing is printed at its own size, or its scale would be untrue.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

import numpy as np

from speakerwright.drawing.lettering import FAMILY, clean
from speakerwright.drawing.marks import (
    CAPITALS,
    KINDS,
    TEXT_MM,
    Arc,
    Area,
    Box,
    Circle,
    Hatch,
    Line,
    Path,
    Text,
    boxes,
    extent,
    moved,
    simple,
    text_wide,
)

SCALES = (1, 2, 5, 10, 20, 50)
"""The reductions of ISO 5455 that a cabinet needs: 1:1, 1:2, 1:5 and so on."""
FIELD_MM = (165.0, 200.0)
"""Room for one drawing on a page of the plan."""
INK = "#1a1a1a"
LINE_MM = 4.4
"""From one line of words to the next."""
_BETWEEN_WORDS = re.compile(r"(?<!\d) | (?!\d+/\d)")
_SIGN_MM = 11.5
_LETTERED = {"metric": "millimetres", "inch": "inches"}


@dataclass(frozen=True, eq=False)
class Drawing:
    """A drawing: its items in mm on paper, y upwards from the lower left corner of the picture.

    Parameters
    ----------
    key : str
        A short stable name.
    title : str
    scale : int
        5 for 1:5; 0 for a drawing without scale.
    items : tuple
        Marks of `drawing.marks`.
    size_mm : tuple of float
        Width and height of the whole picture, with its caption.
    note : str
        What else stands in the caption: material, the face that is seen.
    system : {"metric", "inch"}
        The unit of its dimensions.
    projected : bool
        Whether views stand to each other by a projection, so that its sign is shown.
    """

    key: str
    title: str
    scale: int
    items: tuple[Any, ...]
    size_mm: tuple[float, float]
    note: str = ""
    system: str = "metric"
    projected: bool = True


def choose_scale(extent_mm: tuple[float, float], field_mm: tuple[float, float]) -> int:
    """The largest standard scale at which something fits: 5 for 1:5.

    Parameters
    ----------
    extent_mm, field_mm : tuple of float
        Width and height of the thing and of the room on paper, above zero.

    Raises
    ------
    ValueError
        When it does not fit even at the smallest scale.
    """
    for scale in SCALES:
        if all(size <= scale * room + 1e-9 for size, room in zip(extent_mm, field_mm, strict=True)):
            return scale
    raise ValueError(f"{extent_mm[0]:.0f} by {extent_mm[1]:.0f} mm does not fit on the paper")


def caption_mm(title: str, note: str, width_mm: float) -> float:
    """Height of the caption under a drawing of that width, with the rule above it."""
    return 2.8 + LINE_MM * (len(folded(title, width_mm - 1.0, bold=True)) + 1
                            + len(_note(note, width_mm)))


def laid_out(
    key: str, title: str, scale: int, items: Sequence[Any], box: Box, *, width_mm: float,
    note: str = "", system: str = "metric", projected: bool = True,
) -> Drawing:
    """A drawing just high enough for `items` within `box`, set in the middle of its width."""
    under = caption_mm(title, note, width_mm)
    dx = (width_mm - (box[2] - box[0])) / 2.0 - box[0]
    dy = under + 1.0 - box[1]
    size = (width_mm, under + 2.0 + box[3] - box[1])
    return Drawing(key, title, scale, tuple(moved(items, dx, dy)), size, note, system, projected)


def fitted(
    key: str, title: str, paint: Callable[[int], Sequence[Any]], field_mm: tuple[float, float],
    *, note: str = "", system: str = "metric", projected: bool = True,
) -> Drawing:
    """The drawing at the largest standard scale at which all of it fits in the field.

    `paint` draws everything, its dimensions too, at 1:scale. ValueError where no scale fits.
    """
    under = caption_mm(title, note, field_mm[0])
    for scale in SCALES:
        items = paint(scale)
        box = extent(items)
        if box[2] - box[0] <= field_mm[0] - 1.0 and box[3] - box[1] + under + 2.0 <= field_mm[1]:
            return laid_out(key, title, scale, items, box, width_mm=field_mm[0], note=note,
                            system=system, projected=projected)
    raise ValueError(f"the drawing {title!r} does not fit on the paper at any scale")


def text_boxes(drawing: Drawing) -> list[tuple[str, Box]]:
    """Every text of a drawing, its caption's too, with left, bottom, right and top in mm."""
    return boxes([*drawing.items, *_caption(drawing)])


def svg(drawing: Drawing) -> str:
    """A drawing as SVG in millimetres; equal drawings give equal text.

    Every element stands in a group whose class is the meaning of its line.

    Raises
    ------
    ValueError
        When a text leaves the picture, or a number is not finite.
    """
    wide, high = drawing.size_mm
    for text, (left, low, right, top) in text_boxes(drawing):
        if left < -0.05 or low < -0.05 or right > wide + 0.05 or top > high + 0.05:
            raise ValueError(f"the text {text!r} does not fit in the drawing {drawing.title!r}")
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}mm" height="{_n(high)}mm" '
        f'viewBox="0 0 {_n(wide)} {_n(high)}" fill="none" stroke="none" '
        f'stroke-linecap="round" stroke-linejoin="round" font-family="{FAMILY}">',
        f"<title>{escape(clean(drawing.title))}</title>",
        f'<rect width="{_n(wide)}" height="{_n(high)}" fill="#ffffff"/>',
    ]
    group = ""
    for item in simple([*drawing.items, *_caption(drawing)]):
        head, body = _element(item, high)
        if head != group:
            if group:
                lines.append("</g>")
            lines.append(head)
            group = head
        lines.append(body)
    lines += ["</g>"] if group else []
    return "\n".join([*lines, "</svg>", ""])


def scale_text(scale: int) -> str:
    """A scale as it is written: ``scale 1:5``, or ``not to scale`` for 0."""
    return f"scale 1:{scale}" if scale else "not to scale"


def _caption(drawing: Drawing) -> list[Any]:
    """The rule, the title, the scale with the units and the sign, and the note."""
    wide = drawing.size_mm[0]
    y = caption_mm(drawing.title, drawing.note, wide) - 1.6
    made: list[Any] = [Line((0.0, y), (wide, y), "dimension")]
    y -= 0.2
    for line in folded(drawing.title, wide - 1.0, bold=True):
        y -= LINE_MM
        made.append(Text((0.3, y + 0.6), line, bold=True))
    y -= LINE_MM
    made.append(Text((0.3, y + 0.6), f"{scale_text(drawing.scale).capitalize()}, "
                                     f"dimensions in {_LETTERED[drawing.system]}"))
    if drawing.projected:
        made += _first_angle(wide - _SIGN_MM, y + 0.6 + TEXT_MM / 2.0)
    for line in _note(drawing.note, wide):
        y -= LINE_MM
        made.append(Text((0.3, y + 0.6), line))
    return made


def _first_angle(x: float, y: float) -> list[Any]:
    """The sign of first-angle projection: a cone seen from the side, then from its left."""
    cone = np.array([(x, y - 0.8), (x + 4.2, y - 1.6), (x + 4.2, y + 1.6), (x, y + 0.8)])
    eye = (x + 8.6, y)
    return [
        Path(cone, "thin", closed=True), Circle(eye, 1.6, "thin"), Circle(eye, 0.8, "thin"),
        Line((x - 0.8, y), (x + 5.0, y), "dimension"),
        Line((eye[0] - 2.3, y), (eye[0] + 2.3, y), "dimension"),
        Line((eye[0], y - 2.1), (eye[0], y + 2.1), "dimension"),
    ]


def _note(note: str, width_mm: float) -> list[str]:
    return [line for part in note.split("\n") if part.strip()
            for line in folded(part, width_mm - 1.0)]


def folded(text: str, width_mm: float, *, bold: bool = False) -> list[str]:
    """Text broken at spaces into lines that fit; a word too long for a line is cut.

    A number is not parted from its fraction.
    """
    lines: list[str] = []
    for word in _BETWEEN_WORDS.split(clean(text)):
        while text_wide(word, bold=bold) > width_mm and len(word) > 1:
            fits = max(1, int(len(word) * width_mm / text_wide(word, bold=bold) * 0.9))
            lines.append(word[:fits])
            word = word[fits:]
        if lines and text_wide(f"{lines[-1]} {word}", bold=bold) <= width_mm:
            lines[-1] += f" {word}"
        elif word:
            lines.append(word)
    return lines


def _n(value: float) -> str:
    """A number to 0.001, without a needless tail or a negative zero."""
    if not math.isfinite(value):
        raise ValueError("a drawing has a place that is not finite")
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _group(kind: str, fill: str = "none") -> str:
    """The opening of a group whose elements have one line and one fill."""
    if not kind:
        return f'<g class="fill" fill="{fill}" fill-rule="evenodd">'
    line = KINDS[kind]
    dashes = " ".join(_n(dash) for dash in line.dashes_mm)
    dashed = f' stroke-dasharray="{dashes}" stroke-linecap="butt"' if dashes else ""
    return (f'<g class="{kind}" fill="{fill}" fill-rule="evenodd" stroke="{INK}" '
            f'stroke-width="{_n(line.width_mm)}"{dashed}>')


def _path(points: Any, high: float, closed: bool) -> str:
    places = [f"{_n(x)} {_n(high - y)}" for x, y in points]
    return "M" + "L".join(places) + ("Z" if closed else "")


def _element(item: Any, high: float) -> tuple[str, str]:
    """The group an item belongs to and its element."""
    if isinstance(item, Text):
        return '<g class="text">', _text(item, high)
    if isinstance(item, Hatch):
        data = "".join(_path(line, high, False) for line in item.lines())
        return _group("hatch"), f'<path d="{data}"/>'
    fill = getattr(item, "fill", "") or "none"
    shape = _shape(item, high)
    return _group(item.kind, fill), shape


def _shape(item: Any, high: float) -> str:
    """The element of a line, path, area, circle or arc; TypeError for anything else."""
    if isinstance(item, Line):
        (x1, y1), (x2, y2) = item.start, item.end
        return f'<line x1="{_n(x1)}" y1="{_n(high - y1)}" x2="{_n(x2)}" y2="{_n(high - y2)}"/>'
    if isinstance(item, Path):
        return f'<path d="{_path(item.points, high, item.closed)}"/>'
    if isinstance(item, Area):
        return f'<path d="{"".join(_path(ring, high, True) for ring in item.rings)}"/>'
    if isinstance(item, Circle):
        x, y = item.centre
        return f'<circle cx="{_n(x)}" cy="{_n(high - y)}" r="{_n(item.radius)}"/>'
    if isinstance(item, Arc):
        return _arc(item, high)
    raise TypeError(f"a drawing has no mark of type {type(item).__name__}")


def _arc(item: Arc, high: float) -> str:
    ends = [(item.centre[0] + item.radius * math.cos(math.radians(angle)),
             high - item.centre[1] - item.radius * math.sin(math.radians(angle)))
            for angle in (item.start_deg, item.end_deg)]
    large = int((item.end_deg - item.start_deg) % 360.0 > 180.0)
    radius = _n(item.radius)
    return (f'<path d="M{_n(ends[0][0])} {_n(ends[0][1])}A{radius} {radius} 0 {large} 0 '
            f'{_n(ends[1][0])} {_n(ends[1][1])}"/>')


def _text(item: Text, high: float) -> str:
    x, y = _n(item.at[0]), _n(high - item.at[1])
    turn = f' transform="rotate(-90 {x} {y})"' if item.turned else ""
    weight = ' font-weight="700"' if item.bold else ""
    back = ""
    if item.backed:
        left, low, right, top = item.box()
        back = (f'<rect x="{_n(left - 0.3)}" y="{_n(high - top - 0.3)}" '
                f'width="{_n(right - left + 0.6)}" height="{_n(top - low + 0.3)}" '
                f'fill="#ffffff"/>')
    return (f'{back}<text x="{x}" y="{y}" font-size="{_n(item.height_mm / CAPITALS)}" '
            f'text-anchor="{item.anchor}" fill="{INK}"{weight}{turn}>'
            f"{escape(clean(item.text))}</text>")

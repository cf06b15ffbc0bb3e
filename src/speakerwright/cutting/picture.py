"""A sheet's layout as a picture for the plan: parts with names and sizes, offcuts, the grain.

Positions are in mm on paper, y downwards, unless a name says mm on the sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import Any

from speakerwright.cutting.cutlist import plain
from speakerwright.cutting.setup import Operation, SetUp, Tilt, onto_sheet, tilts_on_sheet
from speakerwright.cutting.sheet import Placed, Rectangle, SheetLayout
from speakerwright.cutting.svg import f, path
from speakerwright.drawing.palette import ground

WIDEST_MM = 165.0
TALLEST_MM = 190.0
LEAST_MM = 150.0
"""The words below a narrow sheet may be as wide as this, mm."""

SCALES = (1, 2, 5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100)

LETTER_PT = 10.8
"""Size of letters: capitals of 0.66 em are then 2.5 mm high (ISO 3098-1, from memory)."""

LINE_MM = 4.4
_HIGH_MM = 3.4
_PAD_MM = 0.25
_STEPS = 60
_AROUND = ((0, -1), (1, 0), (-1, 0), (0, 1), (1, -1), (-1, -1), (1, 1), (-1, 1))
_ALONG = tuple(k / 20 for k in range(21))
ABOVE_MM = 5.0
"""How far above the sheet a number may stand, mm."""

LEAST_BEVEL_MM = 0.4
"""A bevel's second line nearer to the outline than this is not drawn, mm on paper."""

_HATCH_MM = 3.0


@dataclass(frozen=True, eq=False)
class SheetPicture:
    """One sheet's layout, drawn when it is asked for as text (`str`); `title` names it.

    Letters are measured with a heavy library, so a face that only prints tables draws nothing.
    """

    sheet: SheetLayout
    parts: Mapping[str, SetUp]
    title: str
    system: str = "metric"

    @property
    def scale(self) -> float:
        """The drawing's scale is 1 to this."""
        length, width = self.sheet.stock.length, self.sheet.stock.width
        return next((n for n in SCALES if length / n <= WIDEST_MM and width / n <= TALLEST_MM),
                    float(SCALES[-1]))

    @cached_property
    def text(self) -> str:
        """The picture as SVG in mm on paper."""
        return _Drawing(self).svg()

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True)
class _Label:
    """Lines of text about a centre, upright or reading upwards."""

    lines: tuple[str, ...]
    x: float
    y: float
    width: float
    height: float
    upwards: bool = False

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom on paper."""
        w, h = (self.height, self.width) if self.upwards else (self.width, self.height)
        return _about(self.x, self.y, w, h)


class _Drawing:
    """Everything on one picture; parts that cannot hold their words get a number and a line."""

    def __init__(self, picture: SheetPicture) -> None:
        self.picture = picture
        self.sheet = picture.sheet
        self.k = 1.0 / picture.scale
        self.top = self.sheet.stock.width
        self.wide = self.sheet.stock.length * self.k
        self.high = self.top * self.k
        self.room = max(self.wide, LEAST_MM)
        self.listed: list[str] = []
        self.numbered = 0
        self.taken: list[tuple[float, float, float, float]] = []

    def svg(self) -> str:
        ink, faint, paper = ground("ink"), ground("faint"), ground("paper")
        body = [f'<rect x="0" y="0" width="{f(self.wide)}" height="{f(self.high)}" '
                f'fill="{paper}" stroke="{ground("quiet")}" stroke-width="0.25"/>']
        body += [self._offcut(cut) for cut in self.sheet.offcuts]
        words: list[str] = []
        lying = {p.name: onto_sheet(self.picture.parts[p.name], p) for p in self.sheet.placed}
        for placed in self.sheet.placed:
            body += self._part(lying[placed.name], faint, ink, paper)
            body += self._bevels(placed)
        homeless = []
        for placed in self.sheet.placed:
            label = self._inside(placed, lying[placed.name])
            if label is None:
                homeless.append(placed)
            else:
                words.append(self._set(label, faint))
        words += [self._beside(placed) for placed in homeless]
        words += [self._set(label, paper) for label in self._offcut_labels()]
        foot = self._foot()
        high = self.high + (len(foot) + 0.6) * LINE_MM + 1.0
        edge = 0.3
        over = ABOVE_MM if any(box[1] < 0.0 for box in self.taken) else edge
        return "".join((
            '<svg xmlns="http://www.w3.org/2000/svg" ',
            f'width="{f(self.room + 2 * edge)}mm" height="{f(high + over + edge)}mm" ',
            f'viewBox="{f(-edge)} {f(-over)} {f(self.room + 2 * edge)} {f(high + over + edge)}">',
            f"<title>{escape(self.picture.title)}</title>",
            f'<g font-family="Source Sans Pro" font-size="{f(LETTER_PT * 25.4 / 72.0)}" ',
            f'fill="{ink}">', *body, *words, *foot, "</g></svg>",
        ))

    def _part(self, lying: tuple[Operation, ...], faint: str, ink: str, paper: str) -> list[str]:
        """The board shaded, openings white, pockets in thin lines."""
        found = []
        looks = {
            "outline": f'fill="{faint}" stroke="{ink}" stroke-width="0.35"',
            "pocket": f'fill="none" stroke="{ground("quiet")}" stroke-width="0.13"',
            "through": f'fill="{paper}" stroke="{ink}" stroke-width="0.25"',
            "drill": f'fill="{paper}" stroke="{ink}" stroke-width="0.18"',
        }
        for kind, look in looks.items():
            for one in lying:
                if one.kind != kind:
                    continue
                if one.circle is not None:
                    cx, cy, d = one.circle
                    found.append(f'<circle cx="{f(cx * self.k)}" cy="{f((self.top - cy) * self.k)}"'
                                 f' r="{f(d / 2 * self.k)}" {look}/>')
                else:
                    found.append(f'<path d="{path(one.rings, self.top, self.k)}" {look}/>')
        return found

    def _bevels(self, placed: Placed) -> list[str]:
        """The shorter face's edge of every bevel that can be told from the outline, dashed."""
        one = self.picture.parts[placed.name]
        return [f'<path d="M{f(x0 * self.k)} {f((self.top - y0) * self.k)}L{f(x1 * self.k)} '
                f'{f((self.top - y1) * self.k)}" fill="none" stroke="{ground("quiet")}" '
                'stroke-width="0.18" stroke-dasharray="1.2 0.6"/>'
                for tilt in tilts_on_sheet(one, placed) if self._shown(tilt)
                for (x0, y0), (x1, y1) in ((tilt.start, tilt.end),)]

    def _shown(self, tilt: Tilt) -> bool:
        return tilt.set_back * self.k >= LEAST_BEVEL_MM

    def _offcut(self, cut: Rectangle) -> str:
        """An offcut hatched by lines at 45 degrees, clipped by arithmetic."""
        x0, y0, x1, y1 = self._paper(cut)
        lines = []
        s = (x0 + y0) // _HATCH_MM * _HATCH_MM + _HATCH_MM
        while s < x1 + y1:
            left, right = max(x0, s - y1), min(x1, s - y0)
            lines.append(f"M{f(left)} {f(s - left)}L{f(right)} {f(s - right)}")
            s += _HATCH_MM
        return (f'<rect x="{f(x0)}" y="{f(y0)}" width="{f(x1 - x0)}" height="{f(y1 - y0)}" '
                f'fill="none" stroke="{ground("grid")}" stroke-width="0.18"/>'
                f'<path d="{"".join(lines)}" fill="none" stroke="{ground("grid")}" '
                'stroke-width="0.18"/>')

    def _paper(self, r: Rectangle | Placed) -> tuple[float, float, float, float]:
        return (r.x * self.k, (self.top - r.y - r.height) * self.k, (r.x + r.width) * self.k,
                (self.top - r.y) * self.k)

    def _inside(self, placed: Placed, lying: tuple[Operation, ...]) -> _Label | None:
        """The most that can be said inside a part, clear of openings and, if it can be, pockets."""
        import shapely

        outline = self._shape(next(one for one in lying if one.kind == "outline"))
        voids = [self._shape(one) for one in lying if one.kind in ("through", "drill")]
        pockets = [self._shape(one).boundary for one in lying if one.kind == "pocket"]
        clear = outline.buffer(-_PAD_MM).difference(shapely.union_all(voids).buffer(0.4))
        quiet = clear.difference(shapely.union_all(pockets).buffer(0.3)) if pockets else clear
        for region in (quiet, clear):
            for lines in self._wordings(placed):
                label = self._either_way(lines, region)
                if label is not None:
                    return label
        number = f"{self.numbered + 1}"
        names = [lines[:-1] for lines in self._wordings(placed) if len(lines) > 1]
        for lines in (*names, (number,)):
            label = self._either_way(lines, clear)
            if label is not None:
                self._list(self._number() if lines == (number,) else "", placed)
                return label
        return None

    def _wordings(self, placed: Placed) -> Iterator[tuple[str, ...]]:
        """Name and size on as few lines as they can be."""
        size, words = self._size(placed), placed.name.split(" ")
        yield placed.name, size
        for k in range(len(words) - 1, 0, -1):
            yield " ".join(words[:k]), " ".join(words[k:]), size
        yield (f"{placed.name}, {size}",)

    def _either_way(self, lines: tuple[str, ...], region: Any) -> _Label | None:
        for upwards in (False, True):
            label = self._placed(lines, region, upwards)
            if label is not None:
                self.taken.append(label.box)
                return label
        return None

    def _number(self) -> str:
        self.numbered += 1
        return f"{self.numbered}"

    def _list(self, number: str, placed: Placed) -> None:
        self.listed.append(f"{number}  {placed.name}: {self._size(placed)}".strip())

    def _size(self, placed: Rectangle | Placed) -> str:
        system = self.picture.system
        return f"{plain(placed.width, system)} × {plain(placed.height, system)}"

    def _shape(self, operation: Operation) -> Any:
        return operation.moved(lambda x, y: (x * self.k, (self.top - y) * self.k)).shape

    def _placed(self, lines: tuple[str, ...], region: Any, upwards: bool) -> _Label | None:
        """Where a label fits into a region, the nearest to the middle of its box."""
        import numpy as np
        import shapely

        width, height = _measured(lines)
        w, h = (height, width) if upwards else (width, height)
        if region.is_empty:
            return None
        x0, y0, x1, y1 = region.bounds
        if x1 - x0 < w or y1 - y0 < h:
            return None
        steps = np.linspace(0.0, 1.0, _STEPS + 1)
        left, up = np.meshgrid(x0 + steps * (x1 - x0 - w), y0 + steps * (y1 - y0 - h))
        shapely.prepare(region)
        fits = shapely.covers(region, shapely.box(left, up, left + w, up + h))
        if not fits.any():
            return None
        off = np.abs(left + (w - x0 - x1) / 2) + np.abs(up + (h - y0 - y1) / 2)
        best = int(np.argmin(np.where(fits, off.round(6), np.inf)))
        x, y = float(left.flat[best]) + w / 2, float(up.flat[best]) + h / 2
        return _Label(lines, x, y, width, height, upwards)

    def _beside(self, placed: Placed) -> str:
        """A number near a part that is too small for words, with a line to it."""
        number = self._number()
        self._list(number, placed)
        width, height = _measured((number,))
        x0, y0, x1, y1 = self._paper(placed)
        cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
        parts = [self._paper(other) for other in self.sheet.placed]
        x, y = cx, cy
        for dx, dy in self._spots((x1 - x0) / 2, (y1 - y0) / 2):
            box = _about(cx + dx, cy + dy, width + 0.6, height)
            inside = box[0] > 0 and box[1] > -ABOVE_MM and box[2] < self.wide and box[3] < self.high
            line = [_about(cx + t * dx, cy + t * dy, 0.3, 0.3) for t in _ALONG]
            free = inside and not any(_meet(box, other) for other in (*parts, *self.taken))
            if free and not any(_meet(step, other) for step in line for other in self.taken):
                x, y = cx + dx, cy + dy
                break
        self.taken.append(_about(x, y, width + 0.6, height))
        mark = (f'<path d="M{f(cx)} {f(cy)}L{f(x)} {f(y)}" stroke="{ground("ink")}" '
                f'stroke-width="0.18"/><circle cx="{f(cx)}" cy="{f(cy)}" r="0.4"/>')
        return mark + self._set(_Label((number,), x, y, width, height), ground("paper"))

    def _spots(self, half: float, tall: float) -> Iterator[tuple[float, float]]:
        """Places around a part, the nearest first, as steps from its middle."""
        for out in (1.8, 2.6, 4.0, 6.0, 9.0, 13.0, 18.0, 25.0):
            for across, down in _AROUND:
                yield across * (half + out), down * (tall + out)

    def _offcut_labels(self) -> Iterator[_Label]:
        """Sizes of offcuts with room for them."""
        import shapely

        for cut in sorted(self.sheet.offcuts, key=lambda cut: -cut.area):
            x0, y0, x1, y1 = self._paper(cut)
            region = shapely.box(x0 + 0.4, y0 + 0.4, x1 - 0.4, y1 - 0.4).difference(
                shapely.union_all([shapely.box(*box) for box in self.taken]))
            for lines in ((f"offcut {self._size(cut)}",), ("offcut", self._size(cut)),
                          (self._size(cut),)):
                label = self._either_way(lines, region)
                if label is not None:
                    yield label
                    break

    def _set(self, label: _Label, under: str) -> str:
        """A label's lines, on a ground of their own so that no thin line crosses a letter."""
        x0, y0, x1, y1 = label.box
        found = [f'<rect x="{f(x0 - 0.2)}" y="{f(y0)}" width="{f(x1 - x0 + 0.4)}" '
                 f'height="{f(y1 - y0)}" fill="{under}"/>']
        turn = f' transform="rotate(-90 {f(label.x)} {f(label.y)})"' if label.upwards else ""
        for k, line in enumerate(label.lines):
            y = label.y - label.height / 2 + 2.65 + k * LINE_MM
            found.append(f'<text x="{f(label.x)}" y="{f(y)}" text-anchor="middle"{turn}>'
                         f"{escape(line)}</text>")
        return "".join(found)

    def _foot(self) -> list[str]:
        """The grain's arrow, the scale and the parts by number, below the sheet."""
        from speakerwright.drawing.lettering import text_width_mm

        y = self.high + 0.6 * LINE_MM + 2.0
        ink = ground("ink")
        unit = "inches" if self.picture.system == "inch" else "mm"
        arrow = (f'<path d="M1 {f(y)}H16M1 {f(y)}l2.2 -0.8v1.6zM16 {f(y)}l-2.2 -0.8v1.6z" '
                 f'fill="{ink}" stroke="{ink}" stroke-width="0.25"/>')
        words = (f"grain   ·   scale 1:{self.picture.scale:g}   ·   sizes in {unit}, along × across"
                 " the grain   ·   hatched: offcut")
        if any(self._shown(tilt) for placed in self.sheet.placed
               for tilt in self.picture.parts[placed.name].tilts):
            words += "   ·   dashed: bevel"
        found = [f'{arrow}<text x="18.5" y="{f(y + 1.2)}">{words}</text>']
        line = ""
        for item in self.listed:
            longer = f"{line};   {item}" if line else item
            if line and text_width_mm(longer, LETTER_PT) > self.room:
                found.append(line)
                line = item
            else:
                line = longer
        found += [line] if line else []
        return [found[0]] + [
            f'<text x="0" y="{f(y + 1.2 + k * LINE_MM)}">{escape(text)}</text>'
            for k, text in enumerate(found[1:], 1)
        ]


def _measured(lines: tuple[str, ...]) -> tuple[float, float]:
    """Width and height of lines of text on paper."""
    from speakerwright.drawing.lettering import text_width_mm

    high = 2.7 if all(line.isdigit() for line in lines) else _HIGH_MM
    return (max(text_width_mm(line, LETTER_PT) for line in lines),
            high + (len(lines) - 1) * LINE_MM)


def _about(x: float, y: float, width: float, height: float) -> tuple[float, float, float, float]:
    """A box about its centre."""
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


def _meet(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]

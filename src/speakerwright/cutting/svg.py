"""A sheet as SVG in true size: hairlines coloured by operation, with a key. Lengths in mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from speakerwright.cutting.setup import Operation, SetUp, Tilt, onto_sheet, tilts_on_sheet
from speakerwright.cutting.sheet import SheetLayout

HAIRLINE = 0.1
KEY_HEIGHT = 20.0
ANGLE_HEIGHT = 10.0

COLOURS = {
    "outline": "#1a1a1a",
    "through": "#b3261e",
    "pocket": "#2563c9",
    "drill": "#1c8c78",
    "reference": "#8a5fb0",
    "sheet": "#9a9ea2",
}
"""Line colour by operation; they differ in lightness too."""

WORDS = {
    "outline": "outline, cut right through",
    "through": "opening, cut right through",
    "pocket": "pocket, to the depth in its group's name",
    "drill": "drilled hole",
    "reference": "edge of a bevelled face, not cut here; its angle is from square",
    "sheet": "edge of the sheet, not cut",
}


def sheet_svg(sheet: SheetLayout, parts: Mapping[str, SetUp], title: str) -> str:
    """A sheet in true size, one group per operation and depth, the key below the sheet.

    Parameters
    ----------
    sheet : SheetLayout
    parts : mapping of str to SetUp
        The first set-up of each part by the name under which it is placed.
    title : str

    Returns
    -------
    str
        SVG with sizes in mm; x along the grain, the sheet's lower left corner at the lower left.
    """
    length, width = sheet.stock.length, sheet.stock.width
    layers: dict[str, list[Operation]] = {}
    tilts: list[Tilt] = []
    for placed in sheet.placed:
        tilts += tilts_on_sheet(parts[placed.name], placed)
        for operation in onto_sheet(parts[placed.name], placed):
            layers.setdefault(operation.layer, []).append(operation)
    kinds = [kind for kind in COLOURS if kind == "sheet"
             or any(one.kind == kind for group in layers.values() for one in group)]
    high = width + (len(kinds) + 3) * 1.5 * KEY_HEIGHT
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{f(length)}mm" height="{f(high)}mm" '
        f'viewBox="0 0 {f(length)} {f(high)}">',
        f"<title>{escape(title)}</title>",
        f'<g id="SHEET" fill="none" stroke="{COLOURS["sheet"]}" stroke-width="{f(HAIRLINE)}">'
        f'<rect x="0" y="0" width="{f(length)}" height="{f(width)}"/></g>',
    ]
    for name in sorted(layers, key=lambda name: (list(COLOURS).index(layers[name][0].kind), name)):
        colour = COLOURS[layers[name][0].kind]
        lines.append(f'<g id="{escape(name)}" fill="none" stroke="{colour}" '
                     f'stroke-width="{f(HAIRLINE)}">')
        lines += [drawn(operation, width) for operation in layers[name]]
        lines.append("</g>")
    lines += _angles(tilts, width)
    lines += _key(kinds, width, title)
    return "\n".join([*lines, "</svg>", ""])


def drawn(operation: Operation, top: float) -> str:
    """An operation as a circle or a closed path, with y turned downwards from `top`."""
    if operation.circle is not None:
        cx, cy, diameter = operation.circle
        return f'<circle cx="{f(cx)}" cy="{f(top - cy)}" r="{f(diameter / 2.0)}"/>'
    return f'<path d="{path(operation.rings, top)}"/>'


def _angles(tilts: Sequence[Tilt], top: float) -> list[str]:
    """The angle of every bevelled edge, written just inside it; not cut."""
    if not tilts:
        return []
    found = ['<g id="BEVEL_ANGLES" font-family="Source Sans Pro, sans-serif" '
             f'fill="{COLOURS["reference"]}" font-size="{f(ANGLE_HEIGHT)}" text-anchor="middle">']
    for tilt in tilts:
        (x, y), (dx, dy) = tilt.middle, tilt.out
        x, y = x - ANGLE_HEIGHT * dx, y - ANGLE_HEIGHT * dy - 0.35 * ANGLE_HEIGHT
        found.append(f'<text x="{f(x)}" y="{f(top - y)}">{escape(tilt.text)}</text>')
    return [*found, "</g>"]


def path(rings: Sequence[Sequence[tuple[float, float]]], top: float, scale: float = 1.0) -> str:
    """Closed rings as path data, y turned downwards from `top`."""
    return "".join(
        "M" + "L".join(f"{f(x * scale)} {f((top - y) * scale)}" for x, y in ring) + "Z"
        for ring in rings
    )


def f(value: float) -> str:
    """A number as SVG takes it: at most five digits after the point, no idle zeros."""
    text = f"{value:.5f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _key(kinds: Sequence[str], width: float, title: str) -> list[str]:
    """The key below the sheet: a line and a word for every colour."""
    step = 1.5 * KEY_HEIGHT
    found = ['<g id="KEY" font-family="Source Sans Pro, sans-serif" fill="#1a1a1a" '
             f'font-size="{f(KEY_HEIGHT)}">',
             f'<text x="0" y="{f(width + step)}">{escape(title)}. The grain lies along x. '
             "This key is not cut.</text>"]
    for k, kind in enumerate(kinds):
        y = width + (k + 2) * step
        found.append(f'<path d="M0 {f(y - 0.3 * KEY_HEIGHT)}H{f(3.0 * KEY_HEIGHT)}" fill="none" '
                     f'stroke="{COLOURS[kind]}" stroke-width="2"/>'
                     f'<text x="{f(3.5 * KEY_HEIGHT)}" y="{f(y)}">{escape(WORDS[kind])}</text>')
    return [*found, "</g>"]

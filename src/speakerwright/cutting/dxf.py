"""Panels and sheets as DXF: layers by operation and depth, true circles, the same bytes always.

AutoCAD 2000 text format (AC1015), millimetres, z = 0; the oldest version with closed light
polylines and a unit in its header, which old and new readers take.
"""

from __future__ import annotations

import importlib
import io
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from speakerwright.cutting.setup import (
    REFERENCE,
    Operation,
    SetUp,
    Tilt,
    onto_sheet,
    tilts_on_sheet,
)
from speakerwright.cutting.sheet import SheetLayout

VERSION = "R2000"
LABEL_HEIGHT = 8.0
_COLOURS = {"outline": 7, "through": 1, "pocket": 5, "drill": 3, "reference": 8}


def panel_dxf(one: SetUp) -> bytes:
    """A panel with one face up, datum at (0, 0), and words below it.

    Parameters
    ----------
    one : SetUp

    Returns
    -------
    bytes
        Equal for equal input, in any process.
    """
    doc = _fresh()
    _draw(doc, one.operations)
    _angles(doc, one.tilts)
    _words(doc, (*said(one), size_said(one)), 0.0, -2.0 * LABEL_HEIGHT)
    return _written(doc)


def sheet_dxf(sheet: SheetLayout, parts: Mapping[str, SetUp], title: str) -> bytes:
    """A sheet with all its parts, x along the grain, datum at the sheet's lower left corner.

    Parameters
    ----------
    sheet : SheetLayout
    parts : mapping of str to SetUp
        The first set-up of each part by the name under which it is placed.
    title : str
        Written below the sheet.
    """
    doc = _fresh()
    length, width = sheet.stock.length, sheet.stock.width
    _ring(doc, [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)],
          _layer(doc, "SHEET", 9))
    for placed in sheet.placed:
        one = parts[placed.name]
        _draw(doc, onto_sheet(one, placed))
        _angles(doc, tilts_on_sheet(one, placed))
        words = (placed.name, f"{one.face} face up")
        height = min(LABEL_HEIGHT, placed.height / 6.0)
        _words(doc, words, placed.x + height, placed.y + 3.2 * height, height)
    _words(doc, (title, "Grain along x. Each part lies with the face up that its label names."),
           0.0, -2.0 * LABEL_HEIGHT)
    return _written(doc)


def said(one: SetUp) -> tuple[str, ...]:
    """What must be said about a set-up: the part, the face that is up, where the datum is."""
    seen = ("Seen from the outside face, as drawn." if one.face == "outside" else
            "Seen from the inside face: left and right exchanged against a view from outside.")
    lines = [one.panel.name, seen, "Datum 0, 0 at the lower left corner of this view."]
    if one.second:
        lines.insert(1, "Second set-up: the part is cut out and turned over left to right.")
    if one.tilts:
        lines.append("The outline is the blank, cut square. Bevel last, angles from square, edges "
                     "as in this view:")
        lines += _tilts_said(one.tilts)
    return tuple(lines)


def _tilts_said(tilts: Sequence[Tilt]) -> list[str]:
    """The bevelled edges, alike ones together: ``left edge: 45 deg, longer above``."""
    alike: dict[str, list[str]] = {}
    for tilt in tilts:
        face = "above" if tilt.longer_up else "below"
        words = f"{tilt.text.removesuffix('°')} deg, longer {face}"
        alike.setdefault(words, []).append(tilt.side)
    return [f"{', '.join(dict.fromkeys(sides))} edge{'s' if len(sides) > 1 else ''}: {words}"
            for words, sides in alike.items()]


def size_said(one: SetUp) -> str:
    """Size, thickness, material and grain in words."""
    grain = {"u": "grain along x", "v": "grain along y", None: "grain of no matter"}
    blank = "blank " if one.tilts else ""
    return (f"{blank}{one.width:.1f} x {one.height:.1f} x {one.panel.thickness:.1f} mm, "
            f"{one.panel.material}, {grain[one.panel.grain]}")


def _fresh() -> Any:
    with _fixed() as library:
        doc = library.new(VERSION, setup=False)
    doc.header["$INSUNITS"] = 4  # millimetres
    doc.header["$MEASUREMENT"] = 1
    doc.header["$LUNITS"] = 2
    doc.header["$LUPREC"] = 3
    return doc


@contextmanager
def _fixed() -> Iterator[Any]:
    """The library, with dates, identifiers and version marks that never change."""
    library: Any = importlib.import_module("ezdxf")
    before = library.options.write_fixed_meta_data_for_testing
    library.options.write_fixed_meta_data_for_testing = True
    try:
        yield library
    finally:
        library.options.write_fixed_meta_data_for_testing = before


def _written(doc: Any) -> bytes:
    stream = io.StringIO()
    with _fixed():
        doc.write(stream)
    made: bytes = stream.getvalue().encode(doc.output_encoding, errors="dxfreplace")
    return made


def _layer(doc: Any, name: str, colour: int) -> str:
    if not doc.layers.has_entry(name):
        doc.layers.add(name, color=colour)
    return name


def _draw(doc: Any, operations: Sequence[Operation]) -> None:
    for operation in operations:
        name = _layer(doc, operation.layer, _COLOURS[operation.kind])
        if operation.circle is not None:
            cx, cy, diameter = operation.circle
            doc.modelspace().add_circle((cx, cy), diameter / 2.0, dxfattribs={"layer": name})
            continue
        for ring in operation.rings:
            _ring(doc, ring, name)


def _angles(doc: Any, tilts: Sequence[Tilt]) -> None:
    """The angle of every bevelled edge, just inside it, on a layer that is not cut."""
    for tilt in tilts:
        (x, y), (dx, dy) = tilt.middle, tilt.out
        height = 0.75 * LABEL_HEIGHT
        doc.modelspace().add_text(
            f"{tilt.text.removesuffix('°')} deg", height=height,
            dxfattribs={"layer": _layer(doc, REFERENCE, _COLOURS["reference"])},
        ).set_placement((x - height * dx - 1.5 * height, y - height * dy - 0.5 * height))


def _ring(doc: Any, points: list[tuple[float, float]], layer: str) -> None:
    doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": layer})


def _words(
    doc: Any, lines: Sequence[str], x: float, y: float, height: float = LABEL_HEIGHT
) -> None:
    name = _layer(doc, "LABEL", 8)
    for k, line in enumerate(lines):
        doc.modelspace().add_text(
            _plain(line), height=height, dxfattribs={"layer": name},
        ).set_placement((x, y - 1.6 * k * height))


def _plain(text: str) -> str:
    """One line of text without what a DXF text would take for a code."""
    kept = "".join(letter if letter.isprintable() else " " for letter in text)
    return kept.replace("%%", "% %").replace("^", "^ ")

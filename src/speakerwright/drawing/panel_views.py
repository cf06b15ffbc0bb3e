"""The sheet of one panel: all that is needed to saw and to machine it, from one datum.

The panel lies as it is worked: the face with the pockets up, its datum at the lower left corner
of what is seen. Ordinates from the datum fix every edge and every centre; bolt circles are fixed
by their centre, diameter, number of holes and first angle. What is drawn in full is the blank that
is cut square; where its edge is bevelled, the edge of the face that ends further in is a second
line.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from shapely.affinity import scale as scaled

from speakerwright.drawing.dimensions import (
    PITCH_MM,
    diameter_text,
    height_beside,
    length_text,
    notes_beside,
    ordinates,
)
from speakerwright.drawing.marks import (
    CentreMark,
    Circle,
    Dimension,
    Line,
    Path,
    arrow_head,
    extent,
    moved,
    region_area,
    rings_of,
)
from speakerwright.drawing.panel_features import (
    Face,
    Holes,
    Note,
    edge_notes,
    edge_places,
    hole_kinds,
    hole_notes,
    outline_places,
    seen_face,
    shape_notes,
)
from speakerwright.drawing.pocket_details import details
from speakerwright.drawing.sheets import FIELD_MM, Drawing, fitted

if TYPE_CHECKING:
    from speakerwright.solids.panels import Panel

TINT = "#e4e7ea"
_COLUMN_MM = 36.0  # the least width of the notes
_BESIDE_MM = 16.0  # from the part to the notes
_LEFT_MM = {"metric": 20.0, "inch": 27.0}  # what the ordinates take at the left
_MOST = 24  # ordinates that one side of a sheet holds


def panel_sheet(
    panel: Panel, field_mm: tuple[float, float] = FIELD_MM, system: str = "metric"
) -> Drawing:
    """The drawing of a panel for the saw and the machine.

    Parameters
    ----------
    panel : solids.panels.Panel
    field_mm : tuple of float
        Room on the paper; the drawing is as wide and at most as high.
    system : {"metric", "inch"}

    Returns
    -------
    Drawing
        Seen from the inside if it has pockets there, otherwise from the outside; the note says
        which.

    Raises
    ------
    ValueError
        Where the panel does not fit at any scale.
    """
    face = seen_face(panel)
    kinds = hole_kinds(face)
    x_places, y_places, listed = _places(face, kinds)
    notes = [*hole_notes(face, kinds, system), *shape_notes(face, system), *edge_notes(face)]
    below = details(panel, face, field_mm[0] - 6.0, system)

    def paint(scale: int) -> list[Any]:
        made = _part(face, scale)
        made += _patterns(face, kinds, scale)
        made += _dimensions(face, x_places, y_places, scale, system)
        made += _beside(face, notes, scale, field_mm[0], system)
        if below:
            left, low, right, _ = extent(made)
            under = extent(below)
            middle = (left + right - under[0] - under[2]) / 2.0
            made += moved(below, middle, low - 5.0 - under[3])
        return made

    note = _note(panel, face, kinds, bool(below), listed, system)
    key = f"panel_{panel.name}".replace(" ", "_")
    return fitted(key, panel.name[:1].upper() + panel.name[1:], paint, field_mm, note=note,
                  system=system, projected=False)


def _part(face: Face, scale: int) -> list[Any]:
    """The outline with what is cut into it, pockets tinted, holes white, the far face dashed.

    A bevel's second line is dashed where it is on the far face.
    """

    def small(shape: Any) -> Any:
        return scaled(shape, 1.0 / scale, 1.0 / scale, origin=(0.0, 0.0))

    made: list[Any] = [region_area(small(face.outline), "#ffffff")]
    near = [seen for seen in face.features if seen.near]
    for seen in sorted(near, key=lambda seen: seen.depth or 1e9):
        fill = "#ffffff" if seen.depth is None else TINT
        kind = "outline" if seen.depth is None else "thin"
        if seen.circle is not None:
            x, y, diameter = (value / scale for value in seen.circle)
            made.append(Circle((x, y), diameter / 2.0, kind if diameter > 1.5 else "thin", fill))
        else:  # openings that run into each other have one edge together
            made.append(region_area(small(seen.shape), fill, kind if seen.depth else ""))
    made.append(region_area(small(face.drawn), "", "outline"))
    for edge in face.edges:
        (x0, y0), (x1, y1) = edge.start, edge.end
        made.append(Line((x0 / scale, y0 / scale), (x1 / scale, y1 / scale),
                         "thin" if edge.near else "hidden"))
    for seen in face.features:
        if seen.near:
            continue
        if seen.circle is not None:
            x, y, diameter = (value / scale for value in seen.circle)
            made.append(Circle((x, y), diameter / 2.0, "hidden"))
        else:
            made += [Path(ring, "hidden", closed=True) for ring in rings_of(small(seen.shape))]
    return [*made, *_grain(face, scale)]


def _patterns(face: Face, kinds: Sequence[Holes], scale: int) -> list[Any]:
    """Centre lines of single holes, pitch circles of bolt circles, lines through rows."""
    made: list[Any] = []
    for kind in kinds:
        for circle in kind.circles:
            centre = (circle.centre[0] / scale, circle.centre[1] / scale)
            made.append(Circle(centre, circle.diameter / 2.0 / scale, "centre"))
            made.append(CentreMark(centre, circle.diameter / 2.0 / scale + 2.5))
        for row in kind.rows:
            ends = [face.features[index].circle for index in (row.members[0], row.members[-1])]
            start, end = ((c[0] / scale, c[1] / scale) for c in ends if c is not None)
            made.append(Line(start, end, "centre"))
        for index in kind.single:
            hole = face.features[index].circle
            if hole is not None:
                made.append(CentreMark((hole[0] / scale, hole[1] / scale),
                                       hole[2] / 2.0 / scale + 1.5))
    return made


def _places(
    face: Face, kinds: Sequence[Holes]
) -> tuple[list[float], list[float], list[tuple[float, float, float]]]:
    """Ordinates along x and y, and the holes that found no room and are listed in the note."""
    xs, ys = ({0.0, size} for size in face.size)
    found = [edge_places(seen.shape) for seen in face.features if seen.circle is None]
    for places in (outline_places(face.outline), *found):
        xs |= {round(value, 3) for value in places[0]}
        ys |= {round(value, 3) for value in places[1]}
    centres: list[tuple[float, float, float]] = []
    for kind in kinds:
        centres += [(*circle.centre, circle.diameter) for circle in kind.circles]
        ends = [index for row in kind.rows for index in (row.members[0], row.members[-1])]
        for index in (*ends, *kind.single):
            hole = face.features[index].circle
            if hole is not None:
                centres.append(hole)
    listed = []
    for x, y, diameter in sorted(centres, key=lambda hole: (-hole[2], hole[1], hole[0])):
        more_x, more_y = xs | {round(x, 3)}, ys | {round(y, 3)}
        if len(more_x) > _MOST or len(more_y) > _MOST:
            listed.append((x, y, diameter))
        else:
            xs, ys = more_x, more_y
    wide, high = face.size
    return _snapped(xs, wide), _snapped(ys, high), listed


def _snapped(places: set[float], size: float) -> list[float]:
    """Places in order, those that are the far edge but for rounding told as the edge."""
    return sorted({size if abs(place - size) < 0.002 else place for place in places})


def _dimensions(
    face: Face, x_places: Sequence[float], y_places: Sequence[float], scale: int, system: str
) -> list[Any]:
    wide, high = (size / scale for size in face.size)
    texts = [[length_text(value, system) for value in places] for places in (x_places, y_places)]
    down = [(value / scale, text) for value, text in zip(x_places, texts[0], strict=True)]
    across = [(value / scale, text) for value, text in zip(y_places, texts[1], strict=True)]
    slack = [max(10.0, PITCH_MM * len(row) - size) for row, size in ((down, wide), (across, high))]
    return [
        *ordinates(across, 0.0, -6.0, upright=True, limits=(-5.0, high + slack[1])),
        *ordinates(down, 0.0, -6.0, upright=False, limits=(-5.0, wide + slack[0])),
        Dimension((0.0, high), (wide, high), high + 6.0, length_text(face.size[0], system)),
        Circle((0.0, 0.0), 1.1, "thin"),
    ]


def _beside(
    face: Face, notes: Sequence[Note], scale: int, width_mm: float, system: str
) -> list[Any]:
    """The overall height and the notes at the right, each led to the member nearest to it."""
    wide, high = (size / scale for size in face.size)
    placed = []
    for note in notes:
        tip = max(note.tips, key=lambda tip: (round(tip[0], 1), tip[1]))
        placed.append((note.text, (tip[0] / scale, tip[1] / scale), note.ends_in))
    room = width_mm - wide - _BESIDE_MM - _LEFT_MM[system]
    column = notes_beside(placed, wide + _BESIDE_MM, 0.0, high, min(80.0, max(_COLUMN_MM, room)))
    height = length_text(face.size[1], system)
    return [*column, height_beside(0.0, high, wide, wide + 8.0, height, column)]


def _grain(face: Face, scale: int) -> list[Any]:
    """A double arrow along the grain, in the roomiest place of the panel."""
    from shapely import maximum_inscribed_circle, union_all

    if face.grain is None:
        return []
    gone = [seen.shape.buffer(2.0 * scale) for seen in face.features]
    free = face.outline.difference(union_all(gone)) if gone else face.outline
    if free.is_empty or free.area < 1.0:
        return []
    ring = maximum_inscribed_circle(free, tolerance=1.0)
    x, y = (value / scale for value in ring.coords[0])
    reach = min(12.0, 0.85 * ring.length / scale)
    if reach < 2.5:
        return []
    ends = ((x - reach, y), (x + reach, y)) if face.grain == "u" else (
        (x, y - reach), (x, y + reach))
    way = (ends[1][0] - ends[0][0], ends[1][1] - ends[0][1])
    return [Line(*ends, "thin"), arrow_head(ends[1], way), arrow_head(ends[0], (-way[0], -way[1]))]


def _second_line(face: Face, other: str) -> str:
    """What a bevel's second line is."""
    said = []
    if any(edge.near for edge in face.edges):
        said.append(f"thin: the edge of the {face.side} face")
    if not all(edge.near for edge in face.edges):
        said.append(f"dashed: that of the {other} face" if said else
                    f"dashed: the edge of the {other} face")
    return f" Second line, {'; '.join(said)}."


def _note(
    panel: Panel, face: Face, kinds: Sequence[Holes], details: bool,
    listed: Sequence[tuple[float, float, float]], system: str,
) -> str:
    unit = "mm" if system == "metric" else "in"
    said = [f"{length_text(panel.thickness, system)} {unit} {panel.material}, seen from the "
            f"{face.side}. Ring: datum, all ordinates are from it."]
    if face.grain is not None:
        way = "across the drawing" if face.grain == "u" else "up the drawing"
        said[0] += f" Double arrow: grain, {way}."
    if any(seen.depth is not None and seen.near for seen in face.features):
        said[0] += " Tinted: pockets."
    if details:
        said[0] += " In the details this face is up."
    other = "outside" if face.side == "inside" else "inside"
    if not all(seen.near for seen in face.features):
        said[0] += f" Dashed: cut from the {other}."
    if face.edges:
        said[0] += (" Sizes are the blank's; bevels are cut last, angles from square."
                    + _second_line(face, other))
    if any(kind.circles for kind in kinds):
        said[0] += " Angles run anticlockwise from the right."
    if listed:
        sizes: dict[str, list[str]] = {}
        for x, y, diameter in sorted(listed, key=lambda hole: (hole[2], hole[1], hole[0])):
            sizes.setdefault(diameter_text(diameter, system), []).append(
                f"{length_text(x, system)} / {length_text(y, system)}")
        places = "; ".join(f"{size} at {', '.join(some)}" for size, some in sizes.items())
        said.append(f"More centres, across / up from the datum: {places}.")
    return "\n".join(said)


"""Dimensions after ISO 129: chains, ordinates from a datum, overall sizes, notes with leaders.

All in mm on paper except where a name says otherwise. Dimensions stand in rows outside the part;
texts too close together are moved apart along their row and keep a line to what they measure.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import numpy as np

from speakerwright.drawing.marks import (
    DIAMETER,
    TEXT_MM,
    Dimension,
    Hatch,
    Leader,
    Line,
    Path,
    Point,
    Text,
    arrow_line,
    beside,
    extent,
    place,
    region_area,
    text_wide,
)
from speakerwright.drawing.sheets import LINE_MM, Drawing, choose_scale, folded, laid_out

PITCH_MM = 3.9
"""From one standing text to the next in a row."""
_MM_PER_INCH = 25.4
_BAR_MM = 8.0


def length_text(value_mm: float, system: str = "metric") -> str:
    """A length as a drawing shows it, without its unit: ``926``, ``18.5`` or ``36 15/32``.

    Millimetres to 0.1, inches to 1/32. ValueError for an unknown system.
    """
    if system == "metric":
        text = f"{value_mm:.1f}".removesuffix(".0")
        return "0" if text in ("-0", "0") else text.replace("-", "−")
    if system != "inch":
        raise ValueError(f"the system is metric or inch, not {system!r}")
    whole, rest = divmod(Fraction(round(abs(value_mm) / _MM_PER_INCH * 32), 32), 1)
    sign = "−" if value_mm < 0 and (whole or rest) else ""
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def diameter_text(value_mm: float, system: str = "metric") -> str:
    """A diameter with its sign."""
    return f"{DIAMETER}\u00a0{length_text(value_mm, system)}"


def apart(
    wanted: Sequence[float], sizes: Sequence[float], low: float, high: float
) -> list[float]:
    """Centres of boxes near the wanted ones, in order, that do not overlap.

    `wanted` is sorted upwards; `sizes` are the boxes' lengths. The boxes stay between `low` and
    `high` where there is room for all, and run past `high` where there is none.
    """
    groups: list[tuple[list[int], float]] = []  # boxes that touch, and where the first one starts

    def start(members: list[int]) -> float:
        """The start of a run that keeps its boxes nearest to their wants, inside the limits."""
        offsets = np.concatenate([[0.0], np.cumsum([sizes[i] for i in members])])
        wants = [wanted[i] - offsets[k] - sizes[i] / 2.0 for k, i in enumerate(members)]
        return max(low, min(float(np.mean(wants)), high - float(offsets[-1])))

    for index in range(len(wanted)):
        members = [index]
        begin = start(members)
        while groups and groups[-1][1] + sum(sizes[i] for i in groups[-1][0]) > begin - 1e-9:
            members = groups.pop()[0] + members
            begin = start(members)
        groups.append((members, begin))
    centres: list[float] = []
    for members, begin in groups:
        for index in members:
            centres.append(begin + sizes[index] / 2.0)
            begin += sizes[index]
    return centres


def standing(
    stations: Sequence[tuple[float, str]], foot: float, row_at: float, *, upright: bool,
    limits: tuple[float, float], reach: bool = True,
) -> list[Any]:
    """Texts that stand on lines from a part, moved apart with a jog where they would touch.

    Parameters
    ----------
    stations : sequence of (place, text)
        Along x, or along y where `upright`.
    foot, row_at : float
        Where the lines start (near the part) and where the texts do, across the row.
    upright : bool
        The row runs along y; its texts are level. Otherwise they are turned.
    limits : tuple of float
        Between which places along the row the texts stay, if there is room.
    reach : bool
        Whether a line is drawn where there is no jog.
    """
    order = sorted(range(len(stations)), key=lambda index: stations[index][0])
    wanted = [stations[index][0] for index in order]
    spots = apart(wanted, [PITCH_MM] * len(wanted), *limits)
    away = 1.0 if row_at > foot else -1.0
    jog, land = row_at - 3.4 * away, row_at - 0.9 * away
    made: list[Any] = []
    for index, spot in zip(order, spots, strict=True):
        at, text = stations[index]
        if abs(spot - at) < 0.05:
            spot = at
        path = [(at, foot), (at, jog), (spot, land), (spot, row_at)]
        points = np.array([place(s, t, upright) for s, t in path])
        if reach or spot != at:
            made.append(Path(points, "dimension"))
        line = spot + (-TEXT_MM if upright else TEXT_MM) / 2.0
        made.append(Text(place(line, row_at + 0.7 * away, upright), text, turned=not upright,
                         anchor="start" if away > 0.0 else "end"))
    return made


def ordinates(
    stations: Sequence[tuple[float, str]], edge: float, row_at: float, *, upright: bool,
    limits: tuple[float, float],
) -> list[Any]:
    """Running dimensions from a datum: one line and one figure for every place.

    `edge` is the part's edge, from which the lines keep a small gap; see `standing`.
    """
    foot = edge + (0.8 if row_at > edge else -0.8)
    return standing(_distinct(stations), foot, row_at, upright=upright, limits=limits)


def row_depth(texts: Sequence[str], *, jog: bool = True) -> float:
    """How far a row of `standing` texts reaches from where its lines start."""
    return (5.2 if jog else 2.0) + max((text_wide(text) for text in texts), default=0.0)


def _distinct(stations: Sequence[tuple[float, str]]) -> list[tuple[float, str]]:
    """Stations in order, each figure once where several say the same at the same place."""
    found: list[tuple[float, str]] = []
    for at, text in sorted(stations):
        if not any(text == seen and abs(at - there) < 1.0 for there, seen in found[-3:]):
            found.append((at, text))
    return found


def chain(
    places: Sequence[float], texts: Sequence[str], feet: float, line_at: float, *,
    upright: bool = False, limits: tuple[float, float] | None = None,
) -> list[Any]:
    """A chain of dimensions on one line.

    Parameters
    ----------
    places : sequence of float
        The n + 1 ends along the chain, upwards.
    texts : sequence of str
        What is written in each of the n gaps. A text that is too wide for its gap stands outside
        the chain, at a right angle to it, with a line to the gap's middle.
    feet : float
        Across the chain: the part's edge, where the extension lines start.
    line_at : float
        Across the chain: where its line runs.
    upright : bool
        The chain runs along y.
    limits : tuple of float, optional
        Between which places the standing texts stay.
    """
    away = 1.0 if line_at > feet else -1.0
    made: list[Any] = [
        Line(place(at, feet + 0.8 * away, upright), place(at, line_at + 1.2 * away, upright),
             "dimension") for at in places
    ]
    gaps = list(zip(places[:-1], places[1:], texts, strict=True))
    roomy = all(high - low >= 6.0 for low, high, _ in gaps)
    if roomy:
        for low, high, _ in gaps:
            made += arrow_line(low, high, line_at, upright=upright)
    else:
        made.append(Line(place(places[0], line_at, upright), place(places[-1], line_at, upright),
                         "dimension"))
        made += [_tick(at, line_at, upright) for at in places]
    outside, rows = [], 0
    for low, high, text in gaps:
        middle = (low + high) / 2.0
        lines = _on_line(text, high - low - 1.6, 2 if away > 0.0 and not upright else 1)
        if not lines:
            outside.append((middle, text))
        rows = max(rows, len(lines))
        for level, line in enumerate(reversed(lines)):
            x, y = beside(middle, line_at, upright)
            made.append(Text((x, y + level * LINE_MM), line, anchor="middle", turned=upright))
    # Beyond the line of a chain above a part or to its left there are texts on the line already.
    beyond = 0.8 + (rows * LINE_MM if (away > 0.0) != upright else 0.0)
    row = line_at + away * (beyond + 4.2)
    made += standing(outside, line_at, row, upright=upright,
                     limits=limits or (places[0] - 30.0, places[-1] + 30.0))
    return made


def _on_line(text: str, width_mm: float, most: int) -> list[str]:
    """A text in as many lines as fit on a dimension line; none if it does not fit."""
    if text_wide(text) <= width_mm:
        return [text]
    longest = max(text_wide(word) for word in text.split(" "))
    lines = folded(text, width_mm) if longest <= width_mm else []
    return lines if len(lines) <= most else []


def _tick(at: float, line_at: float, upright: bool) -> Line:
    """The oblique stroke that ends a dimension where arrows have no room."""
    return Line(place(at - 0.9, line_at - 0.9, upright), place(at + 0.9, line_at + 0.9, upright),
                "thin")


def notes_beside(
    notes: Sequence[tuple[str, Point, str]], x: float, low: float, high: float, width_mm: float
) -> list[Any]:
    """A column of notes to the right of a part, each with a leader to its place.

    Parameters
    ----------
    notes : sequence of (text, tip, end)
        `end` is ``arrow`` or ``dot``.
    x : float
        Where the texts start; leaders land 1 mm before it.
    low, high : float
        Between which heights the notes stand, if there is room.
    width_mm : float
        Width of the column; longer texts are folded.
    """
    order = sorted(range(len(notes)), key=lambda index: (notes[index][1][1], notes[index][1][0]))
    lines = [folded(notes[index][0], width_mm) for index in order]
    sizes = [LINE_MM * len(folds) + 1.4 for folds in lines]
    centres = apart([notes[index][1][1] for index in order], sizes, low, high)
    made: list[Any] = []
    for index, folds, centre in zip(order, lines, centres, strict=True):
        _, tip, end = notes[index]
        first = centre + LINE_MM * (len(folds) - 1) / 2.0
        for row, text in enumerate(folds):
            made.append(Text((x, first - row * LINE_MM - TEXT_MM / 2.0), text))
        made.append(Leader(((x - 0.8, first), (x - 3.0, first), tip), end))
    return made


def height_beside(
    low: float, high: float, edge: float, line_at: float, text: str, leaders: Sequence[Any]
) -> Dimension:
    """An upright dimension at the right of a part, its text where no leader crosses it."""
    half = text_wide(text) / 2.0 + 0.6
    crossed = []
    for leader in leaders:
        if not isinstance(leader, Leader):
            continue
        points = np.array(sorted(leader.points))
        ends = np.interp([line_at - TEXT_MM - 1.2, line_at + 0.2], points[:, 0], points[:, 1])
        crossed.append((float(ends.min()) - half, float(ends.max()) + half))
    middle = (low + high) / 2.0
    wanted = [middle, *(end for span in crossed for end in span)]
    free = [at for at in wanted if low + half + 2.0 <= at <= high - half - 2.0
            and not any(a + 1e-9 < at < b - 1e-9 for a, b in crossed)]
    at = min(free, key=lambda at: abs(at - middle), default=middle)
    return Dimension((edge, low), (edge, high), line_at, text, True, at)


def depth_chain(
    segments: Sequence[tuple[str, float]], *, title: str = "Depth from front to back",
    width_mm: float = 165.0, system: str = "metric", solid: Sequence[str] = (), note: str = "",
) -> Drawing:
    """What uses up the cabinet's depth, from front to back, as one chain of dimensions.

    Parameters
    ----------
    segments : sequence of (label, mm)
        In order from the front: baffle, driver, clear gap, back. A segment below zero is a want
        of depth: it is drawn back over what stands before it, and its figure is negative.
    solid : sequence of str
        The labels of what is of wood, and so hatched.
    width_mm : float
        Width of the drawing.

    Returns
    -------
    Drawing
        A strip with its segments named and dimensioned above, and the depth so far below.

    Raises
    ------
    ValueError
        Without segments, or where nothing is left of the whole.
    """
    ends_mm = np.concatenate([[0.0], np.cumsum([size for _, size in segments])])
    if not segments or not ends_mm[-1] > 0.0:
        raise ValueError("a chain of depths needs a depth above zero")
    long_mm = float(ends_mm.max() - ends_mm.min())
    scale = choose_scale((long_mm, 1.0), (width_mm - 12.0, 1.0))
    ends = ends_mm / scale
    made: list[Any] = []
    for index, (label, _) in enumerate(segments):
        low, high = sorted((float(ends[index]), float(ends[index + 1])))
        made += _bar(low, high, hatched=label in solid, turned=index % 2 == 1)
    half = width_mm / 2.0 - 3.0
    limits = (float(ends.mean()) - half, float(ends.mean()) + half)
    texts = [f"{label} {length_text(size, system)}" for label, size in segments]
    if min(size for _, size in segments) > 0.0:
        made += chain([float(end) for end in ends], texts, _BAR_MM, _BAR_MM + 5.0, limits=limits)
    else:
        middles = (ends[:-1] + ends[1:]) / 2.0
        made += standing([(float(at), text) for at, text in zip(middles, texts, strict=True)],
                         _BAR_MM, _BAR_MM + 5.0, upright=False, limits=limits)
    made += ordinates([(float(end), length_text(float(end) * scale, system)) for end in ends],
                      0.0, -6.0, upright=False, limits=limits)
    left, low, right, high = extent(made)
    middle = (left + right) / 2.0
    box = (middle - width_mm / 2.0, low, middle + width_mm / 2.0, high)
    return laid_out("depth_chain", title, scale, made, box, width_mm=width_mm, note=note,
                    system=system, projected=False)


def _bar(low: float, high: float, *, hatched: bool, turned: bool) -> list[Any]:
    from shapely import box

    region = box(low, 0.0, high, _BAR_MM)
    made: list[Any] = [region_area(region)]
    if hatched:
        made.append(Hatch(region, 135.0 if turned else 45.0))
    return [*made, region_area(region, "", "outline")]

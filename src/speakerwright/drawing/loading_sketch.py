"""What a loading is: a section through it with its figures, as a sketch and not to scale.

Volumes stand to each other as their areas on paper, and cone and ports are drawn at the same
reduction as far as they can still be seen; walls are drawn to be seen, and the shape of the box is
not the cabinet's.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from speakerwright.words.units import THIN, show

if TYPE_CHECKING:
    from speakerwright.drawing.sheets import Drawing

WIDTH_MM = 122.0
"""Width of a sketch with its words."""

TITLES = {
    "closed": "Closed box",
    "vented": "Vented box",
    "passive-radiator": "Box with a passive radiator",
    "band-pass-4": "Band-pass box of fourth order",
    "band-pass-6": "Band-pass box of sixth order",
    "transmission-line": "Transmission line",
    "front-horn": "Front-loaded horn",
    "open-baffle": "Open baffle",
}
"""What each loading is called on its sketch."""


@dataclass(frozen=True)
class SketchPort:
    """A port: `count` of them, each with its opening and its length in m.

    `opening` is the bore of a round port or the height of a slot, whose `width` is given; `tuning`
    in Hz; `on_floor` says that the box's wall is one of the slot's; `bends` are right-angled turns.
    """

    opening: float
    length: float
    tuning: float
    count: int = 1
    width: float | None = None
    on_floor: bool = False
    bends: int = 0


@dataclass(frozen=True)
class SketchPassive:
    """Passive radiators: `count`, and of each the area in m² and the whole moving mass in kg."""

    area: float
    mass: float
    count: int = 1


@dataclass(frozen=True)
class SketchDuct:
    """A line or a horn: length along its axis in m, areas in m² at its start and its mouth.

    A line starts at its closed end, a horn at its throat. `driver_at` is the driver's place as a
    share of a line's length; `before` the air between cone and throat in m³; `profile` the horn's.
    """

    length: float
    area: float
    mouth_area: float
    driver_at: float = 0.0
    before: float = 0.0
    profile: str = "exponential"


@dataclass(frozen=True)
class SketchBaffle:
    """An open baffle and its driver's middle from the left lower corner, in m.

    `path` is the distance that front and rear count as apart at low frequency.
    """

    width: float
    height: float
    x: float
    z: float
    path: float


@dataclass(frozen=True)
class LoadingSketch:
    """What a sketch shows, in SI units.

    Parameters
    ----------
    loading : str
        One of `TITLES`.
    cone_area : float
        Sd of one driver, m².
    count : int
        How many drivers.
    volume : float, optional
        Net volume behind the cone, m³.
    resonance : float
        What the loading is named by, Hz; `called` is its word.
    port, front : SketchPort, optional
        The port of the volume behind the cone, and that of the chamber before it.
    front_volume : float, optional
        The chamber before the cone, m³.
    fill_share : float, optional
        Which share of the air behind the cone, or of the line's length, holds fill.
    qtc : float, optional
        Total Q of a closed box.
    system : {"metric", "inch"}
        The reader's units.
    """

    loading: str
    cone_area: float
    resonance: float
    called: str
    count: int = 1
    volume: float | None = None
    port: SketchPort | None = None
    front_volume: float | None = None
    front: SketchPort | None = None
    passive: SketchPassive | None = None
    duct: SketchDuct | None = None
    baffle: SketchBaffle | None = None
    fill_share: float | None = None
    qtc: float | None = None
    system: str = "metric"

    @property
    def title(self) -> str:
        """What the sketch is called."""
        return f"{TITLES[self.loading]}, a sketch"

    def __str__(self) -> str:
        """The sketch as SVG, drawn when it is asked for: letters are measured at some cost."""
        return _drawn(self)


def loading_sketch(sketch: LoadingSketch) -> Drawing:
    """The section of a loading, the front on the left, with its figures named beside it.

    Parameters
    ----------
    sketch : LoadingSketch

    Returns
    -------
    Drawing
        `WIDTH_MM` wide and without scale, which its caption says.

    Raises
    ------
    ValueError
        For a loading without the part that it is made of.
    KeyError
        For an unknown loading.
    """
    from speakerwright.drawing.dimensions import notes_beside
    from speakerwright.drawing.loading_sketch_boxes import band_pass, boxed
    from speakerwright.drawing.loading_sketch_ducts import horn, line, open_baffle
    from speakerwright.drawing.marks import extent
    from speakerwright.drawing.sheets import laid_out

    draw = {"band-pass-4": band_pass, "band-pass-6": band_pass, "transmission-line": line,
            "front-horn": horn, "open-baffle": open_baffle}.get(sketch.loading, boxed)
    title = sketch.title
    seen = draw(sketch)
    left, low, right, high = extent(seen.items)
    x = right + 9.0
    room = WIDTH_MM - 2.0 - (x - left)
    items = [*seen.items, *notes_beside(seen.notes, x, low, high, room)]
    box = extent(items)
    return laid_out(f"loading_{sketch.loading}", title, 0, items,
                    (left - 1.0, box[1], left - 1.0 + WIDTH_MM, box[3]), width_mm=WIDTH_MM,
                    note=seen.caption, system=sketch.system, projected=False)


@lru_cache(maxsize=32)
def _drawn(sketch: LoadingSketch) -> str:
    from speakerwright.drawing.sheets import svg

    return svg(loading_sketch(sketch))


def said(value: float, kind: str, system: str) -> str:
    """A value as the tables show it, without zeros at its end: ``62 L``, ``206.5 mm``."""
    number, _, unit = show(value, kind, system).partition(THIN)
    if "." in number and "/" not in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number}{THIN}{unit}"


def long_said(value: float, system: str) -> str:
    """A length of a line or a horn: in metres to the millimetre, or in inches."""
    if system == "inch":
        return said(value, "length", system)
    return f"{f'{value:.3f}'.rstrip('0').rstrip('.')}{THIN}m"


def port_words(port: SketchPort, called: str, system: str) -> str:
    """A port's note: ``2 ports Ø 100 mm, each 206.5 mm long``."""
    from speakerwright.drawing.marks import DIAMETER

    opening = said(port.opening, "length", system)
    if port.width is None:
        size = f"{DIAMETER}\u00a0{opening}"
    else:
        size = f"{_bare(said(port.width, 'length', system))} × {opening}"
        called = called.replace("port", "slot")
    many = f"{port.count} {called}s" if port.count > 1 else called
    each = "each " if port.count > 1 else ""
    return f"{many} {size}, {each}{said(port.length, 'length', system)} long"


def area_words(start: float, end: float, system: str) -> str:
    """Two areas with one unit: ``600 to 400 cm²``; one where they are the same."""
    one, other = said(start, "area", system), said(end, "area", system)
    return one if one == other else f"{_bare(one)} to {other}"


def driver_words(sketch: LoadingSketch) -> str:
    """The drivers' note with their cone's area."""
    area = said(sketch.cone_area, "area", sketch.system)
    if sketch.count == 1:
        return f"driver, Sd {area}"
    return f"{sketch.count} drivers, Sd {area} each"


def fill_words(share: float, of: str) -> str:
    """The fill's note: ``fill in 50 % of the air``."""
    return f"fill in {100.0 * share:.0f}{THIN}% of the {of}"


def _bare(text: str) -> str:
    return text.partition(THIN)[0]


def needed(sketch: LoadingSketch, *parts: str) -> None:
    """ValueError where a part that the loading is made of is missing."""
    for part in parts:
        if getattr(sketch, part) is None:
            raise ValueError(f"a sketch of a {sketch.loading} needs its {part.replace('_', ' ')}")

"""A port in its box in section: how long it is, and what is left behind it. Millimetres."""

from __future__ import annotations

from typing import Any

from shapely import box
from shapely.geometry.base import BaseGeometry

from speakerwright.drawing.dimensions import chain, length_text
from speakerwright.drawing.marks import Area, Dimension, Hatch, Line, region_area
from speakerwright.drawing.sheets import FIELD_MM, Drawing, fitted

_BEYOND_MM = 40.0  # of the box is drawn above and below what stands in it


def port_section(
    *, length_mm: float, opening_mm: float, wall_mm: float, baffle_mm: float,
    depth_mm: float | None = None, driver_mm: tuple[float, float] | None = None,
    magnet_mm: tuple[float, float] | None = None, shared_wall: bool = False,
    system: str = "metric", field_mm: tuple[float, float] = FIELD_MM,
) -> Drawing:
    """A port and the driver's outline in the box's depth, the front on the left, to scale.

    Parameters
    ----------
    length_mm : float
        From the baffle's front face to the port's inner end, above zero.
    opening_mm : float
        Bore of a round port, height of a slot.
    wall_mm, baffle_mm : float
        Thickness of the port's wall, and of the baffle.
    depth_mm : float, optional
        From the baffle's front face to the facing wall's inner side; without it that wall is
        left out.
    driver_mm, magnet_mm : (float, float), optional
        Depth behind the front face and frame diameter; magnet's diameter and height.
    shared_wall : bool
        Whether the port lies on the box's bottom.
    system : {"metric", "inch"}

    Returns
    -------
    Drawing
        The length and the gap stand below as a chain of dimensions, the opening at the left.
    """
    low = 0.0 if shared_wall else _BEYOND_MM
    tube = (low, low + opening_mm)
    frame = 0.0 if driver_mm is None else driver_mm[1]
    foot = tube[1] + wall_mm + 25.0
    top = foot + frame + 25.0 if frame else tube[1] + _BEYOND_MM
    end = depth_mm if depth_mm is not None else 1.25 * length_mm
    wood = _wood(baffle_mm, tube, (foot, foot + frame), top, depth_mm, shared_wall)

    def paint(scale: int) -> list[Any]:
        made: list[Any] = []
        for region in wood:
            small = _scaled(region, scale)
            made += [region_area(small), Hatch(small, 45.0), region_area(small, "", "outline")]
        made += _tube(tube, wall_mm, baffle_mm, length_mm, shared_wall, scale)
        if driver_mm is not None:
            made += _driver(driver_mm, magnet_mm, foot + frame / 2.0, scale)
        middle = (tube[0] + tube[1]) / 2.0 / scale
        made.append(Line((-4.0, middle), (end / scale, middle), "centre"))
        places = [0.0, length_mm / scale]
        texts = [f"length {length_text(length_mm, system)}"]
        if depth_mm is not None and depth_mm > length_mm:
            places.append(depth_mm / scale)
            texts.append(f"gap {length_text(depth_mm - length_mm, system)}")
        made += chain(places, texts, -(baffle_mm if shared_wall else 0.0) / scale,
                      -(baffle_mm if shared_wall else 0.0) / scale - 7.0)
        made.append(Dimension((0.0, tube[0] / scale), (0.0, tube[1] / scale), -8.0,
                              length_text(opening_mm, system), True, middle))
        return made

    note = "In section, the front on the left; the driver's outline from its record." if driver_mm \
        else "In section, the front on the left."
    return fitted("port_section", "Port in the box", paint, field_mm, note=note, system=system,
                  projected=False)


def _wood(
    baffle: float, tube: tuple[float, float], hole: tuple[float, float], top: float,
    depth: float | None, shared: bool,
) -> list[BaseGeometry]:
    """The baffle with its openings, the facing wall, and a bottom that the port lies on."""
    spans = [(0.0, tube[0]), (tube[1], hole[0]), (hole[1], top)]
    found = [box(0.0, a, baffle, b) for a, b in spans if b > a + 1e-6]
    if hole[1] <= hole[0]:
        found = [box(0.0, a, baffle, b) for a, b in ((0.0, tube[0]), (tube[1], top)) if b > a]
    if depth is not None:
        found.append(box(depth, 0.0, depth + baffle, top))
    if shared:
        end = depth + baffle if depth is not None else 4.0 * baffle
        found.append(box(0.0, -baffle, end, 0.0))
    return found


def _tube(
    tube: tuple[float, float], wall: float, baffle: float, length: float, shared: bool, scale: int
) -> list[Any]:
    sides = [(tube[1], tube[1] + wall)] + ([] if shared else [(tube[0] - wall, tube[0])])
    made: list[Any] = []
    for low, high in sides:
        start = 0.0 if wall < baffle and not shared else baffle
        region = _scaled(box(min(start, length), low, length, high), scale)
        made += [Area(region_area(region).rings, "#4d4d4d"), region_area(region, "", "thin")]
    return made


def _driver(
    driver: tuple[float, float], magnet: tuple[float, float] | None, middle: float, scale: int
) -> list[Any]:
    """The driver's outline: its frame on the front, and its magnet at the end of its depth."""
    depth, frame = driver
    half = frame / 2.0
    wide, high = (magnet[0] / 2.0, magnet[1]) if magnet is not None else (half / 3.0, depth / 3.0)
    high = min(high, 0.8 * depth)
    outline = [(0.0, half), (0.12 * depth, 0.92 * half), (depth - high, wide), (depth, wide),
               (depth, -wide), (depth - high, -wide), (0.12 * depth, -0.92 * half), (0.0, -half)]
    points = [(x / scale, (middle + y) / scale) for x, y in outline]
    return [Line(a, b, "thin") for a, b in zip(points, points[1:] + points[:1], strict=True)]


def _scaled(region: BaseGeometry, scale: int) -> BaseGeometry:
    from shapely.affinity import scale as scaled

    return scaled(region, 1.0 / scale, 1.0 / scale, origin=(0.0, 0.0))

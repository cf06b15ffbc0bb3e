"""Side walls and like ports beside a free round tube end, with a facing wall or without.

A wall beside a port is a like port at twice the distance, so one law serves both. Each image adds
its far limit a^2 / (4 distance) times what the bodies of the tubes make of it (computed).
"""

from __future__ import annotations

import math

from speakerwright.acoustics.interpolation import weights
from speakerwright.acoustics.limits import require_above_zero
from speakerwright.acoustics.port_tables import SIDE_GAPS, SIDE_NEAR, SIDE_PLACES, SIDE_WALLS

_PLACES = tuple(-1.0 / place for place in SIDE_PLACES)
_GAPS = (0.0, *(1.0 / (1.0 + gap) for gap in reversed(SIDE_GAPS)))
_TABLE = SIDE_NEAR[:, :, ::-1]


def side_image_factor(radius: float, wall: float, distance: float, gap: float = math.inf) -> float:
    """What a free tube's end makes of the far limit of a side wall's images; 1 far away.

    Source: own potential-flow computation (finite elements across, exact along) at walls of 0.05
    and 0.2 radii, distances from 1.1 radii and gaps from a quarter of one; the outermost factor
    is kept beyond.

    Parameters
    ----------
    radius, wall : float
        Of the tube in m.
    distance : float
        From the tube's middle to the wall in m (half of that to a like port).
    gap : float
        To a facing wall in m; infinite for none.

    Returns
    -------
    float
        Factor, 1 or above.

    Raises
    ------
    ValueError
        For a wall that cuts the tube.
    """
    require_above_zero(radius=radius, gap=gap)
    place = distance / radius
    if not place >= 1.0 - 1e-9:
        raise ValueError("a side wall or a neighbour must not cut the tube")
    if place >= SIDE_PLACES[-1]:
        return 1.0
    near = weights(-1.0 / max(place, SIDE_PLACES[0]), _PLACES)
    g = 1.0 / (1.0 + max(gap / radius, SIDE_GAPS[0]))
    rows = near @ _TABLE @ weights(g, _GAPS)
    thin, thick = SIDE_WALLS
    share = min(max((wall / radius - thin) / (thick - thin), -thin / (thick - thin)), 1.0)
    return max(float(rows[0] + share * (rows[1] - rows[0])), 1.0)


def images_end(radius: float, distance: float, gap: float = math.inf) -> float:
    """Far limit of the images of a wall at a distance: a^2 / 8 over it, and over the facing wall's.

    Source: image sources, elementary.

    Parameters
    ----------
    radius : float
        In m.
    distance : float
        From the mouth to the wall in m (half of that to the image).
    gap : float
        To a facing wall in m; infinite for none.

    Returns
    -------
    float
        Length in m.
    """
    return radius**2 / 8.0 * (1.0 / distance + 1.0 / math.hypot(distance, gap))


def side_walls_end(
    radius: float, wall: float, sides: tuple[float, ...], gap: float = math.inf
) -> float:
    """Extra end correction of a free tube from one side wall, or two that meet in a corner.

    Source: own potential-flow computation of one side wall, `side_image_factor`. The image in
    the corner takes the mean of its own factor and the product of the two walls', which meets
    computed corners within 1 % of the whole end correction for gaps from one radius.

    Parameters
    ----------
    radius, wall : float
        Of the tube in m.
    sides : tuple of float
        Distances from the tube's middle to up to two walls at right angles, in m.
    gap : float
        To a facing wall in m; infinite for none.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        For more than two walls, or one that cuts the tube.
    """
    if len(sides) > 2:
        raise ValueError("no more than two side walls meet in a corner")
    factors = [side_image_factor(radius, wall, s, gap) for s in sides]
    extra = sum(f * images_end(radius, s, gap) for f, s in zip(factors, sides, strict=True))
    if len(sides) == 2:
        across = math.hypot(*sides)
        factor = 0.5 * (side_image_factor(radius, wall, across, gap) + factors[0] * factors[1])
        extra += factor * images_end(radius, across, gap)
    return extra


def pair_inside_end(
    radius: float, wall: float, distance: float, gap: float = math.inf
) -> float:
    """Extra end correction of each of two like free round ports, in phase.

    A wall midway between them would change nothing, so it is that wall's.

    Source: `side_walls_end`; far apart it is a^2 / (4 s), elementary.

    Parameters
    ----------
    radius, wall : float
        Of the tubes in m.
    distance : float
        Between their middles in m, two radii or more.
    gap : float
        To a facing wall in m; infinite for none.

    Returns
    -------
    float
        Length in m.

    Raises
    ------
    ValueError
        When the tubes overlap.
    """
    return side_walls_end(radius, wall, (0.5 * distance,), gap)


def row_distances(count: int, spacing: float) -> tuple[tuple[float, ...], ...]:
    """Distances (m) from each of several ports in a row of equal spacing to the others."""
    return tuple(
        tuple(abs(i - j) * spacing for j in range(count) if j != i) for i in range(count)
    )



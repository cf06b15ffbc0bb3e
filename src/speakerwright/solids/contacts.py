"""Whether a part only touches a panel, told flat: slab by slab, without a solid of the panel.

Between two levels at which something is cut into it, a panel is the same all through. A part whose
outline there (or any convex shape around it) lies in what has been cut away cannot collide with it.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from speakerwright.solids.meshes import IntArray
from speakerwright.solids.panels import Panel
from speakerwright.solids.shapes import FloatArray, Polygon

_SKIN = 1e-6  # mm off every level, and of overlap along an edge, that count as touching


def only_touches(panel: Panel, points: FloatArray, faces: IntArray) -> bool:
    """Whether a part certainly takes no wood of a panel.

    Parameters
    ----------
    panel : Panel
    points, faces : ndarray
        The part's surface: corners (n, 3) in world mm and triangles (m, 3).

    Returns
    -------
    bool
        False also where it is merely not certain: where the part is not convex, for instance.
    """
    local = panel.placement.to_local(points)
    for low, high in pairwise(panel.levels):
        hull = _hull(local, faces, low + _SKIN, high - _SKIN)
        if hull is None:
            continue
        left = shapely.intersection(hull, panel.blank)
        if left.is_empty:
            continue
        u0, v0, u1, v1 = hull.bounds
        for shape, (a0, b0, a1, b1) in panel.gone_between(low, high):
            if a0 <= u1 and a1 >= u0 and b0 <= v1 and b1 >= v0:
                left = shapely.difference(left, shape)
        if left.area > _SKIN * hull.length:
            return False
    return True


def _hull(local: FloatArray, faces: IntArray, low: float, high: float) -> Polygon | None:
    """The convex hull of what a surface has between two heights; None for nothing or a line."""
    w = local[:, 2]
    if w.max() <= low or w.min() >= high:
        return None
    found = [local[(w >= low) & (w <= high), :2]]
    starts, ends = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    for level in (low, high):
        over = w[starts] - level
        crosses = over * (w[ends] - level) < 0.0
        a, b = local[starts[crosses]], local[ends[crosses]]
        share = (over[crosses] / (a[:, 2] - b[:, 2]))[:, None]
        found.append(a[:, :2] + share * (b[:, :2] - a[:, :2]))
    hull = shapely.convex_hull(shapely.multipoints(np.concatenate(found)))
    return hull if isinstance(hull, Polygon) and hull.area > 0.0 else None

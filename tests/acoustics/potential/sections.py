"""Cross-sections for the modal solver: round and rectangular mouths, beside walls, in boxes."""

import numpy as np

from .elements import Mesh
from .grids import between, halved, joined, towards
from .modal import BESIDE, BORE, RIM, Mouth


def _grid(columns, heights):
    return np.meshgrid(halved(np.asarray(columns)), halved(np.asarray(heights)), indexing="ij")


def _ring(inner, outer, share):
    """A patch between two lines of nodes, `share` from the one to the other."""
    x, y = (near[:, None] + (far - near)[:, None] * share
            for near, far in zip(inner, outer, strict=True))
    return x, y


def _run(start, end, count):
    return np.linspace(start, end, count + 1)


def _sides(x, y, half):
    """Nodes of the rectangle about the mouth, side by side; no south side in one half."""
    x, y = halved(x), halved(y)
    full = lambda value, like: np.full(len(like), value)  # noqa: E731
    found = [(full(x[-1], y), y), (x, full(y[-1], x)), (full(x[0], y), y)]
    return found if half else [*found, (x, full(y[0], x))]


def beside_walls(wall, side, below=None, reach=100.0, fine=4e-3, growth=1.7, around=4,
                 flush=False):
    """A round mouth of radius 1 with a wall at x = -`side`, and another at y = -`below`.

    Without `below` the plane y = 0 is the picture's own symmetry: one half is kept. The mouth is
    flush in a baffle when `flush`, else a tube with a wall of some thickness. `around` counts the
    elements of a half turn's quarter.
    """
    outer = 1.0 if flush else 1.0 + wall
    half, edge = below is None, outer + 1.0
    left, low = -min(side, edge), 0.0 if half else -min(below, edge)
    x = _run(left, edge, max(2 * around, 4))
    y = _run(low, edge, around if half else max(2 * around, 4))
    share = halved(towards(0.0, 1.0, fine, growth))
    bore = halved(joined([0.0, 0.35], towards(0.35, 1.0, fine, growth, False)))
    rim = np.ones(1) if flush else halved(between(1.0, outer, min(fine, wall / 4.0), growth))
    patches, tags = [], []
    for line in _sides(x, y, half):
        line = np.array(line)
        turn = line / np.hypot(*line)
        patches.append(tuple(np.outer(t, bore) for t in turn))
        tags.append(BORE)
        if not flush:
            patches.append(tuple(np.outer(t, rim) for t in turn))
            tags.append(RIM)
        patches.append(_ring(outer * turn, line, share))
        tags.append(RIM if flush else BESIDE)
    xs = _beyond(x, -side, reach - side, growth)
    ys = _beyond(y, 0.0 if half else -below, reach - (0.0 if half else below), growth)
    for i, across in enumerate(xs):
        for j, along in enumerate(ys):
            if (i, j) != (1, 1) and across is not None and along is not None:
                patches.append(_grid(across, along))
                tags.append(RIM if flush else BESIDE)
    end_x, end_y = xs[2][-1], ys[2][-1]
    return Mouth(
        Mesh(patches), tags, lambda a, b: np.isclose(a, end_x) | np.isclose(b, end_y),
        reach,
    )


def _beyond(middle, low, high, growth):
    """Breakpoints before, within and beyond the rectangle about the mouth."""
    before = None
    if low < middle[0] - 1e-9:
        before = towards(low, middle[0], min(0.7, middle[0] - low), growth, False)
    return before, middle, towards(middle[-1], high, 0.7, growth)


def _across(half, wall, reach, fine, growth):
    """Breakpoints from the middle of a mouth over its wall to far."""
    inner = joined([0.0], towards(0.0, half, fine, growth, False))
    rim = between(half, half + wall, min(fine, wall / 3.0), growth)
    near = min(half + wall + 1.0, reach)
    out = towards(half + wall, near, fine, growth)
    if reach > near:
        out = joined(out, towards(near, reach, 0.8, growth))
    return inner, rim, out


def rectangle(half_width, half_height, wall, reach=100.0, fine=4e-3, growth=1.9, box=None):
    """A rectangular tube in the open, one quarter of it; or one mouth in the corner of a box.

    With `box` = (width, height) the mouth shares the two walls x = 0 and y = 0 with it.
    """
    far = (reach, reach) if box is None else box
    ix, rx, ox = _across(half_width, wall, far[0], fine, growth)
    iy, ry, oy = _across(half_height, wall, far[1], fine, growth)
    patches = [_grid(ix, iy), _grid(rx, joined(iy, ry)), _grid(ix, ry),
               _grid(ox, joined(iy, ry, oy)), _grid(joined(ix, rx), oy)]
    tags = [BORE, RIM, RIM, BESIDE, BESIDE]
    mesh = Mesh(patches)
    if box is not None:
        return Mouth(mesh, tags)
    return Mouth(mesh, tags, lambda x, y: np.isclose(x, reach) | np.isclose(y, reach), reach)


def flush_rectangle(half_width, half_height, reach=100.0, fine=2e-3, growth=1.7):
    """A rectangular hole in an infinite baffle, one quarter of it."""
    ix, _, ox = _across(half_width, 0.3, reach, fine, growth)
    iy, _, oy = _across(half_height, 0.3, reach, fine, growth)
    out = lambda start: joined(towards(start, start + 1.0, fine, growth),  # noqa: E731
                               towards(start + 1.0, reach, 0.8, growth))
    ox, oy = out(half_width), out(half_height)
    patches = [_grid(ix, iy), _grid(ox, joined(iy, oy)), _grid(ix, oy)]
    return Mouth(Mesh(patches), [BORE, RIM, RIM],
                 lambda x, y: np.isclose(x, reach) | np.isclose(y, reach), reach)

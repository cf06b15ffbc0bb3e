"""A tube whose mouth is rounded to a quarter circle, by finite elements in r and z."""

import numpy as np

from .axisymmetric import DEEP, FAR, correction
from .elements import Mesh
from .grids import halved, joined, towards


def _caps(rounding, share, turns):
    """Nodes on caps that meet the rounding squarely, from the tube's flat plane to a half ball."""
    turn = np.maximum(turns, 1e-9)[None, :]
    wall_r = 1.0 + rounding * (1.0 - np.cos(turn))
    wall_z = rounding * (np.sin(turn) - 1.0)
    ball = wall_r / np.sin(turn)
    angle = share[:, None] * turn
    # one less the cosines, written so that a flat cap keeps its digits
    r = ball * np.sin(angle)
    z = wall_z + 2.0 * ball * (np.sin(turn / 2.0) ** 2 - np.sin(angle / 2.0) ** 2)
    r[:, 0], z[:, 0] = share, -rounding
    return r, z


def flared(rounding, free=False, finest=1e-3, growth=1.5, turns=10):
    """End correction in radii of the tube, its length counted to the plane of the mouth.

    Flush in a baffle; or `free`: a solid rounded lip on a tube as thick as the rounding.
    """
    rim = 1.0 + rounding
    share = halved(joined([0.0, 0.25, 0.5], towards(0.5, 1.0, finest if free else 0.1, growth,
                                                    False)))
    turn = halved(np.linspace(0.0, 0.5 * np.pi, turns + 1))
    if free:
        turn = halved(joined(np.linspace(0.0, 1.0, turns // 2 + 1),
                             towards(1.0, 0.5 * np.pi, finest / rounding, growth, False)))
    flat = halved(joined([-DEEP - rounding, -3.0 - rounding, -1.0 - rounding],
                         towards(-1.0 - rounding, -rounding, 0.05, growth, False)))
    out = halved(joined(towards(rim, 2.0 * rim, finest if free else 0.1, growth),
                        towards(2.0 * rim, FAR, 0.5 * rim, growth)))
    angle = share * 0.5 * np.pi
    patches = [np.meshgrid(share, flat, indexing="ij"), _caps(rounding, share, turn),
               (np.outer(np.sin(angle), out), np.outer(np.cos(angle), out))]
    if free:
        back = joined(towards(-FAR, -rim, 0.5, growth, False),
                      towards(-rim, 0.0, finest, growth, False))
        patches.append(np.meshgrid(out, halved(back), indexing="ij"))
    mesh = Mesh(patches)
    # `correction` counts from the plane at -DEEP - rounding, so its own length is the longer one
    return correction(mesh, lambda r, z: (np.hypot(r, z) > 0.999 * FAR) | np.isclose(z, -FAR)
                      | (np.isclose(r, FAR) & (z < 1e-9)), start=-DEEP - rounding)

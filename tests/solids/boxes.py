"""A cabinet of plain boards to test with: 400 x 400 x 700 mm of 18 mm board, open to options."""

from __future__ import annotations

import dataclasses

import numpy as np

from speakerwright.solids.bodies import cone_driver, tube
from speakerwright.solids.panels import Placement, hole, plain

T, W, D, H = 18.0, 400.0, 400.0, 700.0
CLEAR = (W - 2 * T, D - 2 * T, H - 2 * T)
BARE = CLEAR[0] * CLEAR[1] * CLEAR[2]
SHELF_Z = 250.0  # its upper face


def shell(*front):
    """Six boards: the sides whole, top and bottom between them, baffle and back between all."""
    half = W / 2
    return [
        plain("left", D, H, T, Placement((-half, D, 0), (0, -1, 0), (0, 0, 1))),
        plain("right", D, H, T, Placement((half, 0, 0), (0, 1, 0), (0, 0, 1))),
        plain("bottom", CLEAR[0], D, T, Placement((-half + T, D, 0), (1, 0, 0), (0, -1, 0))),
        plain("top", CLEAR[0], D, T, Placement((-half + T, 0, H), (1, 0, 0), (0, 1, 0))),
        plain("baffle", CLEAR[0], CLEAR[2], T,
              Placement((-half + T, 0, T), (1, 0, 0), (0, 0, 1))).with_feature(*front),
        plain("back", CLEAR[0], CLEAR[2], T, Placement((half - T, D, T), (-1, 0, 0), (0, 0, 1))),
    ]


def shelf(short=0.0):
    """A shelf from the baffle to the back, or `short` of it."""
    return plain("shelf", CLEAR[0], CLEAR[1] - short, T,
                 Placement((-W / 2 + T, T, SHELF_Z), (1, 0, 0), (0, 1, 0)))


def on_front(x, z):
    """A point of the front in the baffle's own axes."""
    return x + W / 2 - T, z - T


HOLES = (hole(*on_front(0, 500), 250, "woofer"), hole(*on_front(-100, 120), 80, "port"))


def woofer():
    return cone_driver("woofer", 280, 250, 10, 140, 180, 60, (0, 500))


def port():
    return tube(74, 3, 150, (-100, 120))


def without(panels, name):
    return [p for p in panels if p.name != name]


def turned(panels, rotation, shift):
    """Panels moved as one rigid body."""
    def moved(panel):
        place = panel.placement
        return dataclasses.replace(panel, placement=Placement(
            tuple(rotation @ place.origin + shift), tuple(rotation @ place.u),
            tuple(rotation @ place.v)))
    return [moved(p) for p in panels]


def rotation(a, b, c):
    """A rotation by three angles in rad about z, x and z."""
    def about_z(t):
        return np.array([[np.cos(t), -np.sin(t), 0], [np.sin(t), np.cos(t), 0], [0, 0, 1]])
    about_x = np.array([[1, 0, 0], [0, np.cos(b), -np.sin(b)], [0, np.sin(b), np.cos(b)]])
    return about_z(a) @ about_x @ about_z(c)

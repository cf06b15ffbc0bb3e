"""Chords between neighbouring bolts on a circle, D sin(pi/n): geometry; recomputed."""

import math

import pytest

from speakerwright.cabinet.fittings import _circle_bolts
from speakerwright.cabinet.inputs import Placed
from speakerwright.design.records import Record
from speakerwright.design.sections.directivity import Mounting

SOURCE = "geometry of the regular polygon"
CHECKS = [(_circle_bolts, SOURCE, "recomputed")]


@pytest.mark.parametrize(("across", "count", "chord"), [
    pytest.param(217, 6, 108.5, id="bolt_chord.1"),
    pytest.param(122, 4, 86.2670273, id="bolt_chord.3"),
    pytest.param(302, 8, 115.570397, id="bolt_chord.5"),
])
def test_chord_between_neighbours(across, count, chord):
    record = Record.model_validate({
        "format": 1, "what": "driver", "type": "cone", "name": "a woofer",
        "body": {"bolt_circle": f"{across} mm", "bolts": count},
    })
    mounting = Mounting.model_validate({"bolt_angle": "11 deg"})
    placed = Placed("a woofer", "low", record, None, "", (0.0, 0.0), "main", mounting)
    points = _circle_bolts(placed, record, 5.0, 70.0)
    for one, two in zip(points, points[1:] + points[:1], strict=True):
        assert math.dist(one, two) == pytest.approx(chord, rel=1e-5)
    assert math.atan2(points[0][0] - 5.0, points[0][1] - 70.0) == pytest.approx(math.radians(11))

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point

from speakerwright.solids import shapes


@given(st.floats(1.0, 500.0), st.integers(3, 200))
def test_a_circle_has_the_exact_area_whatever_its_segments(diameter, segments):
    circle = shapes.circle(0.0, 0.0, diameter, segments)
    assert circle.area == pytest.approx(math.pi * diameter**2 / 4, rel=1e-12)
    assert len(circle.exterior.coords) == segments + 1


def test_a_circle_is_about_its_centre_and_close_to_round():
    circle = shapes.circle(30.0, -20.0, 100.0)
    assert circle.centroid.distance(Point(30.0, -20.0)) < 1e-12
    radii = np.linalg.norm(np.array(circle.exterior.coords) - (30.0, -20.0), axis=1)
    assert radii == pytest.approx(50.0 * (1 + (2 * math.pi / 96) ** 2 / 12), rel=1e-6)


@given(st.floats(20.0, 400.0), st.floats(20.0, 400.0), st.floats(0.01, 1.0),
       st.sampled_from([12, 24, 96]))
def test_a_rounded_rectangle_has_its_exact_area_and_sides(width, height, share, segments):
    radius = share * 0.5 * min(width, height)
    shape = shapes.rounded_rectangle(5.0, -3.0, 5.0 + width, height - 3.0, radius, segments)
    assert shape.is_valid
    assert shape.area == pytest.approx(width * height - (4 - math.pi) * radius**2, rel=1e-12)
    assert shape.bounds == pytest.approx((5.0, -3.0, 5.0 + width, height - 3.0), rel=1e-3)
    if share < 1.0:
        top = max(y for _, y in shape.exterior.coords)
        assert top == pytest.approx(height - 3.0, abs=2e-3 * radius + 1e-9)


def test_a_rounded_rectangle_keeps_its_straight_sides():
    shape = shapes.rounded_rectangle(0.0, 0.0, 100.0, 60.0, 10.0)
    on_side = {p for p in shape.exterior.coords if p[1] == pytest.approx(0.0, abs=1e-12)}
    assert {round(x, 9) for x, _ in on_side} >= {10.0, 90.0}


@given(st.floats(0.0, 6.28), st.floats(1.0, 300.0), st.floats(1.0, 50.0))
def test_a_slot_has_its_exact_area(angle, length, width):
    x, y = 12.0 + length * math.cos(angle), -7.0 + length * math.sin(angle)
    shape = shapes.slot(12.0, -7.0, x, y, width)
    assert shape.is_valid
    assert shape.area == pytest.approx(length * width + math.pi * width**2 / 4, rel=1e-12)
    assert shape.covers(Point(12.0, -7.0))


@pytest.mark.parametrize("build", [
    lambda: shapes.circle(0, 0, 0.0), lambda: shapes.circle(0, 0, float("nan")),
    lambda: shapes.circle(0, 0, 1.0, 2), lambda: shapes.rectangle(1, 0, 1, 5),
    lambda: shapes.rounded_rectangle(0, 0, 10, 10, 5.1), lambda: shapes.slot(1, 1, 1, 1, 5),
])
def test_shapes_that_are_none_are_refused(build):
    with pytest.raises(ValueError):
        build()

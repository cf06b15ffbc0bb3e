import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import Manifold

from speakerwright.solids import meshes
from speakerwright.solids.shapes import Polygon, circle, rectangle

from .boxes import rotation

CUBE = Manifold.cube((10.0, 20.0, 30.0))


def test_a_prism_with_holes_has_its_exact_volume():
    shape = rectangle(0, 0, 100, 60).difference(circle(30, 30, 20)).difference(circle(70, 30, 31.7))
    solid = meshes.prism(shape, -18.0, 2.5)
    assert solid.volume() == pytest.approx(shape.area * 20.5, rel=1e-13)
    assert solid.bounding_box() == (0.0, 0.0, -18.0, 100.0, 60.0, 2.5)


def test_a_prism_of_a_clockwise_outline_is_not_inside_out():
    assert meshes.prism(Polygon([(0, 0), (0, 2), (3, 2), (3, 0)]), 0.0, 4.0).volume() == 24.0


def test_surfaces_that_do_not_close_are_refused():
    with pytest.raises(ValueError, match="does not close"):
        meshes.solid_from(np.eye(3), np.array([[0, 1, 2]]))


def test_points_are_inside_or_not():
    hollow = CUBE - Manifold.cube((2.0, 2.0, 2.0)).translate((4.0, 4.0, 4.0))
    assert meshes.contains(hollow, (1.0, 1.0, 1.0))
    assert not meshes.contains(hollow, (5.0, 5.0, 5.0))
    assert not meshes.contains(hollow, (11.0, 5.0, 5.0))
    assert not meshes.contains(Manifold(), (0.0, 0.0, 0.0))


def test_cavities_are_kept():
    air = Manifold.cube((40.0, 40.0, 40.0)).translate((-5, -5, -5)) - CUBE
    shells = air.decompose()
    assert meshes.with_cavities(shells).volume() == pytest.approx(64000.0 - 6000.0, rel=1e-14)


def test_centre_of_a_frustum():
    # of a cone frustum: h/4 (R² + 2 R r + 3 r²) / (R² + R r + r²) above the base
    solid = meshes.stack([np.column_stack((meshes_ring(r), np.full(96, z)))
                          for r, z in ((30.0, 100.0), (10.0, 140.0))])
    x, y, z = meshes.centroid(solid)
    assert (x, y) == pytest.approx((0.0, 0.0), abs=1e-12)
    assert z == pytest.approx(100 + 10 * (900 + 600 + 300) / (900 + 300 + 100), rel=1e-13)


def meshes_ring(radius):
    from speakerwright.solids.shapes import ring
    return ring(2 * radius)


@given(st.floats(0, 6.28), st.floats(0, 3.14), st.floats(0, 6.28),
       st.sampled_from([-0.5, 0.001, 1.0]))
def test_a_grown_box_has_every_face_moved(a, b, c, by):
    matrix = np.column_stack((rotation(a, b, c), (100.0, -200.0, 300.0)))
    grown = meshes.grown(CUBE.transform(matrix), by)
    expected = (10 + 2 * by) * (20 + 2 * by) * (30 + 2 * by)
    assert grown.volume() == pytest.approx(expected, rel=1e-11)


def test_a_grown_cylinder_and_notch():
    solid = meshes.prism(circle(0, 0, 100), 0.0, 50.0)
    facet = math.cos(math.pi / 96) * 50.0 * math.sqrt(
        2 * math.pi / 96 / math.sin(2 * math.pi / 96))  # distance from the axis to a facet
    expected = solid.volume() * ((facet + 0.01) / facet) ** 2 * 50.02 / 50.0
    assert meshes.grown(solid, 0.01).volume() == pytest.approx(expected, rel=1e-7)
    notched = CUBE - Manifold.cube((5.0, 50.0, 10.0)).translate((5.0, -1.0, 20.0))
    expected = 10.2 * 20.2 * 30.2 - 5.0 * 20.2 * 10.0
    assert meshes.grown(notched, 0.1).volume() == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("build", [
    lambda: meshes.prism(rectangle(0, 0, 1, 1), 1.0, 1.0),
    lambda: meshes.prism(Polygon(), 0.0, 1.0),
    lambda: meshes.stack([np.zeros((4, 3))]),
    lambda: meshes.bounds([Manifold()]),
])
def test_solids_that_are_none_are_refused(build):
    with pytest.raises(ValueError):
        build()
